package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
)

// foldScales are how many times larger than they are the differences of the halves
// can be drawn; 0 as large as there is room.
var foldScales = []float64{0, 1, 5, 10, 20, 50, 100}

func foldScaleWords() []string {
	return []string{lang.L("to fit"), lang.L("true size"), "5 ×", "10 ×", "20 ×", "50 ×", "100 ×"}
}

// foldSwitch has both halves drawn laid over each other, and says how large.
type foldSwitch struct {
	w     *Window
	on    *tick
	scale *choice
	why   *widget.Label // where that cannot be done
	box   fyne.CanvasObject
}

func newFoldSwitch(w *Window) *foldSwitch {
	f := &foldSwitch{w: w, why: dim("")}
	f.on = newTick(lang.L("Fold the halves over"), w.setFold)
	f.scale = newChoice(foldScaleWords(), w.setFoldScale)
	f.box = container.NewVBox(container.NewBorder(nil, nil, f.on, nil, f.scale), f.why)
	return f
}

// show brings the switch up to a state.
func (f *foldSwitch) show(s desk.State) {
	f.on.Checked = f.w.foldShown
	f.on.Refresh()
	f.scale.show(f.w.foldScale)
	setVisible(f.scale, f.w.foldShown)
	why := foldRefused(s)
	setText(f.why, why)
	setVisible(f.why, why != "" && f.w.foldShown)
}

// foldRefused says why the halves cannot be laid over each other; "" where they can.
func foldRefused(s desk.State) string {
	switch {
	case s.Job.Mirror == board.MirrorNone || s.Model != nil && s.Model.Mirror == board.MirrorNone:
		return lang.L("Not mirrored: there is no line to fold over.")
	case s.Model == nil || s.Model.Used == nil && s.Job.Plane == nil:
		return lang.L("There is no centre line to fold over yet.")
	}
	return ""
}

// setFold has both halves drawn laid over each other, or not.
func (w *Window) setFold(on bool) {
	if w.foldShown == on {
		return
	}
	w.foldShown = on
	if on {
		w.setSolid(false)
	}
	w.board.SetFold(on)
	w.showFold()
}

// setFoldScale chooses how many times larger differences of the halves are drawn.
func (w *Window) setFoldScale(i int) {
	w.foldScale = i
	w.board.SetFoldScale(foldScales[i])
	w.showFold()
}

// showFold brings the panel and the menu up to how halves are drawn.
func (w *Window) showFold() {
	if w.step == stepCentre {
		w.panels[stepCentre].show(w.state)
	}
	w.menu.show(w.state)
}
