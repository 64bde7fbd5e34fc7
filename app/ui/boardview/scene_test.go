package boardview

import (
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/desk"
	"panewright/app/ui/look"
	"panewright/board"
)

func TestSceneOfAMirroredJob(t *testing.T) {
	j, m := demo(t, "workshop-coupe-rear-screen")
	sc := newScene(desk.State{Job: j, Model: m})
	require.Equal(t, board.MirrorRight, m.Mirror)
	assert.False(t, sc.stale)
	assert.NotEmpty(t, sc.shape)
	assert.NotEmpty(t, sc.made)
	require.NotNil(t, sc.line)
	assert.InDelta(t, m.Used.Offset, sc.line.offset, tol)

	drawn, checks, suspects := 0, 0, 0
	for _, p := range sc.points {
		drawn++
		assert.InDelta(t, 1, r2.Norm(p.out), 1e-9)
		if p.check {
			checks++
			assert.Less(t, p.at.X, sc.line.x(p.at.Y))
		}
		if p.state == board.Suspect {
			suspects++
		}
	}
	assert.Equal(t, len(j.Readings), drawn)
	assert.GreaterOrEqual(t, checks, 5)
	assert.Positive(t, suspects)
	for _, b := range sc.bands {
		for _, p := range b.band {
			assert.Greater(t, p.X, -60.0, "the band belongs to the measured half, mm")
		}
	}
}

func TestOldModelIsDrawnForWhatHasNotChanged(t *testing.T) {
	j, m := demo(t, "workshop-coupe-rear-screen")
	h := board.NewHistory(j)
	after, err := h.Edit("move", func(j *board.Job) error { return j.SetCell(0, "x", "1") })
	require.NoError(t, err)
	sc := newScene(desk.State{Job: after, Model: m})
	assert.True(t, sc.stale)
	first, _ := sc.find(0)
	assert.False(t, first.missed, "its miss is not known any more")
	missed := 0
	for _, p := range sc.points {
		if p.missed {
			missed++
		}
	}
	assert.Greater(t, missed, 20)
}

func TestTypedLineIsShownBesideTheOneFound(t *testing.T) {
	j, m := demo(t, "workshop-coupe-rear-screen")
	h := board.NewHistory(j)
	after, err := h.Edit("type", func(j *board.Job) error {
		j.Plane = &board.TypedPlane{Offset: j.Typed("1"), Skew: j.Typed("0.5")}
		return nil
	})
	require.NoError(t, err)
	sc := newScene(desk.State{Job: after, Model: m})
	assert.InDelta(t, 25.4, sc.line.offset, tol, "shown at once, before it is solved")
	assert.InDelta(t, 0.5, sc.line.skew, tol)
	require.NotNil(t, sc.found)
	assert.InDelta(t, m.Found.Offset, sc.found.offset, tol)
}

// A drag over a solved job asks for the true consequence and shows its ghost.
func TestGhostFollowsTheDrag(t *testing.T) {
	j, m := demo(t, "workshop-coupe-rear-screen")
	v, d := show(t, j, m)
	p := v.scene.line.at(v.scene.lineEnds[1])
	a := at(v, p.X, p.Y)
	press(v, a)
	for i := range 5 {
		pull(v, a.AddXY(float32(-i-1), 0))
	}
	g, ok := v.gesture.(*turning)
	require.True(t, ok)
	require.True(t, g.known)
	assert.Greater(t, len(g.outcome.Ghost), 20)
	words := g.words(v)
	assert.Contains(t, words[0], "offset")
	assert.LessOrEqual(t, len(words), hintLines)
	ghost := g.outcome.Ghost[len(g.outcome.Ghost)/2]
	seen := coloursAt(v, 1, ghost.X, ghost.Y, 8)
	assert.Contains(t, seen, look.Current().Centre)
	release(v, a.AddXY(-5, 0))
	assert.Equal(t, []string{"Move centre line"}, d.edits)
	assert.True(t, v.scene.stale)
}

// Every demo job is drawn, small and large, plain and fine, without a label
// lying over another.
func TestLabelsKeepApart(t *testing.T) {
	for _, name := range []string{"workshop-coupe-rear-screen", "touring-saloon-windscreen", "estate-quarter-window"} {
		j, m := demo(t, name)
		v, _ := show(t, j, m)
		for _, size := range []image.Point{{640, 600}, {1300, 900}} {
			v.resized(fyneSize(size))
			f := &frame{c: v.canvas, l: v.lens, k: 1, w: float64(size.X), h: float64(size.Y), col: look.Current(), fonts: v.fonts}
			f.c.Resize(size.X, size.Y)
			v.draw(f)
			labels := f.labels
			assert.NotEmpty(t, labels)
			for i, a := range labels {
				for _, b := range labels[:i] {
					apart := a.Min.X >= b.Max.X || b.Min.X >= a.Max.X || a.Min.Y >= b.Max.Y || b.Min.Y >= a.Max.Y
					assert.True(t, apart, "%s: %v and %v", name, a, b)
				}
			}
		}
	}
}

func TestWhiskersPointToTheSideOfTheMiss(t *testing.T) {
	f := &frame{l: lens{s: 0.5}, k: 1}
	out := point{out: r2.Vec{X: 0.6, Y: 0.8}, miss: 0.4}
	d := f.reach(out, 50)
	assert.InDelta(t, 0.4*50*0.5, r2.Norm(d), tol)
	assert.Greater(t, d.X, 0.0)
	assert.Less(t, d.Y, 0.0, "up the board is up the picture")
	out.miss = -1e9
	d = f.reach(out, 50)
	assert.Less(t, d.X, 0.0)
	assert.InDelta(t, longestMiss, r2.Norm(d), 1e-6)
}

func TestStride(t *testing.T) {
	tests := []struct {
		step, least float64
		want        int
	}{{50, 20, 1}, {15, 20, 2}, {5, 20, 5}, {2.5, 20, 10}, {1.5, 20, 20}, {0, 20, 1000}, {math.Inf(1), 20, 1}}
	for _, tt := range tests {
		assert.Equal(t, tt.want, stride(tt.step, tt.least), "%v", tt)
	}
}

func BenchmarkPicture(b *testing.B) {
	j, m := demo(b, "touring-saloon-windscreen")
	v, _ := show(b, j, m)
	v.resized(fyneSize(image.Point{1200, 720}))
	b.ReportAllocs()
	for b.Loop() {
		v.paint(1200, 720)
	}
}

func BenchmarkScene(b *testing.B) {
	j, m := demo(b, "touring-saloon-windscreen")
	for b.Loop() {
		newScene(desk.State{Job: j, Model: m})
	}
}
