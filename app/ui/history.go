package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/ui/look"
)

// stepList is a list that Enter chooses in.
type stepList struct {
	widget.List
	at    int
	onKey func(*fyne.KeyEvent) // Enter and Escape
}

// TypedKey moves by the arrows; Enter and Escape are handed on.
func (l *stepList) TypedKey(ev *fyne.KeyEvent) {
	switch ev.Name {
	case fyne.KeyReturn, fyne.KeyEnter, fyne.KeyEscape:
		l.onKey(ev)
	default:
		l.List.TypedKey(ev)
	}
}

// showHistory lists every edit of the job by its name, the last one first; Enter or
// a click goes back to just after it, or on to it again.
func (w *Window) showHistory() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	w.commitField()
	names, done := w.desk.Steps()
	if len(names) == 0 {
		w.say(lang.L("Nothing has been changed yet."), 0)
		return
	}
	var m *modal
	choose := func(row int) {
		m.close()
		w.desk.GoTo(len(names) - row)
	}
	here := len(names) - done
	l := &stepList{at: here}
	l.Length = func() int { return len(names) + 1 }
	l.CreateItem = func() fyne.CanvasObject {
		row := widget.NewLabel("")
		row.Truncation = fyne.TextTruncateEllipsis
		return row
	}
	l.UpdateItem = func(row int, o fyne.CanvasObject) {
		label := o.(*widget.Label)
		label.TextStyle.Bold = row == here
		imp := widget.MediumImportance
		if row < here {
			imp = widget.LowImportance
		}
		setLabel(label, historyWord(names, done, row), imp)
		label.Refresh()
	}
	l.OnHighlighted = func(row int) { l.at = row }
	l.OnSelected = choose
	l.onKey = func(ev *fyne.KeyEvent) {
		if ev.Name == fyne.KeyEscape {
			m.close()
			return
		}
		choose(l.at)
	}
	l.ExtendBaseWidget(l)
	m = w.ask("history", lang.L("Go back to"), l, nil, answer{text: closeWord()})
	m.resize(fyne.NewSize(520*look.Scale(), 520))
	w.win.Canvas().Focus(l)
	l.Highlight(here)
}

// historyWord is a row of the history: the last edit first, the beginning last.
func historyWord(names []string, done, row int) string {
	n := len(names) - row
	word := lang.L("as the job was opened")
	if n > 0 {
		word = names[n-1]
	}
	switch data := map[string]any{"Step": word}; {
	case n == done:
		return lang.L("{{.Step}} – now", data)
	case n > done:
		return lang.L("{{.Step}} – undone", data)
	}
	return word
}
