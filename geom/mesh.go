package geom

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Mesh is a body bounded by flat triangles, in mm. Each triangle names three
// points of V, counter-clockwise seen from outside.
type Mesh struct {
	V []r3.Vec
	T [][3]int32
}

// leastTriangle is twice the area, in mm², below which a triangle counts as
// degenerate. It lies far under the smallest triangle of the micron grid.
const leastTriangle = 1e-9

// MeshError names the first fault of a mesh.
type MeshError struct {
	Triangle int // index into T, -1 where no single triangle is at fault
	Reason   string
}

func (e *MeshError) Error() string {
	if e.Triangle < 0 {
		return "geom: mesh: " + e.Reason
	}
	return fmt.Sprintf("geom: mesh: triangle %d: %s", e.Triangle, e.Reason)
}

// Validate returns nil where the mesh bounds a solid: every coordinate finite,
// every triangle with three different points and an area, every edge used
// exactly once each way (closed, consistently turned, no triangle twice), no
// unused point, volume above zero. Otherwise it returns a *MeshError for the
// first fault. It does not look for triangles that pass through one another.
//
// Cost: linear but for sorting the edges at each point, about 15 ms for
// 100,000 triangles.
func (m *Mesh) Validate() error {
	if len(m.T) == 0 {
		return &MeshError{-1, "no triangles"}
	}
	for i, v := range m.V {
		if s := v.X + v.Y + v.Z; math.IsNaN(s) || math.IsInf(s, 0) {
			return &MeshError{-1, fmt.Sprintf("point %d is not finite", i)}
		}
	}
	if err := m.checkTriangles(); err != nil {
		return err
	}
	if err := m.checkEdges(); err != nil {
		return err
	}
	if v := m.Volume(); !(v > 0) {
		return &MeshError{-1, fmt.Sprintf("volume %g mm³: turned inside out", v)}
	}
	return nil
}

// checkTriangles looks at each triangle by itself, then for unused points.
func (m *Mesh) checkTriangles() error {
	used := make([]bool, len(m.V))
	for i, t := range m.T {
		for _, v := range t {
			if v < 0 || int(v) >= len(m.V) {
				return &MeshError{i, fmt.Sprintf("names point %d, which is not there", v)}
			}
			used[v] = true
		}
		if !(r3.Norm(m.cross(t)) > leastTriangle) {
			return &MeshError{i, "has no area"}
		}
	}
	if i := slices.Index(used, false); i >= 0 {
		return &MeshError{-1, fmt.Sprintf("point %d is not used", i)}
	}
	return nil
}

// checkEdges makes sure that every edge is used exactly once each way.
func (m *Mesh) checkEdges() error {
	leaving := m.edgesLeaving()
	for v, uses := range leaving {
		for i, u := range uses {
			if i > 0 && u.to == uses[i-1].to {
				return &MeshError{int(u.tri), fmt.Sprintf("uses the edge %s as triangle %d does", m.edgeName(int32(v), u.to), uses[i-1].tri)}
			}
		}
	}
	for v, uses := range leaving {
		for _, u := range uses {
			_, ok := slices.BinarySearchFunc(leaving[u.to], int32(v), func(a edgeUse, to int32) int { return cmp.Compare(a.to, to) })
			if !ok {
				return &MeshError{int(u.tri), fmt.Sprintf("edge %s is open", m.edgeName(int32(v), u.to))}
			}
		}
	}
	return nil
}

// edgeUse is one triangle's use of an edge, seen from the point it leaves.
type edgeUse struct{ to, tri int32 }

// edgesLeaving returns, for each point, the uses of edges that leave it, sorted.
func (m *Mesh) edgesLeaving() [][]edgeUse {
	count := make([]int, len(m.V))
	for _, t := range m.T {
		for _, v := range t {
			count[v]++
		}
	}
	leaving := make([][]edgeUse, len(m.V))
	all := make([]edgeUse, 3*len(m.T))
	for v, n := range count {
		leaving[v], all = all[:0:n], all[n:]
	}
	for i, t := range m.T {
		for k, v := range t {
			leaving[v] = append(leaving[v], edgeUse{t[(k+1)%3], int32(i)})
		}
	}
	for _, uses := range leaving {
		slices.SortFunc(uses, func(a, b edgeUse) int {
			return cmp.Or(cmp.Compare(a.to, b.to), cmp.Compare(a.tri, b.tri))
		})
	}
	return leaving
}

func (m *Mesh) edgeName(v, w int32) string {
	p := m.V[v]
	return fmt.Sprintf("%d-%d at (%.3f, %.3f, %.3f)", v, w, p.X, p.Y, p.Z)
}

// cross returns twice the triangle's area along its outward normal.
func (m *Mesh) cross(t [3]int32) r3.Vec {
	a := m.V[t[0]]
	return r3.Cross(r3.Sub(m.V[t[1]], a), r3.Sub(m.V[t[2]], a))
}

// Volume returns the enclosed volume in mm³, negative where the mesh is turned
// inside out, and meaningless where it is not closed. It is summed about the
// middle of the box, to lose no digits on a body far from the origin.
func (m *Mesh) Volume() float64 {
	box := m.Box()
	o := r3.Scale(0.5, r3.Add(box.Min, box.Max))
	var six float64
	for _, t := range m.T {
		six += r3.Dot(r3.Sub(m.V[t[0]], o), m.cross(t))
	}
	return six / 6
}

// Area returns the area of all triangles in mm².
func (m *Mesh) Area() float64 {
	var two float64
	for _, t := range m.T {
		two += r3.Norm(m.cross(t))
	}
	return two / 2
}

// Box returns the smallest box round the points, the zero box for none.
func (m *Mesh) Box() r3.Box {
	if len(m.V) == 0 {
		return r3.Box{}
	}
	box := r3.Box{Min: m.V[0], Max: m.V[0]}
	for _, v := range m.V[1:] {
		box.Min = r3.Vec{X: min(box.Min.X, v.X), Y: min(box.Min.Y, v.Y), Z: min(box.Min.Z, v.Z)}
		box.Max = r3.Vec{X: max(box.Max.X, v.X), Y: max(box.Max.Y, v.Y), Z: max(box.Max.Z, v.Z)}
	}
	return box
}
