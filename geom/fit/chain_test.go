package fit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

func vec2(x, y float64) r2.Vec { return r2.Vec{X: x, Y: y} }

// A rectangle of 400 × 250 with corners of 40: its way is 1300 − 8·40 + 2π·40
// long (closed form), and every point of it lies on it.
func TestChainRoundedRectangle(t *testing.T) {
	c, err := newChain([]float64{-200, -125, 40, 0, 200, -125, 40, 0, 200, 125, 40, 0, -200, 125, 40, 0})
	require.NoError(t, err)
	require.InDelta(t, 1300-320+80*math.Pi, c.length(), 1e-9)
	for _, q := range []struct {
		p    r2.Vec
		miss float64
		out  r2.Vec
	}{
		{vec2(0, -130), 5, vec2(0, -1)},
		{vec2(190, 0), -10, vec2(1, 0)},
		{vec2(160+40*math.Sqrt(0.5)+3*math.Sqrt(0.5), 85+43*math.Sqrt(0.5)), 3, vec2(math.Sqrt(0.5), math.Sqrt(0.5))},
	} {
		f := c.foot(q.p)
		require.InDelta(t, q.miss, f.miss, 1e-9)
		require.InDelta(t, 0, r2.Norm(r2.Sub(f.out, q.out)), 1e-9)
		on, out := c.at(f.pos)
		require.InDelta(t, 0, r2.Norm(r2.Sub(r2.Add(on, r2.Scale(f.miss, out)), q.p)), 1e-9)
	}
}

// Sides that bow out and in, corners that turn out and in: every point of the
// way has itself as its foot, and the way is smooth.
func TestChainAllKinds(t *testing.T) {
	// a plate with a rounded cut-out in its top edge
	c, err := newChain([]float64{
		-300, -200, 50, 30, 300, -200, 60, 8, 310, 200, 40, 5,
		80, 205, 20, 2, 60, 150, -25, -3, -60, 150, -25, 4, -80, 205, 20, 5, -310, 200, 40, 6,
	})
	require.NoError(t, err)
	n := 4000
	last, lastOut := c.at(0)
	for i := 1; i <= n; i++ {
		pos := c.length() * float64(i) / float64(n)
		p, out := c.at(pos)
		require.InDelta(t, 1, r2.Norm(out), 1e-12)
		require.InDelta(t, c.length()/float64(n), r2.Norm(r2.Sub(p, last)), 1e-3, "the way has no jump")
		require.Less(t, math.Abs(math.Asin(r2.Cross(lastOut, out))), 0.03, "nor a kink")
		f := c.foot(p)
		require.InDelta(t, 0, f.miss, 1e-9)
		d := math.Abs(f.pos - math.Mod(pos, c.length()))
		require.InDelta(t, 0, math.Min(d, c.length()-d), 1e-6)
		last, lastOut = p, out
	}
}

func TestChainRefuses(t *testing.T) {
	for name, x := range map[string][]float64{
		"corners that run into one another": {-200, -125, 40, 0, 200, -125, 40, 0, 200, 125, 215, 0, -200, 125, 40, 0},
		"a corner of no radius":             {-200, -125, 0, 0, 200, -125, 40, 0, 200, 125, 40, 0, -200, 125, 40, 0},
		"a corner that turns the other way": {-200, -125, -40, 0, 200, -125, 40, 0, 200, 125, 40, 0, -200, 125, 40, 0},
		"clockwise":                         {-200, 125, 40, 0, 200, 125, 40, 0, 200, -125, 40, 0, -200, -125, 40, 0},
	} {
		_, err := newChain(x)
		require.ErrorIs(t, err, errChain, name)
	}
}

// Straight, bowed out, bowed in: the distance from a circle's point along its
// normal is what was gone along it.
func TestSide(t *testing.T) {
	for _, bow := range []float64{0, 1e-9, 12, -7} {
		s := sideThrough(vec2(-100, 3), vec2(140, 40), bow)
		for _, pos := range []float64{-90, 0, 60} {
			p, out := s.at(pos)
			for _, d := range []float64{-5, 0, 8} {
				q := r2.Add(p, r2.Scale(d, out))
				got, n := s.distance(q)
				require.InDelta(t, d, got, 1e-9)
				require.InDelta(t, 0, r2.Norm(r2.Sub(n, out)), 1e-9)
				require.InDelta(t, pos, s.position(q), 1e-6)
			}
		}
	}
	// R = (L²/4 + b²)/(2b) of a circle through the ends and the bow (closed form)
	s := sideThrough(vec2(0, 0), vec2(200, 0), 10)
	require.InDelta(t, 20.0/(10000+100), s.k, 1e-15)
}

// The derivative by small shakes is that of the distance.
func TestShaken(t *testing.T) {
	f := freeForm(make([]bool, 4))
	x := []float64{-200, -125, 40, 9, 200, -125, 50, 4, 180, 125, 30, 6, -190, 125, 60, 3}
	c, err := f.chain(x)
	require.NoError(t, err)
	s, err := f.shake(c)
	require.NoError(t, err)
	row := make([]float64, f.size())
	p := vec2(10, -140)
	s.outward(row, c.foot(p).part, p)
	require.InDelta(t, 1, row[3], 0.05, "a bow of the bottom moves its middle outward")
	require.InDelta(t, -0.5, row[1], 0.08, "so does either end, downward, by half")
	require.InDelta(t, 0, row[11], 1e-9, "the top's bow does not matter there")
}
