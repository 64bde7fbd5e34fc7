package geom

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Length returns the length of the curve in mm, to 1e-9 of itself.
func (c *Curve) Length() float64 { return c.length().total() }

// LengthTo returns the length from the first knot to u in mm: negative before
// it, more than Length beyond the last.
func (c *Curve) LengthTo(u float64) float64 { return c.length().to(u) }

// ParamAt returns the parameter at length s mm from the first knot: the
// inverse of LengthTo.
func (c *Curve) ParamAt(s float64) float64 { return c.length().param(s) }

// Area returns the enclosed area in mm², exact but for rounding.
func (c *Curve) Area() float64 { return c.area }

// greenArea integrates half of C × dC about the first point. The integrand is
// of degree five within a span, so the rule is exact.
func (c *Curve) greenArea() float64 {
	o := c.spans[0].p
	twice := 0.0
	for i := range c.spans {
		s := &c.spans[i]
		twice += integrate8(func(t float64) float64 {
			return r2.Cross(r2.Sub(s.at(t), o), s.velocity(t))
		}, 0, c.u[i+1]-c.u[i])
	}
	return twice / 2
}

// Centroid returns the centroid of the enclosed area, exact but for rounding.
func (c *Curve) Centroid() r2.Vec {
	o := c.spans[0].p
	var m r2.Vec
	for i := range c.spans {
		s, h := &c.spans[i], c.u[i+1]-c.u[i]
		// Degree eight within a span: ∮ p (p × dp) / 3 is the first moment.
		part := func(pick func(r2.Vec) float64) float64 {
			return integrate8(func(t float64) float64 {
				p := r2.Sub(s.at(t), o)
				return pick(p) * r2.Cross(p, s.velocity(t))
			}, 0, h)
		}
		m.X += part(func(p r2.Vec) float64 { return p.X })
		m.Y += part(func(p r2.Vec) float64 { return p.Y })
	}
	return r2.Add(o, r2.Scale(1/(3*c.area), m))
}

// Bounds returns the least upright box about the curve; its sides touch the
// curve at its true extremes.
func (c *Curve) Bounds() r2.Box {
	box := r2.Box{Min: c.spans[0].p, Max: c.spans[0].p}
	for i := range c.spans {
		s, h := &c.spans[i], c.u[i+1]-c.u[i]
		grow(&box, s.p)
		for _, t := range quadraticRoots(s.v.X, s.a.X, s.j.X/2) {
			if t > 0 && t < h {
				grow(&box, s.at(t))
			}
		}
		for _, t := range quadraticRoots(s.v.Y, s.a.Y, s.j.Y/2) {
			if t > 0 && t < h {
				grow(&box, s.at(t))
			}
		}
	}
	return box
}

// grow widens a box to hold p.
func grow(b *r2.Box, p r2.Vec) {
	b.Min.X, b.Max.X = math.Min(b.Min.X, p.X), math.Max(b.Max.X, p.X)
	b.Min.Y, b.Max.Y = math.Min(b.Min.Y, p.Y), math.Max(b.Max.Y, p.Y)
}

// quadraticRoots returns the real roots of a + b·t + c·t², without the
// cancellation of the schoolbook formula (Numerical Recipes, section 5.6). A
// root that does not exist is NaN or infinite, and so lies in no interval.
func quadraticRoots(a, b, c float64) [2]float64 {
	q := -0.5 * (b + math.Copysign(math.Sqrt(b*b-4*a*c), b))
	return [2]float64{q / c, a / q}
}

// Transform returns the curve moved by f, which must be affine: its control
// points are. Where f turns the plane over (a mirror image), the curve is run
// backwards from the same start, so that it stays counter-clockwise.
func (c *Curve) Transform(f func(r2.Vec) r2.Vec) (*Curve, error) {
	moved := make([]r2.Vec, len(c.ctrl))
	for i, p := range c.ctrl {
		moved[i] = f(p)
	}
	t, err := newCurve(c.u, moved)
	if err != nil {
		return nil, err
	}
	if t.area < 0 {
		return NewCurve(c.backwards(), reversed(moved))
	}
	return NewCurve(c.u, moved)
}

// LeastRadius returns the least radius of curvature in mm among the places
// where the curve is convex, and its parameter.
func (c *Curve) LeastRadius() (r, u float64) {
	k, u := c.extremeCurvature(1)
	return 1 / k, u
}

// extremeCurvature returns the greatest of sign·curvature and where it is,
// sign being +1 or -1. Each span is sampled and its best place searched by
// golden section.
func (c *Curve) extremeCurvature(sign float64) (k, u float64) {
	const samples = 8 // a span: the curvature of a cubic has few extremes
	k = math.Inf(-1)
	for i := range c.spans {
		s, h := &c.spans[i], (c.u[i+1]-c.u[i])/samples
		bend := func(t float64) float64 { return sign * s.curvature(t) }
		best, at := math.Inf(-1), 0.0
		for j := 0; j <= samples; j++ {
			if v := bend(float64(j) * h); v > best {
				best, at = v, float64(j)*h
			}
		}
		t, v := goldenMax(bend, math.Max(at-h, 0), math.Min(at+h, h*samples))
		if v < best {
			t, v = at, best
		}
		if v > k {
			k, u = v, c.u[i]+t
		}
	}
	return k, u
}

// goldenMax returns the place and height of the greatest value of f between a
// and b, where it has one top, by golden section.
func goldenMax(f func(float64) float64, a, b float64) (x, v float64) {
	const ratio = 0.6180339887498949
	x1, x2 := b-ratio*(b-a), a+ratio*(b-a)
	f1, f2 := f(x1), f(x2)
	for range 40 {
		if f1 >= f2 {
			b, x2, f2 = x2, x1, f1
			x1 = b - ratio*(b-a)
			f1 = f(x1)
		} else {
			a, x1, f1 = x1, x2, f2
			x2 = a + ratio*(b-a)
			f2 = f(x2)
		}
	}
	if f1 >= f2 {
		return x1, f1
	}
	return x2, f2
}
