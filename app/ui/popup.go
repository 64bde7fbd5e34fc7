package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"
)

// listMenu shows what can be done with the selected rows, where the list was
// clicked with the second button.
func (w *Window) listMenu(at fyne.Position) {
	if w.busy() {
		return
	}
	index, tapes := w.lists.selected()
	var items []*fyne.MenuItem
	if len(index) > 0 {
		what := w.rowsWord(index, tapes)
		verb := lang.L("Strike {{.What}}…", what)
		if w.isStruck(index[0], tapes) {
			verb = lang.L("Use {{.What}} again", what)
		}
		items = append(items, fyne.NewMenuItem(verb, w.strikeSelected),
			fyne.NewMenuItem(lang.L("Delete {{.What}}", what), w.deleteSelected))
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

// boardMenu shows what can be done with a reading of the board, or with the
// picture where none was clicked.
func (w *Window) boardMenu(index int, at fyne.Position) {
	if w.busy() {
		return
	}
	if index >= 0 {
		w.board.Select(index)
		w.lists.gotoReading(index, fieldX)
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
