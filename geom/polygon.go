package geom

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Polygon is a closed line of straight edges in plan: edge i runs from point i
// to point i+1, the last back to the first, which is not repeated.
type Polygon []r2.Vec

// CrossingError tells that a closed line touches or crosses itself.
type CrossingError struct {
	At    r2.Vec // where, mm
	Edges [2]int // the two edges; of a curve, its two spans
}

func (e *CrossingError) Error() string {
	return fmt.Sprintf("geom: the line crosses itself at (%.2f, %.2f)", e.At.X, e.At.Y)
}

// edge returns the ends of edge i.
func (p Polygon) edge(i int) (a, b r2.Vec) { return p[i], p[(i+1)%len(p)] }

// Area returns the signed area in mm², positive where the polygon runs
// counter-clockwise.
func (p Polygon) Area() float64 {
	if len(p) < 3 {
		return 0
	}
	o, twice := p[0], 0.0 // about the first point, to help with rounding
	for i := range p {
		a, b := p.edge(i)
		twice += r2.Cross(r2.Sub(a, o), r2.Sub(b, o))
	}
	return twice / 2
}

// Perimeter returns the length of the edges in mm.
func (p Polygon) Perimeter() float64 {
	sum := 0.0
	for i := range p {
		a, b := p.edge(i)
		sum += r2.Norm(r2.Sub(b, a))
	}
	return sum
}

// Centroid returns the centroid of the enclosed area; the mean of the points
// where they enclose none, and nought for no points.
func (p Polygon) Centroid() r2.Vec {
	if len(p) == 0 {
		return r2.Vec{}
	}
	o, twice := p[0], 0.0
	var moment, mean r2.Vec
	for i := range p {
		a, b := p.edge(i)
		a, b = r2.Sub(a, o), r2.Sub(b, o)
		w := r2.Cross(a, b)
		twice += w
		moment = r2.Add(moment, r2.Scale(w/3, r2.Add(a, b)))
		mean = r2.Add(mean, r2.Scale(1/float64(len(p)), a))
	}
	if math.Abs(twice) < 1e-300 {
		return r2.Add(o, mean)
	}
	return r2.Add(o, r2.Scale(1/twice, moment))
}

// Contains tells whether q lies inside by the even-odd rule: a ray from q to
// the right meets an odd number of edges. A point on an edge may come out
// either way. Cost: linear.
func (p Polygon) Contains(q r2.Vec) bool {
	inside := false
	for i := range p {
		a, b := p.edge(i)
		if (a.Y > q.Y) == (b.Y > q.Y) {
			continue
		}
		side := r2.Cross(r2.Sub(b, a), r2.Sub(q, a)) // q left of a rising edge or right of a falling one
		if (b.Y > a.Y && side > 0) || (b.Y < a.Y && side < 0) {
			inside = !inside
		}
	}
	return inside
}

// Distance returns the least distance from q to the edges in mm, never
// negative; infinite for no points. Cost: linear.
func (p Polygon) Distance(q r2.Vec) float64 {
	least := math.Inf(1)
	for i := range p {
		a, b := p.edge(i)
		least = math.Min(least, toSegment(q, a, b))
	}
	return least
}

// toSegment returns the distance from q to the segment from a to b.
func toSegment(q, a, b r2.Vec) float64 {
	ab, aq := r2.Sub(b, a), r2.Sub(q, a)
	s := 0.0
	if l := r2.Norm2(ab); l > 0 {
		s = math.Min(math.Max(r2.Dot(aq, ab)/l, 0), 1)
	}
	return math.Hypot(aq.X-s*ab.X, aq.Y-s*ab.Y)
}

// IsSimple returns nil where the polygon has three points or more, all finite,
// no edge without length, and no two edges that meet other than neighbours in
// their common end; else an error, a *CrossingError where two edges meet.
// Cost: n log n for an ordinary outline.
func (p Polygon) IsSimple() error {
	if len(p) < 3 {
		return fmt.Errorf("geom: polygon: %d points, want 3 or more", len(p))
	}
	for i := range p {
		a, b := p.edge(i)
		if !finite(a.X) || !finite(a.Y) {
			return fmt.Errorf("geom: polygon: point %d is not finite", i)
		}
		if a == b {
			return fmt.Errorf("geom: polygon: point %d at (%.2f, %.2f) is there twice", i, a.X, a.Y)
		}
	}
	tree := newBoxTree(len(p), func(i int) r2.Box { return segmentBox(p.edge(i)) })
	var found *CrossingError
	tree.overlaps(func(i, j int) bool {
		if at, meet := p.edgesMeet(i, j); meet {
			found = &CrossingError{At: at, Edges: [2]int{i, j}}
		}
		return found == nil
	})
	if found != nil {
		return found
	}
	return nil
}

// edgesMeet tells whether edges i < j meet, neighbours elsewhere than in their
// common end, and where.
func (p Polygon) edgesMeet(i, j int) (at r2.Vec, meet bool) {
	a, b := p.edge(i)
	c, d := p.edge(j)
	switch n := len(p); {
	case j == i+1: // b == c: they meet again only where the line doubles back
		return b, doublesBack(a, b, d)
	case i == 0 && j == n-1: // d == a
		return a, doublesBack(c, a, b)
	}
	return segmentsMeet(a, b, c, d)
}

// doublesBack tells whether b to c runs straight back over a to b.
func doublesBack(a, b, c r2.Vec) bool {
	u, v := r2.Sub(b, a), r2.Sub(c, b)
	return r2.Cross(u, v) == 0 && r2.Dot(u, v) < 0
}

// segmentsMeet tells whether the segments ab and cd have a point in common and
// gives one.
func segmentsMeet(a, b, c, d r2.Vec) (at r2.Vec, meet bool) {
	ab, cd := r2.Sub(b, a), r2.Sub(d, c)
	c1, d1 := r2.Cross(ab, r2.Sub(c, a)), r2.Cross(ab, r2.Sub(d, a))
	a1, b1 := r2.Cross(cd, r2.Sub(a, c)), r2.Cross(cd, r2.Sub(b, c))
	if opposite(c1, d1) && opposite(a1, b1) {
		return r2.Add(a, r2.Scale(a1/(a1-b1), ab)), true
	}
	// An end of one on the other.
	for _, t := range []struct {
		cross   float64
		p, l, r r2.Vec
	}{{c1, c, a, b}, {d1, d, a, b}, {a1, a, c, d}, {b1, b, c, d}} {
		if t.cross == 0 && r2.Dot(r2.Sub(t.p, t.l), r2.Sub(t.p, t.r)) <= 0 {
			return t.p, true
		}
	}
	return r2.Vec{}, false
}

// opposite tells whether x and y have opposite signs, neither nought.
func opposite(x, y float64) bool { return (x > 0 && y < 0) || (x < 0 && y > 0) }
