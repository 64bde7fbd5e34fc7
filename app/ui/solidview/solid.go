package solidview

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// crease is the angle between neighbouring triangles from which on they are
// shaded apart.
const crease = 30 * math.Pi / 180

// solid is a mesh made ready to be shaded.
type solid struct {
	mesh   *geom.Mesh
	normal [][3]r3.Vec // at the corners of each triangle: unit, smooth but for creases
	part   []part      // of each triangle
	box    r3.Box
	edges  [][]rim   // lines to draw, closed
	sides  [3]r3.Vec // the edge farthest left, right and up: where L, R and TOP stand
}

// rim is a point of an edge line, with the unit normals of the two faces that
// meet there: the line is drawn where one of them can be seen.
type rim struct {
	p    r3.Vec
	face [2]r3.Vec
}

// part says which of a pane's faces a triangle belongs to.
type part uint8

const (
	edgeBand part = iota
	upperFace
	lowerFace
)

// newSolid prepares a mesh; edges are drawn as closed lines.
func newSolid(m *geom.Mesh, edges [][]rim) *solid {
	s := &solid{mesh: m, edges: edges, box: boxOf(m.V), sides: sidesOf(m.V)}
	flat := make([]r3.Vec, len(m.T)) // unit normals
	area := make([]float64, len(m.T))
	at := make([][]int32, len(m.V)) // triangles about each vertex
	for i, t := range m.T {
		n := r3.Cross(r3.Sub(m.V[t[1]], m.V[t[0]]), r3.Sub(m.V[t[2]], m.V[t[0]]))
		area[i] = r3.Norm(n)
		if area[i] > 0 {
			flat[i] = r3.Scale(1/area[i], n)
		}
		for _, v := range t {
			at[v] = append(at[v], int32(i))
		}
	}
	s.normal = make([][3]r3.Vec, len(m.T))
	s.part = make([]part, len(m.T))
	for i, t := range m.T {
		for k, v := range t {
			sum := r3.Vec{}
			for _, j := range at[v] {
				if r3.Dot(flat[i], flat[j]) > math.Cos(crease) {
					sum = r3.Add(sum, r3.Scale(area[j], flat[j]))
				}
			}
			if l := r3.Norm(sum); l > 0 {
				s.normal[i][k] = r3.Scale(1/l, sum)
			}
		}
		s.part[i] = partOf(flat[i])
	}
	return s
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

// boxOf is the box round points.
func boxOf(pts []r3.Vec) r3.Box {
	inf := math.Inf(1)
	b := r3.Box{Min: r3.Vec{X: inf, Y: inf, Z: inf}, Max: r3.Vec{X: -inf, Y: -inf, Z: -inf}}
	for _, p := range pts {
		b.Min = r3.Vec{X: min(b.Min.X, p.X), Y: min(b.Min.Y, p.Y), Z: min(b.Min.Z, p.Z)}
		b.Max = r3.Vec{X: max(b.Max.X, p.X), Y: max(b.Max.Y, p.Y), Z: max(b.Max.Z, p.Z)}
	}
	return b
}

// paneSolid meshes a pane with about n steps across its length.
func paneSolid(p *geom.Pane, n float64) (*solid, error) {
	size := p.Outline.Bounds()
	step := max(size.Max.X-size.Min.X, size.Max.Y-size.Min.Y) / n
	m, err := p.Mesh(step)
	if err != nil {
		return nil, err
	}
	return newSolid(m, [][]rim{edgeLine(p, p.UpperEdge, 1), edgeLine(p, p.LowerEdge, -1)}), nil
}

// edgeLine is an edge of a pane as a line; side is 1 for the upper face, -1 for
// the lower.
func edgeLine(p *geom.Pane, c *geom.SpaceCurve, side float64) []rim {
	const steps = 400
	lo, hi := c.Period()
	line := make([]rim, steps)
	for i := range line {
		q, along, _, _ := c.Derivs(lo + (hi-lo)*float64(i)/steps)
		n := p.Upper.Eval(q.X, q.Y).Normal()
		line[i] = rim{q, [2]r3.Vec{r3.Scale(side, n), r3.Unit(r3.Cross(along, n))}}
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
