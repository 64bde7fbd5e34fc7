package geom

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// boxTree is a binary tree of upright boxes over a sequence of pieces that
// follow one another along a line. Near pieces of the sequence are near in
// space, so the order of the line is a good enough order for the tree.
//
// Node k has the children 2k and 2k+1, the root is node 1 and piece i is leaf
// size+i. Leaves beyond the last piece hold an empty box that is nowhere.
type boxTree struct {
	n, size int
	box     []r2.Box
}

// newBoxTree builds the tree over n pieces. Cost: linear.
func newBoxTree(n int, leaf func(i int) r2.Box) *boxTree {
	size := 1
	for size < n {
		size *= 2
	}
	t := &boxTree{n: n, size: size, box: make([]r2.Box, 2*size)}
	for i := range size {
		if i < n {
			t.box[size+i] = leaf(i)
		} else {
			t.box[size+i] = nowhere
		}
	}
	for k := size - 1; k >= 1; k-- {
		t.box[k] = enclose(t.box[2*k], t.box[2*k+1])
	}
	return t
}

// nowhere is the box that holds nothing and is infinitely far from all points.
var nowhere = r2.Box{
	Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)},
	Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)},
}

// enclose returns the least box about two; unlike r2.Box.Union it takes flat
// boxes for what they are.
func enclose(a, b r2.Box) r2.Box {
	return r2.Box{
		Min: r2.Vec{X: math.Min(a.Min.X, b.Min.X), Y: math.Min(a.Min.Y, b.Min.Y)},
		Max: r2.Vec{X: math.Max(a.Max.X, b.Max.X), Y: math.Max(a.Max.Y, b.Max.Y)},
	}
}

// segmentBox returns the box about a segment.
func segmentBox(a, b r2.Vec) r2.Box {
	return r2.Box{
		Min: r2.Vec{X: math.Min(a.X, b.X), Y: math.Min(a.Y, b.Y)},
		Max: r2.Vec{X: math.Max(a.X, b.X), Y: math.Max(a.Y, b.Y)},
	}
}

// distance2 returns the squared distance from p to the box of node k, nought
// inside.
func (t *boxTree) distance2(k int, p r2.Vec) float64 {
	b := &t.box[k]
	dx, dy := 0.0, 0.0
	if p.X < b.Min.X {
		dx = b.Min.X - p.X
	} else if p.X > b.Max.X {
		dx = p.X - b.Max.X
	}
	if p.Y < b.Min.Y {
		dy = b.Min.Y - p.Y
	} else if p.Y > b.Max.Y {
		dy = p.Y - b.Max.Y
	}
	return dx*dx + dy*dy
}

// overlaps calls visit for every pair of pieces i < j whose boxes touch, until
// it returns false. Cost: about n log n where the line does not crowd itself.
func (t *boxTree) overlaps(visit func(i, j int) bool) { t.within(1, visit) }

// within visits the pairs below node k.
func (t *boxTree) within(k int, visit func(i, j int) bool) bool {
	if k >= t.size {
		return true
	}
	return t.within(2*k, visit) && t.within(2*k+1, visit) && t.between(2*k, 2*k+1, visit)
}

// between visits the pairs with one piece below node a and one below node b,
// which are on the same level, a before b.
func (t *boxTree) between(a, b int, visit func(i, j int) bool) bool {
	if !touch(&t.box[a], &t.box[b]) {
		return true
	}
	if a >= t.size {
		return visit(a-t.size, b-t.size)
	}
	return t.between(2*a, 2*b, visit) && t.between(2*a, 2*b+1, visit) &&
		t.between(2*a+1, 2*b, visit) && t.between(2*a+1, 2*b+1, visit)
}

// touch tells whether two boxes have a point in common.
func touch(a, b *r2.Box) bool {
	return a.Min.X <= b.Max.X && b.Min.X <= a.Max.X && a.Min.Y <= b.Max.Y && b.Min.Y <= a.Max.Y
}
