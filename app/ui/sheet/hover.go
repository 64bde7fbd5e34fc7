package sheet

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

var _ desktop.Hoverable = (*Sheet)(nil)

// MouseIn follows the pointer over the head.
func (s *Sheet) MouseIn(ev *desktop.MouseEvent) { s.hover(ev.Position) }

// MouseMoved follows the pointer over the head.
func (s *Sheet) MouseMoved(ev *desktop.MouseEvent) { s.hover(ev.Position) }

// MouseOut tells that the pointer has left the sheet.
func (s *Sheet) MouseOut() { s.hover(fyne.NewPos(0, s.rowHeight())) }

// hover tells over the head of which column the pointer is, where that has changed.
func (s *Sheet) hover(at fyne.Position) {
	over := 0 // columns count from 1 here: 0 is none
	if p, ok := s.at(at); !ok {
		over = p.col + 1
	}
	if over == s.over {
		return
	}
	s.over = over
	if s.OnHover != nil {
		s.OnHover(over - 1)
	}
}

// Head is the name of a column, and where its head lies in the sheet.
func (s *Sheet) Head(col int) (name string, at fyne.Position, size fyne.Size) {
	edges := s.columnEdges()
	return s.cols[col].Head, fyne.NewPos(edges[col], 0), fyne.NewSize(edges[col+1]-edges[col], s.rowHeight())
}
