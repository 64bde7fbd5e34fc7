package lint

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// edges checks that edges begin and end at their vertices.
func (c *checker) edges() {
	for _, e := range c.of("EDGE_CURVE") {
		from, to := c.to(e.arg(3)).ends()
		for i, p := range []r3.Vec{from, to} {
			v := c.vec(c.to(c.to(e.arg(i + 1)).arg(1)))
			d := r3.Norm(r3.Sub(p, v)) * c.mm
			c.report.VertexOff = max(c.report.VertexOff, d)
			if !(d <= c.report.Uncertainty) {
				c.fault(e.line, RuleVertex, "#%d ends %.4f mm off its vertex", e.id, d)
			}
		}
	}
}

// shells checks every face by itself, that closed shells are closed, and that
// no face, loop or edge use is shared.
func (c *checker) shells() {
	uses := map[*instance]int{} // of what may be used once
	once := func(e *instance) {
		if uses[e]++; uses[e] > 1 {
			c.fault(e.line, RuleShell, "#%d is used twice", e.id)
		}
	}
	for _, keyword := range []string{"CLOSED_SHELL", "OPEN_SHELL"} {
		for _, shell := range c.of(keyword) {
			ways := map[*instance][2]int{}
			for _, f := range c.each(shell.arg(1)) {
				once(f)
				for _, bound := range c.each(f.arg(1)) {
					once(bound)
					once(c.to(bound.arg(1)))
					for _, s := range c.loop(bound) {
						once(s.oriented)
						n := ways[s.edge]
						if s.forward {
							n[0]++
						} else {
							n[1]++
						}
						ways[s.edge] = n
					}
				}
			}
			c.closed(shell, ways)
		}
	}
}

// closed checks that each edge of a closed shell is used once each way, and
// each of an open one once.
func (c *checker) closed(shell *instance, ways map[*instance][2]int) {
	for _, e := range c.of("EDGE_CURVE") {
		n, here := ways[e]
		switch {
		case !here:
		case shell.is("CLOSED_SHELL") && n != [2]int{1, 1}:
			c.fault(e.line, RuleShell, "#%d is used %d times forwards and %d times backwards in shell #%d", e.id, n[0], n[1], shell.id)
		case shell.is("OPEN_SHELL") && n[0]+n[1] != 1:
			c.fault(e.line, RuleShell, "#%d is used %d times in shell #%d", e.id, n[0]+n[1], shell.id)
		}
	}
}

// side is an edge as a loop runs along it.
type side struct {
	oriented, edge *instance
	forward        bool
}

// vertices returns where a side begins and ends.
func (c *checker) vertices(s side) (from, to *instance) {
	from, to = c.to(s.edge.arg(1)), c.to(s.edge.arg(2))
	if !s.forward {
		from, to = to, from
	}
	return from, to
}

// loop returns the sides of a bound in the order that it runs, and checks that
// they follow one another.
func (c *checker) loop(bound *instance) []side {
	var sides []side
	for _, o := range c.each(c.to(bound.arg(1)).arg(1)) {
		sides = append(sides, side{o, c.to(o.arg(3)), o.arg(4).text == "T"})
	}
	if bound.arg(2).text == "F" {
		for i, j := 0, len(sides)-1; i <= j; i, j = i+1, j-1 {
			sides[i], sides[j] = sides[j], sides[i]
			sides[i].forward = !sides[i].forward
			if i < j {
				sides[j].forward = !sides[j].forward
			}
		}
	}
	for i, s := range sides {
		_, end := c.vertices(s)
		begin, _ := c.vertices(sides[(i+1)%len(sides)])
		if end != begin {
			c.fault(s.oriented.line, RuleLoop, "#%d ends where the next edge does not begin", s.oriented.id)
		}
	}
	return sides
}

// measured is what integrals over a face give, in the file's unit.
type measured struct{ plane, area, volume float64 }

// face checks that the edges of a face lie on it and that they run round its
// material, and returns its area and its part of the volume, positive where
// it looks away from the origin.
//
// The integrals are turned into ones round the loop, in the plane of the
// parameters: with G the integral of g along u, ∬ g du dv = ∮ G dv.
func (c *checker) face(f *instance) measured {
	s := c.to(f.arg(2)).surface
	front := f.arg(3).text == "T"
	sign := 1.
	if len(s.u) > len(s.v) { // integrate along the fewer spans
		s, sign = s.turned(), -1
	}
	var sum measured
	for i, bound := range c.each(f.arg(1)) {
		var one measured
		off := 0.
		for _, side := range c.loop(bound) {
			off = max(off, c.along(s, side, &one))
		}
		off *= c.mm
		c.report.EdgeOff = max(c.report.EdgeOff, off)
		way := sign
		if front != (i == 0) { // a hole's loop runs against the outer one
			way = -way
		}
		switch {
		case !(off <= c.report.Uncertainty):
			c.fault(f.line, RuleOnFace, "an edge of face #%d lies %.4f mm off it", f.id, off)
		case !(way*one.plane > 0):
			c.fault(f.line, RuleOrientation, "a loop of face #%d runs the wrong way round", f.id)
		}
		sum = measured{sum.plane + one.plane, sum.area + one.area, sum.volume + one.volume}
	}
	sum.plane, sum.area = sign*sum.plane, math.Abs(sum.area)
	if front != (sum.plane > 0) {
		c.fault(f.line, RuleOrientation, "the holes of face #%d are larger than it is", f.id)
	}
	return sum
}

// around returns the sides of all loops of a face.
func (c *checker) around(f *instance) (sides []side) {
	for _, bound := range c.each(f.arg(1)) {
		sides = append(sides, c.loop(bound)...)
	}
	return sides
}

// along adds one side of a loop to the integrals, and returns how far it lies
// off the surface at most.
func (c *checker) along(s *surface, side side, sum *measured) (off float64) {
	edge := c.to(side.edge.arg(3)).curve
	at := s.start(edge.ctrl[0])
	way := 1.
	if !side.forward {
		way = -1
	}
	ends := edge.knots[edge.degree : len(edge.knots)-edge.degree]
	for i := range ends[1:] {
		for k, x := range gauss.x {
			t := ends[i] + (ends[i+1]-ends[i])*x
			p, d := edge.at(t)
			var far float64
			if at, far = s.nearest(p, at); far > c.report.Uncertainty/c.mm {
				at, far = s.nearest(p, s.start(p)) // unless that place was only the nearest about
			}
			_, du, dv := s.at(at.u, at.v)
			if step, ok := solve(du, dv, d); ok {
				w := way * gauss.w[k] * (ends[i+1] - ends[i]) * step.v
				sum.plane += w * (at.u - s.u[0])
				area, volume := s.below(at)
				sum.area += w * area
				sum.volume += w * volume
			} else {
				far = math.Inf(1)
			}
			if !(far <= off) {
				off = far
			}
		}
	}
	return off
}

// below returns the integrals along u up to a place of the surface's area and
// of the volume under it as seen from the origin.
func (s *surface) below(at place) (area, volume float64) {
	parts := 1
	if s.weight != nil {
		parts = 6 // a half circle in one span
	}
	for i := range s.u[1:] {
		a, b := s.u[i], min(s.u[i+1], at.u)
		if b <= a {
			continue
		}
		h := (b - a) / float64(parts)
		for k := range parts {
			for m, x := range gauss.x {
				p, pu, pv := s.at(a+h*(float64(k)+x), at.v)
				n := r3.Cross(pu, pv)
				area += gauss.w[m] * h * r3.Norm(n)
				volume += gauss.w[m] * h * r3.Dot(p, n) / 3
			}
		}
	}
	return area, volume
}

// gauss is the five-point rule of Gauss and Legendre on 0 … 1: Abramowitz and
// Stegun, Handbook of Mathematical Functions, table 25.4.
var gauss = func() (g struct{ x, w [5]float64 }) {
	x := [3]float64{0, 0.538469310105683091, 0.906179845938663993}
	w := [3]float64{0.568888888888888889, 0.478628670499366468, 0.236926885056189088}
	for i := range 3 {
		g.x[2+i], g.x[2-i] = (1+x[i])/2, (1-x[i])/2
		g.w[2+i], g.w[2-i] = w[i]/2, w[i]/2
	}
	return g
}()

// contents measures every solid and sheet and lists everything.
func (c *checker) contents() {
	r := c.report
	for _, e := range c.of("MANIFOLD_SOLID_BREP") {
		shell := c.to(e.arg(1))
		s := Solid{Name: e.arg(0).text}
		edges := 0
		for _, f := range c.each(shell.arg(1)) {
			m := c.face(f)
			s.Volume += m.volume * c.mm * c.mm * c.mm
			s.Area += m.area * c.mm * c.mm
			s.Faces++
			edges += len(c.around(f))
		}
		s.Edges = edges / 2
		if !(s.Volume > 0) {
			c.fault(shell.line, RuleOrientation, "the faces of shell #%d look into the solid: volume %g mm³", shell.id, s.Volume)
		}
		r.Solids = append(r.Solids, s)
	}
	for _, e := range c.of("SHELL_BASED_SURFACE_MODEL") {
		f := c.to(c.to(e.arg(1).items[0]).arg(1).items[0])
		m := c.face(f)
		r.Sheets = append(r.Sheets, Sheet{
			Name: e.arg(0).text, Area: m.area * c.mm * c.mm, Edges: len(c.around(f)),
		})
	}
	for _, set := range c.of("GEOMETRIC_CURVE_SET") {
		for _, e := range c.each(set.arg(1)) {
			c.wire(e)
		}
	}
	for _, e := range c.of("PRESENTATION_LAYER_ASSIGNMENT") {
		l := Layer{Name: e.arg(0).text}
		for _, item := range c.each(e.arg(2)) {
			l.Items = append(l.Items, item.name())
		}
		r.Layers = append(r.Layers, l)
	}
}

// wire lists a curve or point of a curve set.
func (c *checker) wire(e *instance) {
	name := e.name()
	if e.curve == nil {
		c.report.Points = append(c.report.Points, Point{name, r3.Scale(c.mm, c.vec(e))})
		return
	}
	s := Curve{Name: name, Degree: e.degree, Knots: e.curve.knots}
	for _, p := range e.curve.ctrl {
		s.Ctrl = append(s.Ctrl, r3.Scale(c.mm, p))
	}
	s.Closed = s.Ctrl[0] == s.Ctrl[len(s.Ctrl)-1]
	c.report.Curves = append(c.report.Curves, s)
}
