package board

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// work makes n edits of all sorts in a history and writes each into a journal.
func work(t testing.TB, h *History, jn *Journal, n int) {
	t.Helper()
	for i := range n {
		name := fmt.Sprintf("Edit %d of %d rows", i, len(h.Job().Readings))
		after, err := h.Edit(name, func(j *Job) error {
			switch {
			case i%7 == 6:
				return j.Delete(0)
			case i%5 == 4:
				j.Name = name
				j.Tapes = append(j.Tapes, Tape{From: "1", Length: j.Typed("900")})
				return nil
			case i%5 == 3:
				j.Grid.PitchX = j.Typed(fmt.Sprint(50 + i)) // every grid-line cell follows
				j.Plane = &TypedPlane{Skew: j.Typed("0.15")}
				j.Pocket.Wall += 0.25
				return nil
			case i%5 == 2:
				return j.Strike(len(j.Readings)-1, "slipped \u2028 <b>")
			}
			return j.Insert(len(j.Readings), Reading{ID: j.NextID(Edge), X: j.Typed(fmt.Sprintf("7+%d", i)), Y: j.Typed("12,5"), Z: j.Typed("abc")})
		})
		require.NoError(t, err)
		require.NoError(t, jn.Append(name, after))
	}
}

func TestJournalReplaysEveryEdit(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	base := NewJob("a")
	require.NoError(t, Save(path, base))
	jn, err := Store{}.OpenJournal(path, base)
	require.NoError(t, err)
	h := NewHistory(base)
	work(t, h, jn, 40)
	back, ok := h.Undo()
	require.True(t, ok)
	require.NoError(t, jn.Append("Undo", back))

	steps, notes, err := Store{}.Replay(path, base)
	require.NoError(t, err)
	require.Empty(t, notes)
	require.Len(t, steps, 41)
	require.True(t, back.Equal(steps[40].Job), "an undo is replayed like an edit")
	h.Redo()
	for i := 39; i >= 0; i-- {
		require.True(t, h.Job().Equal(steps[i].Job), i)
		require.Equal(t, h.UndoName(), steps[i].Name)
		h.Undo()
	}

	// the file and the journal, read by a program that begins now, go on where it stopped
	loaded, _, err := Load(path)
	require.NoError(t, err)
	jn, err = Store{}.OpenJournal(path, loaded)
	require.NoError(t, err)
	work(t, NewHistory(loaded, steps...), jn, 3)
	steps, notes, err = Store{}.Replay(path, loaded)
	require.NoError(t, err)
	require.Empty(t, notes)
	require.Len(t, steps, 44)
	require.NoError(t, jn.Close())
	require.FileExists(t, JournalPath(path), "a journal with edits stays")
	require.Error(t, jn.Append("late", base))
}

// A journal cut after any byte gives every whole edit, and goes on behind them.
func TestJournalCutAnywhere(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	base := NewJob("a")
	jn, err := Store{}.OpenJournal(path, base)
	require.NoError(t, err)
	work(t, NewHistory(base), jn, 6)
	require.NoError(t, jn.Close())
	data, err := os.ReadFile(JournalPath(path))
	require.NoError(t, err)
	for n := range len(data) + 1 {
		s, err := scanJournal(data[:n], base)
		require.NoError(t, err)
		whole := bytes.Count(data[:n], []byte("\n")) - 1
		require.Len(t, s.steps, max(whole, 0), "cut after %d bytes", n)
		if n > 0 && data[n-1] != '\n' {
			require.Len(t, s.notes, 1, "a torn line is said")
		} else {
			require.Empty(t, s.notes)
		}
	}
	require.NoError(t, os.WriteFile(JournalPath(path), data[:len(data)-3], 0o600))
	jn, err = Store{}.OpenJournal(path, base)
	require.NoError(t, err)
	steps, notes, err := Store{}.Replay(path, base)
	require.NoError(t, err)
	require.Empty(t, notes)
	require.Len(t, steps, 5)
	work(t, NewHistory(base, steps...), jn, 1)
	steps, notes, err = Store{}.Replay(path, base)
	require.NoError(t, err)
	require.Empty(t, notes)
	require.Len(t, steps, 6)
	require.NoFileExists(t, JournalPath(path)+".old")
}

// A byte changed anywhere is noticed: what stands before it is replayed, nothing
// false behind it, and the whole is put aside before the journal goes on.
func TestJournalDamagedAnywhere(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	base := NewJob("a")
	jn, err := Store{}.OpenJournal(path, base)
	require.NoError(t, err)
	work(t, NewHistory(base), jn, 4)
	data, err := os.ReadFile(JournalPath(path))
	require.NoError(t, err)
	good, err := scanJournal(data, base)
	require.NoError(t, err)
	for n := range data {
		bad := bytes.Clone(data)
		bad[n] ^= 1
		s, err := scanJournal(bad, base)
		require.NoError(t, err)
		for i, step := range s.steps {
			require.True(t, step.Job.Equal(good.steps[i].Job), "byte %d", n)
		}
		require.Less(t, len(s.steps), len(good.steps), "byte %d", n)
		require.Len(t, s.notes, 1, "byte %d", n)
	}
	second := bytes.IndexByte(data, '\n') + 40
	data[second] ^= 1
	require.NoError(t, os.WriteFile(JournalPath(path), data, 0o600))
	jn, err = Store{}.OpenJournal(path, base)
	require.NoError(t, err)
	kept, err := os.ReadFile(JournalPath(path) + ".old")
	require.NoError(t, err)
	require.Equal(t, data, kept)
	steps, notes, err := Store{}.Replay(path, base)
	require.NoError(t, err)
	require.Empty(t, steps)
	require.Empty(t, notes)
	work(t, NewHistory(base), jn, 2)
	steps, _, err = Store{}.Replay(path, base)
	require.NoError(t, err)
	require.Len(t, steps, 2)
}

func TestJournalOfAnotherStateIsPutAside(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	for i := range 3 {
		base := NewJob(fmt.Sprint(i))
		jn, err := Store{}.OpenJournal(path, base)
		require.NoError(t, err)
		work(t, NewHistory(base), jn, 2)
		other := NewJob("other")
		steps, notes, err := Store{}.Replay(path, other)
		require.NoError(t, err)
		require.Empty(t, steps)
		require.Len(t, notes, 1)
		assert.Contains(t, notes[0], "another state")
	}
	require.FileExists(t, JournalPath(path)+".old")
	require.FileExists(t, JournalPath(path)+".old2", "nothing that was put aside is written over")

	require.NoError(t, os.WriteFile(JournalPath(path), []byte("not a journal\n\x00\x00"), 0o600))
	_, notes, err := Store{}.Replay(path, NewJob("a"))
	require.NoError(t, err)
	assert.Contains(t, notes[0], "cannot be read")
	newer := []byte(`{"format":"panewright journal","version":2,"continues":""}`)
	line := fmt.Sprintf("{\"crc\":%q,\"begin\":%s}\n", checksum(newer), newer)
	require.NoError(t, os.WriteFile(JournalPath(path), []byte(line), 0o600))
	_, notes, err = Store{}.Replay(path, NewJob("a"))
	require.NoError(t, err)
	assert.Contains(t, notes[0], "not written by this version")
}

// A stop between the writing of the file and the renewal of the journal loses
// nothing, repeats nothing and alarms nobody.
func TestJournalLeftBehindBySave(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	base := NewJob("a")
	require.NoError(t, Save(path, base))
	jn, err := Store{}.OpenJournal(path, base)
	require.NoError(t, err)
	h := NewHistory(base)
	work(t, h, jn, 5)
	require.NoError(t, jn.Saving(h.Job()))
	steps, _, err := Store{}.Replay(path, base)
	require.NoError(t, err)
	require.Len(t, steps, 5, "the save was not made: nothing is done with")
	require.NoError(t, Save(path, h.Job()))
	loaded, _, err := Load(path)
	require.NoError(t, err)
	steps, notes, err := Store{}.Replay(path, loaded)
	require.NoError(t, err)
	assert.Empty(t, steps)
	assert.Empty(t, notes)

	// nor where the journal could not be renewed and the work went on
	work(t, h, jn, 2)
	jn, err = Store{}.OpenJournal(path, loaded)
	require.NoError(t, err)
	work(t, h, jn, 1)
	steps, notes, err = Store{}.Replay(path, loaded)
	require.NoError(t, err)
	assert.Empty(t, notes)
	require.Len(t, steps, 3)
	assert.True(t, steps[2].Job.Equal(h.Job()))
}

func TestJournalResetAndClose(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	base := NewJob("a")
	jn, err := Store{}.OpenJournal(path, base)
	require.NoError(t, err)
	h := NewHistory(base)
	work(t, h, jn, 3)
	require.NoError(t, jn.Reset(h.Job()))
	steps, notes, err := Store{}.Replay(path, h.Job())
	require.NoError(t, err)
	require.Empty(t, steps)
	require.Empty(t, notes)
	require.NoError(t, jn.Close())
	require.NoError(t, jn.Close(), "twice does no harm")
	require.NoFileExists(t, JournalPath(path), "a journal without edits is removed")
	steps, notes, err = Store{}.Replay(path, base)
	require.NoError(t, err)
	require.Empty(t, steps)
	require.Empty(t, notes)
	_, err = Store{}.OpenJournal(filepath.Join(t.TempDir(), "missing", "a.pane"), base)
	require.Error(t, err)
}

// Patches carry any difference between jobs, there and back.
func TestPatchMakesAnyJobOfAnyOther(t *testing.T) {
	jobs := []*Job{NewJob("a"), surveyed(1), surveyed(60), surveyed(61)}
	reversed := surveyed(60).Clone()
	for i, k := 0, len(reversed.Readings)-1; i < k; i, k = i+1, k-1 {
		reversed.Readings[i], reversed.Readings[k] = reversed.Readings[k], reversed.Readings[i]
	}
	reversed.Tapes = nil
	jobs = append(jobs, reversed)
	for i, a := range jobs {
		for k, b := range jobs {
			p, err := difference("x", a, b)
			require.NoError(t, err)
			got, err := p.apply(a)
			require.NoError(t, err)
			require.True(t, got.Equal(b), "from %d to %d", i, k)
			if i == k {
				require.Nil(t, p.Readings)
				require.Nil(t, p.Set)
			}
		}
	}
}

func FuzzReplay(f *testing.F) {
	base := NewJob("a")
	base.Readings = []Reading{edgeAt(base, "1", "1", "2", "3")}
	base.Evaluate()
	sum, err := Sum(base)
	require.NoError(f, err)
	for _, body := range []string{
		`{"name":"x","set":{"name":"b"}}`,
		`{"name":"x","set":{"grid":{"lettered_lines":3}}}`,
		`{"name":"x","readings":{"at":1,"cut":0,"put":[{"kind":"face","id":"F1","x":{"text":"7+3","unit":"in"}}]}}`,
		`{"name":"x","readings":{"at":0,"cut":99,"put":[]}}`,
		`{"name":"x","tapes":{"at":-1,"cut":9223372036854775807}}`,
	} {
		f.Add([]byte(body))
	}
	begin := fmt.Sprintf(`{"format":%q,"version":1,"continues":%q}`, journalFormat, sum)
	head := fmt.Sprintf("{\"crc\":%q,\"begin\":%s}\n", checksum([]byte(begin)), begin)
	f.Fuzz(func(t *testing.T, body []byte) {
		for _, data := range [][]byte{
			body,
			append([]byte(head), body...),
			fmt.Appendf([]byte(head), "{\"crc\":%q,\"edit\":%s}\n", checksum(body), body),
		} {
			s, err := scanJournal(data, base)
			if err != nil {
				t.Fatal(err)
			}
			if s.end > len(data) {
				t.Fatal("read past the end")
			}
			for _, step := range s.steps {
				if err := step.Job.Validate(); err != nil {
					t.Fatalf("an invalid job came out of the journal: %v", err)
				}
			}
		}
	})
}

// The cost of one edit among 500 readings, the sync included.
func BenchmarkJournalAppend(b *testing.B) {
	base := surveyed(500)
	jn, err := Store{}.OpenJournal(filepath.Join(b.TempDir(), "a.pane"), base)
	require.NoError(b, err)
	before := base
	for i := 0; b.Loop(); i++ {
		after := before.Clone()
		after.Readings[i%500].X = after.Typed(fmt.Sprint(i % 1000))
		require.NoError(b, jn.Append("x", after))
		before = after
	}
}

// The same without the disk.
func BenchmarkJournalDifference(b *testing.B) {
	before := surveyed(500)
	after := before.Clone()
	after.Readings[250].X = after.Typed("12")
	for b.Loop() {
		p, err := difference("x", before, after)
		require.NoError(b, err)
		_, err = marshal(p)
		require.NoError(b, err)
	}
}
