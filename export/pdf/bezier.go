package pdf

import (
	"sort"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
)

// Piece is a cubic piece of a curve: its two ends, and between them the two
// points that its tangents run to.
type Piece [4]r2.Vec

// At is the point at t from 0 to 1.
func (b Piece) At(t float64) r2.Vec {
	s := 1 - t
	p := r2.Scale(s*s*s, b[0])
	p = r2.Add(p, r2.Scale(3*s*s*t, b[1]))
	p = r2.Add(p, r2.Scale(3*s*t*t, b[2]))
	return r2.Add(p, r2.Scale(t*t*t, b[3]))
}

// Closed is a closed curve as one piece for each span, exactly, in the order of
// its parameter.
func Closed(c *geom.Curve) []Piece {
	lo, hi := c.Period()
	return Between(c, lo, hi)
}

// Between is the part of a closed curve from one parameter on to another, at
// most a period later, exactly. It is empty where to does not lie beyond from.
func Between(c *geom.Curve, from, to float64) []Piece {
	var out []Piece
	stops := stopsBetween(c, from, to)
	for i := 1; i < len(stops); i++ {
		a, b := stops[i-1], stops[i]
		p, dp, _, _ := c.Derivs(a)
		q, dq, _, _ := c.Derivs(b)
		h := (b - a) / 3
		out = append(out, Piece{p, r2.Add(p, r2.Scale(h, dp)), r2.Sub(q, r2.Scale(h, dq)), q})
	}
	return out
}

// stopsBetween are from, the knots between, and to.
func stopsBetween(c *geom.Curve, from, to float64) []float64 {
	knots := c.Knots()
	lo, hi := c.Period()
	grain := 1e-12 * (hi - lo)
	stops := []float64{from}
	for _, turn := range []float64{-(hi - lo), 0, hi - lo} {
		for _, k := range knots[:len(knots)-1] {
			if u := k + turn; u > from+grain && u < to-grain {
				stops = append(stops, u)
			}
		}
	}
	if to > from+grain {
		stops = append(stops, to)
	}
	sort.Float64s(stops)
	return stops
}

// Through is a smooth path as n pieces of even steps that agree with it in place
// and direction at their ends; between, they leave it by the fourth power of
// their length.
func Through(path func(t float64) r2.Vec, from, to float64, n int) []Piece {
	n = max(n, 1)
	step := (to - from) / float64(n)
	along := func(t float64) r2.Vec { // by how much a third of a step moves it
		const d = 1e-3
		return r2.Scale(1/(6*d), r2.Sub(path(t+d*step), path(t-d*step)))
	}
	out := make([]Piece, n)
	for i := range out {
		a := from + float64(i)*step
		b := a + step
		p, q := path(a), path(b)
		out[i] = Piece{p, r2.Add(p, along(a)), r2.Sub(q, along(b)), q}
	}
	return out
}
