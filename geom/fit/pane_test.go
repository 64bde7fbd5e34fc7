package fit

import (
	"flag"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// maker says what kind of pane newPane invents.
type maker struct {
	lopsided bool    // left and right differ
	blur     float64 // corners blurred, mm (one sigma along the edge)
	warp     float64 // sides out of true, mm
	wrap     bool    // wings that turn down to a slope of about 1.2
	level    bool    // lies without lean, roll, skew or shift
}

// soft is a pane whose corners are no circles and whose sides are no arcs.
var soft = maker{blur: 8, warp: 3}

// pane is an invented pane whose true shape is known: an outline of four bowed
// sides and tangent corner arcs on a curved face, mirrored in x = 0 of its own
// frame (unless lopsided), lying on the board in some pose.
type pane struct {
	w, h                 float64
	sagX, sagY, q, taper float64 // face
	wing                 float64
	shift, skew, roll    float64 // of the mirror plane, as Symmetric has them
	lean, dy, dz         float64
	plan                 []r2.Vec // dense outline, own frame, about 1 mm apart
	arc                  []float64
	corners              [4]float64 // arc position of each corner's middle
	half                 [4]float64 // half length of each corner arc
	radii                [4]float64
	rim                  []r3.Vec // the same on the board
}

func uniform(rng *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }

func newPane(rng *rand.Rand, m maker) *pane {
	p := &pane{w: uniform(rng, 900, 1500)}
	p.h = p.w * uniform(rng, 0.5, 0.6)
	p.sagX, p.sagY = uniform(rng, 15, 150), uniform(rng, 5, 60)
	p.q, p.taper = uniform(rng, 0, 0.4), uniform(rng, -0.3, 0.3)
	if m.wrap {
		p.wing = 1
	}
	if !m.level {
		p.shift, p.skew, p.roll = uniform(rng, -5, 5), uniform(rng, -1, 1)*math.Pi/180, uniform(rng, -0.5, 0.5)*math.Pi/180
		p.lean, p.dy, p.dz = uniform(rng, -4, 4)*math.Pi/180, uniform(rng, -300, 300), uniform(rng, 80, 120)
	}
	top := p.w * uniform(rng, 0.75, 1)
	bow := [4]float64{uniform(rng, 5, 60), uniform(rng, 3, 25), uniform(rng, 5, 60), 0}
	bow[3] = bow[1]
	p.radii = [4]float64{uniform(rng, 25, 120), uniform(rng, 25, 120)}
	p.radii[3], p.radii[2] = p.radii[0], p.radii[1]
	vert := [4]r2.Vec{{X: -p.w / 2}, {X: p.w / 2}, {X: top / 2, Y: p.h}, {X: -top / 2, Y: p.h}}
	for i := range vert {
		vert[i].Y -= p.h / 2
	}
	p.radii = [4]float64{p.radii[0], p.radii[0], p.radii[1], p.radii[1]}
	if m.lopsided {
		for i := range 4 {
			p.radii[i], bow[i] = uniform(rng, 25, 120), uniform(rng, 3, 60)
			vert[i] = r2.Add(vert[i], r2.Vec{X: uniform(rng, -40, 40), Y: uniform(rng, -40, 40)})
		}
	}
	p.trace(vert, bow)
	p.bend(rng, m)
	for _, q := range p.plan {
		p.rim = append(p.rim, p.toBoard(r3.Vec{X: q.X, Y: q.Y, Z: p.face(q.X, q.Y)}))
	}
	return p
}

// trace lays the dense outline: side i runs from vertex i to i+1, counter-
// clockwise, bowed outward; the corner arc at each vertex touches both sides.
func (p *pane) trace(vert [4]r2.Vec, bow [4]float64) {
	var centre [4]r2.Vec // of the side circles
	var radius [4]float64
	for i := range 4 {
		a, b := vert[i], vert[(i+1)%4]
		d := r2.Sub(b, a)
		l := r2.Norm(d)
		radius[i] = (l*l/4 + bow[i]*bow[i]) / (2 * bow[i])
		in := r2.Vec{X: -d.Y / l, Y: d.X / l}
		centre[i] = r2.Add(r2.Scale(0.5, r2.Add(a, b)), r2.Scale(radius[i]-bow[i], in))
	}
	var corner [4]r2.Vec
	for i := range 4 {
		h := (i + 3) % 4
		corner[i] = circlesMeet(centre[h], radius[h]-p.radii[i], centre[i], radius[i]-p.radii[i], vert[i])
	}
	touch := func(i int, c r2.Vec, r float64) r2.Vec { // of a corner circle on side i
		return r2.Add(c, r2.Scale(r, r2.Unit(r2.Sub(c, centre[i]))))
	}
	var ends [8]int // indices where arcs begin: corner 0, side 0, corner 1, …
	for i := range 4 {
		h := (i + 3) % 4
		ends[2*i] = len(p.plan)
		p.sweep(corner[i], p.radii[i], touch(h, corner[i], p.radii[i]), touch(i, corner[i], p.radii[i]))
		ends[2*i+1] = len(p.plan)
		n := (i + 1) % 4
		p.sweep(centre[i], radius[i], touch(i, corner[i], p.radii[i]), touch(i, corner[n], p.radii[n]))
	}
	p.measure()
	for i := range 4 {
		a, b := p.arc[ends[2*i]], p.arc[ends[2*i+1]]
		p.corners[i], p.half[i] = (a+b)/2, (b-a)/2
	}
}

// circlesMeet returns the common point of two circles nearest to q.
func circlesMeet(a r2.Vec, ra float64, b r2.Vec, rb float64, q r2.Vec) r2.Vec {
	d := r2.Sub(b, a)
	l := r2.Norm(d)
	x := (l*l + ra*ra - rb*rb) / (2 * l)
	y := math.Sqrt(ra*ra - x*x)
	u := r2.Scale(1/l, d)
	m := r2.Add(a, r2.Scale(x, u))
	n := r2.Vec{X: -u.Y * y, Y: u.X * y}
	s, t := r2.Add(m, n), r2.Sub(m, n)
	if r2.Norm(r2.Sub(s, q)) < r2.Norm(r2.Sub(t, q)) {
		return s
	}
	return t
}

// sweep appends the counter-clockwise arc about c from a to b, without b.
func (p *pane) sweep(c r2.Vec, r float64, a, b r2.Vec) {
	from := math.Atan2(a.Y-c.Y, a.X-c.X)
	turn := math.Atan2(b.Y-c.Y, b.X-c.X) - from
	for turn < 0 {
		turn += 2 * math.Pi
	}
	n := int(math.Ceil(r * turn))
	for k := range n {
		s, co := math.Sincos(from + turn*float64(k)/float64(n))
		p.plan = append(p.plan, r2.Vec{X: c.X + r*co, Y: c.Y + r*s})
	}
}

func (p *pane) measure() {
	p.arc = make([]float64, len(p.plan)+1)
	for i, q := range p.plan {
		p.arc[i+1] = p.arc[i] + r2.Norm(r2.Sub(p.plan[(i+1)%len(p.plan)], q))
	}
}

func (p *pane) girth() float64 { return p.arc[len(p.plan)] }

// bend blurs the corners and warps the sides.
func (p *pane) bend(rng *rand.Rand, m maker) {
	n := len(p.plan)
	if m.blur > 0 {
		k := int(4 * m.blur)
		out := make([]r2.Vec, n)
		for i := range out {
			var sum float64
			for d := -k; d <= k; d++ {
				g := math.Exp(-float64(d*d) / (2 * m.blur * m.blur))
				sum += g
				out[i] = r2.Add(out[i], r2.Scale(g, p.plan[((i+d)%n+n)%n]))
			}
			out[i] = r2.Scale(1/sum, out[i])
		}
		p.plan = out
	}
	if m.warp > 0 {
		// arc position from the bottom's middle, so that cosines are even
		zero := p.arc[p.onLine()]
		out := make([]r2.Vec, n)
		var amp [5]float64
		for k := range amp {
			amp[k] = m.warp * rng.NormFloat64() / math.Sqrt(5)
		}
		for i := range out {
			t := r2.Unit(r2.Sub(p.plan[(i+1)%n], p.plan[(i+n-1)%n]))
			var h float64
			for k, a := range amp {
				h += a * math.Cos(2*math.Pi*float64(k+2)*(p.arc[i]-zero)/p.girth())
			}
			out[i] = r2.Add(p.plan[i], r2.Vec{X: t.Y * h, Y: -t.X * h})
		}
		p.plan = out
	}
	p.measure()
}

// onLine is the index of the outline's point nearest the line x = 0 below.
func (p *pane) onLine() int {
	best := -1
	for i, q := range p.plan {
		if q.Y < 0 && (best < 0 || math.Abs(q.X) < math.Abs(p.plan[best].X)) {
			best = i
		}
	}
	return best
}

// face is the true height in the pane's own frame.
func (p *pane) face(x, y float64) float64 {
	u, v := 2*x/p.w, 2*y/p.h
	z := -p.sagX*((1-p.q)*u*u*(1+p.taper*v)+p.q*u*u*u*u) - p.sagY*v*v
	z += 0.2 * math.Cos(math.Pi*u) * math.Cos(math.Pi*v*0.8)
	if p.wing > 0 {
		a := math.Max(0, math.Abs(u)-0.55) / 0.45
		z -= 1.2 * 0.45 * p.w / 2 / 3 * a * a * a
	}
	return z
}

// toBoard carries a point of the pane's own frame to the board.
func (p *pane) toBoard(q r3.Vec) r3.Vec {
	s, c := math.Sincos(p.lean)
	q.Y, q.Z = c*q.Y-s*q.Z, s*q.Y+c*q.Z
	s, c = math.Sincos(p.roll)
	q.X, q.Z = c*q.X-s*q.Z, s*q.X+c*q.Z
	s, c = math.Sincos(p.skew)
	q.X, q.Y = c*q.X-s*q.Y, s*q.X+c*q.Y
	// the plane crosses the board's x axis at shift, whatever dy and dz are
	n := r3.Vec{X: math.Cos(p.skew) * math.Cos(p.roll), Y: math.Sin(p.skew) * math.Cos(p.roll), Z: math.Sin(p.roll)}
	dx := p.shift - (n.Y*p.dy+n.Z*p.dz)/n.X
	return r3.Add(q, r3.Vec{X: dx, Y: p.dy, Z: p.dz})
}

// at is the rim point at arc position s, in plan arc of the own frame.
func (p *pane) at(s float64) r3.Vec {
	s = math.Mod(s, p.girth())
	if s < 0 {
		s += p.girth()
	}
	i, ok := slices.BinarySearch(p.arc, s)
	if !ok {
		i--
	}
	n := len(p.plan)
	f := (s - p.arc[i]) / (p.arc[i+1] - p.arc[i])
	a, b := p.plan[i%n], p.plan[(i+1)%n]
	q := r2.Add(a, r2.Scale(f, r2.Sub(b, a)))
	return p.toBoard(r3.Vec{X: q.X, Y: q.Y, Z: p.face(q.X, q.Y)})
}

// stations spreads m arc positions as a careful person would: five or six in
// each corner, the rest evenly along the sides, none quite where planned. The
// positions rise from the middle of corner 0 on.
func (p *pane) stations(rng *rand.Rand, m int) []float64 {
	var s []float64
	for i := range 4 {
		k := 5
		if p.radii[i] < 40 {
			k = 6
		}
		k = min(k, m/6)
		for j := range k {
			t := -1 + 2*(float64(j)+0.5)/float64(k)
			s = append(s, p.corners[i]+p.half[i]*(t+uniform(rng, -0.15, 0.15)))
		}
	}
	rest := m - len(s)
	var free, gap [5]float64
	for i := range 4 {
		n := (i + 1) % 4
		end := p.corners[n] - p.half[n]
		if n == 0 {
			end += p.girth()
		}
		gap[i] = end - p.corners[i] - p.half[i]
		free[4] += gap[i]
	}
	for j := range rest {
		t := (float64(j) + 0.5 + uniform(rng, -0.15, 0.15)) / float64(rest) * free[4]
		for i := range 4 {
			if t < gap[i] {
				s = append(s, p.corners[i]+p.half[i]+t)
				break
			}
			t -= gap[i]
		}
	}
	for i := range s {
		if s[i] < p.corners[0] {
			s[i] += p.girth()
		}
	}
	slices.Sort(s)
	return s
}

// read is a reading of q with noise sigma on every axis.
func read(rng *rand.Rand, q r3.Vec, sigma float64) Mark {
	return Mark{P: r3.Add(q, r3.Vec{X: sigma * rng.NormFloat64(), Y: sigma * rng.NormFloat64(), Z: sigma * rng.NormFloat64()}), SXY: sigma, SZ: sigma}
}

// edgeMarks reads m stations all round.
func (p *pane) edgeMarks(rng *rand.Rand, m int, sigma float64) []Mark {
	var out []Mark
	for _, s := range p.stations(rng, m) {
		out = append(out, read(rng, p.at(s), sigma))
	}
	return out
}

// faceMarks reads about m heights on a shaken lattice inside the outline.
func (p *pane) faceMarks(rng *rand.Rand, m int, sigma float64) []Mark {
	pitch := math.Sqrt(0.88 * p.w * p.h / float64(m))
	var out []Mark
	for y := -p.h/2 + pitch/2; y < p.h/2; y += pitch {
		for x := -p.w/2 + pitch/2; x < p.w/2; x += pitch {
			q := r2.Vec{X: x + pitch*uniform(rng, -0.2, 0.2), Y: y + pitch*uniform(rng, -0.2, 0.2)}
			if inside(p.plan, q) {
				out = append(out, read(rng, p.toBoard(r3.Vec{X: q.X, Y: q.Y, Z: p.face(q.X, q.Y)}), sigma))
			}
		}
	}
	return out
}

// inside is the even-odd rule.
func inside(poly []r2.Vec, q r2.Vec) bool {
	in := false
	for i, a := range poly {
		b := poly[(i+1)%len(poly)]
		if (a.Y > q.Y) != (b.Y > q.Y) && q.X < a.X+(b.X-a.X)*(q.Y-a.Y)/(b.Y-a.Y) {
			in = !in
		}
	}
	return in
}

// stat gathers figures of many panes.
type stat []float64

func (s stat) quantile(q float64) float64 {
	t := slices.Clone(s)
	slices.Sort(t)
	return t[min(len(t)-1, int(q*float64(len(t))))]
}

func (s stat) rms() float64 {
	var v float64
	for _, x := range s {
		v += x * x
	}
	return math.Sqrt(v / float64(len(s)))
}

func vec3(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

// local is the rim point at arc position s in the pane's own frame.
func (p *pane) local(s float64) r2.Vec {
	i, ok := slices.BinarySearch(p.arc, math.Mod(s, p.girth()))
	if !ok {
		i--
	}
	return p.plan[i%len(p.plan)]
}

// leftSide is the arc position a fraction of the way down the left side.
func (p *pane) leftSide(f float64) float64 {
	a, b := p.corners[3]+p.half[3], p.girth()+p.corners[0]-p.half[0]
	return a + f*(b-a)
}

// topBottom is an arc position on the top or bottom edge, half-way out on the
// left.
func (p *pane) topBottom(top bool) float64 {
	if top {
		a, b := p.corners[2]+p.half[2], p.corners[3]-p.half[3]
		return a + 0.75*(b-a)
	}
	a, b := p.corners[0]+p.half[0], p.corners[1]-p.half[1]
	return a + 0.25*(b-a)
}

// panes is how many invented panes of each kind the measured tests take; the
// bars hold for more too: go test -run Measured -panes 200.
var panes = flag.Int("panes", 24, "invented panes of each kind in the measured tests")

// kinds are the invented panes that outlines are judged on.
var kinds = []struct {
	name string
	maker
}{
	{"round corners", maker{}},
	{"soft corners, warped sides", soft},
	{"lopsided", maker{lopsided: true}},
}

// source is the random source of one pane of a test.
func source(test, pane int) *rand.Rand { return rand.New(rand.NewPCG(uint64(test), uint64(pane))) }

// missesOf takes the distances of every step-th point of the true rim, moved
// by f, from a curve, and each over the curve's stated sd there.
func (p *pane) missesOf(o *Outline, f geom.Frame, step int) (d, z stat) {
	for i := 0; i < len(p.rim); i += step {
		q := f.Apply(p.rim[i])
		u, e := o.Curve.Nearest(r2.Vec{X: q.X, Y: q.Y})
		d, z = append(d, e), append(z, e/o.SD(u))
	}
	return d, z
}

// fromRim is the distance of a mark from the true rim in plan, to 0.5 mm.
func (p *pane) fromRim(m Mark) float64 {
	d := math.Inf(1)
	for _, q := range p.rim {
		d = math.Min(d, math.Hypot(q.X-m.P.X, q.Y-m.P.Y))
	}
	return d
}

// greatest is the largest absolute value.
func (s stat) greatest() float64 {
	var g float64
	for _, x := range s {
		g = math.Max(g, math.Abs(x))
	}
	return g
}

// boxOf is the box of the marks and a margin.
func boxOf(marks []Mark, margin float64) r2.Box {
	b := r2.Box{Min: marks[0].plan(), Max: marks[0].plan()}
	for _, m := range marks {
		b = widen(b, m.plan())
	}
	d := r2.Vec{X: margin, Y: margin}
	return r2.Box{Min: r2.Sub(b.Min, d), Max: r2.Add(b.Max, d)}
}

// halfMarks reads what lies right of 80 mm left of the centre plane, out of m
// stations all round.
func (p *pane) halfMarks(rng *rand.Rand, m int, sigma float64) []Mark {
	var out []Mark
	for _, s := range p.stations(rng, m) {
		if p.local(s).X > -80 {
			out = append(out, read(rng, p.at(s), sigma))
		}
	}
	return out
}

// checkMarks reads five stations on the left half: three on the side, one each
// at bottom and top.
func (p *pane) checkMarks(rng *rand.Rand, sigma float64) []Mark {
	var out []Mark
	for _, s := range []float64{p.leftSide(0.25), p.leftSide(0.5), p.leftSide(0.75), p.topBottom(false), p.topBottom(true)} {
		out = append(out, read(rng, p.at(s), sigma))
	}
	return out
}

// probeMarks reads m places evenly round the edge.
func (p *pane) probeMarks(rng *rand.Rand, m int, sigma float64) []Mark {
	var out []Mark
	for i := range m {
		out = append(out, read(rng, p.at(p.girth()*float64(i)/float64(m)), sigma))
	}
	return out
}

// fromCurve is the greatest distance of the true rim, where the place in the
// pane's own frame counts, from a curve.
func (p *pane) fromCurve(c *geom.Curve, counts func(r2.Vec) bool) float64 {
	var most float64
	for i, q := range p.rim {
		if counts(p.plan[i]) {
			_, d := c.Nearest(r2.Vec{X: q.X, Y: q.Y})
			most = math.Max(most, math.Abs(d))
		}
	}
	return most
}
