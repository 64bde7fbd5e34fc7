package board

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSaveKeepsTheFileBefore(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.pane")
	for _, name := range []string{"one", "two", "three"} {
		require.NoError(t, Save(path, NewJob(name)))
	}
	j, notes, err := Load(path)
	require.NoError(t, err)
	require.Empty(t, notes)
	assert.Equal(t, "three", j.Name)
	j, _, err = Load(path + ".bak")
	require.NoError(t, err)
	assert.Equal(t, "two", j.Name)
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, entries, 2, "nothing else is left lying")
}

func TestSaveThatFailsChangesNothing(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.pane")
	require.NoError(t, Save(path, NewJob("one")))
	bad := NewJob("two")
	bad.Cut = 0
	assert.Error(t, Save(path, bad))
	assert.Error(t, Save(filepath.Join(dir, "missing", "a.pane"), NewJob("x")))
	assert.ErrorContains(t, Save(dir, NewJob("x")), "plain file")
	require.NoError(t, os.Mkdir(path+".bak", 0o755))
	assert.Error(t, Save(path, NewJob("two")), "where no copy can be kept the file stays")
	j, _, err := Load(path)
	require.NoError(t, err)
	assert.Equal(t, "one", j.Name)
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, entries, 2)
}

func TestSaveThroughALinkKeepsTheLink(t *testing.T) {
	dir := t.TempDir()
	target, link := filepath.Join(dir, "target.pane"), filepath.Join(dir, "link.pane")
	require.NoError(t, Save(target, NewJob("one")))
	require.NoError(t, os.Chmod(target, 0o600))
	require.NoError(t, os.Symlink(target, link))
	require.NoError(t, Save(link, NewJob("two")))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink)
	j, _, err := Load(target)
	require.NoError(t, err)
	assert.Equal(t, "two", j.Name)
	info, err = os.Stat(target)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm(), "the file's rights stay")
}

func TestLoadNamesTheCopyBefore(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	_, _, err := Load(path)
	assert.ErrorIs(t, err, os.ErrNotExist)
	require.NoError(t, Save(path, NewJob("one")))
	require.NoError(t, Save(path, NewJob("two")))
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, data[:len(data)/2], 0o600))
	_, _, err = Load(path)
	assert.ErrorIs(t, err, ErrNotJob)
	assert.ErrorContains(t, err, "not whole")
	assert.ErrorContains(t, err, "a.pane.bak")
}
