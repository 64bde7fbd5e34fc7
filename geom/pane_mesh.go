package geom

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Fineness of a pane's mesh.
const (
	meshSag        = 0.003   // mm, of the chords of the edge
	meshMostPoints = 1 << 20 // in plan
	leastStrips    = 8       // of a round edge
	roundLoss      = 4e-5    // of the volume, by the chords of the half circle
)

// Mesh returns the pane's surface in triangles, closed and ready for a file:
// the plan of the upper face triangulated on the micron grid, its points about
// step millimetres apart on a lattice of equilateral triangles that is
// symmetric about x = 0, and closer along the edge (chords within 3 µm); the
// same triangles turned over on the lower face, every point the thickness
// below its twin, square to the upper face; and strips between the two edges,
// one for a square edge and eight or more for a round one. The first points are
// those of the upper edge, counter-clockwise.
//
// All points lie on the true surfaces, so for steps up to some 20 mm the volume
// differs from Volume by less than 1e-4 of it. It fails where step is not
// positive, or so small that a million points would not do. The cost is that
// of the triangulation, n·log n.
func (p *Pane) Mesh(step float64) (*Mesh, error) {
	if !(step > 0) || math.IsInf(step, 0) {
		return nil, fmt.Errorf("geom: mesh of a pane: points %g mm apart", step)
	}
	params, edge, err := p.meshEdge(step)
	if err != nil {
		return nil, err
	}
	inner, err := meshInside(edge, step)
	if err != nil {
		return nil, err
	}
	n := int32(len(edge))
	segs := make([][2]int32, n)
	for i := range segs {
		segs[i] = [2]int32{int32(i), (int32(i) + 1) % n}
	}
	plan := slices.Concat(edge, inner)
	tri, err := Triangulate(plan, segs)
	if err != nil {
		return nil, fmt.Errorf("geom: mesh of a pane: %w", err)
	}

	m := &Mesh{}
	var normals []r3.Vec
	for _, q := range plan {
		at := q.Vec()
		h := p.Upper.Eval(at.X, at.Y)
		m.V = append(m.V, r3.Vec{X: at.X, Y: at.Y, Z: h.Z})
		normals = append(normals, h.Normal())
	}
	under := int32(len(plan))
	for i, nv := range normals {
		m.V = append(m.V, r3.Sub(m.V[i], r3.Scale(p.Thickness, nv)))
	}
	for _, t := range tri.T {
		if outsideEdge(t, n) {
			continue
		}
		m.T = append(m.T, t, [3]int32{t[0] + under, t[2] + under, t[1] + under})
	}
	p.meshBand(m, params, normals, under)
	return m, nil
}

// meshEdge returns points of the upper edge on the micron grid and their
// parameters: chords within meshSag, and no longer than step.
func (p *Pane) meshEdge(step float64) (params []float64, pts []PlanPoint, err error) {
	flat := p.plan.Flatten(meshSag)
	_, end := p.plan.Period()
	for i, u := range flat {
		v := end
		if i+1 < len(flat) {
			v = flat[i+1]
		}
		a, b := p.plan.At(u), p.plan.At(v)
		parts := math.Ceil(r2.Norm(r2.Sub(b, a)) / step)
		if parts*float64(len(flat)) > meshMostPoints {
			return nil, nil, fmt.Errorf("geom: mesh of a pane: %g mm apart is too close", step)
		}
		for k := range max(1, int(parts)) {
			w := u + (v-u)*float64(k)/max(1, parts)
			q := Microns(p.plan.At(w))
			if m := len(pts); m > 0 && (q == pts[m-1] || q == pts[0]) {
				continue
			}
			params, pts = append(params, w), append(pts, q)
		}
	}
	if len(pts) < 3 {
		return nil, nil, errors.New("geom: mesh of a pane: the edge is too small")
	}
	return params, pts, nil
}

// meshInside returns the points of the lattice that lie inside the edge and at
// least half a step from it.
func meshInside(edge []PlanPoint, step float64) ([]PlanPoint, error) {
	poly := make(Polygon, len(edge))
	for i, q := range edge {
		poly[i] = q.Vec()
	}
	if count := poly.Area() / (step * step * math.Sqrt(3) / 2); !(count < meshMostPoints) {
		return nil, fmt.Errorf("geom: mesh of a pane: %g mm apart gives %.0f points", step, count)
	}
	near := newEdgeCells(poly, step)
	rise := step * math.Sqrt(3) / 2
	lo, hi := poly[0].Y, poly[0].Y
	for _, q := range poly {
		lo, hi = min(lo, q.Y), max(hi, q.Y)
	}
	var inner []PlanPoint
	for j := math.Ceil(lo / rise); j*rise < hi; j++ {
		y := j * rise
		shift := step / 2 * math.Mod(math.Abs(j), 2)
		x := poly.crossings(y)
		for k := 0; k+1 < len(x); k += 2 {
			for i := math.Ceil((x[k] - shift) / step); i*step+shift < x[k+1]; i++ {
				if q := (r2.Vec{X: i*step + shift, Y: y}); !near.closer(q, step/2) {
					inner = append(inner, Microns(q))
				}
			}
		}
	}
	return inner, nil
}

// crossings returns the x at which the level y crosses the polygon, rising. A
// corner at y counts as above it, so that there are always an even number.
func (p Polygon) crossings(y float64) []float64 {
	var x []float64
	for i, b := range p {
		a := p[(i+len(p)-1)%len(p)]
		if (a.Y < y) != (b.Y < y) {
			x = append(x, a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y))
		}
	}
	slices.Sort(x)
	return x
}

// edgeCells sorts the sides of a polygon, none longer than size, into square
// cells of that size by their middles.
type edgeCells struct {
	poly Polygon
	size float64
	in   map[[2]int][]int
}

func newEdgeCells(p Polygon, size float64) edgeCells {
	c := edgeCells{poly: p, size: size, in: map[[2]int][]int{}}
	for i, a := range p {
		k := c.cell(r2.Scale(0.5, r2.Add(a, p[(i+1)%len(p)])))
		c.in[k] = append(c.in[k], i)
	}
	return c
}

func (c edgeCells) cell(q r2.Vec) [2]int {
	return [2]int{int(math.Floor(q.X / c.size)), int(math.Floor(q.Y / c.size))}
}

// closer tells whether q is nearer to the polygon than d, at most half a cell.
func (c edgeCells) closer(q r2.Vec, d float64) bool {
	k := c.cell(q)
	for dx := -1; dx <= 1; dx++ {
		for dy := -1; dy <= 1; dy++ {
			for _, i := range c.in[[2]int{k[0] + dx, k[1] + dy}] {
				if toSegment(q, c.poly[i], c.poly[(i+1)%len(c.poly)]) < d {
					return true
				}
			}
		}
	}
	return false
}

// outsideEdge tells whether a triangle of the plan, whose first n points run
// counter-clockwise round the edge, lies outside it, in a hollow: all its
// corners are then on the edge, and it meets them in the wrong order.
func outsideEdge(t [3]int32, n int32) bool {
	if t[0] >= n || t[1] >= n || t[2] >= n {
		return false
	}
	rising := 0
	for k := range t {
		if t[k] < t[(k+1)%3] {
			rising++
		}
	}
	return rising != 2
}

// meshBand adds the edge band: strips from the upper edge, points 0 … n-1, to
// the lower edge, points under … under+n-1.
func (p *Pane) meshBand(m *Mesh, params []float64, normals []r3.Vec, under int32) {
	n := int32(len(params))
	strips := int32(1)
	between := int32(len(m.V))
	if p.Profile == RoundEdge {
		strips = p.roundStrips()
		m.V = append(m.V, p.halfCircles(m.V[:n], params, normals, strips)...)
	}
	row := func(k, i int32) int32 {
		switch k {
		case 0:
			return i % n
		case strips:
			return under + i%n
		}
		return between + (k-1)*n + i%n
	}
	for k := range strips {
		for i := range n {
			a, b, c, d := row(k, i), row(k+1, i), row(k+1, i+1), row(k, i+1)
			m.T = append(m.T, [3]int32{a, b, c}, [3]int32{a, c, d})
		}
	}
}

// roundStrips returns how many strips a round edge is made of, enough that
// their chords take no more than roundLoss of the volume: n chords take the
// share (π/n)²/6 of a half circle, nearly.
func (p *Pane) roundStrips() int32 {
	r := p.Thickness / 2
	share := p.plan.Length() * math.Pi * r * r / 2 / (p.plan.Area() * p.Thickness)
	return int32(max(leastStrips, math.Ceil(math.Pi*math.Sqrt(share/6/roundLoss))))
}

// halfCircles returns the rows of points of a round edge between the arrises,
// row after row from the upper one down.
func (p *Pane) halfCircles(upper []r3.Vec, params []float64, normals []r3.Vec, strips int32) []r3.Vec {
	b := band{face: p.Upper, plan: p.plan, t: p.Thickness, profile: p.Profile}
	r := p.Thickness / 2
	out := make([]r3.Vec, len(upper))
	for i, u := range params {
		out[i] = b.at(u).outward(r)
	}
	var rows []r3.Vec
	for k := int32(1); k < strips; k++ {
		s, c := math.Sincos(math.Pi * float64(k) / float64(strips))
		for i, v := range upper {
			from := r3.Add(r3.Scale(r*(c-1), normals[i]), r3.Scale(r*s, out[i]))
			rows = append(rows, r3.Add(v, from))
		}
	}
	return rows
}
