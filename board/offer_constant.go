package board

import (
	"fmt"
	"math"
	"slices"
)

const (
	shortestRun  = 5    // heights in a row that may be off together
	leastOff     = 2.0  // mm
	leastOffSD   = 5.0  // the same in the scatter of the heights
	leastDrop    = 60.0 // of the squared misses, in that scatter
	agreeing     = 0.8  // share of the run that must fit once moved
	lowGroupOdds = 3.0  // a rule read from its end reads low
)

// heightRows are the heights of a job as rows of one list, edge before face,
// with what a smooth face leaves of them.
type heightRows struct {
	reading []int       // index into Job.Readings
	edges   int         // how many of them are stations
	q       [][]float64 // of each row: the smooth faces, square to one another
	left    []float64   // mm: the height less the smooth face nearest to all
}

// heightRows gathers the heights; slips that stand alone are left out.
func (g *judge) heightRows() heightRows {
	var h heightRows
	lists := [][]int{g.s.edge, g.s.face}
	for n, list := range lists {
		for k, i := range list {
			bad := func(k int) bool { return k >= 0 && k < len(list) && g.s.m.Results[list[k]].BadHeight }
			alone := bad(k) && !bad(k-2) && !bad(k-1) && !bad(k+1) && !bad(k+2)
			if alone || !g.s.job.Readings[i].Z.Set || g.s.m.Results[i].State == Suspect && n == 0 {
				continue
			}
			h.reading = append(h.reading, i)
		}
		if n == 0 {
			h.edges = len(h.reading)
		}
	}
	return h
}

// smoothDegree is the degree of the polynomial that stands for a smooth face,
// freeDegree that up to which its coefficients cost nothing; beyond, stiff is
// what they are expected to add at the edge, mm.
const (
	smoothDegree = 6
	freeDegree   = 4
	stiff        = 4.0
)

// smooth takes a smooth face off the heights, a polynomial in x and y; false
// where they are too few.
func (h *heightRows) smooth(s *solve, sz float64) bool {
	j := s.job
	n, free, top := len(h.reading), freeDegree, smoothDegree
	switch {
	case n < 18:
		return false
	case n < 50:
		free, top = 2, freeDegree
	}
	var x, y, size float64
	for _, i := range h.reading {
		x, y = x+j.Readings[i].X.MM/float64(n), y+j.Readings[i].Y.MM/float64(n)
	}
	for _, i := range h.reading {
		size = max(size, math.Hypot(j.Readings[i].X.MM-x, j.Readings[i].Y.MM-y))
	}
	rows := n + (top+1)*(top+2)/2 // behind the heights a row for each coefficient, which is to be small
	var columns [][]float64
	for a := 0; a <= top; a++ {
		for b := 0; a+b <= top; b++ {
			c := make([]float64, rows)
			for k, i := range h.reading {
				r := &j.Readings[i]
				c[k] = math.Pow((r.X.MM-x)/size, float64(a)) * math.Pow((r.Y.MM-y)/size, float64(b))
			}
			if a+b > free {
				c[n+len(columns)] = sz / stiff
			}
			if square(c, columns) {
				length := math.Sqrt(dot(c, c))
				for k := range c {
					c[k] /= length
				}
				columns = append(columns, c)
			}
		}
	}
	h.left = make([]float64, rows)
	for k, i := range h.reading {
		h.left[k] = s.m.Results[i].At.Z
	}
	square(h.left, columns)
	h.left = h.left[:n]
	for k := range h.reading {
		row := make([]float64, len(columns))
		for p, c := range columns {
			row[p] = c[k]
		}
		h.q = append(h.q, row)
	}
	return true
}

// square takes the columns' parts off c; columns have length 1. It says whether
// more than rounding is left.
func square(c []float64, columns [][]float64) bool {
	before := dot(c, c)
	for range 2 { // once more for what rounding left
		for _, q := range columns {
			f := dot(c, q)
			for k := range c {
				c[k] -= f * q[k]
			}
		}
	}
	return dot(c, c) > 1e-12*before
}

func dot(a, b []float64) (sum float64) {
	for k := range a {
		sum += a[k] * b[k]
	}
	return sum
}

// offRun is a run of rows, from a to before b, that is off by one amount.
type offRun struct {
	a, b  int
	by    float64 // mm, + too high
	drop  float64 // of the squared misses, mm2, once moved
	share []float64
}

// wholeList is how little less a whole list may mend than the best run of it and
// still be taken for what went wrong.
const wholeList = 0.75

// best is the run whose move makes the misses least.
func (h *heightRows) best() (run offRun) {
	var whole offRun
	for _, part := range [][2]int{{0, h.edges}, {h.edges, len(h.reading)}} {
		for a := part[0]; a < part[1]; a++ {
			sum, q := 0.0, make([]float64, len(h.q[a]))
			for k := a; k < part[1]; k++ {
				sum += h.left[k]
				for p, v := range h.q[k] {
					q[p] += v
				}
				n := float64(k + 1 - a)
				free := n - dot(q, q) // what a smooth face cannot take up
				drop := sum * sum / free
				all := a == part[0] && k+1 == part[1]
				if n < shortestRun || free < 0.02*n || drop < run.drop && !all {
					continue
				}
				this := offRun{a, k + 1, sum / free, drop, slices.Clone(q)}
				if all && drop > whole.drop {
					whole = this
				}
				if drop > run.drop {
					run = this
				}
			}
		}
	}
	if whole.drop > wholeList*run.drop {
		return whole
	}
	return run
}

// after are the misses once the run is moved.
func (h *heightRows) after(run offRun) []float64 {
	out := slices.Clone(h.left)
	for k := range out {
		if k >= run.a && k < run.b {
			out[k] -= run.by
		}
		out[k] += run.by * dot(h.q[k], run.share)
	}
	return out
}

// stands says whether the run is off for certain: far against the scatter that is
// left, and most of its rows agree.
func (h *heightRows) stands(run offRun, least float64) bool {
	if math.Abs(run.by) < leastOff {
		return false
	}
	left := h.after(run)
	size := make([]float64, len(left))
	for k, v := range left {
		size[k] = math.Abs(v)
	}
	slices.Sort(size)
	n := float64(len(left))
	scatter := 1.4826 * size[len(size)/2] * math.Sqrt(n/max(n-float64(len(h.q[0]))-1, 1))
	scatter = max(scatter, least)
	agree := 0
	for k := run.a; k < run.b; k++ {
		if math.Abs(left[k]) < 4*scatter {
			agree++
		}
	}
	return math.Abs(run.by) > leastOffSD*scatter && run.drop > leastDrop*scatter*scatter &&
		float64(agree) >= agreeing*float64(run.b-run.a)
}

// constantHeights finds heights in a row that are off by one amount, such as all
// of the face: the rule was read from its end.
func (g *judge) constantHeights() []block {
	h := g.heightRows()
	if !h.smooth(g.s, g.sz) {
		return nil
	}
	run := h.best()
	if run.b == 0 || !h.stands(run, g.sz) {
		return nil
	}
	found := g.lifted(h.reading[run.a:run.b], run.by)
	found.Chance = 0.9
	rest := h.reading[:h.edges]
	if run.a == 0 {
		rest = h.reading[h.edges:]
	}
	all := run.b-run.a == h.edges && run.a == 0 || run.a == h.edges && run.b == len(h.reading)
	if !all || len(rest) == 0 {
		return []block{found}
	}
	other := g.lifted(rest, -run.by) // the same, seen from the other side
	found.Chance = lowGroupOdds / (1 + lowGroupOdds)
	if run.by > 0 {
		found, other = other, found
		found.Chance = lowGroupOdds / (1 + lowGroupOdds)
	}
	other.Chance = 1 - found.Chance
	return []block{other, found}
}

// lifted is the offer to move the heights of these readings, which are too high
// by so much.
func (g *judge) lifted(run []int, by float64) block {
	job := g.s.job
	by = math.Round(by/g.grain) * g.grain
	first, to := run[0], run[len(run)-1]
	word, side := "less", "high"
	if by < 0 {
		word, side = "more", "low"
	}
	amount := job.Format(math.Abs(by))
	b := block{first, Offer{Field: "block", To: to, Odds: MostOdds, Typed: "z of " + job.span(first, to),
		Instead: fmt.Sprintf("z of %s, each %s %s", job.span(first, to), amount, word)}}
	b.Why = fmt.Sprintf("the heights of %s are all %s too %s: was the rule read from its end?", job.span(first, to), job.length(math.Abs(by)), side)
	for _, i := range run {
		c := job.Readings[i].Z
		moved := Cell{Text: c.like(c.MM - by), Unit: c.Unit, Comma: c.Comma}
		b.Changes = append(b.Changes, Change{Reading: i, Field: "z", From: c, To: moved})
	}
	return b
}
