package board

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"os"
	"path/filepath"
)

// The journal stands beside the job file (path + ".journal") and holds what was
// edited since the file was saved: JSON, a line each with a checksum of its own.
//
//	{"crc": "…", "begin": {"format": "panewright journal", "version": 1, "continues": "<sha256 of the saved job>"}}
//	{"crc": "…", "edit": {"name": "Type station 12", "readings": {"at": 11, "cut": 0, "put": […]}}}
//
// An edit is the difference to the job before it: the settings that changed under
// "set", and for readings and tapes the one stretch that was replaced.
const (
	journalFormat  = "panewright journal"
	journalVersion = 1
	maxJournal     = 512 << 20 // bytes
)

// journalLine is one line: a begin or an edit, raw so that its checksum can be taken.
type journalLine struct {
	CRC   string          `json:"crc"`
	Begin json.RawMessage `json:"begin,omitempty"`
	Edit  json.RawMessage `json:"edit,omitempty"`
}

// journalBegin is what the first line says.
type journalBegin struct {
	Format    string `json:"format"`
	Version   int    `json:"version"`
	Continues string `json:"continues"`
}

// Journal appends edits to the journal of one job file. For one goroutine.
type Journal struct {
	path  string
	f     *os.File
	size  int64 // bytes of whole lines
	edits int
}

// JournalPath is where the journal of a job file stands.
func JournalPath(path string) string { return path + ".journal" }

// OpenJournal opens the journal beside the job file at path, to go on behind the
// edits that Replay gives; where there is none it is begun. base is the job as
// the file holds it. A torn last line is cut off. What cannot be replayed
// otherwise, a journal that continues another state or what lies behind a damage,
// is put aside as path + ".journal.old", ".journal.old2" and so on, never deleted.
func OpenJournal(path string, base *Job) (*Journal, error) {
	jn := &Journal{path: JournalPath(path)}
	data, err := readJournal(jn.path)
	if err != nil {
		return nil, fmt.Errorf("board: journal: %w", err)
	}
	s, err := scanJournal(data, base)
	if err != nil {
		return nil, err
	}
	if s.end < len(data) && !s.torn {
		if err := putAside(jn.path+".old", data); err != nil {
			return nil, fmt.Errorf("board: journal: %w", err)
		}
	}
	if s.end == 0 {
		return jn, jn.Reset(base)
	}
	jn.size, jn.edits = int64(s.end), len(s.steps)
	if jn.f, err = os.OpenFile(jn.path, os.O_RDWR|os.O_APPEND, 0o644); err != nil {
		return nil, fmt.Errorf("board: journal: %w", err)
	}
	if err := firstError(jn.f.Truncate(jn.size), jn.f.Sync()); err != nil {
		jn.f.Close()
		return nil, fmt.Errorf("board: journal: %w", err)
	}
	return jn, nil
}

// Append writes the edit that made after out of before, and syncs it: when
// Append returns, the edit outlives a power cut. name is what Undo offers; an
// undo is appended like an edit. About 0.1 ms for 500 readings, and one sync.
func (jn *Journal) Append(name string, before, after *Job) error {
	if jn.f == nil {
		return errors.New("board: journal: it is closed")
	}
	p, err := difference(name, before, after)
	if err != nil {
		return fmt.Errorf("board: journal: %w", err)
	}
	body, err := marshal(p)
	if err != nil {
		return fmt.Errorf("board: journal: %w", err)
	}
	if err := jn.write(journalLine{CRC: checksum(body), Edit: body}); err != nil {
		return fmt.Errorf("board: journal: %w", err)
	}
	jn.edits++
	return nil
}

// Reset begins the journal anew, behind a job that has just been saved.
func (jn *Journal) Reset(base *Job) error {
	sum, err := Sum(base)
	if err != nil {
		return err
	}
	body, err := marshal(journalBegin{journalFormat, journalVersion, sum})
	if err != nil {
		return fmt.Errorf("board: journal: %w", err)
	}
	if err := jn.begin(journalLine{CRC: checksum(body), Begin: body}); err != nil {
		return fmt.Errorf("board: journal: %w", err)
	}
	return nil
}

// begin puts a journal of one line in the place of the one there.
func (jn *Journal) begin(l journalLine) error {
	line, err := marshal(l)
	if err != nil {
		return err
	}
	if jn.f != nil {
		jn.f.Close() // every line in it is synced
		jn.f = nil
	}
	beside, err := writeBeside(jn.path, append(line, '\n'), 0o644)
	if err != nil {
		return err
	}
	if err := os.Rename(beside, jn.path); err != nil {
		os.Remove(beside)
		return err
	}
	syncFolder(filepath.Dir(jn.path))
	jn.f, err = os.OpenFile(jn.path, os.O_RDWR|os.O_APPEND, 0o644)
	jn.size, jn.edits = int64(len(line)+1), 0
	return err
}

// Close lets go of the file. A journal without edits is removed, others stay.
func (jn *Journal) Close() error {
	if jn.f == nil {
		return nil
	}
	err := jn.f.Close()
	jn.f = nil
	if err == nil && jn.edits == 0 {
		err = os.Remove(jn.path)
	}
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("board: journal: %w", err)
	}
	return nil
}

// write appends a line and syncs it. One that could not be written whole is
// taken back, so that the next does not stand behind a torn one.
func (jn *Journal) write(l journalLine) error {
	line, err := marshal(l)
	if err != nil {
		return err
	}
	_, err = jn.f.Write(append(line, '\n'))
	if err = firstError(err, jn.f.Sync()); err != nil {
		_ = jn.f.Truncate(jn.size)
		return err
	}
	jn.size += int64(len(line) + 1)
	return nil
}

// nextLine takes the first line off a journal; size is its length in bytes with
// the line's end. ok is false where it is cut short or its checksum is wrong.
func nextLine(data []byte) (l journalLine, size int, ok bool) {
	end := bytes.IndexByte(data, '\n')
	if end < 0 {
		return l, len(data), false
	}
	if json.Unmarshal(data[:end], &l) != nil || (l.Begin == nil) == (l.Edit == nil) {
		return l, end + 1, false
	}
	return l, end + 1, l.CRC == checksum(append(l.Begin, l.Edit...))
}

// checksum is that of a line's content as it is written.
func checksum(b []byte) string { return fmt.Sprintf("%08x", crc32.ChecksumIEEE(b)) }
