package handover

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"panewright/board"
)

var (
	kills = flag.Int("kills", 15, "how often to kill an export")
	seed  = flag.Uint64("seed", 1, "of when it is killed")
)

const driverDir = "PANEWRIGHT_DRIVER_DIR"

// TestMain exports until it is killed, in place of the tests, where it was started
// so.
func TestMain(m *testing.M) {
	dir := os.Getenv(driverDir)
	if dir == "" {
		os.Exit(m.Run())
	}
	for packs := twoPacks(&testing.T{}); ; {
		for _, state := range []string{"old", "new"} {
			old, err := occupied(dir, "a", false)
			if err == nil {
				err = put(context.Background(), board.Store{}, dir, "a", packs[state], old)
			}
			if err != nil {
				fmt.Println("failed", err)
				os.Exit(1)
			}
			fmt.Println("done")
		}
	}
}

// twoPacks are two states of a job's pack; one has files that the other has not.
func twoPacks(t testing.TB) map[string][]File {
	return map[string][]File{"old": invented(t, "old", 12), "new": invented(t, "new", 9)}
}

// TestKilledExports kills an export at random moments: every file, the zip among
// them, is of before or new and whole; a folder with some of each says so; and the
// next export goes through without being forced. More by -kills 1000 -seed N.
func TestKilledExports(t *testing.T) {
	dir := t.TempDir()
	packs := twoPacks(t)
	chance := rand.New(rand.NewPCG(*seed, 1))
	done, mixed, noted := 0, 0, 0
	for n := range *kills {
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), driverDir+"="+dir)
		out, err := cmd.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, cmd.Start())
		after, first := time.Duration(chance.IntN(30_000))*time.Microsecond, true
		for lines := bufio.NewScanner(out); lines.Scan(); first = false {
			require.Equal(t, "done", lines.Text(), "kill %d", n)
			if done++; first {
				time.AfterFunc(after, func() { _ = cmd.Process.Kill() })
			}
		}
		_ = cmd.Wait() // it was killed
		seen := states(t, dir, packs)
		_, err = os.Stat(filepath.Join(dir, unfinishedName))
		if len(seen) > 1 {
			mixed++
			require.NoError(t, err, "kill %d: some of each, and nothing says so", n)
		}
		if err == nil {
			noted++
		}
	}
	t.Logf("%d kills (seed %d): %d exports done, %d left files of before and new, %d with the note, 0 half files", *kills, *seed, done, mixed, noted)
}
