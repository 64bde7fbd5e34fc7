package ui

import (
	"context"
	"os"
	"path/filepath"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"

	"panewright/app/ui/sheet"
)

// mostRecent is how many jobs are remembered.
const mostRecent = 9

// recentJobs are the files of the jobs that were open last, the latest first; what
// is no path of a file is left out.
func recentJobs(p fyne.Preferences) []string {
	var out []string
	for _, path := range p.StringList(prefRecent) {
		if filepath.IsAbs(path) && len(out) < mostRecent && !slices.Contains(out, path) {
			out = append(out, path)
		}
	}
	return out
}

// remember puts a job's file before those that were open earlier.
func (w *Window) remember(path string) {
	if abs, err := filepath.Abs(path); err == nil {
		path = abs
	}
	p := w.app.Preferences()
	p.SetString(prefLast, path)
	list := slices.DeleteFunc(recentJobs(p), func(s string) bool { return s == path })
	list = append([]string{path}, list...)
	p.SetStringList(prefRecent, list[:min(len(list), mostRecent)])
	w.lookForRecent()
}

// lookForRecent looks which of the recent jobs are there, beside the window: a
// folder on a network may take its time.
func (w *Window) lookForRecent() {
	list := recentJobs(w.app.Preferences())
	w.menu.showRecent(list, nil)
	w.looking.begin(func(context.Context) func() {
		gone := make([]bool, len(list))
		for i, path := range list {
			_, err := os.Stat(path)
			gone[i] = err != nil
		}
		return func() { w.menu.showRecent(list, gone) }
	})
}

// openRecent opens a job that was open before, after asking about edits that are
// not saved.
func (w *Window) openRecent(path string) {
	w.leaving(func() {
		if err := w.openLast(path); err != nil {
			w.tell("cannot open", lang.L("The job could not be opened"), plain(err))
			w.lookForRecent()
		}
	})
}

// reopen opens the job that was open before this one.
func (w *Window) reopen() {
	for _, path := range recentJobs(w.app.Preferences()) {
		if path != w.state.Path {
			w.openRecent(path)
			return
		}
	}
	w.say(lang.L("No other job was open before."), sheet.Plain)
}
