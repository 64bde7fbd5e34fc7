package paint

import (
	"image"
	"image/color"
	"testing"

	"github.com/stretchr/testify/assert"
)

// square paints two triangles over the whole picture at depth z with the corners
// of a drape of w by h values.
func square(s *Scene, size, z, l float64, d *Drape, w, h float64) {
	at := func(u, v float64) Vertex {
		return Vertex{X: u * size, Y: v * size, Z: z, L: l, U: u * (w - 1), V: v * (h - 1)}
	}
	s.Draped(at(0, 0), at(1, 0), at(1, 1), d)
	s.Draped(at(0, 0), at(1, 1), at(0, 1), d)
}

// shades of grey by share.
func greys(f float64) color.NRGBA { v := uint8(f * 255); return color.NRGBA{v, v, v, 255} }

func TestDrapeRunsStraightBetweenItsValues(t *testing.T) {
	var d Drape
	d.Lay([]float32{0, 10, 20, 30}, 2, 2, 0, 30, false)
	d.Colour(greys)
	var s Scene
	s.Resize(60, 60, 1)
	s.Clear(white, white)
	square(&s, 60, 1, 1, &d, 2, 2)
	img := image.NewRGBA(image.Rect(0, 0, 60, 60))
	s.Resolve(img)
	for _, p := range []image.Point{{0, 0}, {59, 0}, {0, 59}, {30, 30}, {12, 47}} {
		want := ((float64(p.X)+0.5)/60*10 + (float64(p.Y)+0.5)/60*20) / 30 * 255
		assert.InDelta(t, want, float64(img.RGBAAt(p.X, p.Y).R), 1.5, "%v", p)
	}
}

func TestDrapeEndsAndRounds(t *testing.T) {
	var d Drape
	d.Colour(greys)
	d.Lay([]float32{-5, -5, -5, -5}, 2, 2, 0, 10, false)
	assert.Equal(t, uint32(0), d.at(0.5, 0.5), "below the scale: its first colour")
	d.Lay([]float32{-5, -5, -5, -5}, 2, 2, 0, 10, true)
	r, _, _ := unpack(d.at(0.5, 0.5))
	assert.InDelta(t, 127, float64(r), 1, "half a turn before the first")
	d.Lay([]float32{3, 3, 3, 3}, 2, 2, 0, 10, false)
	out := Vertex{U: -7, V: 99}
	d.inside(&out)
	assert.Equal(t, Vertex{U: 0, V: 1}, out, "beyond the lattice its border goes on")
}

func TestDrapeIsDarkenedAndHidden(t *testing.T) {
	var d Drape
	d.Lay([]float32{1, 1, 1, 1}, 2, 2, 0, 1, false)
	d.Colour(greys)
	var s Scene
	img := image.NewRGBA(image.Rect(0, 0, 8, 8))
	s.Resize(8, 8, 2)
	s.Clear(black, black)
	square(&s, 8, 1, 0.5, &d, 2, 2)
	square(&s, 8, 2, 1, &d, 2, 2) // farther
	s.Resolve(img)
	assert.InDelta(t, 127, float64(img.RGBAAt(4, 4).G), 1)
	z, ok := s.Depth(4, 4)
	assert.True(t, ok)
	assert.InDelta(t, 1, z, 1e-6)
	_, ok = s.Depth(-1, 4)
	assert.False(t, ok)
}

func TestLineBehindIsFaint(t *testing.T) {
	var d Drape
	d.Lay([]float32{1, 1, 1, 1}, 2, 2, 0, 1, false)
	d.Colour(func(float64) color.NRGBA { return white })
	var s Scene
	s.Resize(40, 40, 1)
	s.Clear(white, white)
	square(&s, 20, 1, 1, &d, 2, 2) // the upper left quarter
	s.Line(Vertex{X: 0, Y: 10, Z: 2}, Vertex{X: 40, Y: 10, Z: 2}, 2, 0, black, Fade(black, 0.5))
	s.Line(Vertex{X: 0, Y: 16, Z: 2}, Vertex{X: 40, Y: 16, Z: 2}, 2, 0, black, color.NRGBA{})
	img := image.NewRGBA(image.Rect(0, 0, 40, 40))
	s.Resolve(img)
	assert.InDelta(t, 127, float64(img.RGBAAt(10, 10).R), 2, "faint where it is hidden")
	assert.Equal(t, uint8(0), img.RGBAAt(30, 10).R)
	assert.Equal(t, uint8(255), img.RGBAAt(10, 16).R, "or not there")
	assert.Equal(t, uint8(0), img.RGBAAt(30, 16).R)
}

func BenchmarkDrape(b *testing.B) {
	const n = 400
	var d Drape
	values := make([]float32, n*n)
	for i := range values {
		values[i] = float32(i % n)
	}
	d.Lay(values, n, n, 0, n, false)
	d.Colour(greys)
	var s Scene
	s.Resize(600, 600, 1)
	for b.Loop() {
		s.Clear(white, white)
		square(&s, 600, 1, 1, &d, n, n)
	}
}
