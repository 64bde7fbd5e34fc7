package sheet

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

// barWidth is the width of the strip that the scroll bar has.
const barWidth = 9

// columnEdges are the left edges of the columns and the right edge of the last.
func (s *Sheet) columnEdges() []float32 {
	var sum float32
	for _, c := range s.cols {
		sum += c.Weight
	}
	room := s.Size().Width - barWidth
	edges := make([]float32, len(s.cols)+1)
	var run float32
	for i, c := range s.cols {
		run += c.Weight
		edges[i+1] = float32(int(room * run / sum))
	}
	return edges
}

// at is the cell under a point of the sheet; false in the head.
func (s *Sheet) at(p fyne.Position) (pos, bool) {
	col := 0
	for i, x := range s.columnEdges()[:len(s.cols)] {
		if p.X >= x {
			col = i
		}
	}
	h := s.rowHeight()
	if p.Y < h {
		return pos{0, col}, false
	}
	return s.clamp(pos{s.top + int((p.Y-h)/h), col}), true
}

// MouseDown puts the cursor on a cell, or takes hold of the scroll bar.
func (s *Sheet) MouseDown(ev *desktop.MouseEvent) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(s); c != nil {
		c.Focus(s)
	}
	s.barHeld, s.dragging = false, false
	if ev.Position.X >= s.Size().Width-barWidth && s.maxTop() > 0 {
		y, h := s.bar()
		s.barHeld = true
		s.barGrip = ev.Position.Y - y
		if s.barGrip < 0 || s.barGrip > h {
			s.barGrip = h / 2
			s.dragBar(ev.Position.Y)
		}
		return
	}
	p, ok := s.at(ev.Position)
	if !ok && s.OnHead != nil && s.Commit() {
		s.OnHead(p.col, ev.AbsolutePosition)
	}
	if !ok || s.edit != nil && p == s.cur || !s.Commit() {
		return
	}
	if ev.Button == desktop.MouseButtonSecondary {
		a, b := s.selected()
		if p.row < a.row || p.row > b.row {
			s.moveTo(p, false)
		}
		if s.OnMenu != nil {
			s.OnMenu(p.row, ev.AbsolutePosition)
		}
		return
	}
	s.dragging = true
	s.moveTo(p, ev.Modifier&fyne.KeyModifierShift != 0)
}

// MouseUp lets go.
func (s *Sheet) MouseUp(*desktop.MouseEvent) { s.barHeld, s.dragging = false, false }

// Dragged extends the selection or moves the scroll bar.
func (s *Sheet) Dragged(ev *fyne.DragEvent) {
	switch {
	case s.barHeld:
		s.dragBar(ev.Position.Y)
	case s.dragging && s.edit == nil:
		p, ok := s.at(ev.Position)
		if !ok {
			p.row = s.top - 1
		}
		if p = s.clamp(p); p != s.cur {
			s.moveTo(p, true)
		}
	}
}

// DragEnd lets go.
func (s *Sheet) DragEnd() { s.barHeld, s.dragging = false, false }

// DoubleTapped edits the cell.
func (s *Sheet) DoubleTapped(ev *fyne.PointEvent) {
	if p, ok := s.at(ev.Position); ok && p == s.cur && s.edit == nil {
		s.open(s.cell(s.cur).Text, true)
	}
}

// Scrolled moves three rows for a notch of the wheel.
func (s *Sheet) Scrolled(ev *fyne.ScrollEvent) {
	rows := int(ev.Scrolled.DY / 8)
	if rows == 0 && ev.Scrolled.DY != 0 {
		rows = 1
		if ev.Scrolled.DY < 0 {
			rows = -1
		}
	}
	s.scrollTo(s.top - rows)
}

// scrollTo makes a row the first in view.
func (s *Sheet) scrollTo(top int) {
	if top = max(0, min(top, s.maxTop())); top != s.top {
		s.top = top
		s.Refresh()
	}
}

// bar is the upper end and the length of the scroll bar.
func (s *Sheet) bar() (y, h float32) {
	room := s.Size().Height - s.rowHeight()
	n := float32(s.lastRow() + 1)
	h = max(24, room*float32(s.visibleRows())/n)
	h = min(h, room)
	if m := s.maxTop(); m > 0 {
		y = (room - h) * float32(s.top) / float32(m)
	}
	return s.rowHeight() + y, h
}

// dragBar scrolls so that the bar's grip follows the pointer.
func (s *Sheet) dragBar(y float32) {
	_, h := s.bar()
	room := s.Size().Height - s.rowHeight() - h
	if room <= 0 {
		return
	}
	f := (y - s.barGrip - s.rowHeight()) / room
	s.scrollTo(int(f*float32(s.maxTop()) + 0.5))
}
