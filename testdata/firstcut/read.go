package firstcut

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

const (
	sigma    = 0.5  // mm, sd of a reading on each axis
	overlap  = 80.0 // mm read past the centre line
	twinSlip = 3.0  // mm along the edge by which a twin is missed, sd
)

// Readings are what a person wrote down of a pane, as tables.
type Readings struct {
	Table string // kind,id,x,y,z
	Tapes string // how,station,length; empty without any

	at    []int // places of the edge stations
	faces int   // heights on the face
	rng   *rand.Rand
	p     *Pane
}

// newReadings begins a table.
func (p *Pane) newReadings(rng *rand.Rand) *Readings {
	return &Readings{Table: "kind,id,x,y,z\n", rng: rng, p: p}
}

// number is a length as it is typed.
func number(v float64) string { return fmt.Sprintf("%.1f", v) }

// row reads a point of the board.
func (r *Readings) row(kind, id string, at r3.Vec) {
	off := func() float64 { return sigma * r.rng.NormFloat64() }
	r.Table += strings.Join([]string{kind, id, number(at.X + off()), number(at.Y + off()), number(at.Z + off())}, ",") + "\n"
}

// edge reads the edge at a place: the silhouette and, beside it, the height of
// the upper arris.
func (r *Readings) edge(i int) {
	s := r.p.silhouette(r.p.Board, i)
	r.at = append(r.at, i)
	r.row("edge", fmt.Sprint(len(r.at)), r3.Vec{X: s.X, Y: s.Y, Z: r.p.Board.Apply(r.p.edge[i].upper).Z})
}

// edges reads m stations over a stretch of the edge.
func (r *Readings) edges(from, to, m int) {
	for _, i := range r.p.spread(r.rng, from, to, m, 0.15) {
		r.edge(i)
	}
}

// face reads the height of the upper face at a place, own frame.
func (r *Readings) face(q r2.Vec) {
	r.faces++
	r.row("face", fmt.Sprintf("F%d", r.faces), r.p.Board.Apply(r3.Vec{X: q.X, Y: q.Y, Z: r.p.Solid.Upper.At(q.X, q.Y)}))
}

// heights reads about m heights on a lattice that is not quite even, over the
// part of the pane that keep names.
func (r *Readings) heights(m int, keep func(r2.Vec) bool) {
	const margin = 15.0 // mm from the edge
	edge := r.p.Solid.Outline
	pitch := math.Sqrt(edge.Area() / float64(m))
	box := edge.Bounds()
	shake := func(v float64) float64 { return v + pitch*uniform(r.rng, -0.2, 0.2) }
	for y := box.Min.Y + pitch/2; y < box.Max.Y; y += pitch {
		for x := box.Min.X + pitch/2; x < box.Max.X; x += pitch {
			q := r2.Vec{X: shake(x), Y: shake(y)}
			if _, out := edge.Nearest(q); out > -margin || !keep(q) {
				continue
			}
			r.face(q)
		}
	}
}

// AllRound reads m stations all round and about 40 heights.
func (p *Pane) AllRound(rng *rand.Rand, m int) *Readings {
	r := p.newReadings(rng)
	r.edges(0, len(p.edge), m)
	r.heights(40, func(r2.Vec) bool { return true })
	return r
}

// Half reads m stations on one half and a little beyond (side +1: the right
// one), with the heights there.
func (p *Pane) Half(rng *rand.Rand, m int, side float64) *Readings {
	r := p.newReadings(rng)
	beyond := func(i int) bool { return side*p.edge[(i+len(p.edge))%len(p.edge)].upper.X < -overlap }
	from, to := 0, 0
	if side > 0 { // from the bottom to the top
		for !beyond(from - 1) {
			from--
		}
		for to = 1; !beyond(to); to++ {
		}
	} else {
		for from = 1; beyond(from) || p.edge[from].upper.Y < 0; from++ {
		}
		for to = len(p.edge); !beyond(to); to++ {
		}
	}
	r.edges(from, to, m)
	r.heights(60, func(q r2.Vec) bool { return side*q.X > -overlap })
	return r
}

// Checked adds five check stations on the other half: three on the side, one
// each at bottom and top.
func (r *Readings) Checked(side float64) *Readings {
	box := r.p.Solid.Outline.Bounds()
	h, w := (box.Max.Y-box.Min.Y)/2, (box.Max.X-box.Min.X)/2
	shake := func(v float64) float64 { return v + uniform(r.rng, -0.05, 0.05) }
	for _, f := range []float64{-0.45, 0, 0.45} {
		r.edge(r.p.farthest(r2.Vec{X: -side}, shake(f)*h))
	}
	for _, v := range []float64{-1, 1} {
		r.edge(r.p.farthest(r2.Vec{Y: v}, -side*shake(0.45)*w))
	}
	return r
}

// Beyond adds three heights along the far side of the other half, which say how
// the pane is rolled.
func (r *Readings) Beyond(side float64) *Readings {
	for _, f := range []float64{-0.5, 0, 0.5} {
		box := r.p.Solid.Outline.Bounds()
		q := r2.Vec{X: -side * 0.4 * (box.Max.X - box.Min.X), Y: (box.Min.Y+box.Max.Y)/2 + f*(box.Max.Y-box.Min.Y)/2}
		r.face(q)
	}
	return r
}

// Taped adds n full widths, each from the station nearest to one of n places
// spread over the side to where the person takes its twin to be. The tape runs
// straight through the air, between what a square touches.
func (r *Readings) Taped(side float64, n int) *Readings {
	p := r.p
	h := (p.Solid.Outline.Bounds().Max.Y - p.Solid.Outline.Bounds().Min.Y) / 2
	r.Tapes = "how,station,length\n"
	for j := range n {
		want := p.farthest(r2.Vec{X: side}, (2*(float64(j)+0.5)/float64(n)-1)*0.7*h)
		best := 0
		for k, i := range r.at {
			if p.apart(i, want) < p.apart(r.at[best], want) {
				best = k
			}
		}
		here := p.edge[r.at[best]]
		want = p.at(here.way + twinSlip*r.rng.NormFloat64())
		there := p.edge[want].upper
		there.X = -there.X
		length := r3.Norm(r3.Sub(here.upper, there)) + sigma*r.rng.NormFloat64()
		r.Tapes += fmt.Sprintf("twin,%d,%s\n", best+1, number(length))
	}
	return r
}

// farthest is the place of the edge farthest in direction d among those within
// a millimetre of a line along d.
func (p *Pane) farthest(d r2.Vec, line float64) int {
	across := r2.Vec{X: math.Abs(d.Y), Y: math.Abs(d.X)}
	best, most := 0, math.Inf(-1)
	for i, e := range p.edge {
		q := r2.Vec{X: e.upper.X, Y: e.upper.Y}
		if far := r2.Dot(q, d); math.Abs(r2.Dot(q, across)-line) < 1 && far > most {
			best, most = i, far
		}
	}
	return best
}

// round is the way once round.
func (p *Pane) round() float64 { return p.edge[1].way * float64(len(p.edge)) }

// at is the place at a way along the edge.
func (p *Pane) at(way float64) int {
	n := len(p.edge)
	return ((int(math.Round(way/p.edge[1].way))%n + n) % n)
}

// apart is how far two places lie apart along the edge.
func (p *Pane) apart(i, j int) float64 {
	return math.Abs(math.Remainder(p.edge[i].way-p.edge[j].way, p.round()))
}

// spread chooses m places from one on to another as a careful person does:
// evenly, closer in the corners and closer still in tight ones, and none, by
// shaken of a pitch, quite where it was meant.
func (p *Pane) spread(rng *rand.Rand, from, to, m int, shaken float64) []int {
	const tight = 40.0 // mm
	n := len(p.edge)
	part := float64(to-from) / float64(n)
	care := []float64{0}
	for k := from; k < to; k++ {
		e := p.edge[(k+n)%n]
		arm := p.round() / 16
		if e.bend*tight > 1 {
			arm = p.round() / 11
		}
		care = append(care, care[len(care)-1]+p.edge[1].way*(1+arm*math.Abs(e.bend)))
	}
	first := 0.5
	if part < 1 {
		first = 0.1 // begin and end where the stretch does
	}
	var out []int
	k := 0
	for j := range m {
		share := (float64(j) + first + uniform(rng, -shaken, shaken)) / (float64(m) - 1 + 2*first)
		for k < len(care)-2 && care[k+1] < share*care[len(care)-1] {
			k++
		}
		out = append(out, (from+k+n)%n)
	}
	return out
}

var _ geom.Surface = arched{}
