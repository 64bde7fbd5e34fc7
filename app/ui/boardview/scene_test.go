package boardview

import (
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/desk"
	"panewright/app/ui/look"
	"panewright/board"
)

func TestSceneOfAMirroredJob(t *testing.T) {
	j, m := demo(t, "workshop-coupe-rear-screen")
	sc := newScene(desk.State{Job: j, Model: m}, nil)
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
	require.Len(t, sc.band.runs, 1, "one band, all round")
	assert.True(t, sc.band.runs[0].closed)
}

func TestOldModelIsDrawnForWhatHasNotChanged(t *testing.T) {
	j, m := demo(t, "workshop-coupe-rear-screen")
	h := board.NewHistory(j)
	after, err := h.Edit("move", func(j *board.Job) error { return j.SetCell(0, "x", "1") })
	require.NoError(t, err)
	sc := newScene(desk.State{Job: after, Model: m}, nil)
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
	sc := newScene(desk.State{Job: after, Model: m}, nil)
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

// The band is worked out once for a model and has the width of its uncertainty.
func TestBandOfTheOutline(t *testing.T) {
	for _, name := range []string{"workshop-coupe-rear-screen", "estate-quarter-window"} {
		j, m := demo(t, name)
		require.NotNil(t, m.Pane)
		sc := newScene(desk.State{Job: j, Model: m}, nil)
		again := newScene(desk.State{Job: j, Model: m}, sc)
		assert.Same(t, sc.band, again.band)
		r := sc.band.runs[0]
		back := m.BoardToGlass
		for i := 0; i < len(r.at); i += 40 {
			require.InDelta(t, 1, r2.Norm(r.out[i]), 1e-9)
			g := back.Apply(r3.Vec{X: r.at[i].X, Y: r.at[i].Y, Z: 50})
			assert.InDelta(t, m.OutlineSD(r2.Vec{X: g.X, Y: g.Y}), r.sd[i], 0.05, "mm, at a height that is not quite its own")
		}
		for i, p := range r.at {
			next := r.at[(i+1)%len(r.at)]
			assert.LessOrEqual(t, r2.Norm(r2.Sub(next, p)), 2*bandStep, "mm from place to place")
		}
	}
}

// Where the inner side of a band folds over, every loop still turns the same way.
func TestStripsTurnOneWay(t *testing.T) {
	var left, right []r2.Vec
	for i := range 31 { // a quarter of a corner of radius 10, the band 15 to either side, y downward
		a := math.Pi / 2 * float64(i) / 30
		d := r2.Vec{X: math.Cos(a), Y: -math.Sin(a)}
		left, right = append(left, r2.Scale(25, d)), append(right, r2.Scale(-5, d))
	}
	right[0], right[1] = r2.Scale(5, left[0]), r2.Scale(5, left[1]) // and two that do not
	loops := strips(left, right)
	assert.Greater(t, len(loops), 1)
	for _, l := range loops {
		area := 0.0
		for i, p := range l {
			area += r2.Cross(p, l[(i+1)%len(l)])
		}
		assert.LessOrEqual(t, area, 1e-9)
	}
	assert.Empty(t, strips(left[:1], right[:1]))
}

// Without a pane the band belongs to what is known of the free outline.
func TestBandOfAnOpenOutline(t *testing.T) {
	j, m := demo(t, "workshop-coupe-rear-screen")
	bare := *m
	bare.Pane, bare.MeasuredHalf, bare.MadeHalf = nil, nil, nil
	sc := newScene(desk.State{Job: j, Model: &bare}, nil)
	require.NotEmpty(t, sc.band.runs)
	assert.Len(t, sc.shape, len(sc.band.runs), "the outline itself is drawn as far as it is known")
	for _, r := range sc.band.runs {
		assert.False(t, r.closed)
		for _, sd := range r.sd {
			assert.LessOrEqual(t, sd, known)
		}
	}
	assert.Empty(t, newBand(nil).runs)
}

func TestBandAndPlacesCanBeSwitchedOff(t *testing.T) {
	j, m := demo(t, "workshop-coupe-rear-screen")
	v, _ := show(t, j, m)
	require.NotEmpty(t, m.Next)
	spot := m.Next[0].At
	r := v.scene.band.runs[0]
	beside := r2.Add(r.at[0], r2.Scale(r.sd[0]*50, r.out[0])) // within the band, clear of the line
	col := look.Current()
	assert.Contains(t, coloursAt(v, 1, spot.X, spot.Y, 9), col.Good)
	with := coloursAt(v, 1, beside.X, beside.Y, 1)
	v.SetBand(false)
	v.SetAdvice(false)
	assert.NotContains(t, coloursAt(v, 1, spot.X, spot.Y, 9), col.Good)
	assert.NotEqual(t, with, coloursAt(v, 1, beside.X, beside.Y, 1))
	_, ok := v.hitAdvice(v.lens.px(r2.Vec{X: spot.X, Y: spot.Y}))
	assert.False(t, ok, "what is not drawn is not hit")
	v.SetAdvice(true)
	a, ok := v.hitAdvice(v.lens.px(r2.Vec{X: spot.X, Y: spot.Y}))
	require.True(t, ok)
	assert.Contains(t, a.words(), m.Next[0].Text)
}

func TestShowPlaceMovesItIntoTheMiddle(t *testing.T) {
	j, m := demo(t, "touring-saloon-windscreen")
	v, _ := show(t, j, m)
	before := v.lens.s
	p := r2.Vec{X: -650, Y: 180}
	v.ShowPlace(p)
	at := v.lens.px(p)
	assert.InDelta(t, 400, at.X, 1e-6, "pixels")
	assert.InDelta(t, 300, at.Y, 1e-6, "pixels")
	assert.InDelta(t, closer*before, v.lens.s, 1e-9)
	v.ShowPlace(r2.Vec{X: 10, Y: 400})
	assert.InDelta(t, closer*before, v.lens.s, 1e-9, "near enough already")
	v.Select(3)
	assert.Nil(t, v.shown, "until something else is chosen")
	v.Fit()
	assert.InDelta(t, before, v.lens.s, 1e-9)
}

// A suspect's tail leads to where the correction would put it.
func TestTailLeadsToTheCorrection(t *testing.T) {
	j, m := demo(t, "workshop-coupe-rear-screen")
	sc := newScene(desk.State{Job: j, Model: m}, nil)
	for i, r := range j.Readings {
		if r.Kind == board.Edge && r.ID == "12" {
			p, _ := sc.find(i)
			require.True(t, p.fits)
			assert.InDelta(t, 12.375*25.4, p.fit.X, 1e-9, "mm: 12 3/8 in for 21 3/8")
			assert.InDelta(t, r.Y.MM, p.fit.Y, 1e-9)
			return
		}
	}
	t.Fatal("no station 12")
}

func TestWordsOfWhatWasSaid(t *testing.T) {
	j := fourStations(board.MM)
	j.Readings[0].Break, j.Readings[0].Sure = true, true
	sc := newScene(desk.State{Job: j}, nil)
	p, _ := sc.find(0)
	words := about(p, j)
	assert.Contains(t, words, "true break of the edge")
	assert.Contains(t, words, "vouched for")
	v, _ := show(t, j, nil)
	at := v.lens.mm(r2.Add(v.lens.px(p.at), r2.Scale(11.5, r2.Vec{X: p.out.X, Y: -p.out.Y})))
	assert.Contains(t, coloursAt(v, 1, at.X, at.Y, 3), look.Current().Station, "a peak outside the station")
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

func BenchmarkPictureWithoutBand(b *testing.B) {
	j, m := demo(b, "touring-saloon-windscreen")
	v, _ := show(b, j, m)
	v.resized(fyneSize(image.Point{1200, 720}))
	v.SetBand(false)
	for b.Loop() {
		v.paint(1200, 720)
	}
}

func BenchmarkScene(b *testing.B) {
	j, m := demo(b, "touring-saloon-windscreen")
	for b.Loop() {
		newScene(desk.State{Job: j, Model: m}, nil)
	}
}

func BenchmarkSceneOfTheSameModel(b *testing.B) {
	j, m := demo(b, "touring-saloon-windscreen")
	sc := newScene(desk.State{Job: j, Model: m}, nil)
	for b.Loop() {
		sc = newScene(desk.State{Job: j, Model: m}, sc)
	}
}
