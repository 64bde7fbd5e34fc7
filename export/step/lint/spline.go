package lint

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// curve is a B-spline of degree 1 to 3 in the file's unit, from the first knot
// to the last. A line is one of degree 1.
type curve struct {
	degree int
	knots  []float64
	ctrl   []r3.Vec
	weight []float64 // nil: all alike
}

// surface is a B-spline surface, ctrl[i][j] with i along u.
type surface struct {
	du, dv int
	u, v   []float64
	ctrl   [][]r3.Vec
	weight [][]float64
}

// splines makes the curves and surfaces that entities stand for.
func (c *checker) splines() {
	for _, e := range c.all {
		var err error
		switch {
		case e.is("POLYLINE"):
			e.curve, err = c.polyline(e)
		case e.is("LINE"):
			e.curve, err = c.straight(e)
		case e.is("B_SPLINE_CURVE_WITH_KNOTS"):
			e.curve, err = c.spline(e)
		case e.is("B_SPLINE_SURFACE_WITH_KNOTS"):
			e.surface, err = c.patch(e)
		}
		if err != nil {
			c.fault(e.line, RuleSpline, "#%d: %v", e.id, err)
		}
	}
}

func (c *checker) vec(e *instance) r3.Vec {
	x := e.arg(1).items
	return r3.Vec{X: x[0].num, Y: x[1].num, Z: x[2].num}
}

func (c *checker) vecs(v value) []r3.Vec {
	pts := make([]r3.Vec, len(v.items))
	for i, e := range c.each(v) {
		pts[i] = c.vec(e)
	}
	return pts
}

func numbers(v value) []float64 {
	x := make([]float64, len(v.items))
	for i, item := range v.items {
		x[i] = item.num
	}
	return x
}

func (c *checker) polyline(e *instance) (*curve, error) {
	s := &curve{degree: 1, ctrl: c.vecs(e.arg(1))}
	if len(s.ctrl) < 2 {
		return nil, errors.New("a polyline of one point")
	}
	for i := range s.ctrl[1:] {
		if s.ctrl[i] == s.ctrl[i+1] {
			return nil, errors.New("a point stands twice")
		}
	}
	return s, nil
}

func (c *checker) straight(e *instance) (*curve, error) {
	const unit = 1e-9
	along := c.to(e.arg(2))
	d, size := c.vec(c.to(along.arg(1))), along.arg(2).num
	if math.Abs(r3.Norm(d)-1) > unit || !(size > 0) {
		return nil, fmt.Errorf("a direction of length %g, a line of %g", r3.Norm(d), size)
	}
	from := c.vec(c.to(e.arg(1)))
	return &curve{degree: 1, knots: []float64{0, 0, 1, 1}, ctrl: []r3.Vec{from, r3.Add(from, r3.Scale(size, d))}}, nil
}

// flatten returns the parameters of a spline as a simple entity has them.
func flatten(e *instance, shape, knots, rational string) (args []value, weights *value) {
	if !e.complex {
		return e.records[0].args[1:], nil
	}
	args = append(args, e.args(shape)...)
	args = append(args, e.args(knots)...)
	return args, &e.args(rational)[0]
}

func (c *checker) spline(e *instance) (*curve, error) {
	args, weights := flatten(e, "B_SPLINE_CURVE", "B_SPLINE_CURVE_WITH_KNOTS", "RATIONAL_B_SPLINE_CURVE")
	s := &curve{degree: args[0].id, ctrl: c.vecs(args[1])}
	var err error
	if s.knots, err = fullKnots(s.degree, len(s.ctrl), args[5], args[6]); err != nil {
		return nil, err
	}
	if weights != nil {
		if s.weight, err = positive(*weights, len(s.ctrl)); err != nil {
			return nil, err
		}
	}
	if closed := args[3].text == "T"; closed != (s.ctrl[0] == s.ctrl[len(s.ctrl)-1]) {
		return nil, errors.New("closed is not what the end points say")
	}
	return s, nil
}

func (c *checker) patch(e *instance) (*surface, error) {
	args, weights := flatten(e, "B_SPLINE_SURFACE", "B_SPLINE_SURFACE_WITH_KNOTS", "RATIONAL_B_SPLINE_SURFACE")
	s := &surface{du: args[0].id, dv: args[1].id}
	rows := args[2].items
	for _, row := range rows {
		s.ctrl = append(s.ctrl, c.vecs(row))
		if len(row.items) != len(rows[0].items) {
			return nil, errors.New("rows of different length")
		}
	}
	var err error
	if s.u, err = fullKnots(s.du, len(rows), args[7], args[9]); err != nil {
		return nil, fmt.Errorf("along u: %w", err)
	}
	if s.v, err = fullKnots(s.dv, len(rows[0].items), args[8], args[10]); err != nil {
		return nil, fmt.Errorf("along v: %w", err)
	}
	if weights == nil {
		return s, nil
	}
	if len(weights.items) != len(rows) {
		return nil, errors.New("weights for another number of rows")
	}
	for _, row := range weights.items {
		w, err := positive(row, len(rows[0].items))
		if err != nil {
			return nil, err
		}
		s.weight = append(s.weight, w)
	}
	return s, nil
}

// positive returns weights.
func positive(v value, n int) ([]float64, error) {
	w := numbers(v)
	if len(w) != n {
		return nil, fmt.Errorf("%d weights for %d points", len(w), n)
	}
	for _, x := range w {
		if !(x > 1e-6) {
			return nil, fmt.Errorf("a weight of %g", x)
		}
	}
	return w, nil
}

// fullKnots returns the knots of a spline of n control points, each as often
// as its multiplicity says: clamped at both ends, single and rising between.
func fullKnots(degree, n int, mults, distinct value) ([]float64, error) {
	if degree < 1 || degree > 3 {
		return nil, fmt.Errorf("degree %d", degree)
	}
	m, u := mults.items, numbers(distinct)
	if len(m) != len(u) || len(u) < 2 {
		return nil, fmt.Errorf("%d multiplicities for %d knots", len(m), len(u))
	}
	var full []float64
	for i, x := range u {
		want := 1
		if i == 0 || i == len(u)-1 {
			want = degree + 1
		}
		if m[i].id != want {
			return nil, fmt.Errorf("knot %d stands %d times, want %d", i, m[i].id, want)
		}
		if i > 0 && !(x > u[i-1]) {
			return nil, fmt.Errorf("knots do not rise at %d: %g after %g", i, x, u[i-1])
		}
		for range want {
			full = append(full, x)
		}
	}
	if len(full) != n+degree+1 {
		return nil, fmt.Errorf("%d knots in all for %d control points of degree %d", len(full), n, degree)
	}
	return full, nil
}

// acting returns the B-splines of a degree that act at x on clamped knots and
// their derivatives; the first belongs to the control point first.
//
// Source: the recurrence of Cox and de Boor, from the lower degrees up.
func acting(knots []float64, degree int, x float64) (first int, b, db [4]float64) {
	last := len(knots) - degree - 2
	span := degree
	for span < last && x >= knots[span+1] {
		span++
	}
	var lower [4]float64
	b[0] = 1
	for k := 1; k <= degree; k++ {
		if lower = b; k == degree {
			for j := range degree { // each lower one feeds two derivatives
				d := float64(degree) * lower[j] / (knots[span+1+j] - knots[span+1+j-degree])
				db[j] -= d
				db[j+1] += d
			}
		}
		b = [4]float64{}
		for j := range k {
			right, left := knots[span+1+j], knots[span+1+j-k]
			part := lower[j] / (right - left)
			b[j] += (right - x) * part
			b[j+1] += (x - left) * part
		}
	}
	return span - degree, b, db
}

// at returns the point of a curve and its derivative.
func (s *curve) at(x float64) (p, d r3.Vec) {
	first, b, db := acting(s.knots, s.degree, x)
	w, dw := 0., 0.
	for k := range s.degree + 1 {
		q, g := s.ctrl[first+k], 1.
		if s.weight != nil {
			g = s.weight[first+k]
		}
		p, w = r3.Add(p, r3.Scale(g*b[k], q)), w+g*b[k]
		d, dw = r3.Add(d, r3.Scale(g*db[k], q)), dw+g*db[k]
	}
	p = r3.Scale(1/w, p)
	return p, r3.Scale(1/w, r3.Sub(d, r3.Scale(dw, p)))
}

// ends returns the first and the last point.
func (s *curve) ends() (from, to r3.Vec) { return s.ctrl[0], s.ctrl[len(s.ctrl)-1] }

// at returns the point of a surface and its derivatives along u and v.
func (s *surface) at(u, v float64) (p, pu, pv r3.Vec) {
	fu, bu, du := acting(s.u, s.du, u)
	fv, bv, dv := acting(s.v, s.dv, v)
	w, wu, wv := 0., 0., 0.
	for i := range s.du + 1 {
		for j := range s.dv + 1 {
			q, g := s.ctrl[fu+i][fv+j], 1.
			if s.weight != nil {
				g = s.weight[fu+i][fv+j]
			}
			a, b, c := g*bu[i]*bv[j], g*du[i]*bv[j], g*bu[i]*dv[j]
			p, w = r3.Add(p, r3.Scale(a, q)), w+a
			pu, wu = r3.Add(pu, r3.Scale(b, q)), wu+b
			pv, wv = r3.Add(pv, r3.Scale(c, q)), wv+c
		}
	}
	p = r3.Scale(1/w, p)
	return p, r3.Scale(1/w, r3.Sub(pu, r3.Scale(wu, p))), r3.Scale(1/w, r3.Sub(pv, r3.Scale(wv, p)))
}

// turned returns the surface with u and v exchanged, so that its front is the
// other side.
func (s *surface) turned() *surface {
	t := &surface{du: s.dv, dv: s.du, u: s.v, v: s.u}
	for j := range s.ctrl[0] {
		row := make([]r3.Vec, len(s.ctrl))
		var w []float64
		for i := range s.ctrl {
			row[i] = s.ctrl[i][j]
			if s.weight != nil {
				w = append(w, s.weight[i][j])
			}
		}
		t.ctrl = append(t.ctrl, row)
		if w != nil {
			t.weight = append(t.weight, w)
		}
	}
	return t
}

// place is a point of a surface by its parameters.
type place struct{ u, v float64 }

// nearest returns the place of a surface nearest to p, started from a near
// one, and its distance. A place beyond the knots is taken to their end.
func (s *surface) nearest(p r3.Vec, from place) (place, float64) {
	const rounds = 30
	at := from
	for range rounds {
		q, du, dv := s.at(at.u, at.v)
		d := r3.Sub(p, q)
		step, ok := solve(du, dv, d)
		if !ok {
			break
		}
		next := place{clamp(at.u+step.u, s.u), clamp(at.v+step.v, s.v)}
		moved := math.Abs(next.u-at.u)*r3.Norm(du) + math.Abs(next.v-at.v)*r3.Norm(dv)
		at = next
		if moved < 1e-12*(1+r3.Norm(p)) {
			break
		}
	}
	q, _, _ := s.at(at.u, at.v)
	return at, r3.Norm(r3.Sub(p, q))
}

// solve returns the parameter step whose movement is nearest to d.
func solve(du, dv, d r3.Vec) (place, bool) {
	a, b, c := r3.Dot(du, du), r3.Dot(du, dv), r3.Dot(dv, dv)
	det := a*c - b*b
	if !(det > 1e-14*a*c) {
		return place{}, false
	}
	x, y := r3.Dot(du, d), r3.Dot(dv, d)
	return place{(c*x - b*y) / det, (a*y - b*x) / det}, true
}

func clamp(x float64, knots []float64) float64 {
	return min(max(x, knots[0]), knots[len(knots)-1])
}

// start returns a place near p, by a look at four places in every span.
func (s *surface) start(p r3.Vec) place {
	var best place
	least := math.Inf(1)
	for _, u := range quarters(s.u) {
		for _, v := range quarters(s.v) {
			q, _, _ := s.at(u, v)
			if d := r3.Norm(r3.Sub(p, q)); d < least {
				best, least = place{u, v}, d
			}
		}
	}
	return best
}

// quarters returns the quarters of every span.
func quarters(knots []float64) []float64 {
	var x []float64
	for i := range knots[1:] {
		if a, b := knots[i], knots[i+1]; b > a {
			for k := range 4 {
				x = append(x, a+(b-a)*float64(k)/4)
			}
		}
	}
	return append(x, knots[len(knots)-1])
}
