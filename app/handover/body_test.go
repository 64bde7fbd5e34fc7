package handover_test

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/handover"
	"panewright/board"
	dxflint "panewright/export/dxf/lint"
	"panewright/export/step"
	steplint "panewright/export/step/lint"
	stllint "panewright/export/stl/lint"
	"panewright/geom"
	"panewright/testdata/demo"
)

// everything is all that a body designer may want, but for the twins.
var everything = board.BodyFiles{Glue: 5, Extend: 40, Flange: 20, PanelGap: 5, Sections: 100}

// wanting is a model whose job asks for more in its pack.
func wanting(m *board.Model, p board.PackSettings) *board.Model {
	k := *m
	k.Job = m.Job.Clone()
	k.Job.Pack = p
	return &k
}

// withBody builds a pack with options, by the names of its files.
func withBody(t testing.TB, m *board.Model, b board.BodyFiles) (map[string][]byte, *handover.Summary) {
	t.Helper()
	files, sum, err := handover.Build(context.Background(), wanting(m, board.PackSettings{Body: b}), nil)
	require.NoError(t, err)
	pack := map[string][]byte{}
	for _, f := range files {
		pack[f.Name] = f.Data
	}
	return pack, sum
}

// wanted are the packs of the demo jobs with everything.
var wanted = sync.OnceValue(func() (out []map[string][]byte) {
	for _, m := range solved() {
		files, _, err := handover.Build(context.Background(), wanting(m, board.PackSettings{Body: everything}), nil)
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

func eachWanted(t *testing.T, f func(t *testing.T, m *board.Model, pack map[string][]byte)) {
	for i, d := range demo.All() {
		t.Run(strings.TrimSuffix(d.File, ".pane"), func(t *testing.T) { f(t, solved()[i], wanted()[i]) })
	}
}

func stepReport(t testing.TB, data []byte) *steplint.Report {
	t.Helper()
	require.NotEmpty(t, data)
	r, err := steplint.Lint(bytes.NewReader(data))
	require.NoError(t, err)
	return r
}

func saved(t testing.TB, name string, data []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, data, 0o600))
	return path
}

// glassBox is the box of a pane: in plan that of its outline.
func glassBox(t testing.TB, p *geom.Pane) r3.Box {
	t.Helper()
	mesh, err := p.Mesh(8)
	require.NoError(t, err)
	plan, box := p.Outline.Bounds(), mesh.Box()
	return r3.Box{Min: r3.Vec{X: plan.Min.X, Y: plan.Min.Y, Z: box.Min.Z}, Max: r3.Vec{X: plan.Max.X, Y: plan.Max.Y, Z: box.Max.Z}}
}

// TestGlassIsOneSolid holds glass.step to the six conditions: no message, one
// solid of six faces, no tolerance beyond what the file declares, no free edge,
// volume and area within a millionth of integrals of their own, the box.
func TestGlassIsOneSolid(t *testing.T) {
	eachWanted(t, func(t *testing.T, m *board.Model, pack map[string][]byte) {
		r := stepReport(t, pack["glass.step"])
		require.Len(t, r.Solids, 1)
		assert.InEpsilon(t, m.Pane.Volume(), r.Solids[0].Volume, 1e-6)
		assert.Equal(t, []int{6, 12}, []int{r.Solids[0].Faces, r.Solids[0].Edges}, "outer, inner and four of the edge")
		assert.Equal(t, "mm", r.Unit)
		assert.Equal(t, m.Job.Date+"T00:00:00", r.Date)
		assert.Equal(t, m.Job.Name, r.Product)
		got := steplint.Examine(t, saved(t, "glass.step", pack["glass.step"]))
		assert.Empty(t, got.Misses(steplint.Expected{
			Solids: 1, Faces: 6, Volume: m.Pane.Volume(), Area: r.Solids[0].Area, Box: glassBox(t, m.Pane),
		}))
	})
}

// sheet is a sheet of a report by its name.
func sheet(t testing.TB, r *steplint.Report, name string) steplint.Sheet {
	t.Helper()
	i := slices.IndexFunc(r.Sheets, func(s steplint.Sheet) bool { return s.Name == name })
	require.GreaterOrEqual(t, i, 0, name)
	return r.Sheets[i]
}

// curveOf is a curve of a report by its name.
func curveOf(t testing.TB, r *steplint.Report, name string) steplint.Curve {
	t.Helper()
	i := slices.IndexFunc(r.Curves, func(c steplint.Curve) bool { return c.Name == name })
	require.GreaterOrEqual(t, i, 0, name)
	return r.Curves[i]
}

// girth is the length of a closed curve's control polygon, for telling curves
// apart.
func girth(c steplint.Curve) (sum float64) {
	for i := range c.Ctrl[1:] {
		sum += r3.Norm(r3.Sub(c.Ctrl[i+1], c.Ctrl[i]))
	}
	return sum
}

// TestFaces: what faces.step holds, named by the lay, and its areas; by the strict
// reader and by Open CASCADE, with everything a body designer may want.
func TestFaces(t *testing.T) {
	eachWanted(t, func(t *testing.T, m *board.Model, pack map[string][]byte) {
		r := stepReport(t, pack["faces.step"])
		upper, lower := "outer face", "inner face"
		if m.Job.Pane.Lay == board.Bowl {
			upper, lower = lower, upper
		}
		assert.InEpsilon(t, m.Pane.FaceArea(), sheet(t, r, upper).Area, 1e-6)
		// the faces lie the thickness apart: the smaller is the hollow side's
		assert.Less(t, sheet(t, r, "inner face").Area, sheet(t, r, "outer face").Area)
		assert.InEpsilon(t, sheet(t, r, upper).Area, sheet(t, r, lower).Area, 0.01)
		glue := sheet(t, r, "glue line")
		assert.Less(t, glue.Area, sheet(t, r, "inner face").Area)
		edge := curveOf(t, r, "inner edge")
		flange := sheet(t, r, "flange")
		assert.InEpsilon(t, everything.Flange*girth(edge), flange.Area, 0.08, "a strip along the edge, shorter inside")
		assert.Greater(t, sheet(t, r, "extended").Area, sheet(t, r, "outer face").Area+0.95*everything.Extend*girth(edge))
		for _, name := range []string{"outer edge", "inner edge", "silhouette", "aperture line"} {
			assert.True(t, curveOf(t, r, name).Closed, name)
		}
		assert.InDelta(t, girth(curveOf(t, r, "outer edge"))+2*math.Pi*everything.PanelGap, girth(curveOf(t, r, "aperture line")), 2, "mm")
		curveOf(t, r, "outer face down at x 0 mm")
		curveOf(t, r, "inner face across at y 0 mm")
		free := 0
		for _, s := range r.Sheets {
			free += s.Edges
		}
		got := steplint.Examine(t, saved(t, "faces.step", pack["faces.step"]))
		assert.Empty(t, got.Messages)
		assert.True(t, got.Valid)
		assert.Equal(t, []int{0, len(r.Sheets), len(r.Sheets)}, []int{got.Solids, got.Shells, got.Faces})
		assert.Equal(t, []int{free, len(r.Curves), len(r.Points)}, []int{got.Free, got.Wires, got.Points})
		assert.LessOrEqual(t, got.Tolerance, step.Uncertainty)
		area := 0.0
		for _, s := range r.Sheets {
			area += s.Area
		}
		assert.InEpsilon(t, area, got.Area, 1e-6)
	})
}

// TestMeasuredPlaces: every reading that was kept stands in faces.step under its
// name, as far from the pane as the model says that it missed.
func TestMeasuredPlaces(t *testing.T) {
	eachDemo(t, func(t *testing.T, m *board.Model, pack map[string][]byte) {
		r := stepReport(t, pack["faces.step"])
		points := map[string][]r3.Vec{}
		for _, p := range r.Points {
			points[p.Name] = append(points[p.Name], p.At)
		}
		want := 0
		for i, reading := range m.Job.Readings {
			res := m.Results[i]
			if res.State == board.Suspect || res.State == board.StruckOut || !res.Placed {
				continue
			}
			want++
			name := strings.TrimSpace(reading.ID + " " + reading.Note)
			require.NotEmpty(t, points[name], name)
			if reading.Kind == board.Face && reading.Z.Set && res.HasHeight && !res.BadHeight && len(points[name]) == 1 && !m.Job.Pane.ReadLower {
				p := points[name][0]
				assert.InDelta(t, math.Abs(res.HeightMiss), math.Abs(p.Z-m.Pane.Upper.At(p.X, p.Y)), 0.02, "mm: %s", name)
			}
		}
		assert.Len(t, r.Points, want)
	})
}

// withMarks is the quarter window with a hole, a bracket and a band noted.
var withMarks = sync.OnceValue(func() *board.Model {
	j := demo.C().Job.Clone()
	mark := func(id, note, x, y, z string) {
		j.Readings = append(j.Readings, board.Reading{ID: id, Kind: board.Mark, Note: note,
			X: board.Cell{Text: x}, Y: board.Cell{Text: y}, Z: board.Cell{Text: z}})
	}
	mark("H1", "hole 6.5", "250", "150", "")
	mark("B1", "bracket", "300", "160", "55")
	mark("K1", "band inner edge", "200", "120", "")
	mark("K2", "struck", "210", "120", "")
	j.Readings[len(j.Readings)-1].Struck = true
	j.Evaluate()
	m, err := board.Solve(context.Background(), j, nil)
	if err != nil {
		panic(err)
	}
	return m
})

// TestMarksAreCarried: marks stand at one place in summary, drawing and faces.step.
func TestMarksAreCarried(t *testing.T) {
	m := withMarks()
	pack, sum := withBody(t, m, board.BodyFiles{})
	require.Len(t, sum.Marks, 3)
	steps := map[string]r3.Vec{}
	for _, p := range stepReport(t, pack["faces.step"]).Points {
		steps[p.Name] = p.At
	}
	drawing, err := dxflint.Lint(bytes.NewReader(pack["outline.dxf"]))
	require.NoError(t, err)
	drawn := map[string]r3.Vec{}
	for _, e := range drawing.On("marks") {
		if e.Type == "TEXT" {
			drawn[e.Text] = e.Points[0]
		}
	}
	for i, name := range []string{"H1 hole 6.5", "B1 bracket", "K1 band inner edge"} {
		s := sum.Marks[i]
		assert.Equal(t, name, s.ID+" "+s.Note)
		at := r3.Vec{X: s.At[0], Y: s.At[1], Z: s.At[2]}
		assert.InDelta(t, 0, r3.Norm(r3.Sub(at, steps[name])), 2e-6, "mm")
		assert.InDelta(t, 0, r3.Norm(r3.Sub(at, drawn[name])), 2e-6, "mm")
		if name != "B1 bracket" {
			assert.InDelta(t, m.Pane.Upper.At(at.X, at.Y), at.Z, 1e-3, "on the face: %s", name)
		}
	}
	q := m.BoardToGlass.Inverse().Apply(r3.Vec{X: sum.Marks[1].At[0], Y: sum.Marks[1].At[1], Z: sum.Marks[1].At[2]})
	assert.InDelta(t, 0, r3.Norm(r3.Sub(q, r3.Vec{X: 300, Y: 160, Z: 55})), 1e-5, "mm, as read")
}

// TestSameBytesWithEverything: all files and twins, made twice.
func TestSameBytesWithEverything(t *testing.T) {
	b := everything
	b.Inch, b.Scale, b.TrueThickness, b.OnBoard, b.Car = true, 4, true, true, board.Car{By: board.ByRake, Rake: 30}
	one, _ := withBody(t, solved()[2], b)
	two, _ := withBody(t, solved()[2], b)
	require.Len(t, one, len(two))
	for name := range one {
		assert.True(t, bytes.Equal(one[name], two[name]), name)
	}
}

// TestInchTwins: the twins are the same size, said in the other unit, in every
// format.
func TestInchTwins(t *testing.T) {
	m := solved()[0]
	pack, sum := withBody(t, m, board.BodyFiles{Inch: true})
	for _, name := range []string{"glass-inch.step", "faces-inch.step", "glass-inch.stl", "outline-inch.dxf", "outline-r12-inch.dxf"} {
		assert.Contains(t, sum.Files, name)
	}
	mm, in := stepReport(t, pack["glass.step"]), stepReport(t, pack["glass-inch.step"])
	assert.Equal(t, []string{"mm", "inch"}, []string{mm.Unit, in.Unit})
	assert.InEpsilon(t, mm.Solids[0].Volume, in.Solids[0].Volume, 1e-7)
	assert.Contains(t, strings.Join(in.Notes, " "), "Units: inch.")
	assert.Equal(t, "inch", stepReport(t, pack["faces-inch.step"]).Unit)

	full, err := stllint.Lint(bytes.NewReader(pack["glass.stl"]))
	require.NoError(t, err)
	small, err := stllint.Lint(bytes.NewReader(pack["glass-inch.stl"]))
	require.NoError(t, err)
	assert.Contains(t, small.Header, "glass, inch")
	assert.Contains(t, full.Header, "glass, mm")
	assert.InEpsilon(t, full.Mesh.Volume(), small.Mesh.Volume()*math.Pow(25.4, 3), 1e-5, "32 bits")

	a, err := dxflint.Lint(bytes.NewReader(pack["outline.dxf"]))
	require.NoError(t, err)
	b, err := dxflint.Lint(bytes.NewReader(pack["outline-inch.dxf"]))
	require.NoError(t, err)
	assert.Equal(t, []int{4, 1, 1, 0}, []int{a.Units, a.Measurement, b.Units, b.Measurement})
	require.Len(t, b.On("outline"), 1)
	for i, q := range a.On("outline")[0].Ctrl {
		assert.InDelta(t, 0, r3.Norm(r3.Sub(q, r3.Scale(25.4, b.On("outline")[0].Ctrl[i]))), 1e-5, "mm")
	}
	bar := b.On("check-bar")[0].Points
	assert.InDelta(t, 4, r3.Norm(r3.Sub(bar[1], bar[0])), 1e-7, "inches of bar")
	assert.Contains(t, string(pack["README.txt"]), "glass-inch.step")
	if !t.Failed() {
		dxflint.Audit(t, saved(t, "outline-inch.dxf", pack["outline-inch.dxf"]))
		dxflint.Audit(t, saved(t, "outline-r12-inch.dxf", pack["outline-r12-inch.dxf"]))
	}
}

// withoutSum is a file of a pack without the checksum of its job.
func withoutSum(t *testing.T, pack map[string][]byte, name string) []byte {
	t.Helper()
	var s struct {
		Sum string `json:"job_sha256"`
	}
	require.NoError(t, json.Unmarshal(pack["summary.json"], &s))
	return bytes.ReplaceAll(bytes.ReplaceAll(pack[name], []byte(s.Sum), nil), []byte(s.Sum[:8]), nil)
}

// TestModelToScale: model files alone, never the pocket; the thickness to scale or
// as it is.
func TestModelToScale(t *testing.T) {
	for i, d := range demo.All() {
		if i == 1 {
			continue // the second dome
		}
		m, plain := solved()[i], built()[i]
		const n = 4
		pack, sum := withBody(t, m, board.BodyFiles{Scale: n})
		for _, name := range sum.Files {
			assert.False(t, strings.HasPrefix(name, "pocket") && strings.Contains(name, "1to"), name)
			if plain[name] != nil && !slices.Contains([]string{"README.txt", "summary.json", "handover.zip", "report.pdf"}, name) {
				assert.True(t, bytes.Equal(withoutSum(t, plain, name), withoutSum(t, pack, name)), "%s stays full size", name)
			}
		}
		r := stepReport(t, pack["glass-1to4.step"])
		assert.InEpsilon(t, m.Pane.Volume()/(n*n*n), r.Solids[0].Volume, 1e-5, d.File)
		assert.Contains(t, r.Notes[0], "1:4")
		mesh, err := stllint.Lint(bytes.NewReader(pack["glass-1to4.stl"]))
		require.NoError(t, err)
		assert.InEpsilon(t, m.Pane.Volume()/(n*n*n), mesh.Mesh.Volume(), 1e-4)
		assert.Contains(t, mesh.Header, "1:4")
		drawing, err := dxflint.Lint(bytes.NewReader(pack["outline-1to4.dxf"]))
		require.NoError(t, err)
		bar := drawing.On("check-bar")[0].Points
		assert.InDelta(t, 100, r3.Norm(r3.Sub(bar[1], bar[0])), 1e-7, "mm: the bar is not to scale")
		stepReport(t, pack["faces-1to4.step"])

		thick, _ := withBody(t, m, board.BodyFiles{Scale: n, TrueThickness: true})
		r = stepReport(t, thick["glass-1to4.step"])
		faces := stepReport(t, thick["faces-1to4.step"])
		outer := sheet(t, stepReport(t, plain["faces.step"]), "outer face").Area / (n * n)
		assert.InEpsilon(t, outer, sheet(t, faces, "outer face").Area, 2e-5, "the outer face is to scale: %s", d.File)
		mean := (sheet(t, faces, "outer face").Area + sheet(t, faces, "inner face").Area) / 2
		assert.InEpsilon(t, mean*m.Pane.Thickness, r.Solids[0].Volume, 2e-3, "glass as thick as it is: %s", d.File)
		got := steplint.Examine(t, saved(t, "glass.step", thick["glass-1to4.step"]))
		assert.Empty(t, got.Messages)
		assert.Equal(t, []int{1, 6, 0}, []int{got.Solids, got.Faces, got.Free})
	}
	_, _, err := handover.Build(context.Background(), wanting(solved()[1], board.PackSettings{Body: board.BodyFiles{Scale: 40, TrueThickness: true}}), nil)
	require.ErrorContains(t, err, "thickness")
}

// TestFrames: the twins in the board and in the car frame are the glass, moved as
// the summary says.
func TestFrames(t *testing.T) {
	m := solved()[1]
	car := board.Car{By: board.ByRake, Rake: 58, At: r3.Vec{X: 900, Y: 1, Z: 850}}
	pack, sum := withBody(t, m, board.BodyFiles{OnBoard: true, Car: car})
	require.NotNil(t, sum.Frame.GlassToCar)
	matrix := func(k *[16]float64) func(r3.Vec) r3.Vec {
		return func(p r3.Vec) r3.Vec {
			return r3.Vec{
				X: k[0]*p.X + k[1]*p.Y + k[2]*p.Z + k[3],
				Y: k[4]*p.X + k[5]*p.Y + k[6]*p.Z + k[7],
				Z: k[8]*p.X + k[9]*p.Y + k[10]*p.Z + k[11],
			}
		}
	}
	back := m.BoardToGlass.Inverse().Matrix()
	for suffix, to := range map[string]func(r3.Vec) r3.Vec{"board": matrix(&back), "car": matrix(sum.Frame.GlassToCar)} {
		glass, moved := stepReport(t, pack["faces.step"]), stepReport(t, pack["faces-"+suffix+".step"])
		require.Len(t, moved.Points, len(glass.Points))
		for i, p := range glass.Points {
			assert.InDelta(t, 0, r3.Norm(r3.Sub(to(p.At), moved.Points[i].At)), 5e-6, "mm: %s", suffix)
		}
		for _, name := range []string{"outer edge", "silhouette"} {
			a, b := curveOf(t, glass, name), curveOf(t, moved, name)
			for i, q := range a.Ctrl {
				assert.InDelta(t, 0, r3.Norm(r3.Sub(to(q), b.Ctrl[i])), 5e-6, "mm: %s", suffix)
			}
		}
		solid := stepReport(t, pack["glass-"+suffix+".step"])
		assert.InEpsilon(t, m.Pane.Volume(), solid.Solids[0].Volume, 1e-6)
		got := steplint.Examine(t, saved(t, "glass.step", pack["glass-"+suffix+".step"]))
		assert.Empty(t, got.Messages)
		assert.Equal(t, []int{1, 6, 0}, []int{got.Solids, got.Faces, got.Free})
		assert.LessOrEqual(t, got.Tolerance, step.Uncertainty)
		full, err := stllint.Lint(bytes.NewReader(pack["glass.stl"]))
		require.NoError(t, err)
		mesh, err := stllint.Lint(bytes.NewReader(pack["glass-"+suffix+".stl"]))
		require.NoError(t, err)
		assert.InEpsilon(t, full.Mesh.Volume(), mesh.Mesh.Volume(), 1e-5)
		drawing, err := dxflint.Lint(bytes.NewReader(pack["outline-"+suffix+".dxf"]))
		require.NoError(t, err)
		edge := curveOf(t, moved, "outer edge")
		for i, q := range drawing.On("edge-upper")[0].Ctrl {
			assert.InDelta(t, 0, r3.Norm(r3.Sub(q, edge.Ctrl[i])), 5e-6, "mm: %s", suffix)
		}
		_, err = dxflint.Lint(bytes.NewReader(pack["outline-r12-"+suffix+".dxf"]))
		require.NoError(t, err)
	}
}

// TestCarOnThreePoints: three stations told where they are bring the whole pane
// there.
func TestCarOnThreePoints(t *testing.T) {
	m := solved()[1]
	place := board.Car{By: board.ByRake, Facing: board.Rear, Rake: 35, At: r3.Vec{X: 3000, Y: 4, Z: 1000}}
	by, want := withBody(t, m, board.BodyFiles{Car: place})
	at := map[string]r3.Vec{}
	for _, p := range stepReport(t, by["faces-car.step"]).Points {
		at[p.Name] = p.At
	}
	points := func(off float64, ids ...string) board.Car {
		c := board.Car{By: board.ByPoints}
		for i, id := range ids {
			p := at[id]
			p.Z += off * float64(i)
			c.Points[i] = board.CarPoint{ID: id, At: p}
		}
		return c
	}
	_, got := withBody(t, m, board.BodyFiles{Car: points(0, "1", "20", "45")})
	for i, v := range want.Frame.GlassToCar {
		assert.InDelta(t, v, got.Frame.GlassToCar[i], 1e-4)
	}
	far := points(0, "1", "20", "45")
	far.Points[0].At.X = 1e6
	for says, car := range map[string]board.Car{
		"three points":  points(0, "1", "20"),
		"no station":    points(0, "1", "20", "nowhere"),
		"on one line":   points(0, "1", "1", "20"),
		"does not fit":  points(400, "1", "20", "45"),
		"out of range":  far,
		"a rake of at ": {By: board.ByRake, Rake: 91},
	} {
		_, _, err := handover.Build(context.Background(), wanting(m, board.PackSettings{Body: board.BodyFiles{Car: car}}), nil)
		require.ErrorContains(t, err, says)
	}
}

// TestNamesThatFilesCannotHold: a job's name in other letters, and a long one.
func TestNamesThatFilesCannotHold(t *testing.T) {
	m := *solved()[2]
	j := m.Job.Clone()
	j.Name = "Größe 😀 " + strings.Repeat("lang ", 40)
	m.Job = j
	pack, _ := withBody(t, &m, board.BodyFiles{})
	r, err := stllint.Lint(bytes.NewReader(pack["glass.stl"]))
	require.NoError(t, err)
	assert.Contains(t, r.Header, "Gr??e")
	assert.Equal(t, j.Name, stepReport(t, pack["glass.step"]).Product)
}

// TestOtherHandFolder: the twin's files go into a folder of their own, are
// replaced with those of the pane, and go where they are no longer wanted.
func TestOtherHandFolder(t *testing.T) {
	ctx := context.Background()
	m := solved()[2]
	twin, err := board.Solve(ctx, board.OtherHand(m.Job), nil)
	require.NoError(t, err)
	dir := filepath.Join(t.TempDir(), "pack")
	side := filepath.Join(dir, "other-hand")
	stages := map[string]bool{}
	last := 0.0
	o := handover.Options{OtherHand: twin, Progress: func(stage string, done float64) {
		stages[stage] = true
		assert.GreaterOrEqual(t, done, last)
		last = done
	}}
	for range 2 {
		last = 0
		_, err = handover.Export(ctx, m, dir, o)
		require.NoError(t, err)
	}
	assert.True(t, stages["other hand: glass.step"], "%v", stages)
	pane, other := stepReport(t, read(t, dir, "glass.step")), stepReport(t, read(t, side, "glass.step"))
	assert.InEpsilon(t, pane.Solids[0].Volume, other.Solids[0].Volume, 1e-4)
	assert.Equal(t, board.OtherHandName(m.Job.Name), other.Product)
	assert.Contains(t, string(read(t, side, "README.txt")), "inner face up, bowl", "it lies as the pane did")

	require.NoError(t, os.WriteFile(filepath.Join(side, "mine.txt"), nil, 0o600))
	_, err = handover.Export(ctx, m, dir, o)
	require.ErrorIs(t, err, handover.ErrOccupied)
	require.NoError(t, os.Remove(filepath.Join(side, "mine.txt")))
	_, err = handover.Export(ctx, m, dir, handover.Options{})
	require.NoError(t, err)
	assert.NoDirExists(t, side, "not wanted any more")
}

func read(t testing.TB, dir, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, name))
	require.NoError(t, err)
	return data
}
