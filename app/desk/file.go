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
// was stopped before a save, and lays it on the desk. A job that another window has
// is laid there to be looked at (State.Held). Where it fails, what was on the desk
// stays.
func (d *Desk) Open(path string) error {
	return d.take(path, func() (*board.Job, []string, board.Stamp, error) { return d.store.Load(path) })
}

// NewAt begins an empty job that will be saved at path; nothing is written
// there until it is, but its journal is kept beside it from the first edit on.
func (d *Desk) NewAt(path string) error {
	return d.take(path, func() (j *board.Job, notes []string, none board.Stamp, err error) {
		if _, err := os.Stat(path); !errors.Is(err, fs.ErrNotExist) {
			if err == nil {
				err = fs.ErrExist
			}
			return nil, nil, none, fmt.Errorf("desk: begin %s: %w", path, err)
		}
		return board.NewJob(nameOf(path)), nil, none, nil
	})
}

// OpenJob lays a job that has no file on the desk: a demo, or an empty one.
func (d *Desk) OpenJob(j *board.Job) {
	d.leave(nil)
	d.notes, d.steps, d.stamp = nil, 0, board.Stamp{}
	d.put(j, "", nil)
	d.show()
}

// take locks the job at path, has it read, and lays it on the desk with what its
// journal holds.
func (d *Desk) take(path string, read func() (*board.Job, []string, board.Stamp, error)) error {
	l, unsure := d.lockFor(path)
	j, notes, stamp, err := read()
	var steps []board.Step
	var more []string
	if err == nil {
		steps, more, err = d.store.Replay(path, j)
	}
	if err != nil {
		if l != d.lock {
			l.release()
		}
		return err
	}
	d.leave(l)
	d.notes, d.stamp = append(notes, more...), stamp
	if errors.As(unsure, &d.held) {
		d.notes = notes // of a journal that is being written
		if n := len(steps); n > 0 {
			j, steps = steps[n-1].Job, nil
		}
	} else {
		d.begin(path, j, unsure)
	}
	d.steps = len(steps)
	d.put(j, path, steps)
	d.show()
	return nil
}

// lockFor is the lock of the job at path, the one held already where it is that.
func (d *Desk) lockFor(path string) (*lock, error) {
	if d.lock.holds(path) {
		return d.lock, nil
	}
	return takeLock(path)
}

// begin opens the journal of a job just laid on the desk.
func (d *Desk) begin(path string, j *board.Job, unsure error) {
	if d.lock != nil {
		d.store.Sweep(path)
	}
	journal, err := d.store.OpenJournal(path, j)
	d.journal = journal
	d.risky(err)
	if err == nil && unsure != nil {
		d.notes = append(d.notes, fmt.Sprintf("It cannot be told whether this job is open in another window (%v): let one window at a time have it.", unsure))
	}
}

// leave lets go of the files on the desk, but for a lock that is wanted next.
func (d *Desk) leave(next *lock) {
	if d.journal != nil {
		_ = d.journal.Close() // every line in it is synced
	}
	d.dropDraft()
	if d.lock != next {
		d.lock.release()
	}
	d.lock, d.journal, d.held, d.risk = next, nil, nil, ""
}

// Recovered is the number of edits that the last Open replayed from the
// journal, and its remarks; 0 where the job had been closed in order.
func (d *Desk) Recovered() (steps int, notes []string) { return d.steps, d.notes }

// Save writes the job to its file. It is an error to save a job that has none;
// board.ErrChanged where something else has changed the file since it was opened.
func (d *Desk) Save() error {
	switch {
	case d.path == "":
		return errors.New("desk: this job has no file yet: choose where to save it")
	case d.held != nil:
		return d.held
	}
	if err := d.store.Unchanged(d.path, d.stamp); err != nil {
		return err
	}
	return d.saveTo(d.path)
}

// SaveAs writes the job to path, over what is there, and goes on there. The edits
// that the file before does not have are given up there: they are in the new one.
func (d *Desk) SaveAs(path string) error {
	if path == d.path && d.held != nil {
		return d.held
	}
	l, err := d.lockFor(path)
	if held := (*HeldError)(nil); errors.As(err, &held) {
		return held
	}
	here := path == d.path
	if err := d.saveTo(path); err != nil {
		if l != d.lock {
			l.release()
		}
		return err
	}
	if here && d.journal != nil {
		return nil
	}
	if !here && d.journal != nil {
		_ = d.journal.Discard() // where that fails they are offered again, and harm nothing
	}
	d.leave(l)
	d.path = path
	d.begin(path, d.saved, nil)
	d.show()
	return nil
}

// saveTo writes the job to path. A job that still has the name every new job begins
// with takes that of its first file.
func (d *Desk) saveTo(path string) error {
	if d.path == "" && d.history.Job().Name == newName {
		if err := d.Edit("Name the job", func(j *board.Job) error { j.Name = nameOf(path); return nil }); err != nil {
			return err
		}
	}
	j := d.history.Job()
	here := path == d.path && d.journal != nil
	if here {
		d.risky(d.journal.Saving(j))
	}
	stamp, err := d.store.Save(path, j)
	if err != nil {
		return err
	}
	d.stamp, d.saved = stamp, j
	if here {
		d.risky(d.journal.Reset(j))
	}
	d.show()
	return nil
}

// Close ends the running solve and lets go of the files. Unsaved edits stay in
// the journal.
func (d *Desk) Close() error {
	if d.cancel != nil {
		d.cancel()
	}
	d.run++
	d.leave(nil)
	return nil
}

// Discard gives up the edits since the last save: the job lies on the desk as
// it was saved, and the journal is emptied, so that they are not offered again.
func (d *Desk) Discard() error {
	d.put(d.saved, d.path, nil)
	var err error
	if d.journal != nil {
		err = d.journal.Discard()
	}
	d.show()
	return err
}

// Export writes the hand-over files of this state into dir and returns their
// summary. It refuses a model that is older than the job. It may run on any
// goroutine: a State is a value and its job and model never change.
func (s State) Export(ctx context.Context, dir string, o handover.Options) (*handover.Summary, error) {
	if !s.Current() {
		if s.Err != nil {
			return nil, s.Err
		}
		return nil, ErrStale
	}
	return handover.Export(ctx, s.Model, dir, o)
}
