package firstcut

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// Ledge is the surface that carries the pane: the facets of a body that a plumb
// line meets inside the wall, beside the groove and the opening.
type Ledge struct {
	facets [][3]r3.Vec
	dishes [][3]dish // at their corners
	cells  *cells
	points []r3.Vec // corners of the facets and middles of their sides
}

// newLedge finds the ledge: of the upward facets that hang together, those that
// lie under a place ten millimetres inside the wall.
func newLedge(m *geom.Mesh, w *Wall) (*Ledge, error) {
	const in = 10.0 // mm from the wall: on the ledge of any usual pocket
	group := upward(m)
	all := newCells(10)
	for i, t := range m.T {
		if group[i] >= 0 {
			all.add(i, planOf(m.V[t[0]]), planOf(m.V[t[1]]), planOf(m.V[t[2]]))
		}
	}
	votes := map[int32]int{}
	n := len(w.Line)
	for k := 0; k < n; k += max(1, n/200) {
		d := r2.Unit(r2.Sub(w.Line[(k+1)%n], w.Line[k]))
		q := r2.Add(w.Line[k], r2.Scale(in, r2.Vec{X: -d.Y, Y: d.X}))
		for _, i := range all.in[all.of(q)] {
			if t := m.T[i]; over(q, m.V[t[0]], m.V[t[1]], m.V[t[2]]) {
				votes[group[i]]++
				break
			}
		}
	}
	best, most := int32(-1), 0
	for g, v := range votes {
		if v > most || v == most && g < best {
			best, most = g, v
		}
	}
	if best < 0 {
		return nil, errors.New("firstcut: the body has no ledge inside the wall")
	}
	var of [][3]int32
	for i, t := range m.T {
		if group[i] == best {
			of = append(of, t)
		}
	}
	return ledgeOf(m.V, of), nil
}

// ledgeOf makes the ledge of its facets.
func ledgeOf(v []r3.Vec, facets [][3]int32) *Ledge {
	number := map[int32]int{}
	var corners []r3.Vec
	for _, t := range facets {
		for _, k := range t {
			if _, known := number[k]; !known {
				number[k] = len(corners)
				corners = append(corners, v[k])
			}
		}
	}
	round := dishes(corners)
	l := &Ledge{cells: newCells(10), points: corners}
	middles := map[[2]int32]bool{}
	for _, t := range facets {
		f := [3]r3.Vec{v[t[0]], v[t[1]], v[t[2]]}
		l.cells.add(len(l.facets), planOf(f[0]), planOf(f[1]), planOf(f[2]))
		l.facets = append(l.facets, f)
		l.dishes = append(l.dishes, [3]dish{round[number[t[0]]], round[number[t[1]]], round[number[t[2]]]})
		for k, a := range t {
			if b := t[(k+1)%3]; !middles[[2]int32{b, a}] {
				middles[[2]int32{a, b}] = true
				l.points = append(l.points, r3.Scale(0.5, r3.Add(v[a], v[b])))
			}
		}
	}
	return l
}

// upward numbers the groups of upward facets that hang together by their sides;
// -1 for the others.
func upward(m *geom.Mesh) []int32 {
	group := make([]int32, len(m.T))
	for i, t := range m.T {
		n := r3.Cross(r3.Sub(m.V[t[1]], m.V[t[0]]), r3.Sub(m.V[t[2]], m.V[t[0]]))
		group[i] = int32(i)
		if n.Z < 1e-6*r3.Norm(n) {
			group[i] = -1
		}
	}
	find := func(i int32) int32 {
		for group[i] != i {
			group[i] = group[group[i]]
			i = group[i]
		}
		return i
	}
	side := map[[2]int32]int32{}
	for i, t := range m.T {
		if group[i] < 0 {
			continue
		}
		for k := range t {
			a, b := t[k], t[(k+1)%3]
			if j, ok := side[[2]int32{b, a}]; ok {
				x, y := find(int32(i)), find(j)
				group[max(x, y)] = min(x, y)
			}
			side[[2]int32{a, b}] = int32(i)
		}
	}
	for i := range group {
		if group[i] >= 0 {
			group[i] = find(int32(i))
		}
	}
	return group
}

// over tells whether q lies over the triangle a, b, c, which runs
// counter-clockwise.
func over(q r2.Vec, a, b, c r3.Vec) bool {
	const slack = 1e-7 // mm²
	side := func(a, b r3.Vec) float64 { return r2.Cross(r2.Sub(planOf(b), planOf(a)), r2.Sub(q, planOf(a))) }
	return side(a, b) >= -slack && side(b, c) >= -slack && side(c, a) >= -slack
}

// Eval is the smooth surface that the facets' corners lie on, which is what a
// pane slides on; the gaps are taken over the facets. Beside the ledge it goes on
// from the nearest place on it.
func (l *Ledge) Eval(x, y float64) geom.Height {
	q := r2.Vec{X: x, Y: y}
	if i := l.under(q); i >= 0 {
		return l.at(i, q)
	}
	i, near := l.nearest(q)
	h := l.at(i, near)
	h.Z += h.Zx*(x-near.X) + h.Zy*(y-near.Y)
	return h
}

// under is the number of the facet under q, -1 beside the ledge.
func (l *Ledge) under(q r2.Vec) int {
	for _, i := range l.cells.in[l.cells.of(q)] {
		if f := l.facets[i]; over(q, f[0], f[1], f[2]) {
			return int(i)
		}
	}
	return -1
}

// at is the surface over q, between those about the corners of facet i.
func (l *Ledge) at(i int, q r2.Vec) (h geom.Height) {
	f := l.facets[i]
	a, b, c := planOf(f[0]), planOf(f[1]), planOf(f[2])
	all := r2.Cross(r2.Sub(b, a), r2.Sub(c, a))
	for k, part := range [3]float64{
		r2.Cross(r2.Sub(b, q), r2.Sub(c, q)), r2.Cross(r2.Sub(c, q), r2.Sub(a, q)), r2.Cross(r2.Sub(a, q), r2.Sub(b, q)),
	} {
		part /= all
		d := l.dishes[i][k].over(q)
		h.Z += part * d.Z
		h.Zx += part * d.Zx
		h.Zy += part * d.Zy
	}
	return h
}

// nearest is the facet with the corner nearest to q, and that corner.
func (l *Ledge) nearest(q r2.Vec) (facet int, at r2.Vec) {
	least := math.Inf(1)
	for i, f := range l.facets {
		for _, p := range f {
			if d := r2.Norm2(r2.Sub(planOf(p), q)); d < least {
				facet, at, least = i, planOf(p), d
			}
		}
	}
	return facet, at
}
