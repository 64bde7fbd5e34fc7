package main

import (
	"archive/zip"
	"crypto/sha256"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/board"
)

// TestEndToEndCraftsman is a whole job without the mouse: from a new job to the pack
// that is handed over and the cut that is recorded.
func TestEndToEndCraftsman(t *testing.T) {
	s := newScreen(t, 1280, 800)
	w := s.open("light")
	w.wait("the demo that the first start opens", func(s state) bool { return s.Current })
	w.keys("alt", "Down", "Return") // File > New job
	w.wait("a new job", func(s state) bool { return len(s.Readings) == 0 && s.Unit == "mm" })
	dir := t.TempDir()
	file, pack := filepath.Join(dir, "keys.pane"), filepath.Join(dir, "pack")
	setBoard(w)
	edge, slipped := stations(60), 24
	typeWithSlip(t, w, edge, slipped)
	mendSlip(t, w, edge, slipped)
	readSteps(t, w)
	checkZip(t, filepath.Join(pack, "handover.zip"), handOver(t, w, pack))

	w.keys("ctrl+shift+g")
	w.wait("the question", func(s state) bool { return s.Dialog == "record cut" })
	w.keys("ctrl+a")
	w.text("foam trial\n")
	w.wait("the cut", func(s state) bool { return s.Dialog == "" && s.Current && len(s.Cuts) == 1 })
	w.keys("ctrl+s")
	w.wait("the question where", func(s state) bool { return s.Dialog == "save as" })
	w.keys("ctrl+a")
	w.text(file + "\n")
	w.wait("the saving", func(s state) bool { return s.Saved && s.Path == file })
	w.shot("craftsman-saved")
	w.kill()

	j, notes, err := board.Load(file)
	require.NoError(t, err)
	assert.Empty(t, notes)
	assert.Equal(t, []any{"By keys", "75", "4.5"}, []any{j.Name, j.Grid.PitchX.Text, j.Pane.Thickness.Text})
	assert.Len(t, j.Indices(board.Edge), len(edge))
	assert.Len(t, j.Indices(board.Face), len(heights()))
	require.NotNil(t, j.LastCut())
	assert.Equal(t, "foam trial", j.LastCut().Reason)
	log, err := os.ReadFile(w.log.Name())
	require.NoError(t, err)
	assert.Empty(t, strings.TrimSpace(string(log)), "the program complains of nothing")
}

// setBoard names the job and sets the grid and the thickness, in the panel of the
// board, and goes back to the table.
func setBoard(w *window) {
	w.keys("ctrl+1", "F6")
	w.wait("the field of the name", func(s state) bool { return s.Step == "board" && strings.Contains(s.Focus, "field") })
	w.keys("ctrl+a")
	w.text("By keys")
	w.keys("Tab")
	w.wait("the list of units", func(s state) bool { return strings.Contains(s.Focus, "choice") && s.Title == "By keys — panewright" })
	w.keys("Tab", "ctrl+a")
	w.text("75")
	w.keys("Tab", "ctrl+a")
	w.text("4.5\n")
	w.wait("the thickness", func(s state) bool { return s.Headline == "4.5 mm glass, dome up" && s.Undo == "Change the thickness" })
	w.keys("F6")
	w.wait("the table", func(s state) bool { return strings.Contains(s.Focus, "Sheet") })
}

// typeWithSlip types the stations, of which one is read at the next line of the grid,
// and the heights.
func typeWithSlip(t *testing.T, w *window, edge [][3]string, slipped int) {
	typed := slices.Clone(edge)
	x, err := strconv.ParseFloat(edge[slipped][0], 64)
	require.NoError(t, err)
	typed[slipped][0] = strconv.FormatFloat(x+75, 'f', 1, 64)
	w.text(enter(typed))
	st := w.wait("the stations", func(s state) bool { return len(s.rows("edge")) == len(edge) && s.Row == len(edge) })
	assert.Equal(t, typed, st.rows("edge"))
	w.keys("alt+2")
	w.text(enter(heights()))
	st = w.wait("the heights", func(s state) bool {
		return len(s.rows("face")) == len(heights()) && s.Row == len(heights()) && s.Current
	})
	assert.Equal(t, heights(), st.rows("face"))
	assert.Equal(t, typed, st.rows("edge"))
}

// mendSlip goes to the slip and takes what is offered for it, each by a key.
func mendSlip(t *testing.T, w *window, edge [][3]string, slipped int) {
	w.keys("F8")
	st := w.wait("the slip", func(s state) bool { return s.List == "edge" && s.rowState() == "suspect" })
	require.Equal(t, slipped, st.Row)
	assert.Equal(t, "Use x "+edge[slipped][0], st.reading("edge", slipped).Offer)
	w.shot("craftsman-slip")
	w.keys("ctrl+Return")
	st = w.wait("the correction", func(s state) bool { return s.Current && s.reading("edge", slipped).State == "kept" })
	assert.Equal(t, edge, st.rows("edge"))
	assert.Equal(t, fmt.Sprintf("Correct station %d x", slipped+1), st.Undo)
	w.keys("F8")
	w.wait("no other", func(s state) bool { return s.Status == "No reading is suspect." })
}

// readSteps reads the centre line, the shape and the fit check.
func readSteps(t *testing.T, w *window) {
	w.keys("ctrl+3")
	st := w.wait("the centre line", func(s state) bool { return s.Step == "centre line" && s.Current && s.Used != nil })
	assert.InDelta(t, trueOffset, st.Used.Offset, 0.5, "mm")
	assert.InDelta(t, 0, st.Used.Skew, 0.1, "degrees")
	assert.False(t, st.Typed)
	assert.Contains(t, st.Headline, "Centre line 3.")
	w.keys("ctrl+4")
	st = w.wait("the shape", func(s state) bool { return s.Step == "shape" })
	assert.Contains(t, st.Headline, "mm by 7")
	w.keys("ctrl+5")
	st = w.wait("the fit check", func(s state) bool { return s.Step == "fit check" && s.Current && s.Fit != nil })
	assert.Contains(t, st.Headline, "Predicted: drops in with")
	assert.Greater(t, st.Fit.DropsIn, 0.95)
	assert.Positive(t, st.Fit.LeastGap)
	w.shot("craftsman-fit")
}

// handOver exports the pack, answers what is asked before the pocket is written and
// closes what is said of the files; they are all there.
func handOver(t *testing.T, w *window, pack string) (names []string) {
	w.keys("ctrl+6", "ctrl+e")
	w.wait("the question", func(s state) bool { return s.Dialog == "export" })
	w.keys("ctrl+a")
	w.text(pack + "\n")
	tickAll(w)
	st := w.wait("the files", func(s state) bool { return len(s.Exported) > 0 })
	assert.Contains(t, st.Exported, "handover.zip")
	w.shot("craftsman-written")
	w.keys("Return")
	st = w.wait("the window", func(s state) bool { return s.Dialog == "" })
	assert.Equal(t, "Hand-over: files written into "+pack, st.Status)
	for _, name := range st.Exported {
		assert.FileExists(t, filepath.Join(pack, name))
	}
	readBack(t, pack)
	return st.Exported
}

// checkZip unpacks the packed pack and holds every file against the list of sums; all
// that was exported is in it.
func checkZip(t *testing.T, path string, exported []string) {
	r, err := zip.OpenReader(path)
	require.NoError(t, err)
	defer r.Close()
	sums, list := map[string]string{}, ""
	for _, f := range r.File {
		part, err := f.Open()
		require.NoError(t, err, f.Name)
		data, err := io.ReadAll(part)
		require.NoError(t, err, f.Name)
		if f.Name == "manifest.txt" {
			list = string(data)
			continue
		}
		sums[f.Name] = fmt.Sprintf("%x", sha256.Sum256(data))
	}
	for _, name := range exported {
		assert.True(t, sums[name] != "" || name == "handover.zip", "%s is not in the packed pack", name)
	}
	for line := range strings.Lines(list) {
		sum, name, _ := strings.Cut(strings.TrimSpace(line), "  ")
		assert.Equal(t, sum, sums[name], name)
		delete(sums, name)
	}
	assert.Empty(t, sums, "every file stands in the list")
}
