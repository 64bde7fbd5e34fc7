package handover

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"panewright/board"
)

// ErrOccupied is wrapped by the error for a folder that holds other things.
var ErrOccupied = errors.New("holds other files")

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
	return slices.DeleteFunc(names, func(n string) bool { return !packName(n) })
}

// packName says whether a file of a pack may have this name: in its folder, or in
// that for the machine.
func packName(n string) bool { return plainName(strings.TrimPrefix(n, shopFolder+"/")) }

// plainName says whether a name is that of a file in one folder, on any system.
func plainName(n string) bool {
	return n != "" && n != "." && n != ".." && !strings.ContainsAny(n, "/\\:\x00")
}

// occupied are the files in dir that an earlier export of the same job left
// there; an error where dir holds anything else and force is not set.
func occupied(dir, job string, force bool) ([]string, error) {
	there, err := listed(dir)
	if err != nil {
		return nil, fmt.Errorf("handover: %w", err)
	}
	earlier := left(dir, job)
	if force {
		return earlier, nil
	}
	for _, name := range there {
		if strings.HasPrefix(path.Base(name), board.TempPrefix) { // of an export that was stopped
			earlier = append(earlier, name)
			continue
		}
		if !slices.Contains(earlier, name) {
			return nil, fmt.Errorf("handover: %s %w (%s): choose an empty folder, or force it", dir, ErrOccupied, name)
		}
	}
	return earlier, nil
}

// listed are the names of what is in a folder, and of what is in its folder for the
// machine; that for the other hand is looked at by itself.
func listed(dir string) (names []string, err error) {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	for _, e := range entries {
		switch {
		case e.IsDir() && e.Name() == otherHandFolder:
		case e.IsDir() && e.Name() == shopFolder:
			inside, err := os.ReadDir(filepath.Join(dir, shopFolder))
			if err != nil {
				return nil, err
			}
			for _, f := range inside {
				names = append(names, path.Join(shopFolder, f.Name()))
			}
		default:
			names = append(names, e.Name())
		}
	}
	return names, err
}

// put writes files into a folder, made where it is not there, and removes old ones
// that are no longer among them. A folder that nothing is left of goes too.
func put(ctx context.Context, s board.Store, dir, job string, files []File, old []string) error {
	if len(files) == 0 && len(old) == 0 {
		return nil
	}
	shop := filepath.Join(dir, shopFolder)
	folders := []string{dir}
	if slices.ContainsFunc(files, func(f File) bool { return path.Dir(f.Name) == shopFolder }) {
		folders = append(folders, shop)
	}
	for _, d := range folders {
		if err := os.MkdirAll(d, 0o777); err != nil {
			return fmt.Errorf("handover: %w", &board.DiskError{Path: filepath.Join(d, summaryName), Err: err})
		}
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
	os.Remove(shop) // stays where it holds anything
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
		place := filepath.Join(dir, f.Name)
		t, err := s.WriteBeside(place, f.Data, 0o644)
		if err != nil {
			return temps, fmt.Errorf("handover: %w", &board.DiskError{Path: place, Err: err})
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
		place := filepath.Join(dir, name)
		if err := s.Rename(temps[i], place); err != nil {
			return fmt.Errorf("handover: %w", &board.DiskError{Path: place, Err: err})
		}
	}
	s.SyncFolder(filepath.Join(dir, shopFolder))
	s.SyncFolder(dir)
	for _, name := range append(goes, unfinishedName) {
		place := filepath.Join(dir, name)
		if err := s.Remove(place); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("handover: %w", &board.DiskError{Path: place, Err: err})
		}
	}
	return nil
}
