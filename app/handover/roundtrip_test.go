package handover_test

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	dxflint "panewright/export/dxf/lint"
	"panewright/export/step"
	steplint "panewright/export/step/lint"
	"panewright/geom"
	"panewright/testdata/demo"
	"panewright/testdata/firstcut"
)

// packs is how many invented panes are read, solved and exported, beside the demo
// jobs: go test ./app/handover -run ComesBack -packs 20 -v
var packs = flag.Int("packs", 1, "invented panes to export beside the demo jobs")

// Greatest distances between a model and what its files hold, mm.
const (
	dxfOff  = 0.002
	stepOff = 0.001
	stlOff  = 0.005 // as README.txt states it
)

// eachModel gives the demo jobs and so many invented panes, from all rows in turn.
func eachModel(t *testing.T, f func(t *testing.T, m *board.Model, pack map[string][]byte)) {
	for i, d := range demo.All() {
		t.Run(strings.TrimSuffix(d.File, ".pane"), func(t *testing.T) { f(t, solved()[i], built()[i]) })
	}
	rows := firstcut.Rows()
	for n := range *packs {
		row := rows[n%len(rows)]
		if row.Half { // some of those are not to be determined
			row = rows[0]
		}
		t.Run(fmt.Sprintf("pane %d, %s", n, row.Name), func(t *testing.T) {
			p, err := row.Pane(n)
			require.NoError(t, err)
			j := board.NewJob(fmt.Sprintf("pane %d", n))
			j.Pane.Thickness = board.Cell{Text: fmt.Sprintf("%.2f", p.Solid.Thickness)}
			if row.Bowl {
				j.Pane.Lay = board.Bowl
			}
			if mirror, ok := board.ParseMirror(row.Mirror); ok {
				j.Mirror = mirror
			}
			j.Readings, err = board.ReadReadings(strings.NewReader(row.Read(p, n).Table), "pane.csv", j)
			require.NoError(t, err)
			j.Evaluate()
			m, err := board.Solve(context.Background(), j, nil)
			require.NoError(t, err)
			require.NotNil(t, m.Pane, m.Why)
			f(t, m, packOf(m))
		})
	}
}

// TestOutlineComesBack reads the outline back from every format and holds it against
// the model: the greatest distances, and length and area as integrated by programs
// that are not ours. Open CASCADE takes the solid and the faces.
func TestOutlineComesBack(t *testing.T) {
	eachModel(t, func(t *testing.T, m *board.Model, pack map[string][]byte) {
		c := m.Pane.Outline
		d, err := dxflint.Lint(bytes.NewReader(pack["outline.dxf"]))
		require.NoError(t, err)
		edge := d.On("outline")
		require.Len(t, edge, 1)
		inDXF := offPlan(c, edge[0].Knots, edge[0].Ctrl)
		assert.LessOrEqual(t, inDXF, dxfOff, "mm, silhouette in outline.dxf")
		arrises := 0.0
		for layer, e := range map[string]*geom.SpaceCurve{"edge-upper": m.Pane.UpperEdge, "edge-lower": m.Pane.LowerEdge} {
			arrises = max(arrises, offSpace(e, d.On(layer)[0].Knots, d.On(layer)[0].Ctrl))
		}
		assert.LessOrEqual(t, arrises, dxfOff, "mm, arrises in outline.dxf")
		twin, err := dxflint.Lint(bytes.NewReader(pack["outline-r12.dxf"]))
		require.NoError(t, err)
		line := twin.On("outline")[0]
		inR12 := 0.0
		for i, p := range line.Points {
			mid := r3.Scale(0.5, r3.Add(p, line.Points[(i+1)%len(line.Points)]))
			_, off := c.Nearest(flatXY(mid))
			inR12 = max(inR12, math.Abs(off))
		}
		assert.LessOrEqual(t, inR12, 0.01, "mm, the chord tolerance that the file states")

		measured := dxflint.Measure(t, saved(t, "outline.dxf", pack["outline.dxf"]), "outline")
		assert.InEpsilon(t, c.Length(), measured.Length, 1e-6)
		assert.InEpsilon(t, c.Area(), measured.Area, 1e-6)

		r := stepReport(t, pack["faces.step"])
		s := curveOf(t, r, "silhouette")
		inSTEP := offPlan(c, s.Knots, s.Ctrl)
		upper := "outer edge"
		if m.Job.Pane.Lay == board.Bowl {
			upper = "inner edge"
		}
		e := curveOf(t, r, upper)
		inSTEP = max(inSTEP, offSpace(m.Pane.UpperEdge, e.Knots, e.Ctrl))
		assert.LessOrEqual(t, inSTEP, stepOff, "mm, silhouette and upper arris in faces.step")
		glass := stepReport(t, pack["glass.step"])
		got := steplint.Examine(t, saved(t, "glass.step", pack["glass.step"]))
		assert.Empty(t, got.Misses(steplint.Expected{
			Solids: 1, Faces: 6, Volume: m.Pane.Volume(), Area: glass.Solids[0].Area, Box: glassBox(t, m.Pane),
		}))
		faces := steplint.Examine(t, saved(t, "faces.step", pack["faces.step"]))
		assert.Empty(t, faces.Messages)
		assert.True(t, faces.Valid)
		assert.LessOrEqual(t, faces.Tolerance, step.Uncertainty)

		inSTL := offShadow(c, meshOf(t, pack["glass.stl"]))
		assert.LessOrEqual(t, inSTL, stlOff, "mm, shadow of glass.stl")
		t.Logf("off the model: DXF %.1e, arrises %.1e, R12 %.4f, STEP %.1e, STL %.4f mm; length off by %.0e, area by %.0e of itself; STEP solid's volume off by %.0e of itself, tolerance %.5f mm",
			inDXF, arrises, inR12, inSTEP, inSTL, math.Abs(measured.Length/c.Length()-1), math.Abs(measured.Area/c.Area()-1), math.Abs(got.Volume/m.Pane.Volume()-1), max(got.Tolerance, faces.Tolerance))
	})
}

// offPlan is how far a spline strays from a curve in plan, at most.
func offPlan(c *geom.Curve, knots []float64, ctrl []r3.Vec) (worst float64) {
	for i := range 4000 {
		_, off := c.Nearest(flatXY(splineAt(dxflint.Entity{Knots: knots, Ctrl: ctrl}, float64(i)/3999)))
		worst = max(worst, math.Abs(off))
	}
	return worst
}

// offSpace is how far a spline strays from a curve in space at the same parameter.
func offSpace(c *geom.SpaceCurve, knots []float64, ctrl []r3.Vec) (worst float64) {
	lo, hi := knots[0], knots[len(knots)-1]
	for i := range 4000 {
		part := float64(i) / 3999
		p := splineAt(dxflint.Entity{Knots: knots, Ctrl: ctrl}, part)
		worst = max(worst, r3.Norm(r3.Sub(p, c.At(lo+part*(hi-lo)))))
	}
	return worst
}

// offShadow is how far the shadow of a mesh stays behind a curve, or reaches over
// it, along the curve's normals.
func offShadow(c *geom.Curve, mesh *geom.Mesh) (worst float64) {
	const near = 15.0 // mm: edges farther from the outline are not looked at
	type edge struct{ a, b r2.Vec }
	var edges []edge
	var close = make([]bool, len(mesh.V))
	for i, v := range mesh.V {
		_, off := c.Nearest(flatXY(v))
		close[i] = off > -near
	}
	for _, f := range mesh.T {
		for k := range 3 {
			if i, j := f[k], f[(k+1)%3]; i < j && close[i] && close[j] {
				edges = append(edges, edge{flatXY(mesh.V[i]), flatXY(mesh.V[j])})
			}
		}
	}
	length := c.Length()
	const samples = 400
	for s := range samples {
		u := c.ParamAt(length * (float64(s) + 0.5) / samples)
		p, n := c.At(u), c.Normal(u)
		reach := math.Inf(-1)
		for _, e := range edges {
			da, db := r2.Cross(n, r2.Sub(e.a, p)), r2.Cross(n, r2.Sub(e.b, p))
			if da*db > 0 || da == db {
				continue
			}
			q := r2.Add(e.a, r2.Scale(da/(da-db), r2.Sub(e.b, e.a)))
			if h := r2.Dot(n, r2.Sub(q, p)); h < near {
				reach = max(reach, h)
			}
		}
		worst = max(worst, math.Abs(reach))
	}
	return worst
}

// TestEveryDrawingInASecondReader: dxflib sees what is in every drawing.
func TestEveryDrawingInASecondReader(t *testing.T) {
	seen := 0
	look := func(t *testing.T, pack map[string][]byte) {
		for name, data := range pack {
			if !strings.HasSuffix(name, ".dxf") {
				continue
			}
			r, err := dxflint.Lint(bytes.NewReader(data))
			require.NoError(t, err, name)
			dxflint.Second(t, saved(t, name, data), r)
			seen++
		}
	}
	eachDemo(t, func(t *testing.T, _ *board.Model, pack map[string][]byte) { look(t, pack) })
	_, pack := tiled()
	look(t, pack)
	twins, _ := withBody(t, solved()[2], board.BodyFiles{Inch: true, OnBoard: true})
	look(t, twins)
	look(t, packOf(brokenPane(t, 1, board.MirrorBoth, "R")))
	t.Logf("%d drawings", seen)
}
