package board

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The note of a file whose checksum does not agree.
const editedOutside = "edited outside the program"

// TestJobFileCutAnywhere cuts a job file after every byte: it is refused, or nothing
// but the line's end is missing.
func TestJobFileCutAnywhere(t *testing.T) {
	j := surveyed(12)
	data, err := Encode(j)
	require.NoError(t, err)
	for n := range data {
		got, _, err := Decode("a.pane", data[:n])
		if err != nil {
			require.Nil(t, got)
			require.ErrorIs(t, err, ErrNotJob, "cut after %d bytes", n)
			continue
		}
		require.True(t, got.Equal(j), "cut after %d bytes: read, and not the same", n)
		require.Equal(t, len(data)-1, n)
	}
	t.Logf("%d cuts, 0 read as another job", len(data))
}

// TestEveryBitOfAJobFileFlipped flips every bit: the file is refused, or read as the
// same job, or said to be edited outside the program.
func TestEveryBitOfAJobFileFlipped(t *testing.T) {
	j := surveyed(1)
	data, err := Encode(j)
	require.NoError(t, err)
	refused, said, same := 0, 0, 0
	for n := range data {
		for bit := range 8 {
			bad := append([]byte(nil), data...)
			bad[n] ^= 1 << bit
			got, notes, err := Decode("a.pane", bad)
			switch {
			case err != nil:
				require.Nil(t, got)
				refused++
			case strings.Contains(strings.Join(notes, " "), editedOutside):
				said++
			default:
				require.True(t, got.Equal(j), "byte %d, bit %d: another job, in silence: %q", n, bit, bad[max(0, n-20):n+20])
				same++
			}
		}
	}
	t.Logf("%d bits flipped: %d refused, %d said to be edited outside, %d the same job, 0 wrong in silence", 8*len(data), refused, said, same)
}

// TestEveryBitOfAJournalFlipped flips every bit of a journal: nothing false is made
// again, and what is missing is said.
func TestEveryBitOfAJournalFlipped(t *testing.T) {
	base := NewJob("a")
	jn, err := Store{}.OpenJournal(t.TempDir()+"/a.pane", base)
	require.NoError(t, err)
	h := NewHistory(base)
	work(t, h, jn, 3)
	require.NoError(t, jn.Saving(h.Job()))
	work(t, h, jn, 2)
	data, err := Store{}.read(jn.path, maxJournal)
	require.NoError(t, err)
	good, err := scanJournal(data, base)
	require.NoError(t, err)
	require.Len(t, good.steps, 5)
	for n := range data {
		for bit := range 8 {
			bad := append([]byte(nil), data...)
			bad[n] ^= 1 << bit
			s, err := scanJournal(bad, base)
			require.NoError(t, err)
			for i, step := range s.steps {
				require.True(t, step.Job.Equal(good.steps[i].Job), "byte %d, bit %d", n, bit)
				require.Equal(t, good.steps[i].Name, step.Name)
			}
			if len(s.steps) < len(good.steps) {
				require.Len(t, s.notes, 1, "byte %d, bit %d: edits are missing, in silence", n, bit)
			}
		}
	}
	t.Logf("%d bits flipped, 0 edits wrong", 8*len(data))
}

// TestOverfull: what would fill the memory is refused before it is read.
func TestOverfull(t *testing.T) {
	nest := func(n int) string { return strings.Repeat("[", n) + strings.Repeat("]", n) }
	file := func(text string) error {
		_, _, err := Decode("a.pane", []byte(`{"format": "panewright job", "version": 1, "job": {"name": `+"\n"+text+`}}`))
		require.ErrorIs(t, err, ErrNotJob)
		return err
	}
	require.ErrorContains(t, file(nest(maxDepth)), "line 2: more than 32 lists and objects stand in one another")
	require.ErrorContains(t, file("["+strings.Repeat("{},", maxReadings+1)+"0]"), "line 2: a list has more than 100000 rows")
	hundred := "[" + strings.Repeat("{},", 100) + "0]"
	require.ErrorContains(t, file("["+strings.Repeat(hundred+",\n", 50_000)+"0]"), "there are more than 4000000 lists and objects")
	for _, text := range []string{nest(maxDepth), "{\"name\": \"" + strings.Repeat(`[\"`, 100) + "\"}", "[" + strings.Repeat("1,", 1_000_000) + "1]", "}]}"} {
		why, _ := overfull([]byte(text))
		require.Empty(t, why)
	}
	why, _ := overfull([]byte(strings.Repeat(`{"a":`, 10_000_000)))
	require.NotEmpty(t, why)
}
