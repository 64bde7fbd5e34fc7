package ui

import (
	"context"
	"errors"
	"path/filepath"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/app/handover"
)

// exporting is one writing of the hand-over files, from the choice of the
// folder to the list of what was written.
type exporting struct {
	w      *Window
	entry  *field
	bar    *widget.ProgressBar
	say    *widget.Label
	list   *widget.Label
	scroll *container.Scroll
	modal  *modal
	cancel context.CancelFunc
	done   bool

	force, replace bool // agreed to, for the folder as it is typed
}

// export asks for a folder and writes the hand-over files there.
func (w *Window) export() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	w.commitField()
	e := &exporting{w: w, bar: widget.NewProgressBar(), say: wrapped(""), list: widget.NewLabel("")}
	e.entry = newField(true, nil, w.key)
	e.entry.SetText(w.packDir())
	e.entry.echo = func(string) { e.agree("", false, false) }
	e.entry.shown = e.entry.Text
	browse := newButton(lang.L("Browse…"), func() { w.browse(true, e.entry) })
	e.bar.Hide()
	e.scroll = container.NewVScroll(e.list)
	e.scroll.SetMinSize(fyne.NewSize(0, 260))
	e.scroll.Hide()
	setText(e.say, shortCaution())
	content := container.NewVBox(
		widget.NewLabel(lang.L("Folder for the files")),
		container.NewBorder(nil, nil, nil, browse, e.entry), e.entry.fault, e.say, e.bar, e.scroll)
	e.modal = w.ask("export", lang.L("Hand-over files of {{.Job}}", map[string]any{"Job": w.state.Job.Name}),
		content, e.entry, answer{lang.L("Export"), e.run}, answer{cancelWord(), e.stop})
	e.modal.resize(fyne.NewSize(640, 0))
}

// packDir is the folder that is offered for the files: that of the last export of
// this cut, or one named after the job and the cut.
func (w *Window) packDir() string {
	j := w.state.Job
	if e := w.exported; e != nil && e.job.Cut == j.Cut {
		return e.dir
	}
	name := fileName(j.Name) + " " + lang.L("hand-over")
	if j.Cut > 1 {
		name += " " + lang.L("cut {{.N}}", map[string]any{"N": j.Cut})
	}
	return filepath.Clean(w.packsDir() + name)
}

// run begins the writing; once it is done it closes.
func (e *exporting) run() bool {
	if e.done || e.cancel != nil {
		return e.done
	}
	if dir := cleanPath(e.entry.Text); dir != "" {
		e.w.ticked(func() { e.write(dir) })
	}
	return false
}

// write writes the files into a folder in the background.
func (e *exporting) write(dir string) {
	s := e.w.desk.State()
	ctx, cancel := context.WithCancel(context.Background())
	e.cancel = cancel
	e.entry.setFault("")
	e.entry.Disable()
	e.modal.buttons[0].Disable()
	e.w.win.Canvas().Focus(e.modal.keys)
	e.bar.SetValue(0)
	e.bar.Show()
	setText(e.say, lang.L("Writing…"))
	o := handover.Options{Force: e.force, Keep: !e.replace, Progress: func(stage string, done float64) {
		e.w.post(func() { e.progress(stage, done) })
	}}
	go func() {
		sum, err := s.Export(ctx, dir, o)
		e.w.post(func() { e.finished(s, dir, sum, err) })
	}()
}

func (e *exporting) progress(stage string, done float64) {
	if e.cancel == nil {
		return
	}
	e.bar.SetValue(done)
	if stage != "" {
		setText(e.say, lang.L("Writing… {{.Stage}}", map[string]any{"Stage": stage}))
	}
}

// finished lists what was written, or says why nothing was.
func (e *exporting) finished(s desk.State, dir string, sum *handover.Summary, err error) {
	cancelled := e.cancel == nil
	if !cancelled {
		e.cancel()
		e.cancel = nil
	}
	e.bar.Hide()
	e.entry.Enable()
	e.modal.buttons[0].Enable()
	if cancelled {
		return
	}
	if err != nil {
		setText(e.say, shortCaution())
		e.entry.setFault(plain(err))
		e.offer(err)
		e.w.win.Canvas().Focus(e.entry)
		return
	}
	e.done = true
	files := sum.Files
	e.w.exported = &exportResult{job: s.Job, dir: dir, files: files}
	e.w.refresh()
	setText(e.say, lang.L("{{.N}} files written. Check every dimension on the real glass before cutting material.", map[string]any{"N": len(files)}))
	for _, w := range sum.Warnings {
		if slices.Contains([]string{"no-date", "no-shape", "no-tiles", "no-pocket"}, w.Code) { // nothing else shows these
			e.say.SetText(e.say.Text + "\n" + capital(inUnit(s.Job, w.Text)))
		}
	}
	e.list.SetText(strings.Join(files, "\n"))
	e.scroll.Show()
	e.modal.buttons[0].SetText(closeWord())
	e.modal.buttons[1].Hide()
	e.modal.resize(fyne.NewSize(640, 0))
}

// offer lets a second press write beside files that are not ours, or over another
// pack of the job, in the folder that was tried.
func (e *exporting) offer(err error) {
	var kept *handover.EarlierError
	switch {
	case errors.Is(err, handover.ErrOccupied):
		e.agree(lang.L("Write there anyway"), true, e.replace)
	case errors.As(err, &kept):
		e.agree(lang.L("Replace the pack of cut {{.N}}", map[string]any{"N": kept.Cut}), e.force, true)
	}
}

// agree sets what the next press is agreed to, and says it on the button; a press
// for another folder is agreed to nothing.
func (e *exporting) agree(word string, force, replace bool) {
	if e.done || e.modal == nil {
		return
	}
	if e.force, e.replace = force, replace; word == "" {
		word = lang.L("Export")
	}
	setWord(e.modal.buttons[0], word)
}

// stop gives the writing up, or closes.
func (e *exporting) stop() bool {
	if e.cancel == nil {
		return true
	}
	e.cancel()
	e.cancel = nil
	setText(e.say, lang.L("Given up. What was written before stays as it was."))
	return false
}
