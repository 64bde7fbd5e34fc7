package firstcut

import (
	"context"
	"fmt"
	"io"
	"math"
)

// Targets are the chances to sit at which prediction and truth are compared.
var Targets = []float64{0.5, 0.7, 0.9}

// pilots are the panes on which a clearance is chosen.
const pilots = 8

// ClearanceFor finds the clearance, to 0.05 mm, at which the program gives the
// row's panes, on the mean of a few that are not tried, the chance to sit asked
// for; the nearest there is between 0.3 and 3 mm.
func (r *Row) ClearanceFor(ctx context.Context, dir string, chance float64) (float64, error) {
	const unused = 100000 // numbers of panes from which the pilots are taken
	lo, hi := 0.3, 3.0
	for hi-lo > 0.05 {
		mid := math.Round((lo+hi)/2*100) / 100
		said := make([]float64, pilots)
		err := each(pilots, func(i int) error {
			s, err := r.Predict(ctx, dir, unused+i, mid)
			if err == nil && s.FitCheck != nil {
				said[i] = s.FitCheck.Sits
			}
			return err
		})
		if err != nil {
			return 0, err
		}
		sum := 0.0
		for _, v := range said {
			sum += v
		}
		if sum/pilots < chance {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi, nil
}

// Calibrate compares, over n panes for each target, the chances that the
// program gave with what happened, prints a line for each, and returns all
// outcomes.
func (r *Row) Calibrate(ctx context.Context, dir string, n int, w io.Writer) (all []*Outcome, err error) {
	for _, target := range Targets {
		clearance, err := r.ClearanceFor(ctx, dir, target)
		if err != nil {
			return all, err
		}
		outcomes, err := r.Outcomes(ctx, dir, 0, n, clearance)
		if err != nil {
			return all, err
		}
		all = append(all, outcomes...)
		t := Sum(outcomes)
		said, did := 100*t.Said, t.share(t.Sits)
		fmt.Fprintf(w, "%-28s %5d panes at %.2f mm: snug said %5.1f is %5.1f, sits said %5.1f is %5.1f: off by %+5.1f (bar 5, chance alone %.1f)\n",
			r.Name, n, clearance, 100*t.SaidSnug, t.share(t.Snug), said, did, did-said, 100*math.Sqrt(t.Said*(1-t.Said)/float64(max(1, n))))
	}
	return all, nil
}

// Reliability prints, for panes by the chance to sit that they were given, what
// happened.
func Reliability(w io.Writer, all []*Outcome) {
	const steps = 5
	var n, did [steps]int
	var said [steps]float64
	for _, o := range all {
		if o.Refused != "" || o.Summary.FitCheck == nil {
			continue
		}
		c := o.Summary.FitCheck.Sits
		k := min(steps-1, int(c*steps))
		n[k]++
		did[k] += one(o.Verdict.Sits)
		said[k] += c
	}
	for k := range steps {
		if n[k] > 0 {
			fmt.Fprintf(w, "said %3d to %3d %%: %5d panes, said %5.1f, sits %5.1f\n", 100*k/steps, 100*(k+1)/steps, n[k],
				100*said[k]/float64(n[k]), 100*float64(did[k])/float64(n[k]))
		}
	}
}
