package ui

import (
	"context"
	"errors"
	"slices"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/app/ui/sheet"
	"panewright/board"
)

// openFitPart opens a part of the fit check.
func (w *Window) openFitPart(i int) {
	if w.busy() {
		return
	}
	if w.step != stepFit {
		w.openStep(stepFit)
	}
	w.panels[stepFit].(*fitPanel).choose(i)
}

// pressStep opens a step; where the fit check is open already it goes on to its
// next part.
func (w *Window) pressStep(i int) {
	p := w.panels[stepFit].(*fitPanel)
	switch {
	case w.busy():
	case i == stepFit && w.step == stepFit:
		p.choose((p.open + 1) % partCount)
	default:
		w.goToStep(i)
	}
}

// openCuts opens the cuts and what explains their gaps.
func (w *Window) openCuts() { w.openFitPart(partCuts) }

// choosePicture has the board show what belongs to the open step.
func (w *Window) choosePicture() {
	p := w.panels[stepFit].(*fitPanel)
	cuts := w.step == stepFit && p.open == partCuts
	w.board.SetFit(w.step == stepFit && !cuts)
	if !cuts {
		w.board.SetBars(nil)
	}
}

// noCut is why no cut can be recorded of a state; "" where one can.
func noCut(s desk.State) string {
	switch {
	case !s.Current():
		return lang.L("The shape has not caught up with the readings yet.")
	case s.Model.Pane == nil:
		return lang.L("There is no pane to cut a pocket for: {{.Why}}", map[string]any{"Why": whyNot(s.Model)})
	}
	return ""
}

// recording is a cut being recorded, from the question for its date and reason
// to the job with the cut in it.
type recording struct {
	w            *Window
	model        *board.Model
	date, reason *field
	say          *widget.Label
	modal        *modal
	work         errand
}

// recordCut asks for a date and a reason and keeps the shape as it stands as the
// next cut: gaps are explained against it from then on.
func (w *Window) recordCut() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	w.commitField()
	s := w.state
	if why := noCut(s); why != "" {
		w.report(errors.New(why))
		return
	}
	r := &recording{w: w, model: s.Model, date: newField(true, nil, w.key), reason: newField(false, nil, w.key), say: wrapped(""), work: errand{w: w}}
	for f, text := range map[*field]string{r.date: time.Now().Format(time.DateOnly), r.reason: cutReason(s)} {
		f.SetText(text)
		f.shown = text
	}
	n := map[string]any{"N": s.Job.Cut}
	parts := []fyne.CanvasObject{wrapped(lang.L("The shape and the pocket are kept as they stand. Gaps noted from now on are held against them, whatever is edited later."))}
	for _, text := range cutCautions(w, s) {
		l := wrapped(text)
		l.Importance = widget.WarningImportance
		parts = append(parts, l)
	}
	form := container.New(&formLayout{gap: formGap}, widget.NewLabel(lang.L("Reason")), r.reason, widget.NewLabel(lang.L("Date")), r.date)
	parts = append(parts, form, r.say)
	r.say.Hide()
	r.modal = w.ask("record cut", recordTitle(s), container.NewVBox(parts...), r.reason,
		answer{lang.L("Record cut {{.N}}", n), r.run}, answer{cancelWord(), r.stop})
	r.date.onEnter, r.date.onEsc = r.reason.onEnter, r.reason.onEsc
	r.modal.resize(fyne.NewSize(520, 0))
}

// recordTitle names the cut that is recorded.
func recordTitle(s desk.State) string {
	n := map[string]any{"N": s.Job.Cut}
	if len(acceptedCauses(s)) > 0 {
		return lang.L("Make cut {{.N}}", n)
	}
	return lang.L("Record this as cut {{.N}}", n)
}

// cutReason is the reason that is offered for a cut.
func cutReason(s desk.State) string {
	if s.Job.LastCut() == nil {
		return lang.L("first trial")
	}
	if names := acceptedCauses(s); len(names) > 0 {
		return lang.L("put right: {{.What}}", map[string]any{"What": causeList(names)})
	}
	return ""
}

// cutCautions are what should give pause before a cut is recorded.
func cutCautions(w *Window, s desk.State) (out []string) {
	if w.exported == nil || w.exported.job != s.Job {
		out = append(out, lang.L("The hand-over files were not written from the job as it stands now: record only what was really cut."))
	}
	if last := s.Job.LastCut(); last != nil && len(acceptedCauses(s)) == 0 && len(s.Job.GapsOf(last.Number)) > 0 && s.Model.Proof.Cut == 0 {
		out = append(out, lang.L("Nothing of what explains the gaps of cut {{.N}} is put right.", map[string]any{"N": last.Number}))
	}
	return out
}

// run keeps the cut; it closes once that is done.
func (r *recording) run() bool {
	if r.work.running() {
		return false
	}
	date, reason := r.date.Text, r.reason.Text
	setText(r.say, lang.L("Working…"))
	r.say.Show()
	r.modal.buttons[0].Disable()
	r.work.begin(func(ctx context.Context) func() {
		cut, err := board.NewCut(ctx, r.model, date, reason)
		return func() { r.keep(cut, err) }
	})
	return false
}

// keep puts the cut into the job and opens its gap sheet.
func (r *recording) keep(cut board.Cut, err error) {
	w := r.w
	name := recordTitle(w.state)
	switch {
	case err != nil:
	case w.state.Job != r.model.Job:
		err = errors.New(lang.L("the job was changed meanwhile"))
	default:
		err = w.Edit(name, func(j *board.Job) error { return j.AddCut(cut) })
	}
	if err != nil {
		r.modal.buttons[0].Enable()
		setLabel(r.say, plain(err), widget.DangerImportance)
		return
	}
	r.modal.close()
	w.openCuts()
	w.openList(listGaps)
	w.say(lang.L("Cut {{.N}} is recorded. Note its gaps on the left.", map[string]any{"N": cut.Number}), sheet.Plain)
}

// stop gives the recording up.
func (r *recording) stop() bool {
	r.work.stop()
	return true
}

// deleteCut takes the last cut out with its gaps.
func (w *Window) deleteCut() {
	last := w.state.Job.LastCut()
	if w.busy() || !w.lists.sheet().Commit() || last == nil {
		return
	}
	w.report(w.Edit(lang.L("Delete cut {{.N}}", map[string]any{"N": last.Number}), (*board.Job).DeleteCut))
}

// setRocks says whether the glass rocked in the last cut.
func (w *Window) setRocks(on bool) {
	last := w.state.Job.LastCut()
	if w.busy() || last == nil || last.Rocks == on {
		return
	}
	name := lang.L("The glass rocked in cut {{.N}}", map[string]any{"N": last.Number})
	if !on {
		name = lang.L("The glass did not rock in cut {{.N}}", map[string]any{"N": last.Number})
	}
	w.report(w.Edit(name, func(j *board.Job) error { return j.SetRocks(last.Number, on) }))
}

// turnRocks says that the glass rocked in the last cut, or takes that back.
func (w *Window) turnRocks() {
	if last := w.state.Job.LastCut(); last != nil {
		w.setRocks(!last.Rocks)
	}
}

// putRight says whether a cause of the last cut's gaps is put right in the next.
func (w *Window) putRight(name string, on bool) {
	last := w.state.Job.LastCut()
	if w.busy() || last == nil || isAccepted(w.state, name) == on {
		return
	}
	edit := lang.L("Put right: {{.What}}", map[string]any{"What": causeTitle(name)})
	if !on {
		edit = lang.L("Leave as it is: {{.What}}", map[string]any{"What": causeTitle(name)})
	}
	names := acceptedCauses(w.state)
	w.report(w.Edit(edit, func(j *board.Job) error {
		if slices.Contains(last.Accepted, board.FoundCauses) { // from now on each by its name
			for _, n := range names {
				if err := j.AcceptCause(last.Number, n, true); err != nil {
					return err
				}
			}
			if err := j.AcceptCause(last.Number, board.FoundCauses, false); err != nil {
				return err
			}
		}
		return j.AcceptCause(last.Number, name, on)
	}))
}

// putFoundRight has all that was found clearly put right in the next cut, or
// nothing where something is already.
func (w *Window) putFoundRight() {
	s := w.state
	last := s.Job.LastCut()
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	if last == nil || s.Model == nil || s.Model.Gaps == nil || s.Model.Gaps.Why != "" {
		w.say(lang.L("No gaps are explained yet."), sheet.Plain)
		return
	}
	edit := lang.L("Put right what was found")
	on := len(last.Accepted) == 0
	if !on {
		edit = lang.L("Put nothing right")
	}
	w.report(w.Edit(edit, func(j *board.Job) error {
		for _, n := range last.Accepted {
			if err := j.AcceptCause(last.Number, n, false); err != nil {
				return err
			}
		}
		return j.AcceptCause(last.Number, board.FoundCauses, on)
	}))
}

// putNthRight turns the putting right of a numbered cause on or off.
func (w *Window) putNthRight(n int) {
	if !w.lists.sheet().Commit() {
		return
	}
	names := correctable(w.state)
	if n >= len(names) {
		w.say(lang.L("There is no cause {{.N}}.", map[string]any{"N": n + 1}), sheet.Plain)
		return
	}
	w.putRight(names[n], !isAccepted(w.state, names[n]))
}
