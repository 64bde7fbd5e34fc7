package board

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
)

// Replay reads the journal beside the job file at path and makes its edits again,
// from base, the job as the file holds it. The steps are in order, the last one is
// where the work stopped; NewHistory takes them. Where there is no journal there
// are no steps. Notes say in words what was not replayed: a line cut short, a
// damage, a journal that continues another state than base. A journal whose edits
// the file already holds (the save was cut short behind the writing) is passed
// over without a note. Replay changes nothing; OpenJournal puts aside what notes
// speak of.
func Replay(path string, base *Job) (steps []Step, notes []string, err error) {
	data, err := readJournal(JournalPath(path))
	if err != nil {
		return nil, nil, fmt.Errorf("board: journal: %w", err)
	}
	s, err := scanJournal(data, base)
	if err != nil {
		return nil, nil, err
	}
	if s.end == 0 && len(data) > 0 && leadsTo(path+".bak", data, base) {
		return nil, nil, nil
	}
	return s.steps, s.notes, nil
}

// leadsTo says whether the journal leads from the job in the file before to base.
func leadsTo(before string, data []byte, base *Job) bool {
	old, _, err := Load(before)
	if err != nil {
		return false
	}
	s, err := scanJournal(data, old)
	if err != nil || len(s.steps) == 0 {
		return false
	}
	return s.steps[len(s.steps)-1].Job.Equal(base)
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
	first, size, ok := nextLine(data)
	var begin journalBegin
	switch {
	case !ok:
		s.note("The journal beside the file cannot be read and is put aside.")
		return s, nil
	case json.Unmarshal(first.Begin, &begin) != nil || begin.Format != journalFormat || begin.Version != journalVersion:
		s.note("The journal beside the file was not written by this version and is put aside.")
		return s, nil
	case begin.Continues != sum:
		s.note("The journal beside the file belongs to another state of the job; it is put aside and not replayed.")
		return s, nil
	}
	s.end = size
	for j := base; s.end < len(data); {
		line, size, ok := nextLine(data[s.end:])
		if !ok {
			s.stopped(s.end+size == len(data))
			return s, nil
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

// readJournal reads the journal; none is an empty one.
func readJournal(path string) ([]byte, error) {
	f, err := os.Open(path)
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, maxJournal))
}

// putAside writes data under the first free name: path, path2, path3 …
func putAside(path string, data []byte) error {
	for n := 1; ; n++ {
		name := path
		if n > 1 {
			name += strconv.Itoa(n)
		}
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if errors.Is(err, os.ErrExist) && n < 1000 {
			continue
		}
		if err != nil {
			return err
		}
		_, err = f.Write(data)
		return firstError(err, f.Sync(), f.Close())
	}
}
