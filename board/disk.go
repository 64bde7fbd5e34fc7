package board

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
)

// Disk is the file system as the program writes to it: job files, journals and
// the exported pack all go through one, so that a test can let any step fail.
type Disk interface {
	OpenFile(name string, flag int, mode fs.FileMode) (File, error) // as os.OpenFile
	Rename(from, to string) error                                   // replaces to in one step
	Remove(name string) error
	Stat(name string) (fs.FileInfo, error)
}

// File is an open file of a Disk.
type File interface {
	io.ReadWriteCloser
	Chmod(mode fs.FileMode) error
	Truncate(size int64) error
	Sync() error // what was written, or renamed in a folder, outlives a power cut
}

// osDisk is the computer's own.
type osDisk struct{}

func (osDisk) OpenFile(name string, flag int, mode fs.FileMode) (File, error) {
	f, err := os.OpenFile(name, flag, mode)
	if err != nil {
		return nil, err // not a File that holds a nil pointer
	}
	return f, nil
}
func (osDisk) Rename(from, to string) error          { return os.Rename(from, to) }
func (osDisk) Remove(name string) error              { return os.Remove(name) }
func (osDisk) Stat(name string) (fs.FileInfo, error) { return os.Stat(name) }

// Store keeps jobs on a disk; nil is the computer's own.
type Store struct{ Disk Disk }

func (s Store) disk() Disk {
	if s.Disk == nil {
		return osDisk{}
	}
	return s.Disk
}

// Rename is that of the disk.
func (s Store) Rename(from, to string) error { return s.disk().Rename(from, to) }

// Remove is that of the disk.
func (s Store) Remove(name string) error { return s.disk().Remove(name) }

// TempPrefix begins the names of files that are not in their place yet.
const TempPrefix = ".panewright-"

// WriteBeside writes data, synced, into the folder of path under a name of its
// own, to be renamed to path. On an error nothing is left.
func (s Store) WriteBeside(path string, data []byte, mode fs.FileMode) (name string, err error) {
	d := s.disk()
	var f File
	for range 100 {
		name = filepath.Join(filepath.Dir(path), fmt.Sprintf("%s%s-%08x", TempPrefix, filepath.Base(path), rand.Uint32()))
		if f, err = d.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600); !errors.Is(err, fs.ErrExist) {
			break
		}
	}
	if err != nil {
		return "", err
	}
	_, err = io.Copy(f, bytes.NewReader(data)) // says where less was taken than was given
	if err = firstError(err, f.Chmod(mode), f.Sync(), f.Close()); err != nil {
		_ = d.Remove(name)
		return "", err
	}
	return name, nil
}

// Replace puts data in the place of path in one step: whenever it is stopped,
// what was there before or the new file is there whole.
func (s Store) Replace(path string, data []byte, mode fs.FileMode) error {
	beside, err := s.WriteBeside(path, data, mode)
	if err != nil {
		return err
	}
	if err := s.Rename(beside, path); err != nil {
		_ = s.Remove(beside)
		return err
	}
	s.SyncFolder(filepath.Dir(path))
	return nil
}

// SyncFolder makes the renames in a folder outlast a power cut, where folders can
// be synced; they stand all the same where they cannot.
func (s Store) SyncFolder(dir string) {
	if f, err := s.disk().OpenFile(dir, os.O_RDONLY, 0); err == nil {
		_ = f.Sync()
		_ = f.Close()
	}
}

// read reads a file, up to a byte more than limit.
func (s Store) read(path string, limit int64) ([]byte, error) {
	f, err := s.disk().OpenFile(path, os.O_RDONLY, 0)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, limit+1))
}

// Sweep removes what a stopped save of the job at path left beside it. Only for
// whoever holds the job: it would take a running save's file away.
func (s Store) Sweep(path string) {
	path = Target(path)
	entries, _ := os.ReadDir(filepath.Dir(path))
	for _, e := range entries {
		for _, whose := range []string{path, path + bakExt, JournalPath(path)} {
			if strings.HasPrefix(e.Name(), TempPrefix+filepath.Base(whose)+"-") {
				_ = s.Remove(filepath.Join(filepath.Dir(path), e.Name()))
			}
		}
	}
}

// Target is the file that a path names, links followed; the path itself where
// there is none yet.
func Target(path string) string {
	if target, err := filepath.EvalSymlinks(path); err == nil {
		return target
	}
	return path
}

// DiskError says in a person's words why a file could not be written or read.
type DiskError struct {
	Path string
	Err  error
}

// Error names the file, what is the matter, and a way out.
func (e *DiskError) Error() string {
	dir := filepath.Dir(e.Path)
	reason := ""
	switch {
	case isFull(e.Err):
		reason = "the disk is full: make room on it, or choose a place on another disk"
	case errors.Is(e.Err, io.ErrShortWrite):
		reason = "the disk took only a part of it: look whether it is full or failing, or choose a place on another disk"
	case isReadOnly(e.Err):
		reason = fmt.Sprintf("nothing can be written in the folder %s, its disk can only be read: choose a place on another disk", dir)
	case errors.Is(e.Err, fs.ErrPermission):
		reason = fmt.Sprintf("it, or the folder %s, is closed to you: choose another place, or have it opened", dir)
	case isGone(e.Err) || errors.Is(e.Err, fs.ErrNotExist):
		reason = fmt.Sprintf("the folder %s cannot be reached: look whether its drive or its network is connected, or choose another place", dir)
	default:
		reason = fmt.Sprintf("%v: try again, or choose another place", e.Err)
	}
	return fmt.Sprintf("board: file %s: %s", filepath.Base(e.Path), reason)
}

// Unwrap is the cause.
func (e *DiskError) Unwrap() error { return e.Err }
