package ui

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/ui/sheet"
	"panewright/board"
)

func TestGapsAreTyped(t *testing.T) {
	w, q := openDemo(t, "c")
	record(t, w, q)
	names := gapNames(w.state.Job)
	l := w.lists.models[listGaps].(*gapList)
	assert.Equal(t, len(names), l.Rows())
	w.keys("1.4<Return>0.1<Return>tight<Return><Return>0.6..0.7<Return>")
	gap := func(i int) board.GapNote {
		for _, g := range w.state.Job.Gaps {
			if g.Station == names[i] {
				return g
			}
		}
		return board.GapNote{}
	}
	assert.Equal(t, []string{"1.4", "0.1"}, []string{gap(0).Wall.Text, gap(0).Ledge.Text}, "Enter moves on as in the readings")
	assert.True(t, gap(1).Wall.Tight)
	assert.Equal(t, []float64{0.6, 0.7}, []float64{gap(2).Wall.Lo, gap(2).Wall.Hi})
	assert.Equal(t, "Gap at "+names[2]+", wall", w.state.Undo)
	assert.Contains(t, w.lists.strip.buttons[listGaps].Text, "3", "those noted are counted")
	row, col := w.lists.sheet().Cursor()
	assert.Equal(t, []int{2, gapLedge}, []int{row, col})
	at, _, _ := w.state.Job.LastCut().Shape.OnBoard(names[2])
	require.NotNil(t, at)

	w.keys("0..7..<Return><Left>")
	c := l.Cell(2, gapLedge)
	assert.Equal(t, sheet.Wrong, c.Tint, "kept, and said why")
	assert.Contains(t, c.Note, "tight, or 0.6..0.7")
	assert.Equal(t, markAttention, w.lists.strip.marks[listGaps])
	w.keys("<Right>")
	w.undo()
	require.NoError(t, l.SetBlock(len(names)-1, gapWall, [][]string{{"1.5", "0", "chalk", "9"}, {"2"}}), "what has no place is passed over")
	assert.Equal(t, "chalk", gap(len(names)-1).Note)
	require.Error(t, l.Set(len(names), gapWall, "1"))

	w.lists.sheet().Goto(0, gapWall)
	w.strikeSelected()
	assert.Nil(t, w.top(), "a gap is not struck")
	w.insertRow()
	assert.Contains(t, w.status.text.Text, "the stations of the cut")
	w.deleteSelected()
	assert.Empty(t, gap(0).Wall.Text)
	solved(t, w, q)
}

func TestGapSheetAndBoardPointAtOneAnother(t *testing.T) {
	w, q := openDemo(t, "a")
	record(t, w, q)
	l := w.lists.models[listGaps].(*gapList)
	names := gapNames(w.state.Job)
	twin := len(names) - 1
	require.True(t, strings.HasSuffix(names[twin], "'"), "the half that was made has its stations")
	c := l.Cell(twin, gapStation)
	assert.Contains(t, c.Note, "the twin of ")
	own := strings.TrimSuffix(names[twin], "'")
	for i, r := range w.state.Job.Readings {
		if r.ID == own && r.Kind == board.Edge {
			w.boardSelected(i)
		}
	}
	id, ok := w.lists.gapUnderCursor()
	assert.True(t, ok, "the gap sheet stays in view")
	assert.Equal(t, own, id)
	assert.False(t, w.lists.gotoGap("none"))
}

func TestGapEcho(t *testing.T) {
	mm, in := board.NewJob("x"), board.NewJob("y")
	in.Unit = board.Inch
	for _, c := range []struct {
		j          *board.Job
		text, want string
	}{
		{mm, "1.27", "1.27 mm = 0.050 in"},
		{in, "0.05", "0.050 in = 1.27 mm"},
		{in, "1.5 mm", "0.059 in = 1.50 mm"},
		{mm, "tight", "the glass touches"},
		{mm, "0", "the glass touches"},
		{mm, "0.6..0.7", "a strip of 0.60 mm = 0.024 in goes, one of 0.70 mm = 0.028 in does not"},
		{mm, "0.6..", "0.60 mm = 0.024 in or more"},
		{mm, "..0.7", "less than 0.70 mm = 0.028 in"},
	} {
		g := c.j.ReadGap(c.text)
		require.Empty(t, g.Fault, c.text)
		assert.Equal(t, c.want, gapWords(c.j, &g))
	}
	w, q := openDemo(t, "c")
	record(t, w, q)
	l := w.lists.models[listGaps].(*gapList)
	text, tint := l.Echo(0, gapWall, "0.7..0.6")
	assert.Equal(t, sheet.Wrong, tint)
	assert.Contains(t, text, "thinner")
	text, _ = l.Echo(0, gapRemark, "0.7")
	assert.Empty(t, text)
}

func TestGapsAreCopiedAndPasted(t *testing.T) {
	w, q := openDemo(t, "c")
	record(t, w, q)
	names := gapNames(w.state.Job)
	clip := test.NewClipboard()
	clip.SetContent("1.4\t0\n1.5\ttight\n0.6..0.7\n")
	s := w.lists.sheet()
	s.TypedShortcut(&fyne.ShortcutPaste{Clipboard: clip})
	require.Len(t, w.state.Job.Gaps, 3)
	assert.Equal(t, "Paste 3 rows", w.state.Undo, "one step")
	assert.Equal(t, []string{names[1], "1.5", "tight"}, []string{w.state.Job.Gaps[1].Station, w.state.Job.Gaps[1].Wall.Text, w.state.Job.Gaps[1].Ledge.Text})
	s.TypedShortcut(&fyne.ShortcutCopy{Clipboard: clip})
	assert.Equal(t, "1.4\t0\n1.5\ttight\n0.6..0.7\t", clip.Content())
	s.TypedKey(&fyne.KeyEvent{Name: fyne.KeyDelete})
	assert.Empty(t, w.state.Job.Gaps)
	assert.Equal(t, "Clear cells in 3 rows", w.state.Undo)

	s.Goto(len(names)-1, gapWall)
	clip.SetContent("1\n2\n3\n")
	s.TypedShortcut(&fyne.ShortcutPaste{Clipboard: clip})
	require.Len(t, w.state.Job.Gaps, 1, "rows below the last are passed over")
	clip.SetContent("new name")
	s.Goto(0, gapStation)
	s.TypedShortcut(&fyne.ShortcutPaste{Clipboard: clip})
	assert.Len(t, w.state.Job.Gaps, 1, "a station is not renamed")
	solved(t, w, q)
}

func TestDoubtfulGapsAreTold(t *testing.T) {
	w, q := openDemo(t, "c")
	record(t, w, q)
	names := gapNames(w.state.Job)
	l := w.lists.models[listGaps].(*gapList)
	require.NoError(t, l.Set(2, gapWall, "-0.4"))
	require.NoError(t, l.Set(3, gapLedge, "wide"))
	c := l.Cell(2, gapWall)
	assert.Equal(t, sheet.Suspicious, c.Tint)
	assert.Contains(t, c.Note, "type tight where the glass touches")
	assert.Equal(t, sheet.Wrong, l.Cell(3, gapLedge).Tint)
	assert.Equal(t, sheet.Plain, l.Cell(3, gapWall).Tint)

	var at [][2]int
	for _, tr := range w.troubles {
		if tr.list == listGaps {
			w.openStep(stepBoard)
			w.lists.view(listEdge)
			w.gotoTrouble(tr)
			row, col := w.lists.sheet().Cursor()
			assert.Equal(t, listGaps, w.lists.open)
			at = append(at, [2]int{row, col})
			assert.NotEmpty(t, w.status.text.Text)
		}
	}
	assert.ElementsMatch(t, [][2]int{{2, gapWall}, {3, gapLedge}}, at, "each is gone to")
	assert.Equal(t, markAttention, w.lists.strip.marks[listGaps])
	assert.NotEqual(t, markAttention, w.steps.marks[stepBoard], "that is not the board's fault")
	_, ok := gapRow(w.state.Job, board.Finding{List: "gaps", Row: 99})
	assert.False(t, ok)
	require.NoError(t, w.Edit("another", func(j *board.Job) error { return j.SetGap(1, names[2], "wall", "0.4") }))
	assert.Equal(t, sheet.Plain, l.Cell(2, gapWall).Tint)
	solved(t, w, q)
}

func TestGapsAreInTheUnitTheyWereTypedIn(t *testing.T) {
	w, q := openDemo(t, "c")
	record(t, w, q)
	l := w.lists.models[listGaps].(*gapList)
	require.NoError(t, l.Set(0, gapWall, "1.5"))
	require.NoError(t, l.Set(0, gapLedge, "tight"))
	require.NoError(t, w.Edit("inches", func(j *board.Job) error { j.Unit = board.Inch; return nil }))
	assert.Equal(t, "1.5 mm", l.Cell(0, gapWall).Text)
	assert.Equal(t, "tight", l.Cell(0, gapLedge).Text)
	require.NoError(t, l.Set(1, gapWall, "1/16"))
	assert.InDelta(t, 25.4/16, w.state.Job.Gaps[1].Wall.Lo, 1e-9, "mm")
	text, tint := l.Echo(1, gapWall, "1/16")
	assert.Equal(t, "0.062 in = 1.59 mm", text)
	assert.Equal(t, sheet.Plain, tint)
	solved(t, w, q)
}

func TestStationUnderTheCursorIsRinged(t *testing.T) {
	w, q := openDemo(t, "c")
	record(t, w, q)
	w.lists.choose(listGaps)
	w.lists.sheet().Goto(4, gapWall)
	id, ok := w.lists.gapUnderCursor()
	require.True(t, ok)
	assert.Equal(t, gapNames(w.state.Job)[4], id)
	w.lists.choose(listEdge)
	_, ok = w.lists.gapUnderCursor()
	assert.False(t, ok)
	w.openList(listGaps)
	assert.Equal(t, listGaps, w.lists.open)
}
