package geom

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// OffsetError tells why a curve has no offset at the distance asked for, and
// where.
type OffsetError struct {
	At     r2.Vec // the place, mm; on the curve itself where a corner or hollow is too tight
	Reason string
}

func (e *OffsetError) Error() string {
	return fmt.Sprintf("geom: offset: %s, at (%.1f, %.1f)", e.Reason, e.At.X, e.At.Y)
}

// parallel is the raw offset of a curve: the point d along the outward normal,
// whether or not another part of the curve is nearer.
type parallel struct {
	*Curve
	d float64
}

// point returns the raw offset at t into a span.
func (p parallel) point(span int, t float64) r2.Vec {
	s := &p.spans[span]
	at, v := s.at(t), s.velocity(t)
	l := r2.Norm(v)
	if l == 0 {
		return at
	}
	return r2.Vec{X: at.X + p.d*v.Y/l, Y: at.Y - p.d*v.X/l}
}

// raw returns the raw offset at u.
func (p parallel) raw(u float64) r2.Vec {
	i, t := p.locate(u)
	return p.point(i, t)
}

// short returns by how much q is nearer to the curve than |d|, on the side
// that d is on; negative where it is further.
func (p parallel) short(q r2.Vec) float64 {
	_, dist := p.Nearest(q)
	return math.Abs(p.d) - math.Copysign(1, p.d)*dist
}

// tight refuses a distance at which the raw offset stands still or runs
// backwards: inward beyond the least radius of a corner, outward beyond that
// of a hollow.
func (p parallel) tight() error {
	bend, u := p.extremeCurvature(-math.Copysign(1, p.d))
	if bend*math.Abs(p.d) < 1 {
		return nil
	}
	what, way := "hollow", "outward"
	if p.d < 0 {
		what, way = "corner", "inward"
	}
	return &OffsetError{At: p.At(u), Reason: fmt.Sprintf(
		"a %s of radius %.2f mm is too tight for %.2f mm %s", what, 1/bend, math.Abs(p.d), way)}
}

// checkOffset refuses distances and tolerances that are no numbers.
func checkOffset(d, tol float64) error {
	if !finite(d) {
		return fmt.Errorf("geom: offset: distance %g mm", d)
	}
	if !(tol > 0) || math.IsInf(tol, 0) {
		return fmt.Errorf("geom: offset: tolerance %g mm, want a positive number", tol)
	}
	return nil
}

// Offset returns the curve that runs at distance |d| mm from c, outside for
// d > 0 and inside for d < 0. Its parameter is that of c; its knots are those
// of c and middles between them. For d = 0 it is c itself.
//
// The result is verified: it does not cross itself, it runs the same way as c,
// and at its knots and three places between each two it is |d| ± tol from the
// nearest point of all of c. An *OffsetError says where that is not to be had:
// at a corner or hollow tighter than d, or where two parts of the offset meet.
// OffsetLoop cuts such places away. A symmetric curve has a symmetric offset.
// Cost: a few milliseconds for the outline of a pane and tol 0.005.
func (c *Curve) Offset(d, tol float64) (*Curve, error) {
	if err := checkOffset(d, tol); err != nil {
		return nil, err
	}
	if d == 0 {
		return c, nil
	}
	p := parallel{c, d}
	if err := p.tight(); err != nil {
		return nil, err
	}
	off, err := FitClosed(p.raw, c.u, tol/2)
	if err != nil {
		return nil, fmt.Errorf("geom: offset: %w", err)
	}
	if err := p.verify(off, tol); err != nil {
		return nil, err
	}
	return off, nil
}

// verify checks a finished offset against the curve it belongs to.
func (p parallel) verify(off *Curve, tol float64) error {
	const places = 4 // a span
	for i := range off.spans {
		s, h := &off.spans[i], off.u[i+1]-off.u[i]
		for k := range places {
			t := h * float64(k) / places
			q := s.at(t)
			if short := p.short(q); !(math.Abs(short) <= tol) {
				return &OffsetError{At: q, Reason: fmt.Sprintf(
					"two parts of it meet: a point %.3f mm from the curve, not %.3f mm", math.Abs(p.d)-short, math.Abs(p.d))}
			}
			if r2.Dot(s.velocity(t), p.Tangent(off.u[i]+t)) <= 0 {
				return &OffsetError{At: q, Reason: "it is left without length"}
			}
		}
	}
	if err := off.IsSimple(); err != nil {
		at := off.At(off.u[0])
		if crossing, ok := err.(*CrossingError); ok {
			at = crossing.At
		}
		return &OffsetError{At: at, Reason: "it crosses itself"}
	}
	return nil
}
