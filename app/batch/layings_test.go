package batch_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// inTwo is the table of a pane read in two layings: the stations from 45 on, and
// those of every eighth number again, after the pane was bumped by dx and turned
// by a milliradian.
func inTwo(dx float64, repeats ...string) string {
	var b strings.Builder
	b.WriteString("kind,id,x,y,z,set\n")
	for i, line := range strings.Split(strings.TrimSpace(pane(1, false)), "\n") {
		if i == 0 {
			continue
		}
		cell := strings.Split(line, ",")
		var n int
		fmt.Sscan(cell[1], &n)
		var x, y float64
		fmt.Sscan(cell[2], &x)
		fmt.Sscan(cell[3], &y)
		moved := fmt.Sprintf("%s,%s,%.4f,%.4f,%s,b\n", cell[0], cell[1], x+dx-y/1000, y+x/1000, cell[4])
		again := false
		for _, id := range repeats {
			again = again || id == cell[1]
		}
		if cell[0] == "face" || n < 45 {
			b.WriteString(line + ",\n")
			if !again {
				continue
			}
		}
		b.WriteString(moved)
	}
	return b.String()
}

// TestSolveJoinsLayings: a table with a set column gives the pane of one without,
// and its readings are kept, in the places of the first laying.
func TestSolveJoinsLayings(t *testing.T) {
	code, plain, _ := call("export", file(t, "whole.csv", pane(1, false)), "-out", filepath.Join(t.TempDir(), "a"))
	require.Zero(t, code)
	dir := filepath.Join(t.TempDir(), "b")
	code, out, stderr := call("export", file(t, "two.csv", inTwo(14, "1", "8", "16", "24", "32", "40")), "-out", dir)
	require.Zero(t, code, stderr)
	whole, two := summary(t, plain), summary(t, out)
	const tol = 0.2 // mm
	for _, k := range []string{"width_mm", "length_mm", "girth_mm"} {
		require.InDelta(t, number(whole, "outline", k), number(two, "outline", k), tol, k)
	}
	laying := two["layings"].([]any)[0].(map[string]any)
	require.Equal(t, true, laying["joined"])
	require.Equal(t, false, laying["turned_over"])
	require.Equal(t, 6.0, laying["repeats"])
	require.InDelta(t, 0, laying["misfit_mm"], 0.01)
	require.Empty(t, whole["layings"])

	f, err := os.Open(filepath.Join(dir, "readings.csv"))
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	seen := 0
	for _, r := range rows[1:] {
		require.Equal(t, "kept", r[column["state"]], r)
		if r[column["kind"]] != "edge" || r[column["id"]] != "60" {
			continue
		}
		seen++
		a := 2 * math.Pi * 59 / 72
		k := math.Pow(math.Pow(math.Abs(math.Cos(a))/450, 4)+math.Pow(math.Abs(math.Sin(a))/250, 4), -0.25)
		var x, y float64
		fmt.Sscan(r[column["x_mm"]], &x)
		fmt.Sscan(r[column["y_mm"]], &y)
		require.InDelta(t, k*math.Cos(a), x, 0.05, "as it would have been read in the first laying")
		require.InDelta(t, k*math.Sin(a), y, 0.05)
		require.NotEqual(t, r[column["typed_x"]], r[column["x_mm"]])
	}
	require.Equal(t, 1, seen)
}

// TestSolveSaysWhyALayingIsNotUsed: three repeats do not join it.
func TestSolveSaysWhyALayingIsNotUsed(t *testing.T) {
	path := file(t, "two.csv", inTwo(14, "1", "16", "32"))
	_, out, _ := call("solve", path)
	laying := summary(t, out)["layings"].([]any)[0].(map[string]any)
	require.Equal(t, false, laying["joined"])
	require.Contains(t, laying["text"], "it takes 4 to join them")
	code, out, _ := call("check", path)
	require.Equal(t, 1, code)
	require.Contains(t, out, "Laying b has 3 of its places read in another laying too")
}

// TestSummaryListsCorrections: the scale is always there, and without a taped
// length it says that nothing tells it.
func TestSummaryListsCorrections(t *testing.T) {
	path := file(t, "whole.csv", pane(1, false))
	_, out, _ := call("solve", path)
	list := summary(t, out)["corrections"].([]any)
	require.Len(t, list, 1)
	scale := list[0].(map[string]any)
	require.Equal(t, "scale", scale["name"])
	require.Equal(t, false, scale["on"])
	require.Nil(t, scale["value"])
	require.Contains(t, scale["text"], "cannot be seen in the readings")

	tapes := file(t, "tapes.csv", "how,from,to,length\nstraight,1,37,902.7\n")
	_, out, _ = call("solve", path, "-tapes", tapes)
	scale = summary(t, out)["corrections"].([]any)[0].(map[string]any)
	require.InDelta(t, 3, scale["value"], 0.05)
	require.Equal(t, "mm/m", scale["unit"])
	require.Equal(t, false, scale["applied"])
}
