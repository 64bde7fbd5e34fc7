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
	sure     []bool  // never to be
	order    int     // of the derivatives that the penalty acts on: 3, or 2 for a mere plane
	grain    float64 // how much stiffer along x than along y
	log      float64 // log lambda, against the traces
	x        []float64
	inv      *arrow
	root     *arrow  // the normal matrix, factored
	unit     float64 // what root's variances are multiples of: mm, as an sd
	face     *geom.Face
	variance []float64 // of each point's height, with the slope there
	miss     []float64 // vertical, point minus face
	scale    float64   // sd of the misses over the points' own
	dof      float64
}

// bulging is the number of heights from which a face holds bulges.
const bulging = 20

func newSheetFit(s *sheet, marks []Mark) *sheetFit {
	if len(marks) >= bulging {
		s.addBulges()
	}
	f := &sheetFit{sheet: s, order: 3, grain: 1, log: math.NaN()}
	for _, m := range marks {
		f.p = append(f.p, m.P)
		f.sxy, f.sz, f.sure = append(f.sxy, m.SXY), append(f.sz, m.SZ), append(f.sure, m.Sure)
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

// priors say how large each bulge may be, as readings of it.
func (f *sheetFit) priors() (all []reading) {
	size, _ := f.unknowns()
	for t, b := range f.shapes {
		all = append(all, reading{row{[]int{size + t}, []float64{1}}, 0, 1 / (b.sd * b.sd)})
	}
	return all
}

// strength chooses lambda and, the first time, the grain: panes bend more
// freely across than fore and aft, some the other way, and the likelihood
// tells.
func (f *sheetFit) strength(readings []reading, search bool) *system {
	size, free := f.unknowns()
	all := slices.Concat(readings, f.priors())
	with := func(grain float64) *system {
		return newSystem(all, f.bending(f.order, grain), max(1, len(readings)-free), size-free)
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

// backOff is how often a penalty is made weaker, by the factor e, where the
// normal matrix is singular for rounding.
const backOff = 6

// system sums the readings up and fits the spline to them, lambda chosen anew
// where search says so: unknowns, inverse, scatter and effective parameters.
// The face is left alone.
func (f *sheetFit) system(readings []reading, search bool) (*system, error) {
	s := f.strength(readings, search)
	x, a, crit := s.at(f.log)
	for k := 0; k < backOff && math.IsInf(crit, 1); k++ { // so stiff that the readings drown in rounding
		f.log--
		x, a, crit = s.at(f.log)
	}
	if math.IsInf(crit, 1) {
		return nil, errSingular
	}
	f.x, f.inv, f.root = x, a.inverse(nil), a
	f.dof = s.data.product(f.inv) - float64(len(f.shapes))
	// a few heights have too little scatter to tell it from: what was stated
	// counts as some more
	const stated = 4
	f.scale = math.Sqrt((s.rss(x) + stated) / (max(0, float64(len(readings))-f.dof) + stated))
	f.unit = f.scale
	return s, nil
}

// solve fits the face to the points in use, lambda chosen anew where search
// says so.
func (f *sheetFit) solve(search bool) error {
	if _, err := f.system(f.readings(), search); err != nil {
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
		if err := f.solve(true); err != nil {
			return err
		}
	}
	return nil
}

// used is the number of points that pull.
func (f *sheetFit) used() int { return len(f.off) - count(f.off) }

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
			r := judged{f.miss[i], math.Sqrt(f.variance[i]), f.spread(p.X, p.Y) / f.variance[i], f.sure[i]}
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
func (f *sheetFit) startRobust(screen bool) {
	terms := f.powers(4)
	if len(f.p) < 2*len(terms) {
		terms = f.powers(2)
	}
	poly := f.polynomial(terms)
	for i, sz := range f.sz {
		f.variance[i] = sz * sz
	}
	const enough = 1500 // points for a polynomial; of more, every so manieth
	step := 1 + len(f.p)/enough
	var some []r3.Vec
	var own, w []float64
	for i := 0; i < len(f.p); i += step {
		some, own, w = append(some, f.p[i]), append(own, f.sz[i]), append(w, 1)
	}
	if len(f.p) < 3*len(terms) {
		return
	}
	for range 20 {
		if poly.fit(some, w) != nil {
			return // the places of the points hold no such polynomial
		}
		for i, p := range some {
			w[i] = 1 / math.Max(own[i], math.Abs(p.Z-poly.at(p.X, p.Y)))
		}
	}
	f.weigh(poly)
	if !screen {
		return
	}
	var z []float64
	for i, p := range f.p {
		z = append(z, math.Abs(p.Z-poly.at(p.X, p.Y))/math.Sqrt(f.variance[i]))
	}
	bound := 8 * max(1, 1.4826*median(z))
	for i := range f.p {
		f.off[i] = z[i] > bound && !f.sure[i]
	}
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
