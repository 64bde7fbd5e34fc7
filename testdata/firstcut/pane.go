package firstcut

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

const degree = math.Pi / 180

// Pane is an invented pane of which everything is known.
type Pane struct {
	Family Family
	Bowl   bool
	Solid  *geom.Pane // in its own frame; its own image in x = 0 where it is mirrored
	Board  geom.Frame // how it lies: from its own frame to the board

	edge []edgePoint // round it, half a millimetre apart, from the bottom middle
}

// edgePoint is a place on the edge, own frame.
type edgePoint struct {
	upper, lower r3.Vec
	way          float64 // mm along the upper arris
	bend         float64 // 1/mm, of the upper arris in plan
}

// source is the random source of one pane, or of one person reading it.
func source(kind string, number int) *rand.Rand {
	h := uint64(14695981039346656037) // FNV-1a
	for _, b := range []byte(kind) {
		h = (h ^ uint64(b)) * 1099511628211
	}
	return rand.New(rand.NewPCG(h, uint64(number)))
}

// NewPane invents a pane and lays it on the board: shifted, skewed by up to 2°,
// rolled by up to 1° and leaning fore or aft by the given angle. A pane of which
// only half will be read lies with its centre line near the one drawn on the
// board.
func NewPane(rng *rand.Rand, f Family, bowl, half bool, lean float64) (*Pane, error) {
	p := &Pane{Family: f, Bowl: bowl}
	o := f.outline(rng)
	plan, err := o.curve()
	if err != nil {
		return nil, err
	}
	box := plan.Bounds()
	const beyond = 60.0 // mm of face known outside the edge
	out := r2.Vec{X: beyond, Y: beyond}
	box.Min, box.Max = r2.Sub(box.Min, out), r2.Add(box.Max, out)
	face, err := geom.FaceThrough(newArched(rng, o, bowl, f.mirrored()), box, 25)
	if err != nil {
		return nil, err
	}
	if p.Solid, err = geom.NewPane(face, plan, uniform(rng, 3, 6), geom.SquareEdge); err != nil {
		return nil, fmt.Errorf("firstcut: a %v pane: %w", f, err)
	}
	p.walk(plan)
	p.lay(rng, half, lean)
	return p, nil
}

// walk goes once round the edge.
func (p *Pane) walk(plan *geom.Curve) {
	length := plan.Length()
	n := int(math.Round(length / 0.5))
	for i := range n {
		u := plan.ParamAt(length * float64(i) / float64(n))
		at := plan.At(u)
		h := p.Solid.Upper.Eval(at.X, at.Y)
		up := r3.Vec{X: at.X, Y: at.Y, Z: h.Z}
		p.edge = append(p.edge, edgePoint{up, r3.Sub(up, r3.Scale(p.Solid.Thickness, h.Normal())), length * float64(i) / float64(n), plan.Curvature(u)})
	}
}

// lay gives the pane its place on the board.
func (p *Pane) lay(rng *rand.Rand, half bool, lean float64) {
	if rng.Float64() < 0.5 {
		lean = -lean
	}
	aside := 50.0
	if half {
		aside = 10
	}
	p.Board = turned(0, lean).Then(turned(1, uniform(rng, -1, 1)*degree)).Then(turned(2, uniform(rng, -2, 2)*degree))
	p.Board.T = r3.Vec{X: uniform(rng, -aside, aside), Y: uniform(rng, 400, 600), Z: uniform(rng, 80, 250)}
}

// turned is a rotation about the axis x, y or z, counter-clockwise seen from its
// tip.
func turned(axis int, angle float64) geom.Frame {
	f := geom.Identity()
	s, c := math.Sincos(angle)
	i, j := (axis+1)%3, (axis+2)%3
	f.R[i][i], f.R[i][j], f.R[j][i], f.R[j][j] = c, -s, s, c
	return f
}

// silhouette is what a plumb line touches at the i-th place of the edge when the
// pane lies as f says.
func (p *Pane) silhouette(f geom.Frame, i int) r2.Vec {
	n := len(p.edge)
	along := f.Rotate(r3.Sub(p.edge[(i+1)%n].upper, p.edge[(i+n-1)%n].upper))
	e := p.edge[i]
	normal := f.Rotate(r3.Unit(r3.Sub(e.upper, e.lower)))
	out := r2.Unit(r2.Vec{X: along.Y, Y: -along.X})
	return geom.Silhouette(f.Apply(e.upper), out, normal, p.Solid.Thickness, p.Solid.Profile)
}

// places are the numbers of about n places of the edge, evenly along it and
// closer together where it bends.
func (p *Pane) places(n int) []int {
	return p.spread(rand.New(rand.NewPCG(1, 1)), 0, len(p.edge), n, 0)
}
