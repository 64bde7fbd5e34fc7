package handover

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Names of the packed pack and of the list in it.
const (
	zipName      = "handover.zip"
	manifestName = "manifest.txt"
)

// zipped is the pack as one file: all files by name, and a list of their sums
// (SHA-256, as sha256sum reads and writes it). Every file in it bears the job's
// date, or the earliest that the format knows, so that the same job gives the same
// bytes.
func zipped(files []File, date string) (File, error) {
	day, err := time.Parse(time.DateOnly, date)
	if earliest := time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC); err != nil || day.Before(earliest) || day.Year() > 2107 {
		day = earliest
	}
	all := slices.Clone(files)
	all = append(all, manifest(files))
	slices.SortFunc(all, func(a, b File) int { return strings.Compare(a.Name, b.Name) })
	var buf bytes.Buffer
	w := zip.NewWriter(&buf)
	for _, f := range all {
		if !packName(f.Name) {
			return File{}, fmt.Errorf("handover: %s: %q is no name of a file in one folder", zipName, f.Name)
		}
		h := &zip.FileHeader{Name: f.Name, Method: zip.Deflate, Modified: day}
		h.SetMode(0o644)
		part, err := w.CreateHeader(h)
		if err == nil {
			_, err = part.Write(f.Data)
		}
		if err != nil {
			return File{}, fmt.Errorf("handover: %s: %w", zipName, err)
		}
	}
	if err := w.Close(); err != nil {
		return File{}, fmt.Errorf("handover: %s: %w", zipName, err)
	}
	return File{zipName, buf.Bytes()}, nil
}

// manifest lists the files by name with their sums.
func manifest(files []File) File {
	var lines []string
	for _, f := range files {
		lines = append(lines, fmt.Sprintf("%x  %s\n", sha256.Sum256(f.Data), f.Name))
	}
	slices.SortFunc(lines, func(a, b string) int { return strings.Compare(a[64:], b[64:]) })
	return File{manifestName, []byte(strings.Join(lines, ""))}
}
