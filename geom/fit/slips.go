package fit

import (
	"context"
	"math"
)

// Bounds of leave-one-out screening. A reading is set aside when it misses the
// fit made without it by more than tooFar of its own uncertainty there and by
// more than a floor in mm; it comes back when it is nearer than nearEnough.
const (
	tooFar     = 4.2
	nearEnough = 3.6
	planFloor  = 1.6 // mm
)

// leftOut is what a fit says of a reading that it did not use: the reading's
// distance and the sd of that distance. A reading in use is taken out in
// closed form; h is its leverage, the weighted variance of the fit there.
func leftOut(miss, sd, h float64, off bool) (loo, u float64) {
	if off {
		return miss, sd * math.Sqrt(1+h)
	}
	h = min(h, 1-1e-9)
	return miss / (1 - h), sd / math.Sqrt(1-h)
}

// robustScale is the sd of the misses over the marks' sd, by the median, which
// a few slips do not move. It never falls below half of what was stated: a few
// readings can agree by chance.
func (f *loopFit) robustScale() float64 {
	var z []float64
	for i, d := range f.miss {
		if !f.off[i] {
			h := min(f.w[i]*f.variance(f.foot[i]), 1-1e-9)
			z = append(z, math.Abs(d)*math.Sqrt(f.w[i]/(1-h)))
		}
	}
	return max(0.5, 1.4826*median(z))
}

// screen sets slips aside one by one, the worst first, and fits again; marks
// once set aside come back where the fit, made without them, agrees.
func (f *loopFit) screen(ctx context.Context) error {
	returned := make([]bool, len(f.p))
	for range len(f.p) {
		scale := f.robustScale()
		worst, most := -1, 1.0
		back, least := -1, 1.0
		for i, d := range f.miss {
			sd := scale / math.Sqrt(f.w[i])
			loo, u := leftOut(d, sd, f.w[i]*f.variance(f.foot[i]), f.off[i])
			z := math.Abs(loo) / u
			switch {
			case f.off[i] && !returned[i] && z/nearEnough < least:
				back, least = i, z/nearEnough
			case !f.off[i] && math.Abs(loo) > planFloor && z/tooFar > most:
				worst, most = i, z/tooFar
			}
		}
		switch {
		case worst >= 0 && f.used() > leastMarks:
			f.off[worst] = true
		case back >= 0:
			f.off[back], returned[back] = false, true
		default:
			return nil
		}
		if err := f.run(ctx, 4); err != nil {
			return err
		}
	}
	return nil
}
