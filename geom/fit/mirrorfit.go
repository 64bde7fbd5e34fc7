package fit

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
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
}

const (
	mirrorRounds = 14  // of feet, strengths and joint step
	searches     = 5   // rounds that still choose the strengths of the penalties
	trusting     = 3   // rounds before weights, while the plane may be far off
	trusted      = 3.0 // sd up to which a reading pulls in full
	gone         = 6.0 // sd from which it does not pull
	boxMargin    = 60  // mm of face beyond the marks
)

// priors keep an unknown finite that no reading carries: sd of shift, skew and
// roll about the guess.
var priors = motion{50, 5 * math.Pi / 180, 2 * math.Pi / 180}

// newMirrorFit prepares the fit: the plane's rough place, where both halves
// were read, then curve and face at that place.
func newMirrorFit(ctx context.Context, in SymmetricInput) (*mirrorFit, error) {
	f := &mirrorFit{in: in}
	f.carry()
	p, w := planOf(in.Edge)
	r := newRing(p, typicalSD(in.Edge))
	f.reordered = r.reordered
	if f.evidence().outline && !in.Fixed {
		free, err := r.loopFit(p, w)
		if err != nil {
			return nil, err
		}
		if err := free.run(ctx, 2); err != nil {
			return nil, outlineError(err)
		}
		f.m = foldOnto(free.curve, f.m)
	}
	return f, f.restart(ctx)
}

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

// restart makes the first face and the first curve at the motion at hand.
func (f *mirrorFit) restart(ctx context.Context) error {
	f.loop, f.sheet = nil, nil
	f.carry()
	if err := f.startSheet(ctx); err != nil {
		return err
	}
	f.carry() // marks without a height are on the face now
	return f.startLoop()
}

// startSheet fits the first even face, if there are heights for one.
func (f *mirrorFit) startSheet(ctx context.Context) error {
	with, index := heights(slices.Concat(f.in.Edge, f.in.Face))
	if p, _ := planOf(with); len(with) < 3 || thin(p) < 4*typicalSD(with) {
		return nil
	}
	f.height = index
	frame := f.m.frame()
	moved := slices.Clone(with)
	box := r2.Box{Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	for i, k := range with {
		moved[i].P = frame.Apply(k.P)
		box = widen(box, moved[i].plan())
	}
	for _, q := range f.q {
		box = widen(box, r2.Vec{X: q.X, Y: q.Y})
	}
	margin := r2.Vec{X: boxMargin, Y: boxMargin}
	box.Min, box.Max = r2.Sub(box.Min, margin), r2.Add(box.Max, margin)
	if f.in.Box.Max.X > f.in.Box.Min.X && f.in.Box.Max.Y > f.in.Box.Min.Y {
		box = widen(widen(box, f.in.Box.Min), f.in.Box.Max)
	}
	s := newSheetFit(newSheet(box, facePitch, true), moved)
	if len(with) < leastHeights {
		s.order = 2
	}
	if err := s.fit(ctx, false); err != nil {
		return err
	}
	f.sheet = s
	f.pull = make([]float64, len(with))
	for i := range f.pull {
		f.pull[i] = 1
	}
	return nil
}

// widen is the least box that holds b and p.
func widen(b r2.Box, p r2.Vec) r2.Box {
	return r2.Box{
		Min: r2.Vec{X: min(b.Min.X, p.X), Y: min(b.Min.Y, p.Y)},
		Max: r2.Vec{X: max(b.Max.X, p.X), Y: max(b.Max.Y, p.Y)},
	}
}

// startLoop lays the symmetric curve along the better read half and fits it
// once to all marks.
func (f *mirrorFit) startLoop() error {
	p := make([]r2.Vec, len(f.q))
	for i, q := range f.q {
		p[i] = r2.Vec{X: q.X, Y: q.Y}
	}
	way, err := halfWay(newRing(p, typicalSD(f.in.Edge)))
	if err != nil {
		return err
	}
	pos := make([]float64, len(way))
	for i := range way[1:] {
		pos[i+1] = pos[i] + r2.Norm(r2.Sub(way[i+1], way[i]))
	}
	spans := max(6, int(math.Ceil(knotsPerCorner*float64(len(way)))))
	half := spreadKnots(pos, spans)
	top := half[spans]
	knots := slices.Clone(half)
	for i := spans - 1; i >= 0; i-- {
		knots = append(knots, 2*top-half[i])
	}
	c, err := newChart(knots, true)
	if err != nil {
		return outlineError(err)
	}
	_, w := planOf(f.in.Edge)
	foot := make([]float64, len(p))
	for i, q := range p {
		foot[i] = along(way, pos, r2.Vec{X: math.Abs(q.X), Y: q.Y})
		if q.X < 0 {
			foot[i] = 2*top - foot[i]
		}
	}
	f.loop = newLoopFit(c, p, w, foot, make([]bool, len(p)))
	if err := f.loop.start(); err != nil {
		return outlineError(err)
	}
	return nil
}

// halfWay is the open way along the half with more corners, folded to x > 0,
// from a point on the line at the bottom to one at the top.
func halfWay(r *ring) ([]r2.Vec, error) {
	var at []r2.Vec
	var side int
	for _, i := range r.live() {
		at = append(at, r.at[i])
		if r.at[i].X > 0 {
			side++
		} else {
			side--
		}
	}
	if side < 0 { // the left half: fold it over, which turns the sense round
		for i := range at {
			at[i].X = -at[i].X
		}
		slices.Reverse(at)
	}
	n := len(at)
	const onLine = 1.0 // mm: nearer corners say nothing about the way
	from, most := 0, 0
	for i := range n {
		run := 0
		for run < n && at[(i+run)%n].X > onLine {
			run++
		}
		if run > most {
			from, most = i, run
		}
	}
	if most < 4 {
		return nil, &MarkError{Reason: "neither half holds enough edge marks on one side of the centre line"}
	}
	way := []r2.Vec{{Y: at[from].Y}}
	for k := range most {
		way = append(way, at[(from+k)%n])
	}
	return append(way, r2.Vec{Y: way[most].Y}), nil
}

// along is the position on a way of its point nearest to q.
func along(way []r2.Vec, pos []float64, q r2.Vec) float64 {
	best, least := 0.0, math.Inf(1)
	for i := range way[1:] {
		d := r2.Sub(way[i+1], way[i])
		t := r2.Dot(r2.Sub(q, way[i]), d) / r2.Norm2(d)
		t = max(0, min(1, t))
		if e := r2.Norm(r2.Sub(q, r2.Add(way[i], r2.Scale(t, d)))); e < least {
			least, best = e, pos[i]+t*(pos[i+1]-pos[i])
		}
	}
	return best
}

// run takes rounds until plane, curve and face have settled.
func (f *mirrorFit) run(ctx context.Context) error {
	_, base := planOf(f.in.Edge)
	f.loop.log = math.NaN()
	for round := range mirrorRounds {
		if err := ctx.Err(); err != nil {
			return err
		}
		if round >= trusting {
			f.temper(base)
		}
		search := round < searches
		if f.sheet != nil {
			f.sheet.weigh(f.sheet.face)
		}
		before, missed := f.m, slices.Clone(f.loop.miss)
		if err := f.step(search); err != nil {
			return outlineError(err)
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
		if round > searches && change < settled {
			break
		}
	}
	return nil
}

// temper weighs every reading by how far it misses: in full while it is within
// the noise, then falling off as Tukey's biweight does.
func (f *mirrorFit) temper(base []float64) {
	pull := func(z float64) float64 {
		t := min(1, max(0, (z-trusted)/(gone-trusted)))
		return (1 - t*t) * (1 - t*t)
	}
	z := make([]float64, len(base))
	for i, d := range f.loop.miss {
		z[i] = math.Abs(d) * math.Sqrt(base[i])
	}
	s := robust(z)
	for i := range z {
		f.loop.w[i] = base[i] * pull(z[i]/s)
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
		f.pull[i] = pull(z[i] / s)
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

// step takes one joint Gauss-Newton step; search chooses the strengths anew,
// the plane held.
func (f *mirrorFit) step(search bool) error {
	blocks := []*block{}
	plan, err := f.planBlock(search)
	if err != nil {
		return err
	}
	blocks = append(blocks, plan)
	if f.sheet != nil {
		face, err := f.faceBlock(search)
		if err != nil {
			return err
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
		for i, v := range b.a.corner {
			corner[i] += v
		}
		for i := range shared {
			shared[i] += b.rhs[b.a.n+i]
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
		copy(b.rhs[b.a.n:], shared[:])
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

// take makes curve and face of the solved blocks. The blocks were weighted by
// the scatter found, so their inverses carry it; loop and sheet keep theirs
// without.
func (f *mirrorFit) take(blocks []*block, inverse []float64) error {
	var err error
	l := f.loop
	l.x = blocks[0].rhs[:blocks[0].a.n]
	if l.curve, err = l.chart.curve(l.x); err != nil {
		return err
	}
	l.inv = blocks[0].a.inverse(inverse)
	l.inv.scale(1 / (l.scale * l.scale * reweighted * reweighted))
	if s := f.sheet; s != nil {
		s.x = blocks[1].rhs[:blocks[1].a.n]
		if s.face, err = s.sheet.face(s.x); err != nil {
			return err
		}
		s.inv = blocks[1].a.inverse(inverse)
		s.inv.scale(1 / (s.scale * s.scale))
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
	per := 1 / (l.scale * l.scale * reweighted * reweighted)
	b := &block{a: l.arrow(3)}
	b.rhs = make([]float64, b.a.size())
	n := b.a.n
	for i, p := range l.p {
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
	for _, w := range f.in.Widths {
		if l.w[w.Mark] == 0 {
			continue
		}
		u := l.foot[w.Mark]
		v := r2.Vec{X: math.Copysign(2, l.p[w.Mark].X)}
		lean := w.Along * l.curve.Tangent(u).X
		b.add(reading{l.at(u, v), w.Length, 1 / (w.SD*w.SD + lean*lean)})
	}
	for _, c := range f.in.Centre {
		p := c.P
		if !c.hasHeight() {
			p.Z = 0
			if f.sheet != nil {
				p.Z = f.m.lift(p.X, p.Y, f.sheet.face)
			}
		}
		q := f.m.frame().Apply(p)
		var d [3]float64
		for j, c := range f.m.change(q) {
			d[j] = c.X
		}
		b.add(reading{with(row{}, n, d), -q.X, 1 / (c.SXY * c.SXY)})
	}
	for j, sd := range priors {
		b.add(reading{row{[]int{n + j}, []float64{1}}, -f.m[j], 1 / (sd * sd)})
	}
	addBand(b.a, per*math.Exp(l.log), s.penalty)
	return b, nil
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
	per := 1 / (g.scale * g.scale)
	b := &block{a: g.arrow(3)}
	b.rhs = make([]float64, b.a.size())
	for i, p := range g.p {
		h := g.face.Eval(p.X, p.Y)
		var d [3]float64
		for j, c := range f.m.change(p) {
			d[j] = h.Zx*c.X + h.Zy*c.Y - c.Z
		}
		b.add(reading{with(readings[i].row, b.a.n, d), p.Z, per * readings[i].w})
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

// Asymmetry is how far a freely fitted outline lies from its own mirror image
// in the plane: RMS and greatest distance in mm, square to the outline and
// taken in plan. The outline is lifted onto the face f before it is mirrored,
// because a rolled plane moves high points sideways; with f nil it lies at
// z = 0. Plane, outline and face share one frame.
func Asymmetry(o *Outline, f *Face, plane geom.Plane) (rms, max float64) {
	lo, hi := o.Curve.Period()
	const samples = 720
	var sum float64
	for k := range samples {
		p := o.Curve.At(lo + (hi-lo)*(float64(k)+0.5)/samples)
		q := r3.Vec{X: p.X, Y: p.Y}
		if f != nil {
			q.Z = f.Face.At(p.X, p.Y)
		}
		q = plane.Mirror(q)
		_, d := o.Curve.Nearest(r2.Vec{X: q.X, Y: q.Y})
		sum += d * d
		max = math.Max(max, math.Abs(d))
	}
	return math.Sqrt(sum / samples), max
}
