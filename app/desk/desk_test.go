package desk

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"panewright/app/handover"
	"panewright/board"
)

// queue stands in for the window's goroutine: what is posted runs when the
// test says so.
type queue struct {
	mu    sync.Mutex
	funcs []func()
}

func (q *queue) post(f func()) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.funcs = append(q.funcs, f)
}

func (q *queue) run() {
	for {
		q.mu.Lock()
		if len(q.funcs) == 0 {
			q.mu.Unlock()
			return
		}
		f := q.funcs[0]
		q.funcs = q.funcs[1:]
		q.mu.Unlock()
		f()
	}
}

// instant is a solver that answers at once with an empty model.
func instant(_ context.Context, j *board.Job, progress func(string, float64)) (*board.Model, error) {
	progress("outline", 0.5)
	return &board.Model{Job: j, Results: make([]board.Result, len(j.Readings))}, nil
}

func open(t *testing.T, s solver) (*Desk, *queue) {
	t.Helper()
	q := &queue{}
	d := newDesk(q.post, s)
	t.Cleanup(func() { require.NoError(t, d.Close()) })
	return d, q
}

// die lets go of the desk's lock as the end of its process does, and of nothing else.
func (d *Desk) die() {
	_ = d.lock.file.Close()
	d.lock = nil
}

// settle lets the running solve end and shows what it found.
func settle(d *Desk, q *queue) {
	d.Wait()
	q.run()
}

func rename(name string) func(*board.Job) error {
	return func(j *board.Job) error { j.Name = name; return nil }
}

func TestEditShowsTheJobAtOnceAndTheModelAfterwards(t *testing.T) {
	release := make(chan struct{})
	d, q := open(t, func(ctx context.Context, j *board.Job, p func(string, float64)) (*board.Model, error) {
		select {
		case <-release:
			return instant(ctx, j, p)
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	})
	var seen []State
	d.Watch(func(s State) { seen = append(seen, s) })
	require.NoError(t, d.Edit("Rename", rename("screen")))
	last := seen[len(seen)-1]
	require.Equal(t, "screen", last.Job.Name)
	require.True(t, last.Solving)
	require.False(t, last.Current())
	require.Equal(t, "Rename", last.Undo)
	require.False(t, last.Saved)

	close(release)
	settle(d, q)
	last = seen[len(seen)-1]
	require.False(t, last.Solving)
	require.True(t, last.Current())
	require.NoError(t, last.Err)
}

func TestAnOlderSolveIsDropped(t *testing.T) {
	var mu sync.Mutex
	gates := map[string]chan struct{}{"one": make(chan struct{}), "two": make(chan struct{}), "new job": make(chan struct{})}
	d, q := open(t, func(ctx context.Context, j *board.Job, p func(string, float64)) (*board.Model, error) {
		mu.Lock()
		g := gates[j.Name]
		mu.Unlock()
		<-g // a solver that does not listen to its context
		return instant(ctx, j, p)
	})
	require.NoError(t, d.Edit("Rename", rename("one")))
	require.NoError(t, d.Edit("Rename", rename("two")))
	close(gates["two"])
	close(gates["one"])
	close(gates["new job"])
	settle(d, q)
	require.Equal(t, "two", d.State().Model.Job.Name)
}

func TestAFaultInASolveBecomesAnError(t *testing.T) {
	d, q := open(t, func(context.Context, *board.Job, func(string, float64)) (*board.Model, error) {
		panic("singular")
	})
	require.NoError(t, d.Edit("Rename", rename("screen")))
	settle(d, q)
	require.ErrorContains(t, d.State().Err, "singular")
	require.Equal(t, "screen", d.State().Job.Name)
	_, err := d.State().Export(context.Background(), t.TempDir(), handover.Options{})
	require.Error(t, err)
}

func TestARefusedEditChangesNothing(t *testing.T) {
	d, _ := open(t, instant)
	before := d.State().Job
	require.Error(t, d.Edit("Fail", func(j *board.Job) error { j.Name = "x"; return errors.New("no") }))
	require.Same(t, before, d.State().Job)
	require.Empty(t, d.State().Undo)
}

func TestUndoAndRedo(t *testing.T) {
	d, q := open(t, instant)
	require.NoError(t, d.Edit("Rename", rename("one")))
	require.NoError(t, d.Edit("Rename again", rename("two")))
	d.Undo()
	require.Equal(t, "one", d.State().Job.Name)
	require.Equal(t, "Rename again", d.State().Redo)
	d.Undo()
	d.Undo() // nothing left: nothing happens
	require.Equal(t, "new job", d.State().Job.Name)
	require.True(t, d.State().Saved)
	d.Redo()
	d.Redo()
	d.Redo()
	require.Equal(t, "two", d.State().Job.Name)
	settle(d, q)
	require.True(t, d.State().Current())
}

func TestExportRefusesAStaleModel(t *testing.T) {
	d, q := open(t, instant)
	settle(d, q)
	require.NoError(t, d.Edit("Rename", rename("screen")))
	_, err := d.State().Export(context.Background(), t.TempDir(), handover.Options{})
	require.ErrorIs(t, err, ErrStale)
}

// TestEditsSurviveAStop stops without saving and opens the file again.
func TestEditsSurviveAStop(t *testing.T) {
	path := filepath.Join(t.TempDir(), "screen.pane")
	d, q := open(t, instant)
	require.NoError(t, d.NewAt(path))
	require.Equal(t, "screen", d.State().Job.Name)
	for i := range 20 {
		require.NoError(t, d.Edit(fmt.Sprintf("Station %d", i), func(j *board.Job) error {
			return j.Insert(len(j.Readings), board.Reading{ID: j.NextID(board.Edge), X: j.Typed(fmt.Sprint(i)), Y: j.Typed("12,5")})
		}))
	}
	settle(d, q)

	d.die()
	e, eq := open(t, instant)
	require.NoError(t, e.NewAt(path))
	settle(e, eq)
	steps, _ := e.Recovered()
	require.Equal(t, 20, steps)
	require.Len(t, e.State().Job.Readings, 20)
	require.Equal(t, "12,5", e.State().Job.Readings[7].Y.Text)
	require.False(t, e.State().Saved)
	e.Undo()
	require.Len(t, e.State().Job.Readings, 19)

	require.NoError(t, e.Save())
	require.True(t, e.State().Saved)
	e.die()
	f, fq := open(t, instant)
	require.NoError(t, f.Open(path))
	settle(f, fq)
	steps, _ = f.Recovered()
	require.Zero(t, steps)
	require.Len(t, f.State().Job.Readings, 19)
}

func TestDiscardForgetsTheEdits(t *testing.T) {
	path := filepath.Join(t.TempDir(), "screen.pane")
	d, _ := open(t, instant)
	require.NoError(t, d.NewAt(path))
	require.NoError(t, d.Save())
	require.NoError(t, d.Edit("Rename", rename("changed")))
	require.NoError(t, d.Discard())
	d.die()
	e, _ := open(t, instant)
	require.NoError(t, e.Open(path))
	steps, _ := e.Recovered()
	require.Zero(t, steps)
	require.Equal(t, "screen", e.State().Job.Name)
}

// TestOpeningTheOpenFileKeepsItsJournal opens a file that is open already, edits
// and stops: the edit must be there.
func TestOpeningTheOpenFileKeepsItsJournal(t *testing.T) {
	path := filepath.Join(t.TempDir(), "screen.pane")
	d, _ := open(t, instant)
	require.NoError(t, d.SaveAs(path))
	require.NoError(t, d.Open(path))
	require.NoError(t, d.Open(path))
	require.NoError(t, d.Edit("Rename", rename("changed")))
	d.die()
	e, _ := open(t, instant)
	require.NoError(t, e.Open(path))
	require.Equal(t, "changed", e.State().Job.Name)
}

// TestEditsAfterDiscardBuildOnWhatWasSaved: nothing of the discarded edits may
// come back with later ones.
func TestEditsAfterDiscardBuildOnWhatWasSaved(t *testing.T) {
	path := filepath.Join(t.TempDir(), "screen.pane")
	d, _ := open(t, instant)
	for range 5 {
		require.NoError(t, d.Edit("Add", func(j *board.Job) error {
			return j.Insert(len(j.Readings), board.Reading{ID: j.NextID(board.Edge), X: j.Typed("1"), Y: j.Typed("2")})
		}))
	}
	require.NoError(t, d.SaveAs(path))
	require.NoError(t, d.Edit("Delete", func(j *board.Job) error { return j.Delete(0) }))
	require.NoError(t, d.Discard())
	require.Len(t, d.State().Job.Readings, 5)
	require.NoError(t, d.Edit("Set", func(j *board.Job) error { return j.SetCell(3, "x", "123") }))
	d.die()
	e, _ := open(t, instant)
	require.NoError(t, e.Open(path))
	require.Len(t, e.State().Job.Readings, 5)
	require.Equal(t, "123", e.State().Job.Readings[3].X.Text)
	require.Equal(t, "1", e.State().Job.Readings[0].X.Text)
}

func TestANewJobTakesTheNameOfItsFile(t *testing.T) {
	d, _ := open(t, instant)
	require.NoError(t, d.SaveAs(filepath.Join(t.TempDir(), "rear.pane")))
	require.Equal(t, "rear", d.State().Job.Name)
	require.True(t, d.State().Saved)
}

func TestOpenFailsAndTheDeskStays(t *testing.T) {
	dir := t.TempDir()
	d, _ := open(t, instant)
	before := d.State().Job
	require.Error(t, d.Open(filepath.Join(dir, "missing.pane")))
	bad := filepath.Join(dir, "bad.pane")
	require.NoError(t, os.WriteFile(bad, []byte("{"), 0o600))
	require.Error(t, d.Open(bad))
	require.Same(t, before, d.State().Job)
	require.Error(t, d.Save(), "a job without a file cannot be saved")
	require.Error(t, d.NewAt(bad), "a new job does not begin over a file")
}

func TestSaveAsGoesOnThere(t *testing.T) {
	dir := t.TempDir()
	d, _ := open(t, instant)
	path := filepath.Join(dir, "a.pane")
	require.NoError(t, d.Edit("Rename", rename("screen")))
	require.NoError(t, d.SaveAs(path))
	require.Equal(t, path, d.State().Path)
	require.NoError(t, d.Edit("Rename", rename("rear screen")))
	require.NoError(t, d.Save())
	j, _, err := board.Load(path)
	require.NoError(t, err)
	require.Equal(t, "rear screen", j.Name)
}

// TestGoTo jumps in the history at once, and a stop afterwards keeps where it led.
func TestGoTo(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	d := New(func(f func()) {})
	require.NoError(t, d.NewAt(path))
	for _, n := range []string{"one", "two", "three"} {
		require.NoError(t, d.Edit("Name it "+n, func(j *board.Job) error { j.Name = n; return nil }))
	}
	shown := 0
	d.Watch(func(State) { shown++ })
	shown = 0
	for _, tt := range []struct {
		to   int
		want string
		show int
	}{{1, "one", 1}, {3, "three", 1}, {3, "three", 0}, {-5, "a", 1}, {99, "three", 1}, {2, "two", 1}} {
		d.GoTo(tt.to)
		require.Equal(t, tt.want, d.State().Job.Name, "%d", tt.to)
		require.Equal(t, tt.show, shown, "%d: shown once, if anything changed", tt.to)
		shown = 0
	}
	names, done := d.Steps()
	require.Equal(t, []string{"Name it one", "Name it two", "Name it three"}, names)
	require.Equal(t, 2, done)
	require.NoError(t, d.Close())

	d = New(func(f func()) {})
	require.NoError(t, d.NewAt(path))
	require.Equal(t, "two", d.State().Job.Name)
	require.Equal(t, "Back to: Name it two", d.State().Undo)
	require.NoError(t, d.Close())
}
