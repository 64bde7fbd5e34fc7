package fit

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
)

// loopFit fits a closed spline to marks in the plane by their distances square
// to it.
//
// The penalty is on changes of curvature: Σ over spans of w·(n·C‴)²·length,
// where w = e/√((n·C‴)² + e²), e the median of |n·C‴| over the curve at hand,
// and n its normal. So reweighted it is near to the sum of absolute changes,
// which likes curves made of arcs that meet in few places, as the edges of
// panes are, and still allows others. A tenth of it acts along the tangent and
// keeps the parameter even.
type loopFit struct {
	*chart
	p []r2.Vec
	w []float64 // 1/variance of a mark
	// off marks are set aside: they do not pull.
	off []bool
	told

	curve *geom.Curve
	foot  []float64 // parameter of each mark's foot
	miss  []float64 // signed distance of each mark, + outside

	log   float64   // log lambda, against the traces
	x     []float64 // unknowns
	inv   *arrow    // inverse of the normal matrix
	root  *arrow    // the normal matrix, factored
	unit  float64   // what root's variances are multiples of: mm, as an sd
	scale float64   // sd of the misses over the sd of the marks
	dof   float64   // effective number of parameters

	change func(r2.Vec) [3]r2.Vec // how a place moves, in plan, with the plane's unknowns in root's border; nil: there are none

	last *system // the last problem solved
	crit float64 // and its criterion
}

const (
	rounds      = 9    // of feet and fit; the change dies out as about 1/3 a round
	settled     = 2e-3 // mm: change of a miss that ends the rounds
	roughly     = 0.05 // mm: the same where the model of sides and corners takes over
	weak        = 0.05 // weight of a mark's distance along the edge
	evenness    = 0.1  // share of the penalty along the tangent
	mostDofs    = 0.9  // effective parameters a mark
	wideStep    = 2.0  // of log lambda in the first search
	narrowStep  = 0.7  // in later ones
	firstLambda = -6.0 // log lambda where the first search starts
)

// newLoopFit makes a fit to the marks p with weights w. foot holds the
// parameters to start from; marks that are off are not used.
func newLoopFit(c *chart, p []r2.Vec, w, foot []float64, off []bool, t told) *loopFit {
	return &loopFit{chart: c, p: p, w: w, off: off, told: t, foot: foot, miss: make([]float64, len(p))}
}

// run makes the first curve, unless there is one, and then takes up to most
// rounds, until no miss changes by more than within mm.
func (f *loopFit) run(ctx context.Context, most int, within float64) error {
	if f.curve == nil {
		if err := f.start(); err != nil {
			return err
		}
	}
	for range most {
		if err := ctx.Err(); err != nil {
			return err
		}
		before := slices.Clone(f.miss)
		if err := f.solve(); err != nil {
			return err
		}
		f.feet()
		var change float64
		for i, d := range f.miss {
			if !f.off[i] {
				change = max(change, math.Abs(d-before[i]))
			}
		}
		if change < within {
			break
		}
	}
	return nil
}

// start fits the curve at the parameters that the marks came with, distances
// taken in x and y alike.
func (f *loopFit) start() error {
	var all []reading
	for i, p := range f.p {
		if !f.off[i] {
			all = append(all,
				reading{f.at(f.foot[i], r2.Vec{X: 1}), p.X, f.w[i]},
				reading{f.at(f.foot[i], r2.Vec{Y: 1}), p.Y, f.w[i]})
		}
	}
	size, free := f.unknowns()
	s := newSystem(all, f.bending(), len(all), size-free)
	x, _, crit := s.at(s.choose(firstLambda, wideStep))
	if math.IsInf(crit, 1) {
		return errSingular
	}
	var err error
	if f.curve, err = f.chart.curve(x); err != nil {
		return err
	}
	f.log = math.NaN()
	f.feet()
	return nil
}

// feet finds every mark's foot on the curve.
func (f *loopFit) feet() {
	for i, p := range f.p {
		f.foot[i], f.miss[i] = f.curve.Nearest(p)
	}
}

// readings are two a mark in use: its distance square to the curve at its foot
// and, weakly, along it.
func (f *loopFit) readings() []reading {
	all := make([]reading, 0, 2*len(f.p))
	for i, p := range f.p {
		if f.off[i] {
			continue
		}
		t := f.curve.Tangent(f.foot[i])
		n := r2.Vec{X: t.Y, Y: -t.X}
		all = append(all,
			reading{f.at(f.foot[i], n), r2.Dot(n, p), f.w[i]},
			reading{f.at(f.foot[i], t), r2.Dot(t, p), f.w[i] * weak * weak})
	}
	return all
}

// bending is the penalty about the curve at hand; without one all spans count
// alike and both directions too.
func (f *loopFit) bending() *arrow {
	p := f.arrow(0)
	if f.curve == nil {
		for _, s := range f.spans {
			p.addRow(f.row(s.idx, s.third, r2.Vec{X: 1}), s.len)
			p.addRow(f.row(s.idx, s.third, r2.Vec{Y: 1}), s.len)
		}
		return p
	}
	change := make([]float64, len(f.spans))
	for i, s := range f.spans {
		_, _, _, d3 := f.curve.Derivs(s.mid)
		change[i] = math.Abs(r2.Dot(f.curve.Normal(s.mid), d3))
	}
	e := median(change)
	for i, s := range f.spans {
		w := s.len
		if e > 0 {
			w *= e / math.Hypot(change[i], e)
		}
		n := f.curve.Normal(s.mid)
		p.addRow(f.row(s.idx, s.third, n), w)
		p.addRow(f.row(s.idx, s.third, r2.Vec{X: -n.Y, Y: n.X}), evenness*w)
	}
	return p
}

// system sums the readings up and fits the spline to them, lambda chosen anew
// where search says so: unknowns, inverse, scatter and effective parameters.
// The curve is left alone.
func (f *loopFit) system(readings []reading, search bool) (*system, error) {
	marks := f.used()
	size, free := f.unknowns()
	s := newSystem(readings, f.bending(), marks, size-free)
	if math.IsNaN(f.log) {
		f.log = s.choose(firstLambda, wideStep)
	} else if search {
		f.log = s.choose(f.log, narrowStep)
	}
	for {
		x, a, crit := s.at(f.log)
		if math.IsInf(crit, 1) {
			return nil, errSingular
		}
		f.x, f.inv, f.root = x, a.inverse(denseInverse(a.corner, a.k)), a
		f.dof, f.last, f.crit = f.square(), s, crit
		f.scale = math.Sqrt(s.rss(x) / max(1, float64(marks)-f.dof))
		f.unit = reweighted * f.scale
		if f.dof <= mostDofs*float64(marks) {
			return s, nil
		}
		f.log += 0.5
	}
}

// solve chooses lambda and fits the curve to the marks.
func (f *loopFit) solve() error {
	if _, err := f.system(f.readings(), true); err != nil {
		return err
	}
	var err error
	f.curve, err = f.chart.curve(f.x)
	return err
}

// square is the effective number of parameters that the distances square to
// the curve take: the sum of their leverages.
func (f *loopFit) square() float64 {
	var sum float64
	for i, u := range f.foot {
		if !f.off[i] {
			sum += f.w[i] * f.variance(u)
		}
	}
	return sum
}

// used is the number of marks that pull.
func (f *loopFit) used() int { return len(f.off) - count(f.off) }

// against is −2 log evidence but for a constant, to compare fits to as many
// marks.
func (f *loopFit) against() float64 { return f.crit - f.last.volume() }

// variance of the curve at u square to itself, in units of scale².
func (f *loopFit) variance(u float64) float64 {
	return max(0, f.inv.form(f.at(u, f.curve.Normal(u))))
}

// outwards, reading and spread make the edgeModel.
func (f *loopFit) outwards(u float64) []float64 {
	b := make([]float64, f.root.size())
	r := f.at(u, f.curve.Normal(u))
	for p, i := range r.idx {
		b[i] += r.val[p]
	}
	return b
}

func (f *loopFit) reading(u float64) []float64 {
	b := f.outwards(u)
	if f.change != nil {
		n := f.curve.Normal(u)
		for k, v := range f.change(f.curve.At(u)) {
			b[f.root.first()+k] = -r2.Dot(n, v)
		}
	}
	return b
}

func (f *loopFit) spread() (*arrow, float64) { return f.root, f.unit }

// judge looks at every mark in the light of the others; scale is the sd of a
// mark over what was stated.
func (f *loopFit) judge(scale float64) []judged {
	out := make([]judged, len(f.p))
	for i, d := range f.miss {
		out[i] = judged{d, scale / math.Sqrt(f.w[i]), f.w[i] * f.variance(f.foot[i]), f.sure[i]}
	}
	return out
}

// reweighted makes up for the penalty's weights, which are found from the same
// marks and let the curve look surer than it is: the ratio of true to stated
// sd on invented panes, measured by TestOutlineMeasured.
const reweighted = 1.13

// count is how many of b are true.
func count(b []bool) int {
	n := 0
	for _, v := range b {
		if v {
			n++
		}
	}
	return n
}

// median of v, which it leaves as it is; 0 of nothing.
func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := slices.Clone(v)
	slices.Sort(s)
	return (s[len(s)/2] + s[(len(s)-1)/2]) / 2
}
