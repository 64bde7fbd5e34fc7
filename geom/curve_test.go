package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// eightPoints is the closed outline of the published block of check values.
var eightPoints = []r2.Vec{
	{X: 400, Y: 0}, {X: 320, Y: 180}, {X: 0, Y: 250}, {X: -320, Y: 180},
	{X: -400, Y: 0}, {X: -320, Y: -180}, {X: 0, Y: -250}, {X: 320, Y: -180},
}

// chordParams returns the cumulative chord lengths of a closed point list.
func chordParams(pts []r2.Vec) []float64 {
	params := []float64{0}
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		params = append(params, params[i]+math.Hypot(q.X-p.X, q.Y-p.Y))
	}
	return params
}

func assertVec(t *testing.T, want, got r2.Vec, tol float64, msg ...any) {
	t.Helper()
	assert.InDelta(t, want.X, got.X, tol, msg...)
	assert.InDelta(t, want.Y, got.Y, tol, msg...)
}

// eachSpan calls visit with m parameters a span of the curve, the knots included.
func eachSpan(c *Curve, m int, visit func(u float64)) {
	for i := range c.N() {
		for k := range m {
			visit(c.u[i] + (c.u[i+1]-c.u[i])*float64(k)/float64(m))
		}
	}
}

// blob returns a star-shaped curve on n uneven knots.
func blob(t testing.TB, rng *rand.Rand, n int) *Curve {
	knots := risingKnots(rng, n)
	ctrl := make([]r2.Vec, n)
	for j := range ctrl {
		a := 2 * math.Pi * float64(j) / float64(n)
		r := 500 * (1 + 0.3*rng.Float64())
		ctrl[j] = r2.Vec{X: r * math.Cos(a), Y: r * math.Sin(a)}
	}
	c, err := NewCurve(knots, ctrl)
	require.NoError(t, err)
	return c
}

func TestNewCurveRefuses(t *testing.T) {
	knots := []float64{0, 1, 2, 3, 4}
	square := []r2.Vec{{X: 1, Y: 0}, {X: 0, Y: 1}, {X: -1, Y: 0}, {X: 0, Y: -1}}
	with := func(j int, p r2.Vec) []r2.Vec {
		out := append([]r2.Vec(nil), square...)
		out[j] = p
		return out
	}
	_, err := NewCurve(knots, square)
	require.NoError(t, err)
	for name, ctrl := range map[string][]r2.Vec{
		"clockwise": {square[0], square[3], square[2], square[1]},
		"flat":      {{X: 1}, {X: 2}, {X: 3}, {X: 4}},
		"a point":   make([]r2.Vec, 4),
		"no number": with(2, r2.Vec{X: math.NaN()}),
		"infinite":  with(2, r2.Vec{Y: math.Inf(-1)}),
		"overflow":  {{X: 1e200}, {Y: 1e200}, {X: -1e200}, {Y: -1e200}},
		"three":     square[:3],
		"none":      nil,
	} {
		_, err := NewCurve(knots, ctrl)
		assert.Error(t, err, name)
	}
}

// TestCurveCopies: neither what goes in nor what comes out is shared.
func TestCurveCopies(t *testing.T) {
	c := blob(t, rand.New(rand.NewPCG(1, 9)), 8)
	knots, ctrl := c.Knots(), c.Ctrl()
	d, err := NewCurve(knots, ctrl)
	require.NoError(t, err)
	knots[1], ctrl[1] = 99, r2.Vec{}
	assert.Equal(t, c.Knots(), d.Knots())
	assert.Equal(t, c.Ctrl(), d.Ctrl())
}

// TestSymmetryOfIndices: control point j belongs to knot j, so mirrored knots
// and control points give a mirrored curve.
func TestSymmetryOfIndices(t *testing.T) {
	knots := []float64{0, 1, 3, 4, 7, 10, 11, 13, 14}
	half := []r2.Vec{{X: 0, Y: -300}, {X: 350, Y: -310}, {X: 500, Y: -100}, {X: 330, Y: 200}, {X: 0, Y: 260}}
	ctrl := append([]r2.Vec(nil), half...)
	for j := 3; j >= 1; j-- {
		ctrl = append(ctrl, r2.Vec{X: -half[j].X, Y: half[j].Y})
	}
	c, err := NewCurve(knots, ctrl)
	require.NoError(t, err)
	for u := 0.0; u < 7; u += 0.13 {
		p, q := c.At(u), c.At(14-u)
		assertVec(t, r2.Vec{X: -p.X, Y: p.Y}, q, 1e-11)
	}
	assert.InDelta(t, 0, c.At(0).X, 1e-12)
	assert.InDelta(t, 0, c.Tangent(0).Y, 1e-12)
}

// TestAtAgreesWithBasis: the polynomials and the weights are the same curve.
func TestAtAgreesWithBasis(t *testing.T) {
	c := blob(t, rand.New(rand.NewPCG(1, 3)), 13)
	eachSpan(c, 5, func(u float64) {
		p, d1, d2, _ := c.Derivs(u)
		idx, b, db, ddb := c.Basis(u)
		var q, e1, e2 r2.Vec
		for k, j := range idx {
			q = r2.Add(q, r2.Scale(b[k], c.ctrl[j]))
			e1 = r2.Add(e1, r2.Scale(db[k], c.ctrl[j]))
			e2 = r2.Add(e2, r2.Scale(ddb[k], c.ctrl[j]))
		}
		assertVec(t, q, p, 1e-10)
		assertVec(t, e1, d1, 1e-10)
		assertVec(t, e2, d2, 1e-10)
		assertVec(t, p, c.At(u), 0)
	})
}

// TestDerivsAgainstDifferences, also over the knots, where all but the third
// derivative are continuous.
func TestDerivsAgainstDifferences(t *testing.T) {
	const h = 1e-4
	c := blob(t, rand.New(rand.NewPCG(1, 4)), 11)
	eachSpan(c, 4, func(u float64) {
		p0, d0, _, _ := c.Derivs(u - h)
		p1, d1, _, _ := c.Derivs(u + h)
		_, d, e, f := c.Derivs(u)
		assertVec(t, r2.Scale(1/(2*h), r2.Sub(p1, p0)), d, 1e-4, "first at %g", u)
		assertVec(t, r2.Scale(1/(2*h), r2.Sub(d1, d0)), e, 0.1, "second at %g", u) // the third jumps
		_, _, e1, _ := c.Derivs(u + h)
		assertVec(t, r2.Scale(1/h, r2.Sub(e1, e)), f, 1e-5, "third at %g", u)
	})
}

func TestPeriodic(t *testing.T) {
	c := blob(t, rand.New(rand.NewPCG(1, 5)), 9)
	lo, hi := c.Period()
	eachSpan(c, 3, func(u float64) {
		assertVec(t, c.At(u), c.At(u+(hi-lo)), 1e-9)
		assertVec(t, c.At(u), c.At(u-3*(hi-lo)), 1e-9)
	})
	assertVec(t, c.At(lo), c.At(hi), 0)
}

// TestTangentNormalCurvature on an ellipse, whose curvature is known: the
// normal points out and curvature is positive.
func TestTangentNormalCurvature(t *testing.T) {
	const a, b = 700, 400
	c := ellipse(t, a, b, 400)
	for _, u := range []float64{0.1, 1, 2.2, 4, 5.9} {
		cos, sin := math.Cos(u), math.Sin(u)
		speed := math.Hypot(a*sin, b*cos)
		assertVec(t, r2.Vec{X: -a * sin / speed, Y: b * cos / speed}, c.Tangent(u), 1e-7)
		assertVec(t, r2.Vec{X: b * cos / speed, Y: a * sin / speed}, c.Normal(u), 1e-7)
		assert.InEpsilon(t, a*b/(speed*speed*speed), c.Curvature(u), 1e-4)
	}
}

// TestStandstill: where three control points coincide the curve stands still,
// and still has a tangent.
func TestStandstill(t *testing.T) {
	p := r2.Vec{X: 500, Y: 0}
	c, err := NewCurve([]float64{0, 1, 2, 3, 4, 5, 6}, []r2.Vec{{X: 0, Y: -300}, p, p, p, {X: 0, Y: 300}, {X: -400}})
	require.NoError(t, err)
	assert.InDelta(t, 1, r2.Norm(c.Tangent(2)), 1e-12)
	assert.InDelta(t, 1, r2.Norm(c.Normal(2)), 1e-12)
	assert.False(t, math.IsNaN(c.Curvature(2)))
	_, d := c.Nearest(r2.Vec{X: 600})
	assert.InDelta(t, 100, d, 1e-6)
}

// TestClamped evaluates the clamped form with de Boor's algorithm.
func TestClamped(t *testing.T) {
	for _, n := range []int{4, 5, 12} {
		c := blob(t, rand.New(rand.NewPCG(1, 6)), n)
		knots, ctrl := c.Clamped()
		require.Len(t, ctrl, n+3)
		require.Len(t, knots, n+7)
		assert.Equal(t, ctrl[0], ctrl[n+2])
		for k := range 4 {
			assert.Equal(t, c.u[0], knots[k])
			assert.Equal(t, c.u[n], knots[n+3+k])
		}
		eachSpan(c, 6, func(u float64) { assertVec(t, c.At(u), deBoor(knots, ctrl, u), 1e-10) })
		assertVec(t, c.At(c.u[n]), deBoor(knots, ctrl, c.u[n]), 1e-10)
	}
}

// deBoor evaluates an open cubic B-spline by repeated interpolation.
func deBoor(knots []float64, ctrl []r2.Vec, u float64) r2.Vec {
	k := 3
	for k+1 < len(ctrl) && knots[k+1] <= u {
		k++
	}
	d := append([]r2.Vec(nil), ctrl[k-3:k+1]...)
	for r := 1; r <= 3; r++ {
		for j := 3; j >= r; j-- {
			i := k - 3 + j
			s := (u - knots[i]) / (knots[i+4-r] - knots[i])
			d[j] = r2.Add(r2.Scale(1-s, d[j-1]), r2.Scale(s, d[j]))
		}
	}
	return d[3]
}

func BenchmarkAt(b *testing.B) {
	c := screen(b)
	for i := 0; b.Loop(); i++ {
		c.At(float64(i % 3700))
	}
}
