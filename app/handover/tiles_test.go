package handover_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/handover"
	"panewright/board"
	"panewright/export/dxf/lint"
	stllint "panewright/export/stl/lint"
	"panewright/geom"
	"panewright/geom/fixture"
	"panewright/testdata/demo"
)

// tiled is demo B for a bed of 620 × 920 mm, with its pack.
var tiled = sync.OnceValues(func() (*board.Model, map[string][]byte) {
	j := demo.B().Job.Clone()
	j.Tiles.Bed = fixture.Bed{W: 620, H: 920}
	m, err := board.Solve(context.Background(), j, nil)
	if err != nil {
		panic(err)
	}
	return m, packOf(m)
})

func packOf(m *board.Model) map[string][]byte {
	files, _, err := handover.Build(context.Background(), m, nil)
	if err != nil {
		panic(err)
	}
	pack := map[string][]byte{}
	for _, f := range files {
		pack[f.Name] = f.Data
	}
	return pack
}

type tileSummary struct {
	Tiles []struct {
		Name   string
		Size   []float64 `json:"size_mm"`
		Packer *float64  `json:"packer_mm"`
		File   *string
	}
	Checks []struct {
		Name   string
		Length float64 `json:"length_mm"`
	} `json:"check_distances"`
	Warnings []struct{ Code string }
	Assembly *struct {
		Scale *float64 `json:"scale_mm_per_m"`
		Why   *string
		Text  []string
	}
	Proved struct {
		By   *int `json:"by_cut"`
		Text string
	}
}

func readTiles(t *testing.T, pack map[string][]byte) (s tileSummary) {
	t.Helper()
	require.NoError(t, json.Unmarshal(pack["summary.json"], &s))
	return s
}

// TestTilesOfTheWindscreen: every piece is closed, fits the bed and together
// they, with the packers under them, are the one-piece pocket less the holes of
// the pins.
func TestTilesOfTheWindscreen(t *testing.T) {
	m, pack := tiled()
	s := readTiles(t, pack)
	require.Len(t, s.Tiles, 4, "three tiles, the middle one in two pieces")
	whole, err := stllint.Lint(bytes.NewReader(pack["pocket.stl"]))
	require.NoError(t, err)
	tiling := tilingOf(t, m)
	sum := 0.0
	lowest := math.Inf(1)
	for _, tile := range tiling.Tiles {
		lowest = math.Min(lowest, tile.Mesh.Box().Min.Z)
	}
	for _, tile := range s.Tiles {
		require.NotNil(t, tile.File, tile.Name)
		require.Equal(t, "pocket-"+tile.Name+".stl", *tile.File)
		w, h := tile.Size[0], tile.Size[1]
		require.True(t, w <= 620 && h <= 920 || h <= 620 && w <= 920, "%s: %.1f x %.1f", tile.Name, w, h)
		piece, err := stllint.Lint(bytes.NewReader(pack[*tile.File]))
		require.NoError(t, err, tile.Name)
		box := piece.Mesh.Box()
		const float = 0.001 // mm, of 32 bits
		require.InDelta(t, w, box.Max.X-box.Min.X, float)
		require.InDelta(t, h, box.Max.Y-box.Min.Y, float)
		require.InDelta(t, tile.Size[2], box.Max.Z-box.Min.Z, float)
		require.InDelta(t, *tile.Packer, box.Min.Z-lowest, float)
		sum += piece.Mesh.Volume() + *tile.Packer*underside(piece.Mesh)
	}
	require.InEpsilon(t, whole.Mesh.Volume()-drilled(tiling, s), sum, facetShare)
}

// tilingOf cuts the model's pocket.
func tilingOf(t *testing.T, m *board.Model) *fixture.Tiling {
	pocket, err := fixture.New(context.Background(), m.Pane, m.Job.Pocket)
	require.NoError(t, err)
	tiling, err := pocket.Tiles(context.Background(), m.Job.Tiles.Bed, m.Job.Tiles.Spec())
	require.NoError(t, err)
	return tiling
}

// facetShare is what tiles may differ by from the pocket, as a share of the
// volume: the plan is meshed anew, and the rim slopes over a hole.
const facetShare = 2e-4

// drilled returns the volume of the pins' holes, through tiles and packers.
func drilled(tiling *fixture.Tiling, s tileSummary) (volume float64) {
	packer := map[string]float64{}
	for _, tile := range s.Tiles {
		packer[tile.Name] = *tile.Packer
	}
	for _, j := range tiling.Joints {
		for k, pin := range j.Pins {
			volume += pin.Loop.Area() * (pin.Depth + packer[j.Between[k]])
		}
	}
	return volume
}

// underside is the area of a solid's lowest facets.
func underside(m *geom.Mesh) (area float64) {
	low := m.Box().Min.Z
	for _, f := range m.T {
		p, q, r := m.V[f[0]], m.V[f[1]], m.V[f[2]]
		if math.Max(p.Z, math.Max(q.Z, r.Z)) < low+0.001 {
			area += r3.Norm(r3.Cross(r3.Sub(q, p), r3.Sub(r, p))) / 2
		}
	}
	return area
}

// TestExportedTilesPassOtherReaders exports demo B by the program without a
// window: a file for every piece, each of which admesh and CGAL find closed,
// turned outward, in one part and free of crossings; together they are the
// pocket that they were cut from, by CGAL's volumes.
func TestExportedTilesPassOtherReaders(t *testing.T) {
	dir := t.TempDir()
	text, err := exec.Command("go", "run", "panewright/app/panewright-batch", "export",
		filepath.Join("..", "..", "testdata", "jobs", "touring-saloon-windscreen.pane"), "-out", dir, "-bed", "620x920").CombinedOutput()
	require.NoError(t, err, "%s", text)
	m, pack := tiled()
	s := readTiles(t, pack)
	holes := drilled(tilingOf(t, m), s)
	files, err := filepath.Glob(filepath.Join(dir, "pocket-*.stl"))
	require.NoError(t, err)
	require.Len(t, files, len(s.Tiles), "a file for every piece")
	whole, sum := examine(t, filepath.Join(dir, "pocket.stl")), 0.0
	for _, tile := range s.Tiles {
		path := filepath.Join(dir, *tile.File)
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		require.True(t, bytes.Equal(pack[*tile.File], data), "%s is not what the window exports", tile.Name)
		piece, err := stllint.Lint(bytes.NewReader(data))
		require.NoError(t, err)
		box := piece.Mesh.Box()
		w, h := box.Max.X-box.Min.X, box.Max.Y-box.Min.Y
		require.True(t, w <= 620 && h <= 920 || w <= 920 && h <= 620, "%s: %.3f x %.3f mm", tile.Name, w, h)
		sum += examine(t, path) + *tile.Packer*underside(piece.Mesh)
		t.Logf("%s: %.1f x %.1f mm, %d facets", tile.Name, w, h, piece.Facets)
	}
	require.InEpsilon(t, whole-holes, sum, facetShare)
	t.Logf("tiles, packers and holes %.1f, pocket %.1f cm³", (sum+holes)/1000, whole/1000)
}

// examine has admesh and CGAL look for faults of a body and returns its volume.
func examine(t *testing.T, path string) float64 {
	stllint.Exact(t, path)
	s := stllint.Examine(t, path)
	require.True(t, s.Mesh && s.Closed && s.Outward && !s.Crossing && s.Parts == 1, "%s: %+v", path, s)
	return s.Volume
}

// TestDrawingsOfTilesPassOtherReaders hands them to ezdxf.
func TestDrawingsOfTilesPassOtherReaders(t *testing.T) {
	_, pack := tiled()
	dir := t.TempDir()
	for _, name := range []string{"pocket.dxf", "pocket-r12.dxf"} {
		_, err := lint.Lint(bytes.NewReader(pack[name]))
		require.NoError(t, err, name)
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, pack[name], 0o600))
		lint.Audit(t, path)
	}
}

// TestTilesInWords: names, packers, sheets and the distance to check on the day
// stand in README.txt and in the drawing.
func TestTilesInWords(t *testing.T) {
	_, pack := tiled()
	s := readTiles(t, pack)
	readme, drawing := string(pack["README.txt"]), string(pack["pocket.dxf"])
	require.NotEmpty(t, s.Checks)
	for _, tile := range s.Tiles {
		require.Contains(t, readme, fmt.Sprintf("%-6s %7.1f x %6.1f", tile.Name, tile.Size[0], tile.Size[1]))
		require.Contains(t, readme, *tile.File)
		require.Contains(t, drawing, "\r\n"+tile.Name+"\r\n")
	}
	for _, want := range []string{"CUT LIST", "2440 x 1220", "Board materials move with moisture", fmt.Sprintf("%s: %.1f mm", s.Checks[0].Name, s.Checks[0].Length), "not proved", "Checksum"} {
		require.Contains(t, readme, want)
	}
	for _, layer := range []string{"tiles", "holes", "marks"} {
		require.Contains(t, drawing, layer)
	}
	require.Contains(t, drawing, "M1")
}

// TestABedTooSmallIsSaid: the pocket is made whole all the same.
func TestABedTooSmallIsSaid(t *testing.T) {
	m, _ := tiled()
	small, j := *m, *m.Job
	j.Tiles.Bed = fixture.Bed{W: 60, H: 60}
	small.Job = &j
	pack := packOf(&small)
	s := readTiles(t, pack)
	require.Empty(t, s.Tiles)
	require.NotEmpty(t, pack["pocket.stl"])
	codes := fmt.Sprint(s.Warnings)
	require.Contains(t, codes, "no-tiles")
}

// TestATrialCutHoldsTheTilesOfTheMadeHalf alone.
func TestATrialCutHoldsTheTilesOfTheMadeHalf(t *testing.T) {
	m, _ := tiled()
	half, j := *m, *m.Job
	j.Tiles.Trial = true
	half.Job, half.Mirror = &j, board.MirrorRight
	pack := packOf(&half)
	n := 0
	for _, tile := range readTiles(t, pack).Tiles {
		if tile.File != nil {
			n++
			require.NotEmpty(t, pack[*tile.File])
			continue
		}
		require.Empty(t, pack["pocket-"+tile.Name+".stl"])
	}
	require.Equal(t, 3, n, "the left and both pieces of the middle one")
	require.Contains(t, string(pack["README.txt"]), "only the tiles that test the made half")
}

// TestCheckDistancesTypedBack: a fixture 0.5 mm on a metre too large is told.
func TestCheckDistancesTypedBack(t *testing.T) {
	m, pack := tiled()
	cut, err := board.NewCut(context.Background(), m, "", "")
	require.NoError(t, err)
	require.Len(t, cut.Joints, 2)
	j := m.Job.Clone()
	require.NoError(t, j.AddCut(cut))
	for _, c := range readTiles(t, pack).Checks {
		require.NoError(t, j.SetDistance(1, c.Name, fmt.Sprintf("%.2f", c.Length*1.0005)))
	}
	j.Evaluate()
	require.NoError(t, j.Validate())
	a, err := j.Assembly(context.Background())
	require.NoError(t, err)
	require.Empty(t, a.Why)
	require.InDelta(t, 0.0005, a.Scale.Value, 1e-5)
	require.Contains(t, strings.Join(a.Texts, " "), "0.50 mm on a metre too large")
	next, err := board.Solve(context.Background(), j, nil)
	require.NoError(t, err)
	s := readTiles(t, packOf(next))
	require.NotNil(t, s.Assembly)
	require.InDelta(t, 0.5, *s.Assembly.Scale, 0.01)

	require.NoError(t, j.SetDistance(1, "M1-M99", "800"))
	j.Evaluate()
	a, err = j.Assembly(context.Background())
	require.NoError(t, err)
	require.Contains(t, a.Why, "M1-M99")
}

// TestHeadersSayWhoseTheyAre: job, cut number, checksum and proof in every body.
func TestHeadersSayWhoseTheyAre(t *testing.T) {
	m, _ := tiled()
	named, j := *m, *m.Job
	j.Name = "Coupé of someone with a very long name that no header of eighty characters could ever hold"
	named.Job = &j
	pack := packOf(&named)
	for _, name := range []string{"glass.stl", "pocket.stl", "pocket-A1.stl"} {
		head := string(pack[name][:80])
		for _, want := range []string{"cut 1", "not proved", "mm", "job "} {
			require.Contains(t, head, want, name)
		}
	}
	for _, name := range []string{"outline.dxf", "outline-r12.dxf", "pocket.dxf", "glass.step", "faces.step"} {
		require.Contains(t, string(pack[name][:1500]), "not proved", name)
	}
}
