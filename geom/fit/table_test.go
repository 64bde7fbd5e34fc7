package fit_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"panewright/geom/fit"
)

// The tables say how near the fits come to invented panes of every kind whose
// shape is known exactly, at 0.5 mm noise on each axis of each reading, and
// whether what they say about their own uncertainty is true. The bars stand
// beside the figures, in mm and degrees; they bind from 200 panes a row on:
//
//	go test ./geom/fit -run Table -panes 200 -v -timeout 60m
//
// Fewer panes show only that every row can be made.
func TestTable(t *testing.T) {
	n := panesAsked()
	fmt.Printf("%d panes a row, sigma %g mm; lengths in mm, angles in degrees, shares in %%\n\n", n, sigma)
	for _, make := range []func(n int) []*table{freeTable, symmetricTables, halfTable, slipTables} {
		for _, tab := range make(n) {
			require.NoError(t, tab.print(os.Stdout))
			tab.check(t, n >= enough)
		}
	}
}

const (
	enough = 200 // panes a row from which the bars bind
	few    = 3   // panes a row when none were asked for
)

func panesAsked() int {
	n := few
	flag.Visit(func(f *flag.Flag) {
		if f.Name == "panes" {
			n = *fit.Panes
		}
	})
	return n
}

// each makes the results of n panes on two cores; the order is that of the
// panes.
func each[T any](n int, one func(i int) T) []T {
	out := make([]T, n)
	var next sync.Mutex
	i := 0
	take := func() int {
		next.Lock()
		defer next.Unlock()
		i++
		return i - 1
	}
	var group sync.WaitGroup
	for range min(2, runtime.GOMAXPROCS(0)) {
		group.Go(func() {
			for k := take(); k < n; k = take() {
				out[k] = one(k)
			}
		})
	}
	group.Wait()
	return out
}

// collected are the results of a row.
type collected struct {
	n               int
	failed, refused int
	outline, most   []float64 // RMS and greatest, a pane
	face            []float64
	held, heldFace  share
	snug, alarms    share
	plane, ratio    [3][]float64 // error; error over its bound
	open            [3][]float64 // error over its bound with the shape open too
	heldPlane       [3]share
	derived         [][]float64
	heldDerived     []share
}

func collect(results []result) (c collected) {
	c.n = len(results)
	c.derived, c.heldDerived = make([][]float64, len(derived)), make([]share, len(derived))
	for _, r := range results {
		c.snug.count(r.snug)
		switch {
		case r.err != nil:
			c.failed++
			continue
		case r.refused:
			c.refused++
			continue
		}
		c.outline, c.most = append(c.outline, r.outline.rms), append(c.most, r.outline.most)
		c.held.add(r.outline.held)
		c.alarms.add(r.alarms)
		if r.face != nil {
			c.face = append(c.face, r.face.rms)
			c.heldFace.add(r.face.held)
		}
		if r.derived == nil {
			continue
		}
		for k, e := range r.plane {
			c.plane[k] = append(c.plane[k], e)
			if r.bounded {
				c.ratio[k] = append(c.ratio[k], e/r.bound[k])
			}
			if r.open[k] > 0 {
				c.open[k] = append(c.open[k], e/r.open[k])
			}
			within := within * r.sd[k]
			c.heldPlane[k].count(e <= within && e >= -within)
		}
		for k, e := range r.derived {
			c.derived[k] = append(c.derived[k], e)
			c.heldDerived[k].count(math.Abs(e) <= within*r.derivedSD[k])
		}
	}
	return c
}

var outlineHead = []string{"panes", "failed", "RMS median", "p95", "greatest median", "p95", "95 % hold", "snug"}

// outlineFigures are those under outlineHead; the bars of the RMS and the
// greatest distance are in sigma, nought where there is none.
func (c collected) outlineFigures(median, p95, most, snug float64) []figure {
	return []figure{
		number(float64(c.failed), 0),
		number(quantile(c.outline, 0.5), 3).most(median * sigma).when(median > 0),
		number(quantile(c.outline, 0.95), 3).most(p95 * sigma).when(p95 > 0),
		number(quantile(c.most, 0.5), 2).most(most * sigma).when(most > 0),
		number(quantile(c.most, 0.95), 2),
		number(c.held.percent(), 1).between(92, 98),
		number(c.snug.percent(), 1).least(snug).when(snug > 0),
	}
}

var faceHead = []string{"panes", "RMS", "p95 of panes", "95 % hold"}

func (c collected) faceFigures(all, p95 float64) []figure {
	return []figure{
		number(rms(c.face), 3).most(all * sigma).when(all > 0),
		number(quantile(c.face, 0.95), 3).most(p95 * sigma).when(p95 > 0),
		number(c.heldFace.percent(), 1).between(92, 98),
	}
}

// freeTable is outlines and faces fitted without a mirror.
func freeTable(n int) []*table {
	out := &table{title: "Outline, no mirror", head: append(slices.Clone(outlineHead), "false slips per 1,000")}
	face := &table{title: "Face, no mirror, 40 heights beside the edge", head: faceHead}
	for _, r := range []struct {
		family
		marks             int
		median, p95, snug float64
		face, faceP95     float64
	}{
		{round, 80, 0.60, 0.90, 91, 0.45, 0.70},
		{soft, 80, 0.66, 0.90, 91, 0.45, 0.70},
		{super, 80, 0, 0, 0, 0, 0},
		{three, 80, 0, 0, 93, 0, 0},
		{nose, 80, 0, 0, 93, 0, 0},
		{five, 80, 0, 0, 0, 0, 0},
		{lop, 80, 0, 0, 0, 0, 0},
		{wings, 80, 0, 0, 0, 1.0, 0},
		{ovals, 80, 0, 0, 0, 0, 0},
		{notch, 80, 0, 0, 0, 0, 0},
		{plain, 40, 0, 0, 0, 0, 0},
		{plain, 120, 0, 0, 0, 0, 0},
	} {
		name := fmt.Sprintf("%s, %d marks", r.name, r.marks)
		c := collect(each(n, func(i int) result { return r.free(i, r.marks) }))
		// a cut-out falls to the spline, for which there is no bar
		alarms := number(10*c.alarms.percent(), 2).most(1.5).when(r.marks >= 80 && r.name != notch.name)
		out.add(name, append(c.outlineFigures(r.median, r.p95, 0, r.snug), alarms)...)
		face.add(name, c.faceFigures(r.face, r.faceP95)...)
	}
	return []*table{out, face}
}

// readingSet is what is read of a pane.
type readingSet struct {
	name string
	read func(*specimen, *rand.Rand) readings
}

var whole = readingSet{"all round", func(p *specimen, rng *rand.Rand) readings { return p.allRound(rng, 80) }}

// symmetricTables are mirrored panes read all round: outline, plane, face and
// what follows from them.
func symmetricTables(n int) []*table {
	out := &table{title: "Outline, symmetric, 80 marks all round", head: outlineHead}
	plane := &table{title: "Centre plane, 80 marks all round and 40 heights; bound: Cramér-Rao of the pose, shape known",
		head: []string{"panes", "refused", "offset RMS/bound", "p95", "95 % hold", "skew RMS/bound", "p95", "95 % hold", "roll RMS/bound", "p95", "95 % hold", "all three hold"}}
	face := &table{title: "Face, even, 40 heights beside the edge", head: faceHead}
	more := &table{title: "Derived figures, 80 marks all round", head: []string{"panes"}}
	for _, d := range derived {
		more.head = append(more.head, d.name+" RMS", "p95", "95 % hold")
	}
	for _, r := range []struct {
		family
		shape   bool // the bars for outline, plane
		snug    float64
		face    float64
		faceP95 float64
	}{
		{round, true, 97, 0.37, 0.70},
		{soft, true, 97, 0.37, 0.70},
		{super, true, 97, 0, 0},
		{three, false, 93, 0, 0},
		{nose, false, 93, 0, 0},
		{five, false, 0, 0, 0},
		{lop, false, 0, 0, 0},
		{wings, false, 0, 1.0, 0},
		{ovals, false, 0, 0, 0},
		{notch, false, 0, 0, 0},
		{bowled, false, 94, 0, 0},
	} {
		c := collect(each(n, func(i int) result { return r.symmetric(i, whole) }))
		var bars, p95 [3]float64
		var ratio float64
		if r.shape {
			bars, ratio, p95 = [3]float64{0.52, 0.70, 1.6}, 1.1, [3]float64{0.22, 0.038, 0.020}
		}
		figures := c.outlineFigures(bars[0], bars[1], bars[2], r.snug)
		if r.name == lop.name {
			figures[5] = figures[5].when(false) // counted about the plane before the bulge
		}
		out.add(r.name, figures...)
		face.add(r.name, c.faceFigures(r.face, r.faceP95)...)
		refused := number(100*float64(c.refused)/float64(n), 1)
		// which plane a lopsided pane mirrors in is a matter of words
		plane.add(r.name, append([]figure{refused}, c.planeFigures(ratio, p95, r.name != lop.name)...)...)
		var f []figure
		for k := range derived {
			held := number(c.heldDerived[k].percent(), 1).between(92, 98).when(r.shape)
			f = append(f, number(rms(c.derived[k]), 2), number(quantile(c.derived[k], 0.95), 2), held)
		}
		more.add(r.name, f...)
	}
	return []*table{out, plane, face, more}
}

// planeFigures are RMS over bound, p95 and how often the stated 95 % hold, of
// offset, skew and roll, and how often they hold of the three together, which
// alone has a bar: 200 panes tell the share of one to no better than 3 %.
func (c collected) planeFigures(ratio float64, p95 [3]float64, held bool) (out []figure) {
	var all share
	for k, unit := range []float64{1, degree, degree} {
		over := number(rms(c.ratio[k]), 2).most(ratio).when(ratio > 0 && k == 0)
		over.none = len(c.ratio[k]) == 0
		out = append(out, over,
			number(quantile(c.plane[k], 0.95)/unit, 3).most(p95[k]).when(p95[k] > 0),
			number(c.heldPlane[k].percent(), 1))
		all.add(c.heldPlane[k])
	}
	return append(out, number(all.percent(), 1).between(92, 98).when(held))
}

// halfTable is one half and 80 mm more, with what may help to find the plane.
func halfTable(n int) []*table {
	t := &table{title: "Half and 80 mm more, 44 marks on the half unless said; round and soft corners; bound: Cramér-Rao with the shape open, the edge straight between knots 100 mm apart",
		head: []string{"also read", "failed", "refused", "RMS median", "p95", "offset p95", "RMS/bound", "95 % hold", "skew p95", "RMS/bound", "95 % hold", "roll p95", "RMS/bound", "95 % hold", "all three hold", "snug", "edge 95 % hold", "face RMS", "95 % hold"}}
	for _, r := range []struct {
		name                  string
		marks, widths         int
		check, centre         bool
		refused, offset, snug float64
	}{
		{"nothing", 80, 0, false, false, 100, 0, 0},
		{"1 width", 80, 1, false, false, 0, 0, 0},
		{"2 widths", 80, 2, false, false, 0, 0, 0},
		{"4 widths", 80, 4, false, false, 0, 0.8, 0},
		{"4 widths, 80 marks on the half", 145, 4, false, false, 0, 0.8, 92},
		{"5 check stations", 80, 0, true, false, 0, 0.4, 95},
		{"2 centre marks", 80, 0, false, true, 0, 0, 0},
		{"2 widths, 2 centre marks", 80, 2, false, true, 0, 0, 0},
	} {
		set := readingSet{r.name, func(p *specimen, rng *rand.Rand) readings {
			side := float64(1 - 2*rng.IntN(2))
			in := p.half(rng, r.marks, side)
			if r.widths > 0 {
				in = p.taped(rng, in, side, r.widths)
			}
			if r.check {
				in = p.checked(rng, in, side)
			}
			if r.centre {
				in = p.centred(rng, in)
			}
			return in
		}}
		c := collect(each(n, func(i int) result { return plain.symmetric(i, set) }))
		failed := number(float64(c.failed), 0)
		refused := number(100*float64(c.refused)/float64(n), 1).least(r.refused).when(r.refused > 0)
		figures := []figure{failed, refused}
		if len(c.outline) == 0 {
			for range t.head[3:] {
				figures = append(figures, figure{none: true})
			}
			t.add(r.name, figures...)
			continue
		}
		p := c.planeFigures(0, [3]float64{r.offset}, true)
		figures = append(figures, number(quantile(c.outline, 0.5), 3), number(quantile(c.outline, 0.95), 3),
			p[1], number(rms(c.open[0]), 2), p[2], p[4], number(rms(c.open[1]), 2), p[5], p[7], number(rms(c.open[2]), 2), p[8], p[9])
		t.add(r.name, append(figures, number(c.snug.percent(), 1).least(r.snug).when(r.snug > 0),
			number(c.held.percent(), 1), number(rms(c.face), 3), number(c.heldFace.percent(), 1))...)
	}
	return []*table{t}
}

// slipTables are gross slips, three a pane, on edge marks and on heights.
func slipTables(n int) []*table {
	head := []string{"marks", "failed", "slips", "flagged", "clean", "false per 1,000", "RMS median"}
	edge := &table{title: "Three slips a pane among the edge marks, over 3 mm off the edge", head: head}
	heights := &table{title: "Three slips a pane among the heights, over 3 mm off the face", head: head}
	fill := func(t *table, name string, flagged, alarms float64, one func(i int) hunt) {
		var all hunt
		var rms []float64
		failed := 0
		for _, h := range each(n, one) {
			if h.err != nil {
				failed++
				continue
			}
			all.slips, all.found, all.clean, all.alarms = all.slips+h.slips, all.found+h.found, all.clean+h.clean, all.alarms+h.alarms
			rms = append(rms, h.rms)
		}
		t.add(name, number(float64(failed), 0), number(float64(all.slips), 0),
			number(share{all.found, all.slips}.percent(), 1).least(flagged).when(flagged > 0),
			number(float64(all.clean), 0),
			number(10*share{all.alarms, all.clean}.percent(), 2).most(alarms).when(alarms > 0),
			number(quantile(rms, 0.5), 3))
	}
	for _, r := range []struct {
		marks           int
		flagged, alarms float64
	}{{40, 82, 5}, {80, 95, 1.5}, {120, 0, 0}} {
		fill(edge, fmt.Sprint(r.marks), r.flagged, r.alarms, func(i int) hunt { return edgeSlips(i, r.marks) })
	}
	for _, m := range []int{40, 80, 120} {
		fill(heights, fmt.Sprintf("%d and 40 heights", m), 98, 1, func(i int) hunt { return heightSlips(i, m) })
	}
	return []*table{edge, heights}
}
