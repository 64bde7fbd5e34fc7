package boardview

import (
	"image"
	"image/color"
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/ui/look"
	"panewright/board"
	"panewright/geom"
)

// count is how often each colour is in the picture.
func count(v *View, w, h int) map[color.NRGBA]int {
	v.resized(fyneSize(image.Point{X: w, Y: h}))
	img := v.paint(w, h).(*image.RGBA)
	seen := map[color.NRGBA]int{}
	for y := range h {
		for x := range w {
			seen[color.NRGBA(img.RGBAAt(x, y))]++
		}
	}
	return seen
}

// Read all round, the left half is a line along the right one; demo B is wider at
// its lower left corner, and the fold says so there.
func TestFoldOfAWholePane(t *testing.T) {
	_, m := demo(t, "touring-saloon-windscreen")
	d := newFold(m, m.Used.Plane)
	require.NotNil(t, d)
	assert.False(t, d.half)
	assert.Greater(t, len(d.line), 300)
	assert.Equal(t, d.edge[0], d.line[0].at, "out to the ends")
	assert.Equal(t, d.edge[len(d.edge)-1], d.line[len(d.line)-1].at)
	right := 0
	for i, p := range d.line {
		require.InDelta(t, 1, r2.Norm(p.out), 1e-9)
		if i > 0 {
			require.Less(t, r2.Norm(r2.Sub(p.at, d.line[i-1].at)), 12.0, "mm from place to place")
		}
	}
	for _, k := range d.marks {
		assert.False(t, k.against)
		right += 1
		if k.folded {
			right -= 2
		}
	}
	assert.Less(t, math.Abs(float64(right)), 12.0, "about as many stations of either half")
	assert.InDelta(t, 1.2, d.most[0].off, 0.6, "mm: planted in the demo")
	assert.Greater(t, d.most[0].at.X, 500.0, "at the lower right, where the lower left is laid")
	assert.Less(t, d.most[0].at.Y, 300.0)
	assert.Less(t, d.typical, d.greatest())
	assert.Nil(t, newFold(m, geom.NewPlane(r3.Vec{X: 5000}, 0, 0)), "a line beside the pane")
}

// Of half a pane the stations of the other half stand against it, and a line that
// is 2 mm off puts them 4 mm off.
func TestFoldOfHalfAPane(t *testing.T) {
	_, m := demo(t, "workshop-coupe-rear-screen")
	as := newFold(m, m.Found.Plane)
	require.NotNil(t, as)
	assert.True(t, as.half)
	assert.Empty(t, as.line)
	against := 0
	for _, k := range as.marks {
		assert.Equal(t, k.folded, k.against, "the right half was read")
		assert.Equal(t, k.id, m.Job.Readings[k.reading].ID)
		if k.against {
			against++
		}
	}
	assert.GreaterOrEqual(t, against, 5)
	assert.Less(t, as.greatest(), 2.5, "mm")
	c, ok := m.Consequence(m.Found.Offset+2, m.Found.Skew, m.Found.Roll)
	require.True(t, ok)
	off := newFold(m, c.Plane)
	assert.InDelta(t, 4, off.most[0].off, 1.2, "mm: 2e")
	assert.NotEmpty(t, off.most[0].id)
}

func TestBetweenFoldPointsCornersAreRound(t *testing.T) {
	const r = 40.0
	on := func(a float64) foldPlace {
		return foldPlace{at: r2.Vec{X: r * math.Cos(a), Y: r * math.Sin(a)}, out: r2.Vec{X: math.Cos(a), Y: math.Sin(a)}, off: a}
	}
	for _, f := range []float64{0.25, 0.5, 0.75} {
		p := foldBetween(on(0), on(15/r), f)
		assert.InDelta(t, r, r2.Norm(p.at), 0.02, "mm: fold points lie 15 mm apart")
		assert.InDelta(t, f*15/r, p.off, 1e-12)
		assert.InDelta(t, 1, r2.Norm(p.out), 1e-12)
	}
}

func TestScaleOfTheFold(t *testing.T) {
	for _, c := range []struct{ mm, s, want float64 }{{0.1, 0.5, 50}, {1, 0.5, 50}, {2, 0.5, 20}, {5, 0.5, 10}, {24, 0.5, 2}, {400, 1, 1}} {
		assert.Equal(t, c.want, scaleFor(c.mm, c.s), "%v mm", c.mm)
	}
	assert.Equal(t, 0.5, barFor(board.MM, 40), "mm")
	assert.InDelta(t, 0.02*25.4, barFor(board.Inch, 40), 1e-9, "mm: 0.02 in")
	assert.Equal(t, 20.0, barFor(board.MM, 1), "mm")
}

// The sign is in the colour and in the line: what lies inside is dashed.
func TestFoldIsDrawnAndSwitchedOff(t *testing.T) {
	j, m := demo(t, "touring-saloon-windscreen")
	v, _ := show(t, j, m)
	v.SetMagnify(0)
	col := look.Current()
	before := count(v, 900, 700)
	v.SetFold(true)
	require.NotNil(t, v.folded())
	with := count(v, 900, 700)
	assert.Greater(t, with[col.Outside], before[col.Outside]+50)
	assert.Greater(t, with[col.Inside], before[col.Inside]+50)
	f := &frame{col: col, k: 1}
	assert.Nil(t, f.signStroke(true, 2, 1).Dash)
	assert.NotEmpty(t, f.signStroke(false, 2, 1).Dash)
	at := v.foldTimes()
	v.SetFoldScale(5)
	assert.Equal(t, 5.0, v.foldTimes())
	assert.NotEqual(t, with, count(v, 900, 700))
	v.SetFoldScale(0)
	assert.Equal(t, at, v.foldTimes())
	v.SetFit(true)
	assert.Nil(t, v.folded(), "the fit goes before")
	v.SetFit(false)
	v.SetFold(false)
	assert.Equal(t, before, count(v, 900, 700), "and back")
}

func TestFoldNeedsALine(t *testing.T) {
	j, m := demo(t, "estate-quarter-window")
	v, _ := show(t, j, m)
	v.SetFold(true)
	assert.Nil(t, v.folded(), "no mirror")
	v, _ = show(t, fourStations(board.MM), nil)
	v.SetFold(true)
	assert.Nil(t, v.folded(), "nothing is known yet")
}

// While the line is dragged the fold is that about the dragged line, to the same
// scale, and when it is let go that about the typed one.
func TestFoldFollowsTheDrag(t *testing.T) {
	j, m := demo(t, "workshop-coupe-rear-screen")
	v, d := show(t, j, m)
	v.SetFold(true)
	scale, was := v.foldTimes(), v.folded()
	p := v.scene.line.at(0.5*(v.scene.lineEnds[0]+v.scene.lineEnds[1]) + 30)
	a := at(v, p.X, p.Y)
	press(v, a)
	for i := range 6 {
		pull(v, a.AddXY(float32(i+1), 0))
	}
	g := v.gesture.(*turning)
	require.NotNil(t, g.fold)
	assert.Same(t, g.fold, v.folded())
	assert.Greater(t, g.fold.greatest(), was.greatest()+5, "mm")
	assert.Equal(t, scale, v.foldTimes())
	v.paint(800, 600)
	dragged := g.fold.greatest()
	release(v, a.AddXY(6, 0))
	require.Equal(t, []string{"Move centre line"}, d.edits)
	assert.InDelta(t, dragged, v.folded().greatest(), 0.1, "mm: at once, before it is solved")
	again := v.folded()
	v.Display(v.door.State())
	assert.Same(t, again, v.folded(), "made once for a line and a model")
}

func TestStationsOfTheFoldCanBePointedAt(t *testing.T) {
	j, m := demo(t, "workshop-coupe-rear-screen")
	v, _ := show(t, j, m)
	v.SetFold(true)
	var far foldMark
	for _, k := range v.folded().marks {
		if k.against && math.Abs(k.off) > math.Abs(far.off) && k.at.X > 100 {
			far = k
		}
	}
	q := offAt(v.lens, far.foldPlace, v.foldTimes(), longestMiss)
	hit := v.hitFold(q)
	require.NotNil(t, hit)
	words := hit.words(j)
	assert.Contains(t, words[0], "folded over")
	assert.Contains(t, words[1], exact(math.Abs(hit.off), j))
	v.zoomAt(q, 8) // clear of the reading itself
	v.SetFoldScale(50)
	q = offAt(v.lens, far.foldPlace, 50, longestMiss)
	p := v.lens.mm(q)
	click(v, at(v, p.X, p.Y))
	assert.Equal(t, far.reading, v.Selected())
	for _, a := range v.scene.advice {
		_, ok := v.hitAdvice(v.lens.px(a.at))
		assert.False(t, ok, "what is not drawn is not hit")
	}
}

func TestExactLengths(t *testing.T) {
	mm, in := board.NewJob(""), board.NewJob("")
	in.Unit, in.Comma = board.Inch, true
	assert.Equal(t, "1.20 mm", exact(1.2, mm))
	assert.Equal(t, "0,042 in", exact(1.0668, in))
}

// manyStations is demo B's model with some 500 stations, for the time of a frame.
func manyStations(b *testing.B) (*board.Job, *board.Model) {
	b.Helper()
	j, m := demo(b, "touring-saloon-windscreen")
	c := m.Free.Curve
	j = j.Clone()
	_, end := c.Period()
	const n = 500
	var edge []board.Reading
	for i := range n {
		p := c.At(end * float64(i) / n)
		edge = append(edge, board.Reading{ID: strconv.Itoa(i + 1), Kind: board.Edge, X: j.Typed(typed(p.X, j)), Y: j.Typed(typed(p.Y, j)), Z: j.Typed("80")})
	}
	j.Readings = edge
	j.Evaluate()
	return j, m
}

func BenchmarkPictureOfTheFold(b *testing.B) {
	j, m := manyStations(b)
	v, _ := show(b, j, m)
	v.resized(fyneSize(image.Point{X: 1200, Y: 720}))
	v.SetFold(true)
	marks := v.foldUsed.marks
	for len(v.foldUsed.marks) < len(j.Readings) {
		v.foldUsed.marks = append(v.foldUsed.marks, marks...)
	}
	for b.Loop() {
		v.paint(1200, 720)
	}
}

func BenchmarkFold(b *testing.B) {
	_, m := demo(b, "touring-saloon-windscreen")
	for b.Loop() {
		newFold(m, m.Used.Plane)
	}
}
