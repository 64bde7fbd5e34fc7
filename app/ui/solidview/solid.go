package solidview

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// crease is the angle between neighbouring triangles from which on they are
// shaded apart.
const crease = 30 * math.Pi / 180

// body is a mesh made ready to be shaded: every corner has one place and one
// unit normal. It is not changed once made.
type body struct {
	at, normal []r3.Vec
	plan       []r2.Vec // of a pane: the point of the upper face that a corner belongs to
	tri        [][3]int32
	part       []part // of each triangle
	box        r3.Box
}

// part says which of a pane's faces a triangle belongs to.
type part uint8

const (
	edgeBand part = iota
	upperFace
	lowerFace
)

// newBody prepares any mesh, smooth but for creases.
func newBody(m *geom.Mesh) *body {
	b := &body{box: m.Box(), part: make([]part, len(m.T))}
	b.take(m, flatNormals(m), func(int) bool { return true })
	return b
}

// flatNormals are the unit normals of the triangles.
func flatNormals(m *geom.Mesh) []r3.Vec {
	flat := make([]r3.Vec, len(m.T))
	for i, t := range m.T {
		n := r3.Cross(r3.Sub(m.V[t[1]], m.V[t[0]]), r3.Sub(m.V[t[2]], m.V[t[0]]))
		if l := r3.Norm(n); l > 0 {
			flat[i] = r3.Scale(1/l, n)
		}
	}
	return flat
}

// take adds the triangles that are wanted, in the mesh's order, with the mean
// normals of those about each corner that no crease parts.
func (b *body) take(m *geom.Mesh, flat []r3.Vec, wanted func(i int) bool) {
	about := make([][]int32, len(m.V))
	for i, t := range m.T {
		if wanted(i) {
			for _, v := range t {
				about[v] = append(about[v], int32(i))
			}
		}
	}
	made := make([][]int32, len(m.V)) // corners of b at each vertex
	for i, t := range m.T {
		if !wanted(i) {
			continue
		}
		var tri [3]int32
		for k, v := range t {
			sum := r3.Vec{}
			for _, j := range about[v] {
				if r3.Dot(flat[i], flat[j]) > math.Cos(crease) {
					sum = r3.Add(sum, flat[j])
				}
			}
			if l := r3.Norm(sum); l > 0 {
				sum = r3.Scale(1/l, sum)
			}
			tri[k] = -1
			for _, c := range made[v] {
				if b.normal[c] == sum {
					tri[k] = c
				}
			}
			if tri[k] < 0 {
				tri[k] = b.corner(m.V[v], sum)
				made[v] = append(made[v], tri[k])
			}
		}
		b.tri = append(b.tri, tri)
	}
}

func (b *body) corner(at, normal r3.Vec) int32 {
	b.at, b.normal = append(b.at, at), append(b.normal, normal)
	return int32(len(b.at) - 1)
}

// partOf tells the faces by how far they lean: a pane's edge is not steeper
// than 60°, and its band stands square to it.
func partOf(n r3.Vec) part {
	switch {
	case n.Z > 0.5:
		return upperFace
	case n.Z < -0.5:
		return lowerFace
	}
	return edgeBand
}

// solid is a pane made ready to be drawn.
type solid struct {
	*body
	pane   *geom.Pane
	edges  [2][]r3.Vec // upper and lower arris, closed
	centre []r3.Vec    // along the upper face over x = 0
	sides  [3]r3.Vec   // the edge farthest left, right and up: where L, R and TOP stand
}

// newSolid meshes a pane with about n steps across its length. The normals of
// its faces are those of their surfaces, not of the triangles.
func newSolid(p *geom.Pane, n float64) (*solid, error) {
	size := p.Outline.Bounds()
	m, err := p.Mesh(max(size.Max.X-size.Min.X, size.Max.Y-size.Min.Y) / n)
	if err != nil {
		return nil, err
	}
	b := &body{box: m.Box()}
	flat := flatNormals(m)
	kind := make([]part, len(m.T))
	for i, f := range flat {
		kind[i] = partOf(f)
	}
	b.take(m, flat, func(i int) bool { return kind[i] == edgeBand })
	b.plan = make([]r2.Vec, len(b.at))
	b.part = make([]part, len(b.tri))
	for _, face := range []part{upperFace, lowerFace} {
		made := make([]int32, len(m.V)) // corner of b at each vertex, one more
		for i, t := range m.T {
			if kind[i] != face {
				continue
			}
			var tri [3]int32
			for k, v := range t {
				if made[v] == 0 {
					normal, plan := surfaceAt(p, m.V[v], face)
					made[v] = b.corner(m.V[v], normal) + 1
					b.plan = append(b.plan, plan)
				}
				tri[k] = made[v] - 1
			}
			b.tri, b.part = append(b.tri, tri), append(b.part, face)
		}
	}
	s := &solid{body: b, pane: p, sides: sidesOf(m.V)}
	s.edges = [2][]r3.Vec{alongEdge(p.UpperEdge), alongEdge(p.LowerEdge)}
	s.centre = overCentre(p, s.edges[0])
	return s, nil
}

// surfaceAt is the outward normal of a pane's face at a point of it, and the plan
// point of the upper face that it belongs to.
func surfaceAt(p *geom.Pane, at r3.Vec, face part) (normal r3.Vec, plan r2.Vec) {
	if face == upperFace {
		return p.Upper.Eval(at.X, at.Y).Normal(), r2.Vec{X: at.X, Y: at.Y}
	}
	up := p.Lower.Eval(at.X, at.Y).Normal()
	above := r3.Add(at, r3.Scale(p.Thickness, up))
	return r3.Scale(-1, up), r2.Vec{X: above.X, Y: above.Y}
}

// alongEdge is an arris as a line.
func alongEdge(c *geom.SpaceCurve) []r3.Vec {
	const steps = 360
	lo, hi := c.Period()
	line := make([]r3.Vec, steps+1)
	for i := range line {
		line[i] = c.At(lo + (hi-lo)*float64(i)/steps)
	}
	line[steps] = line[0]
	return line
}

// overCentre is the line of the upper face over x = 0 between the places where
// the edge crosses it.
func overCentre(p *geom.Pane, edge []r3.Vec) (line []r3.Vec) {
	const steps = 80
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, a := range edge[1:] {
		if b := edge[i]; (a.X < 0) != (b.X < 0) {
			y := a.Y + (b.Y-a.Y)*a.X/(a.X-b.X)
			lo, hi = min(lo, y), max(hi, y)
		}
	}
	for i := range steps + 1 {
		if y := lo + (hi-lo)*float64(i)/steps; hi > lo {
			line = append(line, r3.Vec{Y: y, Z: p.Upper.At(0, y)})
		}
	}
	return line
}

// sidesOf are the points farthest left, right and up.
func sidesOf(pts []r3.Vec) (sides [3]r3.Vec) {
	for i, p := range pts {
		if i == 0 || p.X < sides[0].X {
			sides[0] = p
		}
		if i == 0 || p.X > sides[1].X {
			sides[1] = p
		}
		if i == 0 || p.Y > sides[2].Y {
			sides[2] = p
		}
	}
	return sides
}
