package board_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
	"panewright/geom"
	"panewright/testdata/demo"
)

// ball is the top of a sphere about (0, 0, -r).
type ball struct{ r float64 }

func (b ball) Eval(x, y float64) geom.Height {
	w := math.Sqrt(b.r*b.r - x*x - y*y)
	w3 := w * w * w
	return geom.Height{Z: w - b.r, Zx: -x / w, Zy: -y / w, Zxx: -1/w - x*x/w3, Zxy: -x * y / w3, Zyy: -1/w - y*y/w3}
}

// ballPane is an oval pane of the sphere of radius r, 1200 mm by 700 mm, off
// the crown by dy.
func ballPane(t *testing.T, r, dy float64) *board.Model {
	t.Helper()
	edge, err := geom.FitClosed(func(u float64) r2.Vec {
		s, c := math.Sincos(u)
		return r2.Vec{X: 600 * s, Y: dy - 350*c}
	}, []float64{0, math.Pi / 2, math.Pi, 3 * math.Pi / 2, 2 * math.Pi}, 1e-4)
	require.NoError(t, err)
	b := edge.Bounds()
	margin := r2.Vec{X: 20, Y: 20}
	face, err := geom.FaceThrough(ball{r}, r2.Box{Min: r2.Sub(b.Min, margin), Max: r2.Add(b.Max, margin)}, 20)
	require.NoError(t, err)
	pane, err := geom.NewPane(face, edge, 4, geom.SquareEdge)
	require.NoError(t, err)
	return &board.Model{Pane: pane}
}

// TestCrossbowsOfASphere: the section of a sphere at the distance y from its
// middle is a circle of radius √(R² - y²), not R.
func TestCrossbowsOfASphere(t *testing.T) {
	for _, r := range []float64{1500, 2900} {
		m := ballPane(t, r, 400)
		list := m.Crossbows()
		require.GreaterOrEqual(t, len(list), 8)
		for i, c := range list {
			want := math.Sqrt(r*r - c.Level*c.Level)
			require.InDelta(t, want, c.Radius, 0.02, "mm, at %.1f", c.Level)
			require.Less(t, c.Miss, 1e-4, "mm")
			half := 600 * math.Sqrt(1-(c.Level-400)*(c.Level-400)/(350*350))
			require.InDelta(t, want-math.Sqrt(want*want-half*half), c.Sag, 0.02, "mm")
			require.Zero(t, c.RadiusU, "nothing was read")
			if i > 0 {
				require.Greater(t, c.Level, list[i-1].Level)
			}
		}
		middle, ok := m.MiddleBow()
		require.True(t, ok)
		require.InDelta(t, r, middle.Radius, 0.02, "mm")
		require.Zero(t, middle.Level)
	}
}

// TestCrossbowsOfDemos: across, demo A is one arch of 88.404 in at every level
// and up the pane one of 130.208 in; demo B has 2900.1 mm amid and 1500 mm
// beyond 590 mm, so that one circle misses by far more than the face is unsure.
func TestCrossbowsOfDemos(t *testing.T) {
	m := solve(t, demo.A().Job)
	for _, c := range m.Crossbows() {
		t.Logf("A at %6.1f: radius %.0f (u %.0f), sag %.2f, miss %.3f", c.Level, c.Radius, c.RadiusU, c.Sag, c.Miss)
		require.Greater(t, c.RadiusU, 0.0)
		require.InDelta(t, 88.404*25.4, c.Radius, 4*c.RadiusU)
		require.Less(t, c.Miss, 0.3, "mm")
	}
	middle, ok := m.MiddleBow()
	require.True(t, ok)
	t.Logf("A fore and aft: radius %.0f (u %.0f), sag %.2f, miss %.3f", middle.Radius, middle.RadiusU, middle.Sag, middle.Miss)
	require.InDelta(t, 130.208*25.4, middle.Radius, 4*middle.RadiusU)

	m = solve(t, demo.B().Job)
	wide := 0
	for _, c := range m.Crossbows() {
		t.Logf("B at %6.1f: radius %.0f (u %.0f), sag %.2f, miss %.3f", c.Level, c.Radius, c.RadiusU, c.Sag, c.Miss)
		if math.Abs(c.Level) < 250 {
			wide++
			require.Greater(t, c.Miss, 4*m.FaceSD(r2.Vec{Y: c.Level}), "two radii show, at %.1f", c.Level)
			require.Greater(t, c.Radius, 1500.0)
			require.Less(t, c.Radius, 2900.1)
		}
	}
	require.GreaterOrEqual(t, wide, 5)

	m = solve(t, demo.C().Job)
	require.NotEmpty(t, m.Crossbows())
	_, ok = m.MiddleBow()
	require.True(t, ok)
}

func TestCrossbowsWithoutAPane(t *testing.T) {
	m := &board.Model{}
	require.Empty(t, m.Crossbows())
	_, ok := m.MiddleBow()
	require.False(t, ok)
}

// TestCrossbowsOfFlatGlass: a straight section has no radius and no sag.
func TestCrossbowsOfFlatGlass(t *testing.T) {
	edge, err := geom.FitClosed(func(u float64) r2.Vec {
		s, c := math.Sincos(u)
		return r2.Vec{X: 300 * s, Y: -200 * c}
	}, []float64{0, math.Pi, 2 * math.Pi}, 1e-3)
	require.NoError(t, err)
	face, err := geom.FaceThrough(flat{}, r2.Box{Min: r2.Vec{X: -330, Y: -230}, Max: r2.Vec{X: 330, Y: 230}}, 110)
	require.NoError(t, err)
	pane, err := geom.NewPane(face, edge, 4, geom.SquareEdge)
	require.NoError(t, err)
	list := (&board.Model{Pane: pane}).Crossbows()
	require.NotEmpty(t, list)
	for _, c := range list {
		require.Greater(t, c.Radius, 1e9)
		require.InDelta(t, 0, c.Sag, 1e-9)
		require.InDelta(t, 0, c.Miss, 1e-9)
	}
}

// flat is a level face.
type flat struct{}

func (flat) Eval(x, y float64) geom.Height { return geom.Height{} }
