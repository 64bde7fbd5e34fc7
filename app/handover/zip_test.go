package handover_test

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/handover"
	"panewright/board"
)

// unpacked reads a packed pack back by the standard library.
func unpacked(t testing.TB, data []byte) (files map[string][]byte, names []string, days []time.Time) {
	t.Helper()
	r, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	files = map[string][]byte{}
	for _, f := range r.File {
		part, err := f.Open()
		require.NoError(t, err)
		content, err := io.ReadAll(part)
		require.NoError(t, err, "the sum of %s", f.Name)
		require.NoError(t, part.Close())
		files[f.Name] = content
		names, days = append(names, f.Name), append(days, f.Modified.UTC())
	}
	return files, names, days
}

// TestZipHoldsThePack: every file, byte by byte, in order, under the job's date,
// and a list with the sum of each.
func TestZipHoldsThePack(t *testing.T) {
	eachDemo(t, func(t *testing.T, m *board.Model, pack map[string][]byte) {
		files, names, days := unpacked(t, pack["handover.zip"])
		assert.True(t, slices.IsSorted(names))
		assert.Len(t, files, len(pack), "the list in place of the zip itself")
		day, err := time.Parse(time.DateOnly, m.Job.Date)
		require.NoError(t, err)
		for _, d := range days {
			assert.Equal(t, day, d)
		}
		lines := strings.Split(strings.TrimSuffix(string(files["manifest.txt"]), "\n"), "\n")
		assert.Len(t, lines, len(pack)-1)
		for _, line := range lines {
			sum, name, ok := strings.Cut(line, "  ")
			require.True(t, ok, line)
			want := sha256.Sum256(pack[name])
			assert.Equal(t, hex.EncodeToString(want[:]), sum, name)
			assert.True(t, bytes.Equal(pack[name], files[name]), name)
		}
	})
}

// TestZipElsewhere: a program that is not ours unpacks it, and another checks the
// sums.
func TestZipElsewhere(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "handover.zip")
	require.NoError(t, os.WriteFile(path, built()[2]["handover.zip"], 0o600))
	for _, tool := range []string{"unzip", "sha256sum"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("skipped: needs %s (sh assets/setup.sh tests)", tool)
		}
	}
	out, err := exec.Command("unzip", "-t", path).CombinedOutput()
	require.NoError(t, err, string(out))
	require.Contains(t, string(out), "No errors detected")
	out, err = exec.Command("unzip", "-q", path, "-d", dir).CombinedOutput()
	require.NoError(t, err, string(out))
	check := exec.Command("sha256sum", "--check", "--strict", "manifest.txt")
	check.Dir = dir
	out, err = check.CombinedOutput()
	require.NoError(t, err, string(out))
}

// TestZipOfAJobWithoutADate bears the earliest date that the format knows.
func TestZipOfAJobWithoutADate(t *testing.T) {
	m := *solved()[2]
	for _, date := range []string{"", "1066-10-14"} {
		j := m.Job.Clone()
		j.Date = date
		m.Job = j
		files, _, err := handover.Build(context.Background(), &m, nil)
		require.NoError(t, err)
		last := files[len(files)-1]
		require.Equal(t, "handover.zip", last.Name)
		_, _, days := unpacked(t, last.Data)
		assert.Equal(t, time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC), days[0], date)
	}
}
