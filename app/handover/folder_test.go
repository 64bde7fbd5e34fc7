package handover

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/board"
	"panewright/testdata/faults"
)

// invented is a pack of n files of one state of a job, with its summary and its zip.
func invented(t testing.TB, state string, n int) []File {
	t.Helper()
	var files []File
	names := []string{}
	for i := range n {
		f := File{fmt.Sprintf("part-%d.txt", i), []byte(strings.Repeat(state+"\n", 2000))}
		files, names = append(files, f), append(names, f.Name)
	}
	names = append(names, summaryName, zipName)
	files = append(files, File{summaryName, fmt.Appendf(nil, `{"job": "a", "state": %q, "files": ["%s"]}`, state, strings.Join(names, `", "`))})
	whole, err := zipped(files, "2025-03-01")
	require.NoError(t, err)
	return append(files, whole)
}

// states tells of which state every file in a folder is; it fails where one is
// neither whole of the one nor of the other.
func states(t testing.TB, dir string, packs map[string][]File) map[string]bool {
	t.Helper()
	seen := map[string]bool{}
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), board.TempPrefix) || e.Name() == unfinishedName {
			continue
		}
		data, err := os.ReadFile(filepath.Join(dir, e.Name()))
		require.NoError(t, err)
		of := ""
		for state, files := range packs {
			for _, f := range files {
				if f.Name == e.Name() && string(f.Data) == string(data) {
					of = state
				}
			}
		}
		require.NotEmpty(t, of, "%s is half a file, or none of ours", e.Name())
		seen[of] = true
	}
	return seen
}

// TestExportFails fails every step that an export asks of the disk: every file is of
// before or new, a folder with some of each says so, and the next export puts it
// right.
func TestExportFails(t *testing.T) {
	packs := twoPacks(t)
	disk := &faults.Disk{}
	s := board.Store{Disk: disk}
	dir := t.TempDir()
	export := func(pack string) error {
		old, err := occupied(dir, "a", false)
		if err != nil {
			return err
		}
		return put(context.Background(), s, dir, "a", packs[pack], old)
	}
	require.NoError(t, export("old"))
	before := disk.Ops()
	require.NoError(t, export("new"))
	steps := disk.Ops() - before
	for at := 1; at <= steps; at++ {
		disk.Fail = nil
		require.NoError(t, export("old"), "step %d", at)
		require.Equal(t, map[string]bool{"old": true}, states(t, dir, packs))
		from := disk.Ops()
		disk.Fail = func(op faults.Op) error {
			if op.N >= from+at {
				return syscall.ENOSPC
			}
			return nil
		}
		err := export("new")
		seen := states(t, dir, packs)
		mixed := len(seen) > 1
		_, noted := os.Stat(filepath.Join(dir, unfinishedName))
		if mixed {
			require.NoError(t, noted, "step %d: some of each, and nothing says so", at)
			require.Error(t, err)
		}
		if err != nil {
			require.ErrorContains(t, err, "the disk is full: make room on it", "step %d", at)
		}
	}
	disk.Fail = nil
	require.NoError(t, export("new"))
	require.Equal(t, map[string]bool{"new": true}, states(t, dir, packs))
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, len(packs["new"]), "nothing is left lying")
	t.Logf("%d steps", steps)
}

func TestAnotherJobsUnfinishedExportIsNotOurs(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, unfinishedName), unfinished("b", []string{"outline.dxf"}), 0o600))
	_, err := occupied(dir, "a", false)
	require.ErrorIs(t, err, ErrOccupied)
	names, err := occupied(dir, "b", false)
	require.NoError(t, err)
	assert.Equal(t, []string{unfinishedName, "outline.dxf"}, names)
}

// TestNamesStayInTheFolder: a summary that somebody wrote by hand cannot have files
// elsewhere taken away, and no name in the zip leads out of it.
func TestNamesStayInTheFolder(t *testing.T) {
	dir := t.TempDir()
	out := filepath.Join(dir, "in")
	require.NoError(t, os.Mkdir(out, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "letter.txt"), nil, 0o600))
	bad := []string{"../letter.txt", "..", ".", "", "a/b", "shop/..", "shop/../letter.txt", "shop/", `..\letter.txt`, "c:x", "/etc/x"}
	require.NoError(t, os.WriteFile(filepath.Join(out, summaryName), fmt.Appendf(nil, `{"job": "a", "files": ["%s", "summary.json"]}`,
		strings.ReplaceAll(strings.Join(bad, `", "`), `\`, `\\`)), 0o600))
	names, err := occupied(out, "a", false)
	require.NoError(t, err)
	assert.Equal(t, []string{summaryName}, names)
	for _, name := range bad {
		_, err := zipped([]File{{Name: name}}, "")
		require.ErrorContains(t, err, "no name of a file", name)
	}
	require.FileExists(t, filepath.Join(dir, "letter.txt"))
}

func TestExportWhereTheFolderIsGone(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	err := put(context.Background(), board.Store{}, filepath.Join(file, "x"), "a", invented(t, "new", 1), nil)
	var trouble *board.DiskError
	require.True(t, errors.As(err, &trouble))
}

// FuzzLeft: whatever stands in a folder's summary and note, only plain names in that
// folder come out.
func FuzzLeft(f *testing.F) {
	f.Add(`{"job": "a", "files": ["outline.dxf", "../x"]}`, string(unfinished("a", []string{"a.stl", "..", "b/c"})))
	f.Add(`{"job": "b"}`, "\njob: a\n\n\n")
	dir := f.TempDir()
	f.Fuzz(func(t *testing.T, summary, note string) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, summaryName), []byte(summary), 0o600))
		require.NoError(t, os.WriteFile(filepath.Join(dir, unfinishedName), []byte(note), 0o600))
		for _, n := range left(dir, "a") {
			if filepath.Dir(filepath.Join(dir, n)) != dir || n != filepath.Base(n) {
				t.Fatalf("%q leads out of the folder", n)
			}
		}
	})
}
