package geom

import (
	"math"
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
