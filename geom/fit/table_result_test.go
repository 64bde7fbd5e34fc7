package fit_test

import (
	"context"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
	"panewright/geom/fit"
)

const (
	everyEdge = 8    // points of the true edge, 2.4 mm
	within    = 1.96 // sd on either side that hold 95 of 100
)

// share counts how often something holds.
type share struct{ yes, of int }

func (s *share) count(yes bool) {
	s.of++
	if yes {
		s.yes++
	}
}

func (s *share) add(o share) { s.yes, s.of = s.yes+o.yes, s.of+o.of }

// percent is not a number where nothing was counted.
func (s share) percent() float64 { return 100 * float64(s.yes) / float64(s.of) }

func rms(v []float64) float64 {
	var sum float64
	for _, x := range v {
		sum += x * x
	}
	return math.Sqrt(sum / float64(len(v)))
}

func greatest(v []float64) float64 {
	var g float64
	for _, x := range v {
		g = math.Max(g, math.Abs(x))
	}
	return g
}

// quantile is that of the sizes; not a number of none.
func quantile(v []float64, q float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	t := make([]float64, len(v))
	for i, x := range v {
		t[i] = math.Abs(x)
	}
	slices.Sort(t)
	return t[min(len(t)-1, int(q*float64(len(t))))]
}

// misses takes the distances of true edge points from the fitted outline, and
// how many lie within the stated 95 %.
func misses(o *fit.Outline, edge []r2.Vec) (d []float64, held share) {
	for _, q := range edge {
		u, e := o.Curve.Nearest(q)
		d = append(d, e)
		held.count(math.Abs(e) <= within*o.SD(u))
	}
	return d, held
}

// rises takes the heights of the fitted face above true points of it.
func rises(f *fit.Face, face []r3.Vec) (d []float64, held share) {
	for _, q := range face {
		e := f.Face.At(q.X, q.Y) - q.Z
		d = append(d, e)
		held.count(math.Abs(e) <= within*f.SD(q.X, q.Y))
	}
	return d, held
}

// boxOf is the box of the marks and 50 mm.
func boxOf(marks []fit.Mark) r2.Box {
	b := r2.Box{Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	for _, m := range marks {
		b.Min = r2.Vec{X: math.Min(b.Min.X, m.P.X-50), Y: math.Min(b.Min.Y, m.P.Y-50)}
		b.Max = r2.Vec{X: math.Max(b.Max.X, m.P.X+50), Y: math.Max(b.Max.Y, m.P.Y+50)}
	}
	return b
}

// shape is how near a fitted outline, or face, comes to the truth.
type shape struct {
	rms, most float64
	held      share // within the stated 95 %
}

func shapeOf(d []float64, held share) shape { return shape{rms(d), greatest(d), held} }

// result is what one pane gave. Of a fit that failed only err is set, of a
// refusal only refused.
type result struct {
	err     error
	refused bool
	outline shape
	face    *shape // nil where there is none
	alarms  share  // edge marks that were set aside, though none is a slip
	snug    bool

	// of a symmetric fit: found minus true, the stated sd and the bound of
	// offset (mm, at the mean edge mark), skew and roll (rad)
	plane, sd, bound [3]float64
	bounded          bool
	open             [3]float64 // the bound with the shape open too; of a half only
	derived          []float64  // found minus true, as derived has them
	derivedSD        []float64  // stated
}

func (r *result) fill(o *fit.Outline, f *fit.Face, p *specimen, whole geom.Frame) {
	r.outline = shapeOf(misses(o, p.edgeIn(whole, everyEdge)))
	least, most := place(o.Curve, p.edgeIn(whole, everyEdge))
	r.snug = least >= 0 && most <= slack
	if f != nil {
		s := shapeOf(rises(f, p.faceIn(whole)))
		r.face = &s
	}
}

// free fits outline and face of pane i without a mirror.
func (f family) free(i, m int) (r result) {
	p := f.specimen(i, false)
	in := p.allRound(source(f.name+" free "+strconv.Itoa(m), i), m)
	o, err := fit.FitOutline(context.Background(), marksOf(in.edge), fit.OutlineOptions{})
	if err != nil {
		return result{err: err}
	}
	marks := marksOf(in.edge, in.face)
	face, err := fit.FitFace(context.Background(), marks, boxOf(marks), fit.FaceOptions{})
	if err != nil {
		return result{err: err}
	}
	for _, s := range o.Suspect {
		r.alarms.count(s)
	}
	r.fill(o, face, p, p.board)
	return r
}

// symmetric fits pane i with its centre plane. The outline found is held
// against the true edge about the true plane.
func (f family) symmetric(i int, set readingSet) (r result) {
	p := f.specimen(i, true)
	in := set.read(p, source(f.name+set.name, i))
	frame, err := in.guess()
	if err != nil {
		return result{err: err}
	}
	input := in.input(frame)
	input.Lopsided = true // allowed, as where nothing is known of the pane
	s, err := fit.FitSymmetric(context.Background(), input)
	if err != nil {
		return result{err: err}
	}
	if !s.Determined {
		return result{refused: true}
	}
	truth := p.plane(frame)
	about := frame.Then(onPlane(truth))
	whole := p.board.Then(about)
	r.fill(s.Outline, s.Face, p, whole)
	var mean r3.Vec
	for _, k := range in.edge {
		mean = r3.Add(mean, r3.Scale(1/float64(len(in.edge)), frame.Apply(k.P)))
	}
	found := s.Plane()
	r.plane = [3]float64{found.Dist(mean) - truth.Dist(mean), s.Skew - truth.Skew(), s.Roll - truth.Roll()}
	r.sd = [3]float64{offsetSD(s, mean), math.Sqrt(s.Cov[1][1]), math.Sqrt(s.Cov[2][2])}
	var v [3]float64
	v, r.bounded = p.leastVariance(in, frame, mean)
	for k := range v {
		r.bound[k] = math.Sqrt(v[k])
	}
	if !in.whole {
		if v, ok := p.openVariance(in, frame, mean); ok {
			for k := range v {
				r.open[k] = math.Sqrt(v[k])
			}
		}
	}
	for _, d := range derived {
		r.derived = append(r.derived, d.found(s)-d.truth(p, whole))
		r.derivedSD = append(r.derivedSD, d.sd(s))
	}
	return r
}

// onPlane is the motion to the frame in which the plane is x = 0: a shift along
// x, a turn about z and one about y, as fit.Symmetric's Motion.
func onPlane(p geom.Plane) geom.Frame {
	shift := geom.Identity()
	shift.T.X = -p.XAt(0, 0)
	return shift.Then(turn(2, -p.Skew())).Then(turn(1, p.Roll()))
}

// offsetSD is the stated sd of the plane's distance from the point at.
func offsetSD(s *fit.Symmetric, at r3.Vec) float64 {
	dist := func(d [3]float64) float64 {
		return geom.NewPlane(r3.Vec{X: s.Shift + d[0]}, s.Skew+d[1], s.Roll+d[2]).Dist(at)
	}
	var g [3]float64
	for i := range g {
		const h = 1e-5
		var d [3]float64
		d[i] = h
		g[i] = (dist(d) - dist([3]float64{})) / h
	}
	var v float64
	for i, a := range g {
		for j, b := range g {
			v += a * b * s.Cov[i][j]
		}
	}
	return math.Sqrt(v)
}

// derived are the figures a person checks with a tape, and their truth in the
// frame about the centre plane, and what the fit says of their uncertainty.
var derived = []struct {
	name  string
	found func(s *fit.Symmetric) float64
	truth func(p *specimen, whole geom.Frame) float64
	sd    func(s *fit.Symmetric) float64
}{
	{"greatest width", func(s *fit.Symmetric) float64 {
		b := s.Outline.Curve.Bounds()
		return b.Max.X - b.Min.X
	}, func(p *specimen, whole geom.Frame) float64 {
		lo, hi := widest(p.edgeIn(whole, 1))
		return hi.X - lo.X
	}, func(s *fit.Symmetric) float64 {
		lo, hi := widest(curvePoints(s.Outline.Curve))
		left, _ := s.Outline.Curve.Nearest(lo)
		right, _ := s.Outline.Curve.Nearest(hi)
		return s.Outline.Spread([]float64{left, right}, []float64{1, 1})
	}},
	{"cross sag amid", func(s *fit.Symmetric) float64 {
		x := halfWidth(curvePoints(s.Outline.Curve))
		return s.Face.Face.At(0, 0) - s.Face.Face.At(x, 0)
	}, func(p *specimen, whole geom.Frame) float64 {
		x := halfWidth(p.edgeIn(whole, 1))
		return p.over(whole, 0, 0) - p.over(whole, x, 0)
	}, func(s *fit.Symmetric) float64 {
		x := halfWidth(curvePoints(s.Outline.Curve))
		end := r2.Vec{X: x}
		u, _ := s.Outline.Curve.Nearest(end)
		return math.Hypot(s.Face.Spread([]r2.Vec{{}, end}, []float64{1, -1}), s.Face.Face.Eval(x, 0).Zx*s.Outline.SD(u))
	}},
}

func curvePoints(c *geom.Curve) (out []r2.Vec) {
	for _, u := range c.Flatten(0.001) {
		out = append(out, c.At(u))
	}
	return out
}

// widest are the points farthest left and right.
func widest(edge []r2.Vec) (lo, hi r2.Vec) {
	lo, hi = edge[0], edge[0]
	for _, q := range edge {
		if q.X < lo.X {
			lo = q
		}
		if q.X > hi.X {
			hi = q
		}
	}
	return lo, hi
}

// halfWidth is x where the edge crosses y = 0 on the right.
func halfWidth(edge []r2.Vec) float64 {
	for i, b := range edge {
		a := edge[(i+len(edge)-1)%len(edge)]
		if a.X > 0 && a.Y < 0 && b.Y >= 0 {
			return a.X + (b.X-a.X)*a.Y/(a.Y-b.Y)
		}
	}
	return math.NaN()
}
