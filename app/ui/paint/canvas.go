// Package paint is a small software rasteriser: crisp grid lines, anti-aliased
// strokes and dashes, marks, filled polygons, text, and shaded triangles with a
// depth buffer, all into an *image.RGBA and without a window.
//
// Coordinates are device pixels, x to the right and y down; (0, 0) is the upper
// left corner of the first pixel, whose centre is (0.5, 0.5). Colours carry
// their opacity. Coordinates may lie far outside the picture and may be NaN:
// such parts are left out.
package paint

import (
	"image"
	"image/color"
)

// Canvas is a picture being painted. It is meant to be kept and painted again:
// nothing is allocated for a frame of the same size. Not safe for concurrent use.
type Canvas struct {
	img     *image.RGBA
	w, h    int
	mask    []uint8   // coverage of the stroke being drawn, all zero between strokes
	touched []int32   // pixels of mask that are not zero
	cover   []float32 // of the row being filled, as differences
	sides   []side
	active  []side
	cross   []crossing
}

// New is a canvas of w by h pixels, transparent black.
func New(w, h int) *Canvas {
	c := new(Canvas)
	c.Resize(w, h)
	return c
}

// Resize makes the canvas w by h pixels (at least 1 by 1). What was painted is
// kept only where the size stays the same.
func (c *Canvas) Resize(w, h int) {
	w, h = max(w, 1), max(h, 1)
	if c.img != nil && c.w == w && c.h == h {
		return
	}
	c.img = image.NewRGBA(image.Rect(0, 0, w, h))
	c.w, c.h = w, h
	c.mask = make([]uint8, w*h)
	c.cover = make([]float32, w+2)
	c.touched = c.touched[:0]
}

// Image is the picture, shared with the canvas.
func (c *Canvas) Image() *image.RGBA { return c.img }

// Size is the width and height in pixels.
func (c *Canvas) Size() (w, h int) { return c.w, c.h }

// Clear paints the whole canvas in one colour, replacing what was there.
func (c *Canvas) Clear(col color.NRGBA) {
	p := c.img.Pix
	r := color.RGBAModel.Convert(col).(color.RGBA)
	p[0], p[1], p[2], p[3] = r.R, r.G, r.B, r.A
	for n := 4; n < len(p); n *= 2 {
		copy(p[n:], p[:n])
	}
}

// HLine paints the pixels x0 <= x < x1 of row y: a line exactly one pixel wide.
func (c *Canvas) HLine(x0, x1, y int, col color.NRGBA) { c.Rect(x0, y, x1, y+1, col) }

// VLine paints the pixels y0 <= y < y1 of column x: a line exactly one pixel wide.
func (c *Canvas) VLine(x, y0, y1 int, col color.NRGBA) { c.Rect(x, y0, x+1, y1, col) }

// Rect paints the pixels x0 <= x < x1, y0 <= y < y1.
func (c *Canvas) Rect(x0, y0, x1, y1 int, col color.NRGBA) {
	x0, x1 = max(x0, 0), min(x1, c.w)
	y0, y1 = max(y0, 0), min(y1, c.h)
	if x0 >= x1 || y0 >= y1 {
		return
	}
	if col.A < 255 {
		for y := y0; y < y1; y++ {
			for i := y*c.w + x0; i < y*c.w+x1; i++ {
				c.blend(i, col, uint32(col.A))
			}
		}
		return
	}
	row := c.img.Pix[4*(y0*c.w+x0) : 4*(y0*c.w+x1)]
	row[0], row[1], row[2], row[3] = col.R, col.G, col.B, 255
	for n := 4; n < len(row); n *= 2 {
		copy(row[n:], row[:n])
	}
	for y := y0 + 1; y < y1; y++ {
		copy(c.img.Pix[4*(y*c.w+x0):4*(y*c.w+x1)], row)
	}
}

// blend lays col over pixel i with opacity a of 255; col.A is not looked at.
func (c *Canvas) blend(i int, col color.NRGBA, a uint32) {
	if a == 0 {
		return
	}
	a += a >> 7 // 0..256, so that both ends are exact
	p := c.img.Pix[4*i : 4*i+4 : 4*i+4]
	b := 256 - a
	p[0] = uint8((uint32(col.R)*a + uint32(p[0])*b + 128) >> 8)
	p[1] = uint8((uint32(col.G)*a + uint32(p[1])*b + 128) >> 8)
	p[2] = uint8((uint32(col.B)*a + uint32(p[2])*b + 128) >> 8)
	p[3] = uint8((255*a + uint32(p[3])*b + 128) >> 8)
}

// opacity is a coverage of 0..255 of a colour with its own opacity.
func opacity(coverage uint8, col color.NRGBA) uint32 {
	return (uint32(coverage)*uint32(col.A) + 127) / 255
}

// Fade is the colour with its opacity multiplied by f (0..1).
func Fade(col color.NRGBA, f float64) color.NRGBA {
	col.A = uint8(float64(col.A)*min(max(f, 0), 1) + 0.5)
	return col
}

// Mix is the opaque colour a fraction f of the way from a to b.
func Mix(a, b color.NRGBA, f float64) color.NRGBA {
	m := func(p, q uint8) uint8 { return uint8(float64(p)*(1-f) + float64(q)*f + 0.5) }
	return color.NRGBA{m(a.R, b.R), m(a.G, b.G), m(a.B, b.B), 255}
}
