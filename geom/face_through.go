package geom

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// FaceThrough returns the face that interpolates s at the Greville abscissae
// of evenly spaced knots, about pitch millimetres apart, over box. It
// reproduces bicubic polynomials to rounding and a smooth surface with an
// error of the order of pitch⁴. It fails where s is not defined in the box.
// The cost is one evaluation of s for each control point.
func FaceThrough(s Surface, box r2.Box, pitch float64) (*Face, error) {
	if !(pitch > 0) || !allFinite(pitch, box.Min.X, box.Min.Y, box.Max.X, box.Max.Y) {
		return nil, fmt.Errorf("geom: face through a surface: pitch %g over %v", pitch, box)
	}
	bx, err := evenBreaks(box.Min.X, box.Max.X, pitch)
	if err != nil {
		return nil, err
	}
	by, err := evenBreaks(box.Min.Y, box.Max.Y, pitch)
	if err != nil {
		return nil, err
	}
	return faceThrough(s, clampedVector(bx), clampedVector(by))
}

// evenBreaks divides lo … hi into equal spans of about pitch. Places at the
// same distance from both ends are exact mirror images about the middle.
func evenBreaks(lo, hi, pitch float64) ([]float64, error) {
	n := math.Max(1, math.Round((hi-lo)/pitch))
	if !(hi > lo) || n > mostControl {
		return nil, fmt.Errorf("geom: face through a surface: %g spans from %g to %g", n, lo, hi)
	}
	b := make([]float64, int(n)+1)
	mid, half := (lo+hi)/2, (hi-lo)/2
	for i := range b {
		b[i] = mid + half*(2*float64(i)-n)/n
	}
	b[0], b[len(b)-1] = lo, hi
	return b, nil
}

// faceThrough interpolates s at the Greville abscissae of the given clamped
// knots.
func faceThrough(s Surface, kx, ky []float64) (*Face, error) {
	gx, gy := Greville(kx), Greville(ky)
	nx, ny := len(gx), len(gy)
	if nx*ny > mostControl {
		return nil, fmt.Errorf("geom: face through a surface: %d × %d control points are too many", nx, ny)
	}
	c := make([]float64, nx*ny)
	for i, x := range gx {
		for j, y := range gy {
			z := s.Eval(x, y).Z
			if !finite(z) {
				return nil, fmt.Errorf("geom: the surface is not defined at x %.3f, y %.3f", x, y)
			}
			c[i*ny+j] = z
		}
	}
	alongY := newCollocation(ky, gy)
	for i := range nx {
		alongY.solve(c[i*ny : (i+1)*ny])
	}
	alongX := newCollocation(kx, gx)
	column := make([]float64, nx)
	for j := range ny {
		for i := range column {
			column[i] = c[i*ny+j]
		}
		alongX.solve(column)
		for i, v := range column {
			c[i*ny+j] = v
		}
	}
	return NewFace(kx, ky, c)
}

// collocation is the factored matrix of the cubic B-splines at their Greville
// abscissae, row i holding columns i-3 … i+3. It is totally positive, so
// elimination without exchanges is stable (C. de Boor and A. Pinkus, Numerische
// Mathematik 27 (1977) 485).
type collocation [][7]float64

func newCollocation(knots, at []float64) collocation {
	m := make(collocation, len(at))
	for i, x := range at {
		first, b, _, _, _ := ClampedBasis(knots, x)
		for k, v := range b {
			// At a knot the fourth function is 0 and may lie outside the band.
			if col := first + k - i + 3; col >= 0 && col < 7 {
				m[i][col] = v
			}
		}
	}
	for i := range m {
		for r := i + 1; r <= min(i+3, len(m)-1); r++ {
			f := m[r][i-r+3] / m[i][3]
			m[r][i-r+3] = f
			for c := i + 1; c <= min(i+3, len(m)-1); c++ {
				m[r][c-r+3] -= f * m[i][c-i+3]
			}
		}
	}
	return m
}

// solve replaces the values at the abscissae by the coefficients.
func (m collocation) solve(v []float64) {
	n := len(m)
	for i := range v {
		for k := max(0, i-3); k < i; k++ {
			v[i] -= m[i][k-i+3] * v[k]
		}
	}
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k <= min(i+3, n-1); k++ {
			v[i] -= m[i][k-i+3] * v[k]
		}
		v[i] /= m[i][3]
	}
}
