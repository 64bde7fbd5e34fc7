package geom

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Limits of the refinement of a fit to a function.
const (
	fitStartSpans = 8       // the fit starts with at least so many spans
	fitMostSpans  = 1 << 14 // and gives up beyond so many
	fitChecks     = 7       // places checked inside each span
	fitGrading    = 4.1     // longest span beside one of length 1
)

// interpolate returns the control points of the periodic cubic through
// pts[i] at knot i. It is unique. Cost: linear.
//
// Source: the classical system for the second derivatives at the knots, which
// is strictly diagonally dominant for any knots, closed into a ring; the
// control points then follow as the blossom of the span's polynomial at the
// three knots about each (Ramshaw).
func (r *knotRing) interpolate(pts []r3.Vec) []r3.Vec {
	n := r.n()
	span := func(i int) float64 { i = (i + n) % n; return r.u[i+1] - r.u[i] }
	chord := func(i int) r3.Vec { // slope of the chord that starts at knot i
		i = (i + n) % n
		return r3.Scale(1/span(i), r3.Sub(pts[(i+1)%n], pts[i]))
	}
	diag, off, second := make([]float64, n), make([]float64, n), make([]r3.Vec, n)
	for i := range pts {
		diag[i] = 2 * (span(i-1) + span(i))
		off[i] = span(i) // couples i and i+1
		second[i] = r3.Scale(6, r3.Sub(chord(i), chord(i-1)))
	}
	solveRing(diag, off, second)

	ctrl := make([]r3.Vec, n)
	for i, p := range pts {
		before, after := span(i-1), span(i)
		m := second[i]
		// The slope at the knot, from either side alike.
		left := r3.Add(chord(i-1), r3.Scale(before/6, r3.Add(r3.Scale(2, m), second[(i+n-1)%n])))
		right := r3.Sub(chord(i), r3.Scale(after/6, r3.Add(r3.Scale(2, m), second[(i+1)%n])))
		slope := r3.Scale(0.5, r3.Add(left, right))
		ctrl[i] = r3.Add(p, r3.Sub(r3.Scale((after-before)/3, slope), r3.Scale(before*after/6, m)))
	}
	return ctrl
}

// solveRing solves the symmetric cyclic tridiagonal system with diagonal diag
// and off[i] between unknowns i and i+1 (modulo n), in place of x. The matrix
// must be strictly diagonally dominant. diag is overwritten.
//
// Source: Thomas elimination with the Sherman-Morrison correction for the two
// corner elements.
func solveRing(diag, off []float64, x []r3.Vec) {
	n := len(diag)
	corner := off[n-1]
	// A = T + g·w·w', w = e0 + e(n-1), with T tridiagonal and dominant still.
	diag[0] -= corner
	diag[n-1] -= corner
	w := make([]float64, n)
	w[0], w[n-1] = 1, 1
	for i := 1; i < n; i++ {
		f := off[i-1] / diag[i-1]
		diag[i] -= f * off[i-1]
		x[i] = r3.Sub(x[i], r3.Scale(f, x[i-1]))
		w[i] -= f * w[i-1]
	}
	x[n-1] = r3.Scale(1/diag[n-1], x[n-1])
	w[n-1] /= diag[n-1]
	for i := n - 2; i >= 0; i-- {
		x[i] = r3.Scale(1/diag[i], r3.Sub(x[i], r3.Scale(off[i], x[i+1])))
		w[i] = (w[i] - off[i]*w[i+1]) / diag[i]
	}
	f := corner / (1 + corner*(w[0]+w[n-1]))
	ends := r3.Scale(f, r3.Add(x[0], x[n-1]))
	for i := range x {
		x[i] = r3.Sub(x[i], r3.Scale(w[i], ends))
	}
}

// fitRing interpolates f at knots that start as the breaks and are halved
// where the curve is further than tol from f, until it is nowhere.
func fitRing(f func(u float64) r3.Vec, breaks []float64, tol float64) (knotRing, []r3.Vec, error) {
	if !(tol > 0) || math.IsInf(tol, 0) {
		return knotRing{}, nil, fmt.Errorf("geom: fit: tolerance %g mm, want a positive number", tol)
	}
	if err := checkRising(breaks); err != nil {
		return knotRing{}, nil, err
	}
	lo, hi := breaks[0], breaks[len(breaks)-1]
	if gap := r3.Norm(r3.Sub(f(hi), f(lo))); !(gap <= tol) {
		return knotRing{}, nil, fmt.Errorf("geom: fit: the function does not close: %g mm between its ends", gap)
	}
	each := (fitStartSpans + len(breaks) - 2) / (len(breaks) - 1)
	knots := splitSpans(breaks, func(int) int { return each })
	for len(knots) <= fitMostSpans {
		r, err := newRing(knots, len(knots)-1)
		if err != nil {
			return knotRing{}, nil, fmt.Errorf("geom: fit: does not come within %g mm: %w", tol, err)
		}
		pts := make([]r3.Vec, r.n())
		for i := range pts {
			pts[i] = f(knots[i])
		}
		ctrl := r.interpolate(pts)
		miss, err := r.misses(f, ctrl)
		if err != nil {
			return knotRing{}, nil, err
		}
		split, done := spansToSplit(knots, miss, tol)
		if done {
			return r, ctrl, nil
		}
		knots = splitSpans(knots, func(i int) int {
			if split[i] {
				return 2
			}
			return 1
		})
	}
	return knotRing{}, nil, fmt.Errorf("geom: fit: does not come within %g mm with %d spans", tol, fitMostSpans)
}

// misses returns, for each span, the greatest distance found between the
// spline and f at equal parameters.
func (r *knotRing) misses(f func(u float64) r3.Vec, ctrl []r3.Vec) ([]float64, error) {
	miss := make([]float64, r.n())
	for i := range miss {
		h := r.u[i+1] - r.u[i]
		idx := r.acting(i)
		for k := 1; k <= fitChecks; k++ {
			t := h * float64(k) / (fitChecks + 1)
			b, _, _, _ := r.basis(i, t)
			d := r3.Norm(r3.Sub(f(r.u[i]+t), combine3(ctrl, idx, b)))
			if !finite(d) {
				return nil, errors.New("geom: fit: the function is not finite")
			}
			miss[i] = math.Max(miss[i], d)
		}
	}
	return miss, nil
}

// combine3 returns the sum of the four indexed points times their weights.
func combine3(ctrl []r3.Vec, idx [4]int, w [4]float64) (p r3.Vec) {
	for k, j := range idx {
		p = r3.Add(p, r3.Scale(w[k], ctrl[j]))
	}
	return p
}

// spansToSplit marks the spans that miss by more than tol, and those that are
// left too long beside their neighbours. Where the knots are symmetric about
// the start, spans that face each other and miss alike are treated alike, so
// that rounding never decides for one and against the other.
func spansToSplit(knots, miss []float64, tol float64) (split []bool, done bool) {
	n := len(miss)
	split = make([]bool, n)
	done = true
	symmetric := mirroredKnots(knots)
	for i, m := range miss {
		if twin := miss[n-1-i]; symmetric && math.Abs(twin-m) < 1e-3*tol {
			m = math.Max(m, twin)
		}
		if m > tol {
			split[i], done = true, false
		}
	}
	if done {
		return split, true
	}
	size := func(i int) float64 { // of a span after splitting
		i = (i + n) % n
		h := knots[i+1] - knots[i]
		if split[i] {
			h /= 2
		}
		return h
	}
	for grown := true; grown; {
		grown = false
		for i := range split {
			if !split[i] && size(i) > fitGrading*math.Min(size(i-1), size(i+1)) {
				split[i], grown = true, true
			}
		}
	}
	return split, false
}

// mirroredKnots tells whether the knots read the same from either end.
func mirroredKnots(knots []float64) bool {
	n := len(knots) - 1
	for i := range knots {
		if math.Abs((knots[i]-knots[0])-(knots[n]-knots[n-i])) > 1e-12*(knots[n]-knots[0]) {
			return false
		}
	}
	return true
}

// splitSpans divides span i of the knots into parts(i) equal parts.
func splitSpans(knots []float64, parts func(span int) int) []float64 {
	var out []float64
	for i := range knots[1:] {
		m := parts(i)
		for k := range m {
			s := float64(k) / float64(m)
			out = append(out, knots[i]*(1-s)+knots[i+1]*s)
		}
	}
	return append(out, knots[len(knots)-1])
}
