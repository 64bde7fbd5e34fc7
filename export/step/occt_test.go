package step_test

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/export/step"
	"panewright/export/step/lint"
	"panewright/geom"
)

func save(t testing.TB, data []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "file.step")
	require.NoError(t, os.WriteFile(path, data, 0o644))
	return path
}

// boxOf is the box of a pane: that of its outline in plan, and in z that of
// its faces inside and its band.
func boxOf(p *geom.Pane) r3.Box {
	plan := p.Outline.Bounds()
	box := r3.Box{Min: r3.Vec{X: plan.Min.X, Y: plan.Min.Y, Z: math.Inf(1)}, Max: r3.Vec{X: plan.Max.X, Y: plan.Max.Y, Z: math.Inf(-1)}}
	mesh, err := p.Mesh(20)
	if err != nil {
		panic(err)
	}
	for _, v := range mesh.V {
		box.Min.Z, box.Max.Z = min(box.Min.Z, v.Z), max(box.Max.Z, v.Z)
	}
	return box
}

// faceBox is the box of a whole face, by a lattice that holds its middle.
func faceBox(f *geom.Face) r3.Box {
	b := f.Box()
	box := r3.Box{Min: r3.Vec{X: b.Min.X, Y: b.Min.Y, Z: math.Inf(1)}, Max: r3.Vec{X: b.Max.X, Y: b.Max.Y, Z: math.Inf(-1)}}
	const n = 400
	for i := range n + 1 {
		for j := range n + 1 {
			s, t := float64(i)/n, float64(j)/n
			z := f.At(b.Min.X*(1-s)+b.Max.X*s, b.Min.Y*(1-t)+b.Max.Y*t)
			box.Min.Z, box.Max.Z = min(box.Min.Z, z), max(box.Max.Z, z)
		}
	}
	return box
}

// TestSolidsElsewhere has Open CASCADE read solids of every lay and edge, and
// holds them against the pane's own integrals.
func TestSolidsElsewhere(t *testing.T) {
	for name, p := range panes(t) {
		d := glass(p)
		d.Inch = name == "bowl, square"
		got := lint.Examine(t, save(t, write(t, d)))
		assert.Empty(t, got.Misses(lint.Expected{Solids: 1, Faces: 6, Volume: p.Volume(), Box: boxOf(p)}), name)
		assert.Equal(t, []int{12, 1}, []int{got.Edges, got.Shells}, name)
	}
}

// TestRoughElsewhere: panes as poor readings make them, by both readers.
func TestRoughElsewhere(t *testing.T) {
	for name, p := range roughPanes(t) {
		data := write(t, glass(p))
		r := read(t, data)
		assert.InEpsilon(t, p.Volume(), r.Solids[0].Volume, 1e-6, name)
		assert.Less(t, r.EdgeOff, 1.5e-4, "mm: %s", name)
		got := lint.Examine(t, save(t, data))
		assert.Empty(t, got.Misses(lint.Expected{Solids: 1, Faces: 6, Volume: p.Volume(), Box: boxOf(p)}), name)
	}
}

// TestLevelElsewhere: the area of a level pane in closed form, edge and all:
// the round one by Guldin, the half circle's length times the way of its
// centroid, which is 2r/π from the middle of the edge.
func TestLevelElsewhere(t *testing.T) {
	const a, thick = 150.0, 5.0
	disc := oval(t, a, a, 2)
	for profile, edge := range map[geom.Profile]float64{
		geom.SquareEdge: disc.Length() * thick,
		geom.RoundEdge:  math.Pi * thick / 2 * (disc.Length() + 2*math.Pi*thick/math.Pi),
	} {
		p := paneOf(t, flat{}, disc, thick, profile)
		got := lint.Examine(t, save(t, write(t, glass(p))))
		assert.Empty(t, got.Misses(lint.Expected{
			Solids: 1, Faces: 6, Volume: p.Volume(), Area: 2*p.FaceArea() + edge, Box: boxOf(p),
		}), profile.String())
	}
}

// TestSheetsElsewhere has it read faces, trimmed by an arris and by a lifted
// curve, and whole.
func TestSheetsElsewhere(t *testing.T) {
	plan := oval(t, 740, 395, 5)
	p := paneOf(t, arch{2900, 5600, 0}, plan, 4, geom.SquareEdge)
	inner, err := p.Outline.Offset(-30, 1e-3)
	require.NoError(t, err)
	lifted, err := step.Lift(inner, p.Upper)
	require.NoError(t, err)
	trimmed := step.Document{Name: "faces", Sheets: []step.Sheet{{Name: "upper", Face: p.Upper, Edge: p.UpperEdge}}}
	box := r3.Box{Min: r3.Vec{Z: math.Inf(1)}} // its top is the crown at z = 0
	for i := range 4000 {
		q := p.UpperEdge.At(2 * math.Pi * float64(i) / 4000)
		box.Min = r3.Vec{X: min(box.Min.X, q.X), Y: min(box.Min.Y, q.Y), Z: min(box.Min.Z, q.Z)}
		box.Max = r3.Vec{X: max(box.Max.X, q.X), Y: max(box.Max.Y, q.Y)}
	}
	got := lint.Examine(t, save(t, write(t, trimmed)))
	assert.Empty(t, got.Misses(lint.Expected{Faces: 1, Free: 4, Area: p.FaceArea(), Box: box}))
	assert.Equal(t, 1, got.Shells)

	whole := step.Document{Name: "faces", Sheets: []step.Sheet{
		{Name: "whole", Face: p.Upper},
		{Name: "seat", Face: p.Upper, Edge: lifted},
	}}
	got = lint.Examine(t, save(t, write(t, whole)))
	assert.Empty(t, got.Misses(lint.Expected{Faces: 2, Free: 8, Box: faceBox(p.Upper)}))
}

// mixed is a document with everything in it.
func mixed(t testing.TB, p *geom.Pane) step.Document {
	t.Helper()
	part, err := step.Stretch(p.UpperEdge, 6, 0.3)
	require.NoError(t, err)
	return step.Document{
		Name: `Scheibe "größe" 'x' \ 😀`, Date: "2024-05-06", Notes: []string{"mm", "glass frame – è"},
		Solids: []step.Solid{{Name: "glass", Group: "solid", Pane: p}},
		Sheets: []step.Sheet{{Name: "upper", Group: "faces", Face: p.Upper, Edge: p.UpperEdge}, {Name: "whole", Group: "faces", Face: p.Lower}},
		Curves: []step.Curve{
			{Name: "edge", Group: "curves", Spline: step.Closed(p.UpperEdge)},
			{Name: "outline", Group: "curves", Spline: step.Flat(p.Outline, -12.5)},
			{Name: "bottom", Spline: part},
			{Name: "centre line", Group: "centre line", Spline: step.Straight(r3.Vec{Y: -300}, r3.Vec{Y: 300})},
		},
		Points: []step.Point{{Name: "E1", Group: "stations", At: r3.Vec{X: 1, Y: 2, Z: 3}}, {Name: "E2", Group: "stations"}},
	}
}

// TestMixedElsewhere has it read everything at once, in either unit.
func TestMixedElsewhere(t *testing.T) {
	p := paneOf(t, arch{2900, 5600, 0}, oval(t, 740, 395, 5), 4, geom.RoundEdge)
	for _, inch := range []bool{false, true} {
		d := mixed(t, p)
		d.Inch = inch
		got := lint.Examine(t, save(t, write(t, d)))
		box := faceBox(p.Lower)
		box.Max.Z = 3 // the point
		assert.Empty(t, got.Misses(lint.Expected{Solids: 1, Faces: 8, Free: 8, Wires: 4, Points: 2, Volume: p.Volume(), Box: box}))
		assert.Equal(t, []string{d.Name}, got.Names)
		assert.Equal(t, []string{"centre line", "curves", "faces", "solid", "stations"}, got.Layers)
	}
}

// TestSmallElsewhere has it read the golden file.
func TestSmallElsewhere(t *testing.T) {
	got := lint.Examine(t, "testdata/small.step")
	box := r3.Box{Min: r3.Vec{Z: -0.25}, Max: r3.Vec{X: 60, Y: 60, Z: 9}}
	assert.Empty(t, got.Misses(lint.Expected{Faces: 1, Free: 4, Wires: 2, Points: 1, Box: box}))
}
