package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/board"
	"panewright/export/dxf/lint"
	stllint "panewright/export/stl/lint"
)

// The pane that is typed: an outline of four rounded corners, symmetric about
// x = 3 mm, on a face arched both ways. Invented.
const (
	halfWidth, halfHeight = 600.0, 350.0
	middle                = 400.0 // y of its centre
	trueOffset            = 3.0
)

// height of the face at a point given from the true centre line.
func height(x, y float64) float64 {
	return 120 - x*x/(2*2900) - (y-middle)*(y-middle)/(2*5500)
}

// stations are n typed readings round the edge, clockwise from the bottom centre.
func stations(n int) [][3]string {
	var out [][3]string
	for i := range n {
		t := -math.Pi/2 - 2*math.Pi*float64(i)/float64(n)
		c, s := math.Cos(t), math.Sin(t)
		r := math.Pow(math.Pow(math.Abs(c/halfWidth), 3)+math.Pow(math.Abs(s/halfHeight), 3), -1.0/3)
		x, y := r*c*(1-0.12*r*s/halfHeight), r*s+middle
		out = append(out, typed(x, y))
	}
	return out
}

// heights are readings of the face at crossings of the grid.
func heights() [][3]string {
	var out [][3]string
	for _, y := range []float64{150, 300, 450, 600} {
		for _, x := range []float64{-400, -200, 0, 200, 400} {
			out = append(out, typed(x, y))
		}
	}
	return out
}

func typed(x, y float64) [3]string {
	f := func(v float64) string { return strconv.FormatFloat(v, 'f', 1, 64) }
	return [3]string{f(x + trueOffset), f(y), f(height(x, y))}
}

// enter is the rows as they are typed: Enter after every cell.
func enter(rows [][3]string) string {
	var b strings.Builder
	for _, r := range rows {
		for _, c := range r {
			b.WriteString(c + "\n")
		}
	}
	return b.String()
}

// TestEndToEnd works through a job in the real window: typing, the centre line,
// saving, export, a power cut, and opening again.
func TestEndToEnd(t *testing.T) {
	s := newScreen(t, 1920, 1080)
	file := filepath.Join(t.TempDir(), "rear.pane")
	w := s.open("light", file)
	w.resize(1280, 800)
	edge, face := stations(40), heights()
	run := func(name string, f func(t *testing.T, w *window)) {
		require.True(t, t.Run(name, func(t *testing.T) { f(t, w.with(t)) }), "the rest needs this")
	}

	run("a new job begins at the first station's x", func(t *testing.T, w *window) {
		st := w.state()
		assert.Contains(t, st.Title, "rear.pane")
		assert.Contains(t, st.Title, "panewright")
		assert.Equal(t, "mm", st.Unit)
		assert.Equal(t, []any{"edge", 0, 1}, []any{st.List, st.Row, st.Col})
		assert.Empty(t, st.Readings)
	})
	run("nothing that is typed is lost", func(t *testing.T, w *window) {
		w.text(enter(edge))
		st := w.wait("the stations", func(s state) bool { return len(s.rows("edge")) == len(edge) && s.Row == len(edge) })
		assert.Equal(t, edge, st.rows("edge"))
		w.keys("alt+2")
		w.text(enter(face))
		st = w.wait("the heights", func(s state) bool { return len(s.rows("face")) == len(face) && s.Row == len(face) })
		assert.Equal(t, face, st.rows("face"))
		assert.Equal(t, edge, st.rows("edge"))
	})
	run("the centre line is found", func(t *testing.T, w *window) {
		st := w.wait("a centre line", func(s state) bool { return s.Current && s.Used != nil })
		assert.InDelta(t, trueOffset, st.Used.Offset, 0.5, "mm")
		assert.InDelta(t, 0, st.Used.Skew, 0.1, "degrees")
	})
	run("save", func(t *testing.T, w *window) {
		w.keys("ctrl+s")
		w.wait("the saving", func(s state) bool { return s.Saved })
		j, notes, err := board.Load(file)
		require.NoError(t, err)
		assert.Empty(t, notes)
		var got [][3]string
		for _, i := range j.Indices(board.Edge) {
			r := j.Readings[i]
			got = append(got, [3]string{r.X.Text, r.Y.Text, r.Z.Text})
		}
		assert.Equal(t, edge, got)
	})
	run("the centre line is dragged and nudged", dragAndNudge)
	run("export", export)
	run("after a power cut nothing typed is missing", func(t *testing.T, w *window) { powerCut(t, w, file, edge) })
}

// onBoard turns board millimetres into a place in the window, worked out from
// what the status line says of two places of the pointer.
func onBoard(t *testing.T, w *window) func(x, y float64) (float64, float64) {
	t.Helper()
	at := w.state().At
	where := regexp.MustCompile(`(-?[\d.]+), (-?[\d.]+) (mm|in)`)
	read := func(px, py float64) (x, y float64) {
		w.move(px, py)
		st := w.wait("the place under the pointer", func(s state) bool { return where.MatchString(s.Status) })
		m := where.FindStringSubmatch(st.Status)
		x, _ = strconv.ParseFloat(m[1], 64)
		y, _ = strconv.ParseFloat(m[2], 64)
		if m[3] == "in" {
			x, y = x*25.4, y*25.4
		}
		return x, y
	}
	ax, ay := at[0]+0.2*at[2], at[1]+0.3*at[3]
	bx, by := at[0]+0.8*at[2], at[1]+0.7*at[3]
	x0, y0 := read(ax, ay)
	x1, y1 := read(bx, by)
	require.NotEqual(t, x0, x1)
	return func(x, y float64) (float64, float64) {
		return ax + (x-x0)/(x1-x0)*(bx-ax), ay + (y-y0)/(y1-y0)*(by-ay)
	}
}

func dragAndNudge(t *testing.T, w *window) {
	before := w.state().Used
	require.NotNil(t, before)
	place := onBoard(t, w)
	x0, y0 := place(before.Offset, 500)
	x1, _ := place(before.Offset+30, 500)
	w.drag(x0, y0, x1, y0)
	st := w.wait("the moved centre line", func(s state) bool { return s.Typed && s.Current && s.Used != nil })
	moved := st.Used.Offset
	assert.InDelta(t, before.Offset+30, moved, 4, "mm: a few pixels of the picture")
	assert.Equal(t, "centre line", st.Step, "dragging opens the step")
	assert.NotEmpty(t, st.Undo)
	assert.False(t, st.Saved)

	w.keys("alt+Right")
	w.wait("the nudge", func(s state) bool { return s.Current && math.Abs(s.Used.Offset-moved-0.1) < 0.01 })
	w.keys("ctrl+z")
	w.wait("undo", func(s state) bool { return s.Current && math.Abs(s.Used.Offset-moved) < 0.01 && s.Redo != "" })
	w.keys("ctrl+shift+z")
	w.wait("redo", func(s state) bool { return s.Current && math.Abs(s.Used.Offset-moved-0.1) < 0.01 && s.Redo == "" })
	w.keys("ctrl+z", "ctrl+z")
	w.wait("undo of the drag", func(s state) bool { return s.Current && !s.Typed })
	w.keys("ctrl+y")
	w.wait("redo of the drag", func(s state) bool { return s.Current && s.Typed })
	w.keys("ctrl+u")
	w.wait("the found line", func(s state) bool {
		return s.Current && !s.Typed && s.Used != nil && math.Abs(s.Used.Offset-before.Offset) < 0.01
	})
}

func export(t *testing.T, w *window) {
	dir := filepath.Join(t.TempDir(), "out")
	w.keys("ctrl+e")
	w.wait("the question", func(s state) bool { return s.Dialog == "export" })
	w.keys("ctrl+a")
	w.text(dir + "\n")
	tickAll(w)
	st := w.wait("the files", func(s state) bool { return len(s.Exported) > 0 })
	for _, name := range []string{"summary.json", "readings.csv", "outline.dxf", "outline-r12.dxf", "glass.stl", "pocket.stl", "pocket.dxf"} {
		assert.Contains(t, st.Exported, name)
		info, err := os.Stat(filepath.Join(dir, name))
		if assert.NoError(t, err, name) {
			assert.Positive(t, info.Size(), name)
		}
	}
	readBack(t, dir)
	w.keys("Return")
	w.wait("the end of the dialog", func(s state) bool { return s.Dialog == "" })
}

// tickAll ticks what is asked before a pocket is written, by Space, the arrow and
// Enter.
func tickAll(w *window) {
	w.wait("the ticks", func(s state) bool { return s.Dialog == "ticks" })
	w.keys("space", "Down", "space", "Down", "Return", "Return", "Return", "Return", "Return")
}

// readBack hands what was exported to readers that are not ours.
func readBack(t *testing.T, dir string) {
	for _, name := range []string{"outline.dxf", "outline-r12.dxf", "pocket.dxf", "pocket-r12.dxf"} {
		assert.NotEmpty(t, lint.Audit(t, filepath.Join(dir, name)).Entities, name)
	}
	stllint.Exact(t, filepath.Join(dir, "glass.stl"), filepath.Join(dir, "pocket.stl"))
}

func powerCut(t *testing.T, w *window, file string, edge [][3]string) {
	w.keys("alt+1", "ctrl+End", "Home")
	more := [][3]string{{"1.5", "50", "7 3/8"}, {"-2", "51", "8"}}
	w.text(enter(more))
	all := append(edge[:len(edge):len(edge)], more...)
	w.wait("the last stations", func(s state) bool { return len(s.rows("edge")) == len(all) && s.Row == len(all) })
	w.kill()

	w = w.open("light", file)
	st := w.state()
	assert.Equal(t, "recovered", st.Dialog)
	assert.Equal(t, all, st.rows("edge"))
	assert.False(t, st.Saved)
	w.keys("Return")
	w.wait("the window under the message", func(s state) bool { return s.Dialog == "" })
	w.keys("ctrl+z")
	st = w.wait("undo of a brought-back edit", func(s state) bool { return s.Redo != "" })
	assert.Len(t, st.rows("edge"), len(all))
	w.keys("ctrl+y", "ctrl+s")
	w.wait("the saving", func(s state) bool { return s.Saved && len(s.rows("edge")) == len(all) })
	w.kill()

	w = w.open("light", file)
	st = w.state()
	assert.Empty(t, st.Dialog, "nothing to bring back after a save")
	assert.Equal(t, all, st.rows("edge"))
	w.kill()
}

// TestEndToEndKeys presses the keys of the whole window over a demo job.
func TestEndToEndKeys(t *testing.T) {
	s := newScreen(t, 1280, 800)
	w := s.open("light")
	st := w.wait("the shape of the demo that the first start opens", func(s state) bool { return s.Current })
	assert.Contains(t, st.Title, "panewright")
	assert.NotEmpty(t, st.Readings)
	w.keys("F8")
	first := w.wait("the first suspect", func(s state) bool { return s.Row > 0 })
	assert.Equal(t, "suspect", first.rowState())
	w.keys("F8")
	w.wait("the next suspect", func(s state) bool {
		return (s.Row != first.Row || s.List != first.List) && s.rowState() == "suspect"
	})
	w.keys("F1")
	w.wait("help", func(s state) bool { return s.Dialog == "help" })
	w.keys("Escape")
	w.wait("the end of help", func(s state) bool { return s.Dialog == "" })
	w.keys("ctrl+k")
	w.wait("the question", func(s state) bool { return s.Dialog == "strike" })
	w.text("seen twice\n")
	st = w.wait("the strike", func(s state) bool { return s.Dialog == "" && s.Current && s.rowState() == "struck" })
	assert.Contains(t, st.Undo, "Strike")
	w.keys("ctrl+n")
	w.wait("the question about edits", func(s state) bool { return s.Dialog == "unsaved" })
	w.keys("Escape")
	st = w.wait("the job still open", func(s state) bool { return s.Dialog == "" })
	assert.NotEmpty(t, st.Readings)
	w.keys("ctrl+shift+s")
	w.wait("the question where", func(s state) bool { return s.Dialog == "save as" })
	file := filepath.Join(t.TempDir(), "saved.pane")
	w.text(file + "\n")
	st = w.wait("the saving", func(s state) bool { return s.Saved && s.Path == file })
	assert.Contains(t, st.Title, "saved.pane")
	assert.True(t, exists(file))
	w.keys("ctrl+n")
	st = w.wait("a new job", func(s state) bool { return len(s.Readings) == 0 })
	assert.Equal(t, []any{"mm", "edge", 0, 1}, []any{st.Unit, st.List, st.Row, st.Col})
	time.Sleep(time.Second) // settings are written a little later
	w.kill()

	w = s.open("light")
	st = w.wait("the job that was open last", func(s state) bool { return s.Path != "" })
	assert.Equal(t, file, st.Path)
	w.kill()
}

// TestEndToEndCorrections makes the correction that is offered by its key,
// vouches for a reading, and takes both back.
func TestEndToEndCorrections(t *testing.T) {
	s := newScreen(t, 1280, 800)
	w := s.open("light", "-demo")
	w.wait("the shape", func(s state) bool { return s.Current })
	w.keys("F8")
	st := w.wait("the first suspect", func(s state) bool { return s.reading(s.List, s.Row).ID == "12" })
	at := st.Row
	assert.Equal(t, reading{Kind: "edge", ID: "12", X: "21 3/8", Y: "2 1/4", Z: "3 11/16", State: "suspect", Offer: "Use x 12 3/8"}, st.reading("edge", at))
	w.keys("ctrl+Return")
	st = w.wait("the correction", func(s state) bool {
		r := s.reading("edge", at)
		return s.Current && r.X == "12 3/8" && r.State == "kept"
	})
	assert.Equal(t, "Correct station 12 x", st.Undo)
	assert.Equal(t, []any{"19", "suspect"}, []any{st.reading(st.List, st.Row).ID, st.rowState()}, "on to the next suspect")
	assert.Contains(t, st.Focus, "Sheet", "the keys stay in the table")

	w.keys("alt+2", "F8")
	st = w.wait("the suspect height", func(s state) bool { return s.List == "face" && s.rowState() == "suspect" })
	height := st.Row
	w.keys("ctrl+r")
	st = w.wait("the reading vouched for", func(s state) bool {
		r := s.reading("face", height)
		return s.Current && r.Sure && r.State == "kept"
	})
	assert.Contains(t, st.Undo, "Vouch")

	w.keys("ctrl+z")
	w.wait("the height in doubt again", func(s state) bool {
		r := s.reading("face", height)
		return s.Current && !r.Sure && r.State == "suspect"
	})
	w.keys("ctrl+z")
	w.wait("the slip again", func(s state) bool {
		r := s.reading("edge", at)
		return s.Current && r.X == "21 3/8" && r.State == "suspect"
	})
	w.keys("ctrl+y", "alt+1", "ctrl+Home", "F8", "ctrl+KP_Enter")
	w.wait("the next correction, by the number pad", func(s state) bool {
		return s.Current && s.reading("edge", at).X == "12 3/8" && strings.HasPrefix(s.Undo, "Correct station 19")
	})
	w.kill()
}

// TestEndToEndPrediction types a wrong centre line and sees what comes of it
// before anything is cut: the pane binds. Undo makes it fit again.
func TestEndToEndPrediction(t *testing.T) {
	s := newScreen(t, 1280, 800)
	w := s.open("light", "-demo")
	w.keys("ctrl+5")
	st := w.wait("the prediction", func(s state) bool { return s.Current && s.Fit != nil })
	assert.True(t, strings.HasPrefix(st.Headline, "Predicted: drops in with"), "%s", st.Headline)
	assert.Greater(t, st.Fit.DropsIn, 0.95)
	assert.Positive(t, st.Fit.LeastGap)
	found := st.Used.Offset

	w.keys("ctrl+3")
	st = w.wait("the panel", func(s state) bool { return s.Step == "centre line" && s.HandAt[2] > 0 })
	w.move(st.HandAt[0]+st.HandAt[2]/2, st.HandAt[1]+st.HandAt[3]/2)
	w.tool("click", "1")
	st = w.wait("the field of the offset", func(s state) bool { return s.OffsetAt[2] > 0 })
	w.move(st.OffsetAt[0]+st.OffsetAt[2]/2, st.OffsetAt[1]+st.OffsetAt[3]/2)
	w.tool("click", "1")
	w.wait("the field takes keys", func(s state) bool { return strings.Contains(s.Focus, "field") })
	w.keys("ctrl+a")
	w.text(strconv.FormatFloat((found+2)/25.4, 'f', 4, 64) + "\n")
	w.wait("the typed centre line", func(s state) bool { return s.Typed && s.Current })
	w.keys("ctrl+5")
	st = w.wait("the other prediction", func(s state) bool { return s.Step == "fit check" && s.Fit != nil && s.Fit.DropsIn < 0.5 })
	assert.Equal(t, "Predicted: does not drop in", st.Headline)
	assert.Negative(t, st.Fit.LeastGap)
	assert.NotEmpty(t, st.Fit.BindsAt)
	assert.InDelta(t, found+2, st.Used.Offset, 0.01, "mm")
	w.shot("prediction-binds")

	w.keys("ctrl+z")
	st = w.wait("the found centre line again", func(s state) bool { return !s.Typed && s.Current && s.Fit != nil })
	assert.True(t, strings.HasPrefix(st.Headline, "Predicted: drops in with"), "%s", st.Headline)
	w.kill()
}

// TestEndToEndPack changes what the hand-over pack holds, gives the ticks up once
// with Escape, answers them by keys, and finds the files there; a second export of
// the changed job into the folder is not written before that is agreed to.
func TestEndToEndPack(t *testing.T) {
	s := newScreen(t, 1280, 800)
	w := s.open("light", "-demo")
	w.keys("ctrl+6")
	st := w.wait("the step", func(s state) bool { return s.Current && s.Pack["scale"][2] > 0 })
	w.click(st.Pack["scale"])
	w.wait("the field takes keys", func(s state) bool { return strings.Contains(s.Focus, "field") })
	w.text("1:4\n")
	st = w.wait("the model to scale", func(s state) bool { return s.Current && s.Undo == "Change what the pack holds" })
	w.click(st.Pack["shapes"])
	time.Sleep(300 * time.Millisecond)
	w.shot("pack-shapes")

	dir := filepath.Join(t.TempDir(), "out")
	w.keys("ctrl+e")
	w.wait("the question", func(s state) bool { return s.Dialog == "export" })
	w.keys("ctrl+a")
	w.text(dir + "\n")
	w.wait("the ticks", func(s state) bool { return s.Dialog == "ticks" })
	w.shot("pack-ticks")
	w.keys("Escape")
	w.wait("the question again", func(s state) bool { return s.Dialog == "export" })
	require.NoDirExists(t, dir)
	w.keys("Return")
	tickAll(w)
	st = w.wait("the files", func(s state) bool { return len(s.Exported) > 0 })
	for _, name := range []string{"glass-1to4.step", "glass.step", "pocket.stl", "handover.zip"} {
		assert.Contains(t, st.Exported, name)
		assert.FileExists(t, filepath.Join(dir, name))
	}
	w.shot("pack-written")
	w.keys("Return")
	w.wait("the end of the dialog", func(s state) bool { return s.Dialog == "" })

	w.keys("ctrl+z")
	w.wait("the model to scale taken back", func(s state) bool { return s.Current && s.Redo != "" })
	w.keys("ctrl+e")
	w.wait("the question", func(s state) bool { return s.Dialog == "export" })
	w.keys("Return")
	time.Sleep(time.Second)
	w.shot("pack-earlier")
	assert.Equal(t, "export", w.state().Dialog, "asked once a cut")
	assert.FileExists(t, filepath.Join(dir, "glass-1to4.step"), "the earlier pack is kept")
	w.keys("Return")
	w.until("the pack replaced", 40*time.Second, func() bool { return !exists(filepath.Join(dir, "glass-1to4.step")) })
	w.kill()
}

// TestEndToEndPictures takes a picture of every step of a demo job, light and
// dark, in two sizes, and checks that each step opens. With -pictures those of
// README.md are made anew of them.
func TestEndToEndPictures(t *testing.T) {
	s := newScreen(t, 1920, 1080)
	for _, theme := range []string{"light", "dark"} {
		w := s.open(theme, "-demo")
		w.wait("the shape", func(s state) bool { return s.Current })
		for _, size := range [][2]int{{1280, 800}, {1920, 1080}} {
			w.resize(size[0], size[1])
			for i, step := range []string{"board", "readings", "centre line", "shape", "fit check", "hand-over"} {
				w.keys(fmt.Sprintf("ctrl+%d", i+1))
				st := w.wait(step, func(s state) bool { return s.Step == step && s.Current })
				assert.NotEmpty(t, st.Headline, step)
				time.Sleep(150 * time.Millisecond)
				w.shot(fmt.Sprintf("%s-%d-%d-%s", theme, size[0], i+1, strings.ReplaceAll(step, " ", "-")))
			}
			w.keys("ctrl+4", "ctrl+shift+b")
			w.wait("the solid view", func(s state) bool { return s.Solid != nil && s.Solid.Ready })
			if w.state().Solid.Map == "plain" {
				w.keys("m", "c", "Prior", "Prior", "f")
			}
			w.wait("the fine picture", func(s state) bool { return s.Solid.Map == "height" && s.Solid.Ready && s.Solid.Fine })
			w.shot(fmt.Sprintf("%s-%d-7-solid", theme, size[0]))
			w.keys("ctrl+b")
		}
		w.kill()
	}
	if *pictures {
		for name, shot := range map[string]string{"readings": "light-1280-2-readings", "centre-line": "light-1280-3-centre-line", "solid": "dark-1280-7-solid"} {
			data, err := os.ReadFile(filepath.Join(s.shots(), shot+".png"))
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(filepath.Join("../../assets/pictures", name+".png"), data, 0o644))
		}
	}
}
