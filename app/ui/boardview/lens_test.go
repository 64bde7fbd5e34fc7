package boardview

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
)

const tol = 1e-9 // mm or pixels: rounding only

func near(t *testing.T, want, got r2.Vec, eps float64) {
	t.Helper()
	assert.InDelta(t, 0, r2.Norm(r2.Sub(want, got)), eps, "want %v, got %v", want, got)
}

func TestLensThereAndBack(t *testing.T) {
	l := lens{s: 0.37, o: r2.Vec{X: 120, Y: 480}}
	for _, p := range []r2.Vec{{}, {X: 412.5, Y: 99}, {X: -1e4, Y: 3e3}} {
		near(t, p, l.mm(l.px(p)), 1e-9)
	}
	assert.Less(t, l.px(r2.Vec{Y: 1}).Y, l.px(r2.Vec{}).Y, "up the board is up the picture")
}

func TestZoomKeepsThePointer(t *testing.T) {
	l := lens{s: 0.5, o: r2.Vec{X: 100, Y: 300}}
	at := r2.Vec{X: 333, Y: 222}
	for _, f := range []float64{1.25, 0.3, 40, 1e9, 1e-9} {
		z := l.zoomed(at, f)
		near(t, l.mm(at), z.mm(at), 1e-6)
		assert.GreaterOrEqual(t, z.s, leastScale)
		assert.LessOrEqual(t, z.s, greatestScale)
	}
}

func TestFittedShowsTheBoxInTheMiddle(t *testing.T) {
	box := r2.Box{Min: r2.Vec{X: -900, Y: 0}, Max: r2.Vec{X: 900, Y: 1100}}
	for _, size := range []r2.Vec{{X: 640, Y: 600}, {X: 300, Y: 900}, {X: 1920, Y: 200}} {
		l := fitted(box, size.X, size.Y, 20)
		a, b := l.px(r2.Vec{X: box.Min.X, Y: box.Max.Y}), l.px(r2.Vec{X: box.Max.X, Y: box.Min.Y})
		near(t, r2.Scale(0.5, size), r2.Scale(0.5, r2.Add(a, b)), 1e-9)
		assert.InDelta(t, 20, min(a.X, a.Y), 1e-9)
	}
	assert.NotPanics(t, func() { fitted(r2.Box{}, 0, 0, 20) })
}

func TestLine(t *testing.T) {
	l := line{offset: 10, skew: 1, level: 300}
	assert.InDelta(t, 10, l.x(300), tol)
	assert.Less(t, l.x(600), 10.0, "a positive skew is counter-clockwise: the upper end goes left")
	assert.InDelta(t, 0, l.dist(l.at(77)), tol)
	assert.InDelta(t, 12.5, l.shifted(2.5).offset, tol)

	back, ok := line{level: 300, roll: 0.3}.through(l.at(0), l.at(600))
	assert.True(t, ok)
	assert.InDelta(t, l.offset, back.offset, 0.01) // a hundredth of a millimetre is what is kept
	assert.InDelta(t, l.skew, back.skew, 0.01)     // degrees, the same
	assert.InDelta(t, 0.3, back.roll, tol, "roll is left alone")
	again, _ := line{level: 300}.through(l.at(600), l.at(0))
	assert.Equal(t, back.skew, again.skew, "either way round")

	_, ok = l.through(r2.Vec{X: 0, Y: 0}, r2.Vec{X: 100, Y: 0})
	assert.False(t, ok, "level")
}

func TestTypedIsWhatAPersonWouldType(t *testing.T) {
	inch, mm := &board.Job{Unit: board.Inch}, &board.Job{}
	tests := []struct {
		mm   float64
		job  *board.Job
		want string
	}{
		{12.375 * 25.4, inch, "12 3/8"},
		{-0.25 * 25.4, inch, "-1/4"},
		{0, inch, "0"},
		{314, inch, "12.3622"},
		{412.5, mm, "412.5"},
		{-300, mm, "-300"},
		{1e-12, mm, "0"},
		{-1e-12, mm, "0"},
		{12.5, &board.Job{Comma: true}, "12,5"},
		{314, &board.Job{Unit: board.Inch, Comma: true}, "12,3622"},
	}
	for _, tt := range tests {
		assert.Equal(t, tt.want, typed(tt.mm, tt.job))
		got, _, err := board.Parse(tt.want, board.AxisX, tt.job.Unit, tt.job.Comma, board.Grid{})
		assert.NoError(t, err)
		assert.InDelta(t, tt.mm, got, 0.002, "read back, mm")
	}
}
