package fit

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// side is a bowed side of a chain: a piece of a circle of signed curvature k
// (above zero where it bows outward, zero where it is straight) through apex,
// where it runs along and its outward normal is out.
type side struct {
	apex, along, out r2.Vec
	k                float64
}

// sideThrough is the side from a to b whose middle lies bow mm outside the
// chord.
func sideThrough(a, b r2.Vec, bow float64) side {
	d := r2.Sub(b, a)
	l := r2.Norm(d)
	t := r2.Scale(1/l, d)
	n := r2.Vec{X: t.Y, Y: -t.X}
	return side{
		apex:  r2.Add(r2.Scale(0.5, r2.Add(a, b)), r2.Scale(bow, n)),
		along: t, out: n,
		k: 8 * bow / (l*l + 4*bow*bow),
	}
}

// distance of p from the side's whole circle, + outside, and the outward
// normal at p's foot. It holds for straight sides too.
func (s *side) distance(p r2.Vec) (d float64, out r2.Vec) {
	q := r2.Sub(p, s.apex)
	u, v := r2.Dot(q, s.out), r2.Dot(q, s.along)
	a := 2*u + s.k*(u*u+v*v)
	root := math.Sqrt(max(0, 1+s.k*a))
	g := r2.Add(r2.Scale(1+s.k*u, s.out), r2.Scale(s.k*v, s.along))
	return a / (1 + root), r2.Scale(1/r2.Norm(g), g)
}

// position of p's foot along the side, from the apex.
func (s *side) position(p r2.Vec) float64 {
	q := r2.Sub(p, s.apex)
	u, v := 1+s.k*r2.Dot(q, s.out), r2.Dot(q, s.along)
	if x := s.k * v; math.Abs(x) > 1e-6*u {
		return math.Atan2(x, u) / s.k
	}
	return v / u
}

// at is the point at a position and the outward normal there.
func (s *side) at(pos float64) (p, out r2.Vec) {
	phi := s.k * pos
	sin, cos := math.Sincos(phi)
	half := math.Sin(phi / 2)
	run, drop := pos, 0.0
	if phi != 0 {
		run, drop = pos*sin/phi, 2*pos*half*half/phi
	}
	p = r2.Add(s.apex, r2.Sub(r2.Scale(run, s.along), r2.Scale(drop, s.out)))
	return p, r2.Add(r2.Scale(cos, s.out), r2.Scale(sin, s.along))
}

// round is the arc of a corner between its two sides. Where the edge turns
// inward, as beside a cut-out, radius and turn are below zero.
type round struct {
	centre r2.Vec
	r      float64
	from   r2.Vec  // outward normal where it starts
	turn   float64 // rad
}

// Parameters of a chain, four a corner: the place where the corner's sides
// would meet, its signed radius, and the bow of the side that follows it.
const perCorner = 4

// chain is a closed way of n bowed sides and n round corners that touch them,
// counter-clockwise: corner 0, side 0 from corner 0 to corner 1, corner 1 and
// so on. Positions along it are mm of arc from its origin.
type chain struct {
	x      []float64 // its parameters
	sides  []side
	rounds []round
	start  []float64 // of corner 0, side 0, corner 1, … and the end, from corner 0's start
	first  []float64 // of each side: its start, from its apex
	origin float64   // where position 0 is, from corner 0's start
}

// errChain says that parameters make no chain: an arc ran over the next or a
// corner turns the wrong way.
var errChain = errors.New("fit: the corners run into one another")

// newChain makes the chain of parameters, with its origin at the start of
// corner 0.
func newChain(x []float64) (*chain, error) {
	n := len(x) / perCorner
	c := &chain{x: x, sides: make([]side, n), rounds: make([]round, n), start: make([]float64, 2*n+1), first: make([]float64, n)}
	vertex := func(i int) r2.Vec { return r2.Vec{X: x[perCorner*i], Y: x[perCorner*i+1]} }
	for i := range n {
		c.sides[i] = sideThrough(vertex(i), vertex((i+1)%n), x[perCorner*i+3])
	}
	for i := range n {
		var err error
		if c.rounds[i], err = roundBetween(&c.sides[(i+n-1)%n], &c.sides[i], vertex(i), x[perCorner*i+2]); err != nil {
			return nil, err
		}
	}
	for i := range n {
		a, b := &c.rounds[i], &c.rounds[(i+1)%n]
		c.first[i] = c.sides[i].position(a.centre)
		length := c.sides[i].position(b.centre) - c.first[i]
		if !(length > 0) {
			return nil, errChain
		}
		c.start[2*i+1] = c.start[2*i] + a.r*a.turn
		c.start[2*i+2] = c.start[2*i+1] + length
	}
	return c, nil
}

// roundBetween is the arc of signed radius r that touches two sides which meet
// near v.
func roundBetween(a, b *side, v r2.Vec, r float64) (round, error) {
	q := v
	for range 12 {
		da, ga := a.distance(q)
		db, gb := b.distance(q)
		fa, fb := da+r, db+r
		det := r2.Cross(ga, gb)
		if !(det*r > 1e-3*math.Abs(r)) {
			return round{}, errChain
		}
		step := r2.Vec{X: -(fa*gb.Y - fb*ga.Y) / det, Y: -(fb*ga.X - fa*gb.X) / det}
		q = r2.Add(q, step)
		if r2.Norm2(step) < 1e-22 {
			break
		}
	}
	da, from := a.distance(q)
	db, to := b.distance(q)
	turn := math.Atan2(r2.Cross(from, to), r2.Dot(from, to))
	if !(math.Abs(da+r)+math.Abs(db+r) < 1e-6) || !(turn*r > 0) {
		return round{}, errChain
	}
	return round{centre: q, r: r, from: from, turn: turn}, nil
}

// corners is the number of corners.
func (c *chain) corners() int { return len(c.rounds) }

// length of the whole way.
func (c *chain) length() float64 { return c.start[len(c.start)-1] }

// foot is where a point belongs on a chain.
type foot struct {
	part int     // 2i: corner i, 2i+1: side i
	pos  float64 // along the chain, from its origin, 0 … length
	miss float64 // distance, + outside
	out  r2.Vec  // outward normal
}

// foot finds the nearest part among those whose range holds the point; for a
// point beyond all ranges the one that it oversteps the least.
func (c *chain) foot(p r2.Vec) foot {
	best, least := foot{part: -1}, math.Inf(1)
	for part := range 2 * c.corners() {
		f, over := c.on(part, p)
		if d := math.Abs(f.miss) + 1000*over; d < least {
			best, least = f, d
		}
	}
	return best
}

// on is the foot of a point on one part and how far beyond its ends it lies.
func (c *chain) on(part int, p r2.Vec) (f foot, over float64) {
	i := part / 2
	f.part = part
	length := c.start[part+1] - c.start[part]
	var pos float64
	if part%2 == 1 {
		s := &c.sides[i]
		f.miss, f.out = s.distance(p)
		pos = s.position(p) - c.first[i]
	} else {
		a := &c.rounds[i]
		w := r2.Sub(p, a.centre)
		d := r2.Norm(w)
		sign := math.Copysign(1, a.r)
		f.miss, f.out = sign*d-a.r, r2.Scale(sign/max(d, tiny), w)
		// the angle from the middle of the arc, so that both ends are alike
		sin, cos := math.Sincos(a.turn / 2)
		mid := r2.Vec{X: a.from.X*cos - a.from.Y*sin, Y: a.from.X*sin + a.from.Y*cos}
		pos = a.r * (math.Atan2(r2.Cross(mid, f.out), r2.Dot(mid, f.out)) + a.turn/2)
	}
	over = max(0, -pos, pos-length)
	f.pos = c.wrap(c.start[part] + min(max(pos, 0), length) - c.origin)
	return f, over
}

// wrap brings a position into 0 … length.
func (c *chain) wrap(pos float64) float64 {
	l := c.length()
	if pos = math.Mod(pos, l); pos < 0 {
		pos += l
	}
	return pos
}

// at is the point at a position and the outward normal there.
func (c *chain) at(pos float64) (p, out r2.Vec) {
	pos = c.wrap(pos + c.origin)
	part := c.part(pos)
	pos -= c.start[part]
	i := part / 2
	if part%2 == 1 {
		return c.sides[i].at(c.first[i] + pos)
	}
	a := &c.rounds[i]
	sin, cos := math.Sincos(pos / a.r)
	out = r2.Vec{X: a.from.X*cos - a.from.Y*sin, Y: a.from.X*sin + a.from.Y*cos}
	return r2.Add(a.centre, r2.Scale(a.r, out)), out
}

// part is the part that holds a position from corner 0's start.
func (c *chain) part(pos float64) int {
	part := 0
	for part < 2*c.corners()-1 && c.start[part+1] <= pos {
		part++
	}
	return part
}

// middle is the position of the middle of corner i's arc, and half its length.
func (c *chain) middle(i int) (pos, half float64) {
	half = c.rounds[i].r * c.rounds[i].turn / 2
	return c.wrap(c.start[2*i] + half - c.origin), half
}
