package handover

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
	"panewright/export/pdf"
	"panewright/geom"
)

// paperShape is the pane in plan, glass frame, ready to be drawn.
type paperShape struct {
	edge     []pdf.Piece // of the silhouette, or of one half of it
	outline  *geom.Curve
	box      r2.Box // of what is drawn
	centre   bool   // there is a centre line
	cut      bool   // one half: the centre line is an edge to cut along
	stations []paperStation
	marks    []place
}

// paperStation is a station with the way out of the outline there.
type paperStation struct {
	place
	out r2.Vec
}

// whole is the whole pane.
func (p *pack) whole() *paperShape {
	c := p.m.Pane.Outline
	w := &paperShape{edge: pdf.Closed(c), outline: c, box: c.Bounds(), centre: p.m.Mirror != board.MirrorNone, marks: p.markPlaces()}
	for _, s := range p.stations(false) {
		u, _ := c.Nearest(s.at)
		w.stations = append(w.stations, paperStation{s, c.Normal(u)})
	}
	return w
}

// half is the measured half of a pane with a centre line, the right one where
// both were measured; nil where there is none.
func (p *pack) half() *paperShape {
	if p.m.Mirror == board.MirrorNone {
		return nil
	}
	w := p.whole()
	from, to, ok := halves(w.outline, p.m.Mirror == board.MirrorLeft)
	if !ok {
		return nil
	}
	w.edge, w.cut = pdf.Between(w.outline, from, to), true
	side := 1.0
	if p.m.Mirror == board.MirrorLeft {
		side = -1
		w.box.Max.X = 0
	} else {
		w.box.Min.X = 0
	}
	const past = 0.5 // mm: a station on the line belongs to both halves
	w.stations = slices.DeleteFunc(w.stations, func(s paperStation) bool { return s.at.X*side < -past })
	w.marks = slices.DeleteFunc(w.marks, func(m place) bool { return m.at.X*side < -past })
	return w
}

// halves is the part of an outline, counter-clockwise, that lies left or right
// of x = 0; ok is false where it does not cross that line twice.
func halves(c *geom.Curve, left bool) (from, to float64, ok bool) {
	const steps = 2000
	lo, hi := c.Period()
	at := func(i int) float64 { return lo + (hi-lo)*float64(i)/steps }
	x := func(u float64) float64 { return c.At(u).X }
	var up, down []float64 // where x rises, and falls, through nought
	for i := range steps {
		a, b := at(i), at(i+1)
		xa, xb := x(a), x(b)
		if (xa < 0) == (xb < 0) {
			continue
		}
		rises := xa < 0
		for range 60 {
			mid := (a + b) / 2
			if (x(mid) < 0) == rises {
				a = mid
			} else {
				b = mid
			}
		}
		if rises {
			up = append(up, (a+b)/2)
		} else {
			down = append(down, (a+b)/2)
		}
	}
	if len(up) != 1 || len(down) != 1 {
		return 0, 0, false
	}
	from, to = up[0], down[0]
	if left {
		from, to = to, from
	}
	if to < from {
		to += hi - lo
	}
	return from, to, true
}

// markPlaces are the marks that the person noted, in plan.
func (p *pack) markPlaces() (out []place) {
	for _, m := range measured(p.m, board.Mark) {
		out = append(out, place{m.id, r2.Vec{X: m.at.X, Y: m.at.Y}})
	}
	return out
}

// draw draws the shape at true size: edge, centre line, stations with ticks
// across the edge, marks. Names that would be cut off are left to the sheet that
// shows them whole.
func (s *paperShape) draw(a *pdf.Area) {
	a.Curve(pdf.Pen{Width: 0.3}, s.edge)
	if s.centre {
		pen := centrePen
		if s.cut {
			pen.Width = 0.3
		}
		low, high := s.axis()
		a.Line(pen, r2.Vec{Y: low}, r2.Vec{Y: high})
	}
	names := newNames(a)
	for _, st := range s.stations {
		n := st.out
		a.Line(pdf.Pen{Width: 0.15, Colour: ink}, r2.Sub(st.at, r2.Scale(5, n)), r2.Add(st.at, r2.Scale(5, n)))
		names.put(pdf.Letters{Size: 3, Colour: ink}, st.at, n, 6, st.id)
		names.put(pdf.Letters{Size: 3, Colour: ink}, st.at, r2.Scale(-1, n), 6, st.id)
	}
	for _, m := range s.marks {
		a.Cross(pdf.Pen{Width: 0.2, Colour: faceGreen}, m.at, 3)
		names.put(pdf.Letters{Size: 2.6, Colour: faceGreen}, m.at, r2.Vec{X: 1}, 4, m.id)
	}
}

// axis is where the centre line begins and ends: a little beyond the pane, or, of
// a half to cut out, on its edge.
func (s *paperShape) axis() (low, high float64) {
	if s.cut && len(s.edge) > 0 {
		a, b := s.edge[0][0].Y, s.edge[len(s.edge)-1][3].Y
		return math.Min(a, b), math.Max(a, b)
	}
	return s.box.Min.Y - 8, s.box.Max.Y + 8
}

// names puts names beside places where they are seen whole and do not lie on one
// another.
type names struct {
	a     *pdf.Area
	taken []r2.Box
}

func newNames(a *pdf.Area) *names { return &names{a: a} }

// put writes a name some mm of paper from a place of the drawing in a direction,
// or a little farther out; where there is no room, not at all.
func (n *names) put(l pdf.Letters, at, dir r2.Vec, off float64, s string) {
	for k := range 3 {
		if n.try(l, at, dir, off+1.2*l.Size*float64(k), s) {
			return
		}
	}
}

// over writes a name on a line, which is blanked behind it, if there is room.
func (n *names) over(l pdf.Letters, at r2.Vec, s string) {
	v := n.a.View()
	on := v.On(at)
	at = v.Back(r2.Vec{X: on.X, Y: on.Y - 0.36*l.Size})
	b := n.a.TextBox(l, at, pdf.Middle, s)
	if n.hit(b) {
		return
	}
	n.taken = append(n.taken, b)
	white := pdf.Colour{R: 255, G: 255, B: 255}
	n.a.Fill(white, v.Back(b.Min), v.Back(r2.Vec{X: b.Max.X, Y: b.Min.Y}), v.Back(b.Max), v.Back(r2.Vec{X: b.Min.X, Y: b.Max.Y}))
	n.a.Text(l, at, pdf.Middle, 0, s)
}

// try writes a name and says whether there was room.
func (n *names) try(l pdf.Letters, at, dir r2.Vec, off float64, s string) bool {
	v := n.a.View()
	on, toward := v.On(at), r2.Sub(v.On(r2.Add(at, dir)), v.On(at))
	if d := r2.Norm(toward); d > 0 {
		toward = r2.Scale(1/d, toward)
	}
	on = r2.Add(on, r2.Scale(off, toward))
	on = r2.Add(on, r2.Vec{X: 0.5 * l.Size * toward.X, Y: (0.5*toward.Y - 0.36) * l.Size})
	align := pdf.Middle
	switch {
	case toward.X > 0.4:
		align = pdf.Left
	case toward.X < -0.4:
		align = pdf.Right
	}
	where := v.Back(on)
	b := n.a.TextBox(l, where, align, s)
	if !n.a.Sees(b) || n.hit(b) {
		return false
	}
	n.taken = append(n.taken, b)
	n.a.Text(l, where, align, 0, s)
	return true
}

func (n *names) hit(b r2.Box) bool {
	for _, t := range n.taken {
		if b.Min.X < t.Max.X && t.Min.X < b.Max.X && b.Min.Y < t.Max.Y && t.Min.Y < b.Max.Y {
			return true
		}
	}
	return false
}
