package desk

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/board"
)

// drafting is a desk that keeps drafts in a folder.
func drafting(t *testing.T, dir string) *Desk {
	t.Helper()
	d, _ := open(t, instant)
	d.KeepDrafts(dir)
	return d
}

// files are the names in a folder; none where it is not there.
func files(dir string) (names []string) {
	entries, _ := os.ReadDir(dir)
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

func TestAJobWithoutAFileOutlivesAStop(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "drafts")
	d := drafting(t, dir)
	assert.False(t, d.OpenDraft())
	assert.Empty(t, files(dir), "nothing is kept of an empty job")
	require.NoError(t, d.Edit("Add", add("1")))
	require.NoError(t, d.Edit("Add", add("2")))
	d.Undo()
	assert.Empty(t, d.State().Path)
	assert.Empty(t, d.State().Risk)

	other := drafting(t, dir)
	assert.False(t, other.OpenDraft(), "another window's draft is left alone")
	require.NoError(t, other.Edit("Add", add("9")))
	other.die()
	d.die()

	e := drafting(t, dir)
	require.True(t, e.OpenDraft())
	steps, notes := e.Recovered()
	assert.Equal(t, 3, steps)
	assert.Empty(t, notes)
	assert.Empty(t, e.State().Path)
	assert.False(t, e.State().Saved)
	assert.Equal(t, "1", texts(e.State().Job))
	e.Undo()
	assert.Equal(t, "1 2", texts(e.State().Job))
	require.NoError(t, e.Edit("Add", add("3")))

	path := filepath.Join(t.TempDir(), "a.pane")
	require.NoError(t, e.SaveAs(path))
	assert.Equal(t, []string{"draft-2.pane", "draft-2.pane.journal", "draft-2.pane.lock"}, files(dir), "the other draft alone")
	require.True(t, reopened(t, copyOf(t, path), "1 2 3"))
	require.True(t, e.OpenDraft())
	assert.Equal(t, "9", texts(e.State().Job))
	require.NoError(t, e.Discard())
	e.OpenJob(board.NewJob("another"))
	assert.Empty(t, files(dir), "given up")
	assert.Equal(t, []string{"a.pane"}, files(filepath.Dir(path)))
}

func TestADraftThatIsClosedUnsavedIsOfferedAgain(t *testing.T) {
	dir := t.TempDir()
	d := drafting(t, dir)
	require.NoError(t, d.Edit("Add", add("1")))
	require.NoError(t, d.Close())
	e := drafting(t, dir)
	require.True(t, e.OpenDraft())
	assert.Equal(t, "1", texts(e.State().Job))
	require.NoError(t, e.Discard())
	require.NoError(t, e.Close())
	assert.Empty(t, files(dir))
}

func TestDraftsThatCannotBeKeptAreSaid(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	d := drafting(t, filepath.Join(file, "drafts"))
	require.NoError(t, d.Edit("Add", add("1")))
	assert.Contains(t, d.State().Risk, "Edits are not kept")
	d.KeepDrafts(t.TempDir())
	require.NoError(t, d.Edit("Add", add("2")))
	assert.Empty(t, d.State().Risk)
	e := drafting(t, d.drafts)
	d.die()
	require.True(t, e.OpenDraft())
	assert.Equal(t, "1 2", texts(e.State().Job))
}

func TestADamagedDraftIsLeft(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "draft-1.pane"), []byte("{"), 0o600))
	d := drafting(t, dir)
	assert.False(t, d.OpenDraft())
	require.NoError(t, d.Edit("Add", add("1")))
	require.FileExists(t, filepath.Join(dir, "draft-2.pane"))
	require.NoError(t, d.Close())
	require.FileExists(t, filepath.Join(dir, "draft-1.pane"))
}
