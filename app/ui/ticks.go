package ui

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
)

// cutTicks are what is looked at before the pocket of a cut is written, with the
// job's own figures; nil where there is no pane.
func cutTicks(s desk.State) []string {
	if s.Model == nil || s.Model.Pane == nil {
		return nil
	}
	j, f := s.Job, &s.Model.Figures
	lay, face := lang.L("Dome up"), lang.L("upper")
	if j.Pane.Lay == board.Bowl {
		lay = lang.L("Bowl up")
	}
	if j.Pane.ReadLower {
		face = lang.L("lower")
	}
	unit := lang.L("The readings are in millimetres, and so are the files.")
	if j.Unit == board.Inch {
		unit = lang.L("The readings are in inches; the files of the pocket are in millimetres.")
	}
	cut := lang.L("This is cut 1, the first.")
	if j.Cut > 1 {
		cut = lang.L("This is cut {{.N}}, after cut {{.Last}}.", map[string]any{"N": j.Cut, "Last": j.Cut - 1})
	}
	v := map[string]any{
		"Wall": inBoth(j, j.Pocket.Wall), "Seat": inBoth(j, j.Pocket.Seat), "Lay": lay, "Face": face,
		"T": asTyped(j.Pane.Thickness, j.Unit), "Cutter": inBoth(j, j.Pocket.Cutter),
		"W": length(j, f.Width), "L": length(j, f.Length), "Sag": length(j, f.CrossSag),
	}
	return []string{
		lang.L("Wall clearance {{.Wall}}, seat {{.Seat}}.", v),
		lang.L("{{.Lay}}, heights read on the {{.Face}} face, glass {{.T}}.", v),
		unit,
		lang.L("Finishing cutter: ball nose, {{.Cutter}} across.", v),
		lang.L("Checked on the glass: {{.W}} wide, {{.L}} long, {{.Sag}} cross sag.", v),
		cut,
	}
}

// inBoth is a length in the job's unit and, in an inch job, in millimetres too,
// which the machine has.
func inBoth(j *board.Job, mm float64) string {
	if j.Unit == board.Inch {
		return length(j, mm) + " (" + board.Format(mm, board.MM) + " mm)"
	}
	return length(j, mm)
}

// tick is a box to tick. Space ticks it or takes the tick back; Enter ticks it and
// goes on.
type tick struct {
	widget.Check
	onKey func(*fyne.KeyEvent)
}

func newTick(text string, changed func(on bool)) *tick {
	t := &tick{}
	t.Text, t.OnChanged = text, changed
	t.ExtendBaseWidget(t)
	return t
}

// FocusGained brings the tick into view.
func (t *tick) FocusGained() {
	t.Check.FocusGained()
	reveal(t)
}

// TypedKey hands on every key but Space, which comes as a rune.
func (t *tick) TypedKey(ev *fyne.KeyEvent) {
	if t.onKey != nil {
		t.onKey(ev)
	}
}

// tickList asks for every tick before it goes on.
type tickList struct {
	w     *Window
	ticks []*tick
	modal *modal
}

// askTicks has the person tick what a pocket is cut by, and then goes on. Space
// ticks, Enter ticks and goes on, arrows move, Escape gives up.
func (w *Window) askTicks(texts []string, then func()) {
	l := &tickList{w: w}
	box := container.NewVBox(wrapped(lang.L("Tick what you have looked at. Space ticks; Enter ticks and goes on.")))
	for i, text := range texts {
		t := newTick(text, func(bool) { l.changed() })
		t.onKey = func(ev *fyne.KeyEvent) { l.key(i, ev) }
		l.ticks = append(l.ticks, t)
		box.Add(t)
	}
	l.modal = w.ask("ticks", lang.L("Before the pocket of cut {{.N}} is written", map[string]any{"N": w.state.Job.Cut}), box, nil,
		answer{lang.L("Write the pocket"), func() bool {
			w.post(then)
			return true
		}}, answer{text: cancelWord()})
	l.modal.resize(fyne.NewSize(600, 0))
	l.changed()
	w.win.Canvas().Focus(l.ticks[0])
}

// changed lets the pocket be written once all is ticked.
func (l *tickList) changed() {
	if l.modal == nil {
		return
	}
	if b := l.modal.buttons[0]; l.open() < 0 {
		b.Enable()
	} else {
		b.Disable()
	}
}

// open is the first box that is not ticked, -1 where there is none.
func (l *tickList) open() int {
	for i, t := range l.ticks {
		if !t.Checked {
			return i
		}
	}
	return -1
}

// key answers to a key in a box.
func (l *tickList) key(i int, ev *fyne.KeyEvent) {
	n := len(l.ticks)
	switch ev.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		if l.open() < 0 {
			l.modal.give(0)
			return
		}
		l.ticks[i].SetChecked(true)
		if i = l.open(); i < 0 {
			i = n - 1 // Enter once more goes on
		}
	case fyne.KeyUp:
		i = max(i-1, 0)
	case fyne.KeyDown:
		i = min(i+1, n-1)
	case fyne.KeyEscape:
		l.modal.escape()
		return
	default:
		return
	}
	l.w.win.Canvas().Focus(l.ticks[i])
}

// pocketComes says whether an export will write a pocket, as far as is known yet.
func (w *Window) pocketComes() bool {
	s := w.state
	if !s.Current() || s.Model.Pane == nil || !s.Job.Pane.Thickness.Set {
		return false
	}
	t := w.panels[stepFit].(*fitPanel).trial
	return t.of != s.Model || t.err == nil
}

// ticked goes on at once where no pocket will be written or what it is cut by was
// ticked before; else it asks first. A cut is asked about once, and again where one
// of its figures has changed.
func (w *Window) ticked(then func()) {
	texts := cutTicks(w.state)
	key := w.state.Path + "\n" + w.state.Job.Name + "\n" + strings.Join(texts, "\n")
	if !w.pocketComes() || key == w.agreedCut {
		then()
		return
	}
	w.askTicks(texts, func() {
		w.agreedCut = key
		then()
	})
}
