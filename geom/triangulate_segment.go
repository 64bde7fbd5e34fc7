package geom

import "fmt"

// insertSegment makes the segment from point a to point z out of fixed edges.
func (b *planBuilder) insertSegment(a, z int32) error {
	n := int32(len(b.p))
	if a < 0 || z < 0 || a >= n || z >= n {
		return &PlanError{Reason: fmt.Sprintf("segment %d-%d names a point that is not there", a, z)}
	}
	if a == z {
		return &PlanError{b.p[a].Vec(), "a segment without length"}
	}
	for a != z {
		e, reached := b.leave(a, z)
		if reached >= 0 {
			b.fix(e)
			a = reached
			continue
		}
		end, crossed, err := b.cross(a, z, e)
		if err != nil {
			return err
		}
		b.clear(a, end, crossed)
		b.fix(b.edge(a, end))
		b.makeDelaunay()
		a = end
	}
	return nil
}

// leave returns how the way from point a to point z begins: along the edge e to
// the point reached; or, with reached = -1, through the triangle whose edge e
// lies opposite a and runs from the right of the way to the left.
func (b *planBuilder) leave(a, z int32) (e, reached int32) {
	pa, pz := b.p[a], b.p[z]
	for e = b.first(a); ; {
		v, w := b.vert[next(e)], b.vert[prev(e)]
		side := orient(pa, pz, b.p[v])
		if side == 0 && along(pa, pz, b.p[v]) > 0 {
			return e, v
		}
		if side < 0 && orient(pa, pz, b.p[w]) > 0 {
			return next(e), -1
		}
		back := prev(e)
		if e = b.twin[back]; e < 0 {
			return back, w // the last edge at a hull point: no other way is left
		}
	}
}

// first returns the half-edge that leaves a and has no neighbour clockwise
// about it, or any where a is not on the hull.
func (b *planBuilder) first(a int32) int32 {
	e := b.out[a]
	for f := b.twin[e]; f >= 0; f = b.twin[e] {
		if e = next(f); e == b.out[a] {
			break
		}
	}
	return e
}

// cross follows the way from a to z, which leaves a's triangle through half-edge
// e, to the first point on it. It returns that point and the edges crossed.
func (b *planBuilder) cross(a, z, e int32) (end int32, crossed [][2]int32, err error) {
	pa, pz := b.p[a], b.p[z]
	for {
		if b.fixed[e] {
			return 0, nil, &PlanError{crossing(pa, pz, b.p[b.vert[e]], b.p[b.vert[next(e)]]).Vec(), "two segments cross"}
		}
		crossed = append(crossed, [2]int32{b.vert[e], b.vert[next(e)]})
		f := b.twin[e]
		end = b.vert[prev(f)]
		switch side := orient(pa, pz, b.p[end]); {
		case side == 0:
			return end, crossed, nil
		case side > 0:
			e = next(f)
		default:
			e = prev(f)
		}
	}
}

// crossing returns where the segments a-z and v-w, which cross, do so, rounded
// to the grid.
func crossing(a, z, v, w PlanPoint) PlanPoint {
	s, t := float64(orient(a, z, v)), float64(orient(a, z, w))
	f := s / (s - t)
	return PlanPoint{v.X + int64(f*float64(w.X-v.X)), v.Y + int64(f*float64(w.Y-v.Y))}
}

// clear flips the crossed edges until none crosses the way from a to z, and
// leaves the new edges on the stack for makeDelaunay.
func (b *planBuilder) clear(a, z int32, crossed [][2]int32) {
	pa, pz := b.p[a], b.p[z]
	var made [][2]int32
	for len(crossed) > 0 {
		c := crossed[0]
		crossed = crossed[1:]
		e := b.edge(c[0], c[1])
		f := b.twin[e]
		w, x := b.vert[prev(e)], b.vert[prev(f)]
		if orient(b.p[x], b.p[w], b.p[c[0]]) <= 0 || orient(b.p[x], b.p[w], b.p[c[1]]) >= 0 {
			crossed = append(crossed, c) // not convex yet
			continue
		}
		b.flip(e)
		sw, sx := orient(pa, pz, b.p[w]), orient(pa, pz, b.p[x])
		if (sw < 0 && sx > 0) || (sw > 0 && sx < 0) {
			crossed = append(crossed, [2]int32{w, x})
		} else {
			made = append(made, [2]int32{w, x})
		}
	}
	for _, m := range made {
		b.stack = append(b.stack, b.edge(m[0], m[1]))
	}
}

// edge returns the half-edge v→w, or w→v where v→w would be outside the hull.
// The edge must be there.
func (b *planBuilder) edge(v, w int32) int32 {
	for e := b.first(v); ; {
		if b.vert[next(e)] == w {
			return e
		}
		back := prev(e)
		if b.vert[back] == w && b.twin[back] < 0 {
			return back
		}
		e = b.twin[back]
	}
}

func (b *planBuilder) fix(e int32) {
	b.fixed[e] = true
	if f := b.twin[e]; f >= 0 {
		b.fixed[f] = true
	}
}
