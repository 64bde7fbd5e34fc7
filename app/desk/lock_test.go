package desk

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/board"
)

// add types a station's row.
func add(x string) func(*board.Job) error {
	return func(j *board.Job) error {
		return j.Insert(len(j.Readings), board.Reading{ID: j.NextID(board.Edge), X: j.Typed(x), Y: j.Typed("12,5")})
	}
}

func TestASecondWindowOnlyLooks(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	one, _ := open(t, instant)
	require.NoError(t, one.SaveAs(path))
	require.NoError(t, one.Edit("Add", add("1")))

	two, _ := open(t, instant)
	require.NoError(t, two.Open(path))
	s := two.State()
	require.NotNil(t, s.Held)
	host, err := os.Hostname()
	require.NoError(t, err)
	assert.Contains(t, s.Held.Who, host)
	assert.Contains(t, s.Held.Error(), "the job a.pane is open in another window (")
	assert.Len(t, s.Job.Readings, 1, "it sees what is not saved yet")
	assert.Empty(t, s.Notes)
	assert.True(t, s.Saved, "nothing to ask about")
	assert.Empty(t, s.Undo)
	steps, _ := two.Recovered()
	assert.Zero(t, steps)

	var held *HeldError
	require.ErrorAs(t, two.Edit("Add", add("2")), &held)
	require.ErrorAs(t, two.Save(), &held)
	require.ErrorAs(t, two.SaveAs(path), &held)
	assert.Len(t, two.State().Job.Readings, 1)

	// the first goes on undisturbed
	require.NoError(t, one.Edit("Add", add("3")))
	require.NoError(t, one.Save())
	require.NoError(t, one.Edit("Add", add("4")))
	assert.Empty(t, one.State().Risk)

	// the second may work on under another name, and that is its own
	other := filepath.Join(filepath.Dir(path), "b.pane")
	require.NoError(t, two.SaveAs(other))
	assert.Nil(t, two.State().Held)
	require.NoError(t, two.Edit("Add", add("5")))
	require.ErrorAs(t, one.SaveAs(other), &held, "nobody saves over a job that is open")
	assert.Equal(t, path, one.State().Path)
	require.NoError(t, one.Edit("Add", add("6")))
	require.NoError(t, two.Close())

	one.die()
	three, _ := open(t, instant)
	require.NoError(t, three.Open(path))
	assert.Nil(t, three.State().Held, "a lock dies with its process")
	assert.Len(t, three.State().Job.Readings, 4)
	require.NoError(t, three.Open(other))
	assert.Len(t, three.State().Job.Readings, 2)
}

func TestTwoWindowsOnANewJob(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	one, _ := open(t, instant)
	require.NoError(t, one.NewAt(path))
	assert.True(t, one.State().New)
	two, _ := open(t, instant)
	require.NoError(t, two.NewAt(path))
	require.NotNil(t, two.State().Held)
	require.NoError(t, one.Save())
	assert.False(t, one.State().New)
}

func TestALockLeavesNothingBehind(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.pane")
	d, _ := open(t, instant)
	require.NoError(t, d.SaveAs(path))
	require.FileExists(t, path+".lock")
	d.OpenJob(board.NewJob("another"))
	require.NoFileExists(t, path+".lock")
	require.Error(t, d.Open(filepath.Join(dir, "missing.pane")))
	require.NoError(t, d.Open(path))
	require.Error(t, d.Open(filepath.Join(dir, "missing.pane")))
	require.FileExists(t, path+".lock", "a failed open leaves the desk as it was")
	require.NoError(t, d.Close())
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, entries, 1, "the job alone")
}

// A job reached by two names is one job.
func TestALinkIsTheSameJob(t *testing.T) {
	dir := t.TempDir()
	path, link := filepath.Join(dir, "a.pane"), filepath.Join(dir, "link.pane")
	one, _ := open(t, instant)
	require.NoError(t, one.SaveAs(path))
	require.NoError(t, os.Symlink(path, link))
	two, _ := open(t, instant)
	require.NoError(t, two.Open(link))
	require.NotNil(t, two.State().Held)
	require.NoError(t, one.Edit("Add", add("1")))
	one.die()
	require.NoError(t, two.Open(link))
	assert.Nil(t, two.State().Held)
	steps, _ := two.Recovered()
	assert.Equal(t, 1, steps, "its journal is found by either name")
}

func TestWhoHasTheJobIsPlainText(t *testing.T) {
	name := filepath.Join(t.TempDir(), "a.pane.lock")
	require.NoError(t, os.WriteFile(name, []byte("\x00Ann\x1b[31m\xff on bench\nmore"), 0o600))
	assert.Equal(t, "Ann[31m on bench", heldBy(name))
	assert.Equal(t, "desk: the job a.pane is open in another window: it can be looked at here, and saved under another name to work on it", (&HeldError{Path: "x/a.pane"}).Error())
	assert.Empty(t, heldBy(name+"missing"))
}

func TestSaveAsksWhereTheFileWasChangedOutside(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	d, _ := open(t, instant)
	require.NoError(t, d.SaveAs(path))
	require.NoError(t, d.Edit("Add", add("1")))
	require.NoError(t, board.Save(path, board.NewJob("theirs")))
	require.ErrorIs(t, d.Save(), board.ErrChanged)
	assert.False(t, d.State().Saved)
	j, _, err := board.Load(path)
	require.NoError(t, err)
	assert.Equal(t, "theirs", j.Name, "what somebody else wrote stays until that is agreed to")

	require.NoError(t, d.SaveAs(path), "agreed to")
	assert.True(t, d.State().Saved)
	j, _, err = board.Load(path + ".bak")
	require.NoError(t, err)
	assert.Equal(t, "theirs", j.Name, "and it is kept")
	require.NoError(t, d.Edit("Add", add("2")))
	require.NoError(t, d.Save(), "nobody else was there since")

	require.NoError(t, os.Remove(path))
	require.NoError(t, d.Edit("Add", add("3")))
	require.NoError(t, d.Save(), "a file that was taken away is written anew")

	e, _ := open(t, instant)
	fresh := filepath.Join(t.TempDir(), "new.pane")
	require.NoError(t, e.NewAt(fresh))
	require.NoError(t, board.Save(fresh, board.NewJob("theirs")))
	require.ErrorIs(t, e.Save(), board.ErrChanged, "somebody else began a job of this name")
}

func TestSaveAsLeavesTheFileBeforeAsItWasSaved(t *testing.T) {
	dir := t.TempDir()
	a, b := filepath.Join(dir, "a.pane"), filepath.Join(dir, "b.pane")
	d, _ := open(t, instant)
	require.NoError(t, d.SaveAs(a))
	require.NoError(t, d.Edit("Add", add("1")))
	require.NoError(t, d.SaveAs(b))
	require.NoFileExists(t, board.JournalPath(a))
	e, _ := open(t, instant)
	require.NoError(t, e.Open(a))
	assert.Empty(t, e.State().Job.Readings)
}

// FuzzHeldBy: what stands in a lock's file becomes one line that can be shown.
func FuzzHeldBy(f *testing.F) {
	f.Add([]byte("\x00Ann on bench, since 10:04\n"))
	f.Add([]byte{0, 0xff, 0x1b, '\r'})
	name := filepath.Join(f.TempDir(), "a.pane.lock")
	f.Fuzz(func(t *testing.T, data []byte) {
		require.NoError(t, os.WriteFile(name, data, 0o600))
		who := heldBy(name)
		if !utf8.ValidString(who) || strings.ContainsFunc(who, unicode.IsControl) || len(who) > 300 {
			t.Fatalf("%q", who)
		}
	})
}
