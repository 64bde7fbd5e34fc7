package geom

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// bendSamples are the places looked at in every span: the curvature of a cubic
// has few extremes, and its mean over a stretch has fewer.
const bendSamples = 8

// LeastRadiusOver returns the least mean radius over a stretch of window mm of
// the curve, in mm, and the parameter at the middle of that stretch. The mean
// radius is the length of the stretch over the angle by which the curve turns
// along it, where it turns to the left; it is the radius of an arc that is
// longer than the window. Where a curve follows a jump in curvature its
// pointwise curvature overshoots within a millimetre or two (see FitClosed),
// which LeastRadius shows and a window evens out: beside a corner, a curve
// fitted within 5 µm turns up to half a degree too far, and that is all of it
// that a window feels.
//
// A window longer than the curve is the whole curve. A window of nought, or of
// no number, gives LeastRadius. The radius is right to 0.1 mm and better; it
// is +Inf for a curve that turns nowhere to the left. Cost: about 5 µs a
// span.
func (c *Curve) LeastRadiusOver(window float64) (r, u float64) {
	if !(window > 0) {
		return c.LeastRadius()
	}
	window = math.Min(window, c.Length())
	angle, from := newTurning(c).most(window)
	u = c.ParamAt(c.LengthTo(from) + window/2)
	if lo, hi := c.Period(); u >= hi {
		u -= hi - lo
	}
	if !(angle > 0) {
		return math.Inf(1), u
	}
	return window / angle, u
}

// turning is the heading of a curve as a function of its parameter, without
// jumps: the angle from the tangent at the first knot, in radians.
type turning struct {
	*Curve
	at      []float64 // bendSamples a span, and the end of the period
	heading []float64
}

func newTurning(c *Curve) *turning {
	n := c.n()
	t := &turning{Curve: c, at: make([]float64, 0, bendSamples*n+1), heading: make([]float64, bendSamples*n+1)}
	for i := range n {
		h := c.u[i+1] - c.u[i]
		for k := range bendSamples {
			t.at = append(t.at, c.u[i]+h*float64(k)/bendSamples)
		}
	}
	t.at = append(t.at, c.u[n])
	for k := range t.at[1:] {
		t.heading[k+1] = t.heading[k] + between(c.Tangent(t.at[k]), c.Tangent(t.at[k+1]))
	}
	return t
}

// between is the angle from one direction to another, -π … π.
func between(a, b r2.Vec) float64 { return math.Atan2(r2.Cross(a, b), r2.Dot(a, b)) }

// to is the heading at u, counting whole turns.
func (t *turning) to(u float64) float64 {
	lo, hi := t.Period()
	rounds := math.Floor((u - lo) / (hi - lo))
	u -= rounds * (hi - lo)
	i, s := t.locate(u)
	k := int(bendSamples * s / (t.u[i+1] - t.u[i]))
	k = bendSamples*i + min(k, bendSamples-1)
	return rounds*t.heading[len(t.heading)-1] + t.heading[k] + between(t.Tangent(t.at[k]), t.Tangent(u))
}

// most is the greatest angle by which the curve turns along window mm, and the
// parameter at which that stretch starts. Every sample is the start of one;
// those that the best may lie beside are searched by golden section.
func (t *turning) most(window float64) (angle, from float64) {
	over := func(u float64) float64 {
		return t.to(t.ParamAt(t.LengthTo(u)+window)) - t.to(u)
	}
	n := len(t.at) - 1
	turns := make([]float64, n)
	angle = math.Inf(-1)
	for k := range turns {
		turns[k] = over(t.at[k])
		if turns[k] > angle {
			angle, from = turns[k], t.at[k]
		}
	}
	const level = 1e-6 // of the angle: nothing to gain
	best := angle
	for k, v := range turns {
		before, after := turns[(k+n-1)%n], turns[(k+1)%n]
		drop := v - math.Min(before, after)
		if v < before || v < after || drop < level*best || v+drop < best {
			continue // no top, or none that may rise above the best
		}
		a := t.at[k] - (t.at[(k+n-1)%n+1] - t.at[(k+n-1)%n])
		if u, w := goldenMax(over, a, t.at[k+1]); w > angle {
			angle, from = w, u
		}
	}
	return angle, from
}
