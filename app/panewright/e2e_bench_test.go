package main

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestEndToEndBench types 60 rows in the bench view without any delay, takes the
// last cell back by the key of the number pad, and goes back to the table.
func TestEndToEndBench(t *testing.T) {
	s := newScreen(t, 1920, 1080)
	w := s.open("light", t.TempDir()+"/new.pane")
	w.resize(1280, 800)
	w.keys("F11")
	w.wait("the bench view", func(s state) bool { return s.Bench != nil && s.Bench.Station == "Station 1" })
	edge := stations(60)
	w.text(enter(edge))
	st := w.wait("the stations", func(s state) bool { return len(s.rows("edge")) == len(edge) && s.Row == len(edge) })
	assert.Equal(t, edge, st.rows("edge"), "nothing that is typed is lost")
	assert.Equal(t, "Station 61", st.Bench.Station)

	w.keys("KP_Multiply")
	st = w.wait("the cell taken back", func(s state) bool { return s.Row == len(edge)-1 && s.rows("edge")[s.Row][2] == "" })
	assert.Equal(t, "z, off the board", st.Bench.Column)
	w.text("912.5")
	w.keys("KP_Enter")
	st = w.wait("what is thought of it", func(s state) bool {
		return s.Current && len(s.Bench.Last) > 0 && s.Bench.Last[0].Says == "look again"
	})
	assert.True(t, strings.HasPrefix(st.Bench.Last[1].Says, "fits"), st.Bench.Last[1].Says)
	w.text("12.5")
	time.Sleep(200 * time.Millisecond)
	w.shot("bench-light-1280")
	w.resize(1920, 1080)
	w.shot("bench-light-1920")
	w.keys("Escape", "F11")
	w.wait("the table", func(s state) bool { return s.Bench == nil && strings.Contains(s.Focus, "Sheet") })
	w.kill()

	w = s.open("dark", "-demo")
	w.wait("the shape", func(s state) bool { return s.Current })
	w.resize(1280, 800)
	w.keys("F8", "F11", "Down")
	st = w.wait("a suspect in the bench view", func(s state) bool { return s.Bench != nil && s.Bench.Advice != "" })
	require.NotEmpty(t, st.Bench.Last)
	time.Sleep(200 * time.Millisecond)
	w.shot("bench-dark-1280")
	w.kill()
}
