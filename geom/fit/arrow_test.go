package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// randomArrow is a positive definite matrix built from random rows, and the
// same matrix dense.
func randomArrow(rng *rand.Rand, n, w, k int) (*arrow, *mat.SymDense) {
	a := newArrow(n, w, k)
	d := mat.NewSymDense(n+k, nil)
	for range 4 * (n + k) {
		first := rng.IntN(n)
		var r row
		for range 4 {
			r.idx = append(r.idx, min(n-1, first+rng.IntN(w+1))) // repeats on purpose
			r.val = append(r.val, rng.NormFloat64())
		}
		if k > 0 {
			r.idx = append(r.idx, n+rng.IntN(k))
			r.val = append(r.val, rng.NormFloat64())
		}
		weight := 0.1 + rng.Float64()
		a.addRow(r, weight)
		full := mat.NewVecDense(n+k, nil)
		for p, i := range r.idx {
			full.SetVec(i, full.AtVec(i)+r.val[p])
		}
		d.SymRankOne(d, weight, full)
	}
	for i := range n + k {
		*a.cell(i, i) += 0.5
		d.SetSym(i, i, d.At(i, i)+0.5)
	}
	return a, d
}

func TestArrowAgreesWithDense(t *testing.T) {
	const relative = 1e-10 // of the largest element
	for _, c := range []struct{ n, w, k int }{{1, 0, 0}, {9, 3, 0}, {20, 7, 6}, {40, 5, 3}, {12, 20, 2}, {6, 2, 6}} {
		rng := rand.New(rand.NewPCG(1, uint64(c.n)))
		a, d := randomArrow(rng, c.n, c.w, c.k)
		size := a.size()
		x := make([]float64, size)
		for i := range x {
			x[i] = rng.NormFloat64()
		}
		xv := mat.NewVecDense(size, x)
		require.InEpsilon(t, mat.Inner(xv, d, xv), a.quad(x), relative)
		require.InEpsilon(t, mat.Trace(d), a.trace(), relative)
		var dd mat.Dense
		dd.Mul(d, d)
		require.InEpsilon(t, mat.Trace(&dd), a.product(a), relative)

		var b mat.VecDense
		b.MulVec(d, xv)
		f := a.clone()
		require.NoError(t, f.factor())
		got := append([]float64(nil), b.RawVector().Data...)
		f.solve(got)
		for i := range x {
			require.InDelta(t, x[i], got[i], 1e-8, "unknown %d of %v", i, c)
		}
		var chol mat.Cholesky
		require.True(t, chol.Factorize(d))
		require.InDelta(t, chol.LogDet(), f.logDet(), 1e-9*float64(size))

		var inv mat.SymDense
		require.NoError(t, chol.InverseTo(&inv))
		z := f.inverse(denseInverse(f.corner, c.k))
		scale := mat.Max(&inv)
		for i := range size {
			for j := range i + 1 {
				if i < c.n && i-j > c.w {
					continue
				}
				require.InDelta(t, inv.At(i, j), *z.cell(i, j), relative*scale, "inverse (%d,%d) of %v", i, j, c)
			}
		}
		r := row{idx: []int{0, 0, size - 1}, val: []float64{1, 2, -1}}
		if c.k > 0 {
			want := 9*inv.At(0, 0) - 6*inv.At(0, size-1) + inv.At(size-1, size-1)
			require.InDelta(t, want, z.form(r), 1e-9*scale)
		}
		require.InDelta(t, 3*x[0]-x[size-1], r.dot(x), 1e-12)
	}
}

// The border's Schur complement is what is left of the normal matrix once the
// band is eliminated, so its inverse is the border's block of the inverse.
func TestArrowReduceLeavesSchurComplement(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	a, d := randomArrow(rng, 15, 4, 3)
	require.NoError(t, a.reduce())
	var inv mat.Dense
	require.NoError(t, inv.Inverse(d))
	require.NoError(t, cholesky(a.corner, 3))
	got := denseInverse(a.corner, 3)
	for i := range 3 {
		for j := range 3 {
			require.InDelta(t, inv.At(15+i, 15+j), got[i*3+j], 1e-9)
		}
	}
}

func TestArrowRefusesSingular(t *testing.T) {
	a := newArrow(4, 1, 0)
	a.addRow(row{idx: []int{0, 1}, val: []float64{1, -1}}, 1)
	a.addRow(row{idx: []int{1, 2}, val: []float64{1, -1}}, 1)
	a.addRow(row{idx: []int{2, 3}, val: []float64{1, -1}}, 1)
	require.ErrorIs(t, a.factor(), errSingular) // constants are not carried
	b := newArrow(1, 0, 1)
	*b.cell(0, 0) = math.NaN()
	require.ErrorIs(t, b.factor(), errSingular)
}

// Unknowns of the border that are the matrix's own are eliminated with the band:
// what is left of the shared ones, the inverse and every solution are the same.
func TestArrowOwnBorder(t *testing.T) {
	const own, shared = 2, 3
	rng := rand.New(rand.NewPCG(3, 1))
	a, d := randomArrow(rng, 17, 4, own+shared)
	a.own = own
	size := a.size()
	require.Equal(t, 19, a.first())
	var inv mat.Dense
	require.NoError(t, inv.Inverse(d))
	f := a.clone()
	require.NoError(t, f.reduce())
	left := f.shared()
	require.NoError(t, cholesky(left, shared))
	block := denseInverse(left, shared)
	for i := range shared {
		for j := range shared {
			require.InDelta(t, inv.At(19+i, 19+j), block[i*shared+j], 1e-9)
		}
	}
	z := f.inverse(block)
	for i := range size {
		for j := range i + 1 {
			if i >= a.n || i-j <= a.w {
				require.InDelta(t, inv.At(i, j), *z.cell(i, j), 1e-9, "inverse (%d,%d)", i, j)
			}
		}
	}

	// with the shared unknowns held, the others are a matrix of their own
	alone := f.alone()
	x := make([]float64, size)
	for i := range a.first() {
		x[i] = rng.NormFloat64()
	}
	var b mat.VecDense
	b.MulVec(d, mat.NewVecDense(size, x))
	got := append([]float64(nil), b.RawVector().Data[:a.first()]...)
	alone.solve(got)
	for i := range got {
		require.InDelta(t, x[i], got[i], 1e-9)
	}

	require.NoError(t, f.factorCorner(own, own+shared))
	for i := range size {
		x[i] = rng.NormFloat64()
	}
	b.MulVec(d, mat.NewVecDense(size, x))
	got = append([]float64(nil), b.RawVector().Data...)
	f.solve(got)
	for i := range x {
		require.InDelta(t, x[i], got[i], 1e-9)
	}
	var chol mat.Cholesky
	require.True(t, chol.Factorize(d))
	require.InDelta(t, chol.LogDet(), f.logDet(), 1e-9)

	// whitened forms have the inverse for their products, coloured noise for its covariance
	p, q := make([]float64, size), make([]float64, size)
	p[3], q[18] = 1, 1
	f.whiten(p)
	f.whiten(q)
	require.InDelta(t, inv.At(3, 18), dot(p, q), 1e-9)
	var cov float64
	for i := range size {
		e := make([]float64, size)
		e[i] = 1
		f.colour(e)
		cov += e[3] * e[18]
	}
	require.InDelta(t, inv.At(3, 18), cov, 1e-9)
}
