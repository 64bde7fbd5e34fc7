package board

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

const (
	leastGain = 14.0 // logarithm of how much better a shifted column must fit
	mostGain  = 12.0 // that one row may add
	leastRest = 9.0  // what must speak for the run beside the row that gains most, which may be a slip of its own
	alikeGain = 8.0  // at most, for a value typed twice where the run ends
	jumpGain  = 8.0  // for a jump of twice the usual where a value was left out
)

// shiftedColumns finds runs of rows in which one column holds the values of the
// next row, or of the one before.
func (g *judge) shiftedColumns() (out []block) {
	if !g.suspectsTogether() {
		return nil
	}
	var best block
	gain := leastGain
	for _, field := range []string{"x", "y", "z"} {
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
// a row; the row whose value is lost gains nothing. A value typed twice speaks for
// the one end of a run, a jump over the lost value for the other.
func (g *judge) bestRun(field string, dir int) (a, b int, most float64) {
	gain := g.columnGains(field, dir)
	n := len(gain)
	for i := range n {
		sum, top := 0.0, 0.0
		for k := i + 1; k < n && k-i <= longestSlide; k++ {
			row, twice, jump := k, k, i-1 // the first row's value is lost
			if dir < 0 {
				row, twice, jump = k-1, i-1, k // the last one's
			}
			sum += gain[row]
			top = max(top, gain[row])
			total := sum + g.twice(twice, field) + g.jump(jump, field)
			if total > most && total-top > leastRest {
				a, b, most = i, k, total
			}
		}
	}
	return a, b, most
}

// value is a column's value in a row of s.edge, or in the nearest one there is.
func (g *judge) value(k int, field string) float64 {
	return g.s.job.Readings[g.s.edge[min(max(k, 0), len(g.s.edge)-1)]].cell(field).MM
}

// jump speaks for a value having been left out between rows k and k+1.
func (g *judge) jump(k int, field string) float64 {
	step := func(k int) float64 { return math.Abs(g.value(k+1, field) - g.value(k, field)) }
	beside := max(step(k-1), step(k+1), 4*g.sxy)
	return jumpGain * min(max(math.Log(step(k)/beside), 0), math.Ln2)
}

// twice speaks for rows k and k+1 having one value in a column because it was
// typed twice: the farther the rows about them lie apart, the louder.
func (g *judge) twice(k int, field string) float64 {
	if k < 0 || k+1 >= len(g.s.edge) || g.value(k, field) != g.value(k+1, field) {
		return 0
	}
	apart := math.Abs(g.value(k-1, field)-g.value(k+2, field)) / 2
	return min(2*math.Log1p(apart/g.grain), alikeGain)
}

// suspectsTogether says whether a station was set aside near another one, or
// near a value that was typed twice.
func (g *judge) suspectsTogether() bool {
	last := -longestSlide
	for k, i := range g.s.edge {
		res, twice := g.s.m.Results[i], 0.0
		for _, field := range []string{"x", "y", "z"} {
			twice = max(twice, g.twice(k, field))
		}
		if res.State == Suspect || res.BadHeight || twice > alikeGain/2 {
			if k-last < longestSlide/2 {
				return true
			}
			last = k
		}
	}
	return false
}

// columnGains are how much better each row fits with the column's value of the
// row before (dir +1) or behind (-1) in place of its own.
func (g *judge) columnGains(field string, dir int) []float64 {
	job, edge := g.s.job, g.s.edge
	out := make([]float64, len(edge))
	for k, i := range edge {
		from := k - dir
		if from < 0 || from >= len(edge) {
			continue
		}
		moved := job.Readings[i]
		c := job.Readings[edge[from]].cell(field)
		if own := moved.cell(field); !c.Set || !own.Set || c.MM == own.MM {
			continue
		}
		*moved.cell(field) = *c
		out[k] = g.coarse(moved) - g.coarse(job.Readings[i])
	}
	return out
}

// coarse is the logarithm of how well a station fits an edge and a face that
// have bent to a run of wrong rows.
func (g *judge) coarse(r Reading) float64 {
	const bent = 2
	q := g.see(r2.Vec{X: r.X.MM, Y: r.Y.MM})
	sum := -q.off * q.off / 2 / (bent * g.sxy) / (bent * g.sxy)
	if want, slope, ok := g.heightAt(Edge, q, r.Z.MM); ok && r.Z.Set {
		d, sd := r.Z.MM-want, bent*math.Hypot(g.sz, slope*g.sxy)
		sum -= d * d / 2 / sd / sd
	}
	return max(sum, -mostGain)
}
