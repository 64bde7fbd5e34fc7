package geom

import (
	"errors"
	"fmt"
	"math"
)

// leastSpan is the shortest span accepted between neighbouring knots, as a
// fraction of the period: below it the derivatives lose their meaning.
const leastSpan = 1e-12

// knotRing is one period of strictly rising knots and the one evaluator of every
// closed cubic in this package: it turns a parameter into the four acting
// control points and their weights. Control point j belongs to knot j: its
// B-spline is centred there and reaches two knots either way.
type knotRing struct {
	u []float64 // n+1 knots; u[n] - u[0] is the period
}

// newRing copies and checks the knots of a closed cubic with n control points.
func newRing(knots []float64, n int) (knotRing, error) {
	if n < 4 {
		return knotRing{}, fmt.Errorf("geom: closed curve: %d control points, want 4 or more", n)
	}
	if len(knots) != n+1 {
		return knotRing{}, fmt.Errorf("geom: closed curve: %d knots for %d control points, want %d", len(knots), n, n+1)
	}
	if err := checkRising(knots); err != nil {
		return knotRing{}, err
	}
	return knotRing{u: append([]float64(nil), knots...)}, nil
}

// checkRising tells whether the knots of one period are finite and rise
// strictly.
func checkRising(knots []float64) error {
	if len(knots) < 2 {
		return errors.New("geom: closed curve: no knots")
	}
	period := knots[len(knots)-1] - knots[0]
	if math.IsNaN(period) || math.IsInf(period, 0) {
		return errors.New("geom: closed curve: the period is not a finite number")
	}
	for i := range knots[1:] {
		if h := knots[i+1] - knots[i]; !(h > leastSpan*math.Abs(period)) {
			return fmt.Errorf("geom: closed curve: knots do not rise at %d (%g to %g)", i, knots[i], knots[i+1])
		}
	}
	return nil
}

// n returns the number of spans, which is also that of control points.
func (r *knotRing) n() int { return len(r.u) - 1 }

// knot returns the knot of any index, continued periodically.
func (r *knotRing) knot(i int) float64 {
	n := r.n()
	period := r.u[n] - r.u[0]
	switch {
	case i < 0:
		turns := (n - 1 - i) / n
		return r.u[i+turns*n] - float64(turns)*period
	case i > n:
		turns := i / n
		return r.u[i-turns*n] + float64(turns)*period
	}
	return r.u[i]
}

// locate returns the span that holds u, taken into the period, and how far
// into the span u lies. A parameter on a knot belongs to the span it begins.
func (r *knotRing) locate(u float64) (span int, t float64) {
	n := r.n()
	lo, hi := r.u[0], r.u[n]
	if !(u >= lo && u < hi) {
		u -= math.Floor((u-lo)/(hi-lo)) * (hi - lo)
		if u < lo || u >= hi { // the last bit went the wrong way
			u = lo
		}
	}
	a, b := 0, n
	for b-a > 1 {
		m := (a + b) / 2
		if r.u[m] <= u {
			a = m
		} else {
			b = m
		}
	}
	return a, u - r.u[a]
}

// acting returns the four control points that act on a span, in order of their
// knots.
func (r *knotRing) acting(span int) (idx [4]int) {
	n := r.n()
	for k := range idx {
		idx[k] = (span + n - 1 + k) % n
	}
	return idx
}

// basis returns the weights of the acting control points at t into a span,
// and of their first three derivatives with respect to u.
func (r *knotRing) basis(span int, t float64) (b, db, ddb, dddb [4]float64) {
	var k [6]float64
	for i := range k {
		k[i] = r.knot(span - 2 + i)
	}
	return cubicBasis(&k, k[2]+t)
}

// cubicBasis returns the four cubic B-splines that act between k[2] and k[3],
// and their first three derivatives, at x. The k are the six knots about that
// span in order; only k[2] < k[3] must be strict, so clamped ends are allowed.
//
// Source: the Cox-de Boor recurrence, and the derivative of a B-spline as the
// difference of two of one degree less; de Boor, A Practical Guide to Splines,
// chapters IX and X. Cost: some 40 multiplications and 6 divisions.
func cubicBasis(k *[6]float64, x float64) (b, db, ddb, dddb [4]float64) {
	w32, w31, w42 := 1/(k[3]-k[2]), 1/(k[3]-k[1]), 1/(k[4]-k[2])
	w30, w41, w52 := 1/(k[3]-k[0]), 1/(k[4]-k[1]), 1/(k[5]-k[2])

	// Degree 1: two functions. Degree 2: three.
	p0, p1 := (k[3]-x)*w32, (x-k[2])*w32
	q0 := (k[3] - x) * w31 * p0
	q1 := (x-k[1])*w31*p0 + (k[4]-x)*w42*p1
	q2 := (x - k[2]) * w42 * p1

	b = [4]float64{
		(k[3] - x) * w30 * q0,
		(x-k[0])*w30*q0 + (k[4]-x)*w41*q1,
		(x-k[1])*w41*q1 + (k[5]-x)*w52*q2,
		(x - k[2]) * w52 * q2,
	}
	// raise turns derivatives of the three quadratics into those, one order
	// higher, of the four cubics.
	raise := func(q0, q1, q2 float64) [4]float64 {
		q0, q1, q2 = 3*q0*w30, 3*q1*w41, 3*q2*w52
		return [4]float64{-q0, q0 - q1, q1 - q2, q2}
	}
	db = raise(q0, q1, q2)
	ddb = raise(-2*p0*w31, 2*(p0*w31-p1*w42), 2*p1*w42)
	dddb = raise(2*w32*w31, -2*w32*(w31+w42), 2*w32*w42)
	return b, db, ddb, dddb
}
