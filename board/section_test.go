package board_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/testdata/demo"
)

// TestSectionOfASphere: every point of the cut lies on the sphere at the level,
// from edge to edge, and the lower face lies the thickness inside it.
func TestSectionOfASphere(t *testing.T) {
	const r = 2000.0
	m := ballPane(t, r, 0)
	for _, c := range []struct {
		across bool
		level  float64
	}{{true, 0}, {true, 120}, {false, 0}, {false, -300}} {
		s, ok := m.Section(c.across, c.level, 25)
		require.True(t, ok)
		half := 600 * math.Sqrt(1-c.level*c.level/(350*350)) // of an ellipse 1200 mm by 700 mm
		if !c.across {
			half = 350 * math.Sqrt(1-c.level*c.level/(600*600))
		}
		along := func(p r3.Vec) (along, level float64) {
			if c.across {
				return p.X, p.Y
			}
			return p.Y, p.X
		}
		for i, p := range s.Upper {
			_, level := along(p)
			require.InDelta(t, c.level, level, 1e-12)
			require.InDelta(t, r, r3.Norm(r3.Add(p, r3.Vec{Z: r})), 0.01, "mm: the face was interpolated")
			require.InDelta(t, r-4, r3.Norm(r3.Add(s.Lower[i], r3.Vec{Z: r})), 0.01)
		}
		first, _ := along(s.Upper[0])
		last, _ := along(s.Upper[len(s.Upper)-1])
		assert.InDelta(t, -half, first, 0.1, "mm: the edge is followed in chords")
		assert.InDelta(t, half, last, 0.1)
		require.True(t, s.Bowed)
		assert.InDelta(t, math.Sqrt(r*r-c.level*c.level), s.Bow.Radius, 1)
		assert.Empty(t, s.Near, "no readings, none near")
	}
	_, ok := m.Section(true, 400, 25)
	assert.False(t, ok, "beyond the pane")
	_, ok = m.Section(true, math.NaN(), 25)
	assert.False(t, ok)
	_, ok = (&board.Model{}).Section(true, 0, 25)
	assert.False(t, ok)
}

// TestSectionListsReadingsNearIt: those listed stand within the reach, on the
// face, with the miss of the solve; a wider reach lists them all.
func TestSectionListsReadingsNearIt(t *testing.T) {
	m, err := board.Solve(context.Background(), demo.A().Job, nil)
	require.NoError(t, err)
	s, ok := m.Section(true, 0, 30)
	require.True(t, ok)
	require.NotEmpty(t, s.Near)
	for _, n := range s.Near {
		assert.LessOrEqual(t, math.Abs(n.Off), 30.0)
		assert.InDelta(t, n.At.Y, n.Off, 1e-9, "the level is 0")
		assert.Equal(t, m.Results[n.Index].HeightMiss, n.Miss)
		assert.InDelta(t, m.Pane.Upper.At(n.At.X, n.At.Y), n.At.Z, 1e-9)
	}
	all, _ := m.Section(true, 0, 1e4)
	heights := 0
	for _, r := range m.Results {
		if r.HasHeight && r.Placed {
			heights++
		}
	}
	assert.Len(t, all.Near, heights)
	assert.Greater(t, heights, len(s.Near))
}

func BenchmarkSection(b *testing.B) {
	m, err := board.Solve(context.Background(), demo.A().Job, nil)
	require.NoError(b, err)
	for b.Loop() {
		m.Section(true, 40, 25)
	}
}
