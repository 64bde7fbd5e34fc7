package board

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strconv"
)

// Replay reads the journal beside the job file at path and makes its edits again,
// from base, the job as the file holds it. The steps are in order, the last one is
// where the work stopped; NewHistory takes them. Where there is no journal there
// are no steps. Notes say in words what was not replayed: a line cut short, a
// damage, a journal that continues another state than base. Of a journal that goes
// on behind a save, only what was edited after that save is made again. Replay
// changes nothing; OpenJournal puts aside what notes speak of.
func (s Store) Replay(path string, base *Job) (steps []Step, notes []string, err error) {
	scan, _, err := s.scan(JournalPath(Target(path)), base)
	return scan.steps, scan.notes, err
}

// scan reads and replays the journal at path; none is an empty one.
func (s Store) scan(path string, base *Job) (scan journalScan, data []byte, err error) {
	data, err = s.read(path, maxJournal)
	if errors.Is(err, fs.ErrNotExist) {
		return scan, nil, nil
	}
	if err != nil {
		return scan, nil, fmt.Errorf("board: journal: %w", &DiskError{path, err})
	}
	scan, err = scanJournal(data, base)
	return scan, data, err
}

// journalScan is what a journal gives.
type journalScan struct {
	steps []Step
	notes []string
	end   int  // bytes of the journal that were replayed; 0: it does not belong to the job
	torn  bool // behind end stands one line cut short, no damage
}

// scanJournal replays the journal's bytes as far as they can be. The error is
// that of Validate on base.
func scanJournal(data []byte, base *Job) (s journalScan, err error) {
	sum, err := Sum(base)
	if err != nil || len(data) == 0 {
		return s, err
	}
	first, _, ok := nextLine(data)
	var begin journalBegin
	switch {
	case !ok:
		s.note("The journal beside the file cannot be read and is put aside.")
		return s, nil
	case json.Unmarshal(first.Begin, &begin) != nil || begin.Format != journalFormat || begin.Version != journalVersion:
		s.note("The journal beside the file was not written by this version and is put aside.")
		return s, nil
	}
	if s.end = startOf(data, sum); s.end == 0 {
		s.note("The journal beside the file belongs to another state of the job; it is put aside and not replayed.")
		return s, nil
	}
	for j := base; s.end < len(data); {
		line, size, ok := nextLine(data[s.end:])
		if !ok {
			s.stopped(s.end+size == len(data))
			return s, nil
		}
		if line.Saving != "" { // that save failed, or another one followed
			s.end += size
			continue
		}
		name, next, err := remake(line, j)
		if err != nil {
			s.note("Edit %d of the journal cannot be made again (%v); it and what was edited behind it are left out and put aside.", len(s.steps)+1, err)
			return s, nil
		}
		s.steps = append(s.steps, Step{name, next})
		s.end += size
		j = next
	}
	return s, nil
}

// startOf is where a journal goes on from the job with this sum: behind its first
// line, or behind the last save of that job; 0: nowhere.
func startOf(data []byte, sum string) (start int) {
	for at := 0; at < len(data); {
		line, size, ok := nextLine(data[at:])
		at += size
		var begin journalBegin
		if ok && (line.Saving == sum || json.Unmarshal(line.Begin, &begin) == nil && begin.Continues == sum) {
			start = at
		}
	}
	return start
}

// stopped notes a line that is not whole, the last one or one before it.
func (s *journalScan) stopped(last bool) {
	if s.torn = last; last {
		s.note("The last line of the journal was cut off while it was written; the edit in it is lost.")
	} else {
		s.note("The journal is damaged behind edit %d; what was edited behind that is left out and put aside.", len(s.steps))
	}
}

// note keeps a note.
func (s *journalScan) note(format string, args ...any) {
	s.notes = append(s.notes, fmt.Sprintf(format, args...))
}

// remake makes the edit of a line again.
func remake(line journalLine, j *Job) (name string, next *Job, err error) {
	var p patch
	if err := json.Unmarshal(line.Edit, &p); err != nil {
		return "", nil, err
	}
	if next, err = p.apply(j); err != nil {
		return "", nil, err
	}
	next.share(j)
	return p.Name, next, nil
}

// putAside writes data under the first free name: path, path2, path3 …
func (s Store) putAside(path string, data []byte) error {
	for n := 1; ; n++ {
		name := path
		if n > 1 {
			name += strconv.Itoa(n)
		}
		f, err := s.disk().OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if errors.Is(err, fs.ErrExist) && n < 1000 {
			continue
		}
		if err != nil {
			return err
		}
		_, err = io.Copy(f, bytes.NewReader(data))
		return firstError(err, f.Sync(), f.Close())
	}
}
