package paint

import (
	"image/color"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Disc fills the circle of radius r about p.
func (c *Canvas) Disc(p r2.Vec, r float64, col color.NRGBA) {
	c.round(p, r+0.5, col, func(d float64) float64 { return r + 0.5 - d })
}

// Ring strokes the circle of radius r about p, width pixels wide.
func (c *Canvas) Ring(p r2.Vec, r, width float64, col color.NRGBA) {
	half := width / 2
	c.round(p, r+half+0.5, col, func(d float64) float64 { return half + 0.5 - math.Abs(d-r) })
}

// round paints the pixels within reach of p; cover gives the coverage (below 0:
// none, above 1: full) from the distance to p.
func (c *Canvas) round(p r2.Vec, reach float64, col color.NRGBA, cover func(d float64) float64) {
	x0, x1, okx := pixelRange(p.X-reach, p.X+reach, c.w)
	y0, y1, oky := pixelRange(p.Y-reach, p.Y+reach, c.h)
	if !okx || !oky {
		return
	}
	for y := y0; y < y1; y++ {
		dy := float64(y) + 0.5 - p.Y
		for x := x0; x < x1; x++ {
			dx := float64(x) + 0.5 - p.X
			v := cover(math.Sqrt(dx*dx + dy*dy))
			if v > 0 {
				c.blend(y*c.w+x, col, uint32(min(v, 1)*float64(col.A)+0.5))
			}
		}
	}
}

// Shape is a small closed mark.
type Shape int

// The shapes.
const (
	Square   Shape = iota // sides level
	Diamond               // standing on a corner
	Triangle              // point up
)

// outlines are the corners of the shapes, for a mark of radius 1.
var outlines = [...][]r2.Vec{
	Square:   {{X: -0.85, Y: -0.85}, {X: 0.85, Y: -0.85}, {X: 0.85, Y: 0.85}, {X: -0.85, Y: 0.85}},
	Diamond:  {{X: 0, Y: -1.2}, {X: 1.2, Y: 0}, {X: 0, Y: 1.2}, {X: -1.2, Y: 0}},
	Triangle: {{X: 0, Y: -1.2}, {X: 1.1, Y: 0.8}, {X: -1.1, Y: 0.8}},
}

// Shape fills and strokes a mark of about radius r at p; a fill or stroke of
// opacity 0 is left out.
func (c *Canvas) Shape(s Shape, p r2.Vec, r float64, fill color.NRGBA, edge Stroke) {
	var pts [4]r2.Vec
	n := copy(pts[:], outlines[s])
	for i := range n {
		pts[i] = r2.Add(p, r2.Scale(r, pts[i]))
	}
	c.Fill(fill, pts[:n])
	c.Polyline(pts[:n], true, edge)
}

// Cross strokes an upright cross with arms of length r.
func (c *Canvas) Cross(p r2.Vec, r float64, s Stroke) {
	c.arms(p, r2.Vec{X: r}, r2.Vec{Y: r}, s)
}

// Saltire strokes a slanting cross that fits a circle of radius r.
func (c *Canvas) Saltire(p r2.Vec, r float64, s Stroke) {
	k := r * math.Sqrt2 / 2
	c.arms(p, r2.Vec{X: k, Y: k}, r2.Vec{X: k, Y: -k}, s)
}

func (c *Canvas) arms(p, u, v r2.Vec, s Stroke) {
	c.capsule(r2.Sub(p, u), r2.Add(p, u), s.Width)
	c.capsule(r2.Sub(p, v), r2.Add(p, v), s.Width)
	c.flush(s.Color)
}
