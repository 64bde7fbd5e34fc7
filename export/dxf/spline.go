package dxf

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

const (
	degree       = 3
	knotDecimals = 12
	maxPoints    = 1 << 20 // of a polyline in place of a spline
)

func checkSpline(knots []float64, ctrl []r3.Vec, closed, planar bool) error {
	n := len(ctrl)
	if n < degree+1 || len(knots) != n+degree+1 {
		return fmt.Errorf("%d knots for %d control points", len(knots), n)
	}
	for i, u := range knots {
		if !(math.Abs(u) <= maxCoord) {
			return fmt.Errorf("knot %d is not finite or too large: %v", i, u)
		}
	}
	for i := 1; i < len(knots); i++ {
		step := snapped(knots[i], knotDecimals) - snapped(knots[i-1], knotDecimals)
		end := i <= degree || i > n
		if end && step != 0 {
			return errors.New("end knots must be fourfold")
		}
		if !end && !(step > 0) {
			return fmt.Errorf("knots do not rise at %d", i)
		}
	}
	if closed != (snap(ctrl[0]) == snap(ctrl[n-1])) {
		return fmt.Errorf("closed is %t, but the ends say otherwise", closed)
	}
	if planar && !level(ctrl) {
		return errors.New("marked planar, but its heights differ")
	}
	return nil
}

// flatten returns points on the curve such that no point of the curve is
// farther than chord mm from the polyline through them. A closed curve's first
// point is not repeated. An error says that the chord is too fine.
//
// Over a step h of the parameter a curve leaves its chord by at most
// h²/8·max|C″|; C″ of a cubic is linear on a knot span, so it is largest at an
// end of the span.
func (s spline) flatten(chord float64) ([]r3.Vec, error) {
	pts := []r3.Vec{s.ctrl[0]}
	_, bend := s.eval(s.knots[0])
	for k := degree; k < len(s.ctrl); k++ {
		lo, hi := s.knots[k], s.knots[k+1]
		before := bend
		_, bend = s.eval(hi)
		steps := max(1, math.Ceil((hi-lo)*math.Sqrt(max(r3.Norm(before), r3.Norm(bend))/(8*chord))))
		if !(float64(len(pts))+steps <= maxPoints) {
			return nil, fmt.Errorf("more than %d points needed for a chord tolerance of %v mm", maxPoints, chord)
		}
		for j := 1.0; j <= steps; j++ {
			p, _ := s.eval(lo + (hi-lo)*j/steps)
			if snap(p) != snap(pts[len(pts)-1]) {
				pts = append(pts, p)
			}
		}
	}
	if s.closed {
		pts = pts[:len(pts)-1]
	}
	return pts, nil
}

// eval returns the point at u and the second derivative there.
func (s spline) eval(u float64) (p, second r3.Vec) {
	first, b, _, ddb, _ := geom.ClampedBasis(s.knots, u)
	for i := range b {
		c := s.ctrl[first+i]
		p = r3.Add(p, r3.Scale(b[i], c))
		second = r3.Add(second, r3.Scale(ddb[i], c))
	}
	return p, second
}
