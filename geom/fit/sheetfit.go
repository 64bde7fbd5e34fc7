package fit

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// sheetFit fits a face to points of it by their vertical distances.
type sheetFit struct {
	*sheet
	p        []r3.Vec
	sxy, sz  []float64
	off      []bool  // set aside: does not pull
	order    int     // of the derivatives that the penalty acts on: 3, or 2 for a mere plane
	grain    float64 // how much stiffer along x than along y
	log      float64 // log lambda, against the traces
	x        []float64
	inv      *arrow
	face     *geom.Face
	variance []float64 // of each point's height, with the slope there
	miss     []float64 // vertical, point minus face
	scale    float64   // sd of the misses over the points' own
	dof      float64
}

func newSheetFit(s *sheet, marks []Mark) *sheetFit {
	f := &sheetFit{sheet: s, order: 3, grain: 1, log: math.NaN()}
	for _, m := range marks {
		f.p = append(f.p, m.P)
		f.sxy, f.sz = append(f.sxy, m.SXY), append(f.sz, m.SZ)
	}
	f.off, f.miss, f.variance = make([]bool, len(marks)), make([]float64, len(marks)), make([]float64, len(marks))
	return f
}

// weigh takes each point's variance from the slope of a surface at it.
func (f *sheetFit) weigh(s geom.Surface) {
	for i, p := range f.p {
		h := s.Eval(p.X, p.Y)
		f.variance[i] = f.sz[i]*f.sz[i] + f.sxy[i]*f.sxy[i]*(h.Zx*h.Zx+h.Zy*h.Zy)
	}
}

// readings are the heights of the points in use.
func (f *sheetFit) readings() []reading {
	all := make([]reading, 0, len(f.p))
	for i, p := range f.p {
		if !f.off[i] {
			all = append(all, reading{f.at(p.X, p.Y), p.Z, 1 / f.variance[i]})
		}
	}
	return all
}

// stiff is log lambda where a penalty on second derivatives leaves but a plane.
const stiff = 12.0

// grainStep is the factor by which the search for the grain goes on.
const grainStep = 4.0

// strength chooses lambda and, the first time, the grain: panes bend more
// freely across than fore and aft, some the other way, and the likelihood
// tells.
func (f *sheetFit) strength(readings []reading, search bool) *system {
	size, free := f.unknowns()
	with := func(grain float64) *system {
		return newSystem(readings, f.bending(f.order, grain), max(1, len(readings)-free), size-free)
	}
	s := with(f.grain)
	if f.order == 2 {
		f.log = stiff
		return s
	}
	if !math.IsNaN(f.log) {
		if search {
			f.log = s.choose(f.log, narrowStep)
		}
		return s
	}
	f.log = s.choose(0, wideStep)
	_, _, least := s.at(f.log)
	least -= s.volume()
	for _, step := range []float64{grainStep, 1 / grainStep} {
		for range 3 {
			t := with(f.grain * step)
			log := t.choose(f.log, narrowStep)
			_, _, crit := t.at(log)
			if crit -= t.volume(); !(crit < least) {
				break
			}
			s, f.log, f.grain, least = t, log, f.grain*step, crit
		}
	}
	return s
}

// system sums the readings up and fits the spline to them, lambda chosen anew
// where search says so: unknowns, inverse, scatter and effective parameters.
// The face is left alone.
func (f *sheetFit) system(readings []reading, search bool) (*system, error) {
	s := f.strength(readings, search)
	x, a, crit := s.at(f.log)
	if math.IsInf(crit, 1) {
		return nil, errSingular
	}
	f.x, f.inv = x, a.inverse(nil)
	f.dof = s.data.product(f.inv)
	f.scale = math.Sqrt(s.rss(x) / max(1, float64(len(readings))-f.dof))
	return s, nil
}

// solve chooses lambda and fits the face to the points in use.
func (f *sheetFit) solve() error {
	if _, err := f.system(f.readings(), true); err != nil {
		return err
	}
	var err error
	if f.face, err = f.sheet.face(f.x); err != nil {
		return err
	}
	f.misses()
	return nil
}

// misses takes the points' distances to the face.
func (f *sheetFit) misses() {
	for i, p := range f.p {
		f.miss[i] = p.Z - f.face.At(p.X, p.Y)
	}
}

// run fits until the weights, which hang on the slope, have settled.
func (f *sheetFit) run(ctx context.Context) error {
	for range 2 {
		if err := ctx.Err(); err != nil {
			return err
		}
		if f.face != nil {
			f.weigh(f.face)
		}
		if err := f.solve(); err != nil {
			return err
		}
	}
	return nil
}

// used is the number of points that pull.
func (f *sheetFit) used() int {
	n := 0
	for _, o := range f.off {
		if !o {
			n++
		}
	}
	return n
}

// spread is the variance of the face's height over (x, y) in units of scale².
func (f *sheetFit) spread(x, y float64) float64 {
	return max(0, f.inv.form(f.at(x, y)))
}

// screen sets slips in height aside one by one, the worst first, and fits
// again; points once set aside come back where the face agrees.
func (f *sheetFit) screen(ctx context.Context) error {
	returned := make([]bool, len(f.p))
	readings := make([]judged, len(f.p))
	for range len(f.p) {
		var z []float64
		for i, p := range f.p {
			r := judged{f.miss[i], math.Sqrt(f.variance[i]), f.spread(p.X, p.Y) / f.variance[i]}
			if !f.off[i] {
				loo, u := leftOut(r.miss, r.sd, r.h, false)
				z = append(z, math.Abs(loo)/u)
			}
			readings[i] = r
		}
		scale := robust(z)
		for i := range readings {
			readings[i].sd *= scale
		}
		worst, _, back := heightBounds.verdict(readings, f.off, returned)
		switch {
		case worst >= 0 && f.used() > leastHeights:
			f.off[worst] = true
		case back >= 0:
			f.off[back], returned[back] = false, true
		default:
			return nil
		}
		if err := f.run(ctx); err != nil {
			return err
		}
	}
	return nil
}

// startRobust sets the variances from a robust polynomial, of the fourth
// degree where there are points enough, else of the second, and sets points
// aside that lie far from it: a spline alone would bend to a lone gross slip.
// The polynomial is fitted to the sum of absolute misses by reweighting.
func (f *sheetFit) startRobust(screen bool) error {
	terms := f.powers(4)
	if len(f.p) < 2*len(terms) {
		terms = f.powers(2)
	}
	if len(f.p) < 3*len(terms) {
		for i := range f.p {
			f.variance[i] = f.sz[i] * f.sz[i]
		}
		return nil
	}
	poly := f.polynomial(terms)
	w := make([]float64, len(f.p))
	for i := range w {
		w[i] = 1
	}
	for range 20 {
		if err := poly.fit(f.p, w); err != nil {
			return err
		}
		for i, p := range f.p {
			w[i] = 1 / math.Max(f.sz[i], math.Abs(p.Z-poly.at(p.X, p.Y)))
		}
	}
	f.weigh(poly)
	if !screen {
		return nil
	}
	var z []float64
	for i, p := range f.p {
		z = append(z, math.Abs(p.Z-poly.at(p.X, p.Y))/math.Sqrt(f.variance[i]))
	}
	bound := 8 * max(1, 1.4826*median(z))
	for i := range f.p {
		f.off[i] = z[i] > bound
	}
	return nil
}

// powers lists the exponents of the polynomials up to a degree, even in x
// where the sheet is.
func (f *sheetFit) powers(degree int) [][2]int {
	var out [][2]int
	for i := 0; i <= degree; i++ {
		for j := 0; i+j <= degree; j++ {
			if !f.even || i%2 == 0 {
				out = append(out, [2]int{i, j})
			}
		}
	}
	return out
}

// polynomial is a height field Σ c·uⁱ·vʲ in coordinates scaled to a unit box.
type polynomial struct {
	terms      [][2]int
	c          []float64
	x, y, half float64 // centre and half width of the box
}

func (f *sheetFit) polynomial(terms [][2]int) *polynomial {
	lo, hi := f.p[0], f.p[0]
	for _, p := range f.p {
		lo = r3.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = r3.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	q := &polynomial{terms: terms, x: (lo.X + hi.X) / 2, y: (lo.Y + hi.Y) / 2}
	if f.even {
		q.x = 0
	}
	q.half = max(hi.X-q.x, q.x-lo.X, hi.Y-q.y, 1)
	return q
}

// fit solves the weighted least squares.
func (q *polynomial) fit(p []r3.Vec, w []float64) error {
	n := len(q.terms)
	a := newArrow(n, n-1, 0)
	q.c = make([]float64, n)
	r := row{idx: make([]int, n), val: make([]float64, n)}
	for k := range p {
		u, v := (p[k].X-q.x)/q.half, (p[k].Y-q.y)/q.half
		for t, e := range q.terms {
			r.idx[t], r.val[t] = t, power(u, e[0])*power(v, e[1])
			q.c[t] += w[k] * r.val[t] * p[k].Z
		}
		a.addRow(r, w[k])
	}
	if err := a.factor(); err != nil {
		return err
	}
	a.solve(q.c)
	return nil
}

func (q *polynomial) at(x, y float64) float64 { return q.Eval(x, y).Z }

// Eval gives height and slopes; polynomial is a geom.Surface for weigh.
func (q *polynomial) Eval(x, y float64) (h geom.Height) {
	u, v := (x-q.x)/q.half, (y-q.y)/q.half
	for t, e := range q.terms {
		h.Z += q.c[t] * power(u, e[0]) * power(v, e[1])
		h.Zx += q.c[t] * float64(e[0]) * power(u, e[0]-1) * power(v, e[1]) / q.half
		h.Zy += q.c[t] * float64(e[1]) * power(u, e[0]) * power(v, e[1]-1) / q.half
	}
	return h
}

// power is x to the n, 0 for n below 0.
func power(x float64, n int) float64 {
	if n < 0 {
		return 0
	}
	p := 1.0
	for range n {
		p *= x
	}
	return p
}

// heights picks the marks that have one.
func heights(marks []Mark) (with []Mark, index []int) {
	for i, m := range marks {
		if m.hasHeight() {
			with, index = append(with, m), append(index, i)
		}
	}
	return slices.Clip(with), index
}
