package boardview

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/ui/look"
	"panewright/board"
)

func TestGapsBetweenStations(t *testing.T) {
	known := []knownGap{{gap{low: 1, mid: 2, high: 3}, 0.9}, {gap{low: 3, mid: 4, high: 5}, 0.1}, {gap{}, 0.5}}
	for _, c := range []struct{ u, mid float64 }{{0.9, 2}, {0.1, 4}, {0, 3}, {0.3, 2}, {0.7, 1}, {0.95, 2.5}} {
		g := between(known, c.u, 1)
		assert.InDelta(t, c.mid, g.mid, 1e-12, "at %g, round the start of the curve too", c.u)
		if c.u != 0.3 && c.u != 0.7 {
			assert.InDelta(t, g.mid-1, g.low, 1e-12)
		}
	}
}

func TestSocketOfADemo(t *testing.T) {
	_, m := demo(t, "workshop-coupe-rear-screen")
	require.NotNil(t, m.Fit)
	s := newSocket(m, newBand(m))
	require.NotEmpty(t, s.round)
	assert.Equal(t, s.round[0], s.round[len(s.round)-1], "closed")
	assert.Len(t, s.stations, len(m.Fit.Stations))
	assert.Len(t, s.rests, len(m.Fit.Contacts))
	assert.Empty(t, s.signs, "it fits")
	for _, g := range s.round {
		assert.True(t, g.low <= g.mid && g.mid <= g.high)
		assert.InDelta(t, m.Fit.Wall, g.mid, 0.5, "mm")
	}
	_, ok := s.find(m.Fit.Stations[3].ID)
	assert.True(t, ok)
	_, ok = s.find("no such station")
	assert.False(t, ok)
}

func TestSocketPointsOutWhatDoesNotFit(t *testing.T) {
	s := &socket{clearance: 1.5}
	for _, g := range []struct {
		id        string
		right     float64
		low, high float64
	}{{"1", 1, -1, 0}, {"1'", -1, -1, 0}, {"2", 1, 1, 4}, {"3", 1, 1, 5}, {"3'", -1, 1, 4.5}, {"4", -1, 1, 2}} {
		sign := gapSign{id: g.id}
		sign.low, sign.high, sign.out.X = g.low, g.high, g.right
		s.stations = append(s.stations, sign)
	}
	s.point(&board.FitCheck{DropsIn: 0.5, BindsAt: []string{"1", "1'"}})
	var got []string
	for _, g := range s.signs {
		assert.NotEqual(t, g.binds, g.loose)
		got = append(got, g.id)
	}
	assert.Equal(t, []string{"1", "1'", "3'", "3"}, got, "where it binds, and the loosest of either half")
	s.signs = nil
	s.point(&board.FitCheck{DropsIn: 0.97, Snug: 0.96, BindsAt: []string{"1"}})
	assert.Empty(t, s.signs)
}

// TestFitIsDrawnInPlaceOfMisses looks at the picture: the wall and the edge of
// the real pane are there, and the misses are not.
func TestFitIsDrawnInPlaceOfMisses(t *testing.T) {
	j, m := demo(t, "workshop-coupe-rear-screen")
	v, _ := show(t, j, m)
	count := func() map[colour]int {
		v.paint(800, 600)
		out := map[colour]int{}
		img := v.canvas.Image()
		for i := 0; i < len(img.Pix); i += 4 {
			out[colour{R: img.Pix[i], G: img.Pix[i+1], B: img.Pix[i+2], A: 255}]++
		}
		return out
	}
	col := look.Current()
	before := count()
	v.SetFit(true)
	after := count()
	assert.Zero(t, before[col.Wall])
	assert.Greater(t, after[col.Wall], 100, "pixels of the wall")
	assert.Greater(t, after[col.GlassEdge], 100, "pixels of the pane's edge")
	assert.NotEqual(t, before, after)
	v.SetFit(false)
	assert.Equal(t, before, count(), "and back")
	require.True(t, v.ShowStation(m.Fit.Stations[0].ID))
	assert.NotNil(t, v.shown)
	assert.False(t, v.ShowStation("none"))
}

func BenchmarkPictureOfTheFit(b *testing.B) {
	j, m := demo(b, "workshop-coupe-rear-screen")
	v, _ := show(b, j, m)
	v.resized(fyneSize(image.Point{1200, 720}))
	v.SetFit(true)
	for b.Loop() {
		v.paint(1200, 720)
	}
}

func BenchmarkSocket(b *testing.B) {
	_, m := demo(b, "workshop-coupe-rear-screen")
	band := newBand(m)
	for b.Loop() {
		newSocket(m, band)
	}
}
