package board

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
)

// bakExt is put behind a job file's name for the copy before it.
const bakExt = ".bak"

// ErrChanged is the error of a save over a file that something else has changed
// since it was read or written here.
var ErrChanged = errors.New("board: the file was changed outside the program since it was opened")

// Stamp tells states of a file apart; the zero Stamp is that of no file.
type Stamp [sha256.Size]byte

// Save writes a job to a file on the computer's disk, whatever is there; see
// Store.Save.
func Save(path string, j *Job) error {
	_, err := Store{}.Save(path, j)
	return err
}

// Load reads the job in a file on the computer's disk; see Store.Load.
func Load(path string) (*Job, []string, error) {
	j, notes, _, err := Store{}.Load(path)
	return j, notes, err
}

// Save writes a job to a file so that at every moment, whatever happens, either
// the old file or the new one is there whole: it is written beside, synced and
// renamed, and the folder is synced. The file before is kept as path + ".bak".
// A link is followed to the file it names. stamp is that of the new file.
func (s Store) Save(path string, j *Job) (stamp Stamp, err error) {
	data, err := Encode(j)
	if err != nil {
		return stamp, err
	}
	if err := s.replaceFile(Target(path), data); err != nil {
		return stamp, fmt.Errorf("board: save %w", &DiskError{path, err})
	}
	return sha256.Sum256(data), nil
}

// Load reads the job in a file, as Decode does. Where the file is damaged and
// there is a copy of the one before, the error names it.
func (s Store) Load(path string) (j *Job, notes []string, stamp Stamp, err error) {
	data, err := s.read(path, maxFile)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil, stamp, fmt.Errorf("board: %w", err)
	case err != nil:
		return nil, nil, stamp, fmt.Errorf("board: open %w", &DiskError{path, err})
	}
	j, notes, err = Decode(path, data)
	if errors.Is(err, ErrNotJob) {
		if _, bad := s.disk().Stat(path + bakExt); bad == nil {
			err = fmt.Errorf("%w; the copy before it is %s%s", err, path, bakExt)
		}
	}
	return j, notes, sha256.Sum256(data), err
}

// Unchanged says whether the file is still as it was when it had the stamp:
// ErrChanged where it is another. One that is not there any more was not changed,
// for nothing is lost by writing it anew.
func (s Store) Unchanged(path string, stamp Stamp) error {
	data, err := s.read(path, maxFile)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return fmt.Errorf("board: save %w", &DiskError{path, err})
	case sha256.Sum256(data) != stamp:
		return fmt.Errorf("%w: %s", ErrChanged, filepath.Base(path))
	}
	return nil
}

// replaceFile puts data in the place of the file, which becomes its .bak.
func (s Store) replaceFile(path string, data []byte) error {
	mode := fs.FileMode(0o644)
	old, err := s.disk().Stat(path)
	switch {
	case err == nil && !old.Mode().IsRegular():
		return errors.New("this is not a plain file")
	case err == nil:
		mode = old.Mode().Perm()
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	beside, err := s.WriteBeside(path, data, mode) // first: a full disk then costs nothing
	if err != nil {
		return err
	}
	if old != nil {
		err = s.keepCopy(path, mode)
	}
	if err == nil {
		err = s.Rename(beside, path)
	}
	if err != nil {
		_ = s.Remove(beside)
		return err
	}
	s.SyncFolder(filepath.Dir(path))
	return nil
}

// keepCopy makes path + ".bak" a copy of the file.
func (s Store) keepCopy(path string, mode fs.FileMode) error {
	before, err := s.read(path, maxFile)
	if err != nil {
		return err
	}
	if len(before) > maxFile {
		return errors.New("the file there is larger than any job, so it is none")
	}
	return s.Replace(path+bakExt, before, mode)
}
