package geom

import "fmt"

// ClampedBasis returns the four cubic B-splines that act at x on a clamped
// knot vector (both end knots four times, inner knots rising): the index of
// the first of them, their values and their first three derivatives. The four
// control points first … first+3 belong to them.
//
// Beyond the end knots every B-spline is continued by its second-order Taylor
// polynomial at the end: the continuation joins with two continuous
// derivatives, is a quadratic, and so neither jumps nor explodes; its third
// derivative is 0. The knots are not checked (see NewFace); a NaN for x gives
// NaN.
//
// The cost is that of one basis: some 40 multiplications and 6 divisions.
func ClampedBasis(knots []float64, x float64) (first int, b, db, ddb, dddb [4]float64) {
	at := min(max(x, knots[3]), knots[len(knots)-4])
	i := knotSpan(knots, at)
	b, db, ddb, dddb = cubicBasis((*[6]float64)(knots[i-2:]), at)
	if dx := x - at; dx != 0 {
		for k := range b {
			b[k] += dx * (db[k] + dx*ddb[k]/2)
			db[k] += dx * ddb[k]
		}
		dddb = [4]float64{}
	}
	return i - 3, b, db, ddb, dddb
}

// knotSpan returns the index i of the span [t_i, t_i+1) of a clamped vector
// that holds x, the last one at the end.
func knotSpan(t []float64, x float64) int {
	a, b := 3, len(t)-4
	for b-a > 1 {
		if m := (a + b) / 2; t[m] <= x {
			a = m
		} else {
			b = m
		}
	}
	return a
}

// Greville returns the Greville abscissae of a clamped cubic knot vector, one
// for each control point: the mean of its three inner knots. With control
// points at these places a coordinate equals its parameter exactly.
func Greville(knots []float64) []float64 {
	g := make([]float64, len(knots)-4)
	for i := range g {
		g[i] = (knots[i+1] + knots[i+2] + knots[i+3]) / 3
	}
	g[0], g[len(g)-1] = knots[0], knots[len(knots)-1]
	return g
}

// Bounds of what a knot vector or a coefficient may be, in millimetres: far
// beyond any pane, and near enough that nothing overflows.
const (
	farthest      = 1e7
	leastKnotStep = 1e-6
	mostControl   = 1 << 22 // control points of one face
)

// clampedVector returns the full clamped knot vector over the rising breaks.
func clampedVector(breaks []float64) []float64 {
	lo, hi := breaks[0], breaks[len(breaks)-1]
	t := make([]float64, 0, len(breaks)+6)
	t = append(t, lo, lo, lo)
	t = append(t, breaks...)
	return append(t, hi, hi, hi)
}

// breaksOf returns the distinct knots of a clamped vector.
func breaksOf(knots []float64) []float64 { return knots[3 : len(knots)-3] }

// checkClamped says what is wrong with a clamped cubic knot vector.
func checkClamped(name string, t []float64) error {
	n := len(t)
	if n < 8 {
		return fmt.Errorf("geom: %s knots: %d of them, at least 8 needed", name, n)
	}
	for i, v := range t {
		if !finite(v) || v > farthest || v < -farthest {
			return fmt.Errorf("geom: %s knot %d is %g", name, i, v)
		}
	}
	for i := range 3 {
		if t[i] != t[3] || t[n-1-i] != t[n-4] {
			return fmt.Errorf("geom: %s knots are not clamped: the end knots must stand four times", name)
		}
	}
	for i := 4; i <= n-4; i++ {
		if t[i]-t[i-1] < leastKnotStep {
			return fmt.Errorf("geom: %s knots do not rise at knot %d (%g after %g)", name, i, t[i], t[i-1])
		}
	}
	return nil
}
