package solidview

import (
	"image/color"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/ui/paint"
)

// ground is the grid under what is drawn: whole squares of a size round the box.
type ground struct {
	box   r2.Box
	level float64
	pitch float64
}

// groundUnder is the ground for a box: squares of 1, 2, 5, 10 … units, ten or
// so across.
func groundUnder(b r3.Box, unit float64) ground {
	wide := max(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y)
	g := ground{pitch: evenly(wide/14, unit), level: b.Min.Z - 0.04*wide}
	down := func(v float64) float64 { return math.Floor(v/g.pitch-0.12) * g.pitch }
	up := func(v float64) float64 { return math.Ceil(v/g.pitch+0.12) * g.pitch }
	g.box = r2.Box{Min: r2.Vec{X: down(b.Min.X), Y: down(b.Min.Y)}, Max: r2.Vec{X: up(b.Max.X), Y: up(b.Max.Y)}}
	return g
}

// evenly is the first of 1, 2, 5, 10, 20, 50 … units that is not less than v.
func evenly(v, unit float64) float64 { return max(roundStep(v/unit), 1) * unit }

// ground paints the grid, and the centre line in it where there is one.
func (p *picture) ground(g ground) {
	none := color.NRGBA{}
	draw := func(x0, y0, x1, y1, width float64, col color.NRGBA) {
		var a, b paint.Vertex
		a.X, a.Y, a.Z = p.v.project(r3.Vec{X: x0, Y: y0, Z: g.level})
		b.X, b.Y, b.Z = p.v.project(r3.Vec{X: x1, Y: y1, Z: g.level})
		p.scene.Line(a, b, width*p.k, 0, col, none)
	}
	n := func(lo, hi float64) int { return min(int(math.Round((hi-lo)/g.pitch)), 400) }
	for i := range n(g.box.Min.X, g.box.Max.X) + 1 {
		x := g.box.Min.X + float64(i)*g.pitch
		draw(x, g.box.Min.Y, x, g.box.Max.Y, 1, p.col.Grid)
	}
	for i := range n(g.box.Min.Y, g.box.Max.Y) + 1 {
		y := g.box.Min.Y + float64(i)*g.pitch
		draw(g.box.Min.X, y, g.box.Max.X, y, 1, p.col.Grid)
	}
	if p.mirror {
		draw(0, g.box.Min.Y, 0, g.box.Max.Y, p.col.Thin, paint.Fade(p.col.Centre, 0.6))
	}
}
