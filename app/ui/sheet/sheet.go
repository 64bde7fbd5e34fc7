// Package sheet is the table that readings are typed into. It behaves as a
// spreadsheet does: typing replaces a cell, F2 edits it, Enter moves on through
// the cells of a row and wraps to the next, ranges are copied and pasted as
// tab-separated lines, and there is always one empty row at the end.
//
// The sheet draws only the rows that are in view, from pooled objects. It owns
// no data: everything is read from and written to a Model, one call for each
// committed cell or pasted block, so that each is one undo step. Text that the
// model refuses stays in the cell as it was typed.
//
// All methods belong to the GUI goroutine.
package sheet

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// pos is a cell of the sheet, counted from 0. The row after the model's last is
// the empty one.
type pos struct{ row, col int }

// note is what is said of a cell.
type note struct {
	text string
	tint Tint
}

// editing is the text of the cell being typed.
type editing struct {
	text  []rune
	caret int  // before which rune the caret stands
	arrow bool // F2: the arrow keys move the caret instead of committing
	over  bool // typed over what the cell held: the same text may mean another number now
}

// Sheet is the widget. Make it with New; set the callbacks before it is shown.
type Sheet struct {
	widget.BaseWidget

	OnMove     func(row, col int)              // the cursor stands on another cell, or other rows are selected
	OnNote     func(text string, tint Tint)    // what to say of the cell under the cursor, or of its typed text; "" clears
	OnMenu     func(row int, at fyne.Position) // the row was clicked with the second button; at is on the canvas
	OnHover    func(col int)                   // the pointer is over the head of a column, -1: of none; may be nil
	OnHead     func(col int, at fyne.Position) // the head of a column was clicked; may be nil
	OnKey      func(ev *fyne.KeyEvent) bool    // is offered the keys that the sheet has no use for; may be nil
	OnShortcut func(sc fyne.Shortcut)          // is told the shortcuts that the sheet has no use for; may be nil
	OnPaste    func(text string) bool          // is offered a pasted text before its cells are written; true: took it; may be nil
	Down       bool                            // Enter moves down instead of on through the row
	Fixed      bool                            // the rows are those of the model: there is no empty one

	model       Model
	cols        []Column
	cur, anchor pos   // the cursor and the opposite corner of what is selected
	also        []int // rows that are selected beside, rising; of so many rows:
	alsoOf      int
	top         int // first row in view
	edit        *editing
	over        int  // the column under whose head the pointer is, from 1; 0: none
	told        note // last to OnNote, of the cell under the cursor
	focused     bool
	barGrip     float32 // where the scroll bar was taken hold of, from its upper end
	barHeld     bool
	dragging    bool
	mods        func() fyne.KeyModifier
}

// New is a sheet over a model, the cursor in the first entry cell.
func New(m Model) *Sheet {
	s := &Sheet{model: m, cols: m.Columns(), mods: currentModifiers}
	s.cur = pos{0, s.firstEntry()}
	s.anchor = s.cur
	s.ExtendBaseWidget(s)
	return s
}

// currentModifiers asks the driver which modifier keys are held.
func currentModifiers() fyne.KeyModifier {
	if d, ok := fyne.CurrentApp().Driver().(desktop.Driver); ok {
		return d.CurrentKeyModifiers()
	}
	return 0
}

// Cursor is the cell under the cursor; row is the model's row count on the empty row.
func (s *Sheet) Cursor() (row, col int) { return s.cur.row, s.cur.col }

// Selection is the rows from first to last (inclusive) that the selection
// touches; the empty row is left out, and n is how many there are. Rows that do
// not stand together are told by Selected alone.
func (s *Sheet) Selection() (first, n int) {
	a, b := s.selected()
	last := min(b.row, s.model.Rows()-1)
	return a.row, max(0, last-a.row+1)
}

// SelectRows selects whole rows, n of them from the first on.
func (s *Sheet) SelectRows(first, n int) {
	if s.Commit() {
		a, last := s.clamp(pos{first, 0}), s.clamp(pos{first + n - 1, len(s.cols) - 1})
		told := last != s.cur || s.also != nil
		other := a != s.anchor
		s.anchor = a
		s.moveTo(last, true)
		if other && !told && s.OnMove != nil {
			s.OnMove(last.row, last.col)
		}
	}
}

// SelectEach selects whole rows that need not stand together, the last with the
// cursor in the column where it is.
func (s *Sheet) SelectEach(rows []int) {
	if len(rows) == 0 || !s.Commit() {
		return
	}
	last := rows[len(rows)-1]
	all := slices.Sorted(slices.Values(rows))
	if n := len(all); n > 1 && all[n-1]-all[0] == n-1 {
		s.SelectRows(all[0], n)
		return
	}
	s.moveTo(pos{last, s.cur.col}, false)
	if len(rows) > 1 {
		s.also, s.alsoOf = all, s.model.Rows()
		s.Refresh()
	}
}

// Selected are the rows that are selected, rising; the empty one is left out.
func (s *Sheet) Selected() (rows []int) {
	if s.also != nil {
		return slices.Clone(s.also)
	}
	first, n := s.Selection()
	for row := first; row < first+n; row++ {
		rows = append(rows, row)
	}
	return rows
}

// Typing is the text of the cell being typed, and whether one is.
func (s *Sheet) Typing() (text string, on bool) {
	if s.edit == nil {
		return "", false
	}
	return string(s.edit.text), true
}

// Goto puts the cursor on a cell and brings it into view; a cell being typed is
// committed first. Cells outside the sheet are moved to the nearest inside.
func (s *Sheet) Goto(row, col int) {
	if !s.Commit() {
		return
	}
	s.moveTo(pos{row, col}, false)
}

// Reload reads the model again: after an edit from elsewhere, undo, or a solve.
// The text of a cell being typed is kept.
func (s *Sheet) Reload() {
	s.cols = s.model.Columns()
	s.cur, s.anchor = s.clamp(s.cur), s.clamp(s.anchor)
	if s.model.Rows() != s.alsoOf { // they are others now
		s.also = nil
	}
	s.top = min(s.top, s.maxTop())
	if s.note() != s.told { // else what was said of something else meanwhile stays
		s.say()
	}
	s.Refresh()
}

// Show brings the sheet into view and tells of the cell under its cursor.
func (s *Sheet) Show() {
	s.BaseWidget.Show()
	s.say()
}

// MinSize leaves room for the head and four rows.
func (s *Sheet) MinSize() fyne.Size {
	s.ExtendBaseWidget(s)
	return fyne.NewSize(160, 5*s.rowHeight())
}

// clamp is the nearest cell inside the sheet.
func (s *Sheet) clamp(p pos) pos {
	return pos{
		row: max(0, min(p.row, s.lastRow())),
		col: max(0, min(p.col, len(s.cols)-1)),
	}
}

// selected is the selection's upper left and lower right cell.
func (s *Sheet) selected() (a, b pos) {
	return pos{min(s.cur.row, s.anchor.row), min(s.cur.col, s.anchor.col)},
		pos{max(s.cur.row, s.anchor.row), max(s.cur.col, s.anchor.col)}
}

// moveTo puts the cursor on a cell; with extend the selection's other corner stays.
func (s *Sheet) moveTo(p pos, extend bool) {
	p = s.clamp(p)
	moved := p != s.cur || s.also != nil || !extend && s.anchor != s.cur
	s.cur, s.also = p, nil
	if !extend {
		s.anchor = p
	}
	s.show(p.row)
	s.say()
	s.Refresh()
	if moved && s.OnMove != nil {
		s.OnMove(p.row, p.col)
	}
}

// show scrolls until a row is in view.
func (s *Sheet) show(row int) {
	n := s.visibleRows()
	switch {
	case row < s.top:
		s.top = row
	case row >= s.top+n:
		s.top = row - n + 1
	}
	s.top = max(0, min(s.top, s.maxTop()))
}

// note is what is to be said of the cell under the cursor: the echo of what is being
// typed, or the cell's own note.
func (s *Sheet) note() note {
	text, tint := "", Plain
	c := s.cell(s.cur)
	switch {
	case s.edit != nil:
		text, tint = s.model.Echo(s.cur.row, s.cur.col, string(s.edit.text))
	case c.Note == "" && c.Text != "":
		text, tint = s.model.Echo(s.cur.row, s.cur.col, c.Text)
	default:
		text, tint = c.Note, c.Tint
	}
	return note{text, tint}
}

// say tells what is to be said of the cell under the cursor.
func (s *Sheet) say() {
	if s.OnNote != nil {
		s.told = s.note()
		s.OnNote(s.told.text, s.told.tint)
	}
}

// cell is the model's cell, empty on the empty row.
func (s *Sheet) cell(p pos) Cell {
	if p.row < 0 || p.row >= s.model.Rows() {
		return Cell{}
	}
	return s.model.Cell(p.row, p.col)
}

// firstEntry is the column in which the typing of a row begins.
func (s *Sheet) firstEntry() int {
	for i, c := range s.cols {
		if c.Entry {
			return i
		}
	}
	return 0
}

// rowHeight is the height of one row in logical pixels.
func (s *Sheet) rowHeight() float32 { return theme.TextSize() + 11 }

// visibleRows is how many whole rows are in view.
func (s *Sheet) visibleRows() int {
	return max(1, int((s.Size().Height-s.rowHeight())/s.rowHeight()))
}

// lastRow is the empty row, or where there is none the model's last.
func (s *Sheet) lastRow() int {
	if s.Fixed {
		return max(0, s.model.Rows()-1)
	}
	return s.model.Rows()
}

// maxTop is the greatest first row: it leaves the last row at the bottom.
func (s *Sheet) maxTop() int { return max(0, s.lastRow()+1-s.visibleRows()) }
