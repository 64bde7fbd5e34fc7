package fit

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// tiny is the pivot, relative to the element it came from, below which a
// matrix counts as singular.
const tiny = 1e-13

// cholesky factors the lower triangle of a dense k×k matrix in place.
func cholesky(c []float64, k int) error {
	for i := range k {
		for j := 0; j <= i; j++ {
			v := c[i*k+j] - dot(c[i*k:i*k+j], c[j*k:j*k+j])
			if j < i {
				c[i*k+j] = v / c[j*k+j]
				continue
			}
			if !(v > tiny*math.Abs(c[i*k+i])) {
				return errSingular
			}
			c[i*k+i] = math.Sqrt(v)
		}
	}
	return nil
}

// denseSolve solves C·x = b in place, C = L·Lᵀ as left by cholesky.
func denseSolve(c []float64, k int, b []float64) {
	for i := range k {
		b[i] = (b[i] - dot(c[i*k:i*k+i], b[:i])) / c[i*k+i]
	}
	for i := k - 1; i >= 0; i-- {
		b[i] /= c[i*k+i]
		for j := range i {
			b[j] -= c[i*k+j] * b[i]
		}
	}
}

// denseInverse is C⁻¹ as a full matrix, C = L·Lᵀ as left by cholesky.
func denseInverse(c []float64, k int) []float64 {
	inv := make([]float64, k*k)
	e := make([]float64, k)
	for j := range k {
		clear(e)
		e[j] = 1
		denseSolve(c, k, e)
		for i := range k {
			inv[i*k+j] = e[i]
		}
	}
	return inv
}

// dot is the scalar product of two slices of one length.
func dot(a, b []float64) float64 {
	const long = 12 // from where on the call pays
	b = b[:len(a)]
	if len(a) >= long {
		return floats.Dot(a, b)
	}
	var s float64
	for i, v := range a {
		s += v * b[i]
	}
	return s
}
