// Package desk is the open job: what is on the desk while a person works. It
// owns the history, the file and its journal, and the solve that runs beside
// the typing. State flows one way: an edit publishes a new job, a solve follows
// in the background, and every watcher is shown the new State on the thread of
// the window. desk knows no window and no Fyne.
package desk

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"runtime/debug"
	"strings"
	"sync"

	"panewright/board"
)

// State is everything a view shows. It is a value: a view keeps the one it was
// shown last and asks for nothing else.
type State struct {
	Job   *board.Job
	Path  string     // where the job is saved; empty: nowhere yet
	Saved bool       // nothing has changed since it was saved or opened
	New   bool       // nothing has been written at Path yet
	Held  *HeldError // another window has the job: it can only be looked at; nil: it is ours
	Risk  string     // why edits are not kept beside the file now, and what to do; empty: they are, or there is no file yet

	Model   *board.Model // nil before the first solve; older than Job where Model.Job != Job
	Solving bool
	Stage   string  // of the running solve
	Done    float64 // of the running solve, 0..1
	Err     error   // why the last solve gave no model

	Undo, Redo string // names of the edits that undo and redo would take back; empty: none
	Notes      []string
	Findings   []board.Finding // what is wrong or missing, of the job and of the model where it is current
}

// Current says whether the model belongs to the job that is shown.
func (s State) Current() bool { return s.Model != nil && s.Model.Job == s.Job }

// ErrStale is returned where something needs the model of the job as it now
// stands and the solve has not caught up yet, or has failed.
var ErrStale = errors.New("desk: the shape has not caught up with the readings yet")

// solver turns a job into a model: board.Solve, or a stand-in in tests.
type solver func(ctx context.Context, j *board.Job, progress func(stage string, done float64)) (*board.Model, error)

// Desk is the open job. All methods are called from one goroutine (the
// window's); what a background solve has to say arrives there through post.
type Desk struct {
	post  func(func())
	solve solver
	watch []func(State)

	store   board.Store
	history *board.History
	saved   *board.Job // the job as it stands in the file
	path    string
	stamp   board.Stamp // of the file at path, as it was read or written last; zero: there is none yet
	lock    *lock       // nil: another window has it, there is no file, or the folder has no locks
	held    *HeldError
	drafts  string // the folder of jobs without a file; empty: they are not kept
	draft   string // where the job is kept while it has no file
	journal *board.Journal
	risk    string
	notes   []string
	steps   int // replayed at the last Open

	model   *board.Model
	err     error
	solving bool
	stage   string
	done    float64
	run     int
	cancel  context.CancelFunc
	running sync.WaitGroup
}

// newName is what a job is called before it has a name of its own.
const newName = "new job"

// New is a desk with an empty job. post runs a function on the window's
// goroutine, in order; a test may hand in a queue of its own.
func New(post func(func())) *Desk { return newDesk(post, board.Solve) }

func newDesk(post func(func()), s solver) *Desk {
	d := &Desk{post: post, solve: s}
	d.put(board.NewJob(newName), "", nil)
	return d
}

// Watch calls show with every new State, and once at once.
func (d *Desk) Watch(show func(State)) {
	d.watch = append(d.watch, show)
	show(d.State())
}

// State is how things stand now.
func (d *Desk) State() State {
	j := d.history.Job()
	s := State{
		Job: j, Path: d.path, Saved: j == d.saved, New: d.path != "" && d.stamp == board.Stamp{}, Held: d.held, Risk: d.risk,
		Model: d.model, Solving: d.solving, Stage: d.stage, Done: d.done, Err: d.err,
		Undo: d.history.UndoName(), Redo: d.history.RedoName(),
		Notes: d.notes, Findings: board.Check(j),
	}
	if s.Current() {
		s.Findings = append(s.Findings, d.model.Findings...)
	}
	return s
}

// Edit changes the job: f works on a copy, which is published where f and the
// job's own checks agree to it. The journal is written before anything is
// shown; a solve follows in the background.
func (d *Desk) Edit(name string, f func(*board.Job) error) error {
	if d.held != nil {
		return d.held
	}
	before := d.history.Job()
	after, err := d.history.Edit(name, f)
	if err != nil {
		return err
	}
	if after != before {
		d.changed(name, after)
	}
	return nil
}

// Undo takes the last edit back; without one it does nothing.
func (d *Desk) Undo() {
	name := d.history.UndoName()
	if after, ok := d.history.Undo(); ok {
		d.changed("Undo: "+name, after)
	}
}

// Redo brings back the last edit taken back; without one it does nothing.
func (d *Desk) Redo() {
	name := d.history.RedoName()
	if after, ok := d.history.Redo(); ok {
		d.changed("Redo: "+name, after)
	}
}

// Steps are the names of all edits, oldest first; the first done of them are those
// that can be undone, the rest those that were.
func (d *Desk) Steps() (names []string, done int) { return d.history.Names() }

// GoTo undoes or redoes as many edits at once as it takes until just the first done
// of them hold; it stops at either end.
func (d *Desk) GoTo(done int) {
	names, now := d.history.Names()
	if done = max(0, min(done, len(names))); done == now {
		return
	}
	for now > done {
		d.history.Undo()
		now--
	}
	for now < done {
		d.history.Redo()
		now++
	}
	name := "Back to the beginning"
	if done > 0 {
		name = "Back to: " + names[done-1]
	}
	d.changed(name, d.history.Job())
}

// changed records an edit in the journal, shows it and starts its solve.
func (d *Desk) changed(name string, after *board.Job) {
	d.keep(name, after)
	d.start()
	d.show()
}

// keep writes the job as it stands into the journal. Where that fails it is said,
// and the work goes on: the next edit tries again, with everything since the last
// one written.
func (d *Desk) keep(name string, j *board.Job) {
	if d.held != nil || d.path == "" && d.drafts == "" {
		return
	}
	var err error
	if d.path == "" && d.draft == "" {
		err = d.beginDraft()
	}
	if d.journal == nil && err == nil {
		d.journal, err = d.store.OpenJournal(d.file(), d.saved)
	}
	if err == nil {
		err = d.journal.Append(name, j)
	}
	d.risky(err)
}

// file is where the job is kept: its own file, or its draft's.
func (d *Desk) file() string {
	if d.path != "" {
		return d.path
	}
	return d.draft
}

// risky says that edits are not kept beside the file, or that they are again.
func (d *Desk) risky(err error) {
	d.risk = ""
	if err != nil {
		d.risk = fmt.Sprintf("Edits are not kept beside the job, in %s. What is typed stays in this window: save the job, or save it elsewhere.", words(err))
	}
}

// words is an error without the names of the packages that it came through.
func words(err error) string {
	s := err.Error()
	for _, p := range []string{"desk: ", "board: "} {
		if i := strings.LastIndex(s, p); i >= 0 {
			s = s[i+len(p):]
		}
	}
	return s
}

// show hands the state to every watcher.
func (d *Desk) show() {
	s := d.State()
	for _, w := range d.watch {
		w(s)
	}
}

// start cancels the running solve and begins one for the job as it stands.
func (d *Desk) start() {
	if d.cancel != nil {
		d.cancel()
	}
	ctx, cancel := context.WithCancel(context.Background())
	d.cancel = cancel
	d.run++
	d.solving, d.stage, d.done = true, "", 0
	run, job := d.run, d.history.Job()
	d.running.Add(1)
	go func() {
		defer d.running.Done()
		defer cancel()
		m, err := guarded(ctx, d.solve, job, func(stage string, done float64) {
			d.post(func() { d.progress(run, stage, done) })
		})
		d.post(func() { d.finished(run, m, err) })
	}()
}

// guarded runs a solve and turns a panic in it into an error, so that a fault
// in the mathematics never costs a reading.
func guarded(ctx context.Context, s solver, j *board.Job, progress func(string, float64)) (m *board.Model, err error) {
	defer func() {
		if p := recover(); p != nil {
			m, err = nil, fmt.Errorf("desk: the solve failed: %v\n%s", p, debug.Stack())
		}
	}()
	return s(ctx, j, progress)
}

func (d *Desk) progress(run int, stage string, done float64) {
	if run != d.run || !d.solving {
		return
	}
	d.stage, d.done = stage, done
	d.show()
}

func (d *Desk) finished(run int, m *board.Model, err error) {
	if run != d.run {
		return
	}
	d.solving, d.stage, d.done = false, "", 1
	d.err = err
	if err == nil {
		d.model = m
	}
	d.show()
}

// Wait blocks until no solve is running; what it posted may still be queued.
func (d *Desk) Wait() { d.running.Wait() }

// Consequence is what a centre plane at offset (mm, x at the mean edge point),
// skew and roll (degrees) would do to the mirrored half; false before the first
// solve. Quick enough to follow a drag.
func (d *Desk) Consequence(offset, skew, roll float64) (board.Consequence, bool) {
	if d.model == nil {
		return board.Consequence{}, false
	}
	return d.model.Consequence(offset, skew, roll)
}

// put lays a job on the desk and solves it.
func (d *Desk) put(j *board.Job, path string, steps []board.Step) {
	d.history = board.NewHistory(j, steps...)
	d.path, d.saved, d.model, d.err = path, j, nil, nil
	d.start()
}

// nameOf is the job's name that its file's name suggests.
func nameOf(path string) string {
	return strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
}
