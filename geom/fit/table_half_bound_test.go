package fit_test

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// What the open bound knows of the shape: that it is mirrored, that the edge goes
// straight from one knot to the next, knots so far apart, off a known edge, and
// that the face is a known one and an even polynomial more.
const (
	edgeKnots  = 100.0 // mm
	faceDegree = 6
	nearly     = 50.0 // mm, how well known the shape is beforehand: hardly
)

// openVariance is the Cramér-Rao bound of offset, skew and roll of the centre
// plane as leastVariance has it, but with the shape open too, as far as it is
// even: of a half read alone a known shape would tell the plane, and nobody knows
// it. A fit that believes the edge to be smooth may do better than an edge of
// straight pieces allows. Edge marks, heights, taped widths and centre marks
// count.
func (p *specimen) openVariance(in readings, f geom.Frame, at r3.Vec) (v [3]float64, ok bool) {
	b := p.newOpenBound(f, at)
	up := r3.Vec{Z: 1}
	for _, k := range in.edge {
		t := f.Rotate(k.dir)
		a := r3.Unit(r3.Sub(up, r3.Scale(t.Z, t)))
		for _, d := range []r3.Vec{a, r3.Cross(t, a)} {
			b.add(b.point(k.own, d, k.arc, true), sigma)
		}
	}
	for _, k := range in.face {
		b.add(b.point(k.own, f.Rotate(k.dir), 0, false), sigma)
	}
	for _, w := range in.widths {
		k := in.edge[w.Mark]
		out := p.outward(k.arc)
		row := make([]float64, b.n)
		b.knots(row, k.arc, 2*math.Abs(out.X))
		b.add(row, math.Hypot(w.SD, w.Along*out.Y))
	}
	n := p.plane(f).Normal
	for _, c := range in.centre {
		own := p.board.Inverse().Apply(c.P)
		row := make([]float64, b.n)
		b.pose(row, p.board.Then(f).Apply(own), n)
		b.add(row, c.SXY)
	}
	return b.variance()
}

// outward is the normal of the outline at an arc position, own frame.
func (p *specimen) outward(s float64) r2.Vec {
	t := r2.Unit(r2.Sub(p.place(s+1), p.place(s-1)))
	return r2.Vec{X: t.Y, Y: -t.X}
}

// openBound gathers information on the pose, the edge's knots and the face.
type openBound struct {
	p           *specimen
	whole       geom.Frame // own frame to that of the fit
	at          r3.Vec
	axes        [3]r3.Vec
	normal      r3.Vec
	edge, n     int // unknowns of the edge; all
	information *mat.SymDense
}

func (p *specimen) newOpenBound(f geom.Frame, at r3.Vec) *openBound {
	n := p.plane(f).Normal
	up := r3.Vec{Z: 1}
	b := &openBound{p: p, whole: p.board.Then(f), at: at, normal: n, axes: [3]r3.Vec{up, r3.Unit(r3.Cross(n, up)), n}}
	b.edge = int(math.Ceil(p.girth()/2/edgeKnots)) + 1
	b.n = 6 + b.edge
	for a := 0; 2*a <= faceDegree; a++ {
		b.n += faceDegree - 2*a + 1
	}
	b.information = mat.NewSymDense(b.n, nil)
	for i := 6; i < b.n; i++ {
		b.information.SetSym(i, i, 1/(nearly*nearly))
	}
	return b
}

// point is how a reading's distance along d changes with the unknowns.
func (b *openBound) point(own r2.Vec, d r3.Vec, arc float64, edge bool) []float64 {
	row := make([]float64, b.n)
	b.pose(row, b.whole.Apply(b.p.lift(own)), d)
	lift := r3.Dot(b.whole.Rotate(r3.Vec{Z: 1}), d)
	if edge {
		out := b.p.outward(arc)
		zx, zy := b.p.face.slope(own.X, own.Y)
		along := b.whole.Rotate(r3.Vec{X: out.X, Y: out.Y, Z: zx*out.X + zy*out.Y})
		b.knots(row, arc, r3.Dot(along, d))
	}
	u, v := own.X/b.p.face.w, own.Y/b.p.face.h
	k := 6 + b.edge
	for i := 0; 2*i <= faceDegree; i++ {
		for j := 0; j <= faceDegree-2*i; j++ {
			row[k] = lift * math.Pow(u, 2*float64(i)) * math.Pow(v, float64(j))
			k++
		}
	}
	return row
}

// pose fills in how a point moves along d with offset, skew and roll and with the
// three motions that leave the plane alone.
func (b *openBound) pose(row []float64, q, d r3.Vec) {
	arm := r3.Sub(q, b.at)
	for j, m := range []r3.Vec{b.normal, r3.Cross(b.axes[0], arm), r3.Cross(b.axes[1], arm), b.axes[1], b.axes[0], r3.Cross(b.axes[2], arm)} {
		row[j] = r3.Dot(d, m)
	}
}

// knots adds the share of the edge's knots at an arc position, alike on both
// halves.
func (b *openBound) knots(row []float64, arc, gain float64) {
	s := math.Abs(math.Remainder(arc-b.p.line(), b.p.girth())) / (b.p.girth() / 2) * float64(b.edge-1)
	i := min(int(s), b.edge-2)
	row[6+i] += gain * (1 - (s - float64(i)))
	row[6+i+1] += gain * (s - float64(i))
}

func (b *openBound) add(row []float64, sd float64) {
	b.information.SymRankOne(b.information, 1/(sd*sd), mat.NewVecDense(b.n, row))
}

// variance is that of offset, skew and roll.
func (b *openBound) variance() (v [3]float64, ok bool) {
	var chol mat.Cholesky
	var inverse mat.SymDense
	if !chol.Factorize(b.information) || chol.InverseTo(&inverse) != nil {
		return v, false
	}
	for i := range v {
		v[i] = inverse.At(i, i)
	}
	return v, true
}
