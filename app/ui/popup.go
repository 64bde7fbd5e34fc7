package ui

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/board"
)

// listMenu shows what can be done with the selected rows, where the list was
// clicked with the second button.
func (w *Window) listMenu(at fyne.Position) {
	if w.busy() {
		return
	}
	if w.lists.open == listGaps {
		widget.ShowPopUpMenuAtPosition(fyne.NewMenu("", fyne.NewMenuItem(lang.L("Clear the gaps of these rows"), w.deleteSelected)), w.win.Canvas(), at)
		return
	}
	if w.lists.zero() {
		widget.ShowPopUpMenuAtPosition(fyne.NewMenu("",
			fyne.NewMenuItem(lang.L("Delete rows"), w.deleteSelected), fyne.NewMenuItem(lang.L("Insert a row"), w.insertRow)), w.win.Canvas(), at)
		return
	}
	index, tapes := w.lists.selected()
	var items []*fyne.MenuItem
	if offers, _ := w.offered(); len(index) == 1 && !tapes {
		for _, o := range offers {
			items = append(items, fyne.NewMenuItem(useWord(o), func() { w.useOffer(o) }))
		}
		if len(offers) > 0 {
			items = append(items, separator())
		}
	}
	if len(index) > 0 {
		what := w.rowsWord(index, tapes)
		verb := lang.L("Strike {{.What}}…", what)
		if w.isStruck(index[0], tapes) {
			verb = lang.L("Use {{.What}} again", what)
		}
		items = append(items, fyne.NewMenuItem(verb, w.strikeSelected),
			fyne.NewMenuItem(lang.L("Delete {{.What}}", what), w.deleteSelected))
		if !tapes {
			items = append(items, w.sayings(index[0])...)
		}
	}
	items = append(items, fyne.NewMenuItem(lang.L("Insert a row"), w.insertRow))
	if len(index) > 0 && !tapes {
		items = append(items, separator(), fyne.NewMenuItem(lang.L("Show it on the board"), func() {
			w.setSolid(false)
			w.board.CentreOn(index[0])
		}))
	}
	widget.ShowPopUpMenuAtPosition(fyne.NewMenu("", items...), w.win.Canvas(), at)
}

// sayings are what a person can say of a reading, ticked where it was said.
func (w *Window) sayings(i int) []*fyne.MenuItem {
	r := w.state.Job.Readings[i]
	sure := fyne.NewMenuItem(lang.L("It is right"), w.vouchSelected)
	sure.Checked = r.Sure
	items := []*fyne.MenuItem{separator(), sure}
	if r.Kind == board.Edge {
		is := fyne.NewMenuItem(lang.L("True break here"), w.breakSelected)
		is.Checked = r.Break
		items = append(items, is)
	}
	return append(items, separator())
}

// boardMenu shows what can be done with a reading of the board, or with the
// picture where none was clicked.
func (w *Window) boardMenu(index int, at fyne.Position) {
	if w.busy() {
		return
	}
	if index >= 0 {
		if all, _ := w.lists.selected(); !slices.Contains(all, index) || !slices.Contains(w.board.Picked(), index) {
			w.board.Select(index)
			w.lists.gotoReading(index, fieldX)
		}
		w.listMenu(at)
		return
	}
	widget.ShowPopUpMenuAtPosition(fyne.NewMenu("",
		fyne.NewMenuItem(lang.L("Select and move on the board"), func() { w.setTool(0) }),
		fyne.NewMenuItem(lang.L("Place stations"), func() { w.setTool(1) }),
		fyne.NewMenuItem(lang.L("Place face points"), func() { w.setTool(2) }),
		separator(),
		fyne.NewMenuItem(lang.L("Show the whole board"), w.fitPicture)), w.win.Canvas(), at)
}
