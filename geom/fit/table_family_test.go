package fit_test

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
)

// corner is a rounded corner of an outline and the side that follows it.
type corner struct {
	at     r2.Vec  // where the sides would meet
	radius float64 // mm
	bow    float64 // mm that the side bulges outward
}

// chain lays bowed sides and the corner arcs that touch them; false where the
// arcs do not fit.
func chain(cs []corner) (p plan, ok bool) {
	n := len(cs)
	type circle struct {
		c r2.Vec
		r float64
	}
	side := make([]circle, n)
	for i, c := range cs {
		d := r2.Sub(cs[(i+1)%n].at, c.at)
		l := r2.Norm(d)
		r := (l*l/4 + c.bow*c.bow) / (2 * c.bow)
		in := r2.Vec{X: -d.Y / l, Y: d.X / l}
		side[i] = circle{r2.Add(r2.Add(c.at, r2.Scale(0.5, d)), r2.Scale(r-c.bow, in)), r}
	}
	middle := make([]r2.Vec, n)
	for i, c := range cs {
		a, b := side[(i+n-1)%n], side[i]
		if middle[i], ok = meet(a.c, a.r-c.radius, b.c, b.r-c.radius, c.at); !ok {
			return p, false
		}
	}
	touch := func(i, k int) r2.Vec { // of corner arc k on side i
		return r2.Add(middle[k], r2.Scale(cs[k].radius, r2.Unit(r2.Sub(middle[k], side[i].c))))
	}
	for i, c := range cs {
		from, to := touch((i+n-1)%n, i), touch(i, i)
		turn, turned := p.sweep(middle[i], c.radius, from, to), p.sweep(side[i].c, side[i].r, to, touch(i, (i+1)%n))
		if turn > math.Pi || turned > 1 {
			return p, false
		}
		marks := 5
		if c.radius < 40 {
			marks = 7
		}
		out := r2.Unit(r2.Sub(r2.Scale(0.5, r2.Add(from, to)), middle[i]))
		p.bends = append(p.bends, bend{r2.Add(middle[i], r2.Scale(c.radius, out)), c.radius*turn/2 + 2, marks})
	}
	p.measure()
	return p, true
}

// meet is the common point of two circles nearest to q.
func meet(a r2.Vec, ra float64, b r2.Vec, rb float64, q r2.Vec) (r2.Vec, bool) {
	d := r2.Sub(b, a)
	l := r2.Norm(d)
	x := (l*l + ra*ra - rb*rb) / (2 * l)
	if math.Abs(x) > ra {
		return q, false
	}
	y := math.Sqrt(ra*ra - x*x)
	u := r2.Scale(1/l, d)
	m, n := r2.Add(a, r2.Scale(x, u)), r2.Scale(y, r2.Vec{X: -u.Y, Y: u.X})
	s, t := r2.Add(m, n), r2.Sub(m, n)
	if r2.Norm(r2.Sub(s, q)) < r2.Norm(r2.Sub(t, q)) {
		return s, true
	}
	return t, true
}

// sweep appends the counter-clockwise arc about c from a to b, without b, and
// returns its angle.
func (p *plan) sweep(c r2.Vec, r float64, a, b r2.Vec) float64 {
	from := math.Atan2(a.Y-c.Y, a.X-c.X)
	turn := math.Atan2(b.Y-c.Y, b.X-c.X) - from
	if turn < 0 {
		turn += 2 * math.Pi
	}
	n := int(math.Ceil(r * turn / step))
	for k := range n {
		s, co := math.Sincos(from + turn*float64(k)/float64(n))
		p.at = append(p.at, r2.Vec{X: c.X + r*co, Y: c.Y + r*s})
	}
	return turn
}

// cut draws corners until their arcs fit.
func cut(rng *rand.Rand, draw func(*rand.Rand) []corner) plan {
	for {
		if p, ok := chain(centred(draw(rng))); ok {
			return p
		}
	}
}

// centred moves corners so that their box lies about the origin in y, and in x
// where they are not mirrored in x = 0.
func centred(cs []corner) []corner {
	lo, hi := cs[0].at, cs[0].at
	for _, c := range cs {
		lo = r2.Vec{X: math.Min(lo.X, c.at.X), Y: math.Min(lo.Y, c.at.Y)}
		hi = r2.Vec{X: math.Max(hi.X, c.at.X), Y: math.Max(hi.Y, c.at.Y)}
	}
	for i := range cs {
		cs[i].at = r2.Sub(cs[i].at, r2.Scale(0.5, r2.Add(lo, hi)))
	}
	return cs
}

// size draws width and height of a pane.
func size(rng *rand.Rand) (w, h float64) {
	w = uniform(rng, 900, 1500)
	return w, uniform(rng, 450, math.Min(900, 0.75*w))
}

func fourCorners(rng *rand.Rand) []corner {
	w, h := size(rng)
	top := w * uniform(rng, 0.72, 1)
	low, high := uniform(rng, 25, 120), uniform(rng, 25, 120)
	side := uniform(rng, 3, 25)
	return []corner{
		{r2.Vec{X: -w / 2}, low, uniform(rng, 5, 60)}, {r2.Vec{X: w / 2}, low, side},
		{r2.Vec{X: top / 2, Y: h}, high, uniform(rng, 5, 60)}, {r2.Vec{X: -top / 2, Y: h}, high, side},
	}
}

func fiveCorners(rng *rand.Rand, mirrored bool) []corner {
	cs := fourCorners(rng)
	if !mirrored {
		for i := range cs {
			cs[i].at = r2.Add(cs[i].at, r2.Vec{X: uniform(rng, -30, 30), Y: uniform(rng, -30, 30)})
			cs[i].radius = uniform(rng, 25, 120)
		}
	}
	a, b := cs[2].at, cs[3].at // the top comes to a blunt point
	peak := r2.Scale(0.5, r2.Add(a, b))
	if !mirrored {
		peak.X += uniform(rng, -0.15, 0.15) * (a.X - b.X)
	}
	peak.Y += (a.X - b.X) / 2 * math.Tan(uniform(rng, 12, 22)*degree)
	cs[2].bow = uniform(rng, 3, 15)
	fifth := corner{peak, uniform(rng, 40, 120), cs[2].bow}
	return []corner{cs[0], cs[1], cs[2], fifth, cs[3]}
}

// threeCorners has one corner of the given radius: at the top where it is
// mirrored, else in front.
func threeCorners(rng *rand.Rand, mirrored bool, radius float64) []corner {
	w := uniform(rng, 400, 900)
	h := w * uniform(rng, 0.5, 0.85)
	x, low, rear := w*uniform(rng, 0, 0.5), uniform(rng, 30, 90), uniform(rng, 30, 90)
	low1, side := uniform(rng, 3, 15), uniform(rng, 3, 15)
	if mirrored {
		return []corner{{r2.Vec{}, low, low1}, {r2.Vec{X: w}, low, side}, {r2.Vec{X: w / 2, Y: h}, radius, side}}
	}
	return []corner{{r2.Vec{}, low, low1}, {r2.Vec{X: w}, radius, uniform(rng, 3, 15)}, {r2.Vec{X: x, Y: h}, rear, side}}
}

// superellipse is x and y to a power, wider below than above.
func superellipse(rng *rand.Rand) plan {
	w, h := size(rng)
	power := uniform(rng, 2.5, 6)
	p := polar(w/2, h/2, power, uniform(rng, -0.15, 0))
	for _, s := range []float64{-1, 1} {
		for _, v := range []float64{-1, 1} {
			p.bends = append(p.bends, bend{r2.Vec{X: s * w / 2, Y: v * h / 2}, 0.6 * h / power, 5})
		}
	}
	return p
}

// oval is a circle, an ellipse or an egg.
func oval(rng *rand.Rand, mirrored bool) plan {
	a := uniform(rng, 450, 700)
	if !mirrored && rng.Float64() < 0.25 {
		return polar(a, a, 2, 0)
	}
	return polar(a, a*uniform(rng, 0.5, 0.8), 2, uniform(rng, -0.12, 0.12))
}

// polar samples |x/a|^power + |y/b|^power = 1, then widens it by taper at the
// top and narrows it as much at the bottom.
func polar(a, b, power, taper float64) (p plan) {
	n := int(math.Ceil(2 * math.Pi * a * 1.3 / step))
	for k := range n {
		s, c := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		r := math.Pow(math.Pow(math.Abs(c)/a, power)+math.Pow(math.Abs(s)/b, power), -1/power)
		y := r * s
		p.at = append(p.at, r2.Vec{X: r * c * (1 + taper*y/b), Y: y})
	}
	p.measure()
	return p
}

// family is one kind of invented pane.
type family struct {
	name    string
	outline func(rng *rand.Rand, mirrored bool) plan // mirrored: must be its own image
	wrap    bool                                     // wings that turn down
	bowl    bool                                     // lies bowl up and leans by 5°
}

func roundCorners(rng *rand.Rand, _ bool) plan { return cut(rng, fourCorners) }

func softCorners(rng *rand.Rand, mirrored bool) plan {
	p := cut(rng, fourCorners)
	p.blur(uniform(rng, 3, 12))
	p.warp(rng, mirrored, uniform(rng, 1, 4))
	return p
}

// threes makes three-cornered panes, without a mirror every second time where
// they need none.
func threes(lo, hi float64) func(*rand.Rand, bool) plan {
	return func(rng *rand.Rand, mirrored bool) plan {
		mirrored = mirrored || rng.Float64() < 0.5
		return cut(rng, func(rng *rand.Rand) []corner { return threeCorners(rng, mirrored, uniform(rng, lo, hi)) })
	}
}

// The families. Their order is part of the seeds.
var (
	round  = family{name: "a  round corners 25-120", outline: roundCorners}
	soft   = family{name: "b  soft corners, warped", outline: softCorners}
	super  = family{name: "c  superellipse", outline: func(rng *rand.Rand, _ bool) plan { return superellipse(rng) }}
	three  = family{name: "d  three corners, one 18-60", outline: threes(18, 60)}
	nose   = family{name: "d' three corners, nose 8-18", outline: threes(8, 18)}
	five   = family{name: "e  five corners", outline: fives}
	lop    = family{name: "f  lopsided by 1-4", outline: lopsided}
	wings  = family{name: "g  wrap-around, slope to 1.2", outline: roundCorners, wrap: true}
	ovals  = family{name: "h  ovals", outline: oval}
	notch  = family{name: "i  cut-out in one edge", outline: notched}
	bowled = family{name: "ab bowl up, leaning 5°", outline: mixed, bowl: true}
	plain  = family{name: "ab round and soft", outline: mixed}
)

// mixed is a round or a soft pane.
func mixed(rng *rand.Rand, mirrored bool) plan {
	if rng.Float64() < 0.5 {
		return roundCorners(rng, mirrored)
	}
	return softCorners(rng, mirrored)
}

func fives(rng *rand.Rand, mirrored bool) plan {
	mirrored = mirrored || rng.Float64() < 0.5
	return cut(rng, func(rng *rand.Rand) []corner { return fiveCorners(rng, mirrored) })
}

// lopsided is a mirrored pane with a bulge on one side that is really there.
func lopsided(rng *rand.Rand, _ bool) plan {
	p := mixed(rng, true)
	side := 1 - 2*rng.IntN(2)
	p.bulge(side, uniform(rng, 1, 4))
	return p
}

func notched(rng *rand.Rand, mirrored bool) plan {
	p := cut(rng, fourCorners)
	middle := p.line()
	if rng.Float64() < 0.5 {
		middle += p.girth() / 2
	}
	if !mirrored {
		middle += uniform(rng, -150, 150)
	}
	p.notch(rng, middle)
	return p
}
