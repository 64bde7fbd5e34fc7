package geom

import (
	"cmp"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// PlanError says why a plan could not be triangulated, and where.
type PlanError struct {
	At     r2.Vec // mm
	Reason string
}

func (e *PlanError) Error() string {
	return fmt.Sprintf("geom: plan at (%.3f, %.3f) mm: %s", e.At.X, e.At.Y, e.Reason)
}

// Triangulation is a constrained Delaunay triangulation of the convex hull of
// its points.
//
// Edge k of triangle t runs from T[t][k] to T[t][(k+1)%3].
type Triangulation struct {
	P     []PlanPoint
	T     [][3]int32 // counter-clockwise, no triangle without area
	N     [][3]int32 // triangle beyond edge k, -1 outside the hull
	Fixed [][3]bool  // edge k is (part of) a constraint
}

// Triangulate returns the constrained Delaunay triangulation of pts: its
// triangles fill the convex hull, every segment of segs (pairs of indices into
// pts) is made of edges, and no point lies inside the circle of a triangle
// that can see it past the segments. A segment through a point is split there.
//
// Every decision is exact, so the result is right for any input; it depends on
// nothing but the input. The errors are *PlanError, with the place: fewer than
// three points, all points on one line, two points alike, a coordinate out of
// bounds, a segment without length or two segments that cross.
//
// The points are taken in the order of x, then y: each lies outside the hull of
// those before it, is joined to the hull edges it can see, and edges are
// flipped until all are Delaunay (Lawson 1977). Segments are then brought in by
// flipping the edges they cross (Sloan, Computers & Structures 47, 1993,
// 441-450). Cost: sorting, plus a few flips a point on usual plans; see
// BenchmarkTriangulate.
func Triangulate(pts []PlanPoint, segs [][2]int32) (*Triangulation, error) {
	b := newPlanBuilder(pts)
	if err := b.sweep(); err != nil {
		return nil, err
	}
	for _, s := range segs {
		if err := b.insertSegment(s[0], s[1]); err != nil {
			return nil, err
		}
	}
	return b.triangulation(), nil
}

// Regions numbers the parts of the plan that constraints separate: one number
// a triangle, equal where a path joins two triangles without crossing a
// constraint. Numbers count up from 0 in the order of each part's first
// triangle; n is how many there are.
func (t *Triangulation) Regions() (region []int32, n int) {
	region = make([]int32, len(t.T))
	for i := range region {
		region[i] = -1
	}
	var stack []int32
	for i := range t.T {
		if region[i] >= 0 {
			continue
		}
		region[i] = int32(n)
		stack = append(stack[:0], int32(i))
		for len(stack) > 0 {
			j := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			for k, other := range t.N[j] {
				if other >= 0 && !t.Fixed[j][k] && region[other] < 0 {
					region[other] = int32(n)
					stack = append(stack, other)
				}
			}
		}
		n++
	}
	return region, n
}

// planBuilder holds a triangulation as half-edges: half-edge e belongs to
// triangle e/3 and runs from vert[e] to vert[next(e)], its triangle on the left.
type planBuilder struct {
	p     []PlanPoint
	vert  []int32
	twin  []int32 // the half-edge the other way, -1 on the hull
	fixed []bool
	out   []int32 // per point: one half-edge that leaves it
	stack []int32 // half-edges to be made Delaunay

	// The hull, counter-clockwise, while points are brought in.
	hullNext, hullPrev []int32
	hullEdge           []int32 // per hull point: the half-edge to hullNext
}

func newPlanBuilder(pts []PlanPoint) *planBuilder {
	n := len(pts)
	perPoint := make([]int32, 4*n)
	return &planBuilder{
		p:        pts,
		vert:     make([]int32, 0, 6*n),
		twin:     make([]int32, 0, 6*n),
		fixed:    make([]bool, 0, 6*n),
		out:      perPoint[:n],
		hullNext: perPoint[n : 2*n],
		hullPrev: perPoint[2*n : 3*n],
		hullEdge: perPoint[3*n:],
	}
}

func next(e int32) int32 {
	if e%3 == 2 {
		return e - 2
	}
	return e + 1
}

func prev(e int32) int32 {
	if e%3 == 0 {
		return e + 2
	}
	return e - 1
}

// sorted returns the points' indices by x, then y, or the error for points
// that cannot be triangulated.
func (b *planBuilder) sorted() ([]int32, error) {
	if len(b.p) < 3 {
		return nil, &PlanError{Reason: fmt.Sprintf("%d points, three are needed", len(b.p))}
	}
	order := make([]int32, len(b.p))
	for i, q := range b.p {
		if !q.inBounds() {
			return nil, &PlanError{q.Vec(), fmt.Sprintf("point %d is not a place on the grid", i)}
		}
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(i, j int32) int {
		a, c := b.p[i], b.p[j]
		return cmp.Or(cmp.Compare(a.X, c.X), cmp.Compare(a.Y, c.Y), cmp.Compare(i, j))
	})
	for k := 1; k < len(order); k++ {
		if i, j := order[k-1], order[k]; b.p[i] == b.p[j] {
			return nil, &PlanError{b.p[i].Vec(), fmt.Sprintf("points %d and %d are alike", i, j)}
		}
	}
	return order, nil
}

// sweep triangulates the points without regard to segments.
func (b *planBuilder) sweep() error {
	order, err := b.sorted()
	if err != nil {
		return err
	}
	k := 2
	for k < len(order) && orient(b.p[order[0]], b.p[order[1]], b.p[order[k]]) == 0 {
		k++
	}
	if k == len(order) {
		return &PlanError{b.p[order[0]].Vec(), "all points lie on one line"}
	}
	b.start(order[:k], order[k])
	for ; k+1 < len(order); k++ {
		b.extend(order[k], order[k+1])
	}
	return nil
}

// start makes the first triangles: a fan from apex over a straight chain.
func (b *planBuilder) start(chain []int32, apex int32) {
	if orient(b.p[chain[0]], b.p[chain[1]], b.p[apex]) < 0 {
		chain = slices.Clone(chain)
		slices.Reverse(chain)
	}
	side := int32(-1) // the last triangle's edge from its chain end to apex
	for i := 1; i < len(chain); i++ {
		e := b.add(chain[i-1], chain[i], apex, -1, -1, side)
		b.link(chain[i-1], chain[i], e)
		if i == 1 {
			b.link(apex, chain[0], e+2)
		}
		side = e + 1
	}
	b.link(chain[len(chain)-1], apex, side)
	b.makeDelaunay()
}

// extend joins point q to the hull. Point last was the one before it, so it is
// on the hull and q sees it.
func (b *planBuilder) extend(last, q int32) {
	sees := func(from int32) bool {
		return orient(b.p[from], b.p[b.hullNext[from]], b.p[q]) < 0
	}
	first, end := last, last
	for sees(b.hullPrev[first]) {
		first = b.hullPrev[first]
	}
	for sees(end) {
		end = b.hullNext[end]
	}
	side := int32(-1) // edge q→v of the triangle before
	for v := first; v != end; {
		w := b.hullNext[v]
		e := b.add(w, v, q, b.hullEdge[v], side, -1)
		if v == first {
			b.link(first, q, e+1)
		}
		side = e + 2
		v = w
	}
	b.link(q, end, side)
	b.makeDelaunay()
}

// link makes v→w, the half-edge e, part of the hull.
func (b *planBuilder) link(v, w, e int32) {
	b.hullNext[v], b.hullPrev[w], b.hullEdge[v] = w, v, e
}

// add appends the triangle u, v, w whose edges u→v, v→w, w→u have the given
// twins, returns its first half-edge and marks its edges for makeDelaunay.
func (b *planBuilder) add(u, v, w int32, twins ...int32) int32 {
	e := int32(len(b.vert))
	b.vert = append(b.vert, u, v, w)
	b.twin = append(b.twin, twins...)
	b.fixed = append(b.fixed, false, false, false)
	for k, other := range twins {
		if other >= 0 {
			b.twin[other] = e + int32(k)
			b.stack = append(b.stack, e+int32(k))
		}
	}
	b.out[u], b.out[v], b.out[w] = e, e+1, e+2
	return e
}

// makeDelaunay flips the edges on the stack, and those that flips disturb,
// until every one but the fixed is Delaunay.
func (b *planBuilder) makeDelaunay() {
	for len(b.stack) > 0 {
		e := b.stack[len(b.stack)-1]
		b.stack = b.stack[:len(b.stack)-1]
		f := b.twin[e]
		if f < 0 || b.fixed[e] {
			continue
		}
		u, v := b.vert[e], b.vert[f]
		w, x := b.vert[prev(e)], b.vert[prev(f)]
		if inCircle(b.p[u], b.p[v], b.p[w], b.p[x]) > 0 {
			b.flip(e)
			b.stack = append(b.stack, e, next(e), f, next(f))
		}
	}
}

// flip turns the edge e in the quadrilateral of its two triangles:
//
//	  w                 w
//	 / \               /|\
//	u-e-v     ->      u | v      e = x→v, next(e) = v→w, prev(e) = w→x
//	 \ /               \|/       f = w→u, next(f) = u→x, prev(f) = x→w
//	  x                 x
//
// The quadrilateral must be strictly convex.
func (b *planBuilder) flip(e int32) {
	f := b.twin[e]
	ep, fp := prev(e), prev(f)
	u, v, w, x := b.vert[e], b.vert[f], b.vert[ep], b.vert[fp]
	b.vert[e], b.vert[f] = x, w
	b.move(fp, e)
	b.move(ep, f)
	b.twin[ep], b.twin[fp] = fp, ep
	b.fixed[ep], b.fixed[fp] = false, false
	b.out[u], b.out[v], b.out[w], b.out[x] = next(f), next(e), f, e
}

// move gives half-edge to the place in the plan that half-edge from had.
func (b *planBuilder) move(from, to int32) {
	other := b.twin[from]
	b.twin[to], b.fixed[to] = other, b.fixed[from]
	if other >= 0 {
		b.twin[other] = to
	} else {
		b.hullEdge[b.vert[to]] = to
	}
}

func (b *planBuilder) triangulation() *Triangulation {
	n := len(b.vert) / 3
	t := &Triangulation{
		P: slices.Clone(b.p), T: make([][3]int32, n), N: make([][3]int32, n), Fixed: make([][3]bool, n),
	}
	for e, v := range b.vert {
		i, k := e/3, e%3
		t.T[i][k], t.Fixed[i][k], t.N[i][k] = v, b.fixed[e], -1
		if f := b.twin[e]; f >= 0 {
			t.N[i][k] = f / 3
		}
	}
	return t
}
