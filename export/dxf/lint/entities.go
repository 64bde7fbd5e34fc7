package lint

import (
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// entities reads the ENTITIES section.
func (c *checker) entities(s section) {
	for i := 0; i < len(s.records); {
		r := s.records[i]
		i++
		e := Entity{Type: r.name, Layer: r.text(8), Line: r.line, Handle: r.text(5)}
		if owner := c.ownedBy(r, "BLOCK_RECORD"); owner != nil && !strings.EqualFold(owner.text(2), "*Model_Space") {
			c.fault(r.line, RuleOwner, "%s is not in model space", r.name)
		}
		c.common(r)
		switch r.name {
		case "LINE":
			c.line(&e, r)
		case "CIRCLE":
			c.markers(r, "AcDbEntity", "AcDbCircle")
			e.Radius = c.positive(r, 40)
			e.Points = []r3.Vec{c.point(r, 10)}
		case "POINT":
			c.markers(r, "AcDbEntity", "AcDbPoint")
			e.Points = []r3.Vec{c.point(r, 10)}
		case "TEXT":
			c.text(&e, r)
		case "LWPOLYLINE":
			c.lightPolyline(&e, r)
		case "POLYLINE":
			i += c.polyline(&e, r, s.records[i:])
		case "SPLINE":
			c.spline(&e, r)
		default:
			c.fault(r.line, RuleEntity, "%s is not among the entities that such files hold", r.name)
			continue
		}
		c.inExtents(e)
		c.report.Entities = append(c.report.Entities, e)
	}
}

// common checks what all entities have.
func (c *checker) common(r *record) {
	if n := len(r.texts(8)); n != 1 {
		c.fault(r.line, RuleLayer, "%s has %d layers", r.name, n)
	} else if !c.hasLayer(r.text(8)) {
		c.fault(r.line, RuleLayer, "layer %q is not defined", r.text(8))
	}
	if len(r.texts(6)) > 0 {
		c.knownLinetype(r)
	}
}

// point reads x, y and z at code, code+10 and code+20.
func (c *checker) point(r *record, code int) r3.Vec {
	p := r3.Vec{X: r.number(code), Y: r.number(code + 10), Z: r.number(code + 20)}
	if math.IsNaN(p.X + p.Y + p.Z) {
		c.fault(r.line, RuleEntity, "%s lacks the point at code %d", r.name, code)
	}
	return p
}

// points reads a list of points, each a run of pairs with the codes in order:
// 10 and 20, or 10, 20 and 30.
func (c *checker) points(r *record, codes ...int) []r3.Vec {
	var pts []r3.Vec
	due := 0 // index of the code that must come next
	for _, t := range r.tags {
		i := slices.Index([]int{10, 20, 30}, t.code)
		if i != due && (i >= 0 || due > 0) || i >= len(codes) {
			c.fault(t.line, RuleCount, "%s: code %d where %d is due", r.name, t.code, codes[due])
			return nil
		}
		if i < 0 {
			continue
		}
		if i == 0 {
			pts = append(pts, r3.Vec{})
		}
		p := &pts[len(pts)-1]
		*[]*float64{&p.X, &p.Y, &p.Z}[i] = t.num
		due = (i + 1) % len(codes)
	}
	if due != 0 {
		c.fault(r.line, RuleCount, "%s: last point incomplete", r.name)
		return nil
	}
	return pts
}

// positive reads a number that must be above 0.
func (c *checker) positive(r *record, code int) float64 {
	v := r.number(code)
	if !(v > 0) {
		c.fault(r.line, RuleEntity, "%s: code %d is %v", r.name, code, v)
	}
	return v
}

func (c *checker) line(e *Entity, r *record) {
	c.markers(r, "AcDbEntity", "AcDbLine")
	e.Points = []r3.Vec{c.point(r, 10), c.point(r, 11)}
	if e.Points[0] == e.Points[1] {
		c.fault(r.line, RuleEntity, "LINE without length")
	}
}

func (c *checker) text(e *Entity, r *record) {
	c.markers(r, "AcDbEntity", "AcDbText", "AcDbText")
	e.Points = []r3.Vec{c.point(r, 10)}
	e.Height = c.positive(r, 40)
	raw := r.text(1)
	e.Text = decode(raw)
	if strings.TrimSpace(e.Text) == "" {
		c.fault(r.line, RuleEntity, "TEXT is empty")
	}
	for rest := raw; ; {
		_, after, found := strings.Cut(rest, `\U+`)
		if !found {
			break
		}
		if len(after) < 4 || strings.Trim(after[:4], "0123456789ABCDEF") != "" {
			c.fault(r.line, RuleEntity, "TEXT %q: escape is not four hexadecimal digits", raw)
		}
		rest = after
	}
}

// bits reads flags, of which only those allowed may be set.
func (c *checker) bits(r *record, allowed int) int {
	n := int(r.number(70))
	if len(r.numbers(70)) != 1 || n&^allowed != 0 || n < 0 {
		c.fault(r.line, RuleEntity, "%s: flags %v", r.name, r.numbers(70))
	}
	return n
}

func (c *checker) lightPolyline(e *Entity, r *record) {
	if !c.r2000() {
		c.fault(r.line, RuleEntity, "LWPOLYLINE in R12")
	}
	c.markers(r, "AcDbEntity", "AcDbPolyline")
	e.Closed = c.bits(r, 1) == 1
	e.Points = c.points(r, 10, 20)
	if n := r.number(90); n != float64(len(e.Points)) {
		c.fault(r.line, RuleCount, "LWPOLYLINE states %v vertices and has %d", n, len(e.Points))
	}
	if z := r.numbers(38); len(z) > 0 {
		for i := range e.Points {
			e.Points[i].Z = z[0]
		}
	}
	c.vertices(e, r)
}

// polyline joins the vertices that follow a POLYLINE to it and returns how many
// records they and the end mark take.
func (c *checker) polyline(e *Entity, r *record, rest []*record) int {
	bits := c.bits(r, 1|8)
	e.Closed, e.InSpace = bits&1 != 0, bits&8 != 0
	base := c.point(r, 10)
	if r.number(66) != 1 {
		c.fault(r.line, RuleEntity, "POLYLINE without the mark that vertices follow")
	}
	if c.r2000() && !e.InSpace {
		c.fault(r.line, RuleEntity, "plane POLYLINE in R2000, where it is a LWPOLYLINE")
	}
	c.markers(r, "AcDbEntity", "AcDb3dPolyline")
	n := 0
	for ; n < len(rest) && rest[n].name == "VERTEX"; n++ {
		v := rest[n]
		c.part(v, r)
		c.markers(v, "AcDbEntity", "AcDbVertex", "AcDb3dPolylineVertex")
		if inSpace := c.bits(v, 32) == 32; inSpace != e.InSpace {
			c.fault(v.line, RuleEntity, "VERTEX of another kind than its POLYLINE")
		}
		p := c.point(v, 10)
		if !e.InSpace && p.Z != base.Z {
			c.fault(v.line, RuleEntity, "VERTEX off the plane of its POLYLINE")
		}
		e.Points = append(e.Points, p)
	}
	c.vertices(e, r)
	if n == len(rest) || rest[n].name != "SEQEND" {
		c.fault(r.line, RuleEntity, "POLYLINE without SEQEND")
		return n
	}
	c.part(rest[n], r)
	c.markers(rest[n], "AcDbEntity")
	return n + 1
}

// part checks a vertex or end mark against the polyline it belongs to.
func (c *checker) part(v, head *record) {
	c.common(v)
	if v.text(8) != head.text(8) {
		c.fault(v.line, RuleLayer, "%s on another layer than its POLYLINE", v.name)
	}
	if c.r2000() && v.text(330) != head.text(5) {
		c.fault(v.line, RuleOwner, "%s is not owned by its POLYLINE", v.name)
	}
}

// vertices checks the points of a polyline.
func (c *checker) vertices(e *Entity, r *record) {
	n := len(e.Points)
	if n < 2 || e.Closed && n < 3 {
		c.fault(r.line, RuleCount, "%s of %d points", r.name, n)
		return
	}
	for i := 1; i < n; i++ {
		if e.Points[i] == e.Points[i-1] {
			c.fault(r.line, RuleEntity, "%s: points %d and %d coincide", r.name, i-1, i)
		}
	}
	if e.Points[0] == e.Points[n-1] {
		c.fault(r.line, RuleClosed, "%s repeats its first point", r.name)
	}
}

// inExtents holds an entity against $EXTMIN and $EXTMAX.
func (c *checker) inExtents(e Entity) {
	const slack = 2e-6 // a centre, a radius and a limit, each rounded to 6 decimals
	lo, hi := c.report.ExtMin, c.report.ExtMax
	in := func(v, lo, hi float64) bool { return v >= lo-slack && v <= hi+slack }
	for _, p := range slices.Concat(e.Ctrl, e.Points) {
		if !in(p.X-e.Radius, lo.X, hi.X) || !in(p.X+e.Radius, lo.X, hi.X) ||
			!in(p.Y-e.Radius, lo.Y, hi.Y) || !in(p.Y+e.Radius, lo.Y, hi.Y) || !in(p.Z, lo.Z, hi.Z) {
			c.fault(e.Line, RuleExtent, "%s reaches outside the stated extents", e.Type)
			return
		}
	}
}
