package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// risingKnots returns n+1 knots whose spans differ by up to thirty times.
func risingKnots(rng *rand.Rand, n int) []float64 {
	knots := []float64{rng.NormFloat64()}
	for range n {
		knots = append(knots, knots[len(knots)-1]+math.Pow(30, rng.Float64()))
	}
	return knots
}

// TestCubicBasisUniform: the values at a knot, at mid-span and at a quarter,
// as scipy 1.10.1 gives them too.
func TestCubicBasisUniform(t *testing.T) {
	k := [6]float64{-2, -1, 0, 1, 2, 3}
	for _, tc := range []struct {
		x    float64
		want [4]float64
	}{
		{0, [4]float64{1. / 6, 2. / 3, 1. / 6, 0}},
		{0.5, [4]float64{1. / 48, 23. / 48, 23. / 48, 1. / 48}},
		{0.25, [4]float64{0.0703125, 0.611979166667, 0.315104166667, 0.002604166667}},
		{1, [4]float64{0, 1. / 6, 2. / 3, 1. / 6}},
	} {
		b, _, _, _ := cubicBasis(&k, tc.x)
		assert.InDeltaSlice(t, tc.want[:], b[:], 1e-12, "at %g", tc.x)
	}
}

// TestCubicBasisClamped: with fourfold ends the weights are the Bernstein
// polynomials.
func TestCubicBasisClamped(t *testing.T) {
	k := [6]float64{2, 2, 2, 4, 4, 4}
	for _, s := range []float64{0, 0.3, 0.5, 1} {
		b, db, _, _ := cubicBasis(&k, 2+2*s)
		r := 1 - s
		assert.InDeltaSlice(t, []float64{r * r * r, 3 * s * r * r, 3 * s * s * r, s * s * s}, b[:], 1e-15)
		assert.InDelta(t, -3*r*r/2, db[0], 1e-15)
	}
}

// TestBasisSums: the weights sum to one, their derivatives to nought, and
// weighted by the knot averages they give the parameter back.
func TestBasisSums(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for range 50 {
		r, err := newRing(risingKnots(rng, 5+rng.IntN(20)), 0)
		require.Error(t, err)
		knots := risingKnots(rng, 5+rng.IntN(20))
		r, err = newRing(knots, len(knots)-1)
		require.NoError(t, err)
		span := rng.IntN(r.n())
		h := knots[span+1] - knots[span]
		at := h * rng.Float64()
		b, db, ddb, dddb := r.basis(span, at)
		sum := func(w [4]float64, f func(j int) float64) (s float64) {
			for k, v := range w {
				s += v * f(span-1+k)
			}
			return s
		}
		one := func(int) float64 { return 1 }
		average := func(j int) float64 { return (r.knot(j-1) + r.knot(j) + r.knot(j+1)) / 3 }
		assert.InDelta(t, 1, sum(b, one), 1e-14)
		assert.InDelta(t, 0, sum(db, one)*h, 1e-13)
		assert.InDelta(t, 0, sum(ddb, one)*h*h, 1e-13)
		assert.InDelta(t, 0, sum(dddb, one)*h*h*h, 1e-12)
		assert.InDelta(t, knots[span]+at, sum(b, average), 1e-12*(1+math.Abs(knots[span])))
		assert.InDelta(t, 1, sum(db, average), 1e-12)
	}
}

// TestBasisDerivatives compares each derivative with central differences of
// the one before it.
func TestBasisDerivatives(t *testing.T) {
	k := [6]float64{-3, -1, 0, 2, 2.5, 5}
	const h = 1e-5
	for _, x := range []float64{0.1, 0.9, 1.7} {
		b0, d0, e0, _ := cubicBasis(&k, x-h)
		b1, d1, e1, _ := cubicBasis(&k, x+h)
		_, d, e, f := cubicBasis(&k, x)
		for i := range d {
			assert.InDelta(t, (b1[i]-b0[i])/(2*h), d[i], 1e-9)
			assert.InDelta(t, (d1[i]-d0[i])/(2*h), e[i], 1e-9)
			assert.InDelta(t, (e1[i]-e0[i])/(2*h), f[i], 1e-9)
		}
	}
}

func TestLocate(t *testing.T) {
	r, err := newRing([]float64{-1, 0, 2, 3, 5}, 4)
	require.NoError(t, err)
	for _, tc := range []struct {
		u    float64
		span int
		t    float64
	}{
		{-1, 0, 0}, {-0.5, 0, 0.5}, {0, 1, 0}, {1.5, 1, 1.5}, {2, 2, 0}, {4.75, 3, 1.75},
		{5, 0, 0}, {5.5, 0, 0.5}, {-1.25, 3, 1.75}, {-13, 0, 0}, {1.5 + 600, 1, 1.5},
		{math.Nextafter(-1, -2), 3, 2}, {math.Nextafter(5, 0), 3, 2},
	} {
		span, at := r.locate(tc.u)
		if tc.t == 2 && span == 0 { // the last bit may fall either way
			assert.Zero(t, at)
			continue
		}
		assert.Equal(t, tc.span, span, "u = %g", tc.u)
		assert.InDelta(t, tc.t, at, 1e-12, "u = %g", tc.u)
	}
	for _, u := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		assert.NotPanics(t, func() { r.locate(u) })
	}
}

func TestKnotContinues(t *testing.T) {
	knots := []float64{-1, 0, 2, 3, 5}
	r, err := newRing(knots, 4)
	require.NoError(t, err)
	for i := -9; i <= 13; i++ {
		turns := math.Floor(float64(i) / 4)
		assert.Equal(t, knots[i-4*int(turns)]+6*turns, r.knot(i), "knot %d", i)
	}
}

func TestNewRingRefuses(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for name, knots := range map[string][]float64{
		"too few":    {0, 1, 2, 3},
		"too many":   {0, 1, 2, 3, 4, 5},
		"equal":      {0, 1, 1, 3, 4},
		"falling":    {0, 2, 1, 3, 4},
		"all equal":  {1, 1, 1, 1, 1},
		"backwards":  {4, 3, 2, 1, 0},
		"a hair":     {0, 1, 1 + 1e-15, 3, 4},
		"not number": {0, 1, nan, 3, 4},
		"ends nan":   {nan, 1, 2, 3, 4},
		"infinite":   {0, 1, 2, 3, inf},
		"overflow":   {-1.7e308, 1, 2, 3, 1.7e308},
	} {
		_, err := newRing(knots, 4)
		assert.Error(t, err, name)
	}
	_, err := newRing([]float64{0, 1, 2, 3}, 3)
	assert.Error(t, err, "three control points")
}

// TestSolveRing puts the solution back into the system.
func TestSolveRing(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 2))
	for _, n := range []int{4, 5, 17, 200} {
		off, diag := make([]float64, n), make([]float64, n)
		right := make([]r3.Vec, n)
		for i := range off {
			off[i] = math.Pow(100, rng.Float64())
			right[i] = r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}
		}
		for i := range diag {
			diag[i] = 2 * (off[i] + off[(i+n-1)%n])
		}
		x := append([]r3.Vec(nil), right...)
		solveRing(append([]float64(nil), diag...), off, x)
		for i := range x {
			before, after := (i+n-1)%n, (i+1)%n
			got := r3.Add(r3.Scale(diag[i], x[i]), r3.Add(r3.Scale(off[before], x[before]), r3.Scale(off[i], x[after])))
			assert.Less(t, r3.Norm(r3.Sub(got, right[i])), 1e-12, "n %d row %d", n, i)
		}
	}
}

func BenchmarkBasis(b *testing.B) {
	r, err := newRing(risingKnots(rand.New(rand.NewPCG(1, 1)), 200), 200)
	require.NoError(b, err)
	for i := 0; b.Loop(); i++ {
		r.basis(i%200, 0.5)
	}
}
