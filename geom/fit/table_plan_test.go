package fit_test

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// plan is the true outline of an invented pane in the pane's own frame, counter-
// clockwise. A mirrored one is its own image in x = 0.
type plan struct {
	at    []r2.Vec  // a step apart or less
	arc   []float64 // of each point from the first; one more closes the round
	bends []bend
}

// bend is a stretch of outline that a careful person reads closely.
type bend struct {
	at    r2.Vec  // its middle, or near it
	half  float64 // mm of edge to either side
	marks int
}

const step = 0.3 // mm between the points of a plan, before it is warped

func uniform(rng *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }

// measure sets the arc positions and puts the first point where the outline
// crosses x = 0 below, or next to it.
func (p *plan) measure() {
	first := -1
	for i, q := range p.at {
		if q.Y < 0 && (first < 0 || math.Abs(q.X) < math.Abs(p.at[first].X)) {
			first = i
		}
	}
	p.at = slices.Concat(p.at[first:], p.at[:first])
	p.arc = make([]float64, len(p.at)+1)
	for i, q := range p.at {
		p.arc[i+1] = p.arc[i] + r2.Norm(r2.Sub(p.at[(i+1)%len(p.at)], q))
	}
}

// thinned is every n-th point.
func (p *plan) thinned(n int) (out []r2.Vec) {
	for i := 0; i < len(p.at); i += n {
		out = append(out, p.at[i])
	}
	return out
}

// girth is the length of the outline.
func (p *plan) girth() float64 { return p.arc[len(p.at)] }

// line is the arc position where the outline crosses x = 0 below.
func (p *plan) line() float64 { return -p.at[0].X } // the outline runs to +x there

// place is the point at arc position s.
func (p *plan) place(s float64) r2.Vec {
	s = math.Mod(s, p.girth())
	if s < 0 {
		s += p.girth()
	}
	i, ok := slices.BinarySearch(p.arc, s)
	if !ok {
		i--
	}
	n := len(p.at)
	f := 0.0
	if i < n {
		f = (s - p.arc[i]) / (p.arc[i+1] - p.arc[i])
	}
	a, b := p.at[i%n], p.at[(i+1)%n]
	return r2.Add(a, r2.Scale(f, r2.Sub(b, a)))
}

// arcOf is the arc position of the outline's point nearest to q.
func (p *plan) arcOf(q r2.Vec) float64 {
	best, least := 0, math.Inf(1)
	for i, a := range p.at {
		if d := r2.Norm2(r2.Sub(a, q)); d < least {
			best, least = i, d
		}
	}
	return p.arc[best]
}

// displace moves every point outward by h of its arc position.
func (p *plan) displace(h func(s float64) float64) {
	n := len(p.at)
	out := make([]r2.Vec, n)
	for i, q := range p.at {
		t := r2.Unit(r2.Sub(p.at[(i+1)%n], p.at[(i+n-1)%n]))
		out[i] = r2.Add(q, r2.Scale(h(p.arc[i]), r2.Vec{X: t.Y, Y: -t.X}))
	}
	p.at = out
	p.measure()
}

// blur rounds the corners further: a running mean along the edge, of the given
// sd in mm.
func (p *plan) blur(sd float64) {
	n, k := len(p.at), int(4*sd/step)
	weight := make([]float64, 2*k+1)
	var sum float64
	for d := range weight {
		t := float64(d-k) * step / sd
		weight[d] = math.Exp(-t * t / 2)
		sum += weight[d]
	}
	out := make([]r2.Vec, n)
	for i := range out {
		var x, y float64
		for d, w := range weight {
			q := p.at[(i+d-k+n)%n]
			x, y = x+w*q.X, y+w*q.Y
		}
		out[i] = r2.Vec{X: x / sum, Y: y / sum}
	}
	p.at = out
	p.measure()
}

// warp bends the outline out of true by up to most mm, smoothly; evenly about
// x = 0 where it is mirrored.
func (p *plan) warp(rng *rand.Rand, mirrored bool, most float64) {
	var amp, phase [6]float64
	for k := range amp {
		amp[k] = rng.NormFloat64()
		if !mirrored {
			phase[k] = uniform(rng, 0, 2*math.Pi)
		}
	}
	h := func(s float64) (v float64) {
		for k, a := range amp {
			v += a * math.Cos(2*math.Pi*float64(k+2)*(s-p.line())/p.girth()+phase[k])
		}
		return v
	}
	var greatest float64
	for _, s := range p.arc {
		greatest = math.Max(greatest, math.Abs(h(s)))
	}
	p.displace(func(s float64) float64 { return h(s) * most / greatest })
}

// bulge pushes one side out by depth mm over nearly its whole length; in where
// depth is negative.
func (p *plan) bulge(side int, depth float64) {
	tallest := 0.0
	for _, q := range p.at {
		tallest = math.Max(tallest, math.Abs(q.Y))
	}
	middle := p.arcOf(r2.Vec{X: float64(side) * 1e4})
	p.displace(func(s float64) float64 {
		t := math.Remainder(s-middle, p.girth()) / (0.85 * tallest)
		if math.Abs(t) >= 1 {
			return 0
		}
		return depth * (1 - t*t) * (1 - t*t)
	})
}

// notch cuts a rounded piece out of the edge at arc position middle.
func (p *plan) notch(rng *rand.Rand, middle float64) {
	depth := uniform(rng, 15, 40)
	flat, ramp := uniform(rng, 25, 70), depth*uniform(rng, 1.6, 2.4)
	for _, s := range []float64{middle - flat - ramp/2, middle + flat + ramp/2} { // the ends, two bends each
		t := r2.Unit(r2.Sub(p.place(s+1), p.place(s-1)))
		at := r2.Add(p.place(s), r2.Scale(depth/2, r2.Vec{X: -t.Y, Y: t.X}))
		p.bends = append(p.bends, bend{at, ramp/2 + 8, 10})
	}
	p.displace(func(s float64) float64 {
		d := math.Abs(math.Remainder(s-middle, p.girth()))
		switch {
		case d <= flat:
			return -depth
		case d >= flat+ramp:
			return 0
		}
		return -depth * (1 + math.Cos(math.Pi*(d-flat)/ramp)) / 2
	})
}

// stations spreads m arc positions as a careful person would: closely in the
// bends, evenly between them, none quite where planned. They rise.
func (p *plan) stations(rng *rand.Rand, m int) []float64 {
	type stretch struct{ from, to, marks float64 }
	var near []stretch
	free, left := p.girth(), float64(m)
	for _, b := range p.bends {
		k := math.Min(float64(b.marks), math.Min(1.0/8, 0.6/float64(len(p.bends)))*float64(m))
		s := p.arcOf(b.at)
		near = append(near, stretch{s - b.half, s + b.half, k})
		free, left = free-2*b.half, left-k
	}
	slices.SortFunc(near, func(a, b stretch) int { return int(math.Copysign(1, a.from-b.from)) })
	start := 0.0
	if len(near) > 0 {
		start = near[0].from
	}
	var way []stretch // once round from start
	at := start
	for _, c := range append(near, stretch{from: start + p.girth()}) {
		way = append(way, stretch{at, c.from, left * (c.from - at) / free})
		if c.marks > 0 {
			way = append(way, c)
		}
		at = c.to
	}
	var s []float64
	k, done := 0, 0.0 // stretches and marks behind
	for j := range m {
		t := float64(j) + 0.5 + uniform(rng, -0.15, 0.15)
		for k < len(way)-1 && t > done+way[k].marks {
			done += way[k].marks
			k++
		}
		s = append(s, way[k].from+(way[k].to-way[k].from)*(t-done)/way[k].marks)
	}
	return s
}
