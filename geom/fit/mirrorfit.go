package fit

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// mirrorFit is the joint fit of a symmetric outline, an even face and the
// plane. The two splines share no unknowns but the three of the plane, so
// their normal matrices are two arrows with one common border.
type mirrorFit struct {
	in        SymmetricInput
	free      bool // the plane is an unknown
	m         motion
	q         []r3.Vec // edge marks in the corrected frame
	loop      *loopFit
	sheet     *sheetFit // nil without heights
	height    []int     // which marks, edge then face, are the sheet's points
	pull      []float64 // weight of each of the sheet's points, 0 … 1
	cov       [3][3]float64
	reordered bool
	weighed   bool       // readings that miss by much pull less
	widthOff  []bool     // widths set aside
	centreOff []bool     // centre marks set aside
	arcs      *arcFit    // the model in place of the spline; nil where that is the better
	even      *mirrorFit // the even fit that found the plane, where a pane that is not symmetric took its place
}

const (
	mirrorRounds = 14  // of feet, strengths and joint step
	searches     = 5   // rounds that still choose the strengths of the penalties
	trusting     = 3   // rounds before weights, while the plane may be far off
	trusted      = 3.0 // sd up to which a reading pulls in full
	gone         = 6.0 // sd from which it does not pull
	boxMargin    = 60  // mm of face beyond the marks
	leastScale   = 0.1 // scatter over stated sd below which readings are believed no more
)

// priors keep an unknown finite that no reading carries: sd of shift, skew and
// roll about the guess.
var priors = motion{50, 5 * math.Pi / 180, 2 * math.Pi / 180}

// carry brings the edge marks to the corrected frame. Marks without a height
// lie on the face, where there is one.
func (f *mirrorFit) carry() {
	frame := f.m.frame()
	f.q = make([]r3.Vec, len(f.in.Edge))
	for i, k := range f.in.Edge {
		p := k.P
		if !k.hasHeight() {
			p.Z = 0
			if f.sheet != nil && f.sheet.face != nil {
				p.Z = f.m.lift(p.X, p.Y, f.sheet.face)
			}
		}
		f.q[i] = frame.Apply(p)
	}
	if f.loop != nil {
		for i, q := range f.q {
			f.loop.p[i] = r2.Vec{X: q.X, Y: q.Y}
		}
	}
	if f.sheet != nil {
		marks := slices.Concat(f.in.Edge, f.in.Face)
		for k, i := range f.height {
			f.sheet.p[k] = frame.Apply(marks[i].P)
		}
	}
}

// run takes rounds with the spline until plane, curve and face have settled to
// within mm.
func (f *mirrorFit) run(ctx context.Context, within float64) error {
	_, base := planOf(f.in.Edge)
	f.loop.log = math.NaN()
	for round := range mirrorRounds {
		if err := ctx.Err(); err != nil {
			return err
		}
		if round >= trusting && !f.in.KeepAll {
			f.temper(base)
		}
		search := round < searches
		if f.sheet != nil {
			f.sheet.weigh(f.sheet.face)
			if round == 1 {
				f.sheet.log = math.NaN() // the plane is good enough to choose it
			}
		}
		before, missed := f.m, slices.Clone(f.loop.miss)
		if err := f.step(search, search && round > 0); err != nil {
			return err
		}
		f.carry()
		f.loop.feet()
		if f.sheet != nil {
			f.sheet.misses()
		}
		change := math.Abs(f.m[0]-before[0]) + 500*(math.Abs(f.m[1]-before[1])+math.Abs(f.m[2]-before[2]))
		for i, d := range f.loop.miss {
			change = max(change, math.Abs(d-missed[i]))
		}
		if round >= trusting && change < within {
			break
		}
	}
	return nil
}

// fit is the whole way: roughly with the spline, then with the model, or to
// the end with the spline where the model does not do better.
func (f *mirrorFit) fit(ctx context.Context) error {
	if err := f.run(ctx, roughly); err != nil {
		return err
	}
	if err := f.toArcs(ctx); err != nil {
		return err
	}
	switch {
	case f.arcs == nil:
		if err := f.run(ctx, settled); err != nil {
			return err
		}
	case f.in.Lopsided && f.evidence().outline:
		if err := f.stray(ctx); err != nil {
			return err
		}
	}
	if f.sheet != nil {
		if err := f.sheet.bulges(); err != nil {
			return faceError(err, nil)
		}
	}
	return nil
}

// pull is the weight of a reading that misses by z sd.
func pull(z float64) float64 {
	t := min(1, max(0, (z-trusted)/(gone-trusted)))
	return (1 - t*t) * (1 - t*t)
}

// trust is the weight of a width or a centre mark of which left is left over.
func (f *mirrorFit) trust(left, variance float64) float64 {
	if !f.weighed {
		return 1 / variance
	}
	return pull(math.Abs(left)/math.Sqrt(variance)) / variance
}

// temper weighs every reading by how far it misses: in full while it is within
// the noise, then falling off as Tukey's biweight does.
func (f *mirrorFit) temper(base []float64) {
	f.weighed = true
	z := make([]float64, len(base))
	for i, d := range f.loop.miss {
		z[i] = math.Abs(d) * math.Sqrt(base[i])
	}
	s := robust(pick(z, func(i int) bool { return !f.loop.off[i] }))
	for i := range z {
		f.loop.w[i] = base[i]
		if !f.loop.sure[i] {
			f.loop.w[i] *= pull(z[i] / s)
		}
	}
	if f.sheet == nil {
		return
	}
	z = make([]float64, len(f.pull))
	for i, d := range f.sheet.miss {
		z[i] = math.Abs(d) / math.Sqrt(f.sheet.variance[i])
	}
	s = robust(z)
	for i := range z {
		f.pull[i] = 1
		if !f.sheet.sure[i] {
			f.pull[i] = pull(z[i] / s)
		}
	}
}

// block is one spline's share of the joint normal equations, the plane's three
// unknowns in the border.
type block struct {
	a   *arrow
	rhs []float64
}

// add sums up a reading whose row may reach into the border.
func (b *block) add(q reading) {
	b.a.addRow(q.row, q.w)
	for p, i := range q.idx {
		b.rhs[i] += q.w * q.rhs * q.val[p]
	}
}

// with appends the plane's unknowns to a row.
func with(r row, first int, v [3]float64) row {
	for k, x := range v {
		r.idx, r.val = append(r.idx, first+k), append(r.val, x)
	}
	return r
}

// step takes one joint Gauss-Newton step; the strengths of the outline's and
// the face's penalty are chosen anew, the plane held, where asked.
func (f *mirrorFit) step(searchPlan, searchFace bool) error {
	plan, err := f.planBlock(searchPlan)
	if err != nil {
		return outlineError(err)
	}
	blocks := []*block{plan}
	if f.sheet != nil {
		face, err := f.faceBlock(searchFace)
		if err != nil {
			return faceError(err, nil)
		}
		blocks = append(blocks, face)
	}
	var corner [9]float64
	var shared [3]float64
	for _, b := range blocks {
		if err := b.a.reduce(); err != nil {
			return err
		}
		b.a.forward(b.rhs)
		for i, v := range b.a.shared() {
			corner[i] += v
		}
		for i := range shared {
			shared[i] += b.rhs[b.a.first()+i]
		}
	}
	inverse := make([]float64, 9)
	if f.free {
		if err := cholesky(corner[:], 3); err != nil {
			return err
		}
		denseSolve(corner[:], 3, shared[:])
		inverse = denseInverse(corner[:], 3)
	} else {
		shared = [3]float64{}
	}
	for _, b := range blocks {
		copy(b.rhs[b.a.first():], shared[:])
		b.a.backward(b.rhs)
	}
	for i := range f.m {
		f.m[i] += shared[i]
		for j := range f.m {
			f.cov[i][j] = inverse[3*i+j]
		}
	}
	return f.take(blocks, inverse)
}

// share is the weight of readings of unit weight that scatter by scale.
func share(scale float64) float64 {
	scale = max(scale, leastScale)
	return 1 / (scale * scale)
}

// take makes curve and face of the solved blocks. The blocks were weighted by
// the scatter found, so their inverses carry it; loop and sheet keep theirs
// without.
func (f *mirrorFit) take(blocks []*block, inverse []float64) error {
	var err error
	l := f.loop
	l.x = blocks[0].rhs[:blocks[0].a.first()]
	if l.curve, err = l.chart.curve(l.x); err != nil {
		return err
	}
	l.inv = blocks[0].a.inverse(inverse)
	l.inv.scale(share(reweighted * l.scale))
	if l.root, err = f.whole(blocks[0].a, inverse); err != nil {
		return err
	}
	l.unit, l.change = 1, nil
	if f.free {
		l.change = f.changeAt
	}
	return f.takeFace(blocks[1:], inverse)
}

// whole completes the reduced matrix of one block, whose border the plane's
// unknowns share with other blocks, so that it stands for all of them: inverse
// is their covariance. Without a plane among the unknowns the border goes.
func (f *mirrorFit) whole(a *arrow, inverse []float64) (*arrow, error) {
	if !f.free {
		return a.alone(), nil
	}
	cov := slices.Clone(inverse)
	if err := cholesky(cov, 3); err != nil {
		return nil, err
	}
	out := *a
	out.corner = slices.Clone(a.corner)
	for i, v := range denseInverse(cov, 3) {
		out.corner[(a.own+i/3)*a.k+a.own+i%3] = v
	}
	return &out, out.factorCorner(a.own, a.k)
}

// takeFace makes the face of its solved block, if there is one; inverse is the
// covariance of the plane's unknowns.
func (f *mirrorFit) takeFace(blocks []*block, inverse []float64) error {
	for _, b := range blocks {
		s := f.sheet
		var err error
		s.x = b.rhs[:b.a.first()]
		if s.face, err = s.sheet.face(s.x); err != nil {
			return err
		}
		s.inv = b.a.inverse(inverse)
		s.inv.scale(share(s.scale))
		if s.root, err = f.whole(b.a, inverse); err != nil {
			return err
		}
		s.unit = 1
	}
	return nil
}

// planBlock holds the marks' distances to the curve, the widths, the centre
// marks and the priors.
func (f *mirrorFit) planBlock(search bool) (*block, error) {
	l := f.loop
	readings := l.readings()
	s, err := l.system(readings, search)
	if err != nil {
		return nil, err
	}
	per := share(reweighted * l.scale)
	b := &block{a: l.arrow(3)}
	b.rhs = make([]float64, b.a.size())
	n := b.a.first()
	for i, p := range l.p {
		if l.off[i] {
			continue
		}
		t := l.curve.Tangent(l.foot[i])
		out := r2.Vec{X: t.Y, Y: -t.X}
		change := f.m.change(f.q[i])
		for k, v := range []r2.Vec{out, t} {
			w := per * l.w[i]
			if k == 1 {
				w *= weak * weak
			}
			var d [3]float64
			for j, c := range change {
				d[j] = -(v.X*c.X + v.Y*c.Y)
			}
			b.add(reading{with(l.at(l.foot[i], v), n, d), r2.Dot(v, p), w})
		}
	}
	f.addWidths(b)
	f.addCentre(b)
	for j, sd := range priors {
		b.add(reading{row{[]int{n + j}, []float64{1}}, -f.m[j], 1 / (sd * sd)})
	}
	addBand(b.a, per*math.Exp(l.log), s.penalty)
	return b, nil
}

// addWidths adds that the mark's foot and its image lie a taped width apart.
// Where the edge leans, a twin misplaced along it makes the width wrong.
func (f *mirrorFit) addWidths(b *block) {
	l := f.loop
	for _, w := range f.in.Widths {
		if l.off[w.Mark] || l.w[w.Mark] == 0 {
			continue
		}
		u := l.foot[w.Mark]
		v := r2.Vec{X: math.Copysign(2, l.p[w.Mark].X)}
		lean := w.Along * l.curve.Tangent(u).X
		left := w.Length - r2.Dot(v, l.curve.At(u))
		b.add(reading{l.at(u, v), w.Length, f.trust(left, w.SD*w.SD+lean*lean)})
	}
}

// addCentre adds that the centre marks lie in the plane.
func (f *mirrorFit) addCentre(b *block) {
	for _, c := range f.in.Centre {
		q := f.centreMark(c)
		var d [3]float64
		for j, c := range f.m.change(q) {
			d[j] = c.X
		}
		b.add(reading{with(row{}, b.a.first(), d), -q.X, f.trust(q.X, c.SXY*c.SXY)})
	}
}

// faceBlock holds the heights.
func (f *mirrorFit) faceBlock(search bool) (*block, error) {
	g := f.sheet
	readings := g.readings()
	for i := range readings {
		readings[i].w *= f.pull[i]
	}
	s, err := g.system(readings, search)
	if err != nil {
		return nil, err
	}
	per := share(g.scale)
	b := &block{a: g.arrow(3)}
	b.rhs = make([]float64, b.a.size())
	for i, p := range g.p {
		h := g.face.Eval(p.X, p.Y)
		var d [3]float64
		for j, c := range f.m.change(p) {
			d[j] = h.Zx*c.X + h.Zy*c.Y - c.Z
		}
		b.add(reading{with(readings[i].row, b.a.first(), d), p.Z, per * readings[i].w})
	}
	for _, r := range g.priors() {
		r.w *= per
		b.add(r)
	}
	addBand(b.a, per*math.Exp(g.log), s.penalty)
	return b, nil
}

// addBand adds s times the penalty, which has no border, to a matrix that has.
func addBand(a *arrow, s float64, penalty *arrow) {
	for i, v := range penalty.band {
		a.band[i] += s * v
	}
}
