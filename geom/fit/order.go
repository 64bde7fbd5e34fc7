package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// mostCorners bounds the number of polygon corners that ordering and screening
// work with: their time grows with its square.
const mostCorners = 400

// ring is the closed polygon through the marks, counter-clockwise, marks that
// lie closer together than they can be told apart drawn together to one
// corner.
type ring struct {
	at        []r2.Vec // corners: means of their marks
	marks     [][]int  // the marks of each corner
	aside     []bool   // corners that stick out as a spike: gross slips
	reordered bool     // the marks did not come in order
}

// newRing orders the marks p, read to sd, round the edge. The given order
// stands unless it crosses or doubles back on itself; then the shortest closed
// way is taken. The ring starts at the corner of mark 0.
func newRing(p []r2.Vec, sd float64) *ring {
	near := max(1, 2*sd)
	r := cluster(p, near)
	if len(r.at) > mostCorners {
		r = cluster(p, max(near, girthOfBox(p)/mostCorners))
	}
	tangled := r.doublesBack()
	r.screen(sd)
	if tangled || r.crossesItself() {
		r.untangle()
		r.screen(sd)
	}
	if r.area() < 0 {
		r.reverse(1, len(r.at))
	}
	return r
}

func girthOfBox(p []r2.Vec) float64 {
	lo, hi := p[0], p[0]
	for _, q := range p {
		lo = r2.Vec{X: min(lo.X, q.X), Y: min(lo.Y, q.Y)}
		hi = r2.Vec{X: max(hi.X, q.X), Y: max(hi.Y, q.Y)}
	}
	return 2 * (hi.X - lo.X + hi.Y - lo.Y)
}

// cluster draws marks nearer than d to the first of a corner together, in the
// order in which the corners first appear.
func cluster(p []r2.Vec, d float64) *ring {
	type cell struct{ x, y int }
	of := func(q r2.Vec) cell { return cell{int(math.Floor(q.X / d)), int(math.Floor(q.Y / d))} }
	first := make(map[cell][]int) // corners whose first mark lies in the cell
	r := &ring{}
	for i, q := range p {
		c := of(q)
		at := -1
		for dx := -1; dx <= 1; dx++ {
			for dy := -1; dy <= 1; dy++ {
				for _, k := range first[cell{c.x + dx, c.y + dy}] {
					if r2.Norm(r2.Sub(p[r.marks[k][0]], q)) < d && (at < 0 || k < at) {
						at = k
					}
				}
			}
		}
		if at < 0 {
			at = len(r.marks)
			r.marks = append(r.marks, nil)
			first[c] = append(first[c], at)
		}
		r.marks[at] = append(r.marks[at], i)
	}
	for _, m := range r.marks {
		var sum r2.Vec
		for _, i := range m {
			sum = r2.Add(sum, p[i])
		}
		r.at = append(r.at, r2.Scale(1/float64(len(m)), sum))
	}
	r.aside = make([]bool, len(r.at))
	return r
}

// area is the signed area of the polygon without the corners set aside.
func (r *ring) area() float64 {
	live := r.live()
	var s float64
	for k, i := range live {
		s += r2.Cross(r2.Sub(r.at[i], r.at[live[0]]), r2.Sub(r.at[live[(k+1)%len(live)]], r.at[live[0]]))
	}
	return s / 2
}

// live lists the corners that are not set aside.
func (r *ring) live() []int {
	var out []int
	for i := range r.at {
		if !r.aside[i] {
			out = append(out, i)
		}
	}
	return out
}

// turn is the angle by which the way a, b, c turns at b, + to the left.
func turn(a, b, c r2.Vec) float64 {
	u, v := r2.Sub(b, a), r2.Sub(c, b)
	return math.Atan2(r2.Cross(u, v), r2.Dot(u, v))
}

// spike is the least lessening of the polygon's total turning, to and fro, by
// which a corner passes for a slip. A round, however sharp its corners, turns
// 360 degrees with or without any one of its marks; a mark off the edge adds
// twice its angle on either side.
const spike = 26 * math.Pi / 180

// screen sets aside, worst first, the corners whose removal lessens the total
// turning by more than spike, and by more than noise of sd explains.
func (r *ring) screen(sd float64) {
	clear(r.aside)
	for range len(r.at) / 3 {
		live := r.live()
		n := len(live)
		if n < 6 {
			return
		}
		worst, most := -1, 0.0
		for k, i := range live {
			at := func(d int) r2.Vec { return r.at[live[(k+d+2*n)%n]] }
			a2, a, p, b, b2 := at(-2), at(-1), at(0), at(1), at(2)
			gain := math.Abs(turn(a2, a, p)) + math.Abs(turn(a, p, b)) + math.Abs(turn(p, b, b2)) -
				math.Abs(turn(a2, a, b)) - math.Abs(turn(a, b, b2))
			noise := 12 * sd * (1/r2.Norm(r2.Sub(p, a)) + 1/r2.Norm(r2.Sub(b, p)))
			if g := gain / max(spike, noise); g > most {
				worst, most = i, g
			}
		}
		if most <= 1 {
			return
		}
		r.aside[worst] = true
	}
}

// doublesBack reports whether the polygon turns sharply at two corners in a
// row, as it does when two neighbours have changed places.
func (r *ring) doublesBack() bool {
	const back = 120 * math.Pi / 180
	n := len(r.at)
	at := func(k int) r2.Vec { return r.at[k%n] }
	for k := range n {
		if math.Abs(turn(at(k), at(k+1), at(k+2))) > back && math.Abs(turn(at(k+1), at(k+2), at(k+3))) > back {
			return true
		}
	}
	return false
}

// crossesItself reports whether the polygon does. Spikes do not count: they
// are slips, not a wrong order.
func (r *ring) crossesItself() bool {
	live := r.live()
	n := len(live)
	at := func(k int) r2.Vec { return r.at[live[k%n]] }
	for k := range n {
		for l := k + 2; l < n; l++ {
			if k == 0 && l == n-1 {
				continue
			}
			if crosses(at(k), at(k+1), at(l), at(l+1)) {
				return true
			}
		}
	}
	return false
}

// crosses reports whether the segments ab and cd cross inside both.
func crosses(a, b, c, d r2.Vec) bool {
	if max(a.X, b.X) < min(c.X, d.X) || max(c.X, d.X) < min(a.X, b.X) ||
		max(a.Y, b.Y) < min(c.Y, d.Y) || max(c.Y, d.Y) < min(a.Y, b.Y) {
		return false
	}
	side := func(p, q, s r2.Vec) float64 { return r2.Cross(r2.Sub(q, p), r2.Sub(s, p)) }
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}

// untangle takes the shorter of two closed ways that no exchange shortens: one
// from the order given, one from the order round the middle. Such a way never
// crosses itself.
func (r *ring) untangle() {
	var mid r2.Vec
	for _, q := range r.at {
		mid = r2.Add(mid, r2.Scale(1/float64(len(r.at)), q))
	}
	given, round := make([]int, len(r.at)), make([]int, len(r.at))
	for i := range given {
		given[i], round[i] = i, i
	}
	angle := func(i int) float64 { return math.Atan2(r.at[i].Y-mid.Y, r.at[i].X-mid.X) }
	slices.SortStableFunc(round, func(i, j int) int {
		if a, b := angle(i), angle(j); a < b {
			return -1
		} else if a > b {
			return 1
		}
		return 0
	})
	best, length := given, r.shorten(given)
	if l := r.shorten(round); l < length*(1-1e-12) {
		best = round
	}
	start := slices.Index(best, 0)
	best = append(best[start:len(best):len(best)], best[:start]...)
	at, marks := make([]r2.Vec, len(best)), make([][]int, len(best))
	for k, i := range best {
		at[k], marks[k] = r.at[i], r.marks[i]
	}
	r.at, r.marks = at, marks
	n := len(best)
	for k, i := range best { // the same way, or the same backwards, is no new order
		if i != k && (n-i)%n != k {
			r.reordered = true
		}
	}
}

// shorten exchanges stretches of a closed way (2-opt) and moves single corners
// until neither makes it shorter; it returns the length.
func (r *ring) shorten(way []int) float64 {
	n := len(way)
	d := func(i, j int) float64 { return r2.Norm(r2.Sub(r.at[way[i%n]], r.at[way[j%n]])) }
	const least = 1e-9 // mm
	for better := true; better; {
		better = false
		for i := range n - 1 {
			for j := i + 1; j < n; j++ {
				if d(i, i+1)+d(j, j+1)-d(i, j)-d(i+1, j+1) > least {
					slices.Reverse(way[i+1 : j+1])
					better = true
				}
			}
		}
		for i := range n {
			gain := d(i+n-1, i) + d(i, i+1) - d(i+n-1, i+1)
			for j := range n {
				if j == i || (j+1)%n == i {
					continue
				}
				if gain-d(j, i)-d(i, j+1)+d(j, j+1) > least {
					moved := way[i]
					if j > i {
						copy(way[i:], way[i+1:j+1])
						way[j] = moved
					} else {
						copy(way[j+2:i+1], way[j+1:i])
						way[j+1] = moved
					}
					better = true
					break
				}
			}
		}
	}
	var length float64
	for i := range n {
		length += d(i, i+1)
	}
	return length
}

// reverse turns the corners from..to-1 round.
func (r *ring) reverse(from, to int) {
	slices.Reverse(r.at[from:to])
	slices.Reverse(r.marks[from:to])
	slices.Reverse(r.aside[from:to])
}
