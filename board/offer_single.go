package board

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
)

// trial is an offer with the logarithm of how well it explains the reading.
type trial struct {
	Offer
	log float64
}

// noSlip is how much more common a good reading is than a swap of digits.
const noSlip = 300

// reach is how far from the edge, in its standard uncertainty, a correction is
// still looked at.
const reach = 5

// rareElsewhere is how much rarer a slip in x or y of a face reading is than one
// in its height: these places are chosen, on the lines of the grid.
const rareElsewhere = 0.02

// settle turns trials into offers: left is the logarithm for leaving the
// reading as it is, other that for a slip of another sort.
func settle(tried []trial, left, other float64) []Offer {
	left += math.Log(noSlip)
	most := max(left, other)
	for _, t := range tried {
		most = max(most, t.log)
	}
	sum := math.Exp(left-most) + math.Exp(other-most)
	for _, t := range tried {
		sum += math.Exp(t.log - most)
	}
	out := make([]Offer, len(tried))
	for i, t := range tried {
		out[i] = t.Offer
		out[i].Chance = math.Exp(t.log-most) / sum
		out[i].Odds = math.Exp(min(t.log-left, math.Log(MostOdds)))
	}
	return out
}

// single is the offer to type another text into one cell of reading i.
func (j *Job) single(i int, field string, v variant) Offer {
	from := *j.Readings[i].cell(field)
	return Offer{Field: field, Typed: from.Text, Instead: v.text, To: i,
		Why:     fmt.Sprintf("%s: %s for %s", v.why, strings.TrimSpace(from.Text), v.text),
		Changes: []Change{{Reading: i, Field: field, From: from, To: j.Typed(v.text)}}}
}

// ofStation are the corrections of the k-th station, whose place lies off the
// edge or whose height lies off the face.
func (g *judge) ofStation(k int) (offers []Offer) {
	i, q := g.s.edge[k], g.station[k]
	job := g.s.job
	r := job.Readings[i]
	var tried []trial
	try := func(x, y float64, z Cell, weight float64, offer func() Offer) {
		to := g.see(r2.Vec{X: x, Y: y})
		if math.Abs(to.off) > reach*10 {
			return
		}
		if sd := g.edgeSD(to.p); math.Abs(to.off) < reach*sd {
			tried = append(tried, trial{offer(), math.Log(weight) + g.fits(k, to, sd, z)})
		}
	}
	for _, v := range append(job.meant(r.X, AxisX), g.neighbours(k, "x")...) {
		try(v.mm, r.Y.MM, r.Z, v.weight, func() Offer { return job.single(i, "x", v) })
	}
	for _, v := range append(job.meant(r.Y, AxisY), g.neighbours(k, "y")...) {
		try(r.X.MM, v.mm, r.Z, v.weight, func() Offer { return job.single(i, "y", v) })
	}
	if job.means(r.X.Text, AxisY, r.X) && job.means(r.Y.Text, AxisX, r.Y) {
		try(r.Y.MM, r.X.MM, r.Z, 1, func() Offer { return exchanged(i, r) })
	}
	sd := g.edgeSD(q.p)
	if g.s.m.Results[i].BadHeight {
		for _, v := range g.heights(r, q) {
			try(r.X.MM, r.Y.MM, Cell{Set: true, MM: v.mm}, v.weight, func() Offer { return job.single(i, "z", v) })
		}
	}
	place := g.fits(k, q, sd, Cell{})
	left, other := place, max(place, math.Log(anywhere/g.girth))+math.Log(anyHeight)
	if want, slope, ok := g.heightAt(Edge, q, r.Z.MM); ok && r.Z.Set {
		left += bell(r.Z.MM-want, g.heightSD(q.p, want, slope))
	}
	return settle(tried, left, other)
}

// means says whether a text still means what c means in a field of another axis:
// not where a grid line was typed.
func (j *Job) means(text string, a Axis, c Cell) bool {
	m, err := read(text, a, c.Unit, c.Comma, j.Grid)
	return err == nil && m.value == c.MM
}

// exchanged is the offer to exchange x and y of reading i.
func exchanged(i int, r Reading) Offer {
	return Offer{Field: "xy", Typed: pair(r.X.Text, r.Y.Text), Instead: pair(r.Y.Text, r.X.Text), To: i,
		Why:     fmt.Sprintf("x and y are exchanged: %s for %s", pair(r.X.Text, r.Y.Text), pair(r.Y.Text, r.X.Text)),
		Changes: []Change{{i, "x", r.X, r.Y}, {i, "y", r.Y, r.X}}}
}

// neighbours are the values of the rows before and behind in one field: a line
// of the sheet may have been read twice, or left out.
func (g *judge) neighbours(k int, field string) (out []variant) {
	job := g.s.job
	typed := job.Readings[g.s.edge[k]].cell(field)
	for _, n := range []int{k - 1, k + 1} {
		if n < 0 || n >= len(g.s.edge) {
			continue
		}
		r := &job.Readings[g.s.edge[n]]
		c := r.cell(field)
		if !c.Set || c.MM == typed.MM || c.Unit != job.Unit || c.Comma != job.Comma {
			continue
		}
		out = append(out, variant{text: c.Text, mm: c.MM, weight: 0.02,
			why: "the " + field + " of station " + r.ID + " belongs here"})
	}
	return out
}

// ofHeight are the corrections of face reading i, whose height lies off the face.
func (g *judge) ofHeight(i int) []Offer {
	r := g.s.job.Readings[i]
	q := placed{p: r2.Vec{X: r.X.MM, Y: r.Y.MM}}
	want, slope, ok := g.heightAt(Face, q, r.Z.MM)
	if !ok {
		return nil
	}
	sd := g.heightSD(q.p, want, slope)
	tried := g.elsewhere(i, r)
	for _, v := range g.heights(r, q) {
		if d := v.mm - want; math.Abs(d) < reach*sd {
			tried = append(tried, trial{g.s.job.single(i, "z", v), math.Log(v.weight) + bell(d, sd)})
		}
	}
	return settle(tried, bell(r.Z.MM-want, sd), math.Log(anyHeight))
}

// heights are the heights that may have been meant by a reading.
func (g *judge) heights(r Reading, q placed) []variant {
	_, slope, _ := g.heightAt(r.Kind, q, r.Z.MM)
	return append(g.s.job.meant(r.Z, AxisZ), g.otherFace(r, slope)...)
}

// otherFace is the height where it was read on the other face of the pane.
func (g *judge) otherFace(r Reading, slope float64) []variant {
	job := g.s.job
	d := job.Pane.Thickness.MM * math.Hypot(1, slope)
	lower := job.Pane.ReadLower && r.Kind == Face // where it should have been read
	if lower {
		d = -d
	}
	word := "inner"
	if lower == (job.Pane.Lay == Dome) {
		word = "outer"
	}
	if !(d != 0) || !r.Z.Set {
		return nil
	}
	v := &variants{job: job, cell: r.Z, axis: AxisZ}
	v.try(r.Z.like(math.Round((r.Z.MM+d)/g.grain)*g.grain), 0.5, "read on the "+word+" face")
	return v.found
}

// grainOf is the coarsest step in which all heights of a job are typed, mm.
func grainOf(j *Job) float64 {
	steps := []float64{1, 0.5, 0.25, 0.1}
	if j.Unit == Inch {
		steps = []float64{25.4 / 16, 25.4 / 32, 25.4 / 64}
	}
	for _, s := range steps {
		if !slices.ContainsFunc(j.Readings, func(r Reading) bool {
			return r.Z.Set && math.Abs(math.Remainder(r.Z.MM, s)) > 1e-6
		}) {
			return s
		}
	}
	return 0.1
}

// elsewhere are the corrections of a face reading's x or y: the height is good,
// and belongs to another place inside the edge where none was read.
func (g *judge) elsewhere(i int, r Reading) (tried []trial) {
	try := func(x, y float64, field string, v variant) {
		p := r2.Vec{X: x, Y: y}
		to := placed{p: p}
		want, slope, ok := g.heightAt(Face, to, r.Z.MM)
		d := r.Z.MM - want
		if !ok || math.Abs(d) > reach*10 || !g.loop.Contains(p) {
			return
		}
		if sd := g.heightSD(p, want, slope); math.Abs(d) < reach*sd && !g.taken(p, i) {
			tried = append(tried, trial{g.s.job.single(i, field, v), math.Log(rareElsewhere*v.weight) + bell(d, sd)})
		}
	}
	for _, v := range g.s.job.meant(r.X, AxisX) {
		try(v.mm, r.Y.MM, "x", v)
	}
	for _, v := range g.s.job.meant(r.Y, AxisY) {
		try(r.X.MM, v.mm, "y", v)
	}
	return tried
}

// taken says whether another face reading stands at p.
func (g *judge) taken(p r2.Vec, i int) bool {
	for _, k := range g.s.face {
		r := &g.s.job.Readings[k]
		if k != i && math.Hypot(r.X.MM-p.X, r.Y.MM-p.Y) < 5 {
			return true
		}
	}
	return false
}
