package geom

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Stretch returns the curve from one parameter forward to another as an open
// B-spline for file formats: the end knots are fourfold, the first and the last
// control point are the curve's points there. to is brought past from by whole
// periods; where the two are the same place, it is once round. The parameter is
// the curve's, rising from from. Ends within a billionth of the period from a knot
// leave it out. The same curve to rounding.
func (c *Curve) Stretch(from, to float64) (knots []float64, ctrl []r2.Vec) {
	lo, hi := c.Period()
	period := hi - lo
	near := 1e-9 * period
	to -= period * math.Floor((to-from-near)/period)
	knots = []float64{from, from, from, from}
	span, t := c.locate(from)
	start := from - t - c.knot(span) // whole periods that from lies past the first
	for i := span + 1; c.knot(i)+start < to-near; i++ {
		if u := c.knot(i) + start; u > from+near {
			knots = append(knots, u)
		}
	}
	knots = append(knots, to, to, to, to)
	for j := range len(knots) - 4 {
		ctrl = append(ctrl, c.blossom(knots[j:j+5]))
	}
	ctrl[0], ctrl[len(ctrl)-1] = c.At(from), c.At(to)
	return knots, ctrl
}

// blossom returns the control point that a B-spline over knots of this curve has
// where its five knots are these: the polar form of one of its spans at the three
// inner ones (Ramshaw 1987).
func (c *Curve) blossom(knots []float64) r2.Vec {
	k := 0
	for i := range 4 { // the widest span, for rounding's sake
		if knots[i+1]-knots[i] > knots[k+1]-knots[k] {
			k = i
		}
	}
	mid := (knots[k] + knots[k+1]) / 2
	span, t := c.locate(mid)
	s, at := &c.spans[span], mid-t
	a, b, d := knots[1]-at, knots[2]-at, knots[3]-at
	return r2.Add(
		r2.Add(s.p, r2.Scale((a+b+d)/3, s.v)),
		r2.Add(r2.Scale((a*b+b*d+a*d)/6, s.a), r2.Scale(a*b*d/6, s.j)))
}
