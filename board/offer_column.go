package board

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

const (
	leastGain = 25.0 // logarithm of how much better a shifted column must fit
	mostGain  = 12.0 // that one row may add
	alikeGain = 4.0  // for a value typed twice where the run ends
)

// shiftedColumns finds runs of rows in which one column holds the values of the
// next row, or of the one before.
func (g *judge) shiftedColumns() (out []block) {
	offEdge, badHeight := 0, 0
	for _, i := range g.s.edge {
		switch res := g.s.m.Results[i]; {
		case res.State == Suspect:
			offEdge++
		case res.BadHeight:
			badHeight++
		}
	}
	var best block
	gain := leastGain
	for _, field := range []string{"x", "y", "z"} {
		if field != "z" && offEdge < 2 || field == "z" && badHeight < 2 {
			continue
		}
		for _, dir := range []int{1, -1} {
			a, b, sum := g.bestRun(field, dir)
			if sum > gain {
				gain, best = sum, g.shifted(field, dir, a, b)
			}
		}
	}
	if best.Field == "" {
		return nil
	}
	best.Chance, best.Odds = 0.95, math.Exp(min(gain, math.Log(MostOdds)))
	return append(out, best)
}

// shifted is the offer to move a column of rows a to b by one.
func (g *judge) shifted(field string, dir, a, b int) block {
	w := g.slide(a, b, dir, field)
	w.Instead = field + " of " + g.beside(a, b, dir)
	word, lost := "next row", g.s.job.Readings[g.s.edge[a]].ID
	if dir < 0 {
		word, lost = "row before", g.s.job.Readings[g.s.edge[b]].ID
	}
	w.Why = fmt.Sprintf("in rows %s, %s holds the value of the %s; that of station %s was left out: read it again", w.Typed, field, word, lost)
	w.Typed = field + " of " + w.Typed
	return w
}

// bestRun is the run of rows that gains most when one column is moved back by
// a row; the row whose value is lost gains nothing.
func (g *judge) bestRun(field string, dir int) (a, b int, most float64) {
	gain := g.columnGains(field, dir)
	n := len(gain)
	value := func(k int) float64 { return g.s.job.Readings[g.s.edge[k]].cell(field).MM }
	for i := range n {
		sum := 0.0
		for k := i + 1; k < n && k-i <= longestSlide; k++ {
			lo, hi := i, k // the run; the lost row is at its beginning or its end
			row := k
			if dir < 0 {
				row = k - 1
			}
			sum += gain[row]
			total := sum
			if end := hi + 1; dir > 0 && end < n && value(hi) == value(end) {
				total += alikeGain
			}
			if before := lo - 1; dir < 0 && before >= 0 && value(lo) == value(before) {
				total += alikeGain
			}
			if total > most {
				a, b, most = lo, hi, total
			}
		}
	}
	return a, b, most
}

// columnGains are how much better each row fits with the column's value of the
// row before (dir +1) or behind (-1) in place of its own.
func (g *judge) columnGains(field string, dir int) []float64 {
	job, edge := g.s.job, g.s.edge
	out := make([]float64, len(edge))
	for k := range edge {
		from := k - dir
		if from < 0 || from >= len(edge) {
			continue
		}
		c := *job.Readings[edge[from]].cell(field)
		own := *job.Readings[edge[k]].cell(field)
		if !c.Set || !own.Set || c.MM == own.MM {
			continue
		}
		q := g.station[k]
		var gain float64
		switch field {
		case "z":
			want, slope, ok := g.heightAt(Edge, q, own.MM)
			if !ok {
				continue
			}
			sd := 2 * g.heightSD(q.p, want, slope) // the face has bent to the run
			gain = capped(c.MM-want, sd) - capped(own.MM-want, sd)
		case "x":
			gain = g.moveGain(q, r2.Vec{X: c.MM, Y: q.p.Y})
		default:
			gain = g.moveGain(q, r2.Vec{X: q.p.X, Y: c.MM})
		}
		out[k] = gain
	}
	return out
}

// moveGain is how much nearer the edge a station lies at p.
func (g *judge) moveGain(q placed, p r2.Vec) float64 {
	const bent = 2 // the edge has bent to the run
	return capped(g.see(p).off, bent*g.sxy) - capped(q.off, bent*g.sxy)
}

// capped is half the square of d over sd, negative, no more than a row may add.
func capped(d, sd float64) float64 { return max(-d*d/(2*sd*sd), -mostGain) }
