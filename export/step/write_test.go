package step_test

import (
	"bytes"
	"errors"
	"flag"
	"io"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/export/step"
	"panewright/export/step/lint"
	"panewright/geom"
)

var update = flag.Bool("update", false, "write the golden files anew")

func read(t testing.TB, data []byte) *lint.Report {
	t.Helper()
	r, err := lint.Lint(bytes.NewReader(data))
	require.NoError(t, err)
	return r
}

// TestSolids: solids of every lay and edge, in either unit, by the strict
// reader: all edges on their faces, closed, turned outward, and the volume of
// what the file says against the pane's own integral.
func TestSolids(t *testing.T) {
	for name, p := range panes(t) {
		for _, inch := range []bool{false, true} {
			d := glass(p)
			d.Inch = inch
			r := read(t, write(t, d))
			require.Len(t, r.Solids, 1)
			got := r.Solids[0]
			assert.InEpsilon(t, p.Volume(), got.Volume, 1e-7, "%s, inch: %t", name, inch)
			assert.Equal(t, []int{6, 12}, []int{got.Faces, got.Edges})
			assert.InDelta(t, step.Uncertainty, r.Uncertainty, 1e-6)
			assert.Less(t, r.EdgeOff, 1.5e-4, "mm; the pane's own promise and the decimals: %s", name)
			assert.Less(t, r.VertexOff, 1e-8, "mm: far below what programs count in, or they cut edges short")
			assert.Equal(t, map[bool]string{false: "mm", true: "inch"}[inch], r.Unit)
		}
	}
}

// TestSheets: the area of a trimmed face, and of a whole one that is level.
func TestSheets(t *testing.T) {
	p := panes(t)["dome, leaning, square"]
	level := panes(t)["level, square"].Upper
	r := read(t, write(t, step.Document{Name: "faces", Sheets: []step.Sheet{
		{Name: "upper", Face: p.Upper, Edge: p.UpperEdge},
		{Name: "whole", Face: level},
	}}))
	require.Len(t, r.Sheets, 2)
	assert.InEpsilon(t, p.FaceArea(), r.Sheets[0].Area, 1e-7)
	size := level.Box().Size()
	assert.InEpsilon(t, size.X*size.Y, r.Sheets[1].Area, 1e-8)
	for i, name := range []string{"upper", "whole"} {
		assert.Equal(t, name, r.Sheets[i].Name)
		assert.Equal(t, 4, r.Sheets[i].Edges)
	}
}

// TestMixed reads everything back: names in any letters, groups, curves point
// by point, in either unit.
func TestMixed(t *testing.T) {
	p := panes(t)["bowl, round"]
	for _, inch := range []bool{false, true} {
		d := mixed(t, p)
		d.Inch = inch
		r := read(t, write(t, d))
		assert.Equal(t, []string{d.Name, d.Name}, []string{r.Name, r.Product})
		assert.Equal(t, "2024-05-06T00:00:00", r.Date)
		assert.Equal(t, d.Notes, r.Notes)
		assert.Equal(t, []lint.Layer{
			{Name: "solid", Items: []string{"glass"}},
			{Name: "faces", Items: []string{"upper", "whole"}},
			{Name: "curves", Items: []string{"edge", "outline"}},
			{Name: "centre line", Items: []string{"centre line"}},
			{Name: "stations", Items: []string{"E1", "E2"}},
		}, r.Layers)
		require.Len(t, r.Points, 2)
		assert.InDelta(t, 0, r3.Norm(r3.Sub(r3.Vec{X: 1, Y: 2, Z: 3}, r.Points[0].At)), 1e-6)
		require.Len(t, r.Curves, len(d.Curves))
		for i, c := range d.Curves {
			got := r.Curves[i]
			assert.Equal(t, c.Name, got.Name)
			assert.Equal(t, c.Ctrl[0] == c.Ctrl[len(c.Ctrl)-1], got.Closed, c.Name)
			require.Len(t, got.Ctrl, len(c.Ctrl))
			for k, want := range c.Ctrl {
				assert.InDelta(t, 0, r3.Norm(r3.Sub(want, got.Ctrl[k])), 1e-6, "mm: %s", c.Name)
			}
			assert.InDeltaSlice(t, append([]float64{}, c.Knots...), append([]float64{}, got.Knots...), 1e-12, c.Name)
		}
	}
}

// evaluate returns the point of an open cubic B-spline by de Boor's scheme.
func evaluate(s step.Spline, u float64) r3.Vec {
	k := 3
	for k < len(s.Ctrl)-1 && u >= s.Knots[k+1] {
		k++
	}
	var d [4]r3.Vec
	copy(d[:], s.Ctrl[k-3:k+1])
	for r := 1; r <= 3; r++ {
		for j := 3; j >= r; j-- {
			i := j + k - 3
			a := (u - s.Knots[i]) / (s.Knots[i+4-r] - s.Knots[i])
			d[j] = r3.Add(r3.Scale(1-a, d[j-1]), r3.Scale(a, d[j]))
		}
	}
	return d[3]
}

// TestStretch: a stretch is the curve, wherever it is cut, through the start
// too, and all of it as its clamped form has it.
func TestStretch(t *testing.T) {
	c := panes(t)["dome, leaning, square"].UpperEdge
	lo, hi := c.Period()
	knots := c.Knots()
	for _, s := range []struct{ from, to float64 }{
		{lo, hi}, {knots[3], knots[9]}, {0.4, 0.7}, {knots[3], knots[4]}, {1, 1},
		{6, 0.5}, {knots[7] + 1e-13, 5}, {-1, 1}, {4, 4 + hi - lo}, {20, 21},
	} {
		got, err := step.Stretch(c, s.from, s.to)
		require.NoError(t, err)
		require.Len(t, got.Knots, len(got.Ctrl)+4)
		end := got.Knots[len(got.Knots)-1]
		for i := range 500 {
			u := s.from + (end-s.from)*float64(i)/499
			assert.InDelta(t, 0, r3.Norm(r3.Sub(c.At(u), evaluate(got, u))), 1e-9, "mm: %v at %g", s, u)
		}
		var file bytes.Buffer
		require.NoError(t, step.Write(&file, step.Document{Name: "s", Curves: []step.Curve{{Spline: got}}}), "%v", s)
	}
	whole, err := step.Stretch(c, lo, hi)
	require.NoError(t, err)
	clamped := step.Closed(c)
	assert.Equal(t, clamped.Knots, whole.Knots)
	for i, p := range clamped.Ctrl {
		assert.InDelta(t, 0, r3.Norm(r3.Sub(p, whole.Ctrl[i])), 1e-9, "mm")
	}
	for _, s := range [][2]float64{{math.NaN(), 1}, {0, math.NaN()}, {0, 7}, {math.Inf(-1), 0}, {0, math.Inf(1)}} {
		_, err := step.Stretch(c, s[0], s[1])
		assert.Error(t, err, "%v", s)
	}
}

// TestLift: a lifted curve keeps its plan and lies on the face, far closer
// than its knots alone would hold it.
func TestLift(t *testing.T) {
	p := panes(t)["dome, leaning, square"]
	c, err := step.Lift(p.Outline, p.Upper)
	require.NoError(t, err)
	lo, hi := c.Period()
	for i := range 2000 {
		u := lo + (hi-lo)*float64(i)/2000
		q, plan := c.At(u), p.Outline.At(u)
		assert.InDelta(t, p.Upper.At(q.X, q.Y), q.Z, 2e-4, "mm")
		assert.InDelta(t, 0, math.Hypot(q.X-plan.X, q.Y-plan.Y), 1e-9, "mm")
	}
	outside, err := p.Outline.Transform(func(q r2.Vec) r2.Vec { return r2.Scale(1.1, q) })
	require.NoError(t, err)
	_, err = step.Lift(outside, p.Upper)
	assert.Error(t, err)
}

// TestArrisesLieOnFaces: what the pane promises is far within what a file
// needs, so that nothing is fitted anew.
func TestArrisesLieOnFaces(t *testing.T) {
	for name, p := range panes(t) {
		for edge, f := range map[*geom.SpaceCurve]*geom.Face{p.UpperEdge: p.Upper, p.LowerEdge: p.Lower} {
			lo, hi := edge.Period()
			for i := range 3000 {
				q := edge.At(lo + (hi-lo)*float64(i)/3000)
				assert.InDelta(t, f.At(q.X, q.Y), q.Z, 1.2e-4, "mm: %s", name)
			}
		}
	}
}

func TestRefused(t *testing.T) {
	p := panes(t)["dome, square"]
	nan := math.NaN()
	raised := func(c *geom.SpaceCurve, dz float64) *geom.SpaceCurve {
		up, err := c.Transform(func(q r3.Vec) r3.Vec { q.Z += dz; return q })
		require.NoError(t, err)
		return up
	}
	knots, ctrl := p.UpperEdge.Knots(), p.UpperEdge.Ctrl()
	back, turnedCtrl := slices.Clone(knots), slices.Clone(ctrl)
	for i := range ctrl {
		back[i], turnedCtrl[i] = knots[0]+knots[len(ctrl)]-knots[len(ctrl)-i], ctrl[(len(ctrl)-i)%len(ctrl)]
	}
	turned, err := geom.NewSpaceCurve(back, turnedCtrl)
	require.NoError(t, err)
	off := *p
	off.LowerEdge = raised(p.LowerEdge, 0.002)
	half := *p
	half.Lower = nil
	doc := func(f func(d *step.Document)) step.Document {
		d := step.Document{Name: "part"}
		f(&d)
		return d
	}
	sheet := func(s step.Sheet) step.Document {
		return doc(func(d *step.Document) { s.Name = "cover"; d.Sheets = []step.Sheet{s} })
	}
	curve := func(knots []float64, ctrl ...r3.Vec) step.Document {
		return doc(func(d *step.Document) {
			d.Curves = []step.Curve{{Name: "rail", Spline: step.Spline{Knots: knots, Ctrl: ctrl}}}
		})
	}
	solid := func(p *geom.Pane) step.Document {
		return doc(func(d *step.Document) { d.Solids = []step.Solid{{Name: "screen", Pane: p}} })
	}
	four := []r3.Vec{{}, {X: 1}, {X: 2}, {X: 3}}
	for name, c := range map[string]struct {
		d    step.Document
		says string
	}{
		"empty":              {step.Document{Name: "part"}, "nothing"},
		"no name":            {step.Document{Points: []step.Point{{}}}, "name"},
		"name not UTF-8":     {step.Document{Name: "\xff", Points: []step.Point{{}}}, "UTF-8"},
		"date":               {step.Document{Name: "part", Date: "6.5.2024", Points: []step.Point{{}}}, "6.5.2024"},
		"note":               {step.Document{Name: "part", Notes: []string{"\xff"}, Points: []step.Point{{}}}, "note"},
		"point not a number": {doc(func(d *step.Document) { d.Points = []step.Point{{Name: "E7", At: r3.Vec{Y: nan}}} }), "E7"},
		"point infinite":     {doc(func(d *step.Document) { d.Points = []step.Point{{Name: "E7", At: r3.Vec{Y: math.Inf(1)}}} }), "E7"},
		"group not UTF-8":    {doc(func(d *step.Document) { d.Points = []step.Point{{Name: "E7", Group: "\xff"}} }), "group"},
		"part not UTF-8":     {doc(func(d *step.Document) { d.Points = []step.Point{{Name: "\xff"}} }), "UTF-8"},
		"no pane":            {solid(nil), "screen"},
		"half a pane":        {solid(&half), "screen"},
		"arris off its face": {solid(&off), "lower arris"},
		"no face":            {sheet(step.Sheet{}), "cover"},
		"edge off its face":  {sheet(step.Sheet{Face: p.Upper, Edge: raised(p.UpperEdge, -0.002)}), "off the face"},
		"edge beyond":        {sheet(step.Sheet{Face: p.Upper.Shifted(500, 0, 0), Edge: p.UpperEdge}), "off the face"},
		"edge turned":        {sheet(step.Sheet{Face: p.Upper, Edge: turned}), "clockwise"},
		"curve not a number": {curve([]float64{0, 0, 0, 0, 1, 1, 1, 1}, r3.Vec{}, r3.Vec{X: nan}, r3.Vec{X: 2}, r3.Vec{X: 3}), "rail"},
		"knot not a number":  {curve([]float64{0, 0, 0, 0, 1, 1, 1, nan}, four...), "rail"},
		"knots fall":         {curve([]float64{0, 0, 0, 0, -1, -1, -1, -1}, four...), "rail"},
		"knots not clamped":  {curve([]float64{0, 0, 0, 1, 2, 2, 2, 2}, four...), "four times"},
		"too few knots":      {curve([]float64{0, 0, 0, 0, 1, 1, 1}, four...), "rail"},
		"no points":          {curve(nil), "rail"},
		"one point":          {curve(nil, r3.Vec{}), "rail"},
		"points together":    {curve(nil, r3.Vec{}, r3.Vec{X: 0.001}), "together"},
	} {
		t.Run(name, func(t *testing.T) {
			var file bytes.Buffer
			err := step.Write(&file, c.d)
			require.Error(t, err)
			assert.True(t, strings.HasPrefix(err.Error(), "step: "), "%v", err)
			assert.Contains(t, err.Error(), c.says)
			assert.Zero(t, file.Len())
		})
	}
}

// TestText: what the clear text keeps for itself is escaped.
func TestText(t *testing.T) {
	for say, spelt := range map[string]string{
		"plain":      "'plain'",
		"it's":       "'it''s'",
		`a\b`:        `'a\\b'`,
		"größe":      `'gr\X2\00F600DF\X0\e'`,
		"😀é":         `'\X4\0001F600\X0\\X2\00E9\X0\'`,
		"é'x":        `'\X2\00E9\X0\''x'`,
		"two\nlines": "'two lines'",
		"":           "''",
	} {
		data := write(t, step.Document{Name: "part", Points: []step.Point{{Name: say}}})
		assert.Contains(t, string(data), "CARTESIAN_POINT("+spelt+",(0.,0.,0.))")
		assert.Equal(t, strings.ReplaceAll(say, "\n", " "), read(t, data).Points[0].Name)
	}
}

// TestDates: a day, a time, and none.
func TestDates(t *testing.T) {
	for date, want := range map[string]string{
		"":                     "1970-01-01T00:00:00",
		"2024-05-06":           "2024-05-06T00:00:00",
		"2024-05-06T07:08:09":  "2024-05-06T07:08:09",
		"2024-05-06T07:08:09Z": "2024-05-06T07:08:09",
	} {
		r := read(t, write(t, step.Document{Name: "part", Date: date, Points: []step.Point{{}}}))
		assert.Equal(t, want, r.Date)
	}
}

// small is one of everything, on whole numbers, so that its bytes are the same
// on every machine.
func small(t testing.TB) step.Document {
	t.Helper()
	knots := []float64{0, 0, 0, 0, 60, 60, 60, 60}
	c := make([]float64, 16)
	for i := range c {
		c[i] = float64(3 * (i/4*(3-i/4) + i%4*(3-i%4)))
	}
	face, err := geom.NewFace(knots, knots, c)
	require.NoError(t, err)
	return step.Document{
		Name: "Muster ü", Date: "2024-05-06", Notes: []string{"check part, mm"},
		Sheets: []step.Sheet{{Name: "upper face", Group: "faces", Face: face}},
		Curves: []step.Curve{
			{Name: "centre line", Group: "lines", Spline: step.Straight(r3.Vec{X: 30}, r3.Vec{X: 30, Y: 60})},
			{Name: "rail", Group: "lines", Spline: step.Spline{Knots: knots, Ctrl: []r3.Vec{{}, {X: 20.5}, {X: 40, Z: 1}, {X: 60}}}},
		},
		Points: []step.Point{{Name: "E1'", Group: "stations", At: r3.Vec{X: 30, Z: -0.25}}},
	}
}

// TestGolden spells out a small file.
func TestGolden(t *testing.T) {
	const path = "testdata/small.step"
	got := write(t, small(t))
	if *update {
		require.NoError(t, os.WriteFile(path, got, 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	if !bytes.Equal(want, got) {
		t.Error("the file has changed: go test ./export/step -update, and look at the difference")
	}
	r := read(t, want)
	assert.Equal(t, "Muster ü", r.Name)
	for _, line := range strings.Split(string(want), "\n") {
		assert.LessOrEqual(t, len(line), 120)
	}
}

func TestSameBytes(t *testing.T) {
	p := panes(t)["dome, round"]
	assert.Equal(t, write(t, mixed(t, p)), write(t, mixed(t, p)))
}

// full is a disk with room for so many bytes.
type full struct{ room int }

var errFull = errors.New("disk full")

func (f *full) Write(p []byte) (int, error) {
	if f.room -= len(p); f.room < 0 {
		return max(0, len(p)+f.room), errFull
	}
	return len(p), nil
}

func TestDiskFull(t *testing.T) {
	d := glass(panes(t)["level, square"])
	size := len(write(t, d))
	for _, room := range []int{0, 1000, size - 1} {
		assert.ErrorIs(t, step.Write(&full{room}, d), errFull, "room for %d bytes", room)
	}
	assert.NoError(t, step.Write(&full{size}, d))
}

// BenchmarkWrite writes a windscreen.
func BenchmarkWrite(b *testing.B) {
	all := panes(b)
	for _, name := range []string{"dome, square", "dome, round"} {
		d := glass(all[name])
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(write(b, d))))
			for b.Loop() {
				if err := step.Write(io.Discard, d); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
