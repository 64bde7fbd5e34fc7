package geom

import (
	"errors"
	"fmt"
	"math"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"
)

// Curve is a closed plane curve: a periodic cubic B-spline, twice continuously
// differentiable, counter-clockwise, immutable. Its parameter u runs from the
// first knot to the last and any other u is taken into that period.
//
// A curve with n spans has n+1 strictly rising knots, of which the last closes
// the period, and n control points. Control point j belongs to knot j: between
// knots i and i+1 the control points i-1, i, i+1 and i+2 (modulo n) act. So a
// curve that is its own mirror image and starts on the mirror line has knots
// with u[i]-u[0] = u[n]-u[n-i] and control points with ctrl[j] the image of
// ctrl[n-j].
type Curve struct {
	knotRing
	ctrl  []r2.Vec
	spans []cubic // the curve again, one polynomial a span
	area  float64

	length  func() *arcLength // made when first asked for
	sampled func() *pieces    // likewise
}

// cubic is one span of a plane curve as its value and derivatives at the
// span's start.
type cubic struct{ p, v, a, j r2.Vec }

// NewCurve makes a curve of n control points and n+1 knots (n >= 4), which it
// copies. It refuses numbers that are not finite, knots that do not rise, and
// a curve that runs clockwise or encloses nothing. It does not look for
// crossings: see IsSimple. Cost: linear in n.
func NewCurve(knots []float64, ctrl []r2.Vec) (*Curve, error) {
	c, err := newCurve(knots, ctrl)
	if err != nil {
		return nil, err
	}
	if !(c.area > 0) {
		return nil, errors.New("geom: closed curve: runs clockwise or encloses nothing")
	}
	return c, nil
}

// newCurve is NewCurve for either sense of rotation.
func newCurve(knots []float64, ctrl []r2.Vec) (*Curve, error) {
	r, err := newRing(knots, len(ctrl))
	if err != nil {
		return nil, err
	}
	for j, p := range ctrl {
		if !finite(p.X) || !finite(p.Y) {
			return nil, fmt.Errorf("geom: closed curve: control point %d is not finite", j)
		}
	}
	c := &Curve{knotRing: r, ctrl: append([]r2.Vec(nil), ctrl...)}
	c.spans = make([]cubic, c.n())
	for i := range c.spans {
		c.spans[i] = c.polynomial(i)
	}
	c.area = c.greenArea()
	if !finite(c.area) {
		return nil, errors.New("geom: closed curve: too large to reckon with")
	}
	c.length = sync.OnceValue(func() *arcLength {
		return newArcLength(c.u, func(span int, t float64) float64 { return r2.Norm(c.spans[span].velocity(t)) })
	})
	c.sampled = sync.OnceValue(c.makePieces)
	return c, nil
}

// finite tells whether x is neither NaN nor infinite.
func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// polynomial returns span i as a polynomial.
func (c *Curve) polynomial(i int) cubic {
	var s cubic
	b, db, ddb, dddb := c.basis(i, 0)
	for k, j := range c.acting(i) {
		q := c.ctrl[j]
		s.p = r2.Add(s.p, r2.Scale(b[k], q))
		s.v = r2.Add(s.v, r2.Scale(db[k], q))
		s.a = r2.Add(s.a, r2.Scale(ddb[k], q))
		s.j = r2.Add(s.j, r2.Scale(dddb[k], q))
	}
	return s
}

func (s *cubic) at(t float64) r2.Vec {
	return r2.Vec{
		X: s.p.X + t*(s.v.X+t/2*(s.a.X+t/3*s.j.X)),
		Y: s.p.Y + t*(s.v.Y+t/2*(s.a.Y+t/3*s.j.Y)),
	}
}

func (s *cubic) velocity(t float64) r2.Vec {
	return r2.Vec{X: s.v.X + t*(s.a.X+t/2*s.j.X), Y: s.v.Y + t*(s.a.Y+t/2*s.j.Y)}
}

func (s *cubic) acceleration(t float64) r2.Vec {
	return r2.Vec{X: s.a.X + t*s.j.X, Y: s.a.Y + t*s.j.Y}
}

// N returns the number of spans and of control points.
func (c *Curve) N() int { return c.n() }

// Knots returns a copy of the n+1 knots of one period.
func (c *Curve) Knots() []float64 { return append([]float64(nil), c.u...) }

// Ctrl returns a copy of the n control points, in mm.
func (c *Curve) Ctrl() []r2.Vec { return append([]r2.Vec(nil), c.ctrl...) }

// Period returns the first and the last knot.
func (c *Curve) Period() (lo, hi float64) { return c.u[0], c.u[c.n()] }

// At returns the point at parameter u.
func (c *Curve) At(u float64) r2.Vec {
	i, t := c.locate(u)
	return c.spans[i].at(t)
}

// Derivs returns the point at u and its first three derivatives with respect
// to u. The third is constant within a span and jumps at the knots, where it
// is that of the span that follows.
func (c *Curve) Derivs(u float64) (p, d1, d2, d3 r2.Vec) {
	i, t := c.locate(u)
	s := &c.spans[i]
	return s.at(t), s.velocity(t), s.acceleration(t), s.j
}

// Basis returns the four control points that act at u, in the order of their
// knots, their weights, and the first two derivatives of the weights with
// respect to u. The weights sum to one, their derivatives to nought; they
// depend on the knots alone.
func (c *Curve) Basis(u float64) (idx [4]int, b, db, ddb [4]float64) {
	i, t := c.locate(u)
	b, db, ddb, _ = c.basis(i, t)
	return c.acting(i), b, db, ddb
}

// Tangent returns the unit tangent at u, pointing the way u rises.
func (c *Curve) Tangent(u float64) r2.Vec {
	_, d1, d2, d3 := c.Derivs(u)
	for _, d := range []r2.Vec{d1, d2, d3} { // the later ones where the curve stands still
		if l := r2.Norm(d); l > 0 {
			return r2.Scale(1/l, d)
		}
	}
	return r2.Vec{X: 1}
}

// Normal returns the unit normal at u, pointing out of the curve.
func (c *Curve) Normal(u float64) r2.Vec {
	t := c.Tangent(u)
	return r2.Vec{X: t.Y, Y: -t.X}
}

// Curvature returns the signed curvature at u in 1/mm, positive where the
// curve is convex; nought where the curve stands still.
func (c *Curve) Curvature(u float64) float64 {
	i, t := c.locate(u)
	return c.spans[i].curvature(t)
}

func (s *cubic) curvature(t float64) float64 {
	v := s.velocity(t)
	speed := r2.Norm(v)
	if speed == 0 {
		return 0
	}
	return r2.Cross(v, s.acceleration(t)) / (speed * speed * speed)
}

// Clamped returns the same curve as an open B-spline for file formats that
// know no periodic ones: the end knots are fourfold and the last of the n+3
// control points is equal to the first. There are n+7 knots; the parameter is
// unchanged.
func (c *Curve) Clamped() (knots []float64, ctrl []r2.Vec) {
	knots, first, last := c.clamped()
	n := c.n()
	start := c.spans[0].p
	ctrl = make([]r2.Vec, 0, n+3)
	ctrl = append(ctrl, start, r2.Add(r2.Scale(1-first, c.ctrl[0]), r2.Scale(first, c.ctrl[1])))
	ctrl = append(ctrl, c.ctrl[1:]...)
	ctrl = append(ctrl, r2.Add(r2.Scale(1-last, c.ctrl[n-1]), r2.Scale(last, c.ctrl[0])), start)
	return knots, ctrl
}

// clamped returns the knots of the clamped form and where its second control
// point lies between the periodic points 0 and 1, and its last but one between
// n-1 and 0, each as a fraction of the way (Boehm's knot insertion).
func (r *knotRing) clamped() (knots []float64, first, last float64) {
	n := r.n()
	lo, hi := r.u[0], r.u[n]
	knots = make([]float64, 0, n+7)
	knots = append(knots, lo, lo, lo)
	knots = append(knots, r.u...)
	knots = append(knots, hi, hi, hi)
	before, after := r.knot(-1), r.knot(1)
	first = (lo - before) / (r.knot(2) - before)
	last = (lo - r.knot(-2)) / (after - r.knot(-2))
	return knots, first, last
}
