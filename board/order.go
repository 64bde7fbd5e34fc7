package board

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// swapClear is how much nearer to their neighbours two stations must lie the other
// way round before they are said to be swapped.
const swapClear = 4 // mm

// Reorder puts the readings at some places of the list, given in order, into another
// order there: place k gets the reading that stood at places[order[k]]. order names
// every place once.
func (j *Job) Reorder(places, order []int) {
	was := make([]Reading, len(places))
	for k := range places {
		was[k] = j.Readings[places[order[k]]]
	}
	for k, i := range places {
		j.Readings[i] = was[k]
	}
}

// walk is the stations of the first laying that are located, as they were typed,
// and how far round the edge each lies: clockwise from the first, as seen from the
// middle of them, or the other way where that is how they go on.
type walk struct {
	index []int     // into Job.Readings
	at    []float64 // radians from the first one
	far   float64   // of the farthest from the middle, mm
}

// walkOf is the walk of a job's stations; a station read again counts once.
func walkOf(j *Job) walk {
	var w walk
	var p []r2.Vec
	seen := map[string]bool{}
	box := r2.Box{Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	set, first := "", true
	for _, i := range j.Indices(Edge) {
		r := &j.Readings[i]
		if first {
			set, first = r.Set, false
		}
		if r.Struck || !r.X.Set || !r.Y.Set || r.Set != set || r.ID != "" && seen[r.ID] {
			continue
		}
		seen[r.ID] = true
		v := r2.Vec{X: r.X.MM, Y: r.Y.MM}
		w.index, p = append(w.index, i), append(p, v)
		box.Min = r2.Vec{X: min(box.Min.X, v.X), Y: min(box.Min.Y, v.Y)}
		box.Max = r2.Vec{X: max(box.Max.X, v.X), Y: max(box.Max.Y, v.Y)}
	}
	middle := r2.Scale(0.5, r2.Add(box.Min, box.Max))
	back := 0
	for k, v := range p {
		d := r2.Sub(v, middle)
		w.far = max(w.far, r2.Norm(d))
		w.at = append(w.at, -math.Atan2(d.Y, d.X))
		if k > 0 {
			if turn := math.Remainder(w.at[k]-w.at[k-1], 2*math.Pi); turn < 0 {
				back++
			} else {
				back--
			}
		}
	}
	for k := len(w.at) - 1; k >= 0; k-- {
		turn := w.at[k] - w.at[0]
		if back > 0 {
			turn = -turn
		}
		w.at[k] = math.Mod(turn+4*math.Pi, 2*math.Pi)
	}
	return w
}

// Swapped are the stations that lie the other way round than they were typed, each
// by the indices of the two readings: row 14 lies behind row 15, and both between
// rows 13 and 16. Stations that follow no order are not spoken of.
func (j *Job) Swapped() [][2]int {
	w := walkOf(j)
	var out [][2]int
	for k := 1; k+2 < len(w.at); k++ {
		a, b := w.at[k], w.at[k+1]
		if w.at[k-1] < b && b < a && a < w.at[k+2] && (a-b)*w.far > swapClear {
			out = append(out, [2]int{w.index[k], w.index[k+1]})
		}
	}
	return out
}

// SwapBack puts stations that lie the other way round than they were typed into
// their order, and leaves all others where they are.
func (j *Job) SwapBack() {
	for _, s := range j.Swapped() {
		j.Reorder(s[:], []int{1, 0})
	}
}

// SortEdge puts the stations of the first laying into their order round the edge,
// from the first one on, the way they were typed. It reports whether any moved.
func (j *Job) SortEdge() bool {
	w := walkOf(j)
	order := make([]int, len(w.index))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(w.at[a], w.at[b]) })
	if slices.IsSorted(order) {
		return false
	}
	j.Reorder(w.index, order)
	return true
}

// Repeats are the readings in use with the kind, laying and name of reading i,
// itself among them where it is in use.
func (j *Job) Repeats(i int) []int {
	if i < 0 || i >= len(j.Readings) || j.Readings[i].ID == "" {
		return nil
	}
	var out []int
	name := nameOf(&j.Readings[i])
	for k := range j.Readings {
		if r := &j.Readings[k]; !r.Struck && nameOf(r) == name && r.X.Set && r.Y.Set {
			out = append(out, k)
		}
	}
	return out
}

// Spread is how far apart some readings of one place lie at most: in plan and in
// height, mm. Each counts in the fit, so that together they weigh as their mean does.
func (j *Job) Spread(index []int) (plan, height float64) {
	for k, a := range index {
		for _, b := range index[:k] {
			p, q := &j.Readings[a], &j.Readings[b]
			plan = max(plan, math.Hypot(p.X.MM-q.X.MM, p.Y.MM-q.Y.MM))
			if p.Z.Set && q.Z.Set {
				height = max(height, math.Abs(p.Z.MM-q.Z.MM))
			}
		}
	}
	return plan, height
}
