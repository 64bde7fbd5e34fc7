package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/ui/sheet"
	"panewright/board"
)

// openBench opens the bench view by its key.
func openBench(t *testing.T, w *Window) *bench {
	t.Helper()
	w.keys("<F11>")
	require.True(t, w.bench.view.Visible())
	require.False(t, w.main.Visible())
	assert.Same(t, w.bench.view, w.win.Canvas().Focused())
	return w.bench
}

func TestBenchViewTypesInTheTable(t *testing.T) {
	w, _ := open(t)
	b := openBench(t, w)
	f := b.view.Shown()
	assert.Equal(t, []string{"Station 1", "x, across", ""}, []string{f.Station, f.Column, f.Text})
	w.keys("12-3/8")
	f = b.view.Shown()
	assert.True(t, f.Typing)
	assert.Equal(t, "12-3/8", f.Text)
	assert.Contains(t, f.Echo, "12.375 mm", "what it means is said while it is typed")
	w.keys("<KP_Enter>20<KP_Enter>30<KP_Enter>7+")
	assert.Equal(t, sheet.Wrong, b.view.Shown().Tint)
	w.keys("5<Return>")
	rs := w.state.Job.Readings
	require.Len(t, rs, 2)
	assert.Equal(t, []string{"12-3/8", "20", "30", "7+5"}, []string{rs[0].X.Text, rs[0].Y.Text, rs[0].Z.Text, rs[1].X.Text})
	f = b.view.Shown()
	assert.Equal(t, []string{"Station 2", "y, up the board"}, []string{f.Station, f.Column})
	require.Len(t, f.Last, 1, "a row half typed is not among the last")
	assert.Equal(t, [3]string{"12-3/8", "20", "30"}, f.Last[0].Values)
	w.keys("<F11>")
	assert.False(t, b.view.Visible())
	assert.True(t, w.main.Visible())
	assert.Same(t, w.lists.sheet(), w.win.Canvas().Focused())
	w.undo()
	assert.Len(t, w.state.Job.Readings, 1, "the same undo as in the table")
}

func TestOopsTakesTheLastCellBack(t *testing.T) {
	w, _ := open(t)
	b := openBench(t, w)
	w.keys("*")
	assert.Contains(t, b.view.Shown().Echo, "Nothing was typed")
	w.keys("10<KP_Enter>20<KP_Enter>3")
	w.keys("*")
	assert.False(t, b.view.Shown().Typing, "first what is being typed")
	w.keys("*")
	f := b.view.Shown()
	assert.Equal(t, []string{"y, up the board", ""}, []string{f.Column, f.Text}, "the cursor is on the cell taken back")
	w.keys("21<KP_Enter>30<KP_Enter>")
	r := w.state.Job.Readings[0]
	assert.Equal(t, []string{"10", "21", "30"}, []string{r.X.Text, r.Y.Text, r.Z.Text})
	w.keys("***")
	assert.Empty(t, w.state.Job.Readings, "one cell after the other")
	assert.Equal(t, "x, across", b.view.Shown().Column)

	w.keys("10<KP_Enter>")
	require.NoError(t, w.Edit("another", func(j *board.Job) error { j.Name = "other"; return nil }))
	w.keys("*")
	assert.Equal(t, "other", w.state.Job.Name, "only what was typed here is taken back")
	assert.Contains(t, b.view.Shown().Echo, "Something else")
}

func TestBenchViewSaysWhatFits(t *testing.T) {
	w, q := openDemo(t, "a")
	i := readingAt(t, w, board.Edge, "12")
	w.lists.gotoReading(i, fieldX)
	b := openBench(t, w)
	f := b.view.Shown()
	assert.Equal(t, "Station 12", f.Station)
	require.NotEmpty(t, f.Last)
	assert.Equal(t, []any{"12", "look again", sheet.Suspicious}, []any{f.Last[0].Name, f.Last[0].Says, f.Last[0].Tint})
	assert.Contains(t, f.Echo, "tation 12")
	assert.NotEqual(t, f.Echo, f.Advice, "nothing is said twice")
	w.keys("<Down>")
	assert.Contains(t, b.view.Shown().Advice, "tation 12", "and on the next row")
	assert.Contains(t, f.Last[1].Says, "fits")
	assert.True(t, f.Last[1].Good)
	assert.LessOrEqual(t, len(f.Last), benchLines)
	require.NoError(t, w.Edit("strike", func(j *board.Job) error { return j.Strike(i, "misread") }))
	solved(t, w, q)
	assert.Equal(t, "struck", b.view.Shown().Last[1].Says)
	w.keys("<Escape>")
	assert.False(t, b.view.Visible(), "Escape closes it where nothing is typed")
}

func TestBenchViewIsForReadings(t *testing.T) {
	w, _ := open(t)
	w.openList(listTapes)
	b := openBench(t, w)
	assert.Equal(t, listEdge, w.lists.open)
	w.openList(listFace)
	assert.Equal(t, "Face point F1", b.view.Shown().Station)
	w.keys("12..5<KP_Enter>1<KP_Enter>1<KP_Enter>")
	assert.Equal(t, "not understood", b.view.Shown().Last[0].Says)
	w.openList(listTapes)
	assert.False(t, b.view.Visible(), "widths are typed in the table")
	w.looseKey(&fyne.KeyEvent{Name: fyne.KeyF11})
	w.looseRune('5')
	assert.True(t, b.view.Shown().Typing, "keys find it")
}
