package desk

import (
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/board"
	"panewright/testdata/faults"
)

// every tries every trouble at every step; else an eighth of them, each step by some.
var every = flag.Bool("every", false, "fail every step by every trouble")

// troubles are what can be the matter with a disk, and what is said of it.
var troubles = []struct {
	name string
	err  error
	says string
}{
	{"full", syscall.ENOSPC, "the disk is full"},
	{"no permission", syscall.EACCES, "is closed to you"},
	{"read only", syscall.EROFS, "its disk can only be read"},
	{"network gone", syscall.ESTALE, "cannot be reached"},
	{"unplugged", syscall.EIO, "cannot be reached"},
	{"short write", faults.ErrShort, "only a part"},
	{"anything else", syscall.EBUSY, "try again, or choose another place"},
}

// sitting opens a job with two readings saved and one in the journal, types, saves,
// and types on. It returns what was said.
func sitting(d *Desk, path string) (said []string) {
	say := func(err error) {
		if err != nil {
			said = append(said, err.Error())
		}
		if r := d.State().Risk; r != "" {
			said = append(said, r)
		}
	}
	if err := d.Open(path); err != nil {
		return []string{err.Error()}
	}
	say(nil)
	say(d.Edit("Add", add("30")))
	say(d.Edit("Add", add("40")))
	say(d.Save())
	say(d.Edit("Add", add("50")))
	return said
}

// begun is a job with two readings saved and one in the journal, as a stop leaves it.
func begun(t *testing.T) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "a.pane")
	d, _ := open(t, instant)
	d.store.Disk = &faults.Disk{}
	require.NoError(t, d.SaveAs(path))
	require.NoError(t, d.Edit("Add", add("1")))
	require.NoError(t, d.Edit("Add", add("10")))
	require.NoError(t, d.Save())
	require.NoError(t, d.Edit("Add", add("20")))
	d.die()
	return path
}

// texts are the x of all readings, as typed.
func texts(j *board.Job) string {
	var all []string
	for i := range j.Readings {
		all = append(all, j.Readings[i].X.Text)
	}
	return strings.Join(all, " ")
}

// TestFaults fails every single step that a sitting asks of the disk, by every
// trouble, once and from then on: the work stays in the window, the file is an old
// or the new one, what is the matter is said in words where edits are not kept or a
// save failed, and saving elsewhere brings everything out.
func TestFaults(t *testing.T) {
	path := begun(t)
	d, _ := open(t, instant)
	disk := &faults.Disk{}
	d.store.Disk = disk
	require.Empty(t, sitting(d, path))
	steps := disk.Ops()
	runs, stride := 0, 8
	if *every {
		stride = 1
	}
	for i, c := range troubles {
		for k, lasting := range []bool{false, true} {
			for at := 1 + (i+2*k)%stride; at <= steps; at += stride {
				if name := fmt.Sprintf("%s, step %d, lasting: %t", c.name, at, lasting); !faultRun(t, name, c.err, c.says, at, lasting) {
					t.Fatal(name)
				}
				runs++
			}
		}
	}
	t.Logf("%d faults at %d steps, 0 readings lost", runs, steps)
}

func faultRun(t *testing.T, name string, trouble error, says string, at int, lasting bool) bool {
	path := begun(t)
	d, _ := open(t, instant)
	failed := ""
	disk := &faults.Disk{Fail: func(op faults.Op) error {
		// a lasting trouble is one of writing, but for a network that is gone
		if trouble == faults.ErrShort && op.What != "write" {
			return nil
		}
		reads := op.What == "read" || op.What == "open" || op.What == "stat" || op.What == "close"
		if strings.HasPrefix(op.Path, filepath.Dir(path)) && (op.N == at || lasting && op.N > at && (!reads || trouble == syscall.ESTALE)) {
			failed = op.What
			return trouble
		}
		return nil
	}}
	d.store.Disk = disk
	said := sitting(d, path)
	d.Wait()
	if d.State().Path == "" { // it could not be opened: nothing was changed
		disk.Fail = nil
		return assert.NotEmpty(t, said, name) && reopened(t, path, "1 10 20")
	}
	all := "1 10 20 30 40 50"
	ok := assert.Equal(t, all, texts(d.State().Job), "the window keeps everything")
	for _, s := range said {
		ok = ok && assert.Contains(t, s, says, "%s (%s)", name, failed)
	}
	if lasting && failed != "" && at < disk.Ops()-4 {
		ok = ok && assert.NotEmpty(t, said, "a lasting trouble is said")
	}
	// what the disk holds now is a whole job, and all of it where nothing was said
	kept := d.State().Risk == ""
	elsewhere := filepath.Join(t.TempDir(), "b.pane")
	copied := copyOf(t, path)
	if kept {
		ok = ok && reopened(t, copied, all)
	} else {
		j, _, err := board.Load(copied)
		ok = ok && assert.NoError(t, err) && assert.Contains(t, []string{"1 10", "1 10 20 30 40"}, texts(j))
	}
	if !lasting { // the next edit heals it
		ok = ok && assert.NoError(t, d.Edit("Add", add("60"))) && assert.Empty(t, d.State().Risk, name)
		all += " 60"
		ok = ok && reopened(t, copyOf(t, path), all)
	}
	return ok && assert.NoError(t, d.SaveAs(elsewhere), "the way out") && reopened(t, copyOf(t, elsewhere), all)
}

// copyOf copies a job with what is beside it into a folder of its own.
func copyOf(t *testing.T, path string) string {
	t.Helper()
	to := filepath.Join(t.TempDir(), filepath.Base(path))
	for _, ext := range []string{"", ".journal", ".bak"} {
		if data, err := os.ReadFile(path + ext); err == nil {
			require.NoError(t, os.WriteFile(to+ext, data, 0o600))
		}
	}
	return to
}

// reopened opens a job as the program does after a stop.
func reopened(t *testing.T, path, want string) bool {
	t.Helper()
	d := newDesk(func(func()) {}, instant)
	d.store.Disk = &faults.Disk{}
	defer d.Close()
	return assert.NoError(t, d.Open(path)) && assert.Equal(t, want, texts(d.State().Job))
}

// TestAFolderThatMayNotBeWrittenTo is the real thing: rights taken away.
func TestAFolderThatMayNotBeWrittenTo(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "cupboard")
	require.NoError(t, os.Mkdir(dir, 0o755))
	path := filepath.Join(dir, "a.pane")
	require.NoError(t, board.Save(path, board.NewJob("a")))
	d, _ := open(t, instant)
	d.store.Disk = &faults.Disk{Fail: func(op faults.Op) error {
		if op.What == "create" || op.What == "rename" {
			return fs.ErrPermission // as root, who runs some tests, has every right
		}
		return nil
	}}
	require.NoError(t, d.Open(path))
	assert.Contains(t, d.State().Risk, "Edits are not kept beside the job, in file a.pane.journal: it, or the folder "+dir+", is closed to you: choose another place")
	require.NoError(t, d.Edit("Add", add("1")))
	assert.ErrorContains(t, d.Save(), "file a.pane: it, or the folder "+dir+", is closed to you")
	assert.Equal(t, "1", texts(d.State().Job))
}
