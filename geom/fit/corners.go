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
func (b *bendings) window() int {
	const most, share = 160.0, 14.0 // mm; girth over the window's width
	return max(2, int(math.Round(math.Min(most, b.length/share)/2/b.length*samples)))
}

// corner is a stretch of a closed curve that turns like a corner.
type cornerAt struct {
	mid, from, to int // samples: middle, start and end of the arc
	turn          float64
}

// corners finds the stretches that turn by at least least within the window,
// the sharpest first taken, in their order round. It is nil where the curve
// also turns back so much that it has a hollow.
func (b *bendings) corners(least float64) []cornerAt {
	const hollow = -15 * math.Pi / 180
	w := b.window()
	turn := make([]float64, samples)
	for i := range turn {
		turn[i] = b.turned(i-w, i+w)
		if turn[i] < hollow {
			return nil
		}
	}
	taken := make([]bool, samples)
	var mids []int
	for {
		best := -1
		for i, t := range turn {
			if !taken[i] && t >= least && (best < 0 || t > turn[best]) {
				best = i
			}
		}
		if best < 0 {
			break
		}
		// a maximum of its surroundings, not the flank of one taken before
		k0, k1 := (best+samples-1)%samples, (best+1)%samples
		if turn[best] >= turn[k0] && turn[best] >= turn[k1] {
			mids = append(mids, best)
		}
		for d := -2 * w; d <= 2*w; d++ {
			taken[(best+d+samples)%samples] = true
		}
	}
	slices.Sort(mids)
	return b.extents(mids)
}

// extents centres the corners on their turning and finds where they begin and
// end: where all but a tenth of the turning between the middles of the
// neighbouring sides, less that of the sides, is done.
func (b *bendings) extents(mids []int) []cornerAt {
	n := len(mids)
	var out []cornerAt
	for i, m := range mids {
		w := 2 * b.window()
		before, after := mids[(i+n-1)%n], mids[(i+1)%n]
		if n > 1 {
			w = min(w, (m-before+samples)%samples/2, (after-m+samples)%samples/2)
		}
		total := b.turned(m-w, m+w)
		c := cornerAt{turn: total}
		reach := func(share float64) int {
			k := m - w
			for k < m+w && b.turned(m-w, k) < share*total {
				k++
			}
			return k
		}
		c.from, c.mid, c.to = reach(0.1), reach(0.5), reach(0.9)
		out = append(out, c)
	}
	return out
}

// chain makes the parameters of a chain along the curve with these corners.
func (b *bendings) chain(at []cornerAt) ([]float64, bool) {
	n := len(at)
	if n < 2 {
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
		from, mid := c.to, (c.to+to)/2
		p, q, m := point(from), point(to), point(mid)
		if r2.Norm(r2.Sub(q, p)) < 2*step {
			return nil, false
		}
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
		arc := float64(c.to-c.from) * step
		x[perCorner*i+2] = math.Max(5, arc/math.Max(0.2, 0.8*c.turn))
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
		if !(det > 1e-3) {
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
