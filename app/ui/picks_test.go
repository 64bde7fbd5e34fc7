package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/board"
)

func TestBoardAndListHaveOneSelection(t *testing.T) {
	w, _ := open(t)
	typeRows(w)
	w.board.Pick([]int{0, 2})
	w.boardPicked([]int{2, 0})
	assert.Equal(t, []int{0, 2}, w.lists.sheet().Selected(), "rows that stand apart")
	index, tapes := w.lists.selected()
	assert.Equal(t, []int{0, 2}, index)
	assert.False(t, tapes)
	assert.Equal(t, []int{0, 2}, w.board.Picked())

	w.moveRows(1)
	assert.Contains(t, w.status.text.Text, "one under the other")
	assert.Equal(t, []string{"1", "2", "3", "4"}, ids(w))

	w.lists.sheet().SelectRows(1, 3)
	assert.Equal(t, []int{1, 2, 3}, w.board.Picked(), "the board follows the list")
	w.lists.gotoCell(listEdge, 3, 1)
	assert.Equal(t, []int{3}, w.board.Picked())

	w.boardShortcut(&fyne.ShortcutSelectAll{})
	assert.Len(t, w.board.Picked(), 4)
	w.win.Canvas().Focus(w.board)
	w.keys("<Escape>")
	assert.Empty(t, w.board.Picked())
	assert.Len(t, w.lists.sheet().Selected(), 1)
}

func TestSeveralAreStruckAndMovedFromTheBoard(t *testing.T) {
	w, _ := open(t)
	typeRows(w)
	w.boardPicked([]int{0, 3})
	w.win.Canvas().Focus(w.board)
	w.keys("<Right>")
	assert.Equal(t, "Move 2 stations", w.state.Undo)
	w.keys("<Delete>")
	r := w.state.Job.Readings
	assert.Equal(t, []bool{true, false, false, true}, []bool{r[0].Struck, r[1].Struck, r[2].Struck, r[3].Struck})
	assert.NotEmpty(t, r[0].Reason)
	assert.Equal(t, "Strike 2 rows", w.state.Undo)
	w.keys("<Delete>")
	assert.Equal(t, "Strike 2 rows", w.state.Undo, "what is struck is left")
	w.undo()
	assert.False(t, w.state.Job.Readings[0].Struck, "one step")
	assert.Equal(t, []int{0, 3}, w.board.Picked(), "they are selected still")
	w.keys("<F11>")
	assert.True(t, w.bench.view.Visible(), "other keys reach the window")
}

func TestAFrameOnTheBoardMarksTheRows(t *testing.T) {
	w, q := openDemo(t, "b")
	solved(t, w, q)
	size := w.board.Size()
	press := func(p fyne.Position) {
		e := &desktop.MouseEvent{Button: desktop.MouseButtonPrimary, Modifier: fyne.KeyModifierShift}
		e.Position = p
		w.board.MouseDown(e)
	}
	press(fyne.NewPos(3, 3))
	e := &fyne.DragEvent{}
	e.Position = fyne.NewPos(size.Width-3, size.Height-3)
	w.board.Dragged(e)
	w.board.MouseUp(&desktop.MouseEvent{})
	edge := w.state.Job.Indices(board.Edge)
	require.Equal(t, edge, w.board.Picked())
	assert.Len(t, w.lists.sheet().Selected(), len(edge))
}

func TestTheCombIsChosenInPanelAndMenu(t *testing.T) {
	w, _ := openDemo(t, "b")
	w.openStep(stepShape)
	p := w.panels[stepShape].(*shapePanel)
	assert.Equal(t, "not drawn", p.comb.Selected)
	p.comb.SetSelectedIndex(3)
	assert.Equal(t, 3, w.comb)
	assert.True(t, w.menu.comb.ChildMenu.Items[3].Checked)
	w.menu.comb.ChildMenu.Items[0].Action()
	assert.Equal(t, "not drawn", p.comb.Selected)
	assert.Len(t, combWords(), len(combScales))
}
