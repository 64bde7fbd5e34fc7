package board

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// edits makes n edits in a history and writes each into a journal.
func edits(t testing.TB, h *History, jn *Journal, n int) {
	t.Helper()
	for i := range n {
		before := h.Job()
		name := fmt.Sprintf("Station %d", i)
		after, err := h.Edit(name, func(j *Job) error {
			switch {
			case i%7 == 6:
				return j.Delete(0)
			case i%5 == 4:
				j.Name = name
				j.Tapes = append(j.Tapes, Tape{From: "1", Length: j.Typed("900")})
				return nil
			}
			return j.Insert(len(j.Readings), Reading{ID: j.NextID(Edge), X: j.Typed(fmt.Sprint(i)), Y: j.Typed("12,5")})
		})
		require.NoError(t, err)
		require.NoError(t, jn.Append(name, before, after))
	}
}

func TestJournalReplaysEveryEdit(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	base := NewJob("a")
	require.NoError(t, Save(path, base))
	jn, err := OpenJournal(path, base)
	require.NoError(t, err)
	h := NewHistory(base)
	edits(t, h, jn, 40)

	steps, notes, err := Replay(path, base)
	require.NoError(t, err)
	require.Empty(t, notes)
	require.Len(t, steps, 40)
	require.True(t, h.Job().Equal(steps[39].Job))
	for i := 39; i >= 0; i-- {
		require.True(t, h.Job().Equal(steps[i].Job), i)
		require.Equal(t, h.UndoName(), steps[i].Name)
		h.Undo()
	}
	// and goes on where it stopped
	again, err := OpenJournal(path, base)
	require.NoError(t, err)
	h2 := NewHistory(base, steps...)
	edits(t, h2, again, 3)
	steps, _, err = Replay(path, base)
	require.NoError(t, err)
	require.Len(t, steps, 43)
}

// TestJournalCutAnywhere cuts the journal after every byte: what was whole is
// there, and going on after the cut works.
func TestJournalCutAnywhere(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.pane")
	base := NewJob("a")
	jn, err := OpenJournal(path, base)
	require.NoError(t, err)
	h := NewHistory(base)
	edits(t, h, jn, 6)
	data, err := os.ReadFile(journalPath(path))
	require.NoError(t, err)
	most := 0
	for n := range data {
		steps, notes, err := replay(data[:n], base)
		require.NoError(t, err)
		require.GreaterOrEqual(t, len(steps), most, "nothing whole is lost")
		most = len(steps)
		if n > 0 && data[n-1] != '\n' {
			require.NotEmpty(t, notes, "a torn line is said")
		}
	}
	require.Equal(t, 5, most)
	require.NoError(t, os.WriteFile(journalPath(path), data[:len(data)-3], 0o600))
	jn, err = OpenJournal(path, base)
	require.NoError(t, err)
	steps, _, err := Replay(path, base)
	require.NoError(t, err)
	h = NewHistory(base, steps...)
	edits(t, h, jn, 1)
	steps, notes, err := Replay(path, base)
	require.NoError(t, err)
	require.Empty(t, notes)
	require.Len(t, steps, 6)
}

func TestJournalOfAnotherStateIsSetAside(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	base := NewJob("a")
	jn, err := OpenJournal(path, base)
	require.NoError(t, err)
	edits(t, NewHistory(base), jn, 2)
	other := NewJob("b")
	steps, notes, err := Replay(path, other)
	require.NoError(t, err)
	require.Empty(t, steps)
	require.Len(t, notes, 1)
	_, err = OpenJournal(path, other)
	require.NoError(t, err)
	require.FileExists(t, journalPath(path)+".old")
}

func TestJournalResetAndClose(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	base := NewJob("a")
	jn, err := OpenJournal(path, base)
	require.NoError(t, err)
	h := NewHistory(base)
	edits(t, h, jn, 3)
	require.NoError(t, jn.Reset(h.Job()))
	steps, _, err := Replay(path, h.Job())
	require.NoError(t, err)
	require.Empty(t, steps)
	require.NoError(t, jn.Close())
	require.NoFileExists(t, journalPath(path))
}

func TestSaveKeepsTheLastFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.pane")
	require.NoError(t, Save(path, NewJob("one")))
	require.NoError(t, Save(path, NewJob("two")))
	j, notes, err := Load(path)
	require.NoError(t, err)
	require.Empty(t, notes)
	require.Equal(t, "two", j.Name)
	j, _, err = Load(path + ".bak")
	require.NoError(t, err)
	require.Equal(t, "one", j.Name)
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 2, "nothing else is left lying")
	require.Error(t, Save(filepath.Join(dir, "missing", "a.pane"), NewJob("x")))
}

func FuzzReplay(f *testing.F) {
	base := NewJob("a")
	sum, err := Sum(base)
	require.NoError(f, err)
	head := fmt.Sprintf("{\"format\":%q,\"base\":%q}\n", journalFormat, sum)
	f.Add([]byte(head + `{"name":"x","set":{"name":"b"}}` + "\n"))
	f.Add([]byte(head + `{"name":"x","readings":{"length":1,"at":{"0":{"kind":"edge","id":"1"}}}}` + "\n"))
	f.Add([]byte(head + `{"name":"x","readings":{"length":9999999}}` + "\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		steps, _, err := replay(data, base)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range steps {
			if s.Job.Validate() != nil {
				t.Fatal("an invalid job came out of the journal")
			}
		}
	})
}

func BenchmarkAppend(b *testing.B) {
	base := NewJob("a")
	for i := range 500 {
		base.Readings = append(base.Readings, Reading{ID: fmt.Sprint(i + 1), X: base.Typed("12.5"), Y: base.Typed("100"), Z: base.Typed("33")})
	}
	base.Evaluate()
	jn, err := OpenJournal(filepath.Join(b.TempDir(), "a.pane"), base)
	require.NoError(b, err)
	before := base
	for i := 0; b.Loop(); i++ {
		after := before.Clone()
		after.Readings[i%500].X = after.Typed(fmt.Sprint(i))
		after.Evaluate()
		require.NoError(b, jn.Append("x", before, after))
		before = after
	}
}
