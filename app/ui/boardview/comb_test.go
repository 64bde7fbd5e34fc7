package boardview

import (
	"bytes"
	"image"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/look"
	"panewright/board"
	"panewright/geom"
)

func TestCombStandsOnTheOutline(t *testing.T) {
	_, m := demo(t, "touring-saloon-windscreen")
	d := newComb(m)
	require.Len(t, d.teeth, combTeeth)
	edge := newBand(m).lines()[0]
	const off = 0.5 // mm: the outline drawn is a chain
	for _, p := range d.teeth {
		least := math.Inf(1)
		for i, a := range edge {
			least = min(least, toPiece(p.at, a, edge[(i+1)%len(edge)]))
		}
		assert.Less(t, least, off)
		assert.InDelta(t, 1, r2.Norm(p.out), 1e-9)
	}
	assert.Zero(t, len(d.turns)%2, "convex and hollow take turns")
}

// toPiece is how far p lies from the piece from a to b.
func toPiece(p, a, b r2.Vec) float64 {
	d := r2.Sub(b, a)
	t := 0.0
	if n := r2.Norm2(d); n > 0 {
		t = min(max(r2.Dot(r2.Sub(p, a), d)/n, 0), 1)
	}
	return r2.Norm(r2.Sub(p, r2.Add(a, r2.Scale(t, d))))
}

func TestTeethAreAsLongAsTheCurvature(t *testing.T) {
	f := &frame{l: lens{s: 0.5}, k: 2}
	for _, tt := range []struct {
		name      string
		curvature float64
		long      float64 // device pixels
		full      bool
	}{
		{"1 m radius", 1e-3, 20 * 5 * 0.5, true}, // 20 mm for each time, 0.5 pixels to a millimetre
		{"straight", 0, 0, true},
		{"hollow, 2 m", -5e-4, -10 * 5 * 0.5, true},
		{"a corner", 1.0 / 40, combLongest * 2, false},
		{"a hollow corner", -1.0 / 40, -combLongest * 2, false},
	} {
		p := combPlace{out: r2.Vec{X: 0.6, Y: 0.8}, curvature: tt.curvature}
		end, full := f.combEnd(p, 5)
		assert.InDelta(t, tt.long*0.6, end.X-f.l.px(p.at).X, 1e-9, tt.name)
		assert.InDelta(t, -tt.long*0.8, end.Y-f.l.px(p.at).Y, 1e-9, "up the board is up the picture: %s", tt.name)
		assert.Equal(t, tt.full, full, tt.name)
	}
}

func TestLegendRadiusIsRound(t *testing.T) {
	for _, tt := range []struct {
		unit  board.Unit
		reach float64 // logical pixels times mm
		want  float64 // mm
	}{
		{board.MM, 20000 * 0.4, 500}, // 8000 / 500 = 16 pixels, / 200 = 40
		{board.MM, 24, 1},
		{board.MM, 24.1, 2},
		{board.Inch, 20000 * 0.4, 20 * 25.4}, // 15.7 pixels; 10 in would be 31
		{board.MM, 1e30, 1e9},
	} {
		assert.InDelta(t, tt.want, combRadius(tt.unit, tt.reach), 1e-9*tt.want, "%v %v", tt.unit, tt.reach)
	}
}

func TestCombIsDrawnInPlaceOfMisses(t *testing.T) {
	j, m := demo(t, "touring-saloon-windscreen")
	v, _ := show(t, j, m)
	picture := func(mode look.Mode) []byte {
		fyne.CurrentApp().Settings().SetTheme(look.Theme{Mode: mode})
		v.resized(fyneSize(image.Point{1200, 720}))
		return bytes.Clone(v.paint(1200, 720).(*image.RGBA).Pix)
	}
	assert.Nil(t, v.combed(), "off until asked for")
	for _, mode := range []look.Mode{look.Light, look.Dark} {
		plain := picture(mode)
		v.SetComb(5)
		require.NotNil(t, v.combed())
		once := v.combed()
		assert.False(t, bytes.Equal(plain, picture(mode)))
		v.Display(v.door.State())
		assert.Same(t, once, v.combed(), "made once for each model")
		v.SetComb(0)
		assert.Nil(t, v.combed())
		assert.True(t, bytes.Equal(plain, picture(mode)), "and away again")
	}
	v.SetComb(5)
	v.SetFold(true)
	require.NotNil(t, v.folded())
	v.paint(1200, 720)
	v.SetFold(false)
	v.Display(v.door.State())
	v.Zoom(40)
	v.paint(1200, 720) // most of it out of sight
}

// A waist: convex at its ends, hollow between them on both sides.
func TestCombMarksWhereTheEdgeTurnsHollow(t *testing.T) {
	waist := func(u float64) r2.Vec {
		r := 300 * (1 + 0.35*math.Cos(2*u))
		return r2.Vec{X: r * math.Cos(u), Y: 400 + r*math.Sin(u)}
	}
	c, err := geom.FitClosed(waist, []float64{0, math.Pi, 2 * math.Pi}, 0.01)
	require.NoError(t, err)
	d := &comb{}
	d.take(c, func(u float64) (at, out r2.Vec, ok bool) { return c.At(u), c.Normal(u), true })
	require.Len(t, d.turns, 4)
	hollow := 0
	for _, p := range d.teeth {
		if p.curvature < 0 {
			hollow++
		}
	}
	assert.Greater(t, hollow, 20)
	assert.Less(t, hollow, len(d.teeth)/2)
	v, _ := show(t, fourStations(board.MM), nil)
	f := &frame{c: v.canvas, l: v.lens, k: 1, w: 800, h: 600, col: look.Current(), fonts: v.fonts}
	f.c.Resize(800, 600)
	f.c.Clear(f.col.Board)
	f.comb(d, 1, 1)
	for _, p := range d.turns {
		q := f.l.px(p.at)
		c := f.c.Image().RGBAAt(int(q.X), int(q.Y))
		assert.Greater(t, int(c.R), 180, "the bar in the colour of suspects at %v", p.at)
	}
	f.combLegend(d, v.scene.job, 1)
}

func TestLabelsStandInsideTheComb(t *testing.T) {
	j, m := demo(t, "touring-saloon-windscreen")
	v, _ := show(t, j, m)
	inside := func() (n int) {
		f := &frame{c: v.canvas, l: v.lens, k: 1, w: 800, h: 600, col: look.Current(), fonts: v.fonts}
		f.c.Resize(800, 600)
		v.draw(f)
		for _, b := range f.labels {
			u := v.lens.mm(r2.Scale(0.5, r2.Add(b.Min, b.Max)))
			at, _ := m.Free.Curve.Nearest(u)
			if r2.Dot(r2.Sub(u, m.Free.Curve.At(at)), m.Free.Curve.Normal(at)) < 0 {
				n++
			}
		}
		return n
	}
	plain := inside()
	v.SetComb(5)
	assert.Greater(t, inside(), plain+20)
}

func TestThereIsNoCombWithoutAnOutline(t *testing.T) {
	v, _ := show(t, fourStations(board.MM), nil)
	v.SetComb(10)
	assert.Nil(t, v.combed())
	v.paint(400, 300)
	assert.Empty(t, newComb(&board.Model{}).teeth)
}

func BenchmarkPictureOfTheComb(b *testing.B) {
	j, m := demo(b, "touring-saloon-windscreen")
	v, _ := show(b, j, m)
	v.resized(fyneSize(image.Point{1200, 720}))
	v.SetComb(5)
	for b.Loop() {
		v.paint(1200, 720)
	}
}

func BenchmarkComb(b *testing.B) {
	_, m := demo(b, "touring-saloon-windscreen")
	for b.Loop() {
		newComb(m)
	}
}
