package board

import (
	"fmt"
	"math"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every limit holds for every way in, and says so in words.
func TestLimits(t *testing.T) {
	j := NewJob("a")
	many := func(n int) func(*Job) error {
		return func(j *Job) error { j.Readings = make([]Reading, n); return nil }
	}
	long := strings.Repeat("x", maxNote+1)
	table := func(row string) error {
		_, err := ReadReadings(strings.NewReader("kind;id;x;y;z;note\n"+row), "a.csv", j)
		return err
	}
	edit := func(f func(*Job) error) error {
		_, err := NewHistory(j).Edit("x", f)
		return err
	}
	file := func(part string) error {
		text := fmt.Sprintf(`{"format": %q, "version": 1, "job": {"name": "a", "cut": 1, "grid": {"lettered_lines": 1}, %s}}`, fileFormat, part)
		_, _, err := Decode("a.pane", []byte(text))
		return err
	}
	journal := func(edit string) error {
		sum, err := Sum(j)
		require.NoError(t, err)
		begin := fmt.Sprintf(`{"format":%q,"version":1,"continues":%q}`, journalFormat, sum)
		s, err := scanJournal(fmt.Appendf(nil, "{\"crc\":%q,\"begin\":%s}\n{\"crc\":%q,\"edit\":%s}\n", checksum([]byte(begin)), begin, checksum([]byte(edit)), edit), j)
		require.NoError(t, err)
		require.Empty(t, s.steps)
		require.Len(t, s.notes, 1)
		return fmt.Errorf("%s", s.notes[0])
	}
	rows := func(n int) string { return strings.TrimSuffix(strings.Repeat("{},", n), ",") }
	for _, c := range []struct {
		name string
		err  error
		says string
	}{
		{"rows typed", edit(many(maxReadings + 1)), "100001 readings and 0 taped widths are more than a job holds (100000 and 10000)"},
		{"rows of a table", table(strings.Repeat("edge;1;1;1;1\n", maxReadings+1)), "a.csv, row 100002: the table has more than 100000 rows"},
		{"rows of a file", file(`"readings": [` + rows(maxReadings+1) + `]`), "a list has more than 100000 rows"},
		{"rows of a journal", journal(`{"name":"x","readings":{"at":0,"cut":0,"put":[` + rows(maxReadings+1) + `]}}`), "cut off"},
		{"tapes of a file", file(`"tapes": [` + rows(maxTapes+1) + `]`), "10001 taped widths"},
		{"note typed", edit(func(j *Job) error { j.Name = long; return nil }), "board: name: the text is too long (4001 bytes, at most 4000)"},
		{"note of a table", table("edge;1;1;1;1;" + long), "row 2, column note: the text is too long"},
		{"note of a file", file(`"readings": [{"kind": "edge", "id": "1", "note": "` + long + `"}]`), "the text is too long"},
		{"note of a journal", journal(`{"name":"x","set":{"name":"` + long + `"}}`), "the text is too long"},
		{"number", edit(func(j *Job) error { j.Readings = []Reading{{X: j.Typed(long)}}; return nil }), "board: x: the text is too long"},
		{"control characters", edit(func(j *Job) error { j.Name = "a\x1b[2J"; return nil }), "control character"},
		{"bytes", edit(func(j *Job) error { j.Name = "a\xff"; return nil }), "bytes that are no characters"},
		{"lines across", edit(func(j *Job) error { j.Grid.ColLast = maxLines + 1; return nil }), "neither past 702"},
		{"depth of a journal", journal(`{"name":"x","set":{"name":` + strings.Repeat("[", maxDepth) + strings.Repeat("]", maxDepth) + `}}`), "cut off"},
		{"length", func() error { _, _, err := Parse("100001", AxisX, MM, false, Grid{}); return err }(), "longer than any board"},
		{"huge number", func() error { _, _, err := Parse("1e999", AxisX, MM, false, Grid{}); return err }(), "longer than any board"},
		{"angle", func() error { _, _, err := Parse("91", AxisAngle, MM, false, Grid{}); return err }(), "more than a right angle"},
	} {
		if assert.Error(t, c.err, c.name) {
			assert.Contains(t, c.err.Error(), c.says, c.name)
			assert.Less(t, len(c.err.Error()), 400, "%s: a message, no flood", c.name)
		}
	}
}

// A job that could not be read again is not written.
func TestNoFileIsWrittenThatCannotBeRead(t *testing.T) {
	j := NewJob("a")
	for range 17_000 {
		j.Readings = append(j.Readings, Reading{Note: strings.Repeat("n", maxNote)})
	}
	require.NoError(t, j.Validate())
	path := filepath.Join(t.TempDir(), "a.pane")
	require.NoError(t, Save(path, NewJob("a")))
	require.ErrorContains(t, Save(path, j), "at most 64 can be read again: take readings or cuts out")
	_, _, err := Load(path)
	require.NoError(t, err)
}

// A journal that has grown too long says so and loses nothing.
func TestAJournalThatIsFull(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	base := NewJob("a")
	jn, err := Store{}.OpenJournal(path, base)
	require.NoError(t, err)
	h := NewHistory(base)
	work(t, h, jn, 2)
	size := jn.size
	jn.size = maxJournal
	after, err := h.Edit("x", func(j *Job) error { j.Name = "b"; return nil })
	require.NoError(t, err)
	require.ErrorContains(t, jn.Append("x", after), "the journal has grown to 512 MB: save the job")
	jn.size = size
	require.NoError(t, jn.Append("x", after))
	steps, _, err := Store{}.Replay(path, base)
	require.NoError(t, err)
	require.Len(t, steps, 3)
}

// TestNoNumberThatIsNone puts what is no number into every place of a job that holds
// one: the job is refused, or the place follows from a text and is read anew.
func TestNoNumberThatIsNone(t *testing.T) {
	full := func() *Job {
		j := NewJob("demo")
		j.Plane = &TypedPlane{}
		j.Readings = []Reading{{ID: "1", X: j.Typed("12")}}
		j.Tapes = []Tape{{From: "1"}}
		addCuts(j)
		j.Evaluate()
		return j
	}
	tried, refused := 0, 0
	try := func(root func(*Job) reflect.Value) {
		var paths []string
		leaves(root(full()), "", func(path string, v reflect.Value) {
			if v.Kind() == reflect.Float64 {
				paths = append(paths, path)
			}
		})
		for _, at := range paths {
			for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
				spoilt := func(j *Job) {
					leaves(root(j), "", func(path string, v reflect.Value) {
						if path == at {
							v.SetFloat(bad)
						}
					})
				}
				h := NewHistory(full())
				j, err := h.Edit("x", func(j *Job) error { spoilt(j); return nil })
				tried++
				if err != nil {
					refused++
					assert.NotContains(t, at, "MM", "a cell's value follows from its text")
					continue
				}
				assert.True(t, j.Equal(full()), "%s: %g is in the job", at, bad)
			}
		}
	}
	try(func(j *Job) reflect.Value { return reflect.ValueOf(j).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(&j.Readings[0]).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(&j.Tapes[0]).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(j.Plane).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(&j.Cuts[0]).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(j.Cuts[0].Shape).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(&j.Gaps[0]).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(&j.Distances[0]).Elem() })
	require.Greater(t, refused, 100)
	t.Logf("%d tried, %d refused, the others read anew from their texts", tried, refused)
}
