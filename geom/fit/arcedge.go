package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// fittedEdge is the edge of a finished fit: the chain, moved by its stray. The
// stray moves it square to itself, but for corners so tight that they would
// curl: such a corner moves as a whole, to where the moved sides meet, and the
// sides' ends slide along themselves to keep touching it. Positions are those
// along the fit's own chain.
type fittedEdge struct {
	*arcFit
	rounded *chain  // the chain, no corner tighter than asked
	scale   float64 // its length over the chain's
	tight   []tightCorner
}

// tightCorner is a corner that moves as a whole.
type tightCorner struct {
	start, end    float64 // positions on the rounded chain
	move          r2.Vec
	before, after float64 // how far the ends of its sides slide, forward
	reach         [2]float64
}

const (
	tightBy = 3.0  // times the stray, below which a radius is tight
	tightTo = 0.5  // mm more
	slides  = 60.0 // mm of a side that slide with a tight corner, of a short side half
)

// edge is the fitted edge with no corner tighter than least, mm, as far as
// there is room.
func (f *arcFit) edge(least float64) *fittedEdge {
	f = f.unbumped()
	e := &fittedEdge{arcFit: f, rounded: f.chain, scale: 1}
	x, changed := slices.Clone(f.chain.x), false
	for i := range f.chain.rounds {
		if r := &x[perCorner*i+2]; math.Abs(*r) < least {
			*r, changed = math.Copysign(least, *r), true
		}
	}
	if changed {
		if c, err := f.form.chain(x); err == nil {
			e.rounded, e.scale = c, c.length()/f.chain.length()
		}
	}
	c := e.rounded
	n := c.corners()
	for i, r := range c.rounds {
		t := tightCorner{start: c.wrap(c.start[2*i] - c.origin), end: c.wrap(c.start[2*i+1] - c.origin)}
		a, b := f.stray(t.start/e.scale), f.stray(t.end/e.scale)
		if !f.form.breaks[i] && math.Abs(r.r) > tightBy*math.Max(math.Abs(a), math.Abs(b))+tightTo {
			continue
		}
		sin, cos := math.Sincos(r.turn)
		from, to := r.from, r2.Vec{X: r.from.X*cos - r.from.Y*sin, Y: r.from.X*sin + r.from.Y*cos}
		t.move = r2.Scale(1/sin, r2.Vec{X: a*to.Y - b*from.Y, Y: b*from.X - a*to.X})
		t.before, t.after = r2.Cross(from, t.move), r2.Cross(to, t.move)
		for k, side := range [2]int{(i + n - 1) % n, i} {
			t.reach[k] = math.Min(slides, (c.start[2*side+2]-c.start[2*side+1])/2)
		}
		e.tight = append(e.tight, t)
	}
	return e
}

// unbumped is the fit without the bumps of corners too narrow to have one.
func (f *arcFit) unbumped() *arcFit {
	const narrow = 2.0 // mm of radius
	g := *f
	g.theta = slices.Clone(f.theta)
	k := 0
	for i, t := range f.twins() {
		if t < i {
			continue
		}
		if math.Abs(f.chain.rounds[i].r) < narrow {
			g.theta[k] = 0
		}
		k++
	}
	return &g
}

// at is the edge at a position along the chain.
func (e *fittedEdge) at(pos float64) r2.Vec {
	c, stray := e.rounded, e.stray(pos)
	pos *= e.scale
	p, out := c.at(pos)
	along := r2.Vec{X: -out.Y, Y: out.X}
	length := c.length()
	slide := 0.0
	for i := range e.tight {
		t := &e.tight[i]
		arc := c.wrap(t.end - t.start)
		in := c.wrap(pos - t.start)
		if in <= arc {
			return r2.Add(p, t.move)
		}
		if d := length - in; d < t.reach[0] {
			slide += t.before * fade(d/t.reach[0])
		}
		if d := in - arc; d < t.reach[1] {
			slide += t.after * fade(d/t.reach[1])
		}
	}
	return r2.Add(p, r2.Add(r2.Scale(stray, out), r2.Scale(slide, along)))
}

// fade goes smoothly from 1 at 0 to 0 at 1, level and without bend at both ends.
func fade(x float64) float64 { return (1 - x) * (1 - x) * (1 - x) * (1 + x*(3+6*x)) }
