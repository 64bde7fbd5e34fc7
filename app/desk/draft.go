package desk

import (
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"panewright/board"
)

// draftExt is that of the files of drafts.
const draftExt = ".pane"

// KeepDrafts names a folder, made where it is needed, in which jobs that have no file
// yet are kept from their first edit on: what is typed before the first save outlives
// a stop too. Without one they are not kept.
func (d *Desk) KeepDrafts(dir string) { d.drafts = dir }

// OpenDraft lays the job on the desk that a stop left without a file, with its edits;
// false where there is none. A draft that another window has is left alone.
func (d *Desk) OpenDraft() bool {
	if d.drafts == "" {
		return false
	}
	names, _ := filepath.Glob(filepath.Join(d.drafts, "draft-*"+draftExt))
	return slices.ContainsFunc(names, d.openDraft)
}

func (d *Desk) openDraft(name string) bool {
	l, err := takeLock(name)
	if err != nil {
		return false
	}
	j, _, _, err := d.store.Load(name)
	var steps []board.Step
	var notes []string
	if err == nil {
		steps, notes, err = d.store.Replay(name, j)
	}
	if err != nil || len(steps) == 0 {
		l.release() // damaged: kept for whoever looks for it
		return false
	}
	d.leave(l)
	d.draft, d.notes, d.steps, d.stamp = name, notes, len(steps), board.Stamp{}
	d.begin(name, j, nil)
	d.put(j, "", steps)
	d.show()
	return true
}

// beginDraft begins to keep a job that has no file, as it was before its first edit.
func (d *Desk) beginDraft() error {
	if err := os.MkdirAll(d.drafts, 0o700); err != nil {
		return &board.DiskError{Path: filepath.Join(d.drafts, "draft"+draftExt), Err: err}
	}
	for n := 1; ; n++ {
		name := filepath.Join(d.drafts, "draft-"+strconv.Itoa(n)+draftExt)
		l, err := takeLock(name)
		if err != nil && n < 1000 {
			continue // another window's
		}
		if _, there := os.Stat(name); there == nil && err == nil {
			l.release()
			continue // left by a stop
		}
		if err == nil {
			_, err = d.store.Save(name, d.saved)
		}
		if err != nil {
			l.release()
			return err
		}
		d.draft, d.lock = name, l
		return nil
	}
}

// dropDraft takes a draft away whose job is saved, or was given up; one with edits
// stays, and is offered at the next start.
func (d *Desk) dropDraft() {
	if d.draft != "" && d.history.Job() == d.saved {
		for _, name := range []string{board.JournalPath(d.draft), d.draft} {
			_ = d.store.Remove(name)
		}
	}
	d.draft = ""
}
