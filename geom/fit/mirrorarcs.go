package fit

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// toArcs goes over from the spline, once it has roughly settled, to the model
// of sides and corners; it stays with the spline where that foretells the
// marks better.
func (f *mirrorFit) toArcs(ctx context.Context) error {
	b := bend(f.loop.curve)
	least := f.splineScore()
	best := f
	var tried [][]cornerAt
	for _, look := range cornerLooks {
		at := b.withBreaks(b.corners(look), f.loop)
		if slices.ContainsFunc(tried, func(t []cornerAt) bool { return alike(t, at) }) {
			continue
		}
		tried = append(tried, at)
		t := f.clone()
		if t.arcs = t.arcsFrom(b, at); t.arcs == nil {
			continue
		}
		if err := t.runArcs(ctx); err != nil {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			continue
		}
		all, err := t.arcs.judge()
		if err != nil || t.arcs.passesOver(f.loop.off) {
			continue
		}
		if s := score(all, t.arcs.off); s < least {
			clear := least-s > clearly
			best, least = t, s
			if clear {
				break
			}
		}
	}
	*f = *best
	return nil
}

// stray lets the pane differ from its mirror image where the marks call for it:
// an odd process beside the even one, kept where it foretells the marks better
// beyond doubt. The plane stays the one about which the pane is the most
// symmetric: a bulge on one side and a shift of the plane look nearly alike.
func (f *mirrorFit) stray(ctx context.Context) error {
	even, err := f.arcs.judge()
	if err != nil {
		return err
	}
	t := f.clone()
	a := *f.arcs
	a.off, a.pull, a.feet, a.miss = slices.Clone(a.off), slices.Clone(a.pull), slices.Clone(a.feet), slices.Clone(a.miss)
	a.strayed, a.hyper.odd = true, firstOdd
	a.theta = make([]float64, a.bumps()+a.waveCount(0))
	if hint, err := a.hintsOdd(); err != nil || !hint {
		return ctx.Err()
	}
	t.arcs, t.free = &a, false
	if err := t.runArcs(ctx); err != nil {
		return ctx.Err() // without it the even fit stands
	}
	odd, err := a.judge()
	if err != nil {
		return ctx.Err()
	}
	if score(odd, a.off) < score(even, f.arcs.off)-surely {
		t.cov = f.cov
		t.cov[0][0] += square(a.hyper.odd) / 2 // what of a bulge may be a shift
		even := *f
		t.even = &even
		*f = *t
	}
	return nil
}

// hintsOdd reports whether an odd process about the chain at hand may be worth
// a fit of its own: the evidence leans to it, or more than a mark or two had to
// be set aside.
func (f *arcFit) hintsOdd() (bool, error) {
	const leaning, some = 3.0, 2
	if count(f.off) > some {
		return true, nil
	}
	s, err := f.sum(f.hyper.even.reach)
	if err != nil {
		return false, err
	}
	h := f.hyper
	h.odd = 0
	_, _, none := f.at(s, h)
	for _, h.odd = range []float64{0.15, 0.3, 0.6, 1.2, 2.4} {
		if _, _, crit := f.at(s, h); crit < none-leaning {
			return true, nil
		}
	}
	return false, nil
}

const (
	// firstOdd is the sd of the odd process from which its search starts, mm.
	firstOdd = 0.5
	// surely is by how much an odd process must foretell the marks better, −2 log
	// likelihood: of 180 invented symmetric panes one reached it.
	surely = 14.0
)

// splineScore is the score of the spline with the stated weights; marks that
// lost all their pull count as set aside.
func (f *mirrorFit) splineScore() float64 {
	l := *f.loop
	off := slices.Clone(l.off)
	for i, w := range f.loop.w {
		off[i] = off[i] || w == 0
	}
	_, l.w = planOf(f.in.Edge)
	return score(l.judge(reweighted*l.scale), off)
}

// clone copies what a change of model may change.
func (f *mirrorFit) clone() *mirrorFit {
	t, l := *f, *f.loop
	l.p, l.foot, l.miss = slices.Clone(l.p), slices.Clone(l.foot), slices.Clone(l.miss)
	t.loop = &l
	t.widthOff, t.centreOff = slices.Clone(f.widthOff), slices.Clone(f.centreOff)
	if f.sheet != nil {
		s := *f.sheet
		s.p, s.variance, s.miss = slices.Clone(s.p), slices.Clone(s.variance), slices.Clone(s.miss)
		t.sheet = &s
	}
	return &t
}

// arcsFrom starts a symmetric chain with corners found on the spline; nil where
// they make none.
func (f *mirrorFit) arcsFrom(b *bendings, at []cornerAt) *arcFit {
	twin := twins(at)
	if twin == nil {
		return nil
	}
	x, ok := b.chain(at)
	if !ok {
		return nil
	}
	even := *f.loop
	_, even.w = planOf(f.in.Edge)
	return fitting(mirrorForm(twin, breaksIn(at)), x, &even)
}

// twins pairs the corners of a curve that is its own image in x = 0 and starts
// there; nil where they do not pair.
func twins(at []cornerAt) []int {
	const apart = 3 // samples
	twin := make([]int, len(at))
	for i, c := range at {
		twin[i] = -1
		for j, d := range at {
			s := (c.mid + d.mid) % samples
			if s = (s + samples) % samples; min(s, samples-s) <= apart {
				twin[i] = j
			}
		}
		if twin[i] < 0 {
			return nil
		}
	}
	for i, t := range twin {
		if twin[t] != i {
			return nil
		}
	}
	return twin
}

// runArcs fits the chain, then the whole model, and screens the marks.
func (f *mirrorFit) runArcs(ctx context.Context) error {
	a := f.arcs
	if a.hollow() {
		for i := range a.off {
			a.off[i] = f.loop.off[i] || f.loop.w[i] == 0
		}
	} else {
		if err := a.stiff(ctx); err != nil {
			return err
		}
		if !f.in.KeepAll {
			a.setFarAside()
		}
	}
	a.misses()
	if err := f.arcRounds(ctx, 8, 2); err != nil || f.in.KeepAll {
		return err
	}
	if err := f.screenExtras(ctx); err != nil {
		return err
	}
	return a.screen(ctx, f.arcRounds)
}

// screenExtras sets widths and centre marks aside that all the rest contradicts,
// the worst first, and fits again. Where two marks are all there is, neither
// can judge the other.
func (f *mirrorFit) screenExtras(ctx context.Context) error {
	const tooFar = 4.0 // sd
	a := f.arcs
	for range len(f.in.Widths) + len(f.in.Centre) {
		if err := a.shake(); err != nil {
			return err
		}
		worst, most := -1, tooFar
		row := make([]float64, a.factor.n)
		for k, e := range a.extra {
			left := e.rhs
			if e.gain != 0 {
				left -= e.gain * a.stray(e.foot.pos)
			}
			a.extraRow(row, e)
			a.factor.whiten(row)
			h := e.w * dot(row, row)
			loo, u := leftOut(left, 1/math.Sqrt(e.w), h, false)
			if z := math.Abs(loo) / u; h < alone && z > most {
				worst, most = k, z
			}
		}
		if worst < 0 {
			return nil
		}
		if e := a.extra[worst]; e.kind == WidthTaped {
			f.widthOff[e.index] = true
		} else {
			f.centreOff[e.index] = true
		}
		if err := f.arcRounds(ctx, 4, 1.5); err != nil {
			return err
		}
	}
	return nil
}

// arcRounds takes joint rounds of chain, face and plane until they have
// settled.
func (f *mirrorFit) arcRounds(ctx context.Context, most int, search float64) error {
	for k := range most {
		if err := ctx.Err(); err != nil {
			return err
		}
		before, missed := f.m, slices.Clone(f.arcs.miss)
		if err := f.arcRound(searchAt(k, search)); err != nil {
			return err
		}
		change := math.Abs(f.m[0]-before[0]) + 500*(math.Abs(f.m[1]-before[1])+math.Abs(f.m[2]-before[2]))
		for i, d := range f.arcs.miss {
			if !f.arcs.off[i] {
				change = max(change, math.Abs(d-missed[i]))
			}
		}
		if k > 1 && change < settled {
			break
		}
	}
	return nil
}

// arcRound takes one joint step. The face tells what it knows of the plane; the
// chain's fit, which holds everything else, then finds the plane, and the face
// follows.
func (f *mirrorFit) arcRound(search float64) error {
	var blocks []*block
	a := f.arcs
	know := &planePrior{mark: func(i int) [3]r2.Vec { return f.changeInPlan(f.q[i]) }, change: f.changeAt}
	for j, sd := range priors {
		know.info[4*j] = 1 / (sd * sd)
		know.rhs[j] = -f.m[j] / (sd * sd)
	}
	if f.sheet != nil {
		f.sheet.weigh(f.sheet.face)
		b, err := f.faceBlock(search > 0)
		if err != nil {
			return faceError(err, nil)
		}
		if err := b.a.reduce(); err != nil {
			return err
		}
		b.a.forward(b.rhs)
		for i, v := range b.a.shared() {
			know.info[i] += v
		}
		for i := range know.rhs {
			know.rhs[i] += b.rhs[b.a.first()+i]
		}
		blocks = append(blocks, b)
	}
	a.plane = nil
	if f.free {
		a.plane = know
	}
	f.arcExtras()
	if err := a.step(search); err != nil {
		return err
	}
	inverse := make([]float64, 9)
	var move motion
	if f.free {
		move = a.move
		cov := a.planeCov()
		f.cov = cov
		for i := range cov {
			copy(inverse[3*i:], cov[i][:])
		}
	}
	for i := range f.m {
		f.m[i] += move[i]
	}
	for _, b := range blocks {
		copy(b.rhs[b.a.first():], move[:])
		b.a.backward(b.rhs)
	}
	if err := f.takeFace(blocks, inverse); err != nil {
		return err
	}
	f.carry()
	a.misses()
	if f.sheet != nil {
		f.sheet.misses()
	}
	return nil
}

// changeInPlan is how a point moves, seen from above, with the plane's unknowns.
func (f *mirrorFit) changeInPlan(q r3.Vec) (out [3]r2.Vec) {
	for k, c := range f.m.change(q) {
		out[k] = r2.Vec{X: c.X, Y: c.Y}
	}
	return out
}

// changeAt is the same for the face's point over a place.
func (f *mirrorFit) changeAt(p r2.Vec) [3]r2.Vec {
	q := r3.Vec{X: p.X, Y: p.Y}
	if f.sheet != nil {
		q.Z = f.sheet.face.At(p.X, p.Y)
	}
	return f.changeInPlan(q)
}

// planeCov is the covariance of the plane's unknowns.
func (f *arcFit) planeCov() (cov [3][3]float64) {
	var w [3][]float64
	for i := range w {
		w[i] = make([]float64, f.factor.n)
		w[i][i] = 1
		f.factor.whiten(w[i])
	}
	for i := range w {
		for j := range w {
			cov[i][j] = dot(w[i], w[j])
		}
	}
	return cov
}

// arcExtras gathers the widths and the centre marks about the chain and the
// plane at hand. Where the edge leans, a twin misplaced along it makes a width
// wrong.
func (f *mirrorFit) arcExtras() {
	a := f.arcs
	a.extra = nil
	for i, w := range f.in.Widths {
		if a.off[w.Mark] || f.widthOff[i] {
			continue
		}
		ft := a.feet[w.Mark]
		p, out := a.chain.at(ft.pos)
		side := math.Copysign(1, p.X)
		lean := w.Along * out.Y
		a.extra = append(a.extra, extra{kind: WidthTaped, index: i, foot: ft, at: p, gain: 2 * side * out.X,
			rhs: w.Length - 2*side*p.X, w: 1 / (w.SD*w.SD + lean*lean)})
	}
	if !f.free {
		return
	}
	for i, c := range f.in.Centre {
		if f.centreOff[i] {
			continue
		}
		q := f.centreMark(c)
		e := extra{kind: CentreSeen, index: i, rhs: -q.X, w: 1 / (c.SXY * c.SXY)}
		for j, d := range f.m.change(q) {
			e.plane[j] = d.X
		}
		a.extra = append(a.extra, e)
	}
}

// centreMark is a centre mark in the corrected frame. One without a height lies
// on the face.
func (f *mirrorFit) centreMark(c Mark) r3.Vec {
	p := c.P
	if !c.hasHeight() {
		p.Z = 0
		if f.sheet != nil {
			p.Z = f.m.lift(p.X, p.Y, f.sheet.face)
		}
	}
	return f.m.frame().Apply(p)
}
