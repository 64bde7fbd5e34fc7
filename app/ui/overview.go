package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/ui/look"
)

// stepWord is a step with what is missing in it: "Readings: 2 readings look wrong".
func (w *Window) stepWord(i int) string { return w.steps.buttons[i].Text + ": " + w.missing[i].text }

// overview lists the steps with what is missing in each; Enter goes to the one
// with the focus, arrows move, and so do the steps' numbers.
type overview struct {
	w     *Window
	rows  [stepCount]*button
	modal *modal
}

// showOverview lays the overview over the window.
func (w *Window) showOverview() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	v := &overview{w: w}
	list := container.New(&formLayout{gap: formGap})
	for i, b := range w.steps.buttons {
		row := newButton(b.Text, func() { v.open(i) })
		row.Alignment = widget.ButtonAlignLeading
		row.Importance = widget.LowImportance
		row.Icon = signIcon(w.missing[i].mark, false)
		row.onKey = func(ev *fyne.KeyEvent) bool { return v.key(i, ev) }
		v.rows[i] = row
		list.Add(row)
		list.Add(wrapped(capital(w.missing[i].text)))
	}
	v.modal = w.ask("overview", lang.L("Where the job stands"), list, nil, answer{text: closeWord()})
	v.modal.resize(fyne.NewSize(680*look.Scale(), 0))
	w.win.Canvas().Focus(v.rows[w.step])
}

// open goes to a step.
func (v *overview) open(i int) {
	v.modal.close()
	v.w.goToStep(i)
}

// key moves the focus between the steps.
func (v *overview) key(i int, ev *fyne.KeyEvent) bool {
	switch ev.Name {
	case fyne.KeyUp:
		i = max(i-1, 0)
	case fyne.KeyDown:
		i = min(i+1, stepCount-1)
	case fyne.KeyHome:
		i = 0
	case fyne.KeyEnd:
		i = stepCount - 1
	default:
		if n := int(ev.Name[0] - '1'); len(ev.Name) == 1 && n >= 0 && n < stepCount {
			v.open(n)
			return true
		}
		return false
	}
	v.w.win.Canvas().Focus(v.rows[i])
	return true
}
