package solidview

import (
	"image/color"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/ui/look"
	"panewright/app/ui/paint"
	"panewright/geom"
)

// scale is a field's colours.
func (d *field) scale(col look.Colours) *look.Ramp {
	s := look.Rising()
	if d.kind.signed() {
		s = col.Signed()
	}
	if !col.Sharp {
		return s
	}
	var b look.Ramp // one colour between each level and the next
	for i := range b {
		band := 0
		for _, l := range d.levels {
			if d.share(l.value) <= (float64(i)+0.5)/float64(len(b)) {
				band++
			}
		}
		b[i] = s.At(float64(band) / float64(max(len(d.levels), 1)))
	}
	return &b
}

// share is how far up the scale a value stands.
func (d *field) share(v float64) float64 { return (v - d.low) / (d.high - d.low) }

// solidLattice is the lattice that the drape's values stand on.
func (p *picture) solidLattice(f *face) *geom.Lattice {
	if f != nil {
		return f.lat
	}
	return p.field.lat
}

// ink is the colour of lines over a field: black or white, whichever stands out
// there.
func (d *field) ink(v float64, scale *look.Ramp) color.NRGBA {
	c := scale.At(d.share(v))
	if 0.3*float64(c.R)+0.6*float64(c.G)+0.1*float64(c.B) > 110 {
		return color.NRGBA{A: 255}
	}
	return color.NRGBA{255, 255, 255, 255}
}

// contours paints the lines of the field's levels.
func (p *picture) contours() {
	scale := p.field.scale(p.col)
	width, strength := 1.0, 0.55
	if p.col.Sharp {
		width, strength = 2, 1
	}
	none := color.NRGBA{}
	for i := range p.field.levels {
		l := &p.field.levels[i]
		col := paint.Fade(p.field.ink(l.value, scale), strength)
		w := width
		if l.value == 0 {
			w *= 1.8
		}
		for _, s := range l.lines {
			var a, b paint.Vertex
			a.X, a.Y, a.Z = p.v.project(p.lifted(s[0]))
			b.X, b.Y, b.Z = p.v.project(p.lifted(s[1]))
			p.scene.Line(a, b, w*p.k, bias, col, none)
		}
	}
}

// fieldNames writes the levels' values on the face, or draws the readings' misses.
func (p *picture) fieldNames() {
	face := p.face11()
	for i := range p.field.levels {
		l := &p.field.levels[i]
		for _, at := range l.names {
			if p.nameAt(face, l.text, p.lifted(at)) {
				break
			}
		}
	}
	if p.field.kind == Misses {
		p.misses()
	}
}

// misses draws the readings: a triangle up for a miss outside or above, one down
// for one inside or below, larger with the miss, in the scale's colour; a cross
// where the reading was not used.
func (p *picture) misses() {
	scale := p.field.scale(p.col)
	edge := paint.Stroke{Width: 0.8 * p.k, Color: p.col.Outline}
	for _, m := range p.field.marks {
		x, y, z := p.v.project(p.lifted(m.at))
		if p.scene.Hidden(paint.Vertex{X: x, Y: y, Z: z - 4*bias}) {
			continue
		}
		at := r2.Vec{X: x, Y: y}
		if !m.used {
			p.out.Saltire(at, 4*p.k, paint.Stroke{Width: 1.5 * p.k, Color: p.col.Suspect})
			continue
		}
		r := (2 + 5*min(math.Abs(m.miss)/p.field.high, 1)) * p.k
		p.arrow(at, r, m.miss < 0, scale.At(p.field.share(m.miss)), edge)
	}
}

// arrow draws a triangle that points up or down.
func (p *picture) arrow(at r2.Vec, r float64, down bool, fill color.NRGBA, edge paint.Stroke) {
	s := -r
	if down {
		s = r
	}
	loop := []r2.Vec{{X: at.X, Y: at.Y + s}, {X: at.X - 0.87*r, Y: at.Y - s/2}, {X: at.X + 0.87*r, Y: at.Y - s/2}}
	p.out.Fill(fill, loop)
	p.out.Polyline(loop, true, edge)
}

// Sizes of the legend, in logical pixels.
const (
	legendWide = 14.0
	legendTall = 190.0
	legendPad  = 9.0
	legendRoom = 120.0 // that is kept free for it
)

// legend draws the field's scale with its levels at the upper right.
func (p *picture) legend() {
	face := p.face11()
	if p.field == nil || p.stripes.On || face == nil {
		return
	}
	k, d := p.k*p.words, p.field
	wide := 0.0
	for _, l := range d.levels {
		wide = max(wide, face.Width(l.text))
	}
	tall := min(legendTall*k, float64(p.h)-4*legendPad*k-2*face.Height())
	title := twoLines(p.heading)
	across := max(legendWide*k+8*k+wide, face.Width(title[0]), face.Width(title[1]))
	x1 := float64(p.w) - legendPad*k
	x0, y0 := x1-across-2*legendPad*k, legendPad*k
	p.plate(r2.Box{Min: r2.Vec{X: x0, Y: y0}, Max: r2.Vec{X: x1, Y: y0 + tall + 3*legendPad*k + 2*face.Height()}})
	x0 += legendPad * k
	for i, line := range title {
		p.out.Text(face, line, r2.Vec{X: x0, Y: y0 + legendPad*k + float64(i)*face.Height()}, r2.Vec{}, p.col.Label)
	}
	top := y0 + 2*legendPad*k + 2*face.Height()
	scale := d.scale(p.col)
	left, right := int(x0), int(x0+legendWide*k)
	for y := range int(tall) {
		p.out.Rect(left, int(top)+y, right, int(top)+y+1, scale.At(1-(float64(y)+0.5)/tall))
	}
	last := math.Inf(1)
	for _, l := range d.levels {
		y := top + tall*(1-d.share(l.value))
		if math.Abs(last-y) < face.Cap()+3*k || y < top-1 || y > top+tall+1 {
			continue
		}
		last = y
		p.out.HLine(left, right+int(3*k), int(y), p.col.Label)
		p.out.Text(face, l.text, r2.Vec{X: float64(right) + 7*k, Y: y}, r2.Vec{Y: 0.5}, p.col.Label)
	}
}

// twoLines parts a text where its halves are most alike.
func twoLines(s string) (lines [2]string) {
	best := -1
	for i, r := range s {
		if r == ' ' && (best < 0 || abs(2*i-len(s)) < abs(2*best-len(s))) {
			best = i
		}
	}
	if best < 0 {
		return [2]string{s}
	}
	return [2]string{s[:best], s[best+1:]}
}

func abs(i int) int { return max(i, -i) }

// plate is the ground under what is written over the picture.
func (p *picture) plate(b r2.Box) {
	x0, y0, x1, y1 := int(b.Min.X), int(b.Min.Y), int(b.Max.X), int(b.Max.Y)
	back := p.col.LabelBack
	back.A = 255
	p.out.Rect(x0, y0, x1, y1, back)
	p.out.HLine(x0, x1, y0, p.col.LabelFrame)
	p.out.HLine(x0, x1, y1-1, p.col.LabelFrame)
	p.out.VLine(x0, y0, y1, p.col.LabelFrame)
	p.out.VLine(x1-1, y0, y1, p.col.LabelFrame)
}

// shown is where a point of the pane is shown, pixels.
func (p *picture) shown(at r3.Vec) r2.Vec {
	x, y, _ := p.v.project(p.lifted(at))
	return r2.Vec{X: x, Y: y}
}
