package main

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// TestEndToEndShell goes through what lies round the work: the overview, the help,
// the preferences, the history and the job before this one, by keys alone.
func TestEndToEndShell(t *testing.T) {
	s := newScreen(t, 1280, 800)
	w := s.open("light", "-demo")
	w.wait("the shape", func(s state) bool { return s.Current })
	dialog := func(key, name string) {
		t.Helper()
		w.keys(key)
		w.wait(name, func(s state) bool { return s.Dialog == name })
		time.Sleep(300 * time.Millisecond)
		w.shot("shell-" + name)
	}
	closed := func(how ...string) state {
		t.Helper()
		w.keys(how...)
		return w.wait("the end of the dialog", func(s state) bool { return s.Dialog == "" })
	}
	dialog("F3", "overview")
	st := closed("Down", "Return")
	assert.Equal(t, "centre line", st.Step)
	assert.Contains(t, st.Status, "Centre line: found from the check stations")
	dialog("F1", "help")
	w.keys("Right", "Right", "Next")
	time.Sleep(300 * time.Millisecond)
	w.shot("shell-help-fit")
	closed("Escape")

	dialog("ctrl+comma", "preferences")
	w.keys("Tab", "Tab", "Tab", "Right") // to large type
	time.Sleep(500 * time.Millisecond)
	w.shot("shell-large")
	st = closed("Return")
	assert.Contains(t, st.Focus, "Sheet", "the keys are in the table again")
	w.resize(1280, 799)
	w.resize(1280, 800)
	assert.Equal(t, st.At, w.state().At, "laid out below the larger menu already")
	w.keys("ctrl+comma", "Tab", "Tab", "Tab", "Left", "Return")

	w.text("1\n2\n")
	dialog("ctrl+shift+y", "history")
	st = closed("End", "Down", "Down", "Down", "Return")
	assert.Empty(t, st.Undo, "back to the beginning")
	assert.NotEmpty(t, st.Redo)

	file := filepath.Join(t.TempDir(), "one.pane")
	w.keys("ctrl+shift+s")
	w.wait("the question where", func(s state) bool { return s.Dialog == "save as" })
	w.text(file + "\n")
	w.wait("the saving", func(s state) bool { return s.Path == file })
	w.keys("ctrl+n")
	w.wait("a new job", func(s state) bool { return len(s.Readings) == 0 })
	w.keys("ctrl+shift+o")
	w.wait("the job before", func(s state) bool { return s.Path == file })
	w.kill()
}
