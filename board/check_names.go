package board

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// nameKey is what must differ between readings that are not repeats.
type nameKey struct {
	kind    Kind
	set, id string
}

// names tells readings that carry the same name: repeats, the closing reading, or slips.
func (c *checker) names() {
	first := map[nameKey]int{}
	firstEdge, lastEdge := map[string]int{}, map[string]int{}
	c.each(Edge, func(i int, r *Reading) {
		if _, ok := firstEdge[r.Set]; !ok {
			firstEdge[r.Set] = i
		}
		lastEdge[r.Set] = i
	})
	for i := range c.job.Readings {
		r := &c.job.Readings[i]
		if r.Struck || r.ID == "" {
			continue
		}
		key := nameKey{r.Kind, r.Set, r.ID}
		k, again := first[key]
		switch {
		case !again:
			first[key] = i
		case r.Kind == Edge && k == firstEdge[r.Set] && i == lastEdge[r.Set]:
			c.closing(k, i)
		default:
			c.repeat(k, i)
		}
	}
}

// repeat asks about reading i, which carries the name of the earlier reading k.
func (c *checker) repeat(k, i int) {
	apart, ok := c.apart(k, i)
	where := fmt.Sprintf("%s is there twice, in rows %d and %d", c.name(i), c.place[k].Row, c.place[i].Row)
	switch {
	case !ok:
		c.add(c.place[i], "id", "duplicate-name", "%s: give one another name, or strike one.", where)
	case apart > max(repeatLimit, 4*c.job.Sigma):
		c.add(c.place[i], "id", "duplicate-name", "%s, %s apart: strike the wrong one, or give one its own name.", where, c.length(apart))
	default:
		c.remark(c.place[i], "id", "repeat", "%s, %s apart. Is it a repeat? Then keep both; if not, rename or strike one.", where, c.length(apart))
	}
}

// closing tells how the closing reading i agrees with the first reading k.
func (c *checker) closing(k, i int) {
	apart, ok := c.apart(k, i)
	switch {
	case !ok:
		c.repeat(k, i)
	case apart > closingLimit:
		c.add(c.place[i], "id", "closing-reading", "%s read again at the end lies %s from its first reading, more than the usual %s: if it is the closing reading, something has moved; read some stations again. If not, rename it.",
			c.name(i), c.length(apart), c.length(closingLimit))
	default:
		c.remark(c.place[i], "id", "closing-reading", "%s read again at the end lies %s from its first reading. Is it the closing reading? Then keep it; if not, rename or strike it.",
			c.name(i), c.length(apart))
	}
}

// apart is how far two readings lie from each other, heights included where both
// have one; ok is false where one has no position.
func (c *checker) apart(k, i int) (mm float64, ok bool) {
	a, b := &c.job.Readings[k], &c.job.Readings[i]
	if !a.located() || !b.located() {
		return 0, false
	}
	d := math.Hypot(a.X.MM-b.X.MM, a.Y.MM-b.Y.MM)
	if a.Z.Set && b.Z.Set {
		d = math.Hypot(d, a.Z.MM-b.Z.MM)
	}
	return d, true
}

// numbered is a station with a number in its name.
type numbered struct{ n, reading int }

// numbering tells numbers left out among the stations of a set. Stations that
// are numbered in steps (10, 20, 30) leave more out than they use: that is a way
// of naming and not told.
func (c *checker) numbering() {
	type series struct{ set, prefix string }
	var order []series
	used := map[series][]numbered{}
	for i := range c.job.Readings {
		r := &c.job.Readings[i]
		prefix, n, ok := splitID(r.ID)
		if r.Kind != Edge || !ok {
			continue
		}
		s := series{r.Set, prefix}
		if used[s] == nil {
			order = append(order, s)
		}
		used[s] = append(used[s], numbered{n, i})
	}
	for _, s := range order {
		list := used[s]
		slices.SortStableFunc(list, func(a, b numbered) int { return cmp.Compare(a.n, b.n) })
		list = slices.CompactFunc(list, func(a, b numbered) bool { return a.n == b.n })
		span := list[len(list)-1].n - list[0].n + 1
		if span-len(list) > len(list) {
			continue
		}
		for k := 1; k < len(list); k++ {
			c.gap(s.prefix, list[k-1].n, list[k])
		}
	}
}

// gap tells the numbers between before and after that no station carries.
func (c *checker) gap(prefix string, before int, after numbered) {
	const code, out = "gap-in-numbering", "look on the sheet and on the tape whether a row was skipped."
	at := c.place[after.reading]
	switch missing := after.n - before - 1; {
	case missing == 1:
		c.add(at, "id", code, "Station %s%d is missing between %s%d and %s%d: %s", prefix, before+1, prefix, before, prefix, after.n, out)
	case missing > 1:
		c.add(at, "id", code, "Stations %s%d to %s%d are missing between %s%d and %s%d: %s", prefix, before+1, prefix, after.n-1, prefix, before, prefix, after.n, out)
	}
}
