package solidview

import (
	"context"
	"image"
	"image/color"
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/ui/look"
	"panewright/app/ui/paint"
	"panewright/board"
	"panewright/testdata/demo"
)

// TestMapsOfASphere holds every map against the sphere of 1500 mm.
func TestMapsOfASphere(t *testing.T) {
	s := state(dome(t))
	f, err := newFace(context.Background(), s.Model)
	require.NoError(t, err)
	const r = 1500.0
	edge := 0.0 // mean height of the ellipse of 300 by 200 mm
	for i := range 3600 {
		sin, cos := math.Sincos(float64(i) * math.Pi / 1800)
		edge += sphere{r}.Eval(300*cos, 200*sin).Z / 3600
	}
	for _, c := range []struct {
		kind Map
		want func(p r2.Vec) float64
		tol  float64
	}{
		{Heights, func(p r2.Vec) float64 { return sphere{r}.Eval(p.X, p.Y).Z - edge }, 1.5}, // the plane is fitted to places even in the parameter
		{MeanBend, func(r2.Vec) float64 { return 1 / r }, 1e-6},
		{GaussBend, func(r2.Vec) float64 { return 1 / (r * r) }, 2e-9},
		{LeastRound, func(r2.Vec) float64 { return 1 / r }, 2e-6},
	} {
		d, err := newField(context.Background(), f, c.kind)
		require.NoError(t, err)
		for k, inside := range f.inside {
			if p := f.lat.Point(k%f.lat.NX, k/f.lat.NX); inside {
				require.InDelta(t, c.want(p), d.values[k], c.tol, "%d at %v", c.kind, p)
			}
		}
		if c.kind.signed() {
			assert.Equal(t, -d.low, d.high, "nought in the middle")
		}
	}
}

// TestLevelLinesLieOnTheFace: the lines of a level of the height are circles of
// the sphere, on its face and inside its edge.
func TestLevelLinesLieOnTheFace(t *testing.T) {
	s := state(dome(t))
	f, err := newFace(context.Background(), s.Model)
	require.NoError(t, err)
	d, err := newField(context.Background(), f, Heights)
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(d.levels), 4)
	lines := 0
	for _, l := range d.levels {
		for _, s := range l.lines {
			lines++
			for _, p := range s {
				require.InDelta(t, l.value, p.Z-f.level, 0.05, "mm")
				require.InDelta(t, 1500, r3.Norm(r3.Add(p, r3.Vec{Z: 1500})), 0.01)
				require.LessOrEqual(t, p.X*p.X/9e4+p.Y*p.Y/4e4, 1.001)
			}
		}
		if len(l.lines) > 0 {
			require.NotEmpty(t, l.names)
		}
	}
	assert.Greater(t, lines, 200)
}

func TestMapsOfADemo(t *testing.T) {
	m, err := board.Solve(context.Background(), demo.A().Job, nil)
	require.NoError(t, err)
	p := parts{of: m}
	for kind := Heights; kind < Maps; kind++ {
		require.NoError(t, p.make(context.Background(), kind, true))
		d := p.fields[kind]
		require.Less(t, d.low, d.high, "%d", kind)
		assert.GreaterOrEqual(t, len(d.levels), 3, "%d", kind)
		assert.LessOrEqual(t, len(d.levels), 2*mostLevels, "%d", kind)
		texts := map[string]bool{}
		for _, l := range d.levels {
			assert.False(t, texts[l.text], "%s stands twice", l.text)
			texts[l.text] = true
			assert.NotEmpty(t, l.text)
			assert.GreaterOrEqual(t, d.share(l.value), -1e-6)
			assert.LessOrEqual(t, d.share(l.value), 1+1e-6)
		}
	}
	marks := p.fields[Misses].marks
	require.NotEmpty(t, marks)
	for _, k := range marks {
		if k.used {
			assert.LessOrEqual(t, math.Abs(k.miss), p.fields[Misses].high)
		}
		assert.InDelta(t, m.Pane.Upper.At(k.at.X, k.at.Y), k.at.Z, 1e-9, "it stands on the pane")
		assert.Less(t, p.face.edge.Distance(r2.Vec{X: k.at.X, Y: k.at.Y}), 400.0)
	}
	assert.Positive(t, p.fields[Unsure].low, "nothing is known exactly")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = newFace(ctx, m)
	assert.ErrorIs(t, err, context.Canceled)
	_, err = newField(ctx, p.face, Heights)
	assert.ErrorIs(t, err, context.Canceled)
}

func TestEndsOfTheScale(t *testing.T) {
	low, high := ends([]float64{-1, 5, 2}, Heights)
	assert.Equal(t, [2]float64{-1, 5}, [2]float64{low, high})
	low, high = ends([]float64{-1, 5, 2}, MeanBend)
	assert.Equal(t, [2]float64{-5, 5}, [2]float64{low, high})
	many := make([]float64, 1000)
	many[0], many[999] = -100, 100
	many[500] = 1
	low, high = ends(many, GaussBend)
	assert.Less(t, high-low, 1.0, "outliers do not count")
	low, high = ends(nil, Heights)
	assert.Less(t, low, high)
}

func TestRoundFigures(t *testing.T) {
	for v, want := range map[float64]float64{0.3: 0.5, 1: 1, 1.1: 2, 4: 5, 60: 100, 0.02: 0.02} {
		assert.InEpsilon(t, want, roundStep(v), 1e-9, "%v", v)
	}
	assert.Equal(t, 1.0, roundStep(0))
	radii, step := roundRadii(900, 40000)
	assert.Positive(t, step)
	assert.NotEmpty(t, radii)
	for i, r := range radii {
		assert.GreaterOrEqual(t, r, 900.0)
		if i > 0 {
			assert.Greater(t, r, radii[i-1])
		}
	}
	radii, _ = roundRadii(0, 1)
	assert.Nil(t, radii)
	assert.Equal(t, "0", figure(-0.001, 0.1, false)[:1])
	assert.Equal(t, "2,50", figure(2.5, 0.05, true))
	assert.Equal(t, "120", figure(120, 20, false))
}

// TestLegendIsInTheJobsUnit: an inch job has inches, whole fractions where it
// can, and curvature by the foot.
func TestLegendIsInTheJobsUnit(t *testing.T) {
	s := state(dome(t))
	f, err := newFace(context.Background(), s.Model)
	require.NoError(t, err)
	texts := func(kind Map) (out []string) {
		d, err := newField(context.Background(), f, kind)
		require.NoError(t, err)
		for _, l := range d.levels {
			out = append(out, l.text)
		}
		return out
	}
	assert.Contains(t, heading(Heights, s.Job), "mm")
	for _, text := range texts(Heights) {
		_, err := strconv.ParseFloat(text, 64)
		assert.NoError(t, err)
	}
	s.Job.Unit = board.Inch
	assert.Contains(t, heading(Heights, s.Job), "in")
	assert.Contains(t, heading(MeanBend, s.Job), "1/ft")
	assert.Contains(t, texts(Heights), "1/4")
	assert.InDelta(t, foot/1500, unitOf(MeanBend, s.Job)/1500, 1e-12)
	s.Job.Unit, s.Job.Comma = board.MM, true
	assert.Contains(t, texts(MeanBend)[len(texts(MeanBend))-1], ",")
	assert.Equal(t, "+", texts(MeanBend)[len(texts(MeanBend))-1][:1])
}

// TestMapColoursTheFace: the middle of the dome has the top colour of the scale,
// a place near the edge one from its lower end; the legend stands at the right.
func TestMapColoursTheFace(t *testing.T) {
	v, q := show(t, state(dome(t)))
	v.SetMap(Heights)
	assert.False(t, v.Shown())
	q.until(t, v.Shown)
	v.Look(Top)
	p := v.logical()
	img := v.paint(640, 480).(*image.RGBA)
	lightness := func(x, y float64) float64 {
		at := p.shown(r3.Vec{X: x, Y: y, Z: p.solid.pane.Upper.At(x, y)})
		c := img.RGBAAt(int(at.X), int(at.Y))
		return float64(c.R) + float64(c.G) + float64(c.B)
	}
	assert.Greater(t, lightness(3, 8), lightness(150, 20)+40)
	assert.Greater(t, lightness(150, 20), lightness(285, 5)+40)
	f := v.last
	f.field = nil
	plain := newPainter(nil).paint(f, 1).(*image.RGBA)
	assert.NotEqual(t, plain.RGBAAt(520, 100), img.RGBAAt(520, 100), "the legend")
}

// TestStripesFollowTheSphere: along the middle of a sphere seen from above the
// lights stand where the sine of the slope is a whole number of steps; the
// stripes are as smooth as the face, across the triangles.
func TestStripesFollowTheSphere(t *testing.T) {
	s := state(dome(t))
	f, err := newFace(context.Background(), s.Model)
	require.NoError(t, err)
	var d paint.Drape
	var n normals
	st := Stripes{On: true, Angle: 90, Count: 40, Share: 0.5}
	c := camera{span: 500}.look(Top)
	values := st.lay(&d, f, &n, c, 1, nil, look.ColoursFor(0, false))
	for k := range values {
		p := f.lat.Point(k%f.lat.NX, k/f.lat.NX)
		want := -p.X / 1500 // the normal's lean to the left
		require.InDelta(t, want, values[k], 1e-4, "upright lights tell the slope across")
	}
	again := st.lay(&d, f, &n, c, 1, values, look.ColoursFor(0, false))
	assert.Same(t, &values[0], &again[0], "the room is used again")
	wide := st.lay(&d, f, &n, c, 2, nil, look.ColoursFor(0, false))
	assert.Greater(t, math.Abs(float64(wide[0])), 1.8*math.Abs(float64(values[0])), "stretched heights lean more")
}

func TestStripesStayInTheirLimits(t *testing.T) {
	got := Stripes{Angle: -15, Count: 1, Share: 7}.within()
	assert.InDelta(t, 165, got.Angle, 1e-9)
	assert.Equal(t, fewest, got.Count)
	assert.Equal(t, widest, got.Share)
}

// TestHighContrastHasBands: one colour between each level and the next.
func TestHighContrastHasBands(t *testing.T) {
	d := &field{kind: Heights, high: 1, levels: []level{{value: 0.25}, {value: 0.5}, {value: 0.75}}}
	s := d.scale(look.ColoursFor(0, true))
	kinds := map[color.NRGBA]bool{}
	for _, c := range s {
		kinds[c] = true
	}
	assert.Len(t, kinds, 4)
	assert.Equal(t, s.At(0.26), s.At(0.49))
	assert.NotEqual(t, s.At(0.49), s.At(0.51))
	scale := look.Rising()
	assert.Equal(t, scale, d.scale(look.ColoursFor(0, false)))
	assert.Equal(t, uint8(255), d.ink(0, scale).R, "white lines on dark")
	assert.Equal(t, uint8(0), d.ink(1, scale).R)
}

func TestTwoLines(t *testing.T) {
	assert.Equal(t, [2]string{"least", "radius, mm"}, twoLines("least radius, mm"))
	assert.Equal(t, [2]string{"one", ""}, twoLines("one"))
	assert.Equal(t, [2]string{"mean curvature,", "+ domed, 1/m"}, twoLines("mean curvature, + domed, 1/m"))
}
