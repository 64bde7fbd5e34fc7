package ui

import (
	"time"

	"fyne.io/fyne/v2/lang"

	"panewright/app/ui/sheet"
)

// soon is how long what can wait waits, so that it does not come between keys.
const soon = 150 * time.Millisecond

// later runs a function on the window's goroutine a little later.
func (w *Window) later(f func()) {
	time.AfterFunc(soon, func() { w.post(f) })
}

// zoom makes the picture in view f times as large.
func (w *Window) zoom(f float64) {
	if w.solidShown {
		w.solid.Zoom(f)
		return
	}
	w.board.Zoom(f)
}

// fitPicture shows the whole board, or the whole solid.
func (w *Window) fitPicture() {
	w.board.Fit()
	w.solid.Fit()
}

// drawn says whether a part of the board picture that can be switched off is on.
func (w *Window) drawn(pref string) bool {
	return w.app.Preferences().BoolWithFallback(pref, true)
}

// setDrawn switches a part of the board picture on or off.
func (w *Window) setDrawn(pref string, on bool) {
	w.app.Preferences().SetBool(pref, on)
	w.board.SetBand(w.drawn(prefBand))
	w.board.SetAdvice(w.drawn(prefPlaces))
	w.menu.show(w.state)
}

// heightsDrawn says whether the face's heights are drawn on the board, which they
// are where it was asked for.
func (w *Window) heightsDrawn() bool { return w.app.Preferences().Bool(prefHeights) }

// setHeights draws the face's heights on the board, or leaves them out.
func (w *Window) setHeights(on bool) {
	w.app.Preferences().SetBool(prefHeights, on)
	w.board.SetHeights(on)
	w.menu.show(w.state)
}

// retheme applies the theme that was chosen and draws everything anew.
func (w *Window) retheme() {
	w.applyTheme()
	w.tips.hide()
	for _, p := range w.panels { // those that are closed too
		p.content().Refresh()
	}
	w.refresh()
	w.board.Refresh()
	w.solid.Refresh()
	w.win.Content().Refresh()
	w.later(func() { w.win.Resize(w.win.Canvas().Size()) }) // the menu may be higher now, and all else is below it
}

// focusList puts the keys on the list in view.
func (w *Window) focusList() {
	if !w.busy() {
		w.setFolded(false)
		w.lists.focus()
	}
}

// openList brings a list into view with the keys on it.
func (w *Window) openList(i int) {
	switch {
	case w.busy():
	case i == listGaps && w.state.Job.LastCut() == nil:
		w.say(lang.L("No cut is recorded yet: gaps are noted at the stations of a cut."), sheet.Plain)
	default:
		w.setFolded(false)
		w.lists.choose(i)
	}
}
