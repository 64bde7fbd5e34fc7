package desk

import (
	"errors"
	"fmt"
	"os"
	"os/user"
	"path/filepath"
	"strings"
	"time"
	"unicode"

	"github.com/gofrs/flock"

	"panewright/board"
)

// lock keeps a job to one window. It is a lock of the operating system on a file
// beside the job (path + ".lock"), so it dies with its process: what a crash
// leaves behind is a file and no lock. The file says whose it is, from its second
// byte on: the first is the one that is locked, and on Windows nobody can read it.
type lock struct {
	file *flock.Flock
	path string
}

// HeldError is the error of an edit or a save of a job that another window has.
type HeldError struct {
	Path string
	Who  string // "name on computer, since when"; may be empty
}

// Error says who has the job and what can be done.
func (e *HeldError) Error() string {
	who := ""
	if e.Who != "" {
		who = " (" + e.Who + ")"
	}
	return fmt.Sprintf("desk: the job %s is open in another window%s: it can be looked at here, and saved under another name to work on it", filepath.Base(e.Path), who)
}

// lockPath is where the lock of a job stands, however its path is spelled.
func lockPath(path string) string {
	if abs, err := filepath.Abs(path); err == nil {
		path = abs
	}
	return board.Target(path) + ".lock"
}

// holds says whether this is the lock of the job at path.
func (l *lock) holds(path string) bool { return l != nil && l.path == lockPath(path) }

// takeLock locks the job at path. The error is a *HeldError where another window
// has it; any other says that it cannot be told here, as in a folder that may not
// be written to or on a disk without locks.
func takeLock(path string) (*lock, error) {
	name := lockPath(path)
	for range 10 {
		f := flock.New(name, flock.SetPermissions(0o666))
		ok, err := f.TryLock()
		if err != nil {
			return nil, err
		}
		if !ok {
			return nil, &HeldError{path, heldBy(name)}
		}
		if mine, err := f.Stat(); err == nil {
			if there, err := os.Stat(name); err == nil && os.SameFile(mine, there) {
				sign(name)
				return &lock{f, name}, nil
			}
		}
		_ = f.Close() // whoever had it took the file away in this moment
	}
	return nil, errors.New("desk: the lock beside the job keeps vanishing")
}

// release lets the next window have the job.
func (l *lock) release() {
	if l == nil {
		return
	}
	bad := os.Remove(l.path) // first, so that nobody can lock a file that is gone already
	_ = l.file.Close()
	if bad != nil {
		_ = os.Remove(l.path) // systems that remove no open file
	}
}

// sign writes into the lock's file whose it is.
func sign(name string) {
	who, host := "somebody", "this computer"
	if u, err := user.Current(); err == nil {
		who = u.Username
		if u.Name != "" {
			who = u.Name
		}
	}
	if h, err := os.Hostname(); err == nil {
		host = h
	}
	if f, err := os.OpenFile(name, os.O_WRONLY, 0); err == nil {
		_, _ = f.WriteAt(fmt.Appendf(nil, "%s on %s, since %s\n", who, host, time.Now().Format("15:04 on 2 January")), 1)
		_ = f.Close()
	}
}

// heldBy is what stands in the file of a lock that another window has; it may be
// nothing.
func heldBy(name string) string {
	text := make([]byte, 300)
	n := 0
	if f, err := os.Open(name); err == nil {
		n, _ = f.ReadAt(text, 1)
		_ = f.Close()
	}
	line, _, _ := strings.Cut(string(text[:n]), "\n")
	return strings.Map(func(r rune) rune {
		if unicode.IsGraphic(r) {
			return r
		}
		return -1
	}, strings.ToValidUTF8(line, ""))
}
