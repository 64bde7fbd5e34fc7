package batch_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/board"
	"panewright/export/step/lint"
	"panewright/testdata/demo"
)

// TestBodyFlags: further shapes and twins of the model's files, by flag, beside the
// usual files.
func TestBodyFlags(t *testing.T) {
	path := file(t, "a.csv", pane(1, false, "mark,H1,50,40,"))
	dir := filepath.Join(t.TempDir(), "out")
	code, out, stderr := call("export", path, "-out", dir, "-glue", "5", "-extend", "30", "-flange", "18", "-panel-gap", "5", "-sections", "100",
		"-inch", "-scale", "1:4", "-scale-thickness", "true", "-frame", "board", "-frame", "car", "-rake", "60", "-at", "-10,0,900", "-other-hand")
	require.Zero(t, code, stderr)
	s := summary(t, out)
	for _, name := range []string{"glass.step", "faces.step", "handover.zip", "glass-inch.step", "outline-inch.dxf", "glass-inch.stl",
		"glass-1to4.step", "glass-1to4.stl", "outline-1to4.dxf", "faces-1to4.step", "glass-1to4-inch.step",
		"glass-board.step", "outline-board.dxf", "glass-car.step", "faces-car.step", "glass-car.stl"} {
		assert.Contains(t, s["files"], name)
		assert.FileExists(t, filepath.Join(dir, name))
	}
	assert.NotContains(t, s["files"], "pocket-1to4.stl")
	assert.FileExists(t, filepath.Join(dir, "other-hand", "glass.step"))
	assert.Len(t, s["marks"], 1)
	frame := s["frame"].(map[string]any)
	assert.Len(t, frame["glass_to_car"], 16)
	data, err := os.ReadFile(filepath.Join(dir, "faces-inch.step"))
	require.NoError(t, err)
	r, err := lint.Lint(bytes.NewReader(data))
	require.NoError(t, err)
	var names []string
	for _, sheet := range r.Sheets {
		names = append(names, sheet.Name)
	}
	assert.Equal(t, []string{"outer face", "inner face", "extended", "glue line", "flange"}, names)

	code, out, stderr = call("export", path, "-out", dir)
	require.Zero(t, code, stderr)
	assert.NotContains(t, summary(t, out)["files"], "glass-inch.step")
	assert.NoFileExists(t, filepath.Join(dir, "glass-inch.step"), "files that this export no longer has are removed")
	assert.NoDirExists(t, filepath.Join(dir, "other-hand"))
	assert.Nil(t, summary(t, out)["frame"].(map[string]any)["glass_to_car"])
}

// TestCarByThreePoints: three stations at their own places, moved, move the pane.
func TestCarByThreePoints(t *testing.T) {
	path := file(t, "a.csv", pane(1, false))
	dir := filepath.Join(t.TempDir(), "out")
	// stations 1, 19 and 37 of the pane, 90 degrees apart: board x, y, z plus 1000, 2000, 500
	code, out, stderr := call("export", path, "-out", dir, "-frame", "car",
		"-car-point", "1=1450,2000,569.375", "-car-point", "19=1000,2250,613.0556", "-car-point", "37=550,2000,569.375")
	require.Zero(t, code, stderr)
	frame := summary(t, out)["frame"].(map[string]any)
	car, toGlass := frame["glass_to_car"].([]any), frame["board_to_glass"].([]any)
	// together they are the shift
	at := func(m []any, i int) float64 { return m[i].(float64) }
	for i := range 3 {
		sum := at(car, 4*i+3)
		for k := range 3 {
			sum += at(car, 4*i+k) * at(toGlass, 4*k+3)
		}
		assert.InDelta(t, []float64{1000, 2000, 500}[i], sum, 0.05, "mm")
	}
}

// TestBodyFlagFaults: flags that cannot be read or do not go together.
func TestBodyFlagFaults(t *testing.T) {
	path := file(t, "a.csv", pane(1, false))
	dir := filepath.Join(t.TempDir(), "out")
	for _, args := range [][]string{
		{"-glue", "51"}, {"-glue", "-2"}, {"-glue", "NaN"}, {"-extend", "51"}, {"-flange", "1e9"}, {"-panel-gap", "x"}, {"-sections", "2"},
		{"-scale", "4"}, {"-scale", "1:0"}, {"-scale", "1:1000"}, {"-scale", "2:1"}, {"-scale-thickness", "thin"}, {"-scale-thickness", "true"},
		{"-frame", "glas"}, {"-frame", "glass", "-frame", "car", "-rake", "1", "-at", "0,0,0"}, {"-shop", "left"}, {"-paper", "quarto"}, {"-printed", "80/100,1"}, {"-frame", "car"}, {"-frame", "car", "-rake", "20"}, {"-rake", "20", "-at", "0,0,0"}, {"-at", "1,2"},
		{"-frame", "car", "-rake", "120", "-at", "0,0,0"}, {"-facing", "up"}, {"-frame", "car", "-car-point", "1=0,0,0"},
		{"-frame", "car", "-car-point", "0,0,0"}, {"-frame", "car", "-rake", "1", "-at", "0,0,0", "-car-point", "1=0,0,0"},
		{"-frame", "car", "-car-point", "1=0,0,0", "-car-point", "2=9,0,0", "-car-point", "nowhere=0,9,0"},
	} {
		code, out, stderr := call(append([]string{"export", path, "-out", dir}, args...)...)
		assert.Equal(t, 2, code, "%v", args)
		assert.Empty(t, out, "%v", args)
		assert.NotEmpty(t, stderr, "%v", args)
		assert.NoDirExists(t, dir, "%v: nothing half-written", args)
	}
	_, _, stderr := call("export", "-h")
	for _, name := range []string{"-glue", "-extend", "-flange", "-panel-gap", "-sections", "-inch", "-scale", "-frame", "-rake", "-car-point", "-other-hand"} {
		assert.Contains(t, stderr, "  "+name)
	}
}

// TestThePackOfTheJob: what the job asks of its pack is written where no flag says
// otherwise, and flags have the last word.
func TestThePackOfTheJob(t *testing.T) {
	j := demo.C().Job.Clone()
	j.Pack = board.PackSettings{Body: board.BodyFiles{Inch: true, Scale: 2, OnBoard: true, Glue: 4}, Paper: board.Paper{Sheet: "A3"}}
	data, err := board.Encode(j)
	require.NoError(t, err)
	path := file(t, "c.pane", string(data))
	dir := filepath.Join(t.TempDir(), "out")
	code, out, stderr := call("export", path, "-out", dir)
	require.Zero(t, code, stderr)
	for _, name := range []string{"glass-inch.step", "glass-1to2.step", "glass-board-inch.step"} {
		assert.Contains(t, summary(t, out)["files"], name)
	}
	code, out, stderr = call("export", path, "-out", dir, "-inch=false", "-scale", "1:1", "-frame", "glass", "-frame", "board", "-glue", "0")
	require.Zero(t, code, stderr)
	assert.Contains(t, summary(t, out)["files"], "glass-board.step")
	for _, name := range []string{"glass-inch.step", "glass-1to2.step"} {
		assert.NotContains(t, summary(t, out)["files"], name)
	}
	faces, err := os.ReadFile(filepath.Join(dir, "faces.step"))
	require.NoError(t, err)
	assert.NotContains(t, string(faces), "glue line")
}
