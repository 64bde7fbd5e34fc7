package board

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
)

// The journal stands beside the job file as path.journal: JSON, a line each.
// The first line names the state that it continues; each further line is one
// edit, as the difference that it made. Lines are synced as they are written,
// so that a stop at any moment costs at most the edit being made.

// journalHead is the first line.
type journalHead struct {
	Format string `json:"format"`
	Base   string `json:"base"` // Sum of the job that the edits start from
}

const journalFormat = "panewright journal 1"

// journalLine is one edit: what it set, by the names of the job file. Lists
// give their new length and the elements that are new or changed.
type journalLine struct {
	Name     string                     `json:"name"`
	Set      map[string]json.RawMessage `json:"set,omitempty"`
	Readings *journalList               `json:"readings,omitempty"`
	Tapes    *journalList               `json:"tapes,omitempty"`
}

type journalList struct {
	Length int                     `json:"length"`
	At     map[int]json.RawMessage `json:"at,omitempty"`
}

// journalPath is where the journal of a job file stands.
func journalPath(path string) string { return path + ".journal" }

// Journal is an open journal. For one goroutine.
type Journal struct {
	f    *os.File
	last *Job
	now  parts // of last
}

// OpenJournal opens the journal beside a job file whose saved state is base,
// and goes on at its end; where there is none that continues base, a new one is
// begun. One that continues something else is kept as path.journal.old.
func OpenJournal(path string, base *Job) (*Journal, error) {
	name := journalPath(path)
	steps, _, err := Replay(path, base)
	if err != nil {
		return nil, err
	}
	last := base
	if len(steps) > 0 {
		last = steps[len(steps)-1].Job
	} else if info, err := os.Stat(name); err == nil && info.Size() > 0 && !continues(name, base) {
		if err := os.Rename(name, name+".old"); err != nil {
			return nil, fmt.Errorf("board: %w", err)
		}
	}
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o644)
	if err != nil {
		return nil, fmt.Errorf("board: %w", err)
	}
	jn := &Journal{f: f}
	if err := jn.settle(last); err != nil {
		f.Close()
		return nil, err
	}
	if len(steps) == 0 {
		if err := jn.Reset(base); err != nil {
			f.Close()
			return nil, err
		}
		return jn, nil
	}
	if err := jn.dropTorn(); err != nil {
		f.Close()
		return nil, fmt.Errorf("board: %w", err)
	}
	return jn, nil
}

// continues says whether a journal starts from base.
func continues(name string, base *Job) bool {
	f, err := os.Open(name)
	if err != nil {
		return false
	}
	defer f.Close()
	line, err := bufio.NewReader(f).ReadBytes('\n')
	if err != nil {
		return false
	}
	var head journalHead
	want, err := Sum(base)
	return err == nil && json.Unmarshal(line, &head) == nil && head.Base == want
}

// dropTorn cuts off a last line that was not written to its end and puts the
// pen behind the last whole one.
func (jn *Journal) dropTorn() error {
	data, err := os.ReadFile(jn.f.Name())
	if err != nil {
		return err
	}
	end := int64(bytes.LastIndexByte(data, '\n') + 1)
	if err := jn.f.Truncate(end); err != nil {
		return err
	}
	_, err = jn.f.Seek(end, 0)
	return err
}

// Append writes one edit, from before to after, and syncs it. About 2 ms for
// 500 readings.
func (jn *Journal) Append(name string, before, after *Job) error {
	if before != jn.last {
		if err := jn.settle(before); err != nil {
			return err
		}
	}
	next, err := partsOf(after)
	if err != nil {
		return err
	}
	line, err := json.Marshal(jn.now.to(next, name))
	if err != nil {
		return fmt.Errorf("board: %w", err)
	}
	if err := jn.write(line); err != nil {
		return err
	}
	jn.last, jn.now = after, next
	return nil
}

// Reset empties the journal: from now on it continues base.
func (jn *Journal) Reset(base *Job) error {
	hash, err := Sum(base)
	if err != nil {
		return err
	}
	head, err := json.Marshal(journalHead{journalFormat, hash})
	if err != nil {
		return fmt.Errorf("board: %w", err)
	}
	if err := jn.f.Truncate(0); err != nil {
		return fmt.Errorf("board: %w", err)
	}
	if _, err := jn.f.Seek(0, 0); err != nil {
		return fmt.Errorf("board: %w", err)
	}
	if err := jn.write(head); err != nil {
		return err
	}
	return jn.settle(base)
}

// Close lets go of the file. A journal without edits is removed.
func (jn *Journal) Close() error {
	data, err := os.ReadFile(jn.f.Name())
	empty := err == nil && bytes.Count(data, []byte("\n")) <= 1
	if err := jn.f.Close(); err != nil {
		return fmt.Errorf("board: %w", err)
	}
	if empty {
		return os.Remove(jn.f.Name())
	}
	return nil
}

func (jn *Journal) settle(j *Job) (err error) {
	jn.last = j
	jn.now, err = partsOf(j)
	return err
}

func (jn *Journal) write(line []byte) error {
	if _, err := jn.f.Write(append(line, '\n')); err != nil {
		return fmt.Errorf("board: %w", err)
	}
	if err := jn.f.Sync(); err != nil {
		return fmt.Errorf("board: %w", err)
	}
	return nil
}

// Replay reads the journal beside a job file whose content is base and gives
// the states after each edit, oldest first. No journal is no step. A journal
// that continues another state than base is not replayed, and the note says so;
// a damaged or torn line ends the replay with a note.
func Replay(path string, base *Job) (steps []Step, notes []string, err error) {
	data, err := os.ReadFile(journalPath(path))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, fmt.Errorf("board: %w", err)
	}
	if len(data) == 0 {
		return nil, nil, nil
	}
	return replay(data, base)
}

// replay is Replay of a journal's bytes.
func replay(data []byte, base *Job) (steps []Step, notes []string, err error) {
	want, err := Sum(base)
	if err != nil {
		return nil, nil, err
	}
	first, rest, whole := bytes.Cut(data, []byte("\n"))
	var head journalHead
	if !whole || json.Unmarshal(first, &head) != nil || head.Format != journalFormat {
		return nil, []string{"The journal beside the file cannot be read; it was set aside."}, nil
	}
	if head.Base != want {
		return nil, []string{"The journal beside the file belongs to another state of it; it was set aside as .journal.old."}, nil
	}
	now, err := partsOf(base)
	if err != nil {
		return nil, nil, err
	}
	for n := 2; len(rest) > 0; n++ {
		line, after, whole := bytes.Cut(rest, []byte("\n"))
		if !whole {
			return steps, append(notes, "The last edit was being written when the program stopped; it is not there."), nil
		}
		rest = after
		var l journalLine
		var job *Job
		err := json.Unmarshal(line, &l)
		if err == nil {
			now, err = now.with(l)
		}
		if err == nil {
			job, err = now.job()
		}
		if err != nil {
			return steps, append(notes, fmt.Sprintf("Line %d of the journal is damaged (%v); the edits from there on are not there.", n, err)), nil
		}
		steps = append(steps, Step{Name: l.Name, Job: job})
	}
	return steps, notes, nil
}

// parts is a job's JSON taken apart: its fields, and the elements of its lists.
type parts struct {
	fields          map[string]json.RawMessage // without the lists
	readings, tapes []json.RawMessage
}

func partsOf(j *Job) (p parts, err error) {
	body, err := encodeJob(j)
	if err != nil {
		return p, err
	}
	return takeApart(body)
}

func takeApart(body []byte) (p parts, err error) {
	if err := json.Unmarshal(body, &p.fields); err != nil {
		return p, fmt.Errorf("board: %w", err)
	}
	for name, list := range map[string]*[]json.RawMessage{"readings": &p.readings, "tapes": &p.tapes} {
		if raw, ok := p.fields[name]; ok {
			if err := json.Unmarshal(raw, list); err != nil {
				return p, fmt.Errorf("board: %w", err)
			}
		}
		delete(p.fields, name)
	}
	return p, nil
}

// to is the edit that makes q of p.
func (p parts) to(q parts, name string) journalLine {
	l := journalLine{Name: name, Readings: change(p.readings, q.readings), Tapes: change(p.tapes, q.tapes)}
	for k, v := range q.fields {
		if !bytes.Equal(p.fields[k], v) {
			if l.Set == nil {
				l.Set = map[string]json.RawMessage{}
			}
			l.Set[k] = v
		}
	}
	return l
}

// change is what makes list b of list a; nil for nothing.
func change(a, b []json.RawMessage) *journalList {
	l := &journalList{Length: len(b)}
	for i, v := range b {
		if i >= len(a) || !bytes.Equal(a[i], v) {
			if l.At == nil {
				l.At = map[int]json.RawMessage{}
			}
			l.At[i] = v
		}
	}
	if l.At == nil && len(a) == len(b) {
		return nil
	}
	return l
}

// with is p after an edit.
func (p parts) with(l journalLine) (parts, error) {
	q := parts{fields: map[string]json.RawMessage{}}
	for k, v := range p.fields {
		q.fields[k] = v
	}
	for k, v := range l.Set {
		q.fields[k] = v
	}
	var err error
	if q.readings, err = l.Readings.apply(p.readings); err == nil {
		q.tapes, err = l.Tapes.apply(p.tapes)
	}
	return q, err
}

// apply is list a after a change.
func (l *journalList) apply(a []json.RawMessage) ([]json.RawMessage, error) {
	if l == nil {
		return a, nil
	}
	if l.Length < 0 || l.Length > len(a)+len(l.At) {
		return nil, errors.New("its list has a wrong length")
	}
	b := make([]json.RawMessage, l.Length)
	copy(b, a)
	for i, v := range l.At {
		if i < 0 || i >= l.Length {
			return nil, errors.New("its list has a wrong place")
		}
		b[i] = v
	}
	for _, v := range b {
		if v == nil {
			return nil, errors.New("its list has a hole")
		}
	}
	return b, nil
}

// job is the job that the parts make.
func (p parts) job() (*Job, error) {
	whole := map[string]any{"readings": p.readings, "tapes": p.tapes}
	for k, v := range p.fields {
		whole[k] = v
	}
	body, err := json.Marshal(whole)
	if err != nil {
		return nil, err
	}
	f, _, err := strictly[fileJob](body)
	if err != nil {
		return nil, err
	}
	j, _, err := f.evaluated()
	return j, err
}
