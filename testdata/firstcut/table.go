package firstcut

import (
	"context"
	"fmt"
	"io"
	"math"
	"slices"
	"sync"
	"sync/atomic"
)

// Outcomes tries panes from … from+n-1 of the row, on two at a time, in a folder
// for what is written in between.
func (r *Row) Outcomes(ctx context.Context, dir string, from, n int, clearance float64) ([]*Outcome, error) {
	out := make([]*Outcome, n)
	err := each(n, func(i int) (err error) {
		out[i], err = r.Try(ctx, dir, from+i, clearance)
		if err != nil {
			err = fmt.Errorf("%s, pane %d: %w", r.Name, from+i, err)
		}
		return err
	})
	return out, err
}

// each does n things, two at a time, and returns the first error in their order.
func each(n int, do func(i int) error) error {
	errs := make([]error, n)
	var next atomic.Int64
	var group sync.WaitGroup
	for range 2 {
		group.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				errs[i] = do(i)
			}
		})
	}
	group.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// Tally sums up outcomes.
type Tally struct {
	Panes, Pocket, DropsIn, Snug, Sits int
	Flat                               int     // no ledge gap above 1.0 mm, snug or not
	Said                               float64 // mean chance to sit, of those with a pocket
	SaidSnug                           float64
	OverWall, OverLedge                int        // beyond what 95 of 100 panes were said to keep to
	Largest, Ledge                     []float64  // mm, sorted
	Apart, Through                     float64    // mm, the most
	Planes                             int        // centre planes found
	PlaneOff                           [3]float64 // sums of squares of offset, skew and roll errors over what was said
	Suspects                           int
	Limits                             map[string]int
}

// Sum makes a tally.
func Sum(outcomes []*Outcome) (t Tally) {
	t.Limits = map[string]int{}
	for _, o := range outcomes {
		t.Panes++
		t.Suspects += len(o.Summary.Suspects)
		if l := o.Limit(); l != "" {
			t.Limits[l]++
		}
		if o.Refused != "" {
			continue
		}
		t.Pocket++
		v := o.Verdict
		t.DropsIn += one(v.DropsIn)
		t.Snug += one(v.Snug)
		t.Sits += one(v.Sits)
		t.Flat += one(v.Trouble == "" && v.Ledge <= sitsWithin)
		if f := o.Summary.FitCheck; f != nil {
			t.Said += f.Sits
			t.SaidSnug += f.Snug
			t.OverWall += one(v.Largest > f.Largest)
			t.OverLedge += one(v.Ledge > f.LedgeGap)
		}
		if off, ok := o.plane(); ok {
			t.Planes++
			c := o.Summary.CentreLine
			for k, said := range [3]float64{c.OffsetU, c.SkewU, c.RollU} {
				t.PlaneOff[k] += off[k] * off[k] / (said * said)
			}
		}
		t.Largest, t.Ledge = append(t.Largest, v.Largest), append(t.Ledge, v.Ledge)
		t.Apart, t.Through = max(t.Apart, o.Apart), max(t.Through, v.Through)
	}
	t.Said /= float64(max(1, t.Pocket))
	t.SaidSnug /= float64(max(1, t.Pocket))
	slices.Sort(t.Largest)
	slices.Sort(t.Ledge)
	return t
}

func one(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// share is a number of panes in per cent of all.
func (t Tally) share(n int) float64 { return 100 * float64(n) / float64(max(1, t.Panes)) }

// quantile of sorted values; 0 of none.
func quantile(v []float64, q float64) float64 {
	if len(v) == 0 {
		return 0
	}
	return v[min(len(v)-1, int(q*float64(len(v))))]
}

// Head prints the head of the table. After the shares and whether the bar is held
// stand the mean chances that the program gave; the largest gaps that half the
// panes and 95 of 100 keep to, mm; and the share of panes beyond what 95 of 100
// were said to keep to, at the wall and over the ledge (5 is right); and last how
// far off the centre planes are in offset, skew and roll, over the standard
// uncertainty that was said (1 is right).
func Head(w io.Writer) {
	fmt.Fprintf(w, "%-28s %5s %7s %6s %6s %6s %5s %-5s %-5s | %5s %5s | %11s %11s | %10s | %s\n",
		"shares in per cent", "panes", "pocket", "drops", "snug", "sits", "bar", "snug", "sits", "said:", "sits", "wall 50/95", "ledge 50/95", "over 95 of", "suspects, what limits")
}

// Print prints the row's line.
func (r *Row) Print(w io.Writer, t Tally) {
	held := func(n int) string {
		if t.share(n) < 100*r.Bar {
			return "below"
		}
		return "held"
	}
	fmt.Fprintf(w, "%-28s %5d %7.1f %6.1f %6.1f %6.1f %5.0f %-5s %-5s | %5.1f %5.1f | %5.2f %5.2f %5.2f %5.2f | %4.1f %5.1f | %d",
		r.Name, t.Panes, t.share(t.Pocket), t.share(t.DropsIn), t.share(t.Snug), t.share(t.Sits), 100*r.Bar, held(t.Snug), held(t.Sits),
		100*t.SaidSnug, 100*t.Said, quantile(t.Largest, 0.5), quantile(t.Largest, 0.95), quantile(t.Ledge, 0.5), quantile(t.Ledge, 0.95),
		t.share(t.OverWall), t.share(t.OverLedge), t.Suspects)
	var limits []string
	for l := range t.Limits {
		limits = append(limits, l)
	}
	slices.Sort(limits)
	for _, l := range limits {
		fmt.Fprintf(w, ", %s %d", l, t.Limits[l])
	}
	if n := float64(t.Planes); n > 0 {
		fmt.Fprintf(w, "; centre plane %.2f %.2f %.2f", math.Sqrt(t.PlaneOff[0]/n), math.Sqrt(t.PlaneOff[1]/n), math.Sqrt(t.PlaneOff[2]/n))
	}
	fmt.Fprintln(w)
}
