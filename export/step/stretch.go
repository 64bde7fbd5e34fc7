package step

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// Stretch returns the stretch of a closed curve from one parameter to another,
// the way the parameter rises; where to is not beyond from it is taken a period
// later. Both are taken as they are, so a stretch may run through the curve's
// start. It refuses parameters that are not finite and a stretch longer than
// the curve.
func Stretch(c *geom.SpaceCurve, from, to float64) (Spline, error) {
	knots := c.Knots()
	lo, hi := c.Period()
	period := hi - lo
	if to <= from {
		to += period
	}
	if !(to > from && to-from <= period*(1+1e-12)) || math.IsInf(from, 0) {
		return Spline{}, fmt.Errorf("step: stretch of a curve from %g to %g over a period of %g", from, to, period)
	}
	least := 1e-9 * period // a span shorter than this is none
	breaks := []float64{from}
	turn := period * math.Floor((from-lo)/period)
	for range 3 {
		for _, u := range knots[1:] {
			if u += turn; u > from+least && u < to-least {
				breaks = append(breaks, u)
			}
		}
		turn += period
	}
	return stretch(c, append(breaks, to)), nil
}

// stretch returns the curve between the first and the last of the breaks, which
// rise, hold every knot of the curve between them, and become the knots of the
// stretch.
func stretch(c *geom.SpaceCurve, breaks []float64) Spline {
	return along(breaks, func(u float64) (p, d, dd r3.Vec) {
		p, d, dd, _ = c.Derivs(u)
		return p, d, dd
	})
}

// along returns the spline that is what at gives with its first two derivatives:
// one cubic between each two of the breaks, which rise, and twice continuously
// differentiable.
//
// A control point is the blossom of the curve at its three inner knots. One of
// them is the break where the derivatives are taken, so the third derivative,
// which jumps there, falls out.
func along(breaks []float64, at func(u float64) (p, d, dd r3.Vec)) Spline {
	spans := len(breaks) - 1
	knots := clamped(breaks)
	ctrl := make([]r3.Vec, spans+3)
	for i := range ctrl {
		base := breaks[min(max(i-1, 0), spans-1)]
		p, d, dd := at(base)
		x, y, z := knots[i+1]-base, knots[i+2]-base, knots[i+3]-base
		ctrl[i] = r3.Add(p, r3.Add(r3.Scale((x+y+z)/3, d), r3.Scale((x*y+y*z+z*x)/6, dd)))
	}
	ctrl[0], _, _ = at(breaks[0])
	ctrl[len(ctrl)-1], _, _ = at(breaks[spans])
	return Spline{knots, ctrl}
}

// clamped returns the full knots over rising breaks, fourfold at both ends.
func clamped(breaks []float64) []float64 {
	lo, hi := breaks[0], breaks[len(breaks)-1]
	knots := append([]float64{lo, lo, lo}, breaks...)
	return append(knots, hi, hi, hi)
}

// quarters cuts the spans between the knots of a closed curve into four runs,
// about equal in number and symmetric where the knots are.
func quarters(knots []float64) [4][]float64 {
	n := len(knots) - 1
	quarter := (n + 2) / 4
	cuts := [5]int{0, quarter, n / 2, n - quarter, n}
	var runs [4][]float64
	for i := range runs {
		runs[i] = knots[cuts[i] : cuts[i+1]+1]
	}
	return runs
}

// reverse turns a spline round.
func (s *Spline) reverse() {
	n := len(s.Knots)
	lo, hi := s.Knots[0], s.Knots[n-1]
	knots := make([]float64, n)
	for i := range knots {
		knots[i] = lo + (hi - s.Knots[n-1-i])
	}
	s.Knots = knots
	slices.Reverse(s.Ctrl)
}
