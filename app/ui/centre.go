package ui

import (
	"errors"

	"fyne.io/fyne/v2/lang"

	"panewright/app/desk"
	"panewright/board"
)

// planeNumbers is the centre plane in use: offset in mm, skew and roll in degrees.
func (w *Window) planeNumbers(s desk.State) (offset, skew, roll float64) {
	if p := s.Job.Plane; p != nil && p.Offset.Fault == "" && p.Skew.Fault == "" && p.Roll.Fault == "" {
		return p.Offset.MM, p.Skew.MM, p.Roll.MM
	}
	if m := s.Model; m != nil && m.Used != nil {
		return m.Used.Offset, m.Used.Skew, m.Used.Roll
	}
	return 0, 0, 0
}

// planeInUse is the centre plane of the model as it would be typed.
func (w *Window) planeInUse() (board.TypedPlane, bool) {
	m := w.state.Model
	if m == nil || m.Used == nil {
		return board.TypedPlane{}, false
	}
	return planeTyped(w.state.Job, m.Used.Offset, m.Used.Skew, m.Used.Roll), true
}

// planeTyped is a centre plane as it would be typed.
func planeTyped(j *board.Job, offset, skew, roll float64) board.TypedPlane {
	return board.TypedPlane{
		Offset: j.Typed(typedLength(j, offset)),
		Skew:   j.Typed(typedNumber(j, skew, 3)),
		Roll:   j.Typed(typedNumber(j, roll, 3)),
	}
}

// typedPlane is the plane to change by typing one of its figures: the typed
// one, or the one in use written out.
func (w *Window) typedPlane(j *board.Job) board.TypedPlane {
	if j.Plane != nil {
		return *j.Plane
	}
	if t, ok := w.planeInUse(); ok {
		return t
	}
	return planeTyped(j, 0, 0, 0)
}

// nudge moves the centre plane by mm and degrees.
func (w *Window) nudge(shift, turn, lean float64) {
	if w.busy() {
		return
	}
	s := w.state
	if s.Job.Mirror == board.MirrorNone || s.Job.Plane == nil && (s.Model == nil || s.Model.Used == nil) {
		w.report(errors.New(lang.L("the centre line is not known yet")))
		return
	}
	offset, skew, roll := w.planeNumbers(s)
	name := lang.L("Nudge the centre line")
	w.report(w.Edit(name, func(j *board.Job) error {
		p := planeTyped(j, offset+shift, skew+turn, roll+lean)
		if j.Plane != nil { // what was not moved stays as it was typed
			if shift == 0 {
				p.Offset = j.Plane.Offset
			}
			if turn == 0 {
				p.Skew = j.Plane.Skew
			}
			if lean == 0 {
				p.Roll = j.Plane.Roll
			}
		}
		j.Plane = &p
		return nil
	}))
}

// useFound gives up the typed centre plane for the found one.
func (w *Window) useFound() {
	if w.busy() || w.state.Job.Plane == nil {
		return
	}
	w.report(w.Edit(lang.L("Use what was found"), func(j *board.Job) error {
		j.Plane = nil
		return nil
	}))
}

// holdCentre types the plane in use, so that later readings do not move it.
func (w *Window) holdCentre() {
	p, ok := w.planeInUse()
	if w.busy() || !ok || w.state.Job.Plane != nil {
		return
	}
	w.report(w.Edit(lang.L("Hold the centre line"), func(j *board.Job) error {
		j.Plane = &p
		return nil
	}))
}

// noMirror has the pane as it was read, without a mirror.
func (w *Window) noMirror() {
	if w.busy() || w.state.Job.Mirror == board.MirrorNone {
		return
	}
	w.report(w.Edit(lang.L("Choose no mirror"), func(j *board.Job) error {
		j.Mirror = board.MirrorNone
		return nil
	}))
}

// centreDragged shows what the centre line being dragged on the board would do.
func (w *Window) centreDragged(c *board.Consequence) {
	p := w.panels[stepCentre].(*centrePanel)
	p.dragged = c
	switch {
	case c == nil:
		p.show(w.state)
	case w.step != stepCentre:
		w.openStep(stepCentre)
	default:
		p.showOutcome(w.state)
	}
}

// nudgeStep is how far a nudge moves the centre line, mm: a tenth of a millimetre,
// or 0.005 in.
func (w *Window) nudgeStep() float64 {
	if w.state.Job.Unit == board.Inch {
		return 0.005 * board.Inch.Millimetres()
	}
	return 0.1
}
