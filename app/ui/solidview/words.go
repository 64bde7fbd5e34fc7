package solidview

import (
	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/ui/look"
	"panewright/app/ui/paint"
)

// names writes L, R and TOP beside the pane's edge, the lines' values and the
// tiles' names.
func (p *picture) names(away float64) {
	face := p.face13()
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
		p.nameAt(face, l.text, r3.Add(p.lifted(p.solid.sides[i]), l.off))
	}
	if p.frame.pocket != nil {
		for _, n := range p.frame.pocket.names {
			p.nameAt(face, n.text, p.stretched(n.at))
		}
	}
	if p.field != nil && !p.stripes.On {
		p.fieldNames()
	}
}

// nameAt writes a text over a point unless the point is hidden, or another text
// stands there; it says whether it did.
func (p *picture) nameAt(face *paint.Face, text string, at r3.Vec) bool {
	x, y, z := p.v.project(at)
	half := r2.Vec{X: face.Width(text)/2 + 3*p.k, Y: face.Cap()/2 + 3*p.k}
	c := r2.Vec{X: x, Y: y}
	box := r2.Box{Min: r2.Sub(c, half), Max: r2.Add(c, half)}
	if box.Min.X < 0 || box.Min.Y < 0 || box.Max.X > float64(p.w) || box.Max.Y > float64(p.h) {
		return false
	}
	if p.scene.Hidden(paint.Vertex{X: x, Y: y, Z: z - 2*bias}) {
		return false
	}
	for _, b := range p.placed {
		if b.Min.X < box.Max.X && box.Min.X < b.Max.X && b.Min.Y < box.Max.Y && box.Min.Y < b.Max.Y {
			return false
		}
	}
	p.placed = append(p.placed, box)
	p.haloed(face, text, c)
	return true
}

// haloed writes a text in the middle of at, kept clear of what lies behind it.
func (p *picture) haloed(face *paint.Face, s string, at r2.Vec) {
	middle, clear := r2.Vec{X: 0.5, Y: 0.5}, paint.Fade(p.col.LabelBack, 0.75)
	for _, d := range []r2.Vec{{X: -1}, {X: 1}, {Y: -1}, {Y: 1}} {
		p.out.Text(face, s, r2.Add(at, r2.Scale(1.4*p.k, d)), middle, clear)
	}
	p.out.Text(face, s, at, middle, p.col.Label)
}

func (p *picture) face13() *paint.Face { return p.sized(look.Body) }
func (p *picture) face11() *paint.Face { return p.sized(look.Small) }

// sized is the font at a size in logical pixels, nil without one.
func (p *picture) sized(size float64) *paint.Face {
	if p.font == nil {
		return nil
	}
	face, err := p.font.Face(size * p.k * p.words)
	if err != nil {
		return nil
	}
	return face
}

// write writes a line at the lower right; without a solid at the lower left.
func (p *picture) write(s string) {
	face := p.face11()
	if face == nil || s == "" {
		return
	}
	at, anchor := r2.Vec{X: 10 * p.k, Y: float64(p.h) - 10*p.k}, r2.Vec{Y: 1}
	if p.solid != nil {
		at.X, anchor.X = float64(p.w)-at.X, 1
	}
	p.out.Text(face, s, at, anchor, p.col.GridLabel)
}
