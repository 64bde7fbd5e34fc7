package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// laid is a motion: a turn about z, then a lean about an axis in the board, then
// a shift; over turns the body over first.
func laid(turn, lean, way float64, over bool, t r3.Vec) geom.Frame {
	f := geom.Identity()
	put := func(q r3.Rotation) {
		g := geom.Identity()
		for i, e := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
			c := q.Rotate(e)
			g.R[0][i], g.R[1][i], g.R[2][i] = c.X, c.Y, c.Z
		}
		f = f.Then(g)
	}
	if over {
		put(r3.NewRotation(math.Pi, r3.Vec{X: 1}))
	}
	put(r3.NewRotation(turn, r3.Vec{Z: 1}))
	put(r3.NewRotation(lean, r3.Vec{X: math.Cos(way), Y: math.Sin(way)}))
	f.T = t
	return f
}

// pairsOf are n points of an arched pane, moved, with noise of sd in every value
// of both places.
func pairsOf(rng *rand.Rand, m geom.Frame, n int, sd float64) (pairs []Pair) {
	noisy := func(p r3.Vec) r3.Vec {
		return r3.Add(p, r3.Vec{X: sd * rng.NormFloat64(), Y: sd * rng.NormFloat64(), Z: sd * rng.NormFloat64()})
	}
	for i := range n {
		a := 2*math.Pi*float64(i)/float64(n) + 0.3
		p := r3.Vec{X: 600 * math.Cos(a), Y: 400 + 300*math.Sin(a)}
		p.Z = 120 - p.X*p.X/5000
		s := math.Sqrt2 * max(sd, 0.01)
		pairs = append(pairs, Pair{From: noisy(p), To: noisy(m.Apply(p)), SXY: s, SZ: s})
	}
	return pairs
}

func TestRigidFindsAnExactMotion(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for _, over := range []bool{false, true} {
		for range 40 {
			m := laid(rng.Float64()*2*math.Pi, 0.1*rng.Float64(), rng.Float64()*7, over, r3.Vec{X: 30, Y: -900 * rng.Float64(), Z: 7})
			r, err := FitRigid(pairsOf(rng, m, 4+rng.IntN(10), 0), over)
			require.NoError(t, err)
			require.Less(t, r.RMS, 1e-8, "mm")
			for _, p := range []r3.Vec{{}, {X: 700}, {Y: 800, Z: 100}} {
				require.Less(t, r3.Norm(r3.Sub(r.Motion.Apply(p), m.Apply(p))), 1e-7, "mm")
			}
			det := r3.Dot(r.Motion.Rotate(r3.Vec{X: 1}), r3.Cross(r.Motion.Rotate(r3.Vec{Y: 1}), r.Motion.Rotate(r3.Vec{Z: 1})))
			require.InDelta(t, 1, det, 1e-12, "a proper rotation")
			// the wrong way up does not fit
			if wrong, err := FitRigid(pairsOf(rng, m, 8, 0), !over); err == nil {
				require.Greater(t, wrong.RMS, 20.0, "mm")
			}
		}
	}
}

// TestRigidStatesItsUncertainty: over many draws the error of a carried point
// over its stated sd has the spread of a normal number.
func TestRigidStatesItsUncertainty(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 1))
	const draws, sd = 400, 0.5
	var xy, z, within float64
	probe := r3.Vec{X: 500, Y: 100, Z: 60}
	for d := range draws {
		m := laid(0.7, 0.03, 1, d%2 == 0, r3.Vec{X: 200, Y: 50, Z: 90})
		r, err := FitRigid(pairsOf(rng, m, 6, sd), d%2 == 0)
		require.NoError(t, err)
		q := r.Motion.Apply(probe)
		e := r3.Sub(q, m.Apply(probe))
		uxy, uz := r.SD(q)
		xy += (e.X*e.X + e.Y*e.Y) / (2 * uxy * uxy) / draws
		z += e.Z * e.Z / (uz * uz) / draws
		if math.Abs(e.Z) < 1.96*uz {
			within += 1.0 / draws
		}
	}
	t.Logf("squared error over stated: %.2f in plan, %.2f in height; 95 %% interval of the height covers %.1f %%", xy, z, 100*within)
	require.InDelta(t, 0.9, xy, 0.2) // a little below 1: scatter above the sds raises the sd, scatter below does not lower it
	require.InDelta(t, 0.9, z, 0.2)
	require.Greater(t, within, 0.92)
}

func TestRigidSetsOneWrongPairAside(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for n := 5; n <= 12; n++ {
		for wrong := range n {
			m := laid(0.2, 0.02, 2, n%2 == 0, r3.Vec{X: 10})
			p := pairsOf(rng, m, n, 0.4)
			p[wrong].From.X += []float64{8, -100, 25.4}[wrong%3]
			r, err := FitRigid(p, n%2 == 0)
			require.NoError(t, err)
			for i, s := range r.Suspect {
				require.Equal(t, i == wrong, s, "%d pairs, wrong %d, looked at %d", n, wrong, i)
			}
		}
	}
	// with four nothing can be left out, and the misfit shows
	p := pairsOf(rng, geom.Identity(), 4, 0.4)
	p[1].From.X += 25.4
	r, err := FitRigid(p, false)
	require.NoError(t, err)
	require.Greater(t, r.Scatter, 5.0)
}

func TestRigidWithoutSomeHeights(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 1))
	m := laid(0.3, 0.03, 0, false, r3.Vec{X: 10, Z: 5})
	p := pairsOf(rng, m, 8, 0)
	p[0].From.Z, p[2].To.Z = math.NaN(), math.NaN()
	p[5].From.Z, p[5].To.Z = math.NaN(), math.NaN()
	r, err := FitRigid(p, false)
	require.NoError(t, err)
	// the height of the fifth is unknown on both sides: it is taken as the middle's
	// 40 mm of it at a lean of 0.03 are 1.2 mm
	require.Less(t, r3.Norm(r.Miss[0]), 0.4)
	require.Less(t, r3.Norm(r3.Sub(r.Motion.Apply(r3.Vec{Y: 400}), m.Apply(r3.Vec{Y: 400}))), 0.4)
}

func TestRigidRefuses(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	m := laid(0.3, 0, 0, false, r3.Vec{})
	for name, change := range map[string]func(p []Pair) []Pair{
		"three":     func(p []Pair) []Pair { return p[:3] },
		"no number": func(p []Pair) []Pair { p[0].To.X = math.NaN(); return p },
		"no sd":     func(p []Pair) []Pair { p[0].SXY = 0; return p },
		"no heights": func(p []Pair) []Pair {
			for i := range p {
				p[i].To.Z = math.NaN()
			}
			return p
		},
		"one place": func(p []Pair) []Pair {
			for i := range p {
				p[i] = p[0]
			}
			return p
		},
	} {
		_, err := FitRigid(change(pairsOf(rng, m, 6, 0)), false)
		require.ErrorContains(t, err, "fit: rigid motion: ", name)
	}
}

func TestLeastSquares(t *testing.T) {
	// a straight line through 1, 3, 5 at 0, 1, 2 (exact), sd 2: cov of the normal
	// matrix [3 3; 3 5]/4, by hand
	x, cov, err := LeastSquares([][]float64{{1, 0}, {1, 1}, {1, 2}}, []float64{1, 3, 5}, []float64{2, 2, 2})
	require.NoError(t, err)
	require.InDeltaSlice(t, []float64{1, 2}, x, 1e-12)
	require.InDelta(t, 4*5.0/6, cov[0][0], 1e-12)
	require.InDelta(t, -4*3.0/6, cov[0][1], 1e-12)
	require.InDelta(t, 4*3.0/6, cov[1][1], 1e-12)
	for _, c := range []struct {
		rows    [][]float64
		rhs, sd []float64
	}{
		{nil, nil, nil},
		{[][]float64{{1}}, []float64{1}, []float64{0}},
		{[][]float64{{1}}, []float64{math.NaN()}, []float64{1}},
		{[][]float64{{1, 1}, {2, 2}}, []float64{1, 2}, []float64{1, 1}},
		{[][]float64{{1, 1}, {2}}, []float64{1, 2}, []float64{1, 1}},
		{[][]float64{{}}, []float64{1}, []float64{1}},
	} {
		_, _, err := LeastSquares(c.rows, c.rhs, c.sd)
		require.Error(t, err)
	}
}
