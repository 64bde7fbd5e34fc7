package fit

import (
	"math"
	"slices"
)

// row is the linear form Σ val·unknown. An index may occur more than once:
// its values add up.
type row struct {
	idx []int
	val []float64
}

// dot is the row's value for the unknowns x.
func (r row) dot(x []float64) float64 {
	var s float64
	for p, i := range r.idx {
		s += r.val[p] * x[i]
	}
	return s
}

// reading says that a row ought to be rhs, with weight 1/variance.
type reading struct {
	row
	rhs, w float64
}

// system is a penalised least-squares problem: the unknowns x that make
// Σ w·(row·x − rhs)² + lambda·xᵀPx least. Lambda is chosen by restricted
// maximum likelihood: with the penalty read as a prior, −2 log likelihood of
// the readings is m·log(the least sum) + log|AᵀWA + lambda·P| − rank·log
// lambda but for a constant (Wood, Generalized Additive Models, 2nd ed., sec.
// 6.2.5).
type system struct {
	readings []reading
	data     *arrow // AᵀWA
	rhs      []float64
	penalty  *arrow // P, scaled to the trace of data
	m        float64
	rank     float64 // of P
}

// newSystem sums up the readings. The matrices have the shape of penalty,
// which is scaled in place. m is the number of readings that count, rank that
// of the penalty.
func newSystem(readings []reading, penalty *arrow, m, rank int) *system {
	s := &system{readings: readings, penalty: penalty, m: float64(m), rank: float64(rank),
		data: penalty.like(), rhs: make([]float64, penalty.size())}
	for _, q := range readings {
		s.data.addRow(q.row, q.w)
		for p, i := range q.idx {
			s.rhs[i] += q.w * q.rhs * q.val[p]
		}
	}
	if t := penalty.trace(); t > 0 {
		penalty.scale(s.data.trace() / t)
	}
	return s
}

// rss is the weighted sum of squares of what x leaves over.
func (s *system) rss(x []float64) float64 {
	var sum float64
	for _, q := range s.readings {
		d := q.dot(x) - q.rhs
		sum += q.w * d * d
	}
	return sum
}

// normal is AᵀWA + lambda·P.
func (s *system) normal(logLambda float64) *arrow {
	a := s.data.clone()
	a.addScaled(math.Exp(logLambda), s.penalty)
	return a
}

// at solves for one log lambda; crit is the criterion, infinite where the
// normal matrix is singular.
func (s *system) at(logLambda float64) (x []float64, factored *arrow, crit float64) {
	a := s.normal(logLambda)
	if a.factor() != nil {
		return nil, nil, math.Inf(1)
	}
	x = slices.Clone(s.rhs)
	a.solve(x)
	crit = s.m*math.Log(s.rss(x)+math.Exp(logLambda)*s.penalty.quad(x)+s.m*leastScatter*leastScatter) + a.logDet() - s.rank*logLambda
	if math.IsNaN(crit) {
		return nil, nil, math.Inf(1)
	}
	return x, a, crit
}

// leastScatter is the least scatter that readings are believed to have, of what
// was stated: without it exact readings would ask for no penalty at all.
const leastScatter = 0.05

const (
	steps    = 40   // bound of the walk in log lambda
	stiffest = 18.0 // log lambda where the penalty leaves nothing it acts on; beyond, the readings drown in rounding
)

// choose returns the log lambda of the least criterion: it walks downhill from
// start in steps until the least is bracketed, halves the bracket three times
// and takes the bottom of the parabola.
func (s *system) choose(start, step float64) float64 {
	crit := func(l float64) float64 { _, _, c := s.at(l); return c }
	mid := start
	lo, at, hi := crit(mid-step), crit(mid), crit(mid+step)
	for range steps {
		if math.IsInf(at, 1) || (lo < at && lo <= hi) {
			mid -= step
			lo, at, hi = crit(mid-step), lo, at
		} else if hi < at && mid+step <= stiffest {
			mid += step
			lo, at, hi = at, hi, crit(mid+step)
		} else {
			break
		}
	}
	for range 3 {
		step /= 2
		switch a, b := crit(mid-step), crit(mid+step); {
		case a < at && a <= b:
			mid -= step
			at, hi = a, at
		case b < at:
			mid += step
			lo, at = at, b
		default:
			lo, hi = a, b
		}
	}
	if d := lo - 2*at + hi; d > 0 && !math.IsInf(d, 0) {
		mid += step * (lo - hi) / (2 * d)
	}
	return min(mid, stiffest)
}

// volume is the log determinant of the penalty where it acts, but for a
// constant: what to take off the criterion when penalties that leave the same
// unknowns free are compared. −∞ where it cannot be told.
func (s *system) volume() float64 {
	const faint = 1e-10 // of the readings, to hold what the penalty leaves free
	a := s.penalty.clone()
	a.addScaled(faint, s.data)
	if a.factor() != nil {
		return math.Inf(-1)
	}
	return a.logDet()
}
