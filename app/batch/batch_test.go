package batch_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panewright/app/batch"
)

// call runs the program and returns its exit code and what it printed.
func call(args ...string) (code int, stdout, stderr string) {
	var out, err bytes.Buffer
	code = batch.Run(context.Background(), args, &out, &err)
	return code, out.String(), err.String()
}

// pane is a table of readings round a symmetric pane of 900 × 500 mm (an
// ellipse-like outline, no noise) with its heights, in a unit of the given
// size. half: the right half and a little past the line alone.
func pane(unit float64, half bool, more ...string) string {
	var b strings.Builder
	b.WriteString("kind,id,x,y,z\n")
	z := func(x, y float64) float64 { return 120 - x*x/4000 - y*y/9000 }
	row := func(kind, id string, x, y float64) {
		fmt.Fprintf(&b, "%s,%s,%.4f,%.4f,%.4f\n", kind, id, x/unit, y/unit, z(x, y)/unit)
	}
	for i := range 72 {
		a := 2 * math.Pi * float64(i) / 72
		c, s := math.Cos(a), math.Sin(a)
		r := math.Pow(math.Pow(math.Abs(c)/450, 4)+math.Pow(math.Abs(s)/250, 4), -0.25)
		if half && r*c < -60 {
			continue
		}
		row("edge", fmt.Sprint(i+1), r*c, r*s)
	}
	n := 0
	for x := -350.0; x <= 350; x += 100 {
		for y := -150.0; y <= 150; y += 75 {
			if half && x < 0 {
				continue
			}
			n++
			row("face", fmt.Sprintf("F%d", n), x, y)
		}
	}
	for _, m := range more {
		b.WriteString(m + "\n")
	}
	return b.String()
}

func file(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

func summary(t *testing.T, line string) map[string]any {
	t.Helper()
	var m map[string]any
	require.NoError(t, json.Unmarshal([]byte(line), &m), line)
	return m
}

func number(m map[string]any, keys ...string) float64 {
	for _, k := range keys[:len(keys)-1] {
		m = m[k].(map[string]any)
	}
	return m[keys[len(keys)-1]].(float64)
}

func TestSolvePrintsTheSummary(t *testing.T) {
	code, out, stderr := call("solve", file(t, "screen.csv", pane(1, false)), "-thickness", "5")
	require.Zero(t, code, stderr)
	require.Equal(t, 1, strings.Count(out, "\n"), "one object a line")
	s := summary(t, out)
	for _, key := range []string{"job", "job_sha256", "cut", "sigma_mm", "sigma_found_mm", "readings", "suspects",
		"centre_line", "outline", "face", "frame", "fit_check", "correction", "stock_mm", "tiles", "files", "warnings"} {
		require.Contains(t, s, key)
	}
	require.Equal(t, "screen", s["job"])
	require.InDelta(t, 900, number(s, "outline", "width_mm"), 0.3)
	require.InDelta(t, 500, number(s, "outline", "length_mm"), 0.3)
	require.Equal(t, 72.0, number(s, "readings", "edge"))
	require.Equal(t, "outline", s["centre_line"].(map[string]any)["source"])
	require.InDelta(t, 0, number(s, "centre_line", "skew_deg"), 0.01)
	require.Len(t, s["frame"].(map[string]any)["board_to_glass"], 16)
}

func TestUnitsOfATable(t *testing.T) {
	_, mm, _ := call("solve", file(t, "a.csv", pane(1, false)))
	code, in, stderr := call("solve", "-units", "in", file(t, "a.csv", pane(25.4, false)))
	require.Zero(t, code, stderr)
	require.InDelta(t, number(summary(t, mm), "outline", "girth_mm"), number(summary(t, in), "outline", "girth_mm"), 0.05)
}

func TestFlagsBeforeAndAfterTheJob(t *testing.T) {
	path := file(t, "a.csv", pane(1, false))
	_, before, _ := call("solve", "-wall", "2", path)
	_, after, _ := call("solve", path, "-wall", "2")
	require.Equal(t, before, after)
}

func TestATypedPlaneIsUsedAsTyped(t *testing.T) {
	path := file(t, "a.csv", pane(1, false))
	code, out, stderr := call("solve", path, "-mirror", "right", "-centre-offset", "1")
	require.Zero(t, code, stderr)
	s := summary(t, out)
	require.Equal(t, "typed", s["centre_line"].(map[string]any)["source"])
	require.Equal(t, "outline", s["centre_line_found"].(map[string]any)["source"])
	// pocket width = true − 2·m·e (the right half measured: m = +1)
	require.InDelta(t, 898, number(s, "outline", "width_mm"), 0.3)
	_, out, _ = call("solve", path, "-mirror", "left", "-centre-offset", "1")
	require.InDelta(t, 902, number(summary(t, out), "outline", "width_mm"), 0.3)
}

func TestAHalfWithoutWidthsIsNotDetermined(t *testing.T) {
	path := file(t, "half.csv", pane(1, true))
	dir := filepath.Join(t.TempDir(), "out")
	code, out, stderr := call("export", path, "-out", dir)
	require.Equal(t, 1, code)
	require.Contains(t, stderr, "not determined")
	s := summary(t, out)
	require.Equal(t, "none", s["centre_line"].(map[string]any)["source"])
	require.Nil(t, s["outline"])
	require.ElementsMatch(t, []any{"readings.csv", "reading-sheet.pdf", "report.pdf", "README.txt", "summary.json"}, s["files"])
	require.FileExists(t, filepath.Join(dir, "readings.csv"))
	require.NoFileExists(t, filepath.Join(dir, "pocket.stl"))

	tapes := file(t, "tapes.csv", "how,station,length\ntwin,1,900\ntwin,9,570.2\ntwin,65,570.2\n")
	code, out, stderr = call("solve", path, "-tapes", tapes)
	require.Zero(t, code, stderr)
	require.InDelta(t, 900, number(summary(t, out), "outline", "width_mm"), 1)

	code, out, stderr = call("solve", path, "-mirror", "right", "-centre-offset", "0")
	require.Zero(t, code, stderr)
	require.Nil(t, summary(t, out)["centre_line_found"])
}

func TestExportWritesEveryFile(t *testing.T) {
	path := file(t, "a.csv", pane(1, false))
	dir := filepath.Join(t.TempDir(), "deep", "out")
	code, out, stderr := call("export", path, "-out", dir, "-date", "2031-02-03")
	require.Zero(t, code, stderr)
	for _, f := range summary(t, out)["files"].([]any) {
		require.FileExists(t, filepath.Join(dir, f.(string)))
	}
	data, err := os.ReadFile(filepath.Join(dir, "summary.json"))
	require.NoError(t, err)
	require.Equal(t, summary(t, out), summary(t, string(data)))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "mine.txt"), nil, 0o600))
	code, _, stderr = call("export", path, "-out", dir)
	require.Equal(t, 2, code)
	require.Contains(t, stderr, "mine.txt")
	code, _, _ = call("export", path, "-out", dir, "-force")
	require.Zero(t, code)
}

func TestSeveralJobsGetAFolderEach(t *testing.T) {
	dir := t.TempDir()
	a, b, bad := file(t, "a.csv", pane(1, false)), file(t, "b.csv", pane(1, true)), file(t, "c.csv", "x,y\n")
	code, out, _ := call("export", a, b, "-out", dir)
	require.Equal(t, 1, code, "the worst counts")
	require.Equal(t, 2, strings.Count(out, "\n"))
	require.FileExists(t, filepath.Join(dir, "a", "pocket.stl"))
	require.FileExists(t, filepath.Join(dir, "b", "readings.csv"))
	code, _, _ = call("solve", a, bad)
	require.Equal(t, 2, code)
	code, _, stderr := call("export", a, file(t, "a.csv", pane(1, false)), "-out", t.TempDir())
	require.Equal(t, 2, code, "two jobs of one name would overwrite each other")
	require.Contains(t, stderr, "one folder")
}

// TestBadInputNamesItsPlace feeds what cannot be read or cannot be fitted.
func TestBadInputNamesItsPlace(t *testing.T) {
	const head = "kind,id,x,y,z\n"
	edge := func(rows ...string) string { return head + strings.Join(rows, "\n") + "\n" }
	for _, c := range []struct {
		name, text string
		code       int
		says       []string
	}{
		{"empty file", "", 2, []string{"bad.csv"}},
		{"header alone", head, 1, []string{"station"}},
		{"one station", edge("edge,1,10,20,30"), 1, []string{"station"}},
		{"stations on a line", edge("edge,1,0,0,5", "edge,2,10,10,5", "edge,3,20,20,5", "edge,4,30,30,5", "edge,5,40,40,5", "edge,6,50,50,5", "edge,7,60,60,5", "edge,8,70,70,5"), 1, []string{"line"}},
		{"not a number", edge("edge,1,NaN,20,30"), 2, []string{"bad.csv", "row 2", "x"}},
		{"longer than any board", edge("edge,1,10,1e300,30"), 2, []string{"bad.csv", "row 2", "y"}},
		{"no x column", "kind,id,y,z\nedge,1,2,3\n", 2, []string{"bad.csv", "x"}},
		{"unknown kind", edge("rim,1,10,20,30"), 2, []string{"bad.csv", "row 2", "kind"}},
		{"grid line without a grid", edge("edge,1,7+3/8,20,30"), 2, []string{"bad.csv", "row 2", "x"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := file(t, "bad.csv", c.text)
			for _, verb := range []string{"solve", "check"} {
				code, out, stderr := call(verb, path)
				require.Equal(t, c.code, code, "%s: %s%s", verb, out, stderr)
				if c.code == 2 {
					require.Equal(t, 1, strings.Count(stderr, "\n"), "one line: %s", stderr)
				}
				for _, w := range c.says {
					require.Contains(t, out+stderr, w)
				}
			}
			dir := filepath.Join(t.TempDir(), "out")
			code, _, _ := call("export", path, "-out", dir)
			require.Equal(t, c.code, code)
			if c.code == 2 {
				require.NoDirExists(t, dir, "nothing half-written")
			}
		})
	}
}

func TestCheckFindsDuplicatesAndStrays(t *testing.T) {
	text := pane(1, false, "edge,5,1000,0,80", "face,F99,700,0,50")
	code, out, stderr := call("check", "-json", file(t, "a.csv", text))
	require.Equal(t, 1, code, stderr)
	codes := map[string]string{}
	for _, line := range strings.Split(strings.TrimSpace(out), "\n") {
		f := summary(t, line)
		for _, key := range []string{"list", "row", "field", "code", "text"} {
			require.Contains(t, f, key)
		}
		codes[f["code"].(string)] += f["text"].(string)
	}
	require.Contains(t, codes, "suspect")
	require.Contains(t, fmt.Sprint(codes), "F99")
	code, out, _ = call("check", file(t, "clean.csv", pane(1, false)))
	require.Zero(t, code, out)
	require.Empty(t, out)
}

func TestUsageAndFlagFaults(t *testing.T) {
	path := file(t, "a.csv", pane(1, false))
	for _, args := range [][]string{{}, {"frobnicate"}, {"solve"}, {"export", path}, {"solve", path, "-lay", "sideways"},
		{"solve", path, "-sigma", "0"}, {"solve", path, "-wall", "NaN"}, {"solve", path, "-nonsense"},
		{"solve", "missing.csv"}, {"solve", "missing.pane"}, {"solve", path, "-date", "yesterday"}} {
		code, out, stderr := call(args...)
		require.Equal(t, 2, code, "%v", args)
		require.Empty(t, out)
		require.NotEmpty(t, stderr)
	}
	code, _, stderr := call("solve", "-h")
	require.Zero(t, code)
	require.Contains(t, stderr, "-centre-offset")
}
