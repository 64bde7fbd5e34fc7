package ui

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"

	"panewright/app/ui/sheet"
	"panewright/assets"
	"panewright/board"
)

// begin opens what the command line asks for: a job, a CSV of readings, the
// demo; else the job that was open last, or the demo at the first start.
func (w *Window) begin(o Options) {
	last := w.app.Preferences().String(prefLast)
	var err error
	switch {
	case o.Path != "":
		err = w.openPath(cleanPath(o.Path))
	case o.Demo:
		err = w.openDemo("a")
	case w.desk.OpenDraft():
		w.recovered()
	case last == "":
		err = w.openDemo("a")
	default:
		if err = w.openLast(last); errors.Is(err, fs.ErrNotExist) {
			err = errors.New(lang.L("the last job, {{.Path}}, is not there any more", map[string]any{"Path": last}))
		}
	}
	w.lists.gotoCell(listEdge, 0, w.lists.firstEntry())
	w.lists.focus()
	if err != nil {
		w.tell("cannot open", lang.L("The job could not be opened"), plain(err))
	}
}

// openLast opens the job that was open last: one that was stopped before its first
// save has no file yet, but a journal.
func (w *Window) openLast(path string) error {
	if _, err := os.Stat(board.JournalPath(path)); err == nil {
		return w.openPath(path)
	}
	return w.open(path)
}

// openPath opens a job or a CSV of readings; a job that is not there yet is begun.
func (w *Window) openPath(path string) error {
	if strings.EqualFold(filepath.Ext(path), ".csv") {
		return w.openCSV(path)
	}
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		if err := w.desk.NewAt(path); err != nil {
			return err
		}
		w.opened(path)
		return nil
	}
	return w.open(path)
}

// open opens a job file and says what was recovered.
func (w *Window) open(path string) error {
	if err := w.desk.Open(path); err != nil {
		return err
	}
	w.opened(path)
	return nil
}

// opened remembers a job's file and begins the work on it.
func (w *Window) opened(path string) {
	w.remember(path)
	w.recovered()
}

// recovered begins the work on a job from a file or a draft and says what there is
// to say about it.
func (w *Window) recovered() {
	w.exported = nil
	w.start()
	steps, notes := w.desk.Recovered()
	text := strings.Join(notes, "\n\n")
	switch {
	case w.state.Held != nil:
		w.heldElsewhere(text)
	case steps > 0 && w.state.Path == "":
		w.tell("recovered", lang.L("A job without a file brought back"),
			join(lang.L("The program had been stopped before this job was saved for the first time. What was typed has been brought back; save it to give it a file."), text))
	case steps == 1:
		w.tell("recovered", lang.L("1 edit brought back"),
			join(lang.L("The program had been stopped before the job was saved. The last edit has been brought back from the journal beside the file; undo takes it back."), text))
	case steps > 1:
		w.tell("recovered", lang.L("{{.N}} edits brought back", map[string]any{"N": steps}),
			join(lang.L("The program had been stopped before the job was saved. The edits since then have been brought back from the journal beside the file; undo takes them back one by one."), text))
	case text != "":
		w.tell("notes", lang.L("About this file"), text)
	}
}

// heldElsewhere says that another window has the job, and offers the way out.
func (w *Window) heldElsewhere(text string) {
	w.ask("held", lang.L("Open in another window"), wrapped(join(join(plain(w.state.Held)+".",
		lang.L("When the other window has closed it, open it here again.")), text)), nil,
		answer{lang.L("Save elsewhere…"), w.elsewhere(nil)},
		answer{text: lang.L("Look at it")})
}

// atRisk says that edits are not kept beside the file any more, once.
func (w *Window) atRisk(text string) {
	w.ask("at risk", lang.L("Edits are not kept"), wrapped(text), nil,
		answer{lang.L("Save elsewhere…"), w.elsewhere(nil)},
		answer{text: closeWord()})
}

// elsewhere is an answer that asks for another file to save in, and goes on where
// that was done.
func (w *Window) elsewhere(then func()) func() bool {
	return func() bool {
		w.post(func() { w.saveAsThen(then) })
		return true
	}
}

// join puts a blank line between two texts where both are there.
func join(a, b string) string {
	if b == "" {
		return a
	}
	return a + "\n\n" + b
}

// start puts the cursor where the work on a job just laid on the desk begins.
func (w *Window) start() {
	w.setTool(0)
	w.openStep(stepReadings)
	w.lists.gotoCell(listEdge, 0, w.lists.firstEntry())
	w.lists.focus()
	w.board.Fit()
	w.solid.Fit()
}

// openCSV begins a job with the readings of a CSV file; one with other columns than
// ours is looked at first.
func (w *Window) openCSV(path string) error {
	data, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	j := board.NewJob(strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)))
	j.Unit = w.state.Job.Unit
	readings, err := board.ReadReadings(bytes.NewReader(data), filepath.Base(path), j)
	if err != nil {
		if _, err := board.ReadColumns(data, filepath.Base(path), j, board.Edge); err != nil {
			return err
		}
		w.post(func() { w.report(w.lookAtFile(path)) }) // once the question for the file is gone
		return nil
	}
	j.Readings = readings
	j.Evaluate()
	w.desk.OpenJob(j)
	w.exported = nil
	w.start()
	w.say(lang.L("{{.N}} readings taken from {{.File}}, in {{.Unit}}. Change the unit under Board before typing more.", map[string]any{
		"N": len(readings), "File": filepath.Base(path), "Unit": j.Unit.String(),
	}), sheet.Plain)
	return nil
}

// openDemo lays a demo job on the desk; it has no file.
func (w *Window) openDemo(letter string) error {
	data, err := assets.Demo(letter)
	if err != nil {
		return err
	}
	j, _, err := board.Decode(assets.DemoName(letter), data)
	if err != nil {
		return err
	}
	w.desk.OpenJob(j)
	w.exported = nil
	w.start()
	return nil
}

// newJob begins an empty job, after asking about edits that are not saved.
func (w *Window) newJob() {
	w.leaving(func() {
		w.desk.OpenJob(w.blankJob())
		w.exported = nil
		w.start()
	})
}

// demo opens a demo job, after asking about edits that are not saved.
func (w *Window) demo(letter string) {
	w.leaving(func() { w.report(w.openDemo(letter)) })
}

// askOpen asks for a file to open.
func (w *Window) askOpen() {
	w.leaving(func() {
		w.choosePath("open", lang.L("Open a job or a CSV of readings"), lang.L("Open"), w.startDir(), false, func(path string) error {
			if _, err := os.Stat(path); err != nil {
				return errors.New(lang.L("there is no such file"))
			}
			return w.openPath(path)
		})
	})
}

// save writes the job to its file, or asks for one.
func (w *Window) save() { w.saveThen(nil) }

// saveThen saves and goes on where that was done.
func (w *Window) saveThen(then func()) {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	w.commitField()
	if w.state.Path == "" {
		w.saveAsThen(then)
		return
	}
	if err := w.desk.Save(); err != nil {
		w.notSaved(err, then)
		return
	}
	w.saved(then)
}

// saved says so and goes on.
func (w *Window) saved(then func()) {
	w.say(lang.L("Saved."), sheet.Plain)
	if then != nil {
		then()
	}
}

// notSaved says why the job could not be saved and what can be done: nothing is
// written over that somebody else wrote, unless that is agreed to.
func (w *Window) notSaved(err error, then func()) {
	if !errors.Is(err, board.ErrChanged) {
		w.ask("cannot save", lang.L("The job could not be saved"),
			wrapped(join(plain(err)+".", lang.L("Everything typed is still in this window, and the file is as it was."))), nil,
			answer{lang.L("Save elsewhere…"), w.elsewhere(then)},
			answer{text: closeWord()})
		return
	}
	w.ask("changed outside", lang.L("The file was changed by somebody else"),
		wrapped(lang.L("{{.File}} is not as it was when this window read it: another program or person has changed it since. Save elsewhere to keep both. Written over, what they wrote is kept as .bak.", map[string]any{"File": filepath.Base(w.state.Path)})), nil,
		answer{lang.L("Save elsewhere…"), w.elsewhere(then)},
		answer{lang.L("Write over it"), func() bool {
			if err := w.desk.SaveAs(w.state.Path); err != nil {
				w.post(func() { w.notSaved(err, then) })
				return true
			}
			w.saved(then)
			return true
		}},
		answer{text: closeWord()})
}

// commitField commits the field that has the focus, so that what was typed
// belongs to what is saved.
func (w *Window) commitField() {
	if f, ok := w.win.Canvas().Focused().(*field); ok {
		f.commit()
	}
}

// saveAs asks for a file and writes the job there.
func (w *Window) saveAs() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	w.commitField()
	w.saveAsThen(nil)
}

func (w *Window) saveAsThen(then func()) {
	start := w.state.Path
	switch {
	case w.state.Held != nil:
		start = strings.TrimSuffix(start, jobExt) + "-2" + jobExt
	case start == "":
		start = w.startDir() + fileName(w.state.Job.Name) + jobExt
	}
	agreed := "" // the file that may be written over: asked about once
	w.choosePath("save as", lang.L("Save the job as"), lang.L("Save"), start, true, func(path string) error {
		if filepath.Ext(path) != jobExt {
			path += jobExt
		}
		if _, err := os.Stat(path); err == nil && path != w.state.Path && path != agreed {
			agreed = path
			return errors.New(lang.L("there is a file of this name: press Save again to write over it (a copy is kept as .bak)"))
		}
		if err := w.desk.SaveAs(path); err != nil {
			return err
		}
		w.remember(path)
		w.say(lang.L("Saved."), sheet.Plain)
		if then != nil {
			w.post(then)
		}
		return nil
	})
}

// fileName is a job's name as a file's: without what file names cannot hold.
func fileName(name string) string {
	name = strings.TrimSpace(strings.Map(func(r rune) rune {
		if strings.ContainsRune(`/\:*?"<>|`, r) || r < ' ' {
			return '-'
		}
		return r
	}, name))
	if name == "" {
		return "job"
	}
	return name
}

// leaving goes on with what takes the job off the desk, after asking about
// edits that are not saved.
func (w *Window) leaving(then func()) {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	w.commitField()
	if w.state.Saved {
		then()
		return
	}
	w.ask("unsaved", lang.L("Save the edits to {{.Job}}?", map[string]any{"Job": w.state.Job.Name}),
		wrapped(lang.L("The job has edits that are not saved.")), nil,
		answer{lang.L("Save"), func() bool {
			w.post(func() { w.saveThen(then) })
			return true
		}},
		answer{lang.L("Don't save"), func() bool {
			w.report(w.desk.Discard())
			w.post(then)
			return true
		}},
		answer{text: lang.L("Keep open")})
}

// quit closes the window, after asking about edits that are not saved.
func (w *Window) quit() {
	if w.browsing != nil {
		w.browsing.Hide()
		w.browsing = nil
	}
	for w.top() != nil {
		if w.top().name == "unsaved" {
			return
		}
		w.top().close()
	}
	w.leaving(func() {
		size := w.win.Canvas().Size()
		w.app.Preferences().SetFloat(prefWidth, float64(size.Width))
		w.app.Preferences().SetFloat(prefHeight, float64(size.Height))
		w.win.Close()
	})
}

// dropped takes a file that was dragged onto the window: a table of readings is
// looked at first, a photo goes behind the grid, a job is opened.
func (w *Window) dropped(_ fyne.Position, files []fyne.URI) {
	if len(files) == 0 || files[0].Scheme() != "file" {
		return
	}
	path := files[0].Path()
	if isTable(path) {
		if w.busy() || !w.lists.sheet().Commit() {
			return
		}
		if err := w.lookAtFile(path); err != nil {
			w.tell("cannot open", lang.L("The table could not be read"), plain(err))
		}
		return
	}
	if isPhoto(path) {
		if !w.busy() {
			w.openPhoto(path)
		}
		return
	}
	w.leaving(func() {
		if err := w.openPath(path); err != nil {
			w.tell("cannot open", lang.L("The file could not be opened"), plain(err))
		}
	})
}
