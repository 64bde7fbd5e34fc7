package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// turnPanel puts the keys on the first thing in the open panel that takes them, or
// from the panel back on the list.
func (w *Window) turnPanel() {
	if w.busy() || w.bench.view.Visible() || !w.lists.sheet().Commit() {
		return
	}
	var first fyne.Focusable
	within := false
	walk(w.panels[w.step].content(), func(o fyne.CanvasObject) {
		f, ok := o.(fyne.Focusable)
		if !ok || !inView(o) {
			return
		}
		within = within || f == w.win.Canvas().Focused()
		if d, ok := o.(fyne.Disableable); first == nil && !(ok && d.Disabled()) {
			first = f
		}
	})
	if within || first == nil {
		w.focusList()
		return
	}
	w.win.Canvas().Focus(first)
}

// revealed is the room that is left beside what is brought into view.
const revealed = 6

// reveal scrolls what holds an object as far as it takes to have all of it in view:
// Tab leads on below the edge of a panel.
func reveal(o fyne.CanvasObject) {
	d := fyne.CurrentApp().Driver()
	c := d.CanvasForObject(o)
	if c == nil {
		return
	}
	all := c.Content()
	if p, ok := c.Overlays().Top().(*widget.PopUp); ok {
		all = p.Content
	}
	walk(all, func(x fyne.CanvasObject) {
		s, ok := x.(*container.Scroll)
		if !ok || !holds(s, o) {
			return
		}
		top := d.AbsolutePositionForObject(o).Y - d.AbsolutePositionForObject(s).Y
		over := top + o.Size().Height - s.Size().Height
		switch {
		case top < 0:
			s.ScrollToOffset(s.Offset.AddXY(0, top-revealed))
		case over > 0:
			s.ScrollToOffset(s.Offset.AddXY(0, over+revealed))
		}
	})
}

// holds says whether an object stands within another.
func holds(outer, o fyne.CanvasObject) (found bool) {
	walk(outer, func(x fyne.CanvasObject) { found = found || x == o })
	return found
}
