package handover_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/handover"
	"panewright/board"
	"panewright/export/dxf/lint"
	pdflint "panewright/export/pdf/lint"
	stllint "panewright/export/stl/lint"
	"panewright/testdata/demo"
)

// solved are the three demo jobs, solved once for all tests.
var solved = sync.OnceValue(func() (out []*board.Model) {
	for _, d := range demo.All() {
		m, err := board.Solve(context.Background(), d.Job, nil)
		if err != nil {
			panic(err)
		}
		out = append(out, m)
	}
	return out
})

// built are the packs of the demo jobs.
var built = sync.OnceValue(func() (out []map[string][]byte) {
	for _, m := range solved() {
		files, _, err := handover.Build(context.Background(), m, nil)
		if err != nil {
			panic(err)
		}
		pack := map[string][]byte{}
		for _, f := range files {
			pack[f.Name] = f.Data
		}
		out = append(out, pack)
	}
	return out
})

func eachDemo(t *testing.T, f func(t *testing.T, m *board.Model, pack map[string][]byte)) {
	for i, d := range demo.All() {
		t.Run(strings.TrimSuffix(d.File, ".pane"), func(t *testing.T) {
			m := solved()[i]
			require.NotNil(t, m.Pane, m.Why)
			f(t, m, built()[i])
		})
	}
}

func TestPackHoldsEveryFile(t *testing.T) {
	eachDemo(t, func(t *testing.T, _ *board.Model, pack map[string][]byte) {
		for _, name := range []string{"readings.csv", "outline.csv", "face.csv", "outline.dxf", "outline-r12.dxf",
			"glass.stl", "glass.step", "faces.step", "handover.zip", "pocket.stl", "pocket.dxf", "pocket-r12.dxf", "README.txt", "summary.json",
			"templates.pdf", "report.pdf", "reading-sheet.pdf", "gap-sheet.pdf"} {
			require.NotEmpty(t, pack[name], name)
		}
		require.Len(t, pack, 18)
	})
}

// TestDemoFilesAreUpToDate: what the generator makes is what the program embeds.
// Mend with: go run ./testdata/demo/make
func TestDemoFilesAreUpToDate(t *testing.T) {
	for _, d := range demo.All() {
		want, err := board.Encode(d.Job)
		require.NoError(t, err)
		for _, dir := range []string{"../../assets/jobs", "../../testdata/jobs"} {
			got, err := os.ReadFile(filepath.Join(dir, d.File))
			require.NoError(t, err)
			require.Equal(t, string(want), string(got), d.File)
		}
	}
}

func TestSameJobSameBytes(t *testing.T) {
	m, err := board.Solve(context.Background(), demo.C().Job, nil)
	require.NoError(t, err)
	files, _, err := handover.Build(context.Background(), m, nil)
	require.NoError(t, err)
	for _, f := range files {
		require.True(t, bytes.Equal(f.Data, built()[2][f.Name]), f.Name)
	}
}

// TestDrawingsPassTheStrictReader reads all four drawings back and holds the
// splines against the model.
func TestDrawingsPassTheStrictReader(t *testing.T) {
	eachDemo(t, func(t *testing.T, m *board.Model, pack map[string][]byte) {
		for _, name := range []string{"outline.dxf", "outline-r12.dxf", "pocket.dxf", "pocket-r12.dxf"} {
			_, err := lint.Lint(bytes.NewReader(pack[name]))
			require.NoError(t, err, name)
		}
	})
}

// TestSolidsAreClosed reads both meshes back; the glass has the volume of an
// independent integral.
func TestSolidsAreClosed(t *testing.T) {
	eachDemo(t, func(t *testing.T, m *board.Model, pack map[string][]byte) {
		glass, err := stllint.Lint(bytes.NewReader(pack["glass.stl"]))
		require.NoError(t, err)
		require.InEpsilon(t, m.Pane.Volume(), glass.Mesh.Volume(), 1e-4)
		pocket, err := stllint.Lint(bytes.NewReader(pack["pocket.stl"]))
		require.NoError(t, err)
		require.Positive(t, pocket.Mesh.Volume())
	})
}

// TestIndependentReadersAgree hands the files to programs that are not ours:
// ezdxf must find nothing to complain of and nothing to mend, admesh no open
// edge, and CGAL a closed body that does not pass through itself.
func TestIndependentReadersAgree(t *testing.T) {
	eachDemo(t, func(t *testing.T, _ *board.Model, pack map[string][]byte) {
		dir := t.TempDir()
		for name, data := range pack {
			path := filepath.Join(dir, name)
			require.NoError(t, os.WriteFile(path, data, 0o600))
			if strings.HasSuffix(name, ".dxf") {
				lint.Audit(t, path)
			}
		}
		for _, name := range []string{"glass.stl", "pocket.stl"} {
			path := filepath.Join(dir, name)
			stllint.Exact(t, path)
			solid := stllint.Examine(t, path)
			require.True(t, solid.Closed && solid.Outward && !solid.Crossing, "%s: %+v", name, solid)
		}
	})
}

func table(t *testing.T, data []byte) []map[string]float64 {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	require.NoError(t, err)
	var out []map[string]float64
	for _, r := range rows[1:] {
		m := map[string]float64{}
		for i, h := range rows[0] {
			v := math.NaN()
			if r[i] != "" {
				v, err = strconv.ParseFloat(r[i], 64)
				require.NoError(t, err)
			}
			m[h] = v
		}
		out = append(out, m)
	}
	return out
}

func TestTables(t *testing.T) {
	eachDemo(t, func(t *testing.T, m *board.Model, pack map[string][]byte) {
		outline := table(t, pack["outline.csv"])
		last := m.Pane.Outline.Length()
		for i := len(outline) - 1; i >= 0; i-- {
			r := outline[i]
			require.LessOrEqual(t, last-r["s"], 2.0001, "a point every 2 mm")
			last = r["s"]
			upper, lower := r3.Vec{X: r["upper_x"], Y: r["upper_y"], Z: r["upper_z"]}, r3.Vec{X: r["lower_x"], Y: r["lower_y"], Z: r["lower_z"]}
			require.InDelta(t, m.Pane.Thickness, r3.Norm(r3.Sub(upper, lower)), 0.002, "thickness square to the face, mm")
			require.Positive(t, r["sd"])
		}
		face := table(t, pack["face.csv"])
		require.Greater(t, len(face), int(m.Pane.Outline.Area()/400*0.8))
		shape := m.Pane.Outline
		for _, r := range face {
			_, d := shape.Nearest(r2.Vec{X: r["x"], Y: r["y"]})
			require.Less(t, d, 0.01)
			if !math.IsNaN(r["upper_z"]) && !math.IsNaN(r["lower_z"]) {
				require.Greater(t, r["upper_z"]-r["lower_z"], m.Pane.Thickness-1e-3)
			}
		}
		rows, err := csv.NewReader(bytes.NewReader(pack["readings.csv"])).ReadAll()
		require.NoError(t, err)
		require.Len(t, rows, len(m.Job.Readings)+1)
		for i, r := range m.Job.Readings {
			require.Equal(t, []string{r.Kind.String(), r.ID, r.X.Text, r.Y.Text, r.Z.Text}, rows[i+1][:5], "as typed")
		}
	})
}

func TestReadmeSaysWhatMatters(t *testing.T) {
	eachDemo(t, func(t *testing.T, m *board.Model, pack map[string][]byte) {
		text := string(pack["README.txt"])
		for _, want := range []string{m.Job.Name, "millimetres", "FIT-CHECK ONLY", "glass.stl", "pocket.dxf", "cut-resistant gloves", "licensed or qualified person"} {
			require.Contains(t, text, want)
		}
		for _, b := range pack["README.txt"] {
			require.Less(t, b, byte(0x80), "seven-bit text")
		}
	})
}

func TestExportReplacesItsOwnFilesOnly(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "pack")
	m := solved()[2]
	ctx := context.Background()
	_, err := handover.Export(ctx, m, dir, handover.Options{})
	require.NoError(t, err)
	_, err = handover.Export(ctx, m, dir, handover.Options{})
	require.NoError(t, err, "an earlier export of the same job is replaced")

	other := filepath.Join(dir, "notes.txt")
	require.NoError(t, os.WriteFile(other, []byte("mine"), 0o600))
	_, err = handover.Export(ctx, m, dir, handover.Options{})
	require.ErrorIs(t, err, handover.ErrOccupied)
	_, err = handover.Export(ctx, m, dir, handover.Options{Force: true})
	require.NoError(t, err)
	kept, err := os.ReadFile(other)
	require.NoError(t, err)
	require.Equal(t, "mine", string(kept))

	require.NoError(t, os.Remove(other))
	_, err = handover.Export(ctx, solved()[0], dir, handover.Options{})
	require.ErrorIs(t, err, handover.ErrOccupied, "another job's pack is not overwritten")
}

// TestExportRemovesWhatItNoLongerHas exports a pane, then the same job with its
// thickness taken away: no glass and no pocket may be left lying there.
func TestExportRemovesWhatItNoLongerHas(t *testing.T) {
	dir := t.TempDir()
	ctx := context.Background()
	_, err := handover.Export(ctx, solved()[2], dir, handover.Options{})
	require.NoError(t, err)
	j := demo.C().Job.Clone()
	j.Pane.Thickness = board.Cell{}
	j.Evaluate()
	m, err := board.Solve(ctx, j, nil)
	require.NoError(t, err)
	sum, err := handover.Export(ctx, m, dir, handover.Options{})
	require.NoError(t, err)
	require.ElementsMatch(t, []string{"readings.csv", "reading-sheet.pdf", "report.pdf", "README.txt", "summary.json"}, sum.Files)
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 5)
}

// TestADateThatIsNone: a job dated with what is no day is exported all the same,
// its files without a date, and says so; the check names the place.
func TestADateThatIsNone(t *testing.T) {
	m := *solved()[2]
	j := m.Job.Clone()
	j.Date = "last Tuesday"
	m.Job = j
	files, sum, err := handover.Build(context.Background(), &m, nil)
	require.NoError(t, err)
	i := slices.IndexFunc(sum.Warnings, func(w handover.Warning) bool { return w.Code == "no-date" })
	require.GreaterOrEqual(t, i, 0)
	require.Contains(t, sum.Warnings[i].Text, `"last Tuesday"`)
	for _, f := range files {
		require.True(t, f.Name == "README.txt" || f.Name == "summary.json" || !bytes.Contains(f.Data, []byte("last Tuesday")), f.Name)
		if f.Name == "report.pdf" {
			pdflint.Check(t, f.Data)
			require.False(t, pdflint.Inspect(t, f.Data).Dated)
		}
	}
	findings := board.Check(j)
	require.True(t, slices.ContainsFunc(findings, func(f board.Finding) bool {
		return f.Code == "bad-date" && f.List == "job" && f.Field == "date" && !f.Remark
	}))
}

func TestExportStopsWithItsContext(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "pack")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := handover.Export(ctx, solved()[2], dir, handover.Options{})
	require.ErrorIs(t, err, context.Canceled)
	require.NoDirExists(t, dir, "nothing half-written")
}
