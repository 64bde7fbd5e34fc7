package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// assertParallel checks a line of points to be |d| ± tol from the curve, on
// its right side, by a search that does not use the code under test.
func assertParallel(t *testing.T, c *Curve, pts []r2.Vec, d, tol float64) {
	t.Helper()
	for _, q := range pts {
		assert.InDelta(t, math.Abs(d), slowNearest(c, q), tol)
		if _, side := c.Nearest(q); d != 0 {
			assert.Equal(t, d > 0, side > 0)
		}
	}
}

// TestCurveOffsetSteiner: a rounded rectangle 400 x 250 of radius 40 has area
// 98626.54824574 and perimeter 1231.32741229; offset by d they become
// A + L·d + π·d² and L + 2π·d (Steiner). Values calculated beforehand.
func TestCurveOffsetSteiner(t *testing.T) {
	const tol = 1e-4
	f, breaks := filleted(rectangle(400, 250), []float64{40, 40, 40, 40})
	c, err := FitClosed(f, breaks, 1e-5)
	require.NoError(t, err)
	assert.InDelta(t, 98626.54824574, c.Area(), 1231*1e-5)
	assert.InDelta(t, 1231.32741229, c.Length(), 1e-3)
	for _, tc := range []struct{ d, length, area float64 }{
		{15, 1325.57519189, 117803.31777711},
		{-15, 1137.07963268, 80863.49540849},
	} {
		off, err := c.Offset(tc.d, tol)
		require.NoError(t, err)
		assert.InDelta(t, tc.area, off.Area(), tc.length*tol, "d %g", tc.d)
		assert.InDelta(t, tc.length, off.Length(), 0.01, "d %g", tc.d)
		line, err := c.OffsetLoop(tc.d, tol)
		require.NoError(t, err)
		assert.InDelta(t, tc.area, line.Area(), tc.length*tol, "d %g", tc.d)
		assert.InDelta(t, tc.length, line.Perimeter(), 0.01, "d %g", tc.d)
	}
}

// TestCurveOffsetSteinerAny: the same two relations hold for every offset without
// loops, of hollow outlines too.
func TestCurveOffsetSteinerAny(t *testing.T) {
	c := screen(t)
	for _, d := range []float64{-20, -5, 1.5, 20} {
		off, err := c.Offset(d, 0.001)
		require.NoError(t, err)
		assert.InDelta(t, c.Length()+2*math.Pi*d, off.Length(), 0.02)
		assert.InDelta(t, c.Area()+c.Length()*d+math.Pi*d*d, off.Area(), 0.001*off.Length())
	}
}

// TestCurveOffsetRanges: whatever the outline, from 400 to 1600 mm with corners of
// 8 to 120 mm and hollow stretches, an offset outward up to 20 mm and one
// inward up to 40 mm is had, or refused for a corner that is too tight; the
// loop is always had.
func TestCurveOffsetRanges(t *testing.T) {
	const tol, sag = 0.005, 0.01
	rng := rand.New(rand.NewPCG(8, 1))
	refused := 0
	for range 8 {
		c := randomOutline(t, rng)
		least, _ := c.LeastRadius()
		for _, d := range []float64{0.5, 1.5, 3, 20, -5, -8, -16, -25, -40} {
			off, err := c.Offset(d, tol)
			switch {
			case -d >= least:
				var no *OffsetError
				require.ErrorAs(t, err, &no)
				assert.Contains(t, no.Reason, "corner")
				assert.InDelta(t, least, 1/c.Curvature(nearestParam(c, no.At)), 0.05*least)
				refused++
			default:
				require.NoError(t, err, "%g mm, least radius %g", d, least)
				u0, u1 := off.Period()
				var some []r2.Vec
				for range 12 {
					some = append(some, off.At(u0+(u1-u0)*rng.Float64()))
				}
				assertParallel(t, c, some, d, tol)
				assert.NoError(t, off.IsSimple())
			}
			line, err := c.OffsetLoop(d, sag)
			require.NoError(t, err, "%g mm, least radius %g", d, least)
			require.NoError(t, line.IsSimple())
			var some []r2.Vec
			for range 12 {
				a, b := line.edge(rng.IntN(len(line)))
				some = append(some, r2.Add(a, r2.Scale(rng.Float64(), r2.Sub(b, a))))
			}
			assertParallel(t, c, some, d, sag)
			if err == nil && off != nil {
				assert.InDelta(t, off.Area(), line.Area(), (tol+sag)*off.Length())
			}
		}
	}
	assert.Greater(t, refused, 6, "tight corners were among them")
}

func nearestParam(c *Curve, p r2.Vec) float64 {
	u, _ := c.Nearest(p)
	return u
}

// TestCurveOffsetOutAndIn comes back to where it was.
func TestCurveOffsetOutAndIn(t *testing.T) {
	const tol = 0.002
	rng := rand.New(rand.NewPCG(8, 2))
	for range 5 {
		c := randomOutline(t, rng)
		out, err := c.Offset(12, tol)
		require.NoError(t, err)
		back, err := out.Offset(-12, tol)
		require.NoError(t, err)
		eachSpan(back, 3, func(u float64) {
			_, d := c.Nearest(back.At(u))
			assert.InDelta(t, 0, d, 2*tol)
		})
	}
}

func TestCurveOffsetSymmetric(t *testing.T) {
	c := screen(t)
	for _, d := range []float64{1.5, 3.7, -7, -18} {
		off, err := c.Offset(d, 0.005)
		require.NoError(t, err)
		assertSymmetric(t, off)
	}
}

// TestCurveOffsetSameParameter: the offset runs beside the curve at equal u.
func TestCurveOffsetSameParameter(t *testing.T) {
	c := screen(t)
	off, err := c.Offset(-10, 0.005)
	require.NoError(t, err)
	eachSpan(c, 2, func(u float64) {
		assertVec(t, r2.Add(c.At(u), r2.Scale(-10, c.Normal(u))), off.At(u), 0.003)
	})
	same, err := c.Offset(0, 0.005)
	require.NoError(t, err)
	assert.Same(t, c, same)
}

// dumbbell returns two squares of 300 mm joined by a neck 60 mm wide.
func dumbbell(t testing.TB) *Curve {
	return fitted(t, []r2.Vec{
		{X: -50, Y: -30}, {X: 50, Y: -30}, {X: 50, Y: -150}, {X: 350, Y: -150}, {X: 350, Y: 150}, {X: 50, Y: 150},
		{X: 50, Y: 30}, {X: -50, Y: 30}, {X: -50, Y: 150}, {X: -350, Y: 150}, {X: -350, Y: -150}, {X: -50, Y: -150},
	}, 20, 20, 60, 60, 60, 60, 20, 20, 60, 60, 60, 60)
}

// notched returns a rectangle of 600 x 400 mm with a slot in its upper side,
// 150 mm deep and as wide as asked, its bottom corners rounded to 10 mm.
func notched(t testing.TB, width float64) *Curve {
	w := width / 2
	f, breaks := filleted([]r2.Vec{
		{X: -300, Y: -200}, {X: 300, Y: -200}, {X: 300, Y: 200}, {X: w, Y: 200}, {X: w, Y: 50},
		{X: -w, Y: 50}, {X: -w, Y: 200}, {X: -300, Y: 200},
	}, []float64{50, 50, 50, 10, 10, 10, 10, 50})
	c, err := FitClosed(f, breaks, 1e-6)
	require.NoError(t, err)
	return c
}

// TestCurveOffsetRefuses names the reason and the place.
func TestCurveOffsetRefuses(t *testing.T) {
	var no *OffsetError
	_, err := fitted(t, rectangle(400, 250), 8).Offset(-20, 0.005)
	require.ErrorAs(t, err, &no)
	assert.Contains(t, no.Error(), "a corner of radius")
	assert.InDelta(t, 200, math.Abs(no.At.X), 8)
	assert.InDelta(t, 125, math.Abs(no.At.Y), 8)

	_, err = notched(t, 80).Offset(15, 0.005)
	require.ErrorAs(t, err, &no)
	assert.Contains(t, no.Reason, "a hollow of radius")
	assert.InDelta(t, 50, no.At.Y, 10)

	// The neck of 60 mm has no room for 40 mm from either side.
	_, err = dumbbell(t).Offset(-40, 0.005)
	require.ErrorAs(t, err, &no)
	assert.Contains(t, no.Reason, "two parts")

	_, err = fitted(t, rectangle(400, 100), 45).Offset(-60, 0.005)
	require.ErrorAs(t, err, &no)

	for _, bad := range [][2]float64{{math.NaN(), 0.01}, {math.Inf(1), 0.01}, {5, 0}, {5, -1}, {5, math.NaN()}, {5, math.Inf(1)}} {
		_, err := screen(t).Offset(bad[0], bad[1])
		assert.Error(t, err, "%v", bad)
		_, err = screen(t).OffsetLoop(bad[0], bad[1])
		assert.Error(t, err, "%v", bad)
	}
}

// TestVerifyOffset: the check of a finished offset finds what is wrong with it.
func TestVerifyOffset(t *testing.T) {
	c, good := roundCurve(t, 300), roundCurve(t, 320)
	p := parallel{c, 20}
	require.NoError(t, p.verify(good, 1e-3))
	var no *OffsetError
	require.ErrorAs(t, p.verify(roundCurve(t, 320.002), 1e-3), &no)
	assert.Contains(t, no.Reason, "two parts")
	half, err := good.Transform(func(p r2.Vec) r2.Vec { return r2.Scale(-1, p) })
	require.NoError(t, err)
	require.ErrorAs(t, p.verify(half, 1e-3), &no)
	assert.Contains(t, no.Reason, "without length")
}

func BenchmarkCurveOffset(b *testing.B) {
	for name, d := range map[string]float64{"out 1.5": 1.5, "out 20": 20, "in 16": -16} {
		b.Run(name, func(b *testing.B) {
			c := screen(b)
			for b.Loop() {
				if _, err := c.Offset(d, 0.005); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
