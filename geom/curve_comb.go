package geom

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// CombTooth is one tooth of a curvature comb: a place of a curve, the unit
// normal there, pointing out of the curve, and the curvature in 1/mm, positive
// where the curve is convex.
type CombTooth struct {
	U          float64
	At, Normal r2.Vec
	Curvature  float64
}

// Comb returns n teeth evenly by length, the first at the first knot; nil
// where n is not positive.
func (c *Curve) Comb(n int) []CombTooth {
	if n <= 0 {
		return nil
	}
	teeth := make([]CombTooth, n)
	for i := range teeth {
		u := c.u[0]
		if i > 0 {
			u = c.ParamAt(c.Length() * float64(i) / float64(n))
		}
		teeth[i] = CombTooth{u, c.At(u), c.Normal(u), c.Curvature(u)}
	}
	return teeth
}

// What a curve must do one way for that to be more than a wiggle: turn by
// leastTurn radians, which is what car-body practice lets two surfaces differ
// by where they meet, and stand off its chord by leastBow mm, which the ringing
// of a fitted curve beside its corners does not (see FitClosed).
const (
	leastTurn = 0.1 * math.Pi / 180
	leastBow  = 0.02
)

// Inflections returns the parameters, rising, at which the curve changes from
// convex to hollow or back; there is an even number of them. A wiggle, which
// is a stretch that turns one way by less than 0.1° in all or bows by less
// than 0.02 mm, counts as part of what it lies in; where straight parts convex
// from hollow, the place lies somewhere on the straight. Each is right to
// rounding: within a span the curvature changes sign at the roots of a
// quadratic. Cost: some milliseconds for the outline of a pane.
func (c *Curve) Inflections() []float64 {
	t := newTurning(c)
	bends := t.bends()
	for len(bends) > 1 {
		least := -1
		for i, b := range bends {
			if b.wiggle() && (least < 0 || b.bow < bends[least].bow) {
				least = i
			}
		}
		if least < 0 {
			break
		}
		bends = t.without(bends, least)
	}
	if len(bends) < 2 {
		return nil
	}
	out := make([]float64, len(bends))
	for i, b := range bends {
		out[i] = b.from
	}
	return out
}

// bend is a stretch of a closed curve that turns one way.
type bend struct {
	from, to float64 // parameters; to may lie in the next round
	turn     float64 // angle, radians, left positive
	bow      float64 // greatest distance from its chord, mm
}

func (b bend) wiggle() bool { return math.Abs(b.turn) < leastTurn || b.bow < leastBow }

// bends are the stretches between the places where the curvature changes sign,
// in order; neighbours turn different ways.
func (t *turning) bends() (out []bend) {
	var roots []float64
	for i := range t.spans {
		s, h := &t.spans[i], t.u[i+1]-t.u[i]
		roots = append(roots, t.u[i]) // where the third derivative jumps, the sign may change
		r := quadraticRoots(r2.Cross(s.v, s.a), r2.Cross(s.v, s.j), r2.Cross(s.a, s.j)/2)
		for _, x := range r {
			if x > 0 && x < h {
				roots = append(roots, t.u[i]+x)
			}
		}
	}
	slices.Sort(roots)
	lo, hi := t.Period()
	for i, u := range roots {
		end := hi
		if i+1 < len(roots) {
			end = roots[i+1]
		}
		b := bend{from: u, to: end, turn: t.to(end) - t.to(u)}
		if n := len(out); n > 0 && out[n-1].turn*b.turn >= 0 {
			out[n-1].to, out[n-1].turn = b.to, out[n-1].turn+b.turn
			continue
		}
		out = append(out, b)
	}
	if n := len(out); n > 1 && out[0].turn*out[n-1].turn >= 0 { // one stretch across the first knot
		out[n-1].to, out[n-1].turn = out[0].to+(hi-lo), out[n-1].turn+out[0].turn
		out = out[1:]
	}
	for i := range out {
		out[i].bow = t.bow(out[i].from, out[i].to)
	}
	return out
}

// without merges bend i with both its neighbours, which turn the other way.
func (t *turning) without(b []bend, i int) []bend {
	n := len(b)
	if n == 2 {
		return b[:1]
	}
	before, after := (i+n-1)%n, (i+1)%n
	m := &b[before]
	m.turn += b[i].turn + b[after].turn
	m.to = b[after].to
	if lo, hi := t.Period(); m.to <= m.from {
		m.to += hi - lo
	}
	m.bow = t.bow(m.from, m.to)
	out := b[:0]
	for k, v := range b {
		if k != i && k != after {
			out = append(out, v)
		}
	}
	return out
}

// bow is how far the curve stands off the chord from one parameter to another,
// at its samples and half-way.
func (t *turning) bow(from, to float64) (most float64) {
	a, b := t.At(from), t.At(to)
	look := func(u float64) { most = math.Max(most, toSegment(t.At(u), a, b)) }
	look((from + to) / 2)
	lo, hi := t.Period()
	for _, u := range t.at[:len(t.at)-1] {
		if u < from {
			u += hi - lo
		}
		if u > from && u < to {
			look(u)
		}
	}
	return most
}
