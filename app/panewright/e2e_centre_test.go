package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/board"
)

// TestEndToEndCentreLine drags the centre line of demo A 5 mm to the right and
// sees what would follow before it is let go, takes that back, drags it again, has
// what was found used by its key, and exports: the files have the line that the
// window shows.
func TestEndToEndCentreLine(t *testing.T) {
	const e = 5.0 // mm
	s := newScreen(t, 1280, 800)
	w := s.open("light", "-demo")
	w.keys("ctrl+3")
	st := w.wait("the found line", func(s state) bool { return s.Current && s.Step == "centre line" && s.Used != nil })
	found := *st.Used
	assert.Equal(t, "symmetric", st.Verdict.Code)
	require.NotEmpty(t, st.Links)
	assert.Equal(t, "reading", st.Links[0].Code, "the demo has planted slips")
	assert.Empty(t, st.Warning)
	require.NotNil(t, st.Outcome)
	assert.Zero(t, st.Outcome.Odds)

	w.keys("ctrl+shift+f")
	w.wait("the halves folded over", func(s state) bool { return s.Folded })
	for range 8 {
		w.keys("ctrl+equal")
	}
	place := onBoard(t, w)
	const between = 6.5 * 50.8 // mm: y half-way between two rows of readings
	x0, y0 := place(found.Offset, between)
	x1, _ := place(found.Offset+e, between)
	hold := func() {
		w.move(x0, y0)
		w.tool("mousedown", "1")
		for i := range 5 {
			w.move(x0+float64(i+1)/5*(x1-x0), y0)
		}
	}
	hold()
	held := w.wait("what would follow", func(s state) bool { return s.Outcome != nil && math.Abs(s.Outcome.Off-e) < 1 })
	w.shot("centre-line-dragged")
	assert.False(t, held.Typed, "not yet let go")
	follows(t, held)
	assert.InDelta(t, -2*held.Outcome.Off, held.Outcome.WidthChange, 0.1, "mm: the right half was measured, so the pane comes out 2e narrower")
	for _, by := range held.Outcome.Corners {
		assert.InDelta(t, 2*held.Outcome.Off, by, 0.1, "mm: the far corners move by 2e")
	}
	w.tool("mouseup", "1")
	st = w.wait("the typed line", func(s state) bool { return s.Typed && s.Current && s.Used != nil })
	assert.InDelta(t, found.Offset+e, st.Used.Offset, 1, "mm")
	assert.Equal(t, "typed", st.Used.Source)
	follows(t, st)
	assert.True(t, slices.ContainsFunc(st.Links, func(l struct {
		Code   string
		Weight float64
	}) bool {
		return l.Code == "line"
	}), "the line is among the links that may be wrong")

	w.keys("ctrl+z")
	st = w.wait("undo", func(s state) bool { return !s.Typed && s.Current && s.Used != nil })
	assert.Equal(t, found, *st.Used)
	assert.Empty(t, st.Warning)
	hold()
	w.tool("mouseup", "1")
	w.wait("the typed line again", func(s state) bool { return s.Typed && s.Current && s.Warning != "" })
	w.keys("ctrl+u")
	st = w.wait("what was found", func(s state) bool { return !s.Typed && s.Current && s.Used != nil && s.Warning == "" })
	assert.Equal(t, found, *st.Used)
	exportsLine(t, w, st)
	w.kill()
}

// follows checks what the window says of a line a few millimetres too far right.
func follows(t *testing.T, s state) {
	t.Helper()
	require.NotNil(t, s.Outcome)
	o := s.Outcome
	assert.Greater(t, o.Odds, 10.0, "times its uncertainty")
	assert.NotEmpty(t, o.WidestAt)
	assert.InDelta(t, 2*o.Off, o.Widest, 2.5, "mm: a check station lies 2e off, and as its reading scatters")
	assert.Greater(t, math.Abs(o.Kinks[0])+math.Abs(o.Kinks[1]), 0.05, "degrees: the halves do not run on into each other")
	assert.Contains(t, s.Headline, "right of where the readings put it")
	assert.Contains(t, s.Warning, "times its uncertainty: less than 1 chance in 10 000")
}

// exportsLine exports and holds the line of summary.json against the window's.
func exportsLine(t *testing.T, w *window, s state) {
	dir := filepath.Join(t.TempDir(), "out")
	w.keys("ctrl+e")
	w.wait("the question", func(s state) bool { return s.Dialog == "export" })
	w.keys("ctrl+a")
	w.text(dir + "\n")
	tickAll(w)
	w.wait("the files", func(s state) bool { return len(s.Exported) > 0 })
	data, err := os.ReadFile(filepath.Join(dir, "summary.json"))
	require.NoError(t, err)
	var sum struct {
		Line struct {
			Source string     `json:"source"`
			Point  [3]float64 `json:"point_mm"`
			Skew   float64    `json:"skew_deg"`
			Roll   float64    `json:"roll_deg"`
		} `json:"centre_line"`
		Found *struct{} `json:"centre_line_found"`
	}
	require.NoError(t, json.Unmarshal(data, &sum))
	assert.Equal(t, s.Used.Source, sum.Line.Source)
	assert.Nil(t, sum.Found, "no plane was typed")
	const tol = 1e-3 // mm and degrees
	for i, v := range s.Used.Point {
		assert.InDelta(t, v, sum.Line.Point[i], tol)
	}
	assert.InDelta(t, s.Used.Skew, sum.Line.Skew, tol)
	assert.InDelta(t, s.Used.Roll, sum.Line.Roll, tol)
}

// TestEndToEndCentrePictures takes pictures of the step of the centre line: a wrong
// line typed beside the one found, the halves folded over, a half that says
// nothing of its line, and panes that are really not symmetric.
func TestEndToEndCentrePictures(t *testing.T) {
	s := newScreen(t, 1920, 1080)
	dir := t.TempDir()
	file := func(name, demo string, change func(j *board.Job)) string {
		data, err := os.ReadFile(filepath.Join("..", "..", "assets", "jobs", demo+".pane"))
		require.NoError(t, err)
		j, _, err := board.Decode(demo, data)
		require.NoError(t, err)
		change(j)
		j.Evaluate()
		path := filepath.Join(dir, name+".pane")
		data, err = board.Encode(j)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(path, data, 0o644))
		return path
	}
	const a, b = "workshop-coupe-rear-screen", "touring-saloon-windscreen"
	bulge := func(j *board.Job) {
		for i := range j.Readings {
			r := &j.Readings[i]
			d := math.Hypot(r.X.MM+720, r.Y.MM-450) / 120
			if r.Kind == board.Edge && r.X.Set {
				r.X = j.Typed(strconv.FormatFloat(r.X.MM-4*math.Exp(-d*d/2), 'f', 1, 64))
			}
		}
	}
	for _, c := range []struct {
		name, path, code string
		fold             bool
	}{
		{"wrong-line", file("wrong-line", a, func(j *board.Job) {
			j.Plane = &board.TypedPlane{Offset: j.Typed("0.25"), Skew: j.Typed("0.1"), Roll: j.Typed("0")}
		}), "symmetric", false},
		{"wrong-line-folded", filepath.Join(dir, "wrong-line.pane"), "symmetric", true},
		{"folded-a", file("folded-a", a, func(*board.Job) {}), "symmetric", true},
		{"folded-b", file("folded-b", b, func(*board.Job) {}), "asymmetric", true},
		{"half-alone", file("half-alone", a, func(j *board.Job) {
			j.Readings = slices.DeleteFunc(j.Readings, func(r board.Reading) bool { return r.Note == "check" })
		}), "unknown", false},
		{"bulged", file("bulged", b, func(j *board.Job) { bulge(j); j.Mirror = board.MirrorBoth }), "asymmetric", true},
		{"quarter", file("quarter", "estate-quarter-window", func(j *board.Job) { j.Mirror = board.MirrorBoth }), "asymmetric", false},
	} {
		for _, theme := range []string{"light", "dark"} {
			w := s.open(theme, c.path)
			w.keys("ctrl+3")
			if c.fold {
				w.keys("ctrl+shift+f")
			}
			st := w.wait(c.name, func(s state) bool { return s.Current && s.Step == "centre line" && s.Folded == c.fold })
			assert.Equal(t, c.code, st.Verdict.Code, c.name)
			for _, size := range [][2]int{{1280, 800}, {1920, 1080}} {
				w.resize(size[0], size[1])
				time.Sleep(200 * time.Millisecond)
				w.shot(c.name + "-" + theme + "-" + strconv.Itoa(size[0]))
			}
			w.kill()
		}
	}
}
