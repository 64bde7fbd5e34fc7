package ui

import (
	"testing"

	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/ui/look"
	"panewright/board"
)

// ids are the names of the readings, in order.
func ids(w *Window) (out []string) {
	for _, r := range w.state.Job.Readings {
		out = append(out, r.ID)
	}
	return out
}

// typeRows types four stations.
func typeRows(w *Window) {
	w.keys("1<Return>1<Return>1<Return>2<Return>2<Return>2<Return>3<Return>3<Return>3<Return>4<Return>4<Return>4<Return>")
}

func TestRowsAreMovedTogether(t *testing.T) {
	w, _ := open(t)
	typeRows(w)
	w.lists.sheet().SelectRows(1, 2)
	w.moveRows(1)
	assert.Equal(t, []string{"1", "4", "2", "3"}, ids(w))
	first, n := w.lists.sheet().Selection()
	assert.Equal(t, []int{2, 2}, []int{first, n}, "they stay selected")
	assert.Equal(t, "Move 2 rows", w.state.Undo)
	w.moveRows(1)
	assert.Equal(t, []string{"1", "4", "2", "3"}, ids(w), "no further than the end")
	w.moveRows(-1)
	w.moveRows(-1)
	w.moveRows(-1)
	assert.Equal(t, []string{"2", "3", "1", "4"}, ids(w))
	w.undo()
	assert.Equal(t, []string{"1", "2", "3", "4"}, ids(w), "a step at a time")

	w.lists.sheet().SelectRows(1, 3)
	w.deleteSelected()
	assert.Equal(t, []string{"1"}, ids(w))
	w.undo()
	assert.Len(t, ids(w), 4, "one step")
	w.openList(listTapes)
	w.moveRows(1)
	assert.Contains(t, w.status.text.Text, "Only readings")
}

func TestSwappedStationsAreOfferedToBeSorted(t *testing.T) {
	w, q := openDemo(t, "b")
	p := w.panels[stepReadings].(*readingsPanel)
	assert.False(t, p.order.Visible())
	want := ids(w)
	w.lists.gotoCell(listEdge, 10, 1)
	w.moveRows(1)
	solved(t, w, q)
	require.True(t, p.order.Visible())
	assert.Contains(t, p.order.Text, "Stations 12 and 11")
	test.Tap(p.sort)
	assert.Equal(t, want, ids(w))
	assert.False(t, p.order.Visible())
	w.sortEdge()
	assert.NotEqual(t, want, ids(w), "the second round is sorted into the first")
	assert.Empty(t, w.state.Job.Swapped())
	w.sortEdge()
	assert.Contains(t, w.status.text.Text, "are in order")
}

func TestAPlaceIsReadAgain(t *testing.T) {
	w, _ := open(t)
	typeRows(w)
	w.lists.gotoCell(listEdge, 1, 2)
	w.readAgain()
	w.keys("2.3<Return>2.4<Return>2.1<Return>")
	assert.Equal(t, []string{"1", "2", "2", "3", "4"}, ids(w), "both are kept, one behind the other")
	w.lists.gotoCell(listEdge, 1, 1)
	p := w.panels[stepReadings].(*readingsPanel)
	assert.Contains(t, p.one.Text, "Read 2 times, at most 0.50 mm apart, 0.10 mm in height")
	w.lists.gotoCell(listEdge, 0, 1)
	assert.NotContains(t, p.one.Text, "times")
	w.lists.gotoCell(listEdge, 5, 1)
	w.readAgain()
	assert.Len(t, ids(w), 5, "there is nothing to read again")
}

func TestFindingAReading(t *testing.T) {
	w, _ := openDemo(t, "b")
	find := func(text string) {
		w.askFind()
		w.keys(text + "<Return>")
	}
	find("17")
	require.Nil(t, w.top())
	assert.Equal(t, "17", w.state.Job.Readings[w.lists.current()].ID)
	assert.Same(t, w.lists.sheet(), w.win.Canvas().Focused())
	find("f3")
	assert.Equal(t, listFace, w.lists.open)
	assert.Equal(t, "F3", w.state.Job.Readings[w.lists.current()].ID)
	i := readingAt(t, w, board.Edge, "9")
	require.NoError(t, w.Edit("note", func(j *board.Job) error { return j.SetCell(i, "note", "A chip here") }))
	find("CHIP")
	assert.Equal(t, i, w.lists.current())
	find("nowhere")
	require.NotNil(t, w.top())
	assert.Equal(t, "find", w.top().name)
	w.keys("<Escape>")
	assert.Equal(t, i, w.lists.current())
}

func TestColumnsHaveUnitsOfTheirOwn(t *testing.T) {
	w, _ := open(t)
	l := w.lists.models[listEdge].(*readingList)
	head := func(col, item int) {
		t.Helper()
		items := w.headItems(listEdge, col)
		require.Len(t, items, 4)
		items[item].Action()
		assert.True(t, w.headItems(listEdge, col)[item].Checked)
	}
	assert.Empty(t, w.headItems(listEdge, 0), "names have no unit")
	assert.Empty(t, w.headItems(listTapes, 1))
	head(1, int(inInches))
	head(3, int(inSixteenths))
	assert.Equal(t, "x in", l.Columns()[1].Head)
	assert.Equal(t, "z 1/16", l.Columns()[3].Head)
	w.keys("12.5<Return>30<Return>1")
	w.keys("98")
	assert.Contains(t, w.status.text.Text, "12.375 in", "what sixteenths mean is said")
	w.keys("<Return>")
	r := w.state.Job.Readings[0]
	assert.InDelta(t, 12.5*25.4, r.X.MM, 1e-9)
	assert.InDelta(t, 30, r.Y.MM, 1e-9)
	assert.InDelta(t, 198*25.4/16, r.Z.MM, 1e-9)
	assert.Equal(t, "12 3/8", r.Z.Text)
	w.keys("1<Return>1<Return>1.5<Return>")
	_, typing := w.lists.sheet().Typing()
	assert.True(t, typing, "half a sixteenth is refused and stays")
	w.keys("<Escape>3/4<Return>")
	assert.InDelta(t, 0.75*25.4, w.state.Job.Readings[1].Z.MM, 1e-9, "a fraction is what it says")

	head(1, int(asJob))
	w.lists.gotoCell(listEdge, 1, 1)
	w.keys("1<Return>")
	assert.InDelta(t, 1, w.state.Job.Readings[1].X.MM, 1e-9, "typed over, it is in the unit in force")
	w.undo()
	w.lists.gotoCell(listEdge, 1, 1)
	w.keys("<F2><Return>")
	assert.InDelta(t, 25.4, w.state.Job.Readings[1].X.MM, 1e-9, "looked at, it stays")
}

func TestSixteenths(t *testing.T) {
	for text, want := range map[string]string{"198": "12 3/8", "0": "0", "16": "1", "5": "5/16", "-24": "-1 1/2", "−8": "-1/2"} {
		got, ok := sixteenths(text)
		assert.True(t, ok, text)
		assert.Equal(t, want, got, text)
	}
	for _, text := range []string{"", "1.5", "-", "x", "123456", "1 2"} {
		_, ok := sixteenths(text)
		assert.False(t, ok, text)
	}
}

func TestNotesInPlaceOfMisses(t *testing.T) {
	w, _ := open(t)
	typeRows(w)
	l := w.lists.models[listEdge].(*readingList)
	w.lists.notes.SetChecked(true)
	require.Equal(t, "note", l.Columns()[4].Head)
	w.lists.gotoCell(listEdge, 1, 4)
	w.keys("chip<Return>")
	assert.Equal(t, "chip", w.state.Job.Readings[1].Note)
	assert.Equal(t, "chip", l.Cell(1, 4).Text)
	row, col := w.lists.sheet().Cursor()
	assert.Equal(t, []int{2, 1}, []int{row, col}, "Enter goes on with the figures")
	require.NoError(t, w.Edit("strike", func(j *board.Job) error { return j.Strike(2, "smudged") }))
	c := l.Cell(2, 4)
	assert.Equal(t, "smudged", c.Text, "why it was struck stands where its note would")
	assert.True(t, c.Struck)
	w.lists.notes.SetChecked(false)
	assert.Equal(t, "miss", l.Columns()[4].Head)
}

func TestSwitchesOfTheListsFitTheirColumn(t *testing.T) {
	w, _ := open(t)
	for _, ty := range []look.Type{look.TypeSmall, look.TypeNormal, look.TypeLarge, look.TypeVeryLarge} {
		w.change(func(s *settings) { s.Type = ty })
		width := w.lists.content.Size().Width
		assert.LessOrEqual(t, w.lists.down.MinSize().Width+w.lists.notes.MinSize().Width, width, "type %d", ty)
	}
}
