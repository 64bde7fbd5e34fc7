package geom

import (
	"fmt"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// SpaceCurve is a closed curve in space: a periodic cubic B-spline, twice
// continuously differentiable, immutable. Knots, control points and parameter
// are arranged as in Curve. Seen from +z it runs counter-clockwise by
// convention; Plan refuses one that does not.
type SpaceCurve struct {
	knotRing
	ctrl   []r3.Vec
	length func() *arcLength // made when first asked for
}

// NewSpaceCurve makes a curve of n control points and n+1 knots (n >= 4),
// which it copies. It refuses numbers that are not finite and knots that do
// not rise.
func NewSpaceCurve(knots []float64, ctrl []r3.Vec) (*SpaceCurve, error) {
	r, err := newRing(knots, len(ctrl))
	if err != nil {
		return nil, err
	}
	for j, p := range ctrl {
		if !finite(p.X) || !finite(p.Y) || !finite(p.Z) {
			return nil, fmt.Errorf("geom: space curve: control point %d is not finite", j)
		}
	}
	c := &SpaceCurve{knotRing: r, ctrl: append([]r3.Vec(nil), ctrl...)}
	c.length = sync.OnceValue(func() *arcLength {
		return newArcLength(c.u, func(span int, t float64) float64 {
			_, db, _, _ := c.basis(span, t)
			return r3.Norm(combine3(c.ctrl, c.acting(span), db))
		})
	})
	return c, nil
}

// InterpolateClosed3 returns the closed curve that passes through pts[i] at
// params[i]: InterpolateClosed in space.
func InterpolateClosed3(params []float64, pts []r3.Vec) (*SpaceCurve, error) {
	r, ctrl, err := interpolateClosed(params, pts)
	if err != nil {
		return nil, err
	}
	return NewSpaceCurve(r.u, ctrl)
}

// FitClosed3 returns a closed curve that lies within tol mm of f at equal
// parameters: FitClosed in space.
func FitClosed3(f func(u float64) r3.Vec, breaks []float64, tol float64) (*SpaceCurve, error) {
	r, ctrl, err := fitRing(f, breaks, tol)
	if err != nil {
		return nil, err
	}
	return NewSpaceCurve(r.u, ctrl)
}

// N returns the number of spans and of control points.
func (c *SpaceCurve) N() int { return c.n() }

// Knots returns a copy of the n+1 knots of one period.
func (c *SpaceCurve) Knots() []float64 { return append([]float64(nil), c.u...) }

// Ctrl returns a copy of the n control points, in mm.
func (c *SpaceCurve) Ctrl() []r3.Vec { return append([]r3.Vec(nil), c.ctrl...) }

// Period returns the first and the last knot.
func (c *SpaceCurve) Period() (lo, hi float64) { return c.u[0], c.u[c.n()] }

// At returns the point at parameter u.
func (c *SpaceCurve) At(u float64) r3.Vec {
	i, t := c.locate(u)
	b, _, _, _ := c.basis(i, t)
	return combine3(c.ctrl, c.acting(i), b)
}

// Derivs returns the point at u and its first three derivatives with respect
// to u; at a knot the third is that of the span that follows.
func (c *SpaceCurve) Derivs(u float64) (p, d1, d2, d3 r3.Vec) {
	i, t := c.locate(u)
	b, db, ddb, dddb := c.basis(i, t)
	idx := c.acting(i)
	return combine3(c.ctrl, idx, b), combine3(c.ctrl, idx, db),
		combine3(c.ctrl, idx, ddb), combine3(c.ctrl, idx, dddb)
}

// Length returns the length of the curve in mm, to 1e-9 of itself.
func (c *SpaceCurve) Length() float64 { return c.length().total() }

// LengthTo returns the length from the first knot to u in mm: negative before
// it, more than Length beyond the last.
func (c *SpaceCurve) LengthTo(u float64) float64 { return c.length().to(u) }

// ParamAt returns the parameter at length s mm from the first knot: the
// inverse of LengthTo.
func (c *SpaceCurve) ParamAt(s float64) float64 { return c.length().param(s) }

// Clamped returns the same curve as an open B-spline, as Curve.Clamped does.
func (c *SpaceCurve) Clamped() (knots []float64, ctrl []r3.Vec) {
	knots, first, last := c.clamped()
	n := c.n()
	b, _, _, _ := c.basis(0, 0)
	start := combine3(c.ctrl, c.acting(0), b)
	ctrl = make([]r3.Vec, 0, n+3)
	ctrl = append(ctrl, start, r3.Add(r3.Scale(1-first, c.ctrl[0]), r3.Scale(first, c.ctrl[1])))
	ctrl = append(ctrl, c.ctrl[1:]...)
	ctrl = append(ctrl, r3.Add(r3.Scale(1-last, c.ctrl[n-1]), r3.Scale(last, c.ctrl[0])), start)
	return knots, ctrl
}

// Plan returns the curve as seen from +z, with the same knots. It refuses a
// curve that runs clockwise there or encloses nothing.
func (c *SpaceCurve) Plan() (*Curve, error) { return NewCurve(c.u, drop(c.ctrl)) }

// Transform returns the curve moved by f, which must be affine: its control
// points are. Where f turns the plan over (a mirror image), the curve is run
// backwards from the same start, so that it stays counter-clockwise.
func (c *SpaceCurve) Transform(f func(r3.Vec) r3.Vec) (*SpaceCurve, error) {
	moved := make([]r3.Vec, len(c.ctrl))
	for i, p := range c.ctrl {
		moved[i] = f(p)
	}
	knots := c.u
	if planArea(c.ctrl)*planArea(moved) < 0 {
		knots, moved = c.backwards(), reversed(moved)
	}
	return NewSpaceCurve(knots, moved)
}

// planArea returns the area of the control polygon as seen from +z.
func planArea(ctrl []r3.Vec) float64 { return Polygon(drop(ctrl)).Area() }

// backwards returns the knots of the curve run the other way from its start.
func (r *knotRing) backwards() []float64 {
	n := r.n()
	out := make([]float64, n+1)
	for i := range out {
		out[i] = r.u[0] + (r.u[n] - r.u[n-i])
	}
	out[n] = r.u[n]
	return out
}

// reversed returns control points in the order of the curve run backwards: the
// first stays, the others change ends.
func reversed[V r2.Vec | r3.Vec](ctrl []V) []V {
	n := len(ctrl)
	out := make([]V, n)
	for j := range out {
		out[j] = ctrl[(n-j)%n]
	}
	return out
}
