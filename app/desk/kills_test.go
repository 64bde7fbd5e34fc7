package desk

import (
	"bufio"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"panewright/board"
)

var (
	kills = flag.Int("kills", 30, "how often to kill a program at work")
	seed  = flag.Uint64("seed", 1, "of what is typed and when it is killed")
)

// Environment of a driver: the job, and what it types.
const (
	driverJob  = "PANEWRIGHT_DRIVER_JOB"
	driverSeed = "PANEWRIGHT_DRIVER_SEED"
)

// TestMain is a driver in place of the tests where it was started as one.
func TestMain(m *testing.M) {
	if path := os.Getenv(driverJob); path != "" {
		n, _ := strconv.ParseUint(os.Getenv(driverSeed), 10, 64)
		if err := drive(path, rand.New(rand.NewPCG(n, 0))); err != nil {
			fmt.Println("failed", err)
		}
		return
	}
	os.Exit(m.Run())
}

// drive opens a job and works on it until it is killed. It says, a line each, what
// it found ("open", the sum of the saved job, the edits replayed), what it is about
// to do ("try" with the sum of the job to come, "save") and what is done ("kept"
// with the microseconds it took, "saved").
func drive(path string, chance *rand.Rand) error {
	d := newDesk(func(func()) {}, instant)
	err := d.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		err = d.NewAt(path)
	}
	if err != nil {
		return err
	}
	steps, notes := d.Recovered()
	fmt.Println("open", sum(d.saved), steps, len(notes), d.held != nil)
	for n := 0; ; n++ {
		if chance.IntN(12) == 0 {
			fmt.Println("save")
			if err := d.Save(); err != nil {
				return err
			}
			fmt.Println("saved")
			continue
		}
		name := fmt.Sprint("Edit ", n)
		edit := anEdit(chance, len(d.State().Job.Readings))
		next, err := board.NewHistory(d.State().Job).Edit(name, edit)
		if err != nil {
			return err
		}
		if next == d.State().Job {
			continue // the same text again
		}
		fmt.Println("try", sum(next))
		began := time.Now()
		if err := d.Edit(name, edit); err != nil {
			return err
		}
		took := time.Since(began)
		if d.risk != "" {
			return errors.New(d.risk)
		}
		fmt.Println("kept", took.Microseconds())
	}
}

// anEdit is something that a person does to a job of n readings.
func anEdit(chance *rand.Rand, n int) func(*board.Job) error {
	text := fmt.Sprintf("%d.%d", chance.IntN(900), chance.IntN(10))
	at := chance.IntN(max(n, 1))
	switch what := chance.IntN(10); {
	case n == 0 || what < 3 && n < 200:
		return add(text)
	case what < 4:
		return func(j *board.Job) error { return j.Delete(at) }
	case what < 5:
		return func(j *board.Job) error { return j.Strike(at, "moved "+text) }
	case what < 6:
		return rename("screen " + text)
	}
	field := []string{"x", "y", "z", "note"}[chance.IntN(4)]
	return func(j *board.Job) error { return j.SetCell(at, field, text) }
}

func sum(j *board.Job) string {
	s, err := board.Sum(j)
	if err != nil {
		return "bad"
	}
	return s
}

// account is what a driver said before it was killed.
type account struct {
	base   string   // sum of the job in the file
	opened int      // edits replayed on opening
	since  []string // sums after every edit kept since the save
	trying string   // sum of the job that an edit under way makes
	saving bool     // a save is under way
	took   []int    // microseconds of every edit kept
	kept   int      // edits and saves
	saves  int
}

// read takes what the driver says in; the first line is an open.
func (a *account) read(t *testing.T, line, before string) {
	w := strings.Fields(line)
	switch w[0] {
	case "open":
		a.base = w[1]
		a.opened, _ = strconv.Atoi(w[2])
		require.Equal(t, "false", w[4], "a lock dies with its process")
		for range a.opened {
			a.since = append(a.since, before)
		}
	case "try":
		a.trying = w[1]
	case "kept":
		a.since, a.trying = append(a.since, a.trying), ""
		us, _ := strconv.Atoi(w[1])
		a.took = append(a.took, us)
		a.kept++
	case "save":
		a.saving = true
	case "saved":
		if len(a.since) > 0 {
			a.base, a.since = a.since[len(a.since)-1], nil
		}
		a.saving = false
		a.saves++
	default:
		require.Fail(t, "the driver stopped by itself", line)
	}
}

// last is the sum of the job as it was kept last.
func (a *account) last() string {
	if n := len(a.since); n > 0 {
		return a.since[n-1]
	}
	return a.base
}

// TestKills kills a program at work, again and again, and looks at what the next
// start finds: the file and its journal are whole, every edit that was kept is there,
// what was under way is there whole or not at all, and undo goes back, edit by edit,
// to the last save. More by -kills 1000 -seed N.
func TestKills(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.pane")
	chance := rand.New(rand.NewPCG(*seed, 1))
	var took []int
	kept, saves, midEdit, midSave, undone := 0, 0, 0, 0, 0
	before := ""
	for n := range *kills {
		a := killed(t, path, uint64(n)+*seed<<20, time.Duration(chance.IntN(40_000))*time.Microsecond, before)
		d, _ := open(t, instant)
		err := d.Open(path)
		if errors.Is(err, fs.ErrNotExist) {
			err = d.NewAt(path)
		}
		require.NoError(t, err, "kill %d", n)
		now := sum(d.State().Job)
		steps, notes := d.Recovered()
		for _, note := range notes {
			require.Contains(t, note, "cut off while it was written", "kill %d", n)
			require.NotEqual(t, a.trying, "", "kill %d: nothing was being written", n)
		}
		want := []int{len(a.since)}
		switch {
		case a.trying != "" && now == a.trying && now != a.last():
			want = []int{len(a.since) + 1}
			midEdit++
		case a.saving && steps == 0:
			want = []int{0}
			midSave++
			require.Equal(t, a.last(), now, "kill %d", n)
		default:
			require.Equal(t, a.last(), now, "kill %d: %d edits were kept", n, len(a.since))
			if a.trying != "" && a.trying == a.last() {
				want = append(want, len(a.since)+1)
			}
		}
		require.Contains(t, want, steps, "kill %d", n)
		for range steps {
			require.NotEmpty(t, d.State().Undo)
			d.history.Undo()
			undone++
		}
		if steps > 0 {
			require.Equal(t, a.base, sum(d.history.Job()), "kill %d: undo leads back to the last save", n)
		}
		require.Empty(t, d.history.UndoName())
		d.die()
		entries, err := os.ReadDir(dir)
		require.NoError(t, err)
		require.LessOrEqual(t, len(entries), 4, "kill %d: job, copy, journal, lock and nothing else", n)
		took = append(took, a.took...)
		kept, saves, before = kept+a.kept, saves+a.saves, now
	}
	slices.Sort(took)
	require.NotEmpty(t, took)
	t.Logf("%d kills (seed %d): %d edits kept, %d saves, %d kills within an edit, %d within a save, %d steps of undo offered, 0 lost", *kills, *seed, kept, saves, midEdit, midSave, undone)
	t.Logf("an edit was on the disk after %.2f ms (median), %.2f ms (99 of 100), %.2f ms (longest)",
		float64(took[len(took)/2])/1000, float64(took[len(took)*99/100])/1000, float64(took[len(took)-1])/1000)
}

// killed runs a driver on the job for so long, and is what it said. before is the
// sum of the job as it was found last.
func killed(t *testing.T, path string, seed uint64, after time.Duration, before string) *account {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), driverJob+"="+path, fmt.Sprintf("%s=%d", driverSeed, seed))
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	a := &account{}
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if a.base == "" {
			time.AfterFunc(after, func() { _ = cmd.Process.Kill() })
		}
		a.read(t, lines.Text(), before)
	}
	_ = cmd.Wait() // it was killed
	require.NotEmpty(t, a.base, "the driver did not open the job")
	return a
}
