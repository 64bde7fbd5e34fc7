package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// TestInterpolateClosedPublished compares with the periodic cubic interpolant
// of FITPACK and of CubicSpline, scipy 1.10.1. It is unique.
func TestInterpolateClosedPublished(t *testing.T) {
	const tol = 1e-9 // mm
	params := chordParams(eightPoints)
	require.InDelta(t, 2098.175772476424, params[8], tol)
	c, err := InterpolateClosed(params, eightPoints)
	require.NoError(t, err)

	assertVec(t, r2.Vec{X: 394.004570713007, Y: 51.865303942696}, c.At(50), tol)
	assertVec(t, r2.Vec{X: 27.069310836915, Y: 249.985391117851}, c.At(500), tol)
	assertVec(t, r2.Vec{X: -350.641751114628, Y: -146.132918349558}, c.At(1200), tol)
	_, d, _, _ := c.Derivs(50)
	assertVec(t, r2.Vec{X: -0.234096621876, Y: 1.020295812982}, d, tol)
	_, d, _, _ = c.Derivs(500)
	assertVec(t, r2.Vec{X: -1.101469011635, Y: 0.002439131483}, d, tol)
	_, d, _, _ = c.Derivs(1200)
	assertVec(t, r2.Vec{X: 0.602019379097, Y: -0.813371377916}, d, tol)
	assert.InEpsilon(t, 340401.85658607783, c.Area(), 1e-9)
	assert.InEpsilon(t, 2151.186101380713, c.Length(), 1e-9)
}

// TestInterpolateClosedPassesThrough its points, whatever the knots.
func TestInterpolateClosedPassesThrough(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 1))
	for range 20 {
		n := 4 + rng.IntN(40)
		params := risingKnots(rng, n)
		pts := make([]r2.Vec, n)
		for i := range pts {
			a := 2 * math.Pi * float64(i) / float64(n)
			pts[i] = r2.Vec{X: 700*math.Cos(a) + rng.NormFloat64(), Y: 400*math.Sin(a) + rng.NormFloat64()}
		}
		c, err := InterpolateClosed(params, pts)
		if err != nil {
			continue // so uneven that it turned over
		}
		for i, p := range pts {
			assertVec(t, p, c.At(params[i]), 1e-9)
		}
	}
}

func TestInterpolateClosedRefuses(t *testing.T) {
	pts := eightPoints
	params := chordParams(pts)
	reversed := make([]r2.Vec, len(pts))
	for i, p := range pts {
		reversed[len(pts)-1-i] = p
	}
	_, err := InterpolateClosed(params, reversed)
	assert.ErrorContains(t, err, "clockwise")
	_, err = InterpolateClosed(params[:8], pts)
	assert.ErrorContains(t, err, "knots")
	_, err = InterpolateClosed(params[:4], pts[:3])
	assert.Error(t, err)
	broken := append([]r2.Vec(nil), pts...)
	broken[3].Y = math.NaN()
	_, err = InterpolateClosed(params, broken)
	assert.ErrorContains(t, err, "point 3")
}

// TestFitClosedWithinTolerance checks the fit between its own checks.
func TestFitClosedWithinTolerance(t *testing.T) {
	f, breaks := filleted(rectangle(400, 250), []float64{40, 8, 120, 25})
	for _, tol := range []float64{0.5, 0.02, 0.001} {
		c, err := FitClosed(f, breaks, tol)
		require.NoError(t, err)
		worst := 0.0
		eachSpan(c, 37, func(u float64) { worst = math.Max(worst, r2.Norm(r2.Sub(f(u), c.At(u)))) })
		assert.LessOrEqual(t, worst, 1.02*tol, "tol %g", tol)
		lo, hi := c.Period()
		assert.Equal(t, [2]float64{breaks[0], breaks[len(breaks)-1]}, [2]float64{lo, hi})
	}
}

// TestFitClosedOfSpline: a spline is its own fit, so nothing is refined.
func TestFitClosedOfSpline(t *testing.T) {
	c := blob(t, rand.New(rand.NewPCG(2, 2)), 17)
	d, err := FitClosed(c.At, c.Knots(), 1e-8)
	require.NoError(t, err)
	assert.Equal(t, c.N(), d.N())
	for j, p := range c.Ctrl() {
		assertVec(t, p, d.Ctrl()[j], 1e-9)
	}
}

// assertSymmetric checks a curve to be its own mirror image in x = 0, knot by
// knot and control point by control point.
func assertSymmetric(t *testing.T, c *Curve) {
	t.Helper()
	n := c.N()
	for i := range n {
		assert.InDelta(t, c.u[i]-c.u[0], c.u[n]-c.u[n-i], 1e-9, "knot %d of %d", i, n)
		p := c.ctrl[(n-i)%n]
		assertVec(t, r2.Vec{X: -p.X, Y: p.Y}, c.ctrl[i], 1e-9, "control point %d of %d", i, n)
	}
}

// TestFitClosedSymmetric over many tolerances, so that a decision on rounding
// would show.
func TestFitClosedSymmetric(t *testing.T) {
	corners := []r2.Vec{
		{X: -300, Y: -330}, {X: 300, Y: -330}, {X: 700, Y: -360}, {X: 540, Y: 330},
		{X: 0, Y: 350}, {X: -540, Y: 330}, {X: -700, Y: -360},
	}
	f, breaks := filleted(corners, []float64{1500, 1500, 60, 30, 5000, 30, 60})
	for tol := 1.0; tol > 1e-4; tol /= 1.37 {
		c, err := FitClosed(f, breaks, tol)
		require.NoError(t, err)
		assertSymmetric(t, c)
	}
}

func TestFitClosedRefuses(t *testing.T) {
	circle := func(u float64) r2.Vec { return r2.Vec{X: 100 * math.Cos(u), Y: 100 * math.Sin(u)} }
	whole := []float64{0, 2 * math.Pi}
	for name, tc := range map[string]struct {
		f      func(float64) r2.Vec
		breaks []float64
		tol    float64
		says   string
	}{
		"clockwise":    {func(u float64) r2.Vec { return circle(-u) }, whole, 0.01, "clockwise"},
		"open":         {circle, []float64{0, 3}, 0.01, "close"},
		"no number":    {func(u float64) r2.Vec { return r2.Vec{X: math.NaN()} }, whole, 0.01, "close"},
		"hole":         {func(u float64) r2.Vec { return r2.Scale(1/math.Max(0, math.Abs(u-math.Pi)-0.1), circle(u)) }, whole, 0.01, "not finite"},
		"step":         {func(u float64) r2.Vec { return r2.Scale(math.Copysign(1, u-2)*math.Copysign(0.1, u-4)+1, circle(u)) }, whole, 0.01, "within"},
		"no tolerance": {circle, whole, 0, "tolerance"},
		"nan":          {circle, whole, math.NaN(), "tolerance"},
		"no breaks":    {circle, nil, 0.01, "knots"},
		"one break":    {circle, []float64{1}, 0.01, "knots"},
		"falling":      {circle, []float64{0, 3, 2, 2 * math.Pi}, 0.01, "rise"},
	} {
		_, err := FitClosed(tc.f, tc.breaks, tc.tol)
		assert.ErrorContains(t, err, tc.says, name)
	}
}

func BenchmarkFitClosed(b *testing.B) {
	f, breaks := filleted(rectangle(1400, 700), []float64{40, 40, 25, 25})
	for b.Loop() {
		if _, err := FitClosed(f, breaks, 0.005); err != nil {
			b.Fatal(err)
		}
	}
}
