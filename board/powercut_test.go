package board_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"panewright/board"
	"panewright/testdata/faults"
)

// sitting is a person at work on a job: edits that are journaled, and saves.
type sitting struct {
	store board.Store
	h     *board.History
	jn    *board.Journal
	acked *board.Job // what the program said is kept
	typed *board.Job // and what was under way when the power went
	saved bool       // once at least
}

const cutPath = "bench/a.pane"

// work does n things and stops at the first that fails.
func (s *sitting) work(n int) error {
	base := board.NewJob("a")
	s.h = board.NewHistory(base)
	s.acked, s.typed = base, base
	var err error
	if s.jn, err = s.store.OpenJournal(cutPath, base); err != nil {
		return err
	}
	for i := range n {
		if i%4 == 3 {
			if err := s.save(); err != nil {
				return err
			}
			continue
		}
		j, err := s.h.Edit(fmt.Sprint("Edit ", i), func(j *board.Job) error {
			return j.Insert(0, board.Reading{ID: j.NextID(board.Edge), X: j.Typed(fmt.Sprint(i)), Y: j.Typed("7")})
		})
		if err != nil {
			return err
		}
		s.typed = j
		if err := s.jn.Append("Edit", j); err != nil {
			return err
		}
		s.acked = j
	}
	return nil
}

func (s *sitting) save() error {
	if err := s.jn.Saving(s.acked); err != nil {
		return err
	}
	if _, err := s.store.Save(cutPath, s.acked); err != nil {
		return err
	}
	s.saved = true
	return s.jn.Reset(s.acked)
}

// found reads what is on a disk as the program does when it is started again.
func found(t *testing.T, store board.Store) *board.Job {
	t.Helper()
	j := board.NewJob("a")
	if _, err := store.Disk.Stat(cutPath); err == nil {
		var notes []string
		j, notes, _, err = store.Load(cutPath)
		require.NoError(t, err)
		require.Empty(t, notes)
	}
	steps, notes, err := store.Replay(cutPath, j)
	require.NoError(t, err)
	for _, n := range notes {
		require.Contains(t, n, "cut off", "nothing but a line that was being written may be missing")
	}
	if len(steps) > 0 {
		j = steps[len(steps)-1].Job
	}
	return j
}

// TestPowerCuts takes the power away at every single step that the disk is asked
// for, and looks at the disk in several of the states that it may then be in: what
// was said to be kept is there, and nothing else than what was typed.
func TestPowerCuts(t *testing.T) {
	const things, states = 24, 8
	whole := &sitting{store: board.Store{Disk: faults.NewMemory()}}
	require.NoError(t, whole.work(things))
	steps := whole.store.Disk.(*faults.Memory).Ops()
	chance := rand.New(rand.NewPCG(1, 2))
	cuts := 0
	for at := 1; at <= steps; at++ {
		m := faults.NewMemory()
		m.OffAt = at
		s := &sitting{store: board.Store{Disk: m}}
		// closing a file that is synced and making sure of a name may fail unnoticed
		if err := s.work(things); err == nil {
			require.Same(t, s.typed, s.acked)
		}
		for range states {
			j := found(t, board.Store{Disk: m.AfterPowerCut(chance)})
			require.True(t, j.Equal(s.acked) || j.Equal(s.typed), "off at step %d of %d: %d readings, %d were kept", at, steps, len(j.Readings), len(s.acked.Readings))
			cuts++
		}
	}
	t.Logf("%d power cuts at %d steps, 0 readings lost", cuts, steps)
}
