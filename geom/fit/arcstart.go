package fit

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// newArcFit makes the fit of a chain to marks p of weights w, from parameters
// that a form leaves free.
func newArcFit(fm *form, x []float64, p []r2.Vec, w []float64, t told) (*arcFit, error) {
	fm.even(x)
	fm.most = 2 * girthOfBox(p)
	c, err := fm.chain(x)
	if err != nil {
		return nil, err
	}
	f := &arcFit{form: fm, chain: c, p: p, w: w, told: t,
		off: make([]bool, len(p)), pull: make([]float64, len(p)), feet: make([]foot, len(p)), miss: make([]float64, len(p)),
		hyper: hyper{even: wander{amp: 0.7, reach: 150}, scale: 1}}
	for i := range f.pull {
		f.pull[i] = 1
	}
	f.theta = make([]float64, f.bumps()+f.waveCount(0))
	f.misses()
	return f, nil
}

// stiffStart lays the chain alone along the marks, as robustly as it goes: the
// sum of soft absolute distances, by reweighting.
func (f *arcFit) stiffStart(ctx context.Context, most int) error {
	nm := f.form.size()
	for range most {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := f.shake(); err != nil {
			return err
		}
		soft := f.typical()
		a := newArrow(nm, nm-1, 0)
		b := make([]float64, nm)
		n := &normal{g: a, b: b, size: nm}
		row := make([]float64, nm)
		for _, i := range f.some() {
			e := f.feet[i].miss
			f.near.outward(row, f.feet[i].part, f.p[i])
			n.add(row, e, f.w[i]/math.Sqrt(1+square(e/soft)))
		}
		k := 0
		for _, col := range f.form.cols {
			switch col[0].param % perCorner {
			case 2:
				a.band[k*nm+nm-1] += 1 / square(radiusSD)
				b[k] += (math.Copysign(usualRadius, f.chain.x[col[0].param]) - f.chain.x[col[0].param]) / square(radiusSD)
			case 3:
				a.band[k*nm+nm-1] += 1 / square(bowSD)
				b[k] -= f.chain.x[col[0].param] / square(bowSD)
			default:
				a.band[k*nm+nm-1] += 1 / square(placeSD)
			}
			k++
		}
		if a.factor() != nil {
			return errSingular
		}
		a.solve(b)
		before := f.soft(soft)
		moved := false
		for range 8 {
			next, err := f.form.chain(f.form.moved(f.chain.x, b))
			if err == nil {
				was, feet := f.chain, slices.Clone(f.feet)
				f.chain = next
				f.locateSome()
				if f.soft(soft) < before {
					moved = true
					break
				}
				f.chain, f.feet = was, feet
			}
			for i := range b {
				b[i] /= 2
			}
		}
		if !moved {
			break
		}
		if before-f.soft(soft) < 1e-3*before {
			break
		}
	}
	return nil
}

// some are marks enough to lay a stiff chain along: all where they are few.
func (f *arcFit) some() []int {
	const enough = 600
	step := 1 + len(f.p)/enough
	out := make([]int, 0, enough)
	for i := 0; i < len(f.p); i += step {
		out = append(out, i)
	}
	return out
}

// locateSome finds their feet.
func (f *arcFit) locateSome() {
	for _, i := range f.some() {
		f.feet[i] = f.chain.foot(f.p[i])
	}
}

// typical is the median distance of the marks from the chain as an sd, and no
// less than the marks' own.
func (f *arcFit) typical() float64 {
	var d, s []float64
	for _, i := range f.some() {
		d, s = append(d, math.Abs(f.feet[i].miss)), append(s, 1/math.Sqrt(f.w[i]))
	}
	return max(1.4826*median(d), median(s))
}

// soft is the sum of soft absolute distances from the chain.
func (f *arcFit) soft(c float64) float64 {
	var s float64
	for _, i := range f.some() {
		s += math.Sqrt(1+square(f.feet[i].miss/c)) - 1
	}
	return s
}

// radii looks for a better radius of every corner, the sides held: a false
// minimum with one radius far off would throw a corner's marks out as slips.
func (f *arcFit) radii() {
	for i, t := range f.twins() {
		if t < i || f.form.breaks[i] {
			continue
		}
		c := f.typical()
		best, least := f.chain, f.cut(c)
		for _, r := range []float64{6, 9, 13, 19, 27, 38, 54, 76, 107, 150} {
			x := slices.Clone(best.x)
			r = math.Copysign(r, x[perCorner*i+2])
			x[perCorner*i+2], x[perCorner*t+2] = r, r
			next, err := f.form.chain(x)
			if err != nil {
				continue
			}
			f.chain = next
			f.locateSome()
			if s := f.cut(c); s < least-1 {
				best, least = next, s
			}
		}
		f.chain = best
		f.locateSome()
	}
}

// twins is the twin of every corner, itself where the chain is free.
func (f *arcFit) twins() []int {
	if f.form.twin != nil {
		return f.form.twin
	}
	t := make([]int, f.form.corners)
	for i := range t {
		t[i] = i
	}
	return t
}

// cut is the sum of squared distances from the chain over c, each cut at 16.
func (f *arcFit) cut(c float64) float64 {
	var s float64
	for _, i := range f.some() {
		s += min(16, square(f.feet[i].miss/c))
	}
	return s
}

// stiff lays the chain along the marks, its radii searched.
func (f *arcFit) stiff(ctx context.Context) error {
	if err := f.stiffStart(ctx, 12); err != nil {
		return err
	}
	f.radii()
	defer f.locate()
	return f.stiffStart(ctx, 6)
}

// setFarAside sets the marks aside that lie far from the chain.
func (f *arcFit) setFarAside() {
	const far, least = 6.0, 6.0 // sd and mm
	s := f.typical()
	for i := range f.p {
		f.off[i] = !f.sure[i] && math.Abs(f.feet[i].miss) > max(far*s, least)
	}
}

// hollow reports whether a corner turns inward.
func (f *arcFit) hollow() bool {
	return slices.ContainsFunc(f.chain.rounds, func(r round) bool { return r.r < 0 })
}

// fit is the whole way from a rough chain: stiff, marks far off set aside, then
// the model and its screening. The few marks in a hollow would pass for slips
// while the chain is stiff and rough: there it starts with the marks that the
// spline set aside, off.
func (f *arcFit) fit(ctx context.Context, off []bool, keepAll bool) error {
	if f.hollow() {
		copy(f.off, off)
	} else {
		if err := f.stiff(ctx); err != nil {
			return err
		}
		if !keepAll {
			f.setFarAside()
		}
	}
	f.misses()
	if err := f.run(ctx, 5, 2); err != nil {
		return err
	}
	if keepAll {
		return nil
	}
	return f.screen(ctx, f.run)
}

// judge looks at every mark in the light of the others.
func (f *arcFit) judge() ([]judged, error) {
	if err := f.shake(); err != nil {
		return nil, err
	}
	out := make([]judged, len(f.p))
	row := make([]float64, f.factor.n)
	for i := range f.p {
		f.row(row, i)
		f.factor.whiten(row)
		sd := f.hyper.scale / math.Sqrt(f.w[i])
		out[i] = judged{miss: f.miss[i], sd: sd, h: dot(row, row) / (sd * sd), sure: f.sure[i]}
	}
	return out, nil
}

// screen sets slips aside one by one, the worst first, and fits again; marks
// once set aside come back where the fit, made without them, agrees. run takes
// rounds: at most so many, the hyperparameters searched by a factor.
func (f *arcFit) screen(ctx context.Context, run func(ctx context.Context, most int, search float64) error) error {
	returned := make([]bool, len(f.p))
	for range len(f.p) {
		if 3*count(f.off) > len(f.off) {
			return errChain // not a slip here and there: another shape
		}
		all, err := f.judge()
		if err != nil {
			return err
		}
		worst, _, back := arcBounds.verdict(all, f.off, returned)
		var many []int
		if len(f.p) > thousands {
			many = arcBounds.worstOf(all, f.off, f.p)
		}
		switch {
		case len(many) > 1:
			for _, i := range many {
				f.off[i] = true
			}
		case worst >= 0 && len(f.off)-count(f.off) > leastMarks:
			f.off[worst] = true
		case back >= 0:
			f.off[back], returned[back] = false, true
		default:
			return nil
		}
		if err := run(ctx, 4, 1.5); err != nil {
			return err
		}
	}
	return nil
}

var arcBounds = bounds{4.2, 3.6, 1.6}

// score is −2 log of how well each mark is foretold by the others, what fits of
// different kinds are compared by. A mark set aside has a fixed price, and one
// in use never counts for more.
func score(all []judged, off []bool) float64 {
	const price = 13.0
	var sum float64
	for i, r := range all {
		loo, u := leftOut(r.miss, r.sd, r.h, off[i])
		c := min(price, square(loo/u)) + 2*math.Log(u)
		if off[i] {
			c = price + 2*math.Log(r.sd)
		}
		sum += c
	}
	return sum
}
