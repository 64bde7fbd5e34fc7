package fit

import (
	"errors"
	"math"
)

// errSingular says that a normal matrix is not positive definite: the
// readings do not carry the unknowns asked of them.
var errSingular = errors.New("fit: the readings do not carry the shape")

// arrow is a symmetric matrix whose non-zeros are a band over the first n
// unknowns and a dense border of k more: the shape of the normal equations of
// every spline here. A closed curve has its last control points in the border,
// an open one the unknowns that all readings share, a face its polynomials. The
// first own of the border belong to the band and are eliminated with it; the
// others it may share with other matrices. Factoring, solving and the inverse
// inside the same shape take n·w·(w+k) operations, so time grows with the number
// of knots and not with its cube.
type arrow struct {
	n, w, k int
	own     int
	band    []float64 // (w+1) a row: row i holds columns i-w … i
	side    []float64 // n a row: row r holds unknown n+r against 0 … n-1
	corner  []float64 // k a row, lower triangle: the border against itself
}

func newArrow(n, w, k int) *arrow {
	return &arrow{n: n, w: w, k: k,
		band: make([]float64, n*(w+1)), side: make([]float64, k*n), corner: make([]float64, k*k)}
}

// clone returns a copy that shares nothing with a.
func (a *arrow) clone() *arrow {
	c := a.like()
	copy(c.band, a.band)
	copy(c.side, a.side)
	copy(c.corner, a.corner)
	return c
}

// like is an empty matrix of the same shape.
func (a *arrow) like() *arrow {
	c := newArrow(a.n, a.w, a.k)
	c.own = a.own
	return c
}

// size is the number of unknowns.
func (a *arrow) size() int { return a.n + a.k }

// first is the first of the unknowns that others may share.
func (a *arrow) first() int { return a.n + a.own }

// cell returns the place of element (i, j). Elements of the band farther than
// w from the diagonal do not exist; asking for one is a programmer's mistake.
func (a *arrow) cell(i, j int) *float64 {
	if i < j {
		i, j = j, i
	}
	switch {
	case i < a.n:
		return &a.band[i*(a.w+1)+j-i+a.w]
	case j < a.n:
		return &a.side[(i-a.n)*a.n+j]
	default:
		return &a.corner[(i-a.n)*a.k+j-a.n]
	}
}

// addRow adds w·r·rᵀ.
func (a *arrow) addRow(r row, w float64) {
	for p, i := range r.idx {
		wv := w * r.val[p]
		for q, j := range r.idx {
			if j <= i {
				*a.cell(i, j) += wv * r.val[q]
			}
		}
	}
}

// scale multiplies every element by s.
func (a *arrow) scale(s float64) {
	for _, part := range [][]float64{a.band, a.side, a.corner} {
		for i := range part {
			part[i] *= s
		}
	}
}

// addScaled adds s·b, a matrix of the same shape.
func (a *arrow) addScaled(s float64, b *arrow) {
	for i, v := range b.band {
		a.band[i] += s * v
	}
	for i, v := range b.side {
		a.side[i] += s * v
	}
	for i, v := range b.corner {
		a.corner[i] += s * v
	}
}

// quad is the quadratic form xᵀ·A·x.
func (a *arrow) quad(x []float64) float64 {
	var s float64
	for i := range a.n {
		lo := max(0, i-a.w)
		r := a.band[i*(a.w+1)+a.w-(i-lo):]
		var t float64
		for p := range i - lo {
			t += r[p] * x[lo+p]
		}
		s += x[i] * (2*t + r[i-lo]*x[i])
	}
	for r := range a.k {
		var t float64
		for i, v := range a.side[r*a.n : (r+1)*a.n] {
			t += v * x[i]
		}
		for q := range r {
			t += a.corner[r*a.k+q] * x[a.n+q]
		}
		s += x[a.n+r] * (2*t + a.corner[r*a.k+r]*x[a.n+r])
	}
	return s
}

// trace is the sum of the diagonal.
func (a *arrow) trace() float64 {
	var s float64
	for i := range a.n {
		s += a.band[i*(a.w+1)+a.w]
	}
	for r := range a.k {
		s += a.corner[r*a.k+r]
	}
	return s
}

// product is the sum of the elementwise products, the trace of A·B.
func (a *arrow) product(b *arrow) float64 {
	var s, d float64
	for i := range a.n {
		ra, rb := a.band[i*(a.w+1):(i+1)*(a.w+1)], b.band[i*(a.w+1):(i+1)*(a.w+1)]
		for p := range a.w {
			s += ra[p] * rb[p]
		}
		d += ra[a.w] * rb[a.w]
	}
	for i, v := range a.side {
		s += v * b.side[i]
	}
	for r := range a.k {
		for q := range r {
			s += a.corner[r*a.k+q] * b.corner[r*a.k+q]
		}
		d += a.corner[r*a.k+r] * b.corner[r*a.k+r]
	}
	return 2*s + d
}

// reduce factors all but the shared unknowns in place (Cholesky) and leaves in
// their part of the corner what they keep once the others are eliminated: the
// Schur complement.
func (a *arrow) reduce() error {
	w1 := a.w + 1
	for i := range a.n {
		ri := a.band[i*w1 : (i+1)*w1]
		lo := max(0, i-a.w)
		for j := lo; j <= i; j++ {
			rj := a.band[j*w1 : (j+1)*w1]
			from := max(lo, j-a.w)
			v := ri[j-i+a.w] - dot(ri[from-i+a.w:j-i+a.w], rj[from-j+a.w:a.w])
			if j < i {
				ri[j-i+a.w] = v / rj[a.w]
				continue
			}
			if !(v > tiny*ri[a.w]) {
				return errSingular
			}
			ri[a.w] = math.Sqrt(v)
		}
	}
	for r := range a.k {
		s := a.side[r*a.n : (r+1)*a.n]
		for j := range a.n {
			rj := a.band[j*w1 : (j+1)*w1]
			from := max(0, j-a.w)
			s[j] = (s[j] - dot(s[from:j], rj[from-j+a.w:a.w])) / rj[a.w]
		}
		for q := 0; q <= r; q++ {
			a.corner[r*a.k+q] -= dot(s, a.side[q*a.n:(q+1)*a.n])
		}
	}
	return a.factorCorner(0, a.own)
}

// factorCorner factors columns from … to-1 of the corner, those before being
// factored, and takes them off what follows.
func (a *arrow) factorCorner(from, to int) error {
	for i := from; i < a.k; i++ {
		ri := a.corner[i*a.k : (i+1)*a.k]
		for j := from; j <= i; j++ {
			rj := a.corner[j*a.k : (j+1)*a.k]
			v := ri[j] - dot(ri[from:min(j, to)], rj[from:min(j, to)])
			switch {
			case j >= to:
				ri[j] = v
			case j < i:
				ri[j] = v / rj[j]
			case !(v > tiny*math.Abs(ri[i])):
				return errSingular
			default:
				ri[i] = math.Sqrt(v)
			}
		}
	}
	return nil
}

// shared is the corner of the shared unknowns alone, a row after the other.
func (a *arrow) shared() []float64 {
	m := a.k - a.own
	out := make([]float64, 0, m*m)
	for i := a.own; i < a.k; i++ {
		out = append(out, a.corner[i*a.k+a.own:(i+1)*a.k]...)
	}
	return out
}

// alone is a reduced matrix without the shared unknowns: what the others know
// with these held.
func (a *arrow) alone() *arrow {
	out := *a
	out.k, out.side, out.corner = a.own, a.side[:a.own*a.n], make([]float64, a.own*a.own)
	for i := range a.own {
		copy(out.corner[i*a.own:], a.corner[i*a.k:i*a.k+a.own])
	}
	return &out
}

// factor factors the whole matrix.
func (a *arrow) factor() error {
	if err := a.reduce(); err != nil {
		return err
	}
	return a.factorCorner(a.own, a.k)
}

// forward solves L·y = b in place over all but the shared unknowns and takes
// their share off the last elements; the matrix must be reduced.
func (a *arrow) forward(b []float64) {
	w1 := a.w + 1
	for i := range a.n {
		lo := max(0, i-a.w)
		ri := a.band[i*w1 : (i+1)*w1]
		b[i] = (b[i] - dot(ri[lo-i+a.w:a.w], b[lo:i])) / ri[a.w]
	}
	for r := range a.k {
		b[a.n+r] -= dot(a.side[r*a.n:(r+1)*a.n], b[:a.n])
	}
	for r := range a.k {
		c := a.corner[r*a.k : (r+1)*a.k]
		b[a.n+r] -= dot(c[:min(r, a.own)], b[a.n:a.n+min(r, a.own)])
		if r < a.own {
			b[a.n+r] /= c[r]
		}
	}
}

// backward finishes forward: the last elements of b hold the shared unknowns'
// solution, the others what forward left there.
func (a *arrow) backward(b []float64) {
	for r := a.own - 1; r >= 0; r-- {
		for q := r + 1; q < a.k; q++ {
			b[a.n+r] -= a.corner[q*a.k+r] * b[a.n+q]
		}
		b[a.n+r] /= a.corner[r*a.k+r]
	}
	for r := range a.k {
		v := b[a.n+r]
		for i, s := range a.side[r*a.n : (r+1)*a.n] {
			b[i] -= s * v
		}
	}
	w1 := a.w + 1
	for i := a.n - 1; i >= 0; i-- {
		ri := a.band[i*w1 : (i+1)*w1]
		b[i] /= ri[a.w]
		for j := max(0, i-a.w); j < i; j++ {
			b[j] -= ri[j-i+a.w] * b[i]
		}
	}
}

// solve replaces b by A⁻¹·b; the matrix must be factored.
func (a *arrow) solve(b []float64) {
	a.whiten(b)
	a.colour(b)
}

// whiten replaces b by L⁻¹·b, A = L·Lᵀ: for a covariance A⁻¹ the linear forms
// b become vectors whose scalar products are their covariances. The matrix must
// be factored.
func (a *arrow) whiten(b []float64) {
	a.forward(b)
	for i := a.own; i < a.k; i++ {
		b[a.n+i] = (b[a.n+i] - dot(a.corner[i*a.k+a.own:i*a.k+i], b[a.first():a.n+i])) / a.corner[i*a.k+i]
	}
}

// colour undoes the transpose of whiten: independent numbers of sd one in z
// become unknowns of covariance A⁻¹.
func (a *arrow) colour(z []float64) {
	for i := a.k - 1; i >= a.own; i-- {
		z[a.n+i] /= a.corner[i*a.k+i]
		for j := a.own; j < i; j++ {
			z[a.n+j] -= a.corner[i*a.k+j] * z[a.n+i]
		}
	}
	a.backward(z)
}

// logDet is log |A| of a factored matrix.
func (a *arrow) logDet() float64 {
	var s float64
	for i := range a.n {
		s += math.Log(a.band[i*(a.w+1)+a.w])
	}
	for r := range a.k {
		s += math.Log(a.corner[r*a.k+r])
	}
	return 2 * s
}

// inverse returns the elements of A⁻¹ inside A's own shape. The matrix must be
// reduced; shared is the inverse's block of the shared unknowns (full).
//
// It is the backward recursion of Takahashi, Fagan and Chin (1973): the shape
// is closed under factoring, so every element needed lies inside it.
func (a *arrow) inverse(shared []float64) *arrow {
	z := a.like()
	corner := z.corner
	m := a.k - a.own
	for i := range m {
		copy(corner[(a.own+i)*a.k+a.own:], shared[i*m:(i+1)*m])
	}
	for j := a.own - 1; j >= 0; j-- {
		d := a.corner[j*a.k+j]
		for i := a.k - 1; i >= j; i-- {
			var s float64
			if i == j {
				s = -1 / d
			}
			for l := j + 1; l < a.k; l++ {
				s += a.corner[l*a.k+j] * corner[i*a.k+l]
			}
			corner[i*a.k+j], corner[j*a.k+i] = -s/d, -s/d
		}
	}
	w1 := a.w + 1
	col := make([]float64, a.w) // L(j+1+p, j)
	for j := a.n - 1; j >= 0; j-- {
		d := a.band[j*w1+a.w]
		hi := min(a.n-1, j+a.w)
		for i := j + 1; i <= hi; i++ {
			col[i-j-1] = a.band[i*w1+j-i+a.w]
		}
		for r := range a.k { // border against j
			var s float64
			for i := j + 1; i <= hi; i++ {
				s += col[i-j-1] * z.side[r*a.n+i]
			}
			for q := range a.k {
				s += a.side[q*a.n+j] * corner[r*a.k+q]
			}
			z.side[r*a.n+j] = -s / d
		}
		for i := hi; i >= j; i-- { // band against j
			var s float64
			if i == j {
				s = -1 / d
			}
			for l := j + 1; l <= hi; l++ {
				s += col[l-j-1] * *z.cell(i, l)
			}
			for q := range a.k {
				s += a.side[q*a.n+j] * z.side[q*a.n+i]
			}
			*z.cell(i, j) = -s / d
		}
	}
	return z
}

// form is the value rᵀ·A·r.
func (a *arrow) form(r row) float64 {
	var s float64
	for p, i := range r.idx {
		for q, j := range r.idx {
			s += r.val[p] * r.val[q] * *a.cell(i, j)
		}
	}
	return s
}
