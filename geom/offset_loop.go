package geom

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Working limits of OffsetLoop.
const (
	loopClear  = 1e-9 // mm: a point of the raw offset is clear if it is short by no more
	loopTurn   = 0.2  // rad: greatest turn of the curve between two samples
	loopShare  = 0.8  // of the sag is left to the chords
	loopMerge  = 0.1  // of the sag: points nearer to each other are made one
	loopReach  = 0.1  // mm, and ten times the sag: the widest gap left between two branches
	loopCheck  = 4    // places checked on each edge
	loopRefine = 3    // rounds of four times finer samples in a gap
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
// and three places on each edge are |d| ± sag from c. An *OffsetError tells
// where nothing is left, or where it falls into several pieces.
// Cost: a few milliseconds for the outline of a pane and sag 0.01.
func (c *Curve) OffsetLoop(d, sag float64) (Polygon, error) {
	if err := checkOffset(d, sag); err != nil {
		return nil, err
	}
	p := parallel{c, d}
	line, err := p.trimmed(p.samples(loopShare*sag), sag)
	if err != nil {
		return nil, err
	}
	if err := p.verifyLoop(line, sag); err != nil {
		return nil, err
	}
	return line, nil
}

// trimmed returns the loop through the clear ones of the samples and the
// corners between them.
func (p parallel) trimmed(params []float64, sag float64) (Polygon, error) {
	first := 0
	for first < len(params) && !p.clear(params[first]) {
		first++
	}
	if first == len(params) {
		return nil, &OffsetError{At: p.Centroid(), Reason: fmt.Sprintf("nothing is left at %.2f mm", p.d)}
	}
	lo, hi := p.Period()
	round := append([]float64(nil), params[first:]...)
	for _, u := range params[:first+1] {
		round = append(round, u+(hi-lo))
	}
	loop := trimmedLoop{merge: loopMerge * sag}
	if err := p.trim(round, &loop, sag, loopRefine); err != nil {
		return nil, err
	}
	return loop.closed(), nil
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

// trim adds to the loop the clear samples but the last, and the corners
// between those that do not follow each other. The first and the last sample
// are clear.
func (p parallel) trim(us []float64, loop *trimmedLoop, sag float64, refine int) error {
	for i := 0; i+1 < len(us); {
		loop.add(p.raw(us[i]), false)
		j := i + 1
		for j+1 < len(us) && !p.clear(us[j]) {
			j++
		}
		if j > i+1 {
			if err := p.bridge(us[i:j+1], loop, sag, refine); err != nil {
				return err
			}
		}
		i = j
	}
	return nil
}

// bridge adds what lies between two clear samples with none between them: the
// crossing of the branch that ends after the first with that which starts
// before the last. Where what is left of a corner is an arc of a few
// hundredths, scraps of the offset too small for the samples may lie between
// the two. They are sought with finer samples; what is not found then is
// bridged straight.
func (p parallel) bridge(us []float64, loop *trimmedLoop, sag float64, refine int) error {
	n := len(us)
	a, b := p.raw(p.lastClear(us[0], us[1])), p.raw(p.lastClear(us[n-1], us[n-2]))
	switch gap := r2.Norm(r2.Sub(a, b)); {
	case gap <= loopMerge*sag:
		loop.add(r2.Scale(0.5, r2.Add(a, b)), true)
	case gap > loopReach+10*sag:
		return &OffsetError{At: a, Reason: fmt.Sprintf("it falls into several pieces at %.2f mm", p.d)}
	case refine > 0:
		return p.trim(splitSpans(us, func(int) int { return 4 }), loop, sag, refine-1)
	default:
		loop.add(a, true)
		loop.add(b, true)
	}
	return nil
}

// lastClear returns the last clear parameter on the way from the clear one u
// to the other one v, by bisection.
func (p parallel) lastClear(u, v float64) float64 {
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
		for k := range loopCheck {
			q := r2.Add(a, r2.Scale(float64(k)/loopCheck, r2.Sub(b, a)))
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
