package faults

import (
	"errors"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"time"

	"panewright/board"
)

// ErrOff is what every step gives once the power is off.
var ErrOff = errors.New("the power is off")

// Memory is a disk in memory that tells what was synced from what was only
// written, as strictly as the standards do: a file's content outlasts a power cut
// as far as the file was synced, its name as far as its folder was.
type Memory struct {
	OffAt int // the step at which the power goes; 0: never
	n     int
	off   bool
	now   map[string]*node // by path
	kept  map[string]*node // the names that were synced
}

// node is a file's content.
type node struct{ data, kept []byte }

// NewMemory is an empty disk.
func NewMemory() *Memory { return &Memory{now: map[string]*node{}, kept: map[string]*node{}} }

// Ops is the number of steps so far.
func (m *Memory) Ops() int { return m.n }

// AfterPowerCut is the disk as it may be found: of every name that was not synced
// chance says whether it is the old or the new one, of all that was written behind
// the last sync of a file, how much is there.
func (m *Memory) AfterPowerCut(chance *rand.Rand) *Memory {
	found := NewMemory()
	contents := map[*node]*node{}
	copied := func(x *node) *node {
		if x == nil {
			return nil
		}
		if contents[x] == nil {
			data := append([]byte(nil), x.kept...)
			if more := len(x.data) - len(x.kept); more > 0 {
				data = append(data, x.data[len(x.kept):len(x.kept)+chance.IntN(more+1)]...)
			}
			contents[x] = &node{data, append([]byte(nil), data...)}
		}
		return contents[x]
	}
	names := map[string]bool{}
	for name := range m.now {
		names[name] = true
	}
	for name := range m.kept {
		names[name] = true
	}
	for name := range names {
		x := copied(m.kept[name])
		if chance.IntN(2) == 0 {
			x = copied(m.now[name])
		}
		if x != nil {
			found.now[name], found.kept[name] = x, x
		}
	}
	return found
}

func (m *Memory) step() error {
	m.n++
	m.off = m.off || m.n == m.OffAt
	if m.off {
		return ErrOff
	}
	return nil
}

// OpenFile is as os.OpenFile; every folder is there.
func (m *Memory) OpenFile(name string, flag int, _ fs.FileMode) (board.File, error) {
	if err := m.step(); err != nil {
		return nil, err
	}
	x := m.now[name]
	switch {
	case x == nil && flag&os.O_CREATE != 0:
		x = &node{}
		m.now[name] = x
	case x == nil && filepath.Ext(name) == "": // a folder
		return &handle{m: m, folder: name}, nil
	case x == nil:
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	case flag&os.O_EXCL != 0:
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrExist}
	}
	return &handle{m: m, x: x}, nil
}

// Rename is as os.Rename.
func (m *Memory) Rename(from, to string) error {
	if err := m.step(); err != nil {
		return err
	}
	if m.now[from] == nil {
		return &fs.PathError{Op: "rename", Path: from, Err: fs.ErrNotExist}
	}
	m.now[to] = m.now[from]
	delete(m.now, from)
	return nil
}

// Remove is as os.Remove.
func (m *Memory) Remove(name string) error {
	if err := m.step(); err != nil {
		return err
	}
	if m.now[name] == nil {
		return &fs.PathError{Op: "remove", Path: name, Err: fs.ErrNotExist}
	}
	delete(m.now, name)
	return nil
}

// Stat is as os.Stat.
func (m *Memory) Stat(name string) (fs.FileInfo, error) {
	if err := m.step(); err != nil {
		return nil, err
	}
	x := m.now[name]
	if x == nil {
		return nil, &fs.PathError{Op: "stat", Path: name, Err: fs.ErrNotExist}
	}
	return info{filepath.Base(name), int64(len(x.data))}, nil
}

// info is that of a plain file.
type info struct {
	name string
	size int64
}

func (i info) Name() string     { return i.name }
func (i info) Size() int64      { return i.size }
func (info) Mode() fs.FileMode  { return 0o644 }
func (info) ModTime() time.Time { return time.Time{} }
func (info) IsDir() bool        { return false }
func (info) Sys() any           { return nil }

// handle is an open file, or folder.
type handle struct {
	m      *Memory
	x      *node
	folder string
	read   int
}

func (h *handle) Read(b []byte) (int, error) {
	if err := h.m.step(); err != nil {
		return 0, err
	}
	n := copy(b, h.x.data[h.read:])
	if h.read += n; n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

// Write appends; the power may go half-way.
func (h *handle) Write(b []byte) (int, error) {
	if err := h.m.step(); err != nil {
		h.x.data = append(h.x.data, b[:len(b)/2]...)
		return len(b) / 2, err
	}
	h.x.data = append(h.x.data, b...)
	return len(b), nil
}

func (h *handle) Truncate(size int64) error {
	if err := h.m.step(); err != nil {
		return err
	}
	h.x.data = h.x.data[:size]
	if len(h.x.kept) > len(h.x.data) {
		h.x.kept = h.x.data
	}
	return nil
}

// Sync keeps a file's content, or the names in a folder.
func (h *handle) Sync() error {
	if err := h.m.step(); err != nil {
		return err
	}
	if h.x != nil {
		h.x.kept = append([]byte(nil), h.x.data...)
		return nil
	}
	for _, names := range []map[string]*node{h.m.now, h.m.kept} {
		for name := range names {
			if filepath.Dir(name) != h.folder {
				continue
			}
			if x := h.m.now[name]; x != nil {
				h.m.kept[name] = x
			} else {
				delete(h.m.kept, name)
			}
		}
	}
	return nil
}

func (h *handle) Chmod(fs.FileMode) error { return h.m.step() }
func (h *handle) Close() error            { return h.m.step() }
