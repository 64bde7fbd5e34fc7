package board

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// block is an offer that concerns readings in a row, first to To.
type block struct {
	first int
	Offer
}

// offerBlock puts a block before what else is offered for its first reading.
// Its other readings, where they were set aside, are offered their own part.
func (s *solve) offerBlock(b block) {
	first := &s.m.Results[b.first]
	first.Offers = append([]Offer{b.Offer}, first.Offers...)
	first.Offer = nil
	if b.Chance < leastChance {
		return
	}
	first.Offer = &first.Offers[0]
	for n := 0; n < len(b.Changes); {
		part := b.partFrom(n)
		n += len(part.Changes)
		res := &s.m.Results[part.To]
		if part.To == b.first || part.Instead == "" || res.State != Suspect && !res.BadHeight {
			continue
		}
		res.Offers = append([]Offer{part}, res.Offers...)
		res.Offer = &res.Offers[0]
	}
}

// partFrom is what a block offers for the one reading of its n-th change.
func (o Offer) partFrom(n int) Offer {
	i := o.Changes[n].Reading
	to := n
	for to < len(o.Changes) && o.Changes[to].Reading == i {
		to++
	}
	o.Changes, o.To = o.Changes[n:to], i
	if o.Field = o.Changes[0].Field; len(o.Changes) > 1 {
		o.Field = "row"
	}
	var typed, instead []string
	for _, c := range o.Changes {
		typed, instead = append(typed, c.From.Text), append(instead, c.To.Text)
	}
	o.Typed, o.Instead = strings.Join(typed, ", "), strings.Trim(strings.Join(instead, ", "), ", ")
	return o
}

// blocks looks for runs of rows that went wrong together.
func (g *judge) blocks() (out []block) {
	out = append(out, g.reversed()...)
	out = append(out, g.skippedRows()...)
	out = append(out, g.shiftedColumns()...)
	for _, b := range g.constantHeights() {
		if !slices.ContainsFunc(out, b.meets) {
			out = append(out, b)
		}
	}
	return out
}

// meets says whether two blocks share a reading.
func (b block) meets(o block) bool { return b.first <= o.To && o.first <= b.To }

// ring is the good stations in the order of the list, as positions in s.edge:
// those whose height is good too.
func (g *judge) ring() (good []int) {
	for k, q := range g.station {
		if q.good && !g.s.m.Results[g.s.edge[k]].BadHeight {
			good = append(good, k)
		}
	}
	return good
}

// way is +1 where the stations run round the edge as its loop does, -1 against it.
func (g *judge) way(good []int) float64 {
	sum := 0.0
	for n := 1; n < len(good); n++ {
		sum += math.Copysign(1, g.step(g.station[good[n-1]].at, g.station[good[n]].at))
	}
	return math.Copysign(1, sum)
}

const (
	leastBack  = 3.0  // mm along the edge, by which a station must step back to be out of order
	longestRun = 0.34 // of the stations, that a block may hold
)

// reversed finds runs of stations, two at least, that are in order round the
// edge once their values are read from the last to the first.
func (g *judge) reversed() (out []block) {
	good := g.ring()
	way := g.way(good)
	back := max(leastBack, 5*math.Sqrt2*g.sxy)
	forward := func(a, b int) float64 { return way * g.step(g.station[good[a]].at, g.station[good[b]].at) }
	for a := 1; a < len(good)-2; a++ {
		b := a
		for b+1 < len(good)-1 && forward(b, b+1) < -back {
			b++
		}
		if b == a {
			continue
		}
		ahead, run, behind := forward(a-1, b), forward(b, a), forward(a, b+1)
		most := 3 * max(run/float64(b-a), back)
		if ahead > 0 && behind > 0 && ahead < most && behind < most && float64(b-a) < longestRun*float64(len(good)) {
			out = append(out, g.turned(good[a:b+1]))
		}
		a = b
	}
	return out
}

// turned is the offer to give a run of stations one another's values from the
// last to the first.
func (g *judge) turned(run []int) block {
	job, last := g.s.job, len(run)-1
	first, to := g.s.edge[run[0]], g.s.edge[run[last]]
	b := block{first, Offer{Field: "block", To: to, Odds: MostOdds, Chance: 0.95,
		Typed: job.span(first, to), Instead: job.span(to, first)}}
	b.Why = fmt.Sprintf("stations %s run against the others: their rows are typed in reversed order", b.Typed)
	if last == 1 {
		b.Why = fmt.Sprintf("stations %s and %s are typed in each other's row", job.Readings[first].ID, job.Readings[to].ID)
	}
	for n := range run {
		b.take(job, g.s.edge[run[n]], g.s.edge[run[last-n]], "x", "y", "z")
	}
	return b
}

// take changes the fields of reading i to what reading from holds; from < 0
// takes them out.
func (o *Offer) take(j *Job, i, from int, fields ...string) {
	for _, f := range fields {
		c := Change{Reading: i, Field: f, From: *j.Readings[i].cell(f)}
		if from >= 0 {
			c.To = *j.Readings[from].cell(f)
		}
		if c.To != c.From {
			o.Changes = append(o.Changes, c)
		}
	}
}

// slide is rows a to b of s.edge that hold what belongs to the row dir (+1, -1)
// beside each: the value of the row at the far end is lost.
func (g *judge) slide(a, b, dir int, fields ...string) block {
	job, edge := g.s.job, g.s.edge
	o := Offer{Field: "block", To: edge[b], Typed: job.span(edge[a], edge[b])}
	lost := edge[a]
	if dir > 0 {
		for k := b; k > a; k-- {
			o.take(job, edge[k], edge[k-1], fields...)
		}
	} else {
		lost = edge[b]
		for k := a; k < b; k++ {
			o.take(job, edge[k], edge[k+1], fields...)
		}
	}
	o.take(job, lost, -1, fields...)
	slices.SortStableFunc(o.Changes, func(p, q Change) int { return p.Reading - q.Reading })
	return block{edge[a], o}
}

// beside names the run a to b moved by dir, or the last row's neighbour where
// there is none.
func (g *judge) beside(a, b, dir int) string {
	edge := g.s.edge
	if a+dir < 0 || b+dir >= len(edge) {
		return g.s.job.span(edge[a], edge[b]) + ", moved by one row"
	}
	return g.s.job.span(edge[a+dir], edge[b+dir])
}

const (
	longestSlide = 24   // rows, that a skipped line goes unnoticed
	leastExcess  = 0.3  // logarithm of how much wider than its neighbours a gap with a station missing is
	skipLead     = 0.12 // how much clearer it must be than the next one
)

// skippedRows finds rows that hold the values of the next row (or the one
// before): two neighbours are typed alike at one end, and a station is missing
// round the edge at the other.
func (g *judge) skippedRows() (out []block) {
	for k := 0; k+1 < len(g.station); k++ {
		if !g.alike(k, k+1) {
			continue
		}
		n, most, next := -1, leastExcess, 0.0
		for m := max(0, k-longestSlide); m <= min(len(g.station)-2, k+longestSlide); m++ {
			switch e := g.excess(m, k); {
			case m == k:
			case e > most:
				n, most, next = m, e, most
			case e > next:
				next = e
			}
		}
		if n < 0 || most < next+skipLead {
			continue
		}
		dir := 1
		a, b := n+1, k
		if n > k {
			a, b, dir = k+1, n, -1
		}
		w := g.slide(a, b, dir, "x", "y", "z")
		w.Instead = g.beside(a, b, dir)
		w.Odds, w.Chance = MostOdds, 0.9
		word := "next row"
		lost := g.s.job.Readings[g.s.edge[a]].ID
		if dir < 0 {
			word, lost = "row before", g.s.job.Readings[g.s.edge[b]].ID
		}
		w.Why = fmt.Sprintf("rows %s hold the values of the %s, and station %s was left out: read it again", w.Typed, word, lost)
		out = append(out, w)
	}
	return out
}

// alike says whether two rows of s.edge hold the same place and height.
func (g *judge) alike(k, n int) bool {
	a, b := g.s.job.Readings[g.s.edge[k]], g.s.job.Readings[g.s.edge[n]]
	return a.ID != b.ID && a.X.MM == b.X.MM && a.Y.MM == b.Y.MM && a.Z.Set == b.Z.Set && a.Z.MM == b.Z.MM
}

// excess is the logarithm of how much wider the gap between rows n and n+1 is
// than the wider one beside it; the doubled row k, k+1 counts once.
func (g *judge) excess(n, k int) float64 {
	width := func(n, d int) float64 {
		if n += d; n == k {
			n += d
		}
		if n < 0 || n+1 >= len(g.station) {
			return 0
		}
		return math.Abs(g.step(g.station[n].at, g.station[n+1].at))
	}
	own, beside := width(n, 0), max(width(n, -1), width(n, 1))
	return math.Log(max(own, g.sxy) / max(beside, 2*g.sxy))
}
