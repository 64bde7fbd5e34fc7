package batch_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// gapTable are the gaps at 24 stations of pane in a pocket whose left half was
// made about a line e mm too far right, with a clearance.
func gapTable(e, clearance float64) string {
	var b strings.Builder
	b.WriteString("station,wall,ledge,note\n")
	for i := 1; i < 72; i += 3 {
		a := 2 * math.Pi * float64(i) / 72
		c, s := math.Cos(a), math.Sin(a)
		r := math.Pow(math.Pow(math.Abs(c)/450, 4)+math.Pow(math.Abs(s)/250, 4), -0.25)
		x, y := r*c, r*s
		n := math.Hypot(x*x*x/math.Pow(450, 4), y*y*y/math.Pow(250, 4))
		gap := clearance
		if x < 0 {
			gap += 2 * e * x * x * x / math.Pow(450, 4) / n
		}
		fmt.Fprintf(&b, "%d,%.2f,,\n", i+1, gap)
	}
	return b.String()
}

// TestGapsGiveTheNextCut: an offset of 0.6 mm is found and put right.
func TestGapsGiveTheNextCut(t *testing.T) {
	const e = 0.6 // mm
	path, gaps := file(t, "a.csv", pane(1, false)), file(t, "gaps.csv", gapTable(e, 1.5))
	flags := []string{path, "-mirror", "right", "-centre-offset", fmt.Sprint(e)}
	_, first, _ := call(append([]string{"solve"}, flags...)...)
	require.InDelta(t, 900-2*e, number(summary(t, first), "outline", "width_mm"), 0.3)
	dir := filepath.Join(t.TempDir(), "out")
	code, out, stderr := call(append([]string{"export", "-out", dir, "-gaps", gaps}, flags...)...)
	require.Zero(t, code, stderr)
	s := summary(t, out)
	require.Equal(t, 2.0, s["cut"])
	require.InDelta(t, 900, number(s, "outline", "width_mm"), 0.3)
	c := s["correction"].(map[string]any)
	for _, key := range []string{"centre_offset_mm", "centre_skew_deg", "offset_u_mm", "skew_u_deg", "explained", "left_over_rms_mm", "not_identifiable"} {
		require.Contains(t, c, key)
	}
	require.InDelta(t, -e, c["centre_offset_mm"], 0.15)
	require.InDelta(t, 0, c["centre_skew_deg"], 0.03)
	require.Less(t, c["offset_u_mm"], 0.15)
	require.Equal(t, "placement", c["explained"].([]any)[0].(map[string]any)["cause"])
	require.Contains(t, fmt.Sprint(c["explained"]), "centre_offset")
	require.Less(t, c["left_over_rms_mm"], 0.2)
	require.Equal(t, "mixed", s["centre_line"].(map[string]any)["source"])
	require.NotNil(t, s["centre_line_found"])
	require.FileExists(t, filepath.Join(dir, "pocket.stl"))
	readme, err := os.ReadFile(filepath.Join(dir, "README.txt"))
	require.NoError(t, err)
	require.Contains(t, string(readme), "WHAT THE GAPS OF CUT 1 SAID")

	// the same gaps in a pocket that was cut wider are told by -cut-wall
	wide := file(t, "wide.csv", gapTable(e, 1.9))
	_, out, _ = call(append([]string{"solve", "-gaps", wide, "-cut-wall", "1.9"}, flags...)...)
	require.InDelta(t, 900, number(summary(t, out), "outline", "width_mm"), 0.3)
	require.NotContains(t, fmt.Sprint(summary(t, out)["correction"].(map[string]any)["explained"]), "pencil")
	_, out, _ = call(append([]string{"solve", "-gaps", wide}, flags...)...)
	require.InDelta(t, 899.2, number(summary(t, out), "outline", "width_mm"), 0.3)
	require.Contains(t, fmt.Sprint(summary(t, out)["correction"].(map[string]any)["causes"]), "pencil", "though a wrong scale looks much like it here")
}

// TestGapsProveACut: gaps as planned leave the shape and prove it.
func TestGapsProveACut(t *testing.T) {
	path, gaps := file(t, "a.csv", pane(1, false)), file(t, "gaps.csv", gapTable(0, 1.5))
	code, out, stderr := call("solve", path, "-mirror", "right", "-centre-offset", "0", "-gaps", gaps)
	require.Zero(t, code, stderr)
	proved := summary(t, out)["proved"].(map[string]any)
	require.Equal(t, 1.0, proved["by_cut"])
	require.Equal(t, "proved by cut 1 (wall gaps only)", proved["text"])
	_, out, _ = call("solve", path)
	require.Nil(t, summary(t, out)["proved"].(map[string]any)["by_cut"])
	require.Nil(t, summary(t, out)["correction"])
}

// TestBadGapsNameTheirPlace: one line, nothing half-written.
func TestBadGapsNameTheirPlace(t *testing.T) {
	path := file(t, "a.csv", pane(1, false))
	for _, c := range []struct{ text, says string }{
		{"station,wall\n5,1.5\n6,wide\n", "row 3, column wall"},
		{"station,wall\n99,1.5\n", "row 2, column station"},
		{"station,wall\n5,0.7..0.6\n", "thicker"},
		{"", "empty"},
	} {
		dir := filepath.Join(t.TempDir(), "out")
		code, out, stderr := call("export", path, "-out", dir, "-gaps", file(t, "gaps.csv", c.text))
		require.Equal(t, 2, code, c.text)
		require.Empty(t, out)
		require.Equal(t, 1, strings.Count(stderr, "\n"), stderr)
		require.Contains(t, stderr, "gaps.csv")
		require.Contains(t, stderr, c.says)
		require.NoDirExists(t, dir)
		code, _, _ = call("check", path, "-gaps", file(t, "gaps.csv", c.text))
		require.Equal(t, 2, code)
	}
	code, _, stderr := call("solve", path, "-gaps", "nowhere.csv")
	require.Equal(t, 2, code)
	require.Contains(t, stderr, "nowhere.csv")
}

// TestBedCutsTiles: pieces are listed and written, the pocket stays whole.
func TestBedCutsTiles(t *testing.T) {
	path := file(t, "a.csv", pane(1, false))
	dir := filepath.Join(t.TempDir(), "out")
	code, out, stderr := call("export", path, "-out", dir, "-bed", "620x700")
	require.Zero(t, code, stderr)
	tiles := summary(t, out)["tiles"].([]any)
	require.GreaterOrEqual(t, len(tiles), 2)
	for _, v := range tiles {
		tile := v.(map[string]any)
		for _, key := range []string{"name", "size_mm", "packer_mm", "file"} {
			require.Contains(t, tile, key)
		}
		size := tile["size_mm"].([]any)
		w, h := size[0].(float64), size[1].(float64)
		require.True(t, w <= 620 && h <= 700 || w <= 700 && h <= 620)
		require.FileExists(t, filepath.Join(dir, tile["file"].(string)))
	}
	require.FileExists(t, filepath.Join(dir, "pocket.stl"))
	_, out, _ = call("solve", path, "-bed", "620x700")
	require.Len(t, summary(t, out)["tiles"], len(tiles))
	_, out, _ = call("solve", path)
	require.Empty(t, summary(t, out)["tiles"])
	code, out, _ = call("solve", path, "-bed", "60X60")
	require.Zero(t, code, "the pocket itself can be made")
	require.Contains(t, fmt.Sprint(summary(t, out)["warnings"]), "no-tiles")
	for _, bad := range []string{"620", "620xwide", "0x700", "620x", "-5x700"} {
		code, _, stderr := call("solve", path, "-bed", bad)
		require.Equal(t, 2, code, bad)
		require.Contains(t, stderr, "bed")
	}
}
