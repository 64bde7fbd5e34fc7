package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// TestLeastRadiusOverCorners: the corners of a rounded rectangle come back
// within 0.5 %, over 4 mm where the curve is fitted to 0.02 µm and over half the
// corner where it is fitted to 5 µm; pointwise they do not.
func TestLeastRadiusOverCorners(t *testing.T) {
	const within = 0.005
	for _, r := range []float64{12, 25, 40, 60, 120} {
		f, breaks := filleted(rectangle(800, 450), []float64{r, r, r, r})
		for _, c := range []struct{ tol, window float64 }{{2e-5, 4}, {5e-3, r * math.Pi / 4}} {
			curve, err := FitClosed(f, breaks, c.tol)
			require.NoError(t, err)
			got, u := curve.LeastRadiusOver(c.window)
			assert.InEpsilon(t, r, got, within, "over %.1f mm of a corner fitted to %g mm", c.window, c.tol)
			p := curve.At(u)
			assert.True(t, math.Abs(p.X) > 400-r && math.Abs(p.Y) > 225-r, "%v lies on a corner", p)
			if point, _ := curve.LeastRadius(); c.tol == 2e-5 {
				assert.Less(t, point, 0.95*r, "pointwise the curve rings")
			}
		}
	}
}

// TestLeastRadiusOverSmallest of four corners.
func TestLeastRadiusOverSmallest(t *testing.T) {
	f, breaks := filleted(rectangle(800, 450), []float64{60, 18, 30, 90})
	c, err := FitClosed(f, breaks, 1e-4)
	require.NoError(t, err)
	r, u := c.LeastRadiusOver(4)
	assert.InEpsilon(t, 18, r, 0.005)
	p := c.At(u)
	assert.True(t, p.X > 380 && p.Y < -205, "bottom right, not %v", p)
}

func TestLeastRadiusOverCircle(t *testing.T) {
	c := roundCurve(t, 60)
	for _, window := range []float64{1e-3, 4, 100, c.Length(), 1e9, math.Inf(1)} {
		r, u := c.LeastRadiusOver(window)
		assert.InEpsilon(t, 60, r, 1e-4, "window %g", window)
		lo, hi := c.Period()
		assert.True(t, u >= lo && u < hi)
	}
}

// TestLeastRadiusOverEllipse: for a small window the least radius is b²/a, at an
// end of the long axis, and the mean over ±w/2 there exceeds it by
// w²·a²·(1-b²/a²)/(8·b⁴) of itself (the next term of the curvature).
func TestLeastRadiusOverEllipse(t *testing.T) {
	const a, b = 700.0, 400.0
	c := ellipse(t, a, b, 400)
	for _, w := range []float64{0.01, 4, 40} {
		r, u := c.LeastRadiusOver(w)
		want := b * b / a * (1 + w*w*a*a*(1-b*b/(a*a))/(8*b*b*b*b))
		assert.InDelta(t, want, r, 0.02, "mm, over %g mm", w)
		assert.InDelta(t, 0, c.At(u).Y, 5, "at an end of the long axis")
	}
	// a quarter of the girth lies evenly about the axis
	quarter := c.Length() / 4
	r, u := c.LeastRadiusOver(quarter)
	assert.InDelta(t, 0, c.At(u).Y, 0.1)
	s := c.LengthTo(u)
	turn := between(c.Tangent(c.ParamAt(s-quarter/2)), c.Tangent(c.ParamAt(s+quarter/2)))
	assert.InDelta(t, quarter/turn, r, 0.1)
}

// TestLeastRadiusOverAgainstSearch: no stretch of a random curve turns more, and
// the best one turns as much as is said.
func TestLeastRadiusOverAgainstSearch(t *testing.T) {
	for seed := range uint64(8) {
		c := blob(t, rand.New(rand.NewPCG(9, seed)), 14)
		heading := newTurning(c)
		for _, w := range []float64{4, 60, 700} {
			r, u := c.LeastRadiusOver(w)
			mid := c.LengthTo(u)
			turn := heading.to(c.ParamAt(mid+w/2)) - heading.to(c.ParamAt(mid-w/2))
			assert.InDelta(t, w/turn, r, 1e-6)
			best := math.Inf(1)
			const n = 3000
			for i := range n {
				s := c.Length() * float64(i) / n
				turn := heading.to(c.ParamAt(s+w)) - heading.to(c.ParamAt(s))
				if turn > 0 {
					best = math.Min(best, w/turn)
				}
			}
			assert.LessOrEqual(t, r, best+1e-9)
		}
		point, at := c.LeastRadius()
		r, u := c.LeastRadiusOver(1e-3)
		assert.InDelta(t, point, r, 0.01)
		assert.InDelta(t, 0, r2.Norm(r2.Sub(c.At(at), c.At(u))), 5)
		none, _ := c.LeastRadiusOver(0)
		assert.Equal(t, point, none)
		none, _ = c.LeastRadiusOver(math.NaN())
		assert.Equal(t, point, none)
	}
}

// TestTurningCountsRounds: once round is a full turn, from wherever.
func TestTurningCountsRounds(t *testing.T) {
	c := screen(t)
	heading := newTurning(c)
	lo, hi := c.Period()
	for _, u := range []float64{lo, lo + 1, (lo + hi) / 3, hi} {
		assert.InDelta(t, 2*math.Pi, heading.to(u+hi-lo)-heading.to(u), 1e-9)
		assert.InDelta(t, -4*math.Pi, heading.to(u-2*(hi-lo))-heading.to(u), 1e-9)
	}
}

// TestInflectionsRing: r = 500·(1 + e·cos 2φ) is hollow where e·cos 2φ lies
// below 1 - √(1 + (1+8e²)/3), from the curvature of a curve in polar form,
// r² + 2r'² - r·r” = 0.
func TestInflectionsRing(t *testing.T) {
	const e = 0.3
	c, err := FitClosed(func(f float64) r2.Vec {
		s, co := math.Sincos(f)
		return r2.Scale(500*(1+e*math.Cos(2*f)), r2.Vec{X: co, Y: s})
	}, []float64{0, math.Pi / 2, math.Pi, 3 * math.Pi / 2, 2 * math.Pi}, 1e-6)
	require.NoError(t, err)
	half := math.Acos((1-math.Sqrt(1+(1+8*e*e)/3))/e) / 2
	assert.InDeltaSlice(t, []float64{half, math.Pi - half, math.Pi + half, 2*math.Pi - half}, c.Inflections(), 1e-4)
}

// TestInflectionsOfPanes: a convex pane has none, however its corners ring; a
// hollow bottom has two.
func TestInflectionsOfPanes(t *testing.T) {
	for _, r := range []float64{8, 25, 60, 120} {
		assert.Empty(t, fitted(t, rectangle(800, 450), r).Inflections(), "radius %g", r)
	}
	assert.Empty(t, roundCurve(t, 60).Inflections())
	assert.Empty(t, ellipse(t, 700, 400, 100).Inflections())
	c := screen(t)
	at := c.Inflections()
	require.Len(t, at, 2)
	for _, u := range at {
		p := c.At(u)
		assert.True(t, p.Y < -300 && math.Abs(p.X) > 250, "%v: between the hollow bottom and a corner", p)
	}
}

// TestInflectionsPartSigns: between neighbours the curve turns one way, but for
// wiggles; with no wiggle the curvature changes sign at each and nowhere else.
func TestInflectionsPartSigns(t *testing.T) {
	for seed := range uint64(8) {
		c := blob(t, rand.New(rand.NewPCG(10, seed)), 12)
		at := c.Inflections()
		require.Zero(t, len(at)%2)
		heading := newTurning(c)
		lo, hi := c.Period()
		sign := 0.0
		for i, u := range at {
			end := at[0] + hi - lo
			if i+1 < len(at) {
				end = at[i+1]
			}
			require.Greater(t, end, u)
			turn := heading.to(end) - heading.to(u)
			assert.Greater(t, math.Abs(turn), leastTurn)
			assert.Less(t, turn*sign, 1e-300, "neighbours turn different ways")
			sign = turn
		}
		for _, u := range at {
			assert.InDelta(t, 0, c.Curvature(u), 1e-12, "1/mm")
		}
	}
}

func TestComb(t *testing.T) {
	c := screen(t)
	const n = 90
	teeth := c.Comb(n)
	require.Len(t, teeth, n)
	lo, _ := c.Period()
	assert.Equal(t, lo, teeth[0].U)
	for i, p := range teeth {
		assert.InDelta(t, c.Length()*float64(i)/n, c.LengthTo(p.U), 1e-6)
		assert.Equal(t, c.At(p.U), p.At)
		assert.Equal(t, c.Normal(p.U), p.Normal)
		assert.Equal(t, c.Curvature(p.U), p.Curvature)
		assert.InDelta(t, 1, r2.Norm(p.Normal), 1e-12)
	}
	for _, p := range roundCurve(t, 60).Comb(7) {
		assert.InEpsilon(t, 1/60.0, p.Curvature, 1e-3)
		assertVec(t, r2.Scale(60, p.Normal), p.At, 1e-4)
	}
	assert.Empty(t, c.Comb(0))
	assert.Empty(t, c.Comb(-3))
	assert.Len(t, c.Comb(1), 1)
}

func BenchmarkLeastRadiusOver(b *testing.B) {
	c := screen(b)
	for b.Loop() {
		c.LeastRadiusOver(4)
	}
}

func BenchmarkInflections(b *testing.B) {
	c := screen(b)
	for b.Loop() {
		c.Inflections()
	}
}
