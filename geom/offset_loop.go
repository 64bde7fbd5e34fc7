package geom

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Working limits of OffsetLoop.
const (
	loopClear = 1e-9 // mm: a point of the raw offset is clear if it is short by no more
	loopTurn  = 0.2  // rad: greatest turn of the curve between two samples
	loopShare = 0.8  // of the sag is left to the chords
	loopMerge = 0.1  // of the sag: points nearer to each other are made one
)

// OffsetLoop returns the closed line of all points at distance |d| mm from the
// inside (d < 0) or the outside (d > 0) of c, as a polygon whose edges leave it
// by no more than sag mm. Where a corner or hollow is tighter than |d|, the
// loop that a plain offset would make there is cut away and a sharp corner is
// left, at the crossing of the two branches, to 1e-6 mm. The first point
// belongs to the first knot of c where that point is on the line.
//
// The samples of the plain offset that are nearer to c than |d| are dropped,
// judged against c itself and not against a polygon, and each gap is closed at
// the place, found by bisection from either side, where the offset ceases to
// be clear. The result is verified: it does not cross itself, and its points
// and the middles of its edges are |d| ± sag from c. An *OffsetError tells
// where nothing is left, or where it falls into several pieces.
// Cost: a few milliseconds for the outline of a pane and sag 0.01.
func (c *Curve) OffsetLoop(d, sag float64) (Polygon, error) {
	if err := checkOffset(d, sag); err != nil {
		return nil, err
	}
	p := parallel{c, d}
	params := p.samples(loopShare * sag)
	kept := p.clearOnes(params)
	if len(kept) == 0 {
		return nil, &OffsetError{At: c.Centroid(), Reason: fmt.Sprintf("nothing is left at %.2f mm", d)}
	}
	loop := trimmedLoop{merge: loopMerge * sag}
	for k, i := range kept {
		loop.add(p.raw(params[i]), false)
		j := kept[(k+1)%len(kept)]
		if j == (i+1)%len(params) && len(kept) > 1 {
			continue
		}
		corner, err := p.corner(params, i, j, sag)
		if err != nil {
			return nil, err
		}
		loop.add(corner, true)
	}
	line := loop.closed()
	if err := p.verifyLoop(line, sag); err != nil {
		return nil, err
	}
	return line, nil
}

// samples returns rising parameters at which the polygon through the raw
// offset leaves it by no more than sag.
func (p parallel) samples(sag float64) []float64 {
	return divide(p.u, sag, func(span int, t0, t1 float64) float64 {
		a, b := p.point(span, t0), p.point(span, t1)
		worst := sag * p.spans[span].turned(t0, t1, loopTurn, sag)
		for k := 1; k <= 3; k++ {
			q := p.point(span, t0+(t1-t0)*float64(k)/4)
			worst = math.Max(worst, toSegment(q, a, b))
		}
		return worst
	})
}

// clear tells whether the raw offset at u is part of the true one: it runs
// forward, and no part of the curve is nearer than |d|.
func (p parallel) clear(u float64) bool {
	if p.d == 0 {
		return true
	}
	return 1+p.d*p.Curvature(u) > 0 && p.short(p.raw(u)) <= loopClear
}

// clearOnes returns the indices of the parameters where the raw offset is
// clear.
func (p parallel) clearOnes(params []float64) []int {
	var kept []int
	for i, u := range params {
		if p.clear(u) {
			kept = append(kept, i)
		}
	}
	return kept
}

// corner returns the crossing of the branch that is clear up to sample i with
// that which is clear from sample j on.
func (p parallel) corner(params []float64, i, j int, sag float64) (r2.Vec, error) {
	n := len(params)
	a := p.raw(p.lastClear(params[i], params[(i+1)%n], 1))
	b := p.raw(p.lastClear(params[j], params[(j+n-1)%n], -1))
	if gap := r2.Norm(r2.Sub(a, b)); gap > sag {
		return r2.Vec{}, &OffsetError{At: a, Reason: fmt.Sprintf("it falls into several pieces at %.2f mm", p.d)}
	}
	return r2.Scale(0.5, r2.Add(a, b)), nil
}

// lastClear returns the last clear parameter on the way from the clear one u
// to the other one v, onward (way +1) or backward (way -1), by bisection.
func (p parallel) lastClear(u, v, way float64) float64 {
	lo, hi := p.Period()
	if (v-u)*way <= 0 { // the way leads over the start
		v += way * (hi - lo)
	}
	for range 50 {
		m := (u + v) / 2
		if m == u || m == v {
			break
		}
		if p.clear(m) {
			u = m
		} else {
			v = m
		}
	}
	return u
}

// trimmedLoop gathers the points of a loop, leaving out those that all but
// coincide; of two such, a corner is kept rather than a sample.
type trimmedLoop struct {
	line   Polygon
	corner []bool
	merge  float64 // mm
}

func (l *trimmedLoop) add(q r2.Vec, corner bool) {
	for n := len(l.line); n > 0 && r2.Norm(r2.Sub(q, l.line[n-1])) < l.merge; n = len(l.line) {
		if !corner || l.corner[n-1] {
			return
		}
		l.drop(n - 1)
	}
	l.line, l.corner = append(l.line, q), append(l.corner, corner)
}

func (l *trimmedLoop) drop(i int) {
	l.line = append(l.line[:i], l.line[i+1:]...)
	l.corner = append(l.corner[:i], l.corner[i+1:]...)
}

// closed returns the loop, its end merged with its beginning where they all
// but coincide.
func (l *trimmedLoop) closed() Polygon {
	for n := len(l.line); n > 1 && r2.Norm(r2.Sub(l.line[0], l.line[n-1])) < l.merge; n = len(l.line) {
		if l.corner[n-1] && !l.corner[0] {
			l.drop(0)
		} else {
			l.drop(n - 1)
		}
	}
	return l.line
}

// verifyLoop checks a finished loop against the curve it belongs to.
func (p parallel) verifyLoop(line Polygon, sag float64) error {
	if len(line) < 3 || !(line.Area() > 0) {
		return &OffsetError{At: p.Centroid(), Reason: fmt.Sprintf("nothing is left at %.2f mm", p.d)}
	}
	for i := range line {
		a, b := line.edge(i)
		for _, q := range []r2.Vec{a, r2.Scale(0.5, r2.Add(a, b))} {
			_, dist := p.Nearest(q)
			if miss := math.Abs(dist - p.d); !(miss <= sag) {
				return &OffsetError{At: q, Reason: fmt.Sprintf("it misses its distance by %.4f mm", miss)}
			}
		}
	}
	if err := line.IsSimple(); err != nil {
		at := line[0]
		if crossing, ok := err.(*CrossingError); ok {
			at = crossing.At
		}
		return &OffsetError{At: at, Reason: "it crosses itself"}
	}
	return nil
}
