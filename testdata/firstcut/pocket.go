package firstcut

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	dxf "panewright/export/dxf/lint"
	stl "panewright/export/stl/lint"
	"panewright/geom"
)

// Pocket is a pocket as its files have it, glass frame.
type Pocket struct {
	Wall  *Wall
	Ledge *Ledge
	// Apart is the most that the wall in pocket.dxf and the upright facets in
	// pocket.stl lie apart in plan, mm.
	Apart float64
}

// ReadPocket reads pocket.dxf and pocket.stl in a folder, both strictly, and
// holds the one against the other.
func ReadPocket(dir string) (*Pocket, error) {
	line, notches, err := drawing(filepath.Join(dir, "pocket.dxf"))
	if err != nil {
		return nil, err
	}
	f, err := os.Open(filepath.Join(dir, "pocket.stl"))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	body, err := stl.Lint(f)
	if err != nil {
		return nil, err
	}
	p := &Pocket{Wall: newWall(line)}
	if p.Ledge, err = newLedge(body.Mesh, p.Wall); err != nil {
		return nil, err
	}
	p.Apart = p.Wall.against(body.Mesh, notches)
	return p, nil
}

// drawing is the layer wall of a drawing as a polygon that lies within a micron of
// the curve, and the finger notches and corner reliefs cut into it.
func drawing(path string) (wall geom.Polygon, notches []geom.Polygon, err error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	d, err := dxf.Lint(f)
	if err != nil {
		return nil, nil, err
	}
	on := d.On("wall")
	if len(on) != 1 || on[0].Type != "SPLINE" || !on[0].Closed {
		return nil, nil, fmt.Errorf("firstcut: layer wall of %s is not one closed spline", path)
	}
	wall = inPlan(on[0].Sample(16))
	if err := wall.IsSimple(); err != nil {
		return nil, nil, fmt.Errorf("firstcut: the wall: %w", err)
	}
	for _, e := range append(d.On("notches"), d.On("relief")...) {
		if e.Type == "LWPOLYLINE" {
			notches = append(notches, inPlan(e.Points))
		}
	}
	return wall, notches, nil
}

func inPlan(pts []r3.Vec) (p geom.Polygon) {
	for _, q := range pts {
		p = append(p, planOf(q))
	}
	return p
}

// cells sorts things by the square cells of the plan that their boxes meet.
type cells struct {
	size float64 // mm
	in   map[[2]int][]int32
}

func newCells(size float64) *cells { return &cells{size, map[[2]int][]int32{}} }

func (c *cells) of(q r2.Vec) [2]int {
	return [2]int{int(math.Floor(q.X / c.size)), int(math.Floor(q.Y / c.size))}
}

// add puts thing i into every cell that the box of some points meets.
func (c *cells) add(i int, pts ...r2.Vec) {
	lo, hi := pts[0], pts[0]
	for _, q := range pts {
		lo = r2.Vec{X: min(lo.X, q.X), Y: min(lo.Y, q.Y)}
		hi = r2.Vec{X: max(hi.X, q.X), Y: max(hi.Y, q.Y)}
	}
	a, b := c.of(lo), c.of(hi)
	for x := a[0]; x <= b[0]; x++ {
		for y := a[1]; y <= b[1]; y++ {
			c.in[[2]int{x, y}] = append(c.in[[2]int{x, y}], int32(i))
		}
	}
}

// Wall is an upright wall seen from above.
type Wall struct {
	Line  geom.Polygon // counter-clockwise
	cells *cells       // edges
}

func newWall(line geom.Polygon) *Wall {
	w := &Wall{line, newCells(5)}
	for i, a := range line {
		w.cells.add(i, a, line[(i+1)%len(line)])
	}
	return w
}

// Gap is the distance from q to the wall, the shortest way: positive inside.
func (w *Wall) Gap(q r2.Vec) float64 {
	if d, ok := w.near(q); ok {
		return d
	}
	d := math.Inf(1)
	for i, a := range w.Line {
		d = min(d, toSegment(q, a, w.Line[(i+1)%len(w.Line)]))
	}
	if !w.Line.Contains(q) {
		return -d
	}
	return d
}

// near is Gap where the wall is within the size of a cell, else not ok.
func (w *Wall) near(q r2.Vec) (gap float64, ok bool) {
	best, side := math.Inf(1), 1.0
	at := w.cells.of(q)
	for x := at[0] - 1; x <= at[0]+1; x++ {
		for y := at[1] - 1; y <= at[1]+1; y++ {
			for _, i := range w.cells.in[[2]int{x, y}] {
				a, b := w.Line[i], w.Line[(int(i)+1)%len(w.Line)]
				if d := toSegment(q, a, b); d < best {
					best, side = d, r2.Cross(r2.Sub(b, a), r2.Sub(q, a))
				}
			}
		}
	}
	return math.Copysign(best, side), best <= w.cells.size
}

// toSegment is the distance from q to the straight line from a to b.
func toSegment(q, a, b r2.Vec) float64 {
	d := r2.Sub(b, a)
	f := 0.0
	if l := r2.Norm2(d); l > 0 {
		f = min(1, max(0, r2.Dot(r2.Sub(q, a), d)/l))
	}
	return r2.Norm(r2.Sub(q, r2.Add(a, r2.Scale(f, d))))
}

// against is the most that the wall and the upright facets of a body lie apart:
// every upright facet along the wall against the wall, and every place of the
// wall against the facets, but where a notch opens it.
func (w *Wall) against(m *geom.Mesh, notches []geom.Polygon) float64 {
	const along = 0.1 // mm: upright facets nearer than that belong to the wall
	upright := newCells(10)
	var feet [][2]r2.Vec
	most := 0.0
	for _, t := range m.T {
		p, q, ok := foot(m.V[t[0]], m.V[t[1]], m.V[t[2]])
		if !ok {
			continue
		}
		off := 0.0
		for _, at := range []r2.Vec{p, q, r2.Scale(0.5, r2.Add(p, q))} {
			g, ok := w.near(at)
			if !ok {
				g = math.Inf(1)
			}
			off = max(off, math.Abs(g))
		}
		if off < along {
			most = max(most, off)
			around := r2.Vec{X: 1, Y: 1} // for places of the wall just across the side of a cell
			upright.add(len(feet), r2.Add(p, around), r2.Sub(p, around), r2.Add(q, around), r2.Sub(q, around))
			feet = append(feet, [2]r2.Vec{p, q})
		}
	}
	for _, q := range w.Line {
		best := math.Inf(1)
		for _, i := range upright.in[upright.of(q)] {
			best = min(best, toSegment(q, feet[i][0], feet[i][1]))
		}
		if best > most && !opened(q, notches) {
			most = best
		}
	}
	return most
}

// foot is the line on which an upright facet stands; not ok for any other.
func foot(a, b, c r3.Vec) (p, q r2.Vec, ok bool) {
	const level = 1e-9
	if n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a)); math.Abs(n.Z) > level*r3.Norm(n) {
		return p, q, false
	}
	p, q = planOf(a), planOf(b)
	if r := planOf(c); r2.Norm(r2.Sub(r, p)) > r2.Norm(r2.Sub(q, p)) {
		q = r
	}
	return p, q, true
}

// opened tells whether a notch or relief takes the wall away at q.
func opened(q r2.Vec, notches []geom.Polygon) bool {
	const edge = 0.05 // mm: the notch's area ends along the wall itself
	return slices.ContainsFunc(notches, func(n geom.Polygon) bool { return n.Distance(q) < edge || n.Contains(q) })
}

func planOf(v r3.Vec) r2.Vec { return r2.Vec{X: v.X, Y: v.Y} }
