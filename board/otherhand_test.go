package board_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
	"panewright/testdata/demo"
)

// TestOtherHandTexts: every way of typing has its opposite, in the same unit where
// it can be told.
func TestOtherHandTexts(t *testing.T) {
	for _, c := range []struct {
		unit       board.Unit
		text, want string
	}{
		{board.MM, "12.5", "-12.5"}, {board.MM, "-12.5", "12.5"}, {board.MM, "+12.5", "-12.5"}, {board.MM, "0", "0"},
		{board.Inch, "12 3/8", "-12 3/8"}, {board.Inch, "-3/8", "3/8"}, {board.Inch, `3' 11 1/2"`, `-3' 11 1/2"`},
		{board.MM, "7+12", "-7 less 12"}, {board.MM, "7 less 12", "-7+12"}, {board.MM, "-7+12", "7 less 12"},
		{board.MM, "7+-12", "-7+12"}, {board.MM, "12in", "-12in"}, {board.MM, "1.2e2", "-1.2e2"},
		{board.MM, "what", "what"}, {board.MM, "", ""},
	} {
		j := board.NewJob("pane")
		j.Readings = []board.Reading{{ID: "1", Kind: board.Edge, X: board.Cell{Text: c.text, Unit: c.unit}}}
		j.Evaluate()
		m := board.OtherHand(j)
		got := m.Readings[0].X
		assert.Equal(t, c.want, got.Text)
		assert.Equal(t, c.unit, got.Unit, c.text)
		assert.InDelta(t, -j.Readings[0].X.MM, got.MM, 1e-9, c.text)
		assert.Equal(t, j.Readings[0].X.Set, got.Set, c.text)
	}
}

// typed are all numbers of a job that its mirror image changes the sign of.
func typed(j *board.Job) (out []float64) {
	for _, r := range j.Readings {
		out = append(out, r.X.MM)
	}
	for _, p := range j.Checks.Zero.Points {
		out = append(out, p.X.MM)
	}
	if j.Plane != nil {
		out = append(out, j.Plane.Offset.MM, j.Plane.Skew.MM, j.Plane.Roll.MM)
	}
	return out
}

// TestOtherHandTwice: the other hand of the other hand is the pane itself.
func TestOtherHandTwice(t *testing.T) {
	for _, d := range demo.All() {
		j := d.Job.Clone()
		j.Plane = &board.TypedPlane{Offset: board.Cell{Text: "1.5"}, Skew: board.Cell{Text: "-0.2"}, Roll: board.Cell{Text: "0.1"}}
		j.Checks.Grid.Rising = board.Cell{Text: "1500"}
		j.Evaluate()
		once := board.OtherHand(j)
		require.NoError(t, once.Validate())
		assert.Equal(t, "1500", once.Checks.Grid.Falling.Text)
		assert.Equal(t, j.Pane, once.Pane, "a dome stays a dome")
		assert.Equal(t, -j.Grid.ColLast, once.Grid.ColFirst)
		want, got := typed(j), typed(once)
		require.Len(t, got, len(want))
		for i := range want {
			assert.InDelta(t, -want[i], got[i], 1e-9)
		}
		twice := board.OtherHand(once)
		assert.InDeltaSlice(t, want, typed(twice), 1e-9)
		assert.Equal(t, j.Mirror, twice.Mirror)
		assert.Equal(t, j.Grid, twice.Grid)
		assert.Equal(t, j.Readings[0].Y, twice.Readings[0].Y)
	}
}

// TestOtherHandIsTheMirrorImage: the solved twin is the mirror image of the solved
// pane, its outer face where it was, and its sizes are the same.
func TestOtherHandIsTheMirrorImage(t *testing.T) {
	j := demo.C().Job
	m, err := board.Solve(context.Background(), j, nil)
	require.NoError(t, err)
	w, err := board.Solve(context.Background(), board.OtherHand(j), nil)
	require.NoError(t, err)
	require.NotNil(t, w.Pane, w.Why)
	const close = 0.02 // mm: the fit's own stopping
	assert.InDelta(t, m.Figures.Girth, w.Figures.Girth, close)
	assert.InDelta(t, m.Figures.Mass, w.Figures.Mass, 1e-3, "kg")
	far, high := 0.0, 0.0
	lo, hi := m.Pane.Outline.Period()
	for i := range 500 {
		q := m.Pane.Outline.At(lo + (hi-lo)*float64(i)/500)
		_, d := w.Pane.Outline.Nearest(r2.Vec{X: -q.X, Y: q.Y})
		far = max(far, math.Abs(d))
		q = r2.Scale(0.9, q)
		high = max(high, math.Abs(m.Pane.Upper.At(q.X, q.Y)-w.Pane.Upper.At(-q.X, q.Y)))
	}
	assert.Less(t, far, close, "mm, outline")
	assert.Less(t, high, close, "mm, upper face")
}
