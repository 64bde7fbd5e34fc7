package lint

import "gonum.org/v1/gonum/spatial/r3"

// spline reads and checks a SPLINE: stated counts, end knots of multiplicity
// degree+1, inner knots single and rising, ends of a closed one together,
// heights of a planar one equal.
func (c *checker) spline(e *Entity, r *record) {
	if !c.r2000() {
		c.fault(r.line, RuleEntity, "SPLINE in R12")
	}
	c.markers(r, "AcDbEntity", "AcDbSpline")
	bits := c.bits(r, 1|8)
	e.Closed, e.Planar = bits&1 != 0, bits&8 != 0
	e.Degree = int(r.number(71))
	e.Knots = r.numbers(40)
	e.Ctrl = c.points(r, 10, 20, 30)
	n := len(e.Ctrl)
	if r.number(73) != float64(n) {
		c.fault(r.line, RuleCount, "SPLINE states %v control points and has %d", r.number(73), n)
	}
	if r.number(72) != float64(len(e.Knots)) {
		c.fault(r.line, RuleCount, "SPLINE states %v knots and has %d", r.number(72), len(e.Knots))
	}
	if r.number(74) != 0 || len(r.numbers(11)) != 0 {
		c.fault(r.line, RuleCount, "SPLINE with fit points")
	}
	if e.Degree < 1 || n <= e.Degree || len(e.Knots) != n+e.Degree+1 {
		c.fault(r.line, RuleCount, "SPLINE of degree %d with %d control points and %d knots", e.Degree, n, len(e.Knots))
		return
	}
	c.knots(e, r)
	if e.Closed && e.Ctrl[0] != e.Ctrl[n-1] {
		c.fault(r.line, RuleClosed, "closed SPLINE whose ends are apart")
	}
	for _, p := range e.Ctrl {
		if e.Planar && p.Z != e.Ctrl[0].Z {
			c.fault(r.line, RuleEntity, "planar SPLINE with heights")
			break
		}
	}
}

// knots checks order and multiplicity of a clamped knot vector.
func (c *checker) knots(e *Entity, r *record) {
	n := len(e.Ctrl)
	for i := 1; i < len(e.Knots); i++ {
		step := e.Knots[i] - e.Knots[i-1]
		switch end := i <= e.Degree || i > n; {
		case step < 0:
			c.fault(r.line, RuleKnots, "knot %d falls", i)
		case end && step != 0:
			c.fault(r.line, RuleKnots, "end knot %d is not one of %d equal ones", i, e.Degree+1)
		case !end && step == 0:
			c.fault(r.line, RuleKnots, "knot %d is repeated", i)
		}
	}
}

// At returns the point of a spline that passed the checks at parameter u,
// between the first and the last knot, by the recurrence of de Boor.
func (e Entity) At(u float64) r3.Vec {
	k := e.Degree
	for k+1 < len(e.Ctrl) && u >= e.Knots[k+1] {
		k++
	}
	p := append([]r3.Vec(nil), e.Ctrl[k-e.Degree:k+1]...)
	for level := 1; level <= e.Degree; level++ {
		for j := e.Degree; j >= level; j-- {
			i := k - e.Degree + j
			a := (u - e.Knots[i]) / (e.Knots[i+e.Degree+1-level] - e.Knots[i])
			p[j] = r3.Add(r3.Scale(1-a, p[j-1]), r3.Scale(a, p[j]))
		}
	}
	return p[e.Degree]
}

// Sample returns per points on each knot span of a spline, in order, and the
// end point of an open one.
func (e Entity) Sample(per int) []r3.Vec {
	var pts []r3.Vec
	for k := e.Degree; k < len(e.Ctrl); k++ {
		for i := range per {
			pts = append(pts, e.At(e.Knots[k]+(e.Knots[k+1]-e.Knots[k])*float64(i)/float64(per)))
		}
	}
	if !e.Closed {
		pts = append(pts, e.At(e.Knots[len(e.Ctrl)]))
	}
	return pts
}
