package sheet

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

// Check that the widget takes what a spreadsheet needs.
var (
	_ fyne.Focusable      = (*Sheet)(nil)
	_ fyne.Tabbable       = (*Sheet)(nil)
	_ fyne.Shortcutable   = (*Sheet)(nil)
	_ fyne.Scrollable     = (*Sheet)(nil)
	_ fyne.Draggable      = (*Sheet)(nil)
	_ desktop.Mouseable   = (*Sheet)(nil)
	_ fyne.DoubleTappable = (*Sheet)(nil)
)

// AcceptsTab has Tab delivered to the sheet.
func (s *Sheet) AcceptsTab() bool { return true }

// FocusGained shows the cursor.
func (s *Sheet) FocusGained() {
	s.focused = true
	s.say()
	s.Refresh()
}

// FocusLost commits the cell being typed.
func (s *Sheet) FocusLost() {
	s.focused = false
	s.Commit()
	s.Refresh()
}

// Commit writes the cell being typed into the model. It reports false where the
// model refused; the text then stays in the cell, still being typed, and the
// reason has been told to OnNote.
func (s *Sheet) Commit() bool {
	if s.edit == nil {
		return true
	}
	e := s.edit
	text := string(e.text)
	if text == s.cell(s.cur).Text && (!e.over || text == "") {
		s.edit = nil
		s.Refresh()
		return true
	}
	s.edit = nil // the model's change may reload the sheet
	if err := s.model.Set(s.cur.row, s.cur.col, text); err != nil {
		s.edit = e
		s.fail(err)
		return false
	}
	s.Refresh()
	return true
}

// fail tells why the model refused.
func (s *Sheet) fail(err error) {
	if s.OnNote != nil {
		s.OnNote(err.Error(), Wrong)
	}
	s.Refresh()
}

// TypedRune types a character: it replaces the cell's text unless it is being typed.
func (s *Sheet) TypedRune(r rune) {
	if s.cols[s.cur.col].ReadOnly {
		return
	}
	if s.edit == nil {
		s.moveTo(s.cur, false)
		s.edit = &editing{over: true}
		s.show(s.cur.row)
	}
	s.edit.insert([]rune{r})
	s.say()
	s.Refresh()
}

// insert puts text at the caret.
func (e *editing) insert(t []rune) {
	e.text = append(e.text[:e.caret:e.caret], append(t, e.text[e.caret:]...)...)
	e.caret += len(t)
}

// remove takes away the rune before (-1) or after (+1) the caret.
func (e *editing) remove(side int) {
	i := e.caret
	if side < 0 {
		i--
	}
	if i < 0 || i >= len(e.text) {
		return
	}
	e.text = append(e.text[:i:i], e.text[i+1:]...)
	e.caret = i
}

// open begins to type in the cell under the cursor, from its present text or empty.
func (s *Sheet) open(text string, arrow bool) {
	if s.cols[s.cur.col].ReadOnly {
		return
	}
	s.moveTo(s.cur, false)
	t := []rune(text)
	s.edit = &editing{text: t, caret: len(t), arrow: arrow}
	s.show(s.cur.row)
	s.say()
	s.Refresh()
}

// TypedKey moves, commits, edits or cancels.
func (s *Sheet) TypedKey(ev *fyne.KeyEvent) {
	shift := s.mods()&fyne.KeyModifierShift != 0
	if s.edit != nil && s.editKey(ev.Name) {
		s.say()
		s.Refresh()
		return
	}
	switch ev.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		s.next(s.Down, shift)
	case fyne.KeyTab:
		s.next(false, shift)
	case fyne.KeyEscape:
		s.moveTo(s.cur, false)
	case fyne.KeyF2:
		s.open(s.cell(s.cur).Text, true)
	case fyne.KeyBackspace:
		s.open("", false)
	case fyne.KeyDelete:
		if s.also != nil { // there is no block of cells to empty
			s.moveTo(s.cur, false)
			return
		}
		s.clearSelected()
	default:
		d, ok := s.step(ev.Name)
		switch {
		case ok && s.Commit():
			s.moveTo(pos{s.cur.row + d.row, s.cur.col + d.col}, shift)
		case !ok && s.OnKey != nil:
			s.OnKey(ev)
		}
	}
}

// step is the way that an arrow or page key moves the cursor.
func (s *Sheet) step(key fyne.KeyName) (pos, bool) {
	switch key {
	case fyne.KeyUp:
		return pos{-1, 0}, true
	case fyne.KeyDown:
		return pos{1, 0}, true
	case fyne.KeyLeft:
		return pos{0, -1}, true
	case fyne.KeyRight:
		return pos{0, 1}, true
	case fyne.KeyPageUp:
		return pos{-s.visibleRows(), 0}, true
	case fyne.KeyPageDown:
		return pos{s.visibleRows(), 0}, true
	case fyne.KeyHome:
		return pos{0, s.firstEntry() - s.cur.col}, true
	case fyne.KeyEnd:
		return pos{0, len(s.cols) - 1 - s.cur.col}, true
	}
	return pos{}, false
}

// editKey handles a key that belongs to the text being typed; false hands it on.
func (s *Sheet) editKey(key fyne.KeyName) bool {
	e := s.edit
	switch key {
	case fyne.KeyEscape:
		s.edit = nil
	case fyne.KeyF2:
		e.arrow = !e.arrow
	case fyne.KeyBackspace:
		e.remove(-1)
	case fyne.KeyDelete:
		e.remove(1)
	case fyne.KeyLeft:
		e.caret = max(0, e.caret-1)
		return e.arrow
	case fyne.KeyRight:
		e.caret = min(len(e.text), e.caret+1)
		return e.arrow
	case fyne.KeyHome:
		e.caret = 0
	case fyne.KeyEnd:
		e.caret = len(e.text)
	default:
		return false
	}
	return true
}

// next commits and moves the cursor on: down a column, or along the entry cells
// of the row and round to the next; back where the shift key is held.
func (s *Sheet) next(down, back bool) {
	if !s.Commit() {
		return
	}
	dir := 1
	if back {
		dir = -1
	}
	p := s.cur
	if down {
		s.moveTo(pos{p.row + dir, p.col}, false)
		return
	}
	for range s.cols { // at most once round
		p.col += dir
		if p.col < 0 || p.col >= len(s.cols) {
			p.row, p.col = p.row+dir, (p.col+len(s.cols))%len(s.cols)
		}
		if s.cols[p.col].Entry {
			break
		}
	}
	if p.row < 0 {
		return
	}
	s.moveTo(p, false)
}

// clearSelected empties every cell of the selection that can be written.
func (s *Sheet) clearSelected() {
	a, b := s.selected()
	b.row = min(b.row, s.model.Rows()-1)
	if b.row < a.row {
		return
	}
	if a == b {
		if !s.cols[a.col].ReadOnly {
			s.write(s.model.Set(a.row, a.col, ""))
		}
		return
	}
	block := make([][]string, b.row-a.row+1)
	for i := range block {
		block[i] = make([]string, b.col-a.col+1)
	}
	s.write(s.model.SetBlock(a.row, a.col, block))
}

// write tells of a refusal and draws again.
func (s *Sheet) write(err error) {
	if err != nil {
		s.fail(err)
		return
	}
	s.say()
	s.Refresh()
}
