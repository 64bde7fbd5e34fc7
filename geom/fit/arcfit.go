package fit

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// arcFit fits the model of a pane's edge: a chain of bowed sides and round
// corners, from which the true edge strays, square to it, by a Gaussian
// process and a bump in each corner. All unknowns have priors, so the fit is
// one linear Gaussian model about the chain at hand: what is fitted, how sure
// it is and what it would say without a reading all come from one matrix.
//
// Unknowns, in this order: the plane's three where there is a plane, the
// chain's parameters, the bumps, the amplitudes of the waves.
type arcFit struct {
	form  *form
	chain *chain
	near  *shaken // of chain
	p     []r2.Vec
	w     []float64 // 1/variance of a mark as stated
	off   []bool    // set aside: does not pull
	pull  []float64 // weight of a mark in use, 0 … 1
	told

	feet []foot
	miss []float64 // distance from the fitted edge, + outside

	hyper  hyper
	theta  []float64 // bumps and waves
	factor *arrow    // the normal matrix under hyper, factored: its inverse is the covariance

	plane   *planePrior // nil: no plane among the unknowns
	extra   []extra     // widths and centre marks
	strayed bool        // the odd process is wanted
	move    motion      // last change of the plane
}

// hyper is what the evidence chooses.
type hyper struct {
	even  wander
	odd   float64 // mm, sd of the odd process of a symmetric pane
	scale float64 // scatter of the marks over what was stated
}

// planePrior is what the face knows of the plane: an information matrix about
// the plane at hand and its right-hand side.
type planePrior struct {
	info [9]float64
	rhs  [3]float64
	// mark and change are how a mark, and a place of the edge, move in plan
	// with the plane's unknowns.
	mark   func(i int) [3]r2.Vec
	change func(p r2.Vec) [3]r2.Vec
}

// extra is a reading beside the marks: weight w for gain·(edge at foot, square
// to it) + plane·(the plane's unknowns) = rhs.
type extra struct {
	kind  EvidenceKind // WidthTaped or CentreSeen
	index int          // among the widths or the centre marks
	foot  foot
	at    r2.Vec
	gain  float64
	plane [3]float64
	rhs   float64
	w     float64
}

// Priors of the chain, mm: they only keep finite what no mark holds.
const (
	usualRadius = 60.0
	radiusSD    = 40.0
	bowSD       = 60.0
	placeSD     = 1e4
	bumpSD      = 0.5
	scaleSD     = 0.35 // of the logarithm of scale
	shortest    = 80.0 // reach of the process
	longest     = 350.0
	leastWander = 0.05
	mostWander  = 4.0
)

// planeSize is the number of unknowns in front of the chain's.
func (f *arcFit) planeSize() int {
	if f.plane != nil {
		return 3
	}
	return 0
}

// bumps is the number of bumps: one a corner, twins together.
func (f *arcFit) bumps() int {
	if f.form.twin == nil {
		return f.form.corners
	}
	n := 0
	for i, t := range f.form.twin {
		if i <= t {
			n++
		}
	}
	return n
}

// waveCount is the number of wave amplitudes of n turns.
func (f *arcFit) waveCount(n int) int {
	if f.form.twin == nil || f.strayed {
		return 2*n + 1
	}
	return n + 1
}

// deviation fills row with the bumps and waves at a position.
func (f *arcFit) deviation(row []float64, pos float64) {
	k := f.swellings(row, pos)
	waves(row[k:], pos, f.chain.length(), f.sines())
}

// sines reports whether the waves have sines beside their cosines.
func (f *arcFit) sines() bool { return f.form.twin == nil || f.strayed }

// swellings fills row with the bumps at a position and returns their number.
func (f *arcFit) swellings(row []float64, pos float64) int {
	k := 0
	for i := range f.form.corners {
		t := i
		if f.form.twin != nil {
			t = f.form.twin[i]
		}
		if t < i {
			continue
		}
		mid, half := f.chain.middle(i)
		row[k] = bump(f.apart(pos, mid), half)
		if t > i {
			mid, half = f.chain.middle(t)
			row[k] = max(row[k], bump(f.apart(pos, mid), half))
		}
		k++
	}
	return k
}

// stray is how far the fitted edge lies outside the chain at a position.
func (f *arcFit) stray(pos float64) float64 {
	var room [16]float64
	row := room[:]
	if n := f.bumps(); n > len(row) {
		row = make([]float64, n)
	}
	k := f.swellings(row, pos)
	return dot(row[:k], f.theta[:k]) + waveSum(f.theta[k:], pos, f.chain.length(), f.sines())
}

// locate finds the marks' feet.
func (f *arcFit) locate() {
	for i, p := range f.p {
		f.feet[i] = f.chain.foot(p)
	}
}

// shake makes the chain's neighbours, unless they are at hand.
func (f *arcFit) shake() (err error) {
	if f.near == nil || f.near.of != f.chain {
		f.near, err = f.form.shake(f.chain)
	}
	return err
}

// outward fills row with how far the edge moves outward at a point with its
// foot, for each unknown of the shape; those of the plane are left alone. The
// neighbours must be at hand.
func (f *arcFit) outward(row []float64, p r2.Vec, at foot) {
	np, nm := f.planeSize(), f.form.size()
	f.near.outward(row[np:np+nm], at.part, p)
	f.deviation(row[np+nm:], at.pos)
}

// priors are the inverse variances of the unknowns under h, and what each is
// drawn to, about the chain at hand; size is the number of unknowns in use.
func (f *arcFit) priors(s *normal, h hyper) (info, to []float64, size int) {
	np := f.planeSize()
	info, to = make([]float64, np, s.size), make([]float64, np, s.size)
	put := func(v, sd float64) { info, to = append(info, 1/(sd*sd)), append(to, v) }
	for _, col := range f.form.cols {
		k := col[0].param
		switch k % perCorner {
		case 2:
			put(math.Copysign(usualRadius, f.chain.x[k])-f.chain.x[k], radiusSD)
		case 3:
			put(-f.chain.x[k], bowSD)
		default:
			put(0, placeSD)
		}
	}
	for range f.bumps() {
		put(0, bumpSD)
	}
	n := min(s.turns, turns(f.chain.length(), h.even.reach))
	even := h.even.spectrum(f.chain.length(), n)
	for k, v := range even {
		free := f.form.twin == nil
		both := v
		if !free {
			both = 2 * v
		}
		put(0, math.Sqrt(both))
		switch {
		case k == 0:
		case free:
			put(0, math.Sqrt(v))
		case f.strayed:
			put(0, math.Sqrt(2*v)*max(h.odd, 1e-6)/h.even.amp)
		}
	}
	return info, to, len(info)
}

// at solves the linear model under h: unknowns, factor and −2 log evidence but
// for a constant.
func (f *arcFit) at(s *normal, h hyper) (x []float64, a *arrow, crit float64) {
	info, to, size := f.priors(s, h)
	per := 1 / (h.scale * h.scale)
	a = newArrow(size, size-1, 0)
	x = make([]float64, size)
	crit = per*s.c + s.said.c + 2*s.used*math.Log(h.scale)
	for i := range size {
		src, dst := s.g.band[i*s.size+s.size-1-i:(i+1)*s.size], a.band[i*size+size-1-i:(i+1)*size]
		for j := range i + 1 {
			dst[j] = per*src[j] + s.said.g.band[i*s.size+s.size-1-i+j]
		}
		dst[i] += info[i]
		x[i] = per*s.b[i] + s.said.b[i] + info[i]*to[i]
		crit += info[i] * to[i] * to[i]
		if info[i] > 0 {
			crit -= math.Log(info[i])
		}
	}
	if f.plane != nil {
		for i := range 3 {
			for j := range i + 1 {
				*a.cell(i, j) += f.plane.info[3*i+j]
			}
			x[i] += f.plane.rhs[i]
		}
	}
	if a.factor() != nil {
		return nil, nil, math.Inf(1)
	}
	b := slices.Clone(x)
	a.solve(x)
	crit += a.logDet() - dot(b, x) + square(math.Log(h.scale)/scaleSD)
	if math.IsNaN(crit) {
		return nil, nil, math.Inf(1)
	}
	return x, a, crit
}

func square(x float64) float64 { return x * x }

// choose walks the hyperparameters downhill one at a time, from those at hand.
func (f *arcFit) choose(s *normal, step float64) hyper {
	best := f.hyper
	_, _, least := f.at(s, best)
	clip := func(v, lo, hi float64) float64 { return min(max(v, lo), hi) }
	change := []func(h *hyper, k float64){
		func(h *hyper, k float64) { h.even.amp = clip(h.even.amp*k, leastWander, mostWander) },
		func(h *hyper, k float64) { h.even.reach = clip(h.even.reach*math.Sqrt(k), shortest, longest) },
	}
	change = append(change, func(h *hyper, k float64) { h.scale = clip(h.scale*math.Sqrt(k), 0.1, 10) })
	if f.strayed {
		change = append(change, func(h *hyper, k float64) { h.odd = clip(h.odd*k, leastWander/4, mostWander) })
	}
	for ; step > 1.1; step = math.Sqrt(step) {
		for _, c := range change {
			for _, k := range []float64{step, 1 / step} {
				moved := false
				for range 8 {
					h := best
					c(&h, k)
					if h == best {
						break
					}
					_, _, crit := f.at(s, h)
					if !(crit < least-1e-6) {
						break
					}
					best, least, moved = h, crit, true
				}
				if moved {
					break
				}
			}
		}
	}
	for _, c := range change { // the bottom of the parabola through the last three
		const k = 1.2
		lo, hi := best, best
		c(&lo, 1/k)
		c(&hi, k)
		_, _, a := f.at(s, lo)
		_, _, b := f.at(s, hi)
		if d := a - 2*least + b; d > 0 && !math.IsInf(d, 0) && lo != best && hi != best {
			h := best
			c(&h, math.Pow(k, min(1, max(-1, (a-b)/(2*d)))))
			if _, _, crit := f.at(s, h); crit < least {
				best, least = h, crit
			}
		}
	}
	return best
}

// step sums up, chooses the hyperparameters where search says so (a factor),
// solves and moves the chain.
func (f *arcFit) step(search float64) error {
	reach := f.hyper.even.reach
	if search > 0 {
		reach = shortest
	}
	s, err := f.sum(reach)
	if err != nil {
		return err
	}
	if search > 0 {
		f.hyper = f.choose(s, search)
	}
	x, a, crit := f.at(s, f.hyper)
	if math.IsInf(crit, 1) {
		return errSingular
	}
	f.factor = a
	np, nm := f.planeSize(), f.form.size()
	copy(f.move[:], x[:np])
	f.theta = x[np+nm:]
	y := slices.Clone(x[np : np+nm])
	for range 8 {
		next, err := f.form.chain(f.form.moved(f.chain.x, y))
		if err == nil {
			f.chain = next
			break
		}
		for i := range y {
			y[i] /= 2
		}
	}
	return nil
}

// misses takes the marks' distances from the fitted edge.
func (f *arcFit) misses() {
	f.locate()
	row := make([]float64, len(f.theta))
	for i := range f.p {
		f.deviation(row, f.feet[i].pos)
		f.miss[i] = f.feet[i].miss - dot(row, f.theta)
	}
}

// searchAt is the factor by which the hyperparameters are searched in the k-th
// round: once the chain lies about right, and once more where it has settled.
func searchAt(k int, search float64) float64 {
	if k == 1 || k == 3 {
		return search
	}
	return 0
}

// run takes rounds until the edge has settled.
func (f *arcFit) run(ctx context.Context, most int, search float64) error {
	for k := range most {
		if err := ctx.Err(); err != nil {
			return err
		}
		before := slices.Clone(f.miss)
		if err := f.step(searchAt(k, search)); err != nil {
			return err
		}
		f.misses()
		var change float64
		for i, d := range f.miss {
			if !f.off[i] {
				change = max(change, math.Abs(d-before[i]))
			}
		}
		if k > 1 && change < settled {
			break
		}
	}
	return nil
}
