package board

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
	"panewright/geom/fit"
)

// judge weighs corrections against the pane that the kept readings make.
type judge struct {
	s       *solve
	free    *fit.Outline // board frame
	sxy, sz float64      // mm, of a reading, as expected or as found where that is more

	loop    geom.Polygon // the edge on the board, plan, first point not repeated
	sides   []side       // of loop
	girth   float64      // the way round
	station []placed     // of s.edge
	level   float64      // mm, mean height of the edge
	grain   float64      // mm, in which the heights are typed
	uneven  float64      // sd of a station's place between its neighbours, in parts of their distance
}

// side is one straight piece of the edge.
type side struct {
	from, dir r2.Vec // dir of length 1
	length    float64
	start     float64 // way round to its beginning
}

// placed is a point of the board seen from the edge.
type placed struct {
	p       r2.Vec
	at      float64 // way round to the nearest point of the edge
	off     float64 // mm from it, + outside, the pencil's share taken off
	outward r2.Vec
	good    bool // kept: it says where its neighbours lie
}

// newJudge prepares to judge the corrections of a solve; nil where no outline
// was found.
func (s *solve) newJudge() *judge {
	free := s.m.Free
	if free == nil {
		if free = s.withoutStrays(); free == nil {
			return nil
		}
	}
	g := &judge{s: s, free: free, grain: grainOf(s.job), level: s.mean().Z}
	g.sxy, g.sz = s.job.sigmas()
	g.sxy = max(g.sxy, s.m.Figures.SigmaFound)
	if m := s.m.MeasuredHalf; len(m) > 1 {
		g.loop = append(g.loop, m[:len(m)-1]...)
		if m = s.m.MadeHalf; len(m) > 1 {
			g.loop = append(g.loop, m[:len(m)-1]...)
		}
	} else {
		c := free.Curve
		for _, u := range c.Flatten(0.05) {
			g.loop = append(g.loop, c.At(u))
		}
	}
	for i, p := range g.loop {
		d := r2.Sub(g.loop[(i+1)%len(g.loop)], p)
		if length := r2.Norm(d); length > 0 {
			g.sides = append(g.sides, side{p, r2.Scale(1/length, d), length, g.girth})
			g.girth += length
		}
	}
	for _, i := range s.edge {
		r := s.job.Readings[i]
		q := g.see(r2.Vec{X: r.X.MM, Y: r.Y.MM})
		q.good = s.m.Results[i].State != Suspect
		g.station = append(g.station, q)
	}
	g.uneven = g.unevenness()
	return g
}

// see finds the point of the edge nearest to p.
func (g *judge) see(p r2.Vec) placed {
	p = g.s.fix.plan(p)
	best, at, f, side := math.Inf(1), 0, 0.0, 0.0
	for i, s := range g.sides {
		x, y := p.X-s.from.X, p.Y-s.from.Y
		t := min(s.length, max(0, x*s.dir.X+y*s.dir.Y))
		dx, dy := x-t*s.dir.X, y-t*s.dir.Y
		if far := dx*dx + dy*dy; far < best {
			best, at, f, side = far, i, t, y*s.dir.X-x*s.dir.Y
		}
	}
	s := g.sides[at]
	off := math.Copysign(math.Sqrt(best), -side)
	return placed{p: p, at: s.start + f, off: off - g.s.job.Pencil.MM, outward: r2.Vec{X: s.dir.Y, Y: -s.dir.X}}
}

// step is the way round from one place to another, the shorter way, + the way
// the loop runs.
func (g *judge) step(from, to float64) float64 { return math.Remainder(to-from, g.girth) }

// edgeSD is the standard uncertainty of a reading's distance from the edge near p.
func (g *judge) edgeSD(p r2.Vec) float64 {
	m, sd := g.s.m, 0.0
	if m.Pane != nil {
		q := m.BoardToGlass.Apply(r3.Vec{X: p.X, Y: p.Y, Z: g.level})
		sd = m.OutlineSD(r2.Vec{X: q.X, Y: q.Y})
	} else {
		u, _ := g.free.Curve.Nearest(p)
		sd = g.free.SD(u)
	}
	if !(sd < 10) { // also where it is not a number
		sd = 10
	}
	return math.Hypot(g.sxy, sd)
}

// between is where the k-th station is to be expected from the good ones before
// and behind it in the list; sd is 0 where they do not tell.
func (g *judge) between(k int) (at, sd float64) {
	n := len(g.station)
	near := func(dir int) int {
		for d := 1; d < n; d++ {
			if g.station[(k+dir*d+n*d)%n].good {
				return d
			}
		}
		return 0
	}
	before, behind := near(-1), near(1)
	if before == 0 || before+behind > n/2 {
		return 0, 0
	}
	a, b := g.station[(k-before+n)%n].at, g.station[(k+behind)%n].at
	gap := g.step(a, b)
	if math.Abs(gap) > g.girth/4 {
		return 0, 0
	}
	at = a + gap*float64(before)/float64(before+behind)
	return at, math.Hypot(g.uneven*gap, 2*g.sxy)
}

// unevenness is how unevenly the good stations follow one another.
func (g *judge) unevenness() float64 {
	var off []float64
	for k, q := range g.station {
		n := len(g.station)
		a, b := g.station[(k+n-1)%n], g.station[(k+1)%n]
		if gap := g.step(a.at, b.at); q.good && a.good && b.good && math.Abs(gap) > 1 {
			off = append(off, math.Abs(g.step(a.at+gap/2, q.at)/gap))
		}
	}
	if len(off) < 5 {
		return 0.5
	}
	slices.Sort(off)
	return min(max(off[len(off)*3/4]/1.15, 0.02), 0.5) // the quartile of a normal's size is 1.15 sd
}

// heightAt is the height to be expected from a reading of kind k at a place,
// and the slope there; ok is false where no face was found. near is a height
// not far off.
func (g *judge) heightAt(k Kind, q placed, near float64) (z, slope float64, ok bool) {
	off := g.s.fix.lift(k, q.p) // heights are typed as read
	z, slope, ok = g.onBoard(k, q, near-off)
	return z + off, slope, ok
}

// onBoard is heightAt of heights as they stand on the board.
func (g *judge) onBoard(k Kind, q placed, near float64) (z, slope float64, ok bool) {
	m, job := g.s.m, g.s.job
	if m.Pane == nil {
		if m.FreeFace == nil {
			return 0, 0, false
		}
		h := m.FreeFace.Face.Eval(q.p.X, q.p.Y)
		return h.Z, math.Hypot(h.Zx, h.Zy), true
	}
	z = near
	t := job.Pane.Thickness.MM
	for range 2 { // the pane may lean: the height moves the place a little
		p := m.BoardToGlass.Apply(r3.Vec{X: q.p.X, Y: q.p.Y, Z: z})
		h := m.Pane.Upper.Eval(p.X, p.Y)
		switch {
		case k == Edge:
			out := m.BoardToGlass.Rotate(r3.Vec{X: q.outward.X, Y: q.outward.Y})
			at, _ := geom.Arrises(r2.Vec{X: p.X, Y: p.Y}, r2.Vec{X: out.X, Y: out.Y}, h.Normal(), t, job.Pane.Profile)
			h = m.Pane.Upper.Eval(at.X, at.Y)
		case job.Pane.ReadLower:
			up := r3.Add(p, r3.Scale(t, h.Normal()))
			h = m.Pane.Upper.Eval(up.X, up.Y)
			h.Z -= t * h.Normal().Z
		}
		z -= p.Z - h.Z
		slope = math.Hypot(h.Zx, h.Zy)
	}
	return z, slope, !math.IsNaN(z)
}

// heightSD is the standard uncertainty of a height against the face at p.
func (g *judge) heightSD(p r2.Vec, z, slope float64) float64 {
	sd := 0.0
	if m := g.s.m; m.Pane != nil {
		q := m.BoardToGlass.Apply(r3.Vec{X: p.X, Y: p.Y, Z: z})
		sd = m.FaceSD(r2.Vec{X: q.X, Y: q.Y})
	} else if m.FreeFace != nil {
		sd = m.FreeFace.SD(p.X, p.Y)
	}
	if !(sd < 10) {
		sd = 10
	}
	return math.Sqrt(g.sz*g.sz + slope*slope*g.sxy*g.sxy + sd*sd)
}

// howFar is how far reading i lies off, in standard uncertainties: a station off
// the edge, or a height off the face.
func (g *judge) howFar(i int) float64 {
	r, res := g.s.job.Readings[i], g.s.m.Results[i]
	q := g.see(r2.Vec{X: r.X.MM, Y: r.Y.MM})
	if r.Kind == Edge && res.State == Suspect {
		return q.off / g.edgeSD(q.p)
	}
	want, slope, ok := g.heightAt(r.Kind, q, r.Z.MM)
	if !ok {
		return 0
	}
	return (r.Z.MM - want) / g.heightSD(q.p, want, slope)
}

// bell is the logarithm of the normal density, 1/mm.
func bell(d, sd float64) float64 {
	z := d / sd
	return -z*z/2 - math.Log(sd) - 0.919
}

// Densities of what is not to be expected, 1/mm.
const (
	anywhere  = 1.0 / 800 // a place off the edge
	anyHeight = 1.0 / 200
	mayBeOff  = 0.05 // share of readings whose other value is wrong too, or that stand out of line
)

// mixed is the logarithm of a bell with a flat part under it.
func mixed(d, sd, flat float64) float64 {
	return math.Log((1-mayBeOff)*math.Exp(bell(d, sd)) + mayBeOff*flat)
}

// fits is the logarithm of how well a station at q with height z, where it has
// one, agrees with the edge, with its neighbours in the list and with the face.
func (g *judge) fits(k int, q placed, sd float64, z Cell) float64 {
	sum := bell(q.off, sd)
	if at, wide := g.between(k); wide > 0 {
		sum += mixed(g.step(at, q.at), wide, 1/g.girth)
	} else {
		sum += math.Log(1 / g.girth)
	}
	if z.Set {
		if want, slope, ok := g.heightAt(Edge, q, z.MM); ok {
			sum += mixed(z.MM-want, g.heightSD(q.p, want, slope), anyHeight)
		}
	}
	return sum
}
