package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
)

// chart says which unknown of the normal equations each control coordinate of
// a closed spline is. Free curves have two unknowns a control point. A mirror
// chart holds the right half of a curve that is its own image in x = 0 and
// starts on that line at the bottom: control points j and n-j are images, and
// 0 and n/2 lie on the line, so the curve is square to the line and as smooth
// there as anywhere.
type chart struct {
	knots  []float64
	mirror bool
	shape  *geom.Curve // some curve on the knots, for its basis
	spans  []span
}

// span is what the bending of one span of a closed spline needs.
type span struct {
	idx   [4]int
	third [4]float64 // third derivative of the basis, constant on the span
	mid   float64
	len   float64
}

// newChart makes the chart of n+1 knots; with mirror n must be even and the
// knots symmetric.
func newChart(knots []float64, mirror bool) (*chart, error) {
	c := &chart{knots: knots, mirror: mirror}
	circle := make([]r2.Vec, c.n())
	for j := range circle {
		s, co := math.Sincos(2 * math.Pi * float64(j) / float64(c.n()))
		circle[j] = r2.Vec{X: co, Y: s}
	}
	var err error
	if c.shape, err = geom.NewCurve(knots, circle); err != nil {
		return nil, err
	}
	for i := range c.n() {
		s := span{len: knots[i+1] - knots[i]}
		s.mid = knots[i] + s.len/2
		var lo, hi [4]float64
		s.idx, _, _, lo = c.shape.Basis(s.mid - s.len/4)
		_, _, _, hi = c.shape.Basis(s.mid + s.len/4)
		for k := range s.third {
			s.third[k] = (hi[k] - lo[k]) / (s.len / 2)
		}
		c.spans = append(c.spans, s)
	}
	return c, nil
}

// n is the number of control points.
func (c *chart) n() int { return len(c.knots) - 1 }

// reach is the half-width of the band: four control points of two coordinates.
const reach = 7

// arrow makes an empty matrix for the chart's unknowns and shared more behind
// them. The last three control points of a free curve act together with the
// first, so they go into the border.
func (c *chart) arrow(shared int) *arrow {
	if c.mirror {
		return newArrow(c.n(), reach, shared)
	}
	return newArrow(2*c.n()-6, reach, 6+shared)
}

// unknowns is the number of unknowns and how many of them bending leaves free:
// shifts of the whole curve.
func (c *chart) unknowns() (all, free int) {
	if c.mirror {
		return c.n(), 1
	}
	return 2 * c.n(), 2
}

// unknown returns the unknown that control point j holds on an axis (0 x, 1 y)
// and its sign there; sign 0 means that the coordinate is nought.
func (c *chart) unknown(j, axis int) (i int, sign float64) {
	if !c.mirror {
		return 2*j + axis, 1
	}
	n := c.n()
	sign = 1
	if 2*j > n {
		j = n - j
		if axis == 0 {
			sign = -1
		}
	}
	switch {
	case axis == 1:
		return min(2*j, n-1), 1
	case j == 0 || 2*j == n:
		return 0, 0
	}
	return 2*j - 1, sign
}

// row is the linear form Σ b·(v·ctrl) over the acting control points.
func (c *chart) row(idx [4]int, b [4]float64, v r2.Vec) row {
	const room = 8 + 3 // for three shared unknowns
	r := row{idx: make([]int, 0, room), val: make([]float64, 0, room)}
	for k, j := range idx {
		if i, s := c.unknown(j, 0); s != 0 {
			r.idx, r.val = append(r.idx, i), append(r.val, s*b[k]*v.X)
		}
		i, _ := c.unknown(j, 1)
		r.idx, r.val = append(r.idx, i), append(r.val, b[k]*v.Y)
	}
	return r
}

// at is the row of v·C(u).
func (c *chart) at(u float64, v r2.Vec) row {
	idx, b, _, _ := c.shape.Basis(u)
	return c.row(idx, b, v)
}

// curve makes the curve of the unknowns x.
func (c *chart) curve(x []float64) (*geom.Curve, error) {
	ctrl := make([]r2.Vec, c.n())
	for j := range ctrl {
		if i, s := c.unknown(j, 0); s != 0 {
			ctrl[j].X = s * x[i]
		}
		i, _ := c.unknown(j, 1)
		ctrl[j].Y = x[i]
	}
	return geom.NewCurve(c.knots, ctrl)
}

// closest is the part of the mean distance between stations below which two
// count as less than two: else marks nearly on top of each other would draw
// knots so close together that bending between them is beyond arithmetic.
const closest = 1.0 / 8

// spreadKnots returns spans+1 knots over the length of a way whose stations
// have the given rising positions (first 0, last the length): half of them
// evenly along the way, half evenly among the stations, so that neither a
// closely read corner nor a gap goes short.
func spreadKnots(pos []float64, spans int) []float64 {
	last := len(pos) - 1
	apart := closest * pos[last] / float64(last)
	count := make([]float64, len(pos))
	for i := range last {
		count[i+1] = count[i] + min(1, (pos[i+1]-pos[i])/apart)
	}
	share := func(i int) float64 { return 0.5*pos[i]/pos[last] + 0.5*count[i]/count[last] }
	knots := make([]float64, spans+1)
	i := 0
	for k := range knots {
		want := float64(k) / float64(spans)
		for i < last-1 && share(i+1) < want {
			i++
		}
		knots[k] = pos[i] + (want-share(i))/(share(i+1)-share(i))*(pos[i+1]-pos[i])
	}
	knots[0], knots[spans] = 0, pos[last]
	return knots
}
