package ui

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/desk"
	"panewright/board"
)

// other is a second window's desk on the job at path.
func other(t *testing.T, path string) *desk.Desk {
	t.Helper()
	d := desk.New(func(func()) {})
	t.Cleanup(func() { require.NoError(t, d.Close()) })
	require.NoError(t, d.Open(path))
	return d
}

func TestAJobOpenElsewhereIsOnlyLookedAt(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	require.NoError(t, board.Save(path, board.NewJob("a")))
	theirs := other(t, path)
	require.NoError(t, theirs.Edit("Rename", func(j *board.Job) error { j.Name = "theirs"; return nil }))

	w, q := open(t)
	require.NoError(t, w.openPath(path))
	require.NotNil(t, w.top())
	assert.Equal(t, "held", w.top().name)
	w.keys("<Escape>")
	assert.Equal(t, "theirs", w.state.Job.Name)
	assert.Equal(t, "only to look at", w.status.saved.Text)
	w.keys("1<Return>")
	assert.Empty(t, w.state.Job.Readings, "nothing can be typed")
	assert.Contains(t, w.status.text.Text, "The job a.pane is open in another window")

	w.keys("<Escape>")
	w.save()
	require.NotNil(t, w.top())
	assert.Equal(t, "cannot save", w.top().name)
	w.keys("<Return>") // save elsewhere
	q.run()
	require.NotNil(t, w.top())
	assert.Equal(t, "save as", w.top().name)
	assert.Equal(t, "a-2.pane", filepath.Base(w.top().entry.Text))
	w.keys("<Return>")
	assert.Nil(t, w.top())
	assert.Nil(t, w.state.Held)
	w.keys("1<Return>")
	assert.Len(t, w.state.Job.Readings, 1)
}

func TestAFileChangedOutsideIsAskedAbout(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	w, q := open(t)
	require.NoError(t, w.openPath(path))
	assert.Equal(t, "not saved yet", w.status.saved.Text)
	w.keys("1<Return>2<Return>")
	w.save()
	assert.Equal(t, "saved", w.status.saved.Text)
	w.keys("3<Return>")
	require.NoError(t, board.Save(path, board.NewJob("theirs")))

	w.save()
	require.NotNil(t, w.top())
	assert.Equal(t, "changed outside", w.top().name)
	w.keys("<Escape>")
	assert.Equal(t, "not saved", w.status.saved.Text)
	w.save()
	w.top().give(1) // write over it
	assert.Nil(t, w.top())
	assert.True(t, w.state.Saved)
	j, _, err := board.Load(path + ".bak")
	require.NoError(t, err)
	assert.Equal(t, "theirs", j.Name)

	w.keys("4<Return>")
	require.NoError(t, board.Save(path, board.NewJob("theirs again")))
	w.save()
	w.top().give(0) // save elsewhere
	q.run()
	w.top().entry.SetText(filepath.Join(filepath.Dir(path), "b.pane"))
	w.keys("<Return>")
	assert.Nil(t, w.top())
	assert.True(t, w.state.Saved)
	j, _, err = board.Load(path)
	require.NoError(t, err)
	assert.Equal(t, "theirs again", j.Name)
}

func TestASaveThatFailsOffersAWayOut(t *testing.T) {
	dir := t.TempDir()
	gone := filepath.Join(dir, "network")
	require.NoError(t, os.Mkdir(gone, 0o755))
	path := filepath.Join(gone, "a.pane")
	w, q := open(t)
	require.NoError(t, w.openPath(path))
	w.keys("1<Return>")
	require.NoError(t, os.RemoveAll(gone))
	w.keys("2<Return>")
	q.run()
	require.NotNil(t, w.top(), "said as soon as an edit cannot be kept")
	assert.Equal(t, "at risk", w.top().name)
	assert.Equal(t, "edits not kept", w.status.saved.Text)
	assert.Contains(t, w.state.Risk, "cannot be reached")
	w.keys("<Escape>3<Return>")
	q.run()
	assert.Nil(t, w.top(), "said once")

	w.save()
	require.NotNil(t, w.top())
	assert.Equal(t, "cannot save", w.top().name)
	require.Len(t, w.state.Job.Readings, 1)
	w.top().give(0)
	q.run()
	elsewhere := filepath.Join(dir, "a.pane")
	w.top().entry.SetText(elsewhere)
	w.keys("<Return>")
	assert.Nil(t, w.top())
	assert.True(t, w.state.Saved)
	assert.Empty(t, w.state.Risk)
	j, _, err := board.Load(elsewhere)
	require.NoError(t, err)
	require.Len(t, j.Readings, 1)
	assert.Equal(t, "3", j.Readings[0].Z.Text)
}

// TestTheLastJobHasNoFileYet: the program was stopped before the first save.
func TestTheLastJobHasNoFileYet(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	w, _ := open(t)
	require.NoError(t, w.openPath(path))
	w.keys("1<Return>")
	require.NoError(t, w.desk.Close())
	w, _ = open(t)
	w.app.Preferences().SetString(prefLast, path)
	w.begin(Options{})
	require.NotNil(t, w.top())
	assert.Equal(t, "recovered", w.top().name)
	assert.Len(t, w.state.Job.Readings, 1)
}

// TestAJobThatWasNeverSavedComesBack: no file, and yet nothing is lost.
func TestAJobThatWasNeverSavedComesBack(t *testing.T) {
	dir := t.TempDir()
	w, _ := open(t)
	w.desk.KeepDrafts(dir)
	w.keys("1<Return>2<Return>3<Return>")
	require.NoError(t, w.desk.Close()) // with edits: as a stop leaves it
	w, q := open(t)
	w.desk.KeepDrafts(dir)
	w.begin(Options{})
	require.NotNil(t, w.top())
	assert.Equal(t, "recovered", w.top().name)
	w.keys("<Return>")
	assert.Len(t, w.state.Job.Readings, 1)
	assert.Empty(t, w.app.Preferences().String(prefLast))
	w.quit()
	require.NotNil(t, w.top())
	assert.Equal(t, "unsaved", w.top().name)
	w.top().give(1) // don't save
	q.run()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 3, "until the window is gone")
	require.NoError(t, w.desk.Close())
	entries, err = os.ReadDir(dir)
	require.NoError(t, err)
	assert.Empty(t, entries)
}
