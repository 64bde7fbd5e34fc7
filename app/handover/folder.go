package handover

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"panewright/board"
)

// unfinishedName is the note that stands in a folder while files are put into it.
const unfinishedName = "UNFINISHED.txt"

// unfinished is that note: a sentence for a person, then the job and the files, so
// that the next export of the job knows them for its own.
func unfinished(job string, names []string) []byte {
	text := "An export into this folder was stopped before it was done: some of the files below are of before\n" +
		"and some are new. Do not use them together: export once more, and this note goes.\n\njob: " + job + "\n"
	return []byte(text + strings.Join(names, "\n") + "\n")
}

// left are the files that an export of the job put into dir: those that its summary
// lists, and those of one that was stopped.
func left(dir, job string) (names []string) {
	var earlier struct {
		Job   string   `json:"job"`
		Files []string `json:"files"`
	}
	data, err := os.ReadFile(filepath.Join(dir, summaryName))
	if err == nil && json.Unmarshal(data, &earlier) == nil && earlier.Job == job {
		names = earlier.Files
	}
	if data, err := os.ReadFile(filepath.Join(dir, unfinishedName)); err == nil {
		if _, list, ok := strings.Cut(string(data), "\njob: "+job+"\n"); ok {
			names = append(names, unfinishedName)
			names = append(names, strings.Split(strings.TrimSuffix(list, "\n"), "\n")...)
		}
	}
	return slices.DeleteFunc(names, func(n string) bool { return !plainName(n) })
}

// plainName says whether a name is that of a file in one folder, on any system.
func plainName(n string) bool {
	return n != "" && n != "." && n != ".." && !strings.ContainsAny(n, "/\\:\x00")
}

// occupied are the files in dir that an earlier export of the same job left
// there; an error where dir holds anything else and force is not set.
func occupied(dir, job string, force bool) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("handover: %w", err)
	}
	earlier := left(dir, job)
	if force {
		return earlier, nil
	}
	for _, e := range entries {
		if e.IsDir() && e.Name() == otherHandFolder { // looked at by itself
			continue
		}
		if strings.HasPrefix(e.Name(), board.TempPrefix) { // of an export that was stopped
			earlier = append(earlier, e.Name())
			continue
		}
		if !slices.Contains(earlier, e.Name()) {
			return nil, fmt.Errorf("handover: %s %w (%s): choose an empty folder, or force it", dir, ErrOccupied, e.Name())
		}
	}
	return earlier, nil
}

// put writes files into a folder, made where it is not there, and removes old ones
// that are no longer among them. A folder that nothing is left of goes too.
func put(ctx context.Context, s board.Store, dir, job string, files []File, old []string) error {
	if len(files) == 0 && len(old) == 0 {
		return nil
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return fmt.Errorf("handover: %w", &board.DiskError{Path: filepath.Join(dir, summaryName), Err: err})
	}
	temps, err := allBeside(ctx, s, dir, files)
	if err == nil {
		err = swap(s, dir, job, files, temps, old)
	}
	if err != nil {
		for _, t := range temps {
			_ = s.Remove(t) // those in their place are not there any more
		}
		return err
	}
	s.SyncFolder(dir)
	if len(files) == 0 {
		os.Remove(dir) // stays where a person keeps something in it
	}
	return nil
}

// allBeside writes all files beside their places, synced: a full disk or a cancelled
// export leaves what was there before.
func allBeside(ctx context.Context, s board.Store, dir string, files []File) (temps []string, err error) {
	for _, f := range files {
		if err := ctx.Err(); err != nil {
			return temps, fmt.Errorf("handover: %w", err)
		}
		path := filepath.Join(dir, f.Name)
		t, err := s.WriteBeside(path, f.Data, 0o644)
		if err != nil {
			return temps, fmt.Errorf("handover: %w", &board.DiskError{Path: path, Err: err})
		}
		temps = append(temps, t)
	}
	return temps, nil
}

// swap renames all files to their places and takes away the old ones that have none
// any more. While it does, the note of the unfinished export stands there.
func swap(s board.Store, dir, job string, files []File, temps, old []string) error {
	names := make([]string, len(files))
	for i, f := range files {
		names[i] = f.Name
	}
	goes := slices.DeleteFunc(slices.Clone(old), func(n string) bool { return slices.Contains(names, n) || n == unfinishedName })
	note := filepath.Join(dir, unfinishedName)
	if err := s.Replace(note, unfinished(job, append(slices.Clone(names), goes...)), 0o644); err != nil {
		return fmt.Errorf("handover: %w", &board.DiskError{Path: note, Err: err})
	}
	for i, name := range names {
		path := filepath.Join(dir, name)
		if err := s.Rename(temps[i], path); err != nil {
			return fmt.Errorf("handover: %w", &board.DiskError{Path: path, Err: err})
		}
	}
	s.SyncFolder(dir)
	for _, name := range append(goes, unfinishedName) {
		path := filepath.Join(dir, name)
		if err := s.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("handover: %w", &board.DiskError{Path: path, Err: err})
		}
	}
	return nil
}
