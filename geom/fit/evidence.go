package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// EvidenceKind says what of the readings an Evidence is about.
type EvidenceKind int

// The kinds of evidence.
const (
	EdgePlace  EvidenceKind = iota // place of an edge mark seen from above; Index is that in SymmetricInput.Edge
	HeightRead                     // height of a mark; Index counts Edge, then Face
	WidthTaped                     // Index is that in Widths
	CentreSeen                     // a centre mark; Index is that in Centre
)

// Evidence is what one reading says of the centre plane in a joint fit.
type Evidence struct {
	Kind  EvidenceKind
	Index int
	// Offset and Skew are the shares of the information on the plane's distance
	// at the mean edge mark and on its skew that come from this reading, 0 … 1.
	// Those of all readings add up to one, but for what is assumed of the shape.
	Offset, Skew float64
	// Pull and Turn are by how much the plane would move at the mean edge mark,
	// mm, + toward +x, and turn, rad, if the reading were left out and the shape
	// fitted as stiffly as before.
	Pull, Turn float64
}

// mostLeverages is the number of readings beyond which leaving one of them out
// is taken to change nothing but its own pull.
const mostLeverages = 2000

// Evidence says how much each reading in use contributes to the plane; nil
// where no plane was found. With J the linear model's rows, W their weights and
// A = JᵀWJ + prior, the information on a figure a·x is 1/(aᵀA⁻¹a), and reading
// i's share of it w·(aᵀA⁻¹j)²/(aᵀA⁻¹a); without it the figure moves by
// −aᵀA⁻¹j·w·e/(1 − h), where e is what it misses by and h its leverage. Cost:
// a millisecond for 100 edge marks and 60 heights, linear in the readings.
func (s *Symmetric) Evidence() []Evidence {
	f := s.held
	if f == nil || !s.Determined {
		return nil
	}
	var out []Evidence
	for _, m := range f.models() {
		w := newWitness(m.root, f.offsetAndSkew(), m.plane)
		m.each(func(t *testimony) { out = append(out, w.hear(t, m.count <= mostLeverages)) })
	}
	return out
}

// offsetAndSkew are the linear forms, in shift, skew and roll, of the plane's
// distance at the mean edge mark and of its skew.
func (f *mirrorFit) offsetAndSkew() (forms [2][3]float64) {
	for _, q := range f.q {
		for k, d := range f.m.change(q) {
			forms[0][k] -= d.X / float64(len(f.q))
		}
	}
	forms[1][1] = 1
	return forms
}

// testimony is a reading as the linear model about the finished fit has it:
// row·unknowns = left, with weight w. row is used again for the next one.
type testimony struct {
	kind  EvidenceKind
	index int
	row   []float64
	left  float64
	w     float64
	at    r3.Vec // where it was read, in the corrected frame
	out   r2.Vec // of an edge mark: outward normal
}

// linearModel is one of the two linear models of a joint fit, edge and face,
// each with what the other says of the plane.
type linearModel struct {
	root  *arrow
	plane int // place of the plane's three among the unknowns
	count int // readings, about
	each  func(func(*testimony))
}

// models are those of the fit that found the plane: the edge's, then the
// face's where there is one.
func (f *mirrorFit) models() []linearModel {
	edge := linearModel{count: len(f.q)}
	if f.arcs != nil {
		if f.arcs.shake() != nil {
			return nil
		}
		f.arcExtras()
		edge.root, edge.each = f.arcs.factor, f.eachOfArcs
	} else {
		edge.root, edge.plane, edge.each = f.loop.root, f.loop.root.first(), f.eachOfLoop
	}
	out := []linearModel{edge}
	if f.sheet != nil && f.sheet.root.first() < f.sheet.root.size() {
		out = append(out, linearModel{f.sheet.root, f.sheet.root.first(), len(f.sheet.p), f.eachHeight})
	}
	return out
}

// eachOfArcs visits the edge marks, widths and centre marks of a chain's fit.
func (f *mirrorFit) eachOfArcs(visit func(*testimony)) {
	a := f.arcs
	per := 1 / (a.hyper.scale * a.hyper.scale)
	t := &testimony{row: make([]float64, a.factor.n)}
	for i := range a.p {
		if a.off[i] || a.pull[i] == 0 {
			continue
		}
		clear(t.row)
		a.row(t.row, i)
		t.kind, t.index, t.left, t.w = EdgePlace, i, a.miss[i], per*a.w[i]*a.pull[i]
		t.at, t.out = f.q[i], a.feet[i].out
		visit(t)
	}
	for _, e := range a.extra {
		t.kind, t.index, t.left, t.w = e.kind, e.index, e.rhs, e.w
		if e.gain != 0 {
			t.left -= e.gain * a.stray(e.foot.pos)
		}
		a.extraRow(t.row, e)
		visit(t)
	}
}

// eachOfLoop visits those of a spline's fit.
func (f *mirrorFit) eachOfLoop(visit func(*testimony)) {
	l := f.loop
	per := share(reweighted * l.scale)
	t := &testimony{row: make([]float64, l.root.size())}
	fill := func(r row, plane [3]float64) {
		clear(t.row)
		for p, i := range r.idx {
			t.row[i] += r.val[p]
		}
		copy(t.row[l.root.first():], plane[:])
	}
	for i := range l.p {
		if l.off[i] || l.w[i] == 0 {
			continue
		}
		out := l.curve.Normal(l.foot[i])
		var d [3]float64
		for k, c := range f.m.change(f.q[i]) {
			d[k] = -(out.X*c.X + out.Y*c.Y)
		}
		fill(l.at(l.foot[i], out), d)
		t.kind, t.index, t.left, t.w, t.at, t.out = EdgePlace, i, l.miss[i], per*l.w[i], f.q[i], out
		visit(t)
	}
	for i, w := range f.in.Widths {
		if l.off[w.Mark] || l.w[w.Mark] == 0 {
			continue
		}
		u := l.foot[w.Mark]
		side := math.Copysign(2, l.p[w.Mark].X)
		lean := w.Along * l.curve.Tangent(u).X
		fill(l.at(u, r2.Vec{X: side}), [3]float64{})
		t.kind, t.index, t.left, t.w = WidthTaped, i, w.Length-side*l.curve.At(u).X, 1/(w.SD*w.SD+lean*lean)
		visit(t)
	}
	for i, c := range f.in.Centre {
		q := f.centreMark(c)
		var d [3]float64
		for k, c := range f.m.change(q) {
			d[k] = c.X
		}
		fill(row{}, d)
		t.kind, t.index, t.left, t.w = CentreSeen, i, -q.X, 1/(c.SXY*c.SXY)
		visit(t)
	}
}

// eachHeight visits the heights.
func (f *mirrorFit) eachHeight(visit func(*testimony)) {
	g := f.sheet
	per := share(g.scale)
	t := &testimony{kind: HeightRead, row: make([]float64, g.root.size())}
	for i, p := range g.p {
		if g.off[i] || f.pull[i] == 0 {
			continue
		}
		clear(t.row)
		r := g.at(p.X, p.Y)
		for k, j := range r.idx {
			t.row[j] += r.val[k]
		}
		h := g.face.Eval(p.X, p.Y)
		for j, c := range f.m.change(p) {
			t.row[g.root.first()+j] = h.Zx*c.X + h.Zy*c.Y - c.Z
		}
		t.index, t.left, t.w, t.at = f.height[i], p.Z-h.Z, per*f.pull[i]/g.variance[i], p
		visit(t)
	}
}

// witness holds readings of a linear model against two figures of the plane.
type witness struct {
	root *arrow
	to   [2][]float64 // A⁻¹·a
	v    [2]float64   // aᵀ·A⁻¹·a
	room []float64
}

func newWitness(root *arrow, forms [2][3]float64, plane int) *witness {
	w := &witness{root: root, room: make([]float64, root.size())}
	for k, a := range forms {
		w.to[k] = make([]float64, root.size())
		copy(w.to[k][plane:], a[:])
		root.solve(w.to[k])
		w.v[k] = dot(a[:], w.to[k][plane:])
	}
	return w
}

// hear is what a reading says of the two; without lever its own leverage is
// passed over.
func (w *witness) hear(t *testimony, lever bool) Evidence {
	h := 0.0
	if lever {
		copy(w.room, t.row)
		w.root.whiten(w.room)
		h = min(t.w*dot(w.room, w.room), 1-1e-9)
	}
	var share, move [2]float64
	for k := range share {
		c := dot(w.to[k], t.row)
		share[k] = t.w * c * c / w.v[k]
		move[k] = -t.w * c * t.left / (1 - h)
	}
	return Evidence{t.kind, t.index, share[0], share[1], move[0], move[1]}
}
