// Package faults has disks that fail, for tests: one that lets any step of the
// computer's own fail, and one in memory that loses its power.
package faults

import (
	"io/fs"
	"os"
	"sync"

	"panewright/board"
)

// Op is one step on a disk.
type Op struct {
	N    int    // counted from 1
	What string // open, create, read, write, chmod, truncate, sync, close, rename, remove or stat
	Path string
}

// ErrShort makes a write take half of what it is given, and say so.
const ErrShort = short("short")

type short string

func (s short) Error() string { return string(s) }

// Disk is the computer's disk, whose steps fail where Fail gives an error. Nothing
// is done then, but for a write with ErrShort.
type Disk struct {
	Fail func(Op) error

	mu sync.Mutex
	n  int
}

// Ops is the number of steps so far.
func (d *Disk) Ops() int {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.n
}

// step counts a step and fails it where it shall.
func (d *Disk) step(what, path string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.n++
	if d.Fail == nil {
		return nil
	}
	if err := d.Fail(Op{d.n, what, path}); err != nil {
		return &fs.PathError{Op: what, Path: path, Err: err}
	}
	return nil
}

// OpenFile is a step named open, or create where the file is to be made.
func (d *Disk) OpenFile(name string, flag int, mode fs.FileMode) (board.File, error) {
	what := "open"
	if flag&os.O_CREATE != 0 {
		what = "create"
	}
	if err := d.step(what, name); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(name, flag, mode)
	if err != nil {
		return nil, err
	}
	return &file{d, f}, nil
}

// Rename is a step.
func (d *Disk) Rename(from, to string) error {
	if err := d.step("rename", to); err != nil {
		return err
	}
	return os.Rename(from, to)
}

// Remove is a step.
func (d *Disk) Remove(name string) error {
	if err := d.step("remove", name); err != nil {
		return err
	}
	return os.Remove(name)
}

// Stat is a step.
func (d *Disk) Stat(name string) (fs.FileInfo, error) {
	if err := d.step("stat", name); err != nil {
		return nil, err
	}
	return os.Stat(name)
}

// file is an open file of a Disk.
type file struct {
	d *Disk
	f *os.File
}

func (f *file) Read(b []byte) (int, error) {
	if err := f.d.step("read", f.f.Name()); err != nil {
		return 0, err
	}
	return f.f.Read(b)
}

func (f *file) Write(b []byte) (int, error) {
	if err := f.d.step("write", f.f.Name()); err != nil {
		if err.(*fs.PathError).Err == ErrShort {
			return f.f.Write(b[:len(b)/2])
		}
		return 0, err
	}
	return f.f.Write(b)
}

func (f *file) Chmod(mode fs.FileMode) error {
	if err := f.d.step("chmod", f.f.Name()); err != nil {
		return err
	}
	return f.f.Chmod(mode)
}

func (f *file) Truncate(size int64) error {
	if err := f.d.step("truncate", f.f.Name()); err != nil {
		return err
	}
	return f.f.Truncate(size)
}

// Sync is a step and no more: no power is lost here, and real ones take long.
func (f *file) Sync() error { return f.d.step("sync", f.f.Name()) }

// Close closes the file even where the step fails.
func (f *file) Close() error {
	err := f.d.step("close", f.f.Name())
	if bad := f.f.Close(); err == nil {
		err = bad
	}
	return err
}
