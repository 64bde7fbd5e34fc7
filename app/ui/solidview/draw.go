package solidview

import (
	"image"
	"image/color"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/ui/look"
	"panewright/app/ui/paint"
)

// frame is all that a picture shows. Frames that are equal look the same.
type frame struct {
	w, h  int     // device pixels
	k     float64 // device pixels in a logical one
	words float64 // how many times as large as normal words are
	col   look.Colours
	cam   camera

	stretch float64 // of heights
	stale   bool
	unit    float64 // the ground's squares are whole multiples of it, mm
	mirror  bool

	solid   *solid
	face    *face  // with stripes
	field   *field // nil: plain
	heading string // of the field
	stripes Stripes
	cut     *cut
	magnify float64 // of the cut's heights
	longer  float64 // times that misses are drawn longer beside it
	pocket  *pocket
	lift    float64 // of the pane over its place in the pocket
	note    string
}

// painter paints frames. Its pictures are its own until it paints the next.
type painter struct {
	scene  paint.Scene
	out    *paint.Canvas
	font   *paint.Font
	drape  paint.Drape
	values []float32
	normal normals
	corner []paint.Vertex
}

func newPainter(font []byte) *painter {
	p := &painter{out: paint.New(1, 1)}
	p.font, _ = paint.NewFont(font) // without a font nothing is written
	return p
}

// picture is a frame being painted.
type picture struct {
	frame
	*painter
	v      view
	level  float64 // from which heights are stretched
	placed []r2.Box
}

// paint paints a frame with fine by fine samples a pixel.
func (p *painter) paint(f frame, fine int) image.Image {
	p.out.Resize(f.w, f.h)
	p.scene.Resize(f.w, f.h, fine)
	p.scene.Clear(f.col.SkyTop, f.col.SkyBottom)
	q := &picture{frame: f, painter: p, v: f.cam.view(float64(f.w), float64(f.h))}
	if f.solid == nil {
		p.scene.Resolve(p.out.Image())
		q.write(f.note)
		return p.out.Image()
	}
	g := groundUnder(f.box(), f.unit)
	q.level = f.box().Min.Z
	q.ground(g)
	q.pane()
	q.lines()
	if f.pocket != nil {
		q.pocketBodies()
	}
	p.scene.Resolve(p.out.Image())
	q.names(0.5 * g.pitch)
	q.legend()
	q.inset()
	q.write(f.note)
	return p.out.Image()
}

// box is that of all that is drawn, heights stretched.
func (f *frame) box() r3.Box {
	b := f.solid.box
	if f.pocket != nil {
		b.Min.Z, b.Max.Z = b.Min.Z+f.lift, b.Max.Z+f.lift
		b = r3.Box{Min: least(b.Min, f.pocket.box.Min), Max: r3.Scale(-1, least(r3.Scale(-1, b.Max), r3.Scale(-1, f.pocket.box.Max)))}
	}
	b.Max.Z = b.Min.Z + (b.Max.Z-b.Min.Z)*f.stretch
	return b
}

// margins are what is kept free of the pane at the right, for a legend, and at
// the bottom, for a section, in logical pixels.
func (f *frame) margins() (right, low float64) {
	if f.field != nil && !f.stripes.On {
		right = legendRoom * f.words
	}
	if f.cut != nil {
		low = insetTall * f.words
	}
	return right, low
}

// fitted is the camera that shows the box beside the margins of a picture of w by
// h logical pixels. Where the legend stands clear above the box it needs none.
func (f *frame) fitted(box r3.Box, w, h float64) camera {
	right, low := f.margins()
	try := func(right float64) (c camera, top float64) {
		c = f.cam.fitted(box, (w-right)/max(h-low, 1))
		c.span *= h / max(h-low, 1)
		c = c.panned(-right/2, -low/2, h)
		v := c.view(w, h)
		top = h
		for _, p := range box.Vertices() {
			_, y, _ := v.project(p)
			top = min(top, y)
		}
		return c, top
	}
	c, top := try(0)
	if right > 0 && top < (legendTall+70)*f.words {
		c, _ = try(right)
	}
	return c
}

func least(a, b r3.Vec) r3.Vec {
	return r3.Vec{X: min(a.X, b.X), Y: min(a.Y, b.Y), Z: min(a.Z, b.Z)}
}

// lifted is where a point of the pane is drawn.
func (p *picture) lifted(at r3.Vec) r3.Vec {
	if p.frame.pocket != nil {
		at.Z += p.lift
	}
	return p.stretched(at)
}

// stretched is at with its height over the level multiplied.
func (p *picture) stretched(at r3.Vec) r3.Vec {
	at.Z = p.level + (at.Z-p.level)*p.stretch
	return at
}

// lightFrom is where the light comes from in the picture: right, up, towards the
// eye; between lies half-way to the eye.
var (
	lightFrom = r3.Unit(r3.Vec{X: -0.45, Y: 0.55, Z: 0.7})
	between   = r3.Unit(r3.Add(lightFrom, r3.Vec{Z: 1}))
)

// shade is the lightness of a surface with a unit normal n, in picture axes.
func shade(n r3.Vec) float64 {
	if n.Z < 0 {
		n = r3.Scale(-1, n)
	}
	gloss := max(r3.Dot(n, between), 0)
	for range 5 { // to the 32nd
		gloss *= gloss
	}
	return 0.42 + 0.62*max(r3.Dot(n, lightFrom), 0) + 0.35*gloss
}

// corners puts the corners of a body into the picture.
func (p *picture) corners(b *body, place func(r3.Vec) r3.Vec) []paint.Vertex {
	if cap(p.corner) < len(b.at) {
		p.corner = make([]paint.Vertex, len(b.at))
	}
	c := p.corner[:len(b.at)]
	right, up, back := p.cam.axes()
	for i, at := range b.at {
		x, y, z := p.v.project(place(at))
		n := b.normal[i]
		if p.stretch != 1 {
			n.Z /= p.stretch
			n = r3.Unit(n)
		}
		c[i] = paint.Vertex{X: x, Y: y, Z: z, L: shade(r3.Vec{X: r3.Dot(n, right), Y: r3.Dot(n, up), Z: r3.Dot(n, back)})}
	}
	return c
}

// facing says whether a triangle is turned to the eye: then it runs clockwise in
// the picture, y being down.
func facing(a, b, c *paint.Vertex) bool {
	return (b.X-a.X)*(c.Y-a.Y)-(b.Y-a.Y)*(c.X-a.X) < 0
}

// pane paints the pane.
func (p *picture) pane() {
	s := p.solid
	c := p.corners(s.body, p.lifted)
	drape := p.cover(c)
	kinds := []struct {
		part part
		col  color.NRGBA
	}{{upperFace, p.col.Glass}, {lowerFace, p.col.GlassUnder}, {edgeBand, p.col.GlassEdge}}
	for _, kind := range kinds { // by colour, so that each is mixed once
		col := p.pale(kind.col)
		for i, t := range s.tri {
			a, b, d := &c[t[0]], &c[t[1]], &c[t[2]]
			switch {
			case s.part[i] != kind.part || !facing(a, b, d):
			case drape != nil && kind.part != edgeBand:
				p.scene.Draped(*a, *b, *d, drape)
			default:
				p.scene.Triangle(*a, *b, *d, col)
			}
		}
	}
}

// cover prepares the drape of the faces, where there is one, and the places of
// the corners on it.
func (p *picture) cover(c []paint.Vertex) *paint.Drape {
	var f *face
	least := 0.72 // lightness of what is coloured by a map: its colours are to be read
	switch {
	case p.stripes.On && p.face != nil:
		f, least = p.face, 0.45
		p.values = p.stripes.lay(&p.drape, f, &p.normal, p.cam, p.stretch, p.values, p.col)
	case p.field != nil && p.field.values != nil:
		scale := p.field.scale(p.col)
		p.drape.Lay(p.field.values, p.field.lat.NX, p.field.lat.NY, p.field.low, p.field.high, false)
		p.drape.Colour(func(t float64) color.NRGBA { return p.pale(scale.At(t)) })
		if p.col.Sharp {
			least = 1
		}
	default:
		return nil
	}
	lat := p.solidLattice(f)
	for i, at := range p.solid.plan {
		c[i].U, c[i].V = (at.X-lat.Min.X)/lat.Step, (at.Y-lat.Min.Y)/lat.Step
		c[i].L = least + (1-least)*min(c[i].L, 1)
	}
	return &p.drape
}

// pale is a colour made paler while what is shown is out of date.
func (p *picture) pale(c color.NRGBA) color.NRGBA {
	if !p.stale {
		return c
	}
	return paint.Mix(c, paint.Mix(p.col.SkyTop, p.col.SkyBottom, 0.5), 0.5)
}

// bias is how far in front of a face a line on it is drawn, mm: more than the
// sag of the mesh's triangles.
const bias = 1.5

// faint is the opacity of lines behind what hides them.
const faint = 0.22

// line paints a line through points of the pane; hidden parts are faint.
func (p *picture) line(pts []r3.Vec, width float64, col color.NRGBA) {
	behind := paint.Fade(col, faint)
	var a paint.Vertex
	for i, at := range pts {
		var b paint.Vertex
		b.X, b.Y, b.Z = p.v.project(p.lifted(at))
		if i > 0 {
			p.scene.Line(a, b, width*p.k, bias, col, behind)
		}
		a = b
	}
}

// dashed is line with a pattern of lengths in pixels, drawn and left out by turns.
func (p *picture) dashed(pts []r3.Vec, width float64, col color.NRGBA, dash []float64) {
	at, run := 0, dash[0]
	for i := range len(pts) - 1 {
		a, b := pts[i], pts[i+1]
		dx, dy := p.v.lengthOf(r3.Sub(p.lifted(b), p.lifted(a)))
		length := math.Hypot(dx, dy)
		for done := 0.0; done < length; {
			step := min(run, length-done)
			if at%2 == 0 {
				p.line([]r3.Vec{along(a, b, done/length), along(a, b, (done+step)/length)}, width, col)
			}
			done += step
			if run -= step; run <= 1e-9 {
				at = (at + 1) % len(dash)
				run = max(dash[at], 0.5)
			}
		}
	}
}

func along(a, b r3.Vec, f float64) r3.Vec { return r3.Add(a, r3.Scale(f, r3.Sub(b, a))) }

// lines paints the pane's edge, its centre line, the lines of the map and the
// section.
func (p *picture) lines() {
	for _, e := range p.solid.edges {
		p.line(e, 0.65*p.col.Line, p.pale(p.col.Outline))
	}
	if p.mirror && len(p.solid.centre) > 1 {
		p.dashed(p.solid.centre, p.col.Thin, p.pale(p.col.Centre), paint.CentreDash(1.2*p.k))
	}
	if p.field != nil && !p.stripes.On {
		p.contours()
	}
	if p.cut != nil {
		p.line(p.cut.round, p.col.Line, p.col.Selected)
	}
}
