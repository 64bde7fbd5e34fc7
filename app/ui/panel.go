package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
)

// The steps of a job, in the order of the strip.
const (
	stepBoard = iota
	stepReadings
	stepCentre
	stepShape
	stepFit
	stepHandover
	stepCount
)

// stepKeys are the steps' names in the state that tests read.
var stepKeys = [stepCount]string{"board", "readings", "centre line", "shape", "fit check", "hand-over"}

// panel is the right side of the window while a step is open: what matters in
// it, what is wrong and what to do next.
type panel interface {
	content() fyne.CanvasObject
	show(s desk.State) // called with every state while the panel is open
}

// column puts a panel's parts under one another, in a scroller.
func column(parts ...fyne.CanvasObject) fyne.CanvasObject {
	box := container.New(layout.NewCustomPaddedVBoxLayout(6), parts...)
	return container.NewVScroll(container.New(layout.NewCustomPaddedLayout(8, 8, 8, 12), box))
}

// folding is a part of a panel that opens under a word.
type folding struct {
	word   *button
	inside fyne.CanvasObject
	box    *fyne.Container
}

// fold is a part of a panel that opens under a word.
func fold(word string, inside fyne.CanvasObject) *folding {
	f := &folding{inside: inside}
	f.word = newButton(word, func() { f.open(!inside.Visible()) })
	f.word.Icon = theme.MenuExpandIcon()
	f.word.Importance = widget.LowImportance
	f.word.Alignment = widget.ButtonAlignLeading
	inside.Hide()
	f.box = container.NewVBox(f.word, inside)
	return f
}

// say changes the word that it opens under.
func (f *folding) say(word string) {
	if f.word.Text != word {
		f.word.SetText(word)
	}
}

// open opens the part, or closes it.
func (f *folding) open(on bool) {
	setVisible(f.inside, on)
	icon := theme.MenuExpandIcon()
	if on {
		icon = theme.MenuDropDownIcon()
	}
	f.word.SetIcon(icon)
}

// setVisible shows or hides an object where it is not so already.
func setVisible(o fyne.CanvasObject, on bool) {
	switch {
	case on && !o.Visible():
		o.Show()
	case !on && o.Visible():
		o.Hide()
	}
}
