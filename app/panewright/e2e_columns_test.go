package main

import (
	"fmt"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// copyText puts a text into the clipboard of the screen, or skips where there is
// no tool for it.
func (s *screen) copyText(text string) {
	s.t.Helper()
	if _, err := exec.LookPath("xclip"); err != nil {
		s.t.Skip("xclip is not installed: pasting from another program is not tested")
	}
	c := exec.Command("xclip", "-selection", "clipboard")
	c.Env, c.Stdin = s.env, strings.NewReader(text)
	require.NoError(s.t, c.Run())
}

// TestEndToEndColumns pastes 500 rows with the names of their columns, sees what
// they were taken for, and agrees; undo takes all of them back.
func TestEndToEndColumns(t *testing.T) {
	s := newScreen(t, 1280, 800)
	var text strings.Builder
	text.WriteString("Point\tX (mm)\tY (mm)\tHeight\tRemark\n")
	edge := stations(500)
	for i, r := range edge {
		fmt.Fprintf(&text, "E%d\t%s\t%s\t%s\t\n", i+1, r[0], r[1], r[2])
	}
	text.WriteString("E501\t12..5\t10\t10\tsmudged\nE502\t\t10\t10\t\n")
	s.copyText(text.String())
	for _, theme := range []string{"light", "dark"} {
		w := s.open(theme, t.TempDir()+"/new.pane")
		w.keys("ctrl+v")
		w.wait("the look", func(s state) bool { return s.Dialog == "columns in" && len(s.Readings) == 0 })
		time.Sleep(300 * time.Millisecond)
		w.shot("columns-" + theme)
		w.keys("Return")
		st := w.wait("the readings", func(s state) bool { return s.Dialog == "" && len(s.Readings) == len(edge) })
		assert.Equal(t, edge, st.rows("edge"))
		w.keys("ctrl+z")
		w.wait("nothing", func(s state) bool { return len(s.Readings) == 0 })
		w.kill()
	}
}
