package paint

import (
	"image"
	"math"
)

// Picture is a picture with smaller ones of it, each half the size of the one
// before, so that it is shown without flicker at any size.
type Picture struct{ levels []*image.RGBA }

// NewPicture makes the smaller ones of a picture, which belongs to it from now on.
func NewPicture(img *image.RGBA) *Picture {
	p := &Picture{levels: []*image.RGBA{img}}
	for img.Rect.Dx() > 64 && img.Rect.Dy() > 64 {
		img = halved(img)
		p.levels = append(p.levels, img)
	}
	return p
}

// Size is the width and height in pixels.
func (p *Picture) Size() image.Point { return p.levels[0].Rect.Size() }

// halved is a picture whose pixels are the means of four.
func halved(img *image.RGBA) *image.RGBA {
	out := image.NewRGBA(image.Rect(0, 0, img.Rect.Dx()/2, img.Rect.Dy()/2))
	for y := range out.Rect.Dy() {
		a, b := img.Pix[2*y*img.Stride:], img.Pix[(2*y+1)*img.Stride:]
		to := out.Pix[y*out.Stride : (y+1)*out.Stride]
		for i := range to {
			k := i/4*8 + i%4
			to[i] = uint8((int(a[k]) + int(a[k+4]) + int(b[k]) + int(b[k+4]) + 2) / 4)
		}
	}
	return out
}

// Project lays a picture over the canvas, each pixel (x, y) of the canvas showing
// that of the picture at m·(x, y, 1), divided by its third part; where that lies
// outside of the picture, or the third part is not more than 0, nothing is laid. a
// is the opacity, 0 to 255. About 10 ns a pixel.
func (c *Canvas) Project(p *Picture, m [3][3]float64, a uint8) {
	k := p.level(m, float64(c.w)/2, float64(c.h)/2)
	for i := range 2 {
		for j := range m[i] {
			m[i][j] = math.Ldexp(m[i][j], -k)
		}
	}
	src := p.levels[k]
	w, h := float64(src.Rect.Dx()), float64(src.Rect.Dy())
	aa := uint32(a) + uint32(a)>>7
	for y := range c.h {
		at := func(i int) float64 { return m[i][0]*0.5 + m[i][1]*(float64(y)+0.5) + m[i][2] }
		u, v, d := at(0), at(1), at(2)
		out := c.img.Pix[4*y*c.w : 4*(y+1)*c.w]
		for x := 0; x < len(out); x += 4 {
			if d > 0 {
				if s, t := u/d, v/d; s >= 0 && t >= 0 && s < w && t < h {
					i := int(t)*src.Stride + 4*int(s)
					from := src.Pix[i : i+3 : i+3]
					out[x] = uint8((uint32(from[0])*aa + uint32(out[x])*(256-aa) + 128) >> 8)
					out[x+1] = uint8((uint32(from[1])*aa + uint32(out[x+1])*(256-aa) + 128) >> 8)
					out[x+2] = uint8((uint32(from[2])*aa + uint32(out[x+2])*(256-aa) + 128) >> 8)
				}
			}
			u, v, d = u+m[0][0], v+m[1][0], d+m[2][0]
		}
	}
}

// level is that of the pictures whose pixels are about as large as the canvas's,
// at a point of the canvas.
func (p *Picture) level(m [3][3]float64, x, y float64) int {
	part := func(i int) float64 { return m[i][0]*x + m[i][1]*y + m[i][2] }
	d := part(2)
	size := 0.0 // area of the picture under a pixel
	if d > 0 {
		u, v := part(0)/d, part(1)/d
		ux, uy := (m[0][0]-u*m[2][0])/d, (m[0][1]-u*m[2][1])/d
		vx, vy := (m[1][0]-v*m[2][0])/d, (m[1][1]-v*m[2][1])/d
		size = math.Abs(ux*vy - uy*vx)
	}
	if !(size > 1) || math.IsInf(size, 1) {
		return 0
	}
	return min(int(math.Log2(size)/2+0.5), len(p.levels)-1)
}
