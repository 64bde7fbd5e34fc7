package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
)

// Circle is the circle, or the straight line, fitted to points in a plane. The
// way along it is the one that the points run in their order.
type Circle struct {
	Curvature float64 // 1/mm, positive where the way turns left; 0 where the points lie straight
	Radius    float64 // mm, 1/|Curvature|: +Inf for a straight line
	Centre    r2.Vec  // mm; for a straight line, At

	At     r2.Vec // mm, a point of the circle amid the points
	Normal r2.Vec // unit normal there, to the right of the way

	CurvatureU float64   // standard uncertainty of Curvature, 1/mm
	RadiusU    float64   // standard uncertainty of Radius, mm: +Inf for a straight line
	S          float64   // residual standard deviation: mm where no sd was given, else in units of sd
	Miss       []float64 // mm, distance of every point from the circle, positive to the right of the way
}

// FitCircle fits a circle to three points or more, four where sd is nil, by
// least squares of their distances from it, each weighted with 1/sd². With sd
// nil all points count alike and the uncertainties come from their scatter, S;
// otherwise they come from sd, and S near 1 says that scatter and sd agree.
//
// The unknowns are a point of the circle, the direction there and the
// curvature, so that a shallow arc is fitted as well as a full circle, and a
// straight line is one of curvature nought: V. Karimäki, Nuclear Instruments
// and Methods A 305 (1991) 187. The start is Taubin's fit, which shallow arcs
// do not pull towards small radii as the plain linear fit does: G. Taubin,
// IEEE PAMI 13 (1991) 1115.
//
// Points that are no places, that lie in fewer than three places, or that no
// circle suits are a *MarkError. Accuracy: about 1e-10 of the points' extent.
// Cost: linear, about 0.4 µs a point.
func FitCircle(p []r2.Vec, sd []float64) (Circle, error) {
	f, err := newCircleFit(p, sd)
	if err != nil {
		return Circle{}, err
	}
	if err := f.run(f.taubin()); err != nil {
		return Circle{}, err
	}
	return f.circle()
}

// circleFit is a fit to points about their mean, scaled to unit extent.
type circleFit struct {
	mean  r2.Vec
	scale float64 // mm
	q     []r2.Vec
	w     []float64 // weights, the greatest 1
	sd    float64   // of a point of weight 1, mm; 0 where it is to be found
	arc   circleArc
}

// What the fits say of points that will not do.
const (
	noPlaces = "a circle needs points in at least three places"
	noCircle = "the points lie near no circle"
)

func newCircleFit(p []r2.Vec, sd []float64) (*circleFit, error) {
	if sd != nil && len(sd) != len(p) {
		return nil, fmt.Errorf("fit: circle: %d points and %d sd do not match", len(p), len(sd))
	}
	var place, spread []int
	least := math.Inf(1)
	for i, v := range p {
		if !onBoard(v.X) || !onBoard(v.Y) {
			place = append(place, i)
		}
		if sd == nil {
			continue
		}
		if !(sd[i] > 0) || !finite(sd[i]) {
			spread = append(spread, i)
		}
		least = math.Min(least, sd[i])
	}
	switch {
	case place != nil:
		return nil, &MarkError{place, "the point is not a place on the board"}
	case spread != nil:
		return nil, &MarkError{spread, "the standard deviation must be above zero"}
	case len(p) < 3:
		return nil, &MarkError{Reason: noPlaces}
	case sd == nil && len(p) < 4:
		return nil, &MarkError{Reason: "a circle needs four points to show how they scatter"}
	}
	f := &circleFit{q: make([]r2.Vec, len(p)), w: make([]float64, len(p))}
	var sum float64
	for i, v := range p {
		f.w[i] = 1
		if sd != nil {
			f.w[i], f.sd = (least/sd[i])*(least/sd[i]), least
		}
		sum += f.w[i]
		f.mean = r2.Add(f.mean, r2.Scale(f.w[i], v))
	}
	f.mean = r2.Scale(1/sum, f.mean)
	for i, v := range p {
		f.q[i] = r2.Sub(v, f.mean)
		f.scale += f.w[i] * r2.Norm2(f.q[i]) / sum
	}
	f.scale = math.Sqrt(f.scale)
	if !(f.scale > 1e-12*(1+r2.Norm(f.mean))) {
		return nil, &MarkError{Reason: noPlaces}
	}
	for i := range f.q {
		f.q[i] = r2.Scale(1/f.scale, f.q[i])
	}
	return f, nil
}

// circleArc is a circle of curvature k through a point, n being its normal there; for
// k > 0 the centre lies against n.
type circleArc struct {
	at, n r2.Vec
	k     float64
}

// foot is the distance of p from the circle, positive towards n, the direction
// of the normal through p, and how much farther from the centre p lies than
// the circle, as a ratio: 1 on the circle, 0 at its centre. The formula holds
// for k = 0 and loses no digits near it.
func (a circleArc) foot(p r2.Vec) (d float64, n r2.Vec, ratio float64) {
	w := r2.Sub(p, a.at)
	g := r2.Add(a.n, r2.Scale(a.k, w))
	ratio = r2.Norm(g)
	d = (2*r2.Dot(a.n, w) + a.k*r2.Norm2(w)) / (1 + ratio)
	if ratio == 0 {
		return d, a.n, 0
	}
	return d, r2.Scale(1/ratio, g), ratio
}

// moved is the same circle with its point at the foot of p.
func (a circleArc) moved(p r2.Vec) circleArc {
	d, n, _ := a.foot(p)
	return circleArc{r2.Sub(p, r2.Scale(d, n)), n, a.k}
}

// leftOf is the normal turned left: the direction along the circle.
func leftOf(n r2.Vec) r2.Vec { return r2.Vec{X: -n.Y, Y: n.X} }

// taubin returns Taubin's circle: A·|q|² + B·q + D = 0 about the mean, by the
// singular vector of least value, which makes B² - 4·A·D one.
func (f *circleFit) taubin() circleArc {
	var sum, size float64
	for i, q := range f.q {
		sum += f.w[i]
		size += f.w[i] * r2.Norm2(q)
	}
	size /= sum
	rows := mat.NewDense(len(f.q), 3, nil)
	for i, q := range f.q {
		w := math.Sqrt(f.w[i])
		rows.SetRow(i, []float64{w * (r2.Norm2(q) - size) / (2 * math.Sqrt(size)), w * q.X, w * q.Y})
	}
	var svd mat.SVD
	var v mat.Dense
	svd.Factorize(rows, mat.SVDThinV)
	svd.VTo(&v)
	a := v.At(0, 2) / (2 * math.Sqrt(size))
	b := r2.Vec{X: v.At(1, 2), Y: v.At(2, 2)}
	// to a point of it: below the point that lies farthest from the centre
	var best r2.Vec
	far := -1.0
	for _, q := range f.q {
		if g := r2.Norm(r2.Add(r2.Scale(2*a, q), b)); g > far {
			best, far = q, g
		}
	}
	n := r2.Scale(1/far, r2.Add(r2.Scale(2*a, best), b))
	d := 2 * (a*r2.Norm2(best) + r2.Dot(b, best) - size*a) / (1 + far)
	return circleArc{r2.Sub(best, r2.Scale(d, n)), n, 2 * a}
}

// sum is the weighted sum of squares of the distances from an arc.
func (f *circleFit) sum(a circleArc) (s float64) {
	for i, q := range f.q {
		d, _, _ := a.foot(q)
		s += f.w[i] * d * d
	}
	return s
}

// amid is the arc with its point at the foot of the point nearest the mean, if
// that is not itself nearer the centre than the circle.
func (f *circleFit) amid(a circleArc) circleArc {
	best, least := f.q[0], math.Inf(1)
	for _, q := range f.q {
		if _, _, ratio := a.foot(q); ratio > 0.5 && r2.Norm2(q) < least {
			best, least = q, r2.Norm2(q)
		}
	}
	return a.moved(best)
}

// normal is the normal equations of the distances in the turn about the arc's
// point, its shift along the normal, and the curvature: a full 3×3 matrix and
// the right side.
func (f *circleFit) normal(a circleArc) (m [9]float64, b [3]float64) {
	t := leftOf(a.n)
	for i, q := range f.q {
		d, n, ratio := a.foot(q)
		w := r2.Sub(q, a.at)
		j := [3]float64{0, -r2.Dot(n, a.n), 0}
		if ratio > 0 {
			j[0], j[2] = r2.Dot(t, w)/ratio, (r2.Norm2(w)-d*d)/(2*ratio)
		}
		for r := range 3 {
			for c := range 3 {
				m[3*r+c] += f.w[i] * j[r] * j[c]
			}
			b[r] -= f.w[i] * j[r] * d
		}
	}
	return m, b
}

// run improves an arc by Gauss and Newton's steps, damped where they fail, until
// they no longer move it.
func (f *circleFit) run(a circleArc) error {
	const (
		rounds  = 300
		settled = 1e-13 // of the extent
		enough  = 1e-7  // where rounding stops the last steps
		noise   = 1e-14 // of the sum of squares
	)
	a = f.amid(a)
	sum, damp, step := f.sum(a), 0.0, math.Inf(1)
	for range rounds {
		m, b := f.normal(a)
		for i := range 3 {
			m[4*i] *= 1 + damp
		}
		if err := cholesky(m[:], 3); err != nil {
			return &MarkError{Reason: noPlaces}
		}
		denseSolve(m[:], 3, b[:])
		step = math.Abs(b[0]) + math.Abs(b[1]) + math.Abs(b[2])
		s, c := math.Sincos(b[0])
		next := circleArc{
			at: r2.Add(a.at, r2.Scale(b[1], a.n)),
			n:  r2.Unit(r2.Add(r2.Scale(c, a.n), r2.Scale(s, leftOf(a.n)))),
			k:  a.k + b[2],
		}
		after := f.sum(next)
		if !(after <= sum*(1+noise)) {
			if step < enough {
				break
			}
			damp = math.Max(10*damp, 1e-3)
			continue
		}
		a, sum, damp = f.amid(next), after, damp/10
		if damp < 1e-6 {
			damp = 0
		}
		if step < settled {
			break
		}
	}
	if !(step < enough) {
		return &MarkError{Reason: noCircle}
	}
	f.arc = a
	return nil
}

// circle reports a finished fit, the way of the points seen to and the scale
// undone.
func (f *circleFit) circle() (Circle, error) {
	n := len(f.q)
	m, _ := f.normal(f.arc)
	if err := cholesky(m[:], 3); err != nil {
		return Circle{}, &MarkError{Reason: noPlaces}
	}
	a, way := f.arc, f.way()
	c := Circle{
		At: r2.Add(f.mean, r2.Scale(f.scale, a.at)), Normal: r2.Scale(way, a.n), Curvature: way * a.k / f.scale,
		Miss: make([]float64, n),
	}
	for i, q := range f.q {
		d, _, _ := a.foot(q)
		c.Miss[i] = way * d * f.scale
	}
	if n > 3 {
		c.S = f.scale * math.Sqrt(f.sum(a)/float64(n-3))
	}
	unit := c.S
	if f.sd > 0 {
		unit, c.S = f.sd, c.S/f.sd
	}
	c.CurvatureU = unit * math.Sqrt(denseInverse(m[:], 3)[8]) / (f.scale * f.scale)
	c.Radius = 1 / math.Abs(c.Curvature)
	c.Centre, c.RadiusU = c.At, math.Inf(1)
	if finite(c.Radius) {
		c.Centre = r2.Sub(c.At, r2.Scale(1/c.Curvature, c.Normal))
		c.RadiusU = c.CurvatureU / (c.Curvature * c.Curvature)
	}
	if !finite(c.Curvature) || !finite(c.CurvatureU) || !finite(c.S) || math.IsNaN(c.RadiusU) {
		return Circle{}, &MarkError{Reason: noCircle}
	}
	return c, nil
}

// way is 1 where the points run along the arc with its normal on their right,
// else -1.
func (f *circleFit) way() float64 {
	var run float64
	for i, q := range f.q[1:] {
		_, n, _ := f.arc.foot(f.q[i])
		run += r2.Dot(leftOf(n), r2.Sub(q, f.q[i]))
	}
	if run < 0 {
		return -1
	}
	return 1
}
