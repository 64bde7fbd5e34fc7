package fit

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// bounds of leave-one-out screening. A reading is set aside when it misses the
// fit made without it by more than tooFar of its own uncertainty there and by
// more than floor in mm; it comes back when it is nearer than nearEnough.
type bounds struct {
	tooFar, nearEnough, floor float64
}

var (
	planBounds   = bounds{3.8, 3.4, 1.6}
	heightBounds = bounds{4.5, 3.6, 1.2}
)

const (
	// alone is the leverage from which a reading stands so much alone that the
	// others cannot judge it: a check station on a half that was not read.
	alone = 0.85
	// plain is the miss in mm from which a slip is not its neighbour's.
	plain = 12.0
)

// judged is a reading in the light of the others.
type judged struct {
	miss, sd float64
	h        float64 // leverage: the weighted variance of the fit at the reading
	sure     bool    // not to be set aside
}

// mostLeverage is the leverage beyond which what the others foretell of a
// reading is nothing but rounding.
const mostLeverage = 0.98

// leftOut is what a fit says of a reading that it did not use: the reading's
// distance and the sd of that distance. A reading in use is taken out in
// closed form; h is its leverage, the weighted variance of the fit there.
func leftOut(miss, sd, h float64, off bool) (loo, u float64) {
	if off {
		return miss, sd * math.Sqrt(1+h)
	}
	h = min(h, mostLeverage)
	return miss / (1 - h), sd / math.Sqrt(1-h)
}

// robust is the sd of readings over their stated sd, from their absolute
// misses over the sd: the RMS with misses cut at 2.5 times itself, found from
// the median on (Huber's proposal 2), which a few slips hardly move. It never
// falls below half of what was stated: a few readings can agree by chance.
func robust(z []float64) float64 {
	const cut, share = 2.5, 0.9776 // share: E min(z², cut²) of a normal z
	s := max(0.5, 1.4826*median(z))
	for range 20 {
		var sum float64
		for _, v := range z {
			v = min(v, cut*s)
			sum += v * v
		}
		s = max(0.5, math.Sqrt(sum/(share*float64(max(1, len(z))))))
	}
	return s
}

// robustScale is robust for the marks in use.
func (f *loopFit) robustScale() float64 {
	var z []float64
	for i, d := range f.miss {
		if !f.off[i] {
			h := min(f.w[i]*f.variance(f.foot[i]), 1-1e-9)
			z = append(z, math.Abs(d)*math.Sqrt(f.w[i]/(1-h)))
		}
	}
	return robust(z)
}

// verdict looks through the readings for the one in use that misses the most,
// and for the one set aside, and not yet returned, that fits the best; -1 for
// none. It also tells the worst one's miss with itself left out.
func (b bounds) verdict(readings []judged, off, returned []bool) (worst int, miss float64, back int) {
	worst, back = -1, -1
	most, least := 1.0, 1.0
	for i, r := range readings {
		loo, u := leftOut(r.miss, r.sd, r.h, off[i])
		z := math.Abs(loo) / u
		switch {
		case off[i] && !returned[i] && z/b.nearEnough < least:
			back, least = i, z/b.nearEnough
		case !off[i] && !r.sure && r.h < alone && math.Abs(loo) > b.floor && z/b.tooFar > most:
			worst, miss, most = i, loo, z/b.tooFar
		}
	}
	return worst, miss, back
}

// thousands is the number of marks from which slips are set aside many at a
// time, each the worst for wideApart mm around: one by one would take as many fits.
const (
	thousands = 1000
	wideApart = 150.0
)

// worstOf picks the marks of p that miss the most, none near another.
func (b bounds) worstOf(readings []judged, off []bool, p []r2.Vec) (out []int) {
	var bad []int
	z := make([]float64, len(readings))
	for i, r := range readings {
		loo, u := leftOut(r.miss, r.sd, r.h, off[i])
		z[i] = math.Abs(loo) / u
		if !off[i] && !r.sure && r.h < alone && math.Abs(loo) > b.floor && z[i] > b.tooFar {
			bad = append(bad, i)
		}
	}
	slices.SortFunc(bad, func(i, j int) int {
		if z[i] != z[j] {
			return cmp.Compare(z[j], z[i])
		}
		return i - j
	})
	for _, i := range bad {
		if !slices.ContainsFunc(out, func(k int) bool { return r2.Norm(r2.Sub(p[i], p[k])) < wideApart }) {
			out = append(out, i)
		}
	}
	return out
}

// screen sets slips aside one by one, the worst first, and fits again; marks
// once set aside come back where the fit, made without them, agrees.
func (f *loopFit) screen(ctx context.Context) error {
	returned := make([]bool, len(f.p))
	for range len(f.p) {
		if len(f.p) > thousands {
			if many := planBounds.worstOf(f.judge(f.robustScale()), f.off, f.p); len(many) > 1 {
				for _, i := range many {
					f.off[i] = true
				}
				if err := f.run(ctx, again, roughly); err != nil {
					return err
				}
				continue
			}
		}
		all := f.judge(f.robustScale())
		worst, miss, back := planBounds.verdict(all, f.off, returned)
		for worst >= 0 && f.onWay(worst) {
			all[worst].sure = true
			worst, miss, back = planBounds.verdict(all, f.off, returned)
		}
		var err error
		switch {
		case worst >= 0 && f.used() > leastMarks && math.Abs(miss) > plain:
			err = f.without(ctx, worst)
		case worst >= 0 && f.used() > leastMarks:
			before, behind := f.neighbours(worst)
			err = f.without(ctx, worst, before, behind)
		case back >= 0:
			f.off[back], returned[back] = false, true
			err = f.run(ctx, again, roughly)
		default:
			return nil
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// onWay reports whether a mark lies on the straight way from the mark before it
// to the one behind. Whatever a spline makes of the bends of a cut-out, such a
// mark is no slip.
func (f *loopFit) onWay(i int) bool {
	const near = 2.0 // mm
	before, behind := -1, -1
	for k, u := range f.foot {
		if f.off[k] || k == i {
			continue
		}
		if before < 0 || f.ahead(u, f.foot[i]) < f.ahead(f.foot[before], f.foot[i]) {
			before = k
		}
		if behind < 0 || f.ahead(f.foot[i], u) < f.ahead(f.foot[i], f.foot[behind]) {
			behind = k
		}
	}
	if before < 0 || before == behind {
		return false
	}
	way := r2.Sub(f.p[behind], f.p[before])
	l := r2.Norm(way)
	if l == 0 {
		return false
	}
	q := r2.Sub(f.p[i], f.p[before])
	along := r2.Dot(q, way) / l
	return along > 0 && along < l && math.Abs(r2.Cross(way, q))/l <= near
}

// again is the number of rounds after a mark was set aside or brought back.
const again = 4

// without sets one of the marks aside, whichever leaves the likelier fit: a
// slip on the outside of a corner can make its neighbours look wrong.
func (f *loopFit) without(ctx context.Context, marks ...int) error {
	var best *loopFit
	var least float64
	for _, i := range marks {
		if i < 0 {
			continue
		}
		try := *f
		try.off, try.foot, try.miss = slices.Clone(f.off), slices.Clone(f.foot), slices.Clone(f.miss)
		try.off[i] = true
		if err := try.run(ctx, again, roughly); err != nil {
			return err
		}
		if a := try.against(); best == nil || a < least {
			best, least = &try, a
		}
	}
	*f = *best
	return nil
}

// neighbours are the marks in use next before and behind mark i that may be set
// aside; -1 for none.
func (f *loopFit) neighbours(i int) (before, behind int) {
	before, behind = -1, -1
	for k, u := range f.foot {
		if f.off[k] || k == i || f.sure[k] {
			continue
		}
		if before < 0 || f.ahead(u, f.foot[i]) < f.ahead(f.foot[before], f.foot[i]) {
			before = k
		}
		if behind < 0 || f.ahead(f.foot[i], u) < f.ahead(f.foot[i], f.foot[behind]) {
			behind = k
		}
	}
	return before, behind
}

// ahead is how far along the closed curve b lies ahead of a.
func (f *loopFit) ahead(a, b float64) float64 {
	lo, hi := f.curve.Period()
	if b < a {
		b += hi - lo
	}
	return b - a
}
