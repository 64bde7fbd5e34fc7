package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// TestAreaCentroidAgainstPolygon: the same two ways. A polygon's area falls
// short by the square of its step, which Richardson's rule takes out.
func TestAreaCentroidAgainstPolygon(t *testing.T) {
	for seed := range uint64(5) {
		c := blob(t, rand.New(rand.NewPCG(5, seed)), 12)
		flat := func(m int) (line Polygon) {
			eachSpan(c, m, func(u float64) { line = append(line, c.At(u)) })
			return line
		}
		coarse, fine := flat(200), flat(400)
		assert.InEpsilon(t, (4*fine.Area()-coarse.Area())/3, c.Area(), 1e-10)
		assertVec(t, flat(3000).Centroid(), c.Centroid(), 1e-4)
	}
}

// TestAreaFarAway: rounding does not grow with the distance from the origin.
func TestAreaFarAway(t *testing.T) {
	c := ellipse(t, 700, 400, 100)
	far, err := c.Transform(func(p r2.Vec) r2.Vec { return r2.Add(p, r2.Vec{X: 1e6, Y: -3e6}) })
	require.NoError(t, err)
	assert.InEpsilon(t, c.Area(), far.Area(), 1e-10)
	assertVec(t, r2.Vec{X: 1e6, Y: -3e6}, far.Centroid(), 1e-6)
}

func TestBounds(t *testing.T) {
	box := ellipse(t, 700, 400, 300).Bounds()
	assertVec(t, r2.Vec{X: -700, Y: -400}, box.Min, 1e-5)
	assertVec(t, r2.Vec{X: 700, Y: 400}, box.Max, 1e-5)
	for seed := range uint64(10) {
		c := blob(t, rand.New(rand.NewPCG(5, 100+seed)), 9)
		box, found := c.Bounds(), nowhere
		eachSpan(c, 1000, func(u float64) { grow(&found, c.At(u)) })
		assertVec(t, found.Min, box.Min, 0.01)
		assertVec(t, found.Max, box.Max, 0.01)
		assert.True(t, box.Min.X <= found.Min.X+1e-9 && box.Max.Y >= found.Max.Y-1e-9)
	}
}

func TestQuadraticRoots(t *testing.T) {
	for _, tc := range []struct{ a, b, c, x, y float64 }{
		{2, -3, 1, 1, 2}, {-2, 1, 1, -2, 1}, {0, -3, 1, 0, 3}, {1e-9, -1, 1, 1e-9, 1},
		{-4, 0, 1, -2, 2},
	} {
		got := quadraticRoots(tc.a, tc.b, tc.c)
		assert.InDelta(t, tc.x, math.Min(got[0], got[1]), 1e-12)
		assert.InDelta(t, tc.y, math.Max(got[0], got[1]), 1e-8)
	}
	assert.Contains(t, quadraticRoots(6, -3, 0), 2.0, "a line")
	for _, none := range [][2]float64{quadraticRoots(1, 0, 1), quadraticRoots(3, 0, 0)} {
		for _, x := range none {
			assert.False(t, finite(x))
		}
	}
}

// TestMirroredTwice is the identity; mirrored once, the curve stays
// counter-clockwise and starts at the image of the same point.
func TestMirroredTwice(t *testing.T) {
	mirror := func(p r2.Vec) r2.Vec { return r2.Vec{X: -p.X, Y: p.Y} }
	for seed := range uint64(5) {
		c := blob(t, rand.New(rand.NewPCG(5, 200+seed)), 10)
		m, err := c.Transform(mirror)
		require.NoError(t, err)
		assert.InEpsilon(t, c.Area(), m.Area(), 1e-12)
		lo, hi := c.Period()
		eachSpan(c, 4, func(u float64) { assertVec(t, mirror(c.At(u)), m.At(lo+hi-u), 1e-9) })
		back, err := m.Transform(mirror)
		require.NoError(t, err)
		assert.Equal(t, c.Ctrl(), back.Ctrl())
		assert.InDeltaSlice(t, c.Knots(), back.Knots(), 1e-12)
	}
}

// TestTransformMoves: a turn and a shift move every point and keep what does
// not depend on the place.
func TestTransformMoves(t *testing.T) {
	move := func(p r2.Vec) r2.Vec { return r2.Add(r2.Rotate(p, 0.7, r2.Vec{X: 3}), r2.Vec{Y: 50}) }
	c := screen(t)
	m, err := c.Transform(move)
	require.NoError(t, err)
	eachSpan(c, 2, func(u float64) {
		assertVec(t, move(c.At(u)), m.At(u), 1e-10)
		assert.InDelta(t, c.Curvature(u), m.Curvature(u), 1e-10)
	})
	assert.InEpsilon(t, c.Length(), m.Length(), 1e-12)
	_, err = c.Transform(func(p r2.Vec) r2.Vec { return r2.Vec{X: p.X} })
	assert.Error(t, err, "flattened to a line")
	_, err = c.Transform(func(p r2.Vec) r2.Vec { return r2.Vec{X: math.NaN()} })
	assert.Error(t, err)
}

func TestLeastRadius(t *testing.T) {
	r, u := ellipse(t, 700, 400, 400).LeastRadius()
	assert.InEpsilon(t, 400.*400/700, r, 1e-3)
	assert.InDelta(t, 0, math.Sin(u), 0.02, "at an end of the long axis")
	r, _ = roundCurve(t, 60).LeastRadius()
	assert.InEpsilon(t, 60, r, 1e-4)
	for seed := range uint64(5) {
		c := blob(t, rand.New(rand.NewPCG(5, 300+seed)), 14)
		k, u := c.extremeCurvature(1)
		assert.InDelta(t, k, c.Curvature(u), 1e-12)
		hollow, _ := c.extremeCurvature(-1)
		eachSpan(c, 500, func(u float64) {
			assert.LessOrEqual(t, c.Curvature(u), k+1e-9)
			assert.LessOrEqual(t, -c.Curvature(u), hollow+1e-9)
		})
	}
}

// TestFittedCornerRings: the radius of a fitted corner arc rings at its ends,
// as FitClosed says, by no more than an eighth or so of the jump in curvature.
func TestFittedCornerRings(t *testing.T) {
	r, _ := fitted(t, rectangle(400, 250), 40).LeastRadius()
	assert.InDelta(t, 40, r, 40*0.17)
}
