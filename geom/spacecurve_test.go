package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

func assertVec3(t testing.TB, want, got r3.Vec, tol float64, msg ...any) {
	t.Helper()
	assert.LessOrEqual(t, r3.Norm(r3.Sub(want, got)), tol, msg...)
}

// saddle is a closed edge in space: an ellipse on the saddle z = xy/1000.
func saddle(u float64) r3.Vec {
	p := r3.Vec{X: 700 * math.Cos(u), Y: 400 * math.Sin(u)}
	p.Z = p.X * p.Y / 1000
	return p
}

func saddleCurve(t testing.TB, n int) *SpaceCurve {
	t.Helper()
	params, pts := make([]float64, n+1), make([]r3.Vec, n)
	for i := range params {
		params[i] = 2 * math.Pi * float64(i) / float64(n)
		if i < n {
			pts[i] = saddle(params[i])
		}
	}
	c, err := InterpolateClosed3(params, pts)
	require.NoError(t, err)
	for i, p := range pts {
		assertVec3(t, p, c.At(params[i]), 1e-10)
	}
	return c
}

// TestSpaceCurvePlan: seen from above it is the plane curve of the same knots
// and control points.
func TestSpaceCurvePlan(t *testing.T) {
	c := saddleCurve(t, 60)
	plan, err := c.Plan()
	require.NoError(t, err)
	assert.Equal(t, c.Knots(), plan.Knots())
	eachSpan(plan, 4, func(u float64) {
		p := c.At(u)
		assertVec(t, plan.At(u), r2.Vec{X: p.X, Y: p.Y}, 1e-10)
	})
}

func TestSpaceCurveDerivs(t *testing.T) {
	const h = 1e-5
	c := saddleCurve(t, 200)
	for u := 0.1; u < 6; u += 0.37 {
		p, d, e, _ := c.Derivs(u)
		assertVec3(t, c.At(u), p, 0)
		p0, d0, _, _ := c.Derivs(u - h)
		p1, d1, _, _ := c.Derivs(u + h)
		assertVec3(t, r3.Scale(1/(2*h), r3.Sub(p1, p0)), d, 1e-5)
		assertVec3(t, r3.Scale(1/(2*h), r3.Sub(d1, d0)), e, 0.05)
		assertVec3(t, saddle(u), p, 1e-5)
		lo, hi := c.Period()
		assertVec3(t, p, c.At(u+hi-lo), 1e-9)
	}
}

// TestSpaceCurveLength: a tilted ellipse is as long as a level one (published
// perimeter), and the length has an inverse.
func TestSpaceCurveLength(t *testing.T) {
	level := ellipse(t, 700, 400, 720)
	ctrl := lift(level.Ctrl())
	for i, p := range ctrl {
		ctrl[i] = r3.Rotate(p, 0.6, r3.Vec{X: 1, Y: 2, Z: 0.3})
	}
	c, err := NewSpaceCurve(level.Knots(), ctrl)
	require.NoError(t, err)
	assert.InEpsilon(t, 3520.316219729, c.Length(), 1e-9)
	for s := -100.0; s < 4000; s += 130.7 {
		assert.InDelta(t, s, c.LengthTo(c.ParamAt(s)), 1e-6)
	}
}

func TestFitClosed3(t *testing.T) {
	c, err := FitClosed3(saddle, []float64{0, math.Pi, 2 * math.Pi}, 1e-3)
	require.NoError(t, err)
	worst := 0.0
	for u := 0.0; u < 6.3; u += 0.0007 {
		worst = math.Max(worst, r3.Norm(r3.Sub(saddle(u), c.At(u))))
	}
	assert.LessOrEqual(t, worst, 1.02e-3)
	_, err = FitClosed3(saddle, []float64{0, 3}, 1e-3)
	assert.ErrorContains(t, err, "close")
}

// TestSpaceCurveTransform: a mirror image runs backwards from the same start,
// and mirrored twice is the identity; a rigid motion keeps the sense.
func TestSpaceCurveTransform(t *testing.T) {
	mirror := func(p r3.Vec) r3.Vec { return r3.Vec{X: -p.X, Y: p.Y, Z: p.Z} }
	c := saddleCurve(t, 40)
	m, err := c.Transform(mirror)
	require.NoError(t, err)
	lo, hi := c.Period()
	for u := 0.0; u < 6.3; u += 0.1 {
		assertVec3(t, mirror(c.At(u)), m.At(lo+hi-u), 1e-9)
	}
	_, err = m.Plan()
	assert.NoError(t, err, "counter-clockwise still")
	back, err := m.Transform(mirror)
	require.NoError(t, err)
	assert.Equal(t, c.Ctrl(), back.Ctrl())

	turn := func(p r3.Vec) r3.Vec { return r3.Add(r3.Rotate(p, 0.5, r3.Vec{X: 1, Z: 2}), r3.Vec{Z: 90}) }
	moved, err := c.Transform(turn)
	require.NoError(t, err)
	assertVec3(t, turn(c.At(1)), moved.At(1), 1e-9)
	assert.Equal(t, c.Knots(), moved.Knots())
}

// TestSpaceCurveClamped evaluates the clamped form coordinate by coordinate
// with de Boor's algorithm.
func TestSpaceCurveClamped(t *testing.T) {
	rng := rand.New(rand.NewPCG(10, 1))
	knots := risingKnots(rng, 9)
	ctrl := make([]r3.Vec, 9)
	for i := range ctrl {
		ctrl[i] = r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}
	}
	c, err := NewSpaceCurve(knots, ctrl)
	require.NoError(t, err)
	full, pts := c.Clamped()
	require.Len(t, full, 9+7)
	require.Len(t, pts, 9+3)
	assert.Equal(t, pts[0], pts[11])
	xz := make([]r2.Vec, len(pts))
	for i, p := range pts {
		xz[i] = r2.Vec{X: p.X, Y: p.Z}
	}
	lo, hi := c.Period()
	for k := range 100 {
		u := lo + (hi-lo)*float64(k)/100
		p := c.At(u)
		assertVec(t, r2.Vec{X: p.X, Y: p.Z}, deBoor(full, xz, u), 1e-12)
	}
}

func TestSpaceCurveRefuses(t *testing.T) {
	knots := []float64{0, 1, 2, 3, 4}
	square := []r3.Vec{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}}
	c, err := NewSpaceCurve(knots, square)
	require.NoError(t, err)
	assert.Equal(t, 4, c.N())
	_, err = NewSpaceCurve(knots[:4], square)
	assert.Error(t, err)
	_, err = NewSpaceCurve(knots, []r3.Vec{{X: 1}, {Y: 1}, {X: -1}, {Z: math.NaN()}})
	assert.ErrorContains(t, err, "control point 3")
	_, err = InterpolateClosed3(knots, []r3.Vec{{X: 1}, {Y: 1}, {X: -1, Z: math.Inf(1)}, {Y: -1}})
	assert.ErrorContains(t, err, "point 2")
	upright, err := NewSpaceCurve(knots, []r3.Vec{{X: 1}, {Z: 1}, {X: -1}, {Z: -1}})
	require.NoError(t, err)
	_, err = upright.Plan()
	assert.Error(t, err, "no area in plan")
	clockwise, err := NewSpaceCurve(knots, []r3.Vec{{Y: -1}, {X: -1}, {Y: 1}, {X: 1}})
	require.NoError(t, err)
	_, err = clockwise.Plan()
	assert.Error(t, err)
}

func BenchmarkSpaceCurveAt(b *testing.B) {
	c := saddleCurve(b, 200)
	for i := 0; b.Loop(); i++ {
		c.At(float64(i % 6))
	}
}
