package firstcut

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
)

// step is about how far apart the points of an outline lie, mm.
const step = 0.25

// outline is the true edge of an upper face in the pane's own plan: points a
// step apart, counter-clockwise.
type outline []r2.Vec

// corner is where two sides would meet, how it is rounded off and by how much
// the side that follows it bulges.
type corner struct {
	at          r2.Vec
	radius, bow float64
}

// circle is that of a bowed side or of a corner.
type circle struct {
	middle r2.Vec
	radius float64
}

// chain rounds off corners between bowed sides; false where an arc finds no
// room.
func chain(cs []corner) (o outline, ok bool) {
	n := len(cs)
	side, round := make([]circle, n), make([]circle, n)
	for i, c := range cs {
		side[i] = bowed(c.at, cs[(i+1)%n].at, c.bow)
	}
	for i, c := range cs {
		if round[i], ok = touching(side[(i+n-1)%n], side[i], c); !ok {
			return nil, false
		}
	}
	for i := range cs {
		before, k := (i+n-1)%n, (i+1)%n
		a, b := touch(side[before], round[i]), touch(side[i], round[i])
		turn := o.arc(round[i], a, b)
		along := o.arc(side[i], b, touch(side[i], round[k]))
		if turn > math.Pi || along > 1 {
			return nil, false
		}
	}
	return o, true
}

// bowed is the circle through p and q that bulges to the right of the way from
// p to q.
func bowed(p, q r2.Vec, bow float64) circle {
	d := r2.Sub(q, p)
	l := r2.Norm(d)
	r := (l*l/4 + bow*bow) / (2 * bow)
	left := r2.Vec{X: -d.Y / l, Y: d.X / l}
	return circle{r2.Add(r2.Add(p, r2.Scale(0.5, d)), r2.Scale(r-bow, left)), r}
}

// touching is the circle of the corner's radius inside both sides, next to the
// corner.
func touching(a, b circle, c corner) (circle, bool) {
	ra, rb := a.radius-c.radius, b.radius-c.radius
	d := r2.Sub(b.middle, a.middle)
	l := r2.Norm(d)
	x := (l*l + ra*ra - rb*rb) / (2 * l)
	if math.Abs(x) > ra {
		return circle{}, false
	}
	u := r2.Scale(1/l, d)
	foot, up := r2.Add(a.middle, r2.Scale(x, u)), r2.Scale(math.Sqrt(ra*ra-x*x), r2.Vec{X: -u.Y, Y: u.X})
	m := r2.Add(foot, up)
	if other := r2.Sub(foot, up); r2.Norm(r2.Sub(other, c.at)) < r2.Norm(r2.Sub(m, c.at)) {
		m = other
	}
	return circle{m, c.radius}, true
}

// touch is where a corner's circle meets that of a side.
func touch(side, round circle) r2.Vec {
	return r2.Add(round.middle, r2.Scale(round.radius, r2.Unit(r2.Sub(round.middle, side.middle))))
}

// arc appends the counter-clockwise arc from a to b, without b, and returns how
// far it turns.
func (o *outline) arc(c circle, a, b r2.Vec) (turn float64) {
	from := math.Atan2(a.Y-c.middle.Y, a.X-c.middle.X)
	turn = math.Mod(math.Atan2(b.Y-c.middle.Y, b.X-c.middle.X)-from+4*math.Pi, 2*math.Pi)
	n := int(math.Ceil(c.radius * turn / step))
	for k := range n {
		s, co := math.Sincos(from + turn*float64(k)/float64(n))
		*o = append(*o, r2.Add(c.middle, r2.Scale(c.radius, r2.Vec{X: co, Y: s})))
	}
	return turn
}

// superellipse is |x/a|^power + |y/b|^power = 1, narrower at the top by taper.
func superellipse(a, b, power, taper float64) (o outline) {
	const n = 20000
	var at []r2.Vec
	for k := range n {
		s, c := math.Sincos(2 * math.Pi * float64(k) / n)
		r := math.Pow(math.Pow(math.Abs(c)/a, power)+math.Pow(math.Abs(s)/b, power), -1/power)
		at = append(at, r2.Vec{X: r * c * (1 - taper*r*s/b), Y: r * s})
	}
	run := 0.0
	for k, q := range at { // thin to the step
		if run += r2.Norm(r2.Sub(q, at[(k+n-1)%n])); run >= step {
			o, run = append(o, q), 0
		}
	}
	return o
}

// displaced is the outline with every point moved outward by h of the way
// round to it, from 0 to 1.
func (o outline) displaced(h func(way float64) float64) outline {
	n := len(o)
	out := make(outline, n)
	way := o.ways()
	for i, q := range o {
		t := r2.Unit(r2.Sub(o[(i+1)%n], o[(i+n-1)%n]))
		out[i] = r2.Add(q, r2.Scale(h(way[i]/way[n]), r2.Vec{X: t.Y, Y: -t.X}))
	}
	return out
}

// ways are the lengths from the first point to each, and once round.
func (o outline) ways() []float64 {
	s := make([]float64, len(o)+1)
	for i, q := range o {
		s[i+1] = s[i] + r2.Norm(r2.Sub(o[(i+1)%len(o)], q))
	}
	return s
}

// softened is the outline with its corners blurred: a running mean along the
// edge of the given sd in mm.
func (o outline) softened(sd float64) outline {
	n, k := len(o), int(4*sd/step)
	weight, sum := make([]float64, 2*k+1), 0.0
	for d := range weight {
		t := float64(d-k) * step / sd
		weight[d] = math.Exp(-t * t / 2)
		sum += weight[d]
	}
	out := make(outline, n)
	for i := range o {
		for d, w := range weight {
			out[i] = r2.Add(out[i], r2.Scale(w/sum, o[(i+d-k+n)%n]))
		}
	}
	return out
}

// warped is the outline with its sides bent by up to most mm, evenly about
// x = 0. It must start at the bottom middle.
func (o outline) warped(rng *rand.Rand, most float64) outline {
	var amp [6]float64
	for k := range amp {
		amp[k] = rng.NormFloat64()
	}
	h := func(way float64) (v float64) {
		for k, a := range amp {
			v += a * math.Cos(2*math.Pi*float64(k+2)*way)
		}
		return v
	}
	greatest := 0.0
	for k := range 500 {
		greatest = math.Max(greatest, math.Abs(h(float64(k)/500)))
	}
	return o.displaced(func(way float64) float64 { return h(way) * most / greatest })
}

// fromBottom is the same outline with its middle height at y = 0, started at
// the bottom where it crosses x = 0.
func (o outline) fromBottom() outline {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range o {
		lo, hi = math.Min(lo, q.Y), math.Max(hi, q.Y)
	}
	first := -1
	for i := range o {
		o[i].Y -= (lo + hi) / 2
		if o[i].Y < 0 && (first < 0 || math.Abs(o[i].X) < math.Abs(o[first].X)) {
			first = i
		}
	}
	return append(append(outline(nil), o[first:]...), o[:first]...)
}

// curve is the smooth curve through every eighth point.
func (o outline) curve() (*geom.Curve, error) {
	const every = 8
	var pts []r2.Vec
	for i := 0; i < len(o)-every/2; i += every {
		pts = append(pts, o[i])
	}
	params := []float64{0}
	for i, q := range pts {
		params = append(params, params[i]+r2.Norm(r2.Sub(pts[(i+1)%len(pts)], q)))
	}
	return geom.InterpolateClosed(params, pts)
}
