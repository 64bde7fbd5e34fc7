package solidview

import (
	"image"
	"image/color"
	"math"

	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/ui/look"
	"panewright/app/ui/paint"
)

// stretched is p with its height over level multiplied.
func stretched(p r3.Vec, level, f float64) r3.Vec {
	p.Z = level + (p.Z-level)*f
	return p
}

// stretchedBox is a box with its height multiplied over its lower side.
func stretchedBox(b r3.Box, f float64) r3.Box {
	b.Max = stretched(b.Max, b.Min.Z, f)
	return b
}

// picture draws a solid as a camera sees it.
type picture struct {
	scene *paint.Scene
	out   *paint.Canvas
	v     view
	cam   camera
	k     float64 // device pixels in a logical one
	col   look.Colours
	font  *paint.Font

	stretch, level float64
	fade           float64 // 0: as it is, 1: all background
}

// lightFrom is where the light comes from in the picture: right, up, towards the eye.
var lightFrom = r3.Unit(r3.Vec{X: -0.45, Y: 0.55, Z: 0.7})

// shade is the lightness of a surface with a unit normal n, in picture axes.
func shade(n r3.Vec) float64 {
	if n.Z < 0 {
		n = r3.Scale(-1, n)
	}
	diffuse := max(r3.Dot(n, lightFrom), 0)
	half := r3.Unit(r3.Add(lightFrom, r3.Vec{Z: 1}))
	gloss := math.Pow(max(r3.Dot(n, half), 0), 40)
	return 0.42 + 0.62*diffuse + 0.35*gloss
}

// solid paints the faces.
func (p *picture) solid(s *solid) {
	right, up, back := p.cam.axes()
	pts := make([]paint.Vertex, len(s.mesh.V))
	seen := make([]bool, len(s.mesh.V))
	for i, q := range s.mesh.V {
		v := &pts[i]
		v.X, v.Y, v.Z, seen[i] = p.v.project(stretched(q, p.level, p.stretch))
	}
	colours := map[part]color.NRGBA{upperFace: p.pale(p.col.Glass), lowerFace: p.pale(p.col.GlassUnder), edgeBand: p.pale(p.col.GlassEdge)}
	for _, kind := range []part{upperFace, lowerFace, edgeBand} { // by colour, so that each is mixed once
		for i, t := range s.mesh.T {
			if s.part[i] != kind || !seen[t[0]] || !seen[t[1]] || !seen[t[2]] {
				continue
			}
			a, b, c := pts[t[0]], pts[t[1]], pts[t[2]]
			if (b.X-a.X)*(c.Y-a.Y)-(b.Y-a.Y)*(c.X-a.X) >= 0 {
				continue // turned away: clockwise in the picture is towards the eye, y being down
			}
			for k, v := range []*paint.Vertex{&a, &b, &c} {
				n := p.squeezed(s.normal[i][k])
				v.L = shade(r3.Vec{X: r3.Dot(n, right), Y: r3.Dot(n, up), Z: r3.Dot(n, back)})
			}
			p.scene.Triangle(a, b, c, colours[kind])
		}
	}
	for _, e := range s.edges {
		p.edge(e)
	}
}

// edge paints an edge line where one of its faces can be seen.
func (p *picture) edge(e []rim) {
	eye := p.cam.eye()
	for i, a := range e {
		b := e[(i+1)%len(e)]
		at := stretched(a.p, p.level, p.stretch)
		to := r3.Sub(eye, at)
		if r3.Dot(p.squeezed(a.face[0]), to) > 0 || r3.Dot(p.squeezed(a.face[1]), to) > 0 {
			p.line(at, stretched(b.p, p.level, p.stretch), 1.3, p.pale(p.col.Outline), 0.0012)
		}
	}
}

// squeezed is the direction of a normal once heights are stretched.
func (p *picture) squeezed(n r3.Vec) r3.Vec {
	return r3.Unit(r3.Vec{X: n.X, Y: n.Y, Z: n.Z / p.stretch})
}

// pale is a colour made paler while what is shown is out of date.
func (p *picture) pale(c color.NRGBA) color.NRGBA {
	return paint.Mix(c, paint.Mix(p.col.SkyTop, p.col.SkyBottom, 0.5), p.fade)
}

// line paints a line in space, a fraction pull of the way towards the eye so
// that the face it lies on does not hide it.
func (p *picture) line(a, b r3.Vec, width float64, col color.NRGBA, pull float64) {
	eye := p.cam.eye()
	near := func(q r3.Vec) r3.Vec { return r3.Add(q, r3.Scale(pull, r3.Sub(eye, q))) }
	var u, w paint.Vertex
	var okA, okB bool
	u.X, u.Y, u.Z, okA = p.v.project(near(a))
	w.X, w.Y, w.Z, okB = p.v.project(near(b))
	if okA && okB {
		p.scene.Line(u, w, width*p.k, 0, col)
	}
}

// ground is the grid under the solid: whole squares of a size round the box.
type ground struct {
	box   r2.Box
	level float64
	pitch float64
}

// groundUnder is the ground for a box: squares of 1, 2, 5, 10 … units, ten or
// so across.
func groundUnder(b r3.Box, unit float64) ground {
	wide := max(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y)
	g := ground{pitch: even(wide/14, unit), level: b.Min.Z - 0.04*wide}
	down := func(v float64) float64 { return math.Floor(v/g.pitch-0.12) * g.pitch }
	up := func(v float64) float64 { return math.Ceil(v/g.pitch+0.12) * g.pitch }
	g.box = r2.Box{Min: r2.Vec{X: down(b.Min.X), Y: down(b.Min.Y)}, Max: r2.Vec{X: up(b.Max.X), Y: up(b.Max.Y)}}
	return g
}

// even is the first of 1, 2, 5, 10, 20, 50 … units that is not less than v.
func even(v, unit float64) float64 {
	for n := unit; n < 1e6*unit; n *= 10 {
		for _, m := range []float64{1, 2, 5} {
			if n*m >= v {
				return n * m
			}
		}
	}
	return max(v, unit)
}

// ground paints the grid, the centre line stronger where there is one.
func (p *picture) ground(g ground, centre bool) {
	at := func(x, y float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: g.level} }
	col := p.col.GridFifth
	n := func(lo, hi float64) int { return min(int(math.Round((hi-lo)/g.pitch)), 400) }
	for i := range n(g.box.Min.X, g.box.Max.X) + 1 {
		x := g.box.Min.X + float64(i)*g.pitch
		p.line(at(x, g.box.Min.Y), at(x, g.box.Max.Y), 1, col, 0)
	}
	for i := range n(g.box.Min.Y, g.box.Max.Y) + 1 {
		y := g.box.Min.Y + float64(i)*g.pitch
		p.line(at(g.box.Min.X, y), at(g.box.Max.X, y), 1, col, 0)
	}
	if centre {
		p.line(at(0, g.box.Min.Y), at(0, g.box.Max.Y), 1.8, p.col.Centre, 0.0005)
	}
}

// labels writes L, R and TOP beside the pane's edge.
func (p *picture) labels(s *solid, away float64) {
	face := p.face(13)
	if face == nil {
		return
	}
	for i, l := range []struct {
		text string
		off  r3.Vec
	}{
		{lang.X("left side", "L"), r3.Vec{X: -away}},
		{lang.X("right side", "R"), r3.Vec{X: away}},
		{lang.X("top edge", "TOP"), r3.Vec{Y: away}},
	} {
		at := r3.Add(stretched(s.sides[i], p.level, p.stretch), l.off)
		if x, y, z, ok := p.v.project(at); ok && !p.scene.Hidden(paint.Vertex{X: x, Y: y, Z: z}) {
			p.haloed(face, l.text, r2.Vec{X: x, Y: y})
		}
	}
}

// haloed writes a text in the middle of p, kept clear of the lines behind it.
func (p *picture) haloed(face *paint.Face, s string, at r2.Vec) {
	middle, clear := r2.Vec{X: 0.5, Y: 0.5}, paint.Fade(p.col.SkyTop, 0.6)
	for _, d := range []r2.Vec{{X: -1}, {X: 1}, {Y: -1}, {Y: 1}} {
		p.out.Text(face, s, r2.Add(at, r2.Scale(1.5*p.k, d)), middle, clear)
	}
	p.out.Text(face, s, at, middle, p.col.Label)
}

// face is the font at a size in logical pixels of normal type, nil without one.
func (p *picture) face(size float64) *paint.Face {
	if p.font == nil {
		return nil
	}
	face, err := p.font.Face(size * p.k * float64(look.Scale()))
	if err != nil {
		return nil
	}
	return face
}

// note writes a line at the lower left.
func (p *picture) note(s string) {
	face := p.face(look.Small)
	if face == nil || s == "" {
		return
	}
	_, h := p.out.Size()
	p.out.Text(face, s, r2.Vec{X: 10 * p.k, Y: float64(h) - 10*p.k}, r2.Vec{Y: 1}, p.col.GridLabel)
}

// finish writes the painted scene into the picture.
func (p *picture) finish() image.Image {
	p.scene.Resolve(p.out.Image())
	return p.out.Image()
}
