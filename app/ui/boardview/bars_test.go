package boardview

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/look"
)

// someBars are a bar outward and one inward at the right and the left side, in
// the solid colours of the legend.
func someBars() *Bars {
	return &Bars{Now: "now", Next: "next", Out: "too wide", In: "too narrow", Bars: []Bar{
		{ID: "1", At: r2.Vec{X: 300, Y: 300}, Out: r2.Vec{X: 1}, Now: 0.8, Next: 0.1, HasNow: true, HasNext: true, Text: "station 1: 0.8"},
		{ID: "1'", At: r2.Vec{X: -300, Y: 300}, Out: r2.Vec{X: -1}, Now: -0.4, HasNow: true, Text: "station 1': 0.4"},
	}}
}

// pixels counts those of the picture that are nearly of a colour.
func pixels(v *View, of colour) (n int) {
	v.paint(800, 600)
	img := v.canvas.Image()
	near := func(a, b uint8) bool { return max(a, b)-min(a, b) < 40 }
	for i := 0; i < len(img.Pix); i += 4 {
		if near(img.Pix[i], of.R) && near(img.Pix[i+1], of.G) && near(img.Pix[i+2], of.B) {
			n++
		}
	}
	return n
}

func TestBarsAreDrawnToTheirSides(t *testing.T) {
	v, _ := show(t, fourStations(0), nil)
	out, in := look.Current().Outside, look.Current().Inside
	before := pixels(v, out)
	v.SetBars(someBars())
	wide := pixels(v, out)
	assert.Greater(t, wide, before+100, "the bar that is too wide, and its line of the legend")
	assert.Greater(t, pixels(v, in), 100)
	img := v.canvas.Image()
	reach := func(x, y float64) (c colour) {
		p := v.lens.times(float64(img.Rect.Dx()) / float64(v.size.Width)).px(r2.Vec{X: x, Y: y})
		r, g, b, a := img.At(int(p.X), int(p.Y)).RGBA()
		return colour{R: uint8(r >> 8), G: uint8(g >> 8), B: uint8(b >> 8), A: uint8(a >> 8)}
	}
	assert.Greater(t, int(reach(310, 300).R), int(reach(310, 300).B)+60, "outward at the right")
	assert.Greater(t, int(reach(-290, 300).B), int(reach(-290, 300).R)+60, "inward at the left")
	v.SetBars(nil)
	assert.Equal(t, before, pixels(v, out), "and gone again")
}

func TestBarScaleLeavesRoom(t *testing.T) {
	f := &frame{l: lens{s: 0.5}, k: 1}
	for _, c := range []struct{ long, want float64 }{{0.1, 200}, {1, 50}, {4, 20}, {100, 1}, {1000, 1}} {
		b := &Bars{Bars: []Bar{{Now: -c.long, HasNow: true}, {Next: c.long / 2, HasNext: true}}}
		assert.Equal(t, c.want, f.barScale(b), "%g mm", c.long)
	}
}

func TestBarsAreSpokenOfUnderThePointer(t *testing.T) {
	v, _ := show(t, fourStations(0), nil)
	said := ""
	v.OnHover = func(text string) { said = text }
	v.SetBars(someBars())
	move(v, at(v, -300, 300))
	assert.Equal(t, "station 1': 0.4", said)
	move(v, at(v, 0, 300))
	assert.NotContains(t, said, "station")
	v.SetBars(nil)
	move(v, at(v, -300, 300))
	assert.NotContains(t, said, "station 1'")
}

func TestMarkLeavesThePictureWhereItIs(t *testing.T) {
	v, _ := show(t, fourStations(0), nil)
	before := v.lens
	v.Mark(r2.Vec{X: 1, Y: 2})
	require.NotNil(t, v.shown)
	assert.Equal(t, before, v.lens)
	v.Select(0)
	assert.Nil(t, v.shown)
}
