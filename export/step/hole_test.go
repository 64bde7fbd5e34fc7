package step_test

import (
	"bytes"
	"math"
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

// side is a straight piece on a level face, as a spline.
func side(a, b r3.Vec) step.Spline {
	at := func(f float64) r3.Vec { return r3.Add(r3.Scale(1-f, a), r3.Scale(f, b)) }
	return step.Spline{Knots: []float64{0, 0, 0, 0, 1, 1, 1, 1}, Ctrl: []r3.Vec{a, at(1. / 3), at(2. / 3), b}}
}

// square is a square hole about the origin, half its side given, counter-clockwise.
func square(half float64) []step.Spline {
	c := []r3.Vec{{X: -half, Y: -half}, {X: half, Y: -half}, {X: half, Y: half}, {X: -half, Y: half}}
	var pieces []step.Spline
	for i := range c {
		pieces = append(pieces, side(c[i], c[(i+1)%4]))
	}
	return pieces
}

// strip is the sheet of a pane's upper face between its edge and the line so far
// inside it in plan.
func strip(t testing.TB, p *geom.Pane, width float64) step.Sheet {
	t.Helper()
	plan, err := p.UpperEdge.Plan()
	require.NoError(t, err)
	inner, err := plan.Offset(-width, 1e-3)
	require.NoError(t, err)
	lifted, err := step.Lift(inner, p.Upper)
	require.NoError(t, err)
	return step.Sheet{Name: "flange", Face: p.Upper, Edge: p.UpperEdge, Hole: step.Ring(lifted)}
}

// TestHoles: areas in closed form, round holes and square ones, by both readers.
func TestHoles(t *testing.T) {
	const a, width = 150., 20.
	disc := paneOf(t, flat{}, oval(t, a, a, 2), 4, geom.SquareEdge)
	whole := disc.Upper.Box().Size()
	round, cut := strip(t, disc, width), step.Sheet{Name: "cut", Face: disc.Upper, Edge: disc.UpperEdge, Hole: square(60)}
	open := step.Sheet{Name: "open", Face: disc.Upper, Hole: square(60)}
	plan, err := disc.UpperEdge.Plan()
	require.NoError(t, err)
	edge, girth := plan.Area(), plan.Length()
	data := write(t, step.Document{Name: "faces", Sheets: []step.Sheet{round, cut, open}})
	r := read(t, data)
	require.Len(t, r.Sheets, 3)
	want := []float64{
		girth*width - math.Pi*width*width, // Steiner
		edge - 120*120,
		whole.X*whole.Y - 120*120,
	}
	for i, w := range want {
		assert.InEpsilon(t, w, r.Sheets[i].Area, 1e-5, r.Sheets[i].Name)
		assert.Equal(t, 8, r.Sheets[i].Edges)
	}
	got := lint.Examine(t, save(t, data))
	assert.Empty(t, got.Misses(lint.Expected{
		Faces: 3, Free: 24, Area: r.Sheets[0].Area + r.Sheets[1].Area + r.Sheets[2].Area, Box: faceBox(disc.Upper),
	}))
}

// TestStripsOnGlass: strips of curved panes, the two readers against each other.
func TestStripsOnGlass(t *testing.T) {
	for name, p := range panes(t) {
		data := write(t, step.Document{Name: "flange", Sheets: []step.Sheet{strip(t, p, 18)}})
		r := read(t, data)
		got := lint.Examine(t, save(t, data))
		assert.Empty(t, got.Messages, name)
		assert.True(t, got.Valid, name)
		assert.Equal(t, []int{1, 8}, []int{got.Faces, got.Free}, name)
		assert.InEpsilon(t, r.Sheets[0].Area, got.Area, 1e-6, name)
		assert.LessOrEqual(t, got.Tolerance, step.Uncertainty, name)
	}
}

func TestHolesRefused(t *testing.T) {
	p := paneOf(t, flat{}, oval(t, 150, 150, 2), 4, geom.SquareEdge)
	turned := square(60)
	slices.Reverse(turned)
	for i, s := range turned {
		turned[i] = side(s.Ctrl[3], s.Ctrl[0])
	}
	gap := square(60)
	gap[1] = side(r3.Vec{X: 60, Y: -60}, r3.Vec{X: 60, Y: 59})
	lifted := square(60)
	for i := range lifted {
		for k := range lifted[i].Ctrl {
			lifted[i].Ctrl[k].Z += 0.01
		}
	}
	crossed := square(60)
	crossed[1], crossed[2] = side(crossed[0].Ctrl[3], r3.Vec{X: -60, Y: 60}), side(r3.Vec{X: -60, Y: 60}, r3.Vec{X: 60, Y: 60})
	crossed[3] = side(r3.Vec{X: 60, Y: 60}, crossed[0].Ctrl[0])
	nan := square(60)
	nan[2].Ctrl[1].X = math.NaN()
	for name, c := range map[string]struct {
		hole []step.Spline
		says string
	}{
		"one piece":     {square(60)[:1], "fewer"},
		"open":          {gap, "does not end"},
		"clockwise":     {turned, "clockwise"},
		"off the face":  {lifted, "off the face"},
		"to the edge":   {square(107), "reaches to the edge"},
		"beyond":        {square(155), "reaches to the edge"},
		"crosses":       {crossed, "hole"},
		"not a number":  {nan, "not finite"},
		"no knots":      {[]step.Spline{step.Straight(r3.Vec{}, r3.Vec{X: 1}), step.Straight(r3.Vec{X: 1}, r3.Vec{})}, "straight"},
		"empty, not no": {[]step.Spline{}, "fewer"},
	} {
		var file bytes.Buffer
		err := step.Write(&file, step.Document{Name: "part", Sheets: []step.Sheet{{Name: "flange", Face: p.Upper, Edge: p.UpperEdge, Hole: c.hole}}})
		require.Error(t, err, name)
		assert.Contains(t, err.Error(), c.says, name)
		assert.Contains(t, err.Error(), `sheet "flange"`, name)
		assert.Zero(t, file.Len(), name)
	}
}

// TestHoleDamaged: the strict reader finds a hole that runs the wrong way, which
// importing programs mend without a word, and bounds out of order.
func TestHoleDamaged(t *testing.T) {
	p := paneOf(t, flat{}, oval(t, 150, 150, 2), 4, geom.SquareEdge)
	s := string(write(t, step.Document{Name: "faces", Sheets: []step.Sheet{strip(t, p, 20)}}))
	for _, c := range []struct {
		text string
		rule lint.Rule
	}{
		{alter(t, s, "FACE_BOUND", 0, ".T.", ".F."), lint.RuleOrientation},
		{alter(t, s, "FACE_OUTER_BOUND", 0, ".T.", ".F."), lint.RuleOrientation},
		{strings.ReplaceAll(s, "=FACE_BOUND(", "=FACE_OUTER_BOUND("), lint.RuleType},
		{strings.ReplaceAll(s, "=FACE_OUTER_BOUND(", "=FACE_BOUND("), lint.RuleType},
	} {
		_, err := lint.Lint(strings.NewReader(c.text))
		var fault *lint.Fault
		require.ErrorAs(t, err, &fault)
		assert.Equal(t, c.rule, fault.Rule)
	}
}

// TestRing: the pieces of a ring are the curve.
func TestRing(t *testing.T) {
	c := panes(t)["dome, leaning, square"].UpperEdge
	pieces := step.Ring(c)
	require.Len(t, pieces, 4)
	for i, s := range pieces {
		lo, hi := s.Knots[0], s.Knots[len(s.Knots)-1]
		for k := range 100 {
			u := lo + (hi-lo)*float64(k)/99
			assert.InDelta(t, 0, r3.Norm(r3.Sub(c.At(u), evaluate(s, u))), 1e-9, "mm")
		}
		next := pieces[(i+1)%4]
		assert.InDelta(t, 0, r3.Norm(r3.Sub(s.Ctrl[len(s.Ctrl)-1], next.Ctrl[0])), 1e-12, "mm")
	}
}

// steep is a frame as a windscreen stands in a car, far from its origin.
func steep() *geom.Frame {
	s, c := math.Sincos(1.05)
	return &geom.Frame{R: [3][3]float64{{0, s, -c}, {-1, 0, 0}, {0, c, s}}, T: r3.Vec{X: 1234.5, Y: -6.25, Z: 987.75}}
}

// TestMoved: everything is where the frame puts it, to the scale asked for, in
// either unit, and as good as before; by both readers.
func TestMoved(t *testing.T) {
	f := steep()
	all := panes(t)
	for name, scale := range map[string]float64{"dome, leaning, square": 0, "dome, square": 1. / 8, "level, round": 1. / 4} {
		p := all[name]
		d := mixed(t, p)
		d.Frame, d.Scale, d.Inch = f, scale, scale == 0
		d.Sheets = append(d.Sheets, strip(t, p, 18))
		k := scale
		if k == 0 {
			k = 1
		}
		to := func(q r3.Vec) r3.Vec { return r3.Scale(k, f.Apply(q)) }
		data := write(t, d)
		r := read(t, data)
		assert.InEpsilon(t, p.Volume()*k*k*k, r.Solids[0].Volume, 1e-6, "glass half a millimetre thick, in 6 decimals: %s", name)
		assert.InEpsilon(t, p.FaceArea()*k*k, r.Sheets[0].Area, 1e-7, name)
		for i, q := range d.Points {
			assert.InDelta(t, 0, r3.Norm(r3.Sub(to(q.At), r.Points[i].At)), 1e-6, "mm")
		}
		for i, c := range d.Curves {
			for j, q := range c.Ctrl {
				assert.InDelta(t, 0, r3.Norm(r3.Sub(to(q), r.Curves[i].Ctrl[j])), 1e-6, "mm: %s", c.Name)
			}
		}
		assert.Less(t, r.EdgeOff, 1.5e-4, "mm: %s", name)
		assert.Less(t, r.VertexOff, 1e-8, "mm: %s", name)
		got := lint.Examine(t, save(t, data))
		assert.Empty(t, got.Messages, name)
		assert.Equal(t, []int{1, 9, 16}, []int{got.Solids, got.Faces, got.Free}, name)
		assert.LessOrEqual(t, got.Tolerance, step.Uncertainty, name)
		assert.InEpsilon(t, p.Volume()*k*k*k, got.Volume, 1e-6, name)
	}
}

func TestMoveRefused(t *testing.T) {
	nan := math.NaN()
	p := []step.Point{{Name: "E1"}}
	mirror := geom.Identity()
	mirror.R[0][0] = -1
	skew := geom.Identity()
	skew.R[0][1] = 0.1
	lost := geom.Identity()
	lost.T.Y = nan
	far := geom.Identity()
	far.T.Z = 1e9
	none := geom.Frame{R: [3][3]float64{{nan}}}
	for name, d := range map[string]step.Document{
		"mirror":   {Name: "x", Points: p, Frame: &mirror},
		"skew":     {Name: "x", Points: p, Frame: &skew},
		"lost":     {Name: "x", Points: p, Frame: &lost},
		"far":      {Name: "x", Points: p, Frame: &far},
		"none":     {Name: "x", Points: p, Frame: &none},
		"larger":   {Name: "x", Points: p, Scale: 2},
		"too less": {Name: "x", Points: p, Scale: 1e-3},
		"turned":   {Name: "x", Points: p, Scale: -1},
		"nan":      {Name: "x", Points: p, Scale: nan},
	} {
		var file bytes.Buffer
		assert.Error(t, step.Write(&file, d), name)
		assert.Zero(t, file.Len(), name)
	}
}

// TestFlatCurve: the plan of a curve does not care for the frame it was lifted in.
func TestFlatCurve(t *testing.T) {
	c := oval(t, 200, 120, 2)
	s := step.Flat(c, 3)
	for i := range 50 {
		lo, hi := c.Period()
		u := lo + (hi-lo)*float64(i)/50
		q := evaluate(s, u)
		assert.InDelta(t, 0, r2.Norm(r2.Sub(c.At(u), r2.Vec{X: q.X, Y: q.Y})), 1e-9, "mm")
		assert.InDelta(t, 3, q.Z, 1e-12)
	}
}

// TestSection: a section is the face, to rounding, whatever part of it is cut.
func TestSection(t *testing.T) {
	f := panes(t)["dome, leaning, square"].Upper
	b := f.Box()
	for _, c := range [][2]r2.Vec{
		{{X: b.Min.X, Y: 13}, {X: b.Max.X, Y: 13}}, {{X: -41.5, Y: b.Min.Y}, {X: -41.5, Y: b.Max.Y}},
		{{X: -300.25, Y: -100}, {X: 77, Y: -100}}, {{X: 5, Y: 10}, {X: 5, Y: 11}},
	} {
		s, err := step.Section(f, c[0], c[1])
		require.NoError(t, err)
		lo, hi := s.Knots[0], s.Knots[len(s.Knots)-1]
		for i := range 300 {
			q := evaluate(s, lo+(hi-lo)*float64(i)/299)
			want := r2.Add(c[0], r2.Scale(float64(i)/299, r2.Sub(c[1], c[0])))
			assert.InDelta(t, 0, r3.Norm(r3.Sub(q, r3.Vec{X: want.X, Y: want.Y, Z: f.At(want.X, want.Y)})), 1e-9, "mm")
		}
		write(t, step.Document{Name: "s", Curves: []step.Curve{{Spline: s}}})
	}
	for _, c := range [][2]r2.Vec{
		{{}, {}}, {{}, {X: 1, Y: 1}}, {{X: 1}, {}}, {{X: b.Min.X - 1}, {}}, {{}, {X: math.NaN()}}, {{Y: math.Inf(-1)}, {}},
	} {
		_, err := step.Section(f, c[0], c[1])
		assert.Error(t, err, "%v", c)
	}
}
