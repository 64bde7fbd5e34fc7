package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/board"
)

// TestEndToEndFiles opens one job in two windows, kills the first, and saves over
// what somebody else has changed.
func TestEndToEndFiles(t *testing.T) {
	s := newScreen(t, 1280, 800)
	file := filepath.Join(t.TempDir(), "rear-screen.pane")
	require.NoError(t, board.Save(file, board.NewJob("Rear screen")))
	one := s.open("light", file)
	one.text("10\n20\n30\n")
	one.wait("a station", func(s state) bool { return len(s.rows("edge")) == 1 && s.Row == 1 })

	two := s.open("dark", file)
	st := two.wait("that the job is taken", func(s state) bool { return s.Dialog == "held" })
	assert.Len(t, st.rows("edge"), 1, "what is not saved is seen too")
	two.shot("held")
	two.keys("Escape")
	two.wait("the window under it", func(s state) bool { return s.Dialog == "" })
	two.text("5\n")
	two.wait("the refusal", func(s state) bool { return len(s.rows("edge")) == 1 && s.Status != "" })
	two.shot("only-to-look-at")
	two.kill()
	one.kill()

	one = s.open("dark", file)
	st = one.wait("what the kill left", func(s state) bool { return s.Dialog != "" })
	assert.Equal(t, "recovered", st.Dialog, "a lock dies with its process")
	one.keys("Return")
	one.wait("the window under it", func(s state) bool { return s.Dialog == "" })
	theirs := board.NewJob("Theirs")
	require.NoError(t, board.Save(file, theirs))
	one.keys("ctrl+s")
	one.wait("the question", func(s state) bool { return s.Dialog == "changed outside" })
	one.shot("changed-outside")
	one.keys("Escape")
	one.wait("the window under it", func(s state) bool { return s.Dialog == "" })
	require.NoError(t, os.RemoveAll(filepath.Dir(file)))
	one.text("40\n")
	one.wait("that edits are not kept", func(s state) bool { return s.Dialog == "at risk" })
	one.shot("at-risk")
	one.keys("Escape")
	one.wait("the window under it", func(s state) bool { return s.Dialog == "" })
	one.keys("ctrl+s")
	st = one.wait("that it cannot be saved", func(s state) bool { return s.Dialog == "cannot save" })
	one.shot("cannot-save")
	assert.Equal(t, [][3]string{{"40", "20", "30"}}, st.rows("edge"), "the work is kept")
	one.kill()
}
