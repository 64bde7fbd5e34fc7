package desk

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"panewright/app/handover"
	"panewright/board"
)

// Open reads the job at path, replays the journal beside it where the program
// was stopped before a save, and lays it on the desk. Where it fails, what was
// on the desk stays.
func (d *Desk) Open(path string) error {
	j, notes, err := board.Load(path)
	if err != nil {
		return err
	}
	return d.take(j, path, notes)
}

// NewAt begins an empty job that will be saved at path; nothing is written
// there until it is, but its journal is kept beside it from the first edit on.
func (d *Desk) NewAt(path string) error {
	if _, err := os.Stat(path); !errors.Is(err, fs.ErrNotExist) {
		if err == nil {
			err = fs.ErrExist
		}
		return fmt.Errorf("desk: begin %s: %w", path, err)
	}
	return d.take(board.NewJob(nameOf(path)), path, nil)
}

// OpenJob lays a job that has no file on the desk: a demo, or an empty one.
func (d *Desk) OpenJob(j *board.Job) {
	d.closeJournal()
	d.notes, d.steps = nil, 0
	d.put(j, "", nil)
	d.show()
}

// take lays a job from path on the desk with what its journal holds.
func (d *Desk) take(j *board.Job, path string, notes []string) error {
	steps, more, err := board.Replay(path, j)
	if err != nil {
		return err
	}
	d.closeJournal() // first: it may be the same file, and closing removes an empty journal
	journal, err := board.OpenJournal(path, j)
	if err != nil {
		more = append(more, fmt.Sprintf("Edits cannot be kept beside the file (%v): save often, or elsewhere.", err))
	}
	d.journal = journal
	d.notes, d.steps = append(notes, more...), len(steps)
	d.put(j, path, steps)
	d.show()
	return nil
}

// Recovered is the number of edits that the last Open replayed from the
// journal, and its remarks; 0 where the job had been closed in order.
func (d *Desk) Recovered() (steps int, notes []string) { return d.steps, d.notes }

// Save writes the job to its file. It is an error to save a job that has none.
func (d *Desk) Save() error {
	if d.path == "" {
		return errors.New("desk: this job has no file yet: choose where to save it")
	}
	return d.saveTo(d.path)
}

// SaveAs writes the job to path and goes on there.
func (d *Desk) SaveAs(path string) error { return d.saveTo(path) }

// saveTo saves at path. A job that still has the name every new job begins with
// takes that of its first file.
func (d *Desk) saveTo(path string) error {
	if d.path == "" && d.history.Job().Name == newName {
		if err := d.Edit("Name the job", func(j *board.Job) error { j.Name = nameOf(path); return nil }); err != nil {
			return err
		}
	}
	j := d.history.Job()
	if err := board.Save(path, j); err != nil {
		return err
	}
	if path != d.path || d.journal == nil {
		d.closeJournal()
		d.path = path
		journal, err := board.OpenJournal(path, j)
		if err != nil {
			d.note(fmt.Sprintf("Edits cannot be kept beside the file (%v): save often, or elsewhere.", err))
		}
		d.journal = journal
	}
	d.written = j
	if d.journal != nil {
		if err := d.journal.Reset(j); err != nil {
			d.note(fmt.Sprintf("The journal beside the file could not be renewed (%v).", err))
		}
	}
	d.saved = j
	d.show()
	return nil
}

func (d *Desk) closeJournal() {
	if d.journal != nil {
		d.journal.Close()
		d.journal = nil
	}
}

// Close ends the running solve and lets go of the files. Unsaved edits stay in
// the journal.
func (d *Desk) Close() error {
	if d.cancel != nil {
		d.cancel()
	}
	d.run++
	if d.journal == nil {
		return nil
	}
	err := d.journal.Close()
	d.journal = nil
	return err
}

// Discard gives up the edits since the last save: the job lies on the desk as
// it was saved, and the journal is emptied, so that they are not offered again.
func (d *Desk) Discard() error {
	d.put(d.saved, d.path, nil)
	d.show()
	if d.journal == nil {
		return nil
	}
	return d.journal.Reset(d.saved)
}

// Export writes the hand-over files of this state into dir and returns their
// names. It refuses a model that is older than the job. It may run on any
// goroutine: a State is a value and its job and model never change.
func (s State) Export(ctx context.Context, dir string, force bool, progress func(stage string, done float64)) ([]string, error) {
	if !s.Current() {
		if s.Err != nil {
			return nil, s.Err
		}
		return nil, ErrStale
	}
	sum, err := handover.Export(ctx, s.Model, dir, handover.Options{Force: force, Progress: progress})
	if err != nil {
		return nil, err
	}
	return sum.Files, nil
}
