package boardview

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/desk"
	"panewright/app/ui/look"
	"panewright/board"
	"panewright/geom"
)

// The heights of a demo's face: every stripe inside the outline and of its own
// height, every line at its level and inside, few enough of them.
func TestHeightsOfTheFace(t *testing.T) {
	for _, name := range []string{"workshop-coupe-rear-screen", "touring-saloon-windscreen", "estate-quarter-window"} {
		j, m := demo(t, name)
		sc := newScene(desk.State{Job: j, Model: m}, nil)
		outline := sc.band.runs[0].at
		h := newHeights(m, outline, j.Unit)
		require.NotNil(t, h, name)
		over := heightOver(m)
		for _, p := range []r2.Vec{outline[0], r2.Scale(0.5, r2.Add(outline[0], outline[len(outline)/2]))} {
			q := m.BoardToGlass.Apply(r3.Vec{X: p.X, Y: p.Y, Z: boardHeight(m, p)})
			require.InDelta(t, m.Pane.Upper.At(q.X, q.Y), over(p), 1e-6, "mm")
		}
		var area geom.Polygon = outline
		covered := 0.0
		for _, r := range h.runs {
			size := r2.Sub(r.box.Max, r.box.Min)
			covered += size.X * size.Y
			mid := r2.Scale(0.5, r2.Add(r.box.Min, r.box.Max))
			require.True(t, area.Contains(mid), name)
			band := int(math.Floor(over(mid)/h.step)) - h.first
			require.InDelta(t, band, r.band, 1, "%s: a run's middle may lie past its end's stripe", name)
			require.GreaterOrEqual(t, r.band, 0)
			require.Less(t, r.band, h.bands)
		}
		require.InEpsilon(t, area.Area(), covered, 0.03, name)
		require.Len(t, h.levels, h.bands-1)
		require.LessOrEqual(t, len(h.levels), int(heightLines)+1)
		for _, l := range h.levels {
			require.InDelta(t, 0, math.Remainder(l.value, h.step), 1e-9)
			for _, s := range l.lines {
				require.InDelta(t, l.value, over(s[0]), 0.4, "mm, %s: straight between the lattice's points", name)
			}
		}
	}
	assert.Nil(t, newHeights(nil, nil, board.MM))
}

// boardHeight is the height off the board at which the face lies over a place.
func boardHeight(m *board.Model, p r2.Vec) float64 {
	z := m.BoardToGlass.Inverse().T.Z
	for range 20 {
		q := m.BoardToGlass.Apply(r3.Vec{X: p.X, Y: p.Y, Z: z})
		z += m.Pane.Upper.At(q.X, q.Y) - q.Z
	}
	return z
}

func TestHeightStepIsRound(t *testing.T) {
	assert.Equal(t, 10.0, heightStep(96, board.MM))
	assert.Equal(t, 0.5, heightStep(5, board.MM))
	assert.Equal(t, 25.4/2, heightStep(80, board.Inch))
	assert.Equal(t, 200.0, heightStep(1e6, board.MM))
}

func TestCrossings(t *testing.T) {
	square := []r2.Vec{{X: -1, Y: -1}, {X: 1, Y: -1}, {X: 1, Y: 1}, {X: -1, Y: 1}}
	assert.Equal(t, []float64{-1, 1}, crossings(square, 0.3))
	assert.Empty(t, crossings(square, 1.5))
}

// Heights are drawn where they are asked for, worked out once for a model, and
// leave with the switch.
func TestHeightsCanBeSwitchedOn(t *testing.T) {
	j, m := demo(t, "touring-saloon-windscreen")
	v, _ := show(t, j, m)
	spot := r2.Vec{X: 40, Y: 520} // inside, beside any reading
	v.SetBand(false)
	plain := coloursAt(v, 1, spot.X, spot.Y, 3)
	assert.Nil(t, v.tops)
	v.SetHeights(true)
	assert.NotEqual(t, plain, coloursAt(v, 1, spot.X, spot.Y, 3))
	first := v.tops
	require.NotNil(t, first)
	coloursAt(v, 1, spot.X, spot.Y, 3)
	assert.Same(t, first, v.tops)
	assert.NotEqual(t, look.Rising().At(0), look.Rising().At(1))
	v.SetHeights(false)
	assert.Equal(t, plain, coloursAt(v, 1, spot.X, spot.Y, 3))
}

func BenchmarkHeights(b *testing.B) {
	j, m := demo(b, "touring-saloon-windscreen")
	sc := newScene(desk.State{Job: j, Model: m}, nil)
	for b.Loop() {
		newHeights(m, sc.band.runs[0].at, j.Unit)
	}
}
