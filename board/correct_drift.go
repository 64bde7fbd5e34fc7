package board

import (
	"math"
	"strings"
)

// mostDrift is how far a station read again may lie off its first reading to
// count as drift, mm; farther apart one of the two is a slip.
const mostDrift = 5

// driftFix is how the readings of one kind and laying wandered from the first
// to the last, in their order: evenly, as stations read again show it. It holds
// still behind the last station read again.
type driftFix struct {
	whole   [3]float64 // mm in x, y and z, at the last repeat
	u       [3]float64 // standard uncertainties; 0 where nothing was read again
	apply   [3]bool
	last    int   // order of the last repeat
	repeats int   // how many stations were read again
	order   []int // by index of Job.Readings, each within its own kind and laying
}

// driftKey is what drifts together.
type driftKey struct {
	kind Kind
	set  string
}

// again is a place read twice, by the indices of its readings.
type again struct{ first, later int }

// fitDrift finds the drift of edge and face readings of every laying.
func fitDrift(j *Job) (keys []driftKey, found map[driftKey]*driftFix) {
	keys, order, pairs := readTwice(j)
	found = map[driftKey]*driftFix{}
	for _, key := range keys {
		d := &driftFix{order: order}
		d.fit(j, key.kind, pairs[key])
		found[key] = d
	}
	return keys, found
}

// readTwice finds what drifts together, in the order of the list, the order of
// every reading therein, and the places read twice.
func readTwice(j *Job) (keys []driftKey, order []int, pairs map[driftKey][]again) {
	order, pairs = make([]int, len(j.Readings)), map[driftKey][]again{}
	first, count := map[nameKey]int{}, map[driftKey]int{}
	for i := range j.Readings {
		r := &j.Readings[i]
		if r.Struck || !r.located() || r.Kind != Edge && r.Kind != Face {
			continue
		}
		key := driftKey{r.Kind, r.Set}
		if count[key] == 0 {
			keys = append(keys, key)
		}
		order[i] = count[key]
		count[key]++
		name := nameKey{r.Kind, r.Set, readAgain(r.ID)}
		switch k, ok := first[name]; {
		case r.ID == "":
		case ok:
			pairs[key] = append(pairs[key], again{k, i})
		default:
			first[name] = i
		}
	}
	return keys, order, pairs
}

// fit finds the drift of one kind and laying from what was read twice.
func (d *driftFix) fit(j *Job, kind Kind, pairs []again) {
	var sum, weight [3]float64
	for _, p := range pairs {
		a, b := &j.Readings[p.first], &j.Readings[p.later]
		step := [3]float64{b.X.MM - a.X.MM, b.Y.MM - a.Y.MM, b.Z.MM - a.Z.MM}
		heights := a.Z.Set && b.Z.Set
		if max(math.Abs(step[0]), math.Abs(step[1])) > mostDrift || heights && math.Abs(step[2]) > mostDrift {
			continue
		}
		n := float64(d.order[p.later] - d.order[p.first])
		d.repeats++
		d.last = max(d.last, d.order[p.later])
		for k := range step {
			if k == 2 && !heights || k < 2 && kind == Face {
				continue // places on the face are chosen, not read
			}
			sum[k] += n * step[k]
			weight[k] += n * n
		}
	}
	sxy, sz := j.sigmas()
	for k, sd := range [3]float64{sxy, sxy, sz} {
		if weight[k] > 0 {
			d.whole[k] = sum[k] / weight[k] * float64(d.last)
			d.u[k] = math.Sqrt2 * sd / math.Sqrt(weight[k]) * float64(d.last)
			d.apply[k] = j.Checks.UseDrift && math.Abs(d.whole[k]) > 2*d.u[k]
		}
	}
}

// readAgain is the name of the place that a reading goes by: "5" of "5", "5b"
// and "5'".
func readAgain(id string) string {
	if short := strings.TrimRight(id, "abcdefghijklmnopqrstuvwxyz'"); strings.Trim(short, "0123456789") != short {
		return short
	}
	return id
}

// at is the drift of reading i in x, y and z, mm, as far as it is applied.
func (d *driftFix) at(i int) (off [3]float64) {
	if d == nil || d.last == 0 {
		return off
	}
	share := min(float64(d.order[i])/float64(d.last), 1)
	for k := range off {
		if d.apply[k] {
			off[k] = share * d.whole[k]
		}
	}
	return off
}
