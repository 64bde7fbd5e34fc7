package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
)

// bendings says how a closed curve turns: evenly spaced samples of its
// tangent's angle.
type bendings struct {
	at     []r2.Vec
	angle  []float64 // of the tangent, going on without jumps: angle[n+i] = angle[i] + 2π
	length float64
}

// samples is the number of places at which turning is looked at.
const samples = 720

// bend samples a curve evenly by arc length.
func bend(c *geom.Curve) *bendings {
	b := &bendings{length: c.Length()}
	for i := range samples {
		u := c.ParamAt(b.length * float64(i) / samples)
		t := c.Tangent(u)
		a := math.Atan2(t.Y, t.X)
		if i > 0 {
			a = b.angle[i-1] + math.Remainder(a-b.angle[i-1], 2*math.Pi)
		}
		b.at, b.angle = append(b.at, c.At(u)), append(b.angle, a)
	}
	return b
}

// wrapped is the index of a sample counted round and round, and its angle.
func (b *bendings) wrapped(i int) (k int, angle float64) {
	turns := int(math.Floor(float64(i) / samples))
	k = i - turns*samples
	return k, b.angle[k] + 2*math.Pi*float64(turns)
}

// turned is the turning between two samples.
func (b *bendings) turned(i, j int) float64 {
	_, from := b.wrapped(i)
	_, to := b.wrapped(j)
	return to - from
}

// window is the half-width in samples of the stretch in which a corner turns.
func (b *bendings) window(share float64) int {
	const most, part = 160.0, 14.0 // mm; girth over the window's width
	return max(2, int(math.Round(share*math.Min(most, b.length/part)/2/b.length*samples)))
}

// cornerAt is a stretch of a closed curve that turns like a corner, inward
// where turn is below zero.
type cornerAt struct {
	mid, from, to int     // samples: middle, start and end of the arc
	turn          float64 // rad
	sharp         bool    // a break: no radius
}

// alike reports whether two lists of corners are as good as the same: one for
// one within a few samples, which is all where none turns inward.
func alike(a, b []cornerAt) bool {
	const few = 4
	if len(a) != len(b) {
		return false
	}
	for i, c := range a {
		d := b[i]
		if c.turn*d.turn < 0 {
			return false
		}
		if c.turn < 0 && (max(c.from-d.from, d.from-c.from) > few || max(c.to-d.to, d.to-c.to) > few) {
			return false
		}
	}
	return true
}

// breakRadius stands for none: small beside any reading, large enough for one
// smooth curve to follow.
const breakRadius = 0.2 // mm

// breaksIn says which corners are breaks.
func breaksIn(at []cornerAt) []bool {
	out := make([]bool, len(at))
	for i, c := range at {
		out[i] = c.sharp
	}
	return out
}

// withBreaks makes breaks of the corners at the marks that are said to be ones,
// and corners where there were none.
func (b *bendings) withBreaks(at []cornerAt, f *loopFit) []cornerAt {
	for m, is := range f.breaks {
		if !is {
			continue
		}
		near, least := -1, math.Inf(1)
		for i, p := range b.at {
			if d := r2.Norm2(r2.Sub(p, f.p[m])); d < least {
				near, least = i, d
			}
		}
		w := b.window(1)
		k := slices.IndexFunc(at, func(c cornerAt) bool {
			d := (c.mid - near + 2*samples) % samples
			return min(d, samples-d) <= w/2
		})
		if k < 0 {
			at = append(at, cornerAt{mid: near, turn: b.turned(near-w/2, near+w/2)})
			k = len(at) - 1
		}
		const back = 3 // samples: the spline rounds the break off
		at[k].mid, at[k].from, at[k].to, at[k].sharp = near, near-back, near+back, true
	}
	slices.SortFunc(at, func(a, c cornerAt) int { return (a.mid+samples)%samples - (c.mid+samples)%samples })
	return at
}

// sought says what passes for a corner: a turning of at least turn within a
// share of the usual window.
type sought struct{ turn, window float64 }

// corners finds the stretches that turn by enough within the window, the
// sharpest first taken, in their order round.
func (b *bendings) corners(look sought) []cornerAt {
	w := b.window(look.window)
	turn := make([]float64, samples)
	for i := range turn {
		turn[i] = b.turned(i-w, i+w)
	}
	taken := make([]bool, samples)
	var mids []int
	for {
		best := -1
		for i, t := range turn {
			if !taken[i] && math.Abs(t) >= look.turn && (best < 0 || math.Abs(t) > math.Abs(turn[best])) {
				best = i
			}
		}
		if best < 0 {
			break
		}
		// a maximum of its surroundings, not the flank of one taken before
		t, k0, k1 := turn[best], (best+samples-1)%samples, (best+1)%samples
		if math.Abs(t) >= math.Abs(turn[k0]) && math.Abs(t) >= math.Abs(turn[k1]) {
			mids = append(mids, best)
		}
		for d := -2 * w; d <= 2*w; d++ {
			if k := (best + d + samples) % samples; turn[k]*t > 0 {
				taken[k] = true
			}
		}
	}
	slices.Sort(mids)
	return b.extents(merged(mids, turn), w)
}

// merged draws together neighbouring middles between which the turning hardly
// lets up: one wide corner. Each is given as the samples from its first middle
// to its last.
func merged(mids []int, turn []float64) (out [][2]int) {
	const lets = 0.6
	same := func(a, b int) bool {
		if turn[a]*turn[b] <= 0 {
			return false
		}
		least := math.Min(math.Abs(turn[a]), math.Abs(turn[b]))
		for k := a; k != b; k = (k + 1) % samples {
			if turn[k]*turn[a] < 0 || math.Abs(turn[k]) < lets*least {
				return false
			}
		}
		return true
	}
	for _, m := range mids {
		if n := len(out); n > 0 && same(out[n-1][1], m) {
			out[n-1][1] = m
			continue
		}
		out = append(out, [2]int{m, m})
	}
	if n := len(out); n > 1 && same(out[n-1][1], out[0][0]) {
		out[0][0] = out[n-1][0] - samples
		out = out[:n-1]
	}
	return out
}

// extents centres the corners on their turning and finds where they begin and
// end: where all but a tenth of the turning on either side of them is done.
func (b *bendings) extents(at [][2]int, window int) []cornerAt {
	n := len(at)
	var out []cornerAt
	for i, c := range at {
		lo, hi := c[0]-2*window, c[1]+2*window
		if n > 1 {
			before, after := at[(i+n-1)%n][1], at[(i+1)%n][0]
			lo = max(lo, c[0]-(c[0]-before+2*samples)%samples/2)
			hi = min(hi, c[1]+(after-c[1]+2*samples)%samples/2)
		}
		total := b.turned(lo, hi)
		reach := func(share float64) int {
			k := lo
			for k < hi && math.Abs(b.turned(lo, k)) < share*math.Abs(total) {
				k++
			}
			return k
		}
		out = append(out, cornerAt{turn: total, from: reach(0.1), mid: reach(0.5), to: reach(0.9)})
	}
	return out
}

// chain makes the parameters of a chain along the curve with these corners.
func (b *bendings) chain(at []cornerAt) ([]float64, bool) {
	const (
		most  = 14 // more are no corners of a pane
		least = 4  // samples that show how a side runs
	)
	n := len(at)
	if n < 2 || n > most {
		return nil, false
	}
	step := b.length / samples
	point := func(i int) r2.Vec { k, _ := b.wrapped(i); return b.at[k] }
	sides := make([]side, n)
	for i, c := range at {
		next := at[(i+1)%n]
		to := next.from
		for to <= c.to {
			to += samples
		}
		from := c.to
		if to-from < least { // an S: the side is where one arc passes into the other
			from, to = (from+to)/2-least/2, (from+to)/2+least/2
		}
		p, q, m := point(from), point(to), point((from+to)/2)
		chord := r2.Sub(q, p)
		bow := r2.Cross(r2.Sub(m, p), chord) / r2.Norm(chord)
		sides[i] = sideThrough(p, q, bow)
	}
	x := make([]float64, perCorner*n)
	for i, c := range at {
		v, ok := meet(&sides[(i+n-1)%n], &sides[i], point(c.mid))
		if !ok {
			return nil, false
		}
		x[perCorner*i], x[perCorner*i+1] = v.X, v.Y
		if c.sharp {
			x[perCorner*i+2] = math.Copysign(breakRadius, c.turn)
			continue
		}
		arc := float64(c.to-c.from) * step
		x[perCorner*i+2] = math.Copysign(math.Max(5, arc/math.Max(0.2, 0.8*math.Abs(c.turn))), c.turn)
	}
	for i := range n {
		j := (i + 1) % n
		l := math.Hypot(x[perCorner*j]-x[perCorner*i], x[perCorner*j+1]-x[perCorner*i+1])
		k := sides[i].k
		t := k * k * l * l / 4
		if t >= 1 {
			return nil, false
		}
		x[perCorner*i+3] = k * l * l / 4 / (1 + math.Sqrt(1-t))
	}
	return x, true
}

// meet is the common point of two sides' circles nearest to p.
func meet(a, b *side, p r2.Vec) (r2.Vec, bool) {
	for range 20 {
		da, ga := a.distance(p)
		db, gb := b.distance(p)
		det := r2.Cross(ga, gb)
		if !(math.Abs(det) > 1e-3) {
			return p, false
		}
		d := r2.Vec{X: -(da*gb.Y - db*ga.Y) / det, Y: -(db*ga.X - da*gb.X) / det}
		p = r2.Add(p, d)
		if r2.Norm2(d) < 1e-18 {
			return p, true
		}
	}
	return p, false
}
