package step

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// Section returns the upright cut through a face from a to b, which share their x
// or their y: the face itself along that line, exactly. It refuses places outside
// the face's box, and two nearer together than the uncertainty.
func Section(f *geom.Face, a, b r2.Vec) (Spline, error) {
	box := f.Box()
	for _, q := range []r2.Vec{a, b} {
		if !(q.X >= box.Min.X && q.X <= box.Max.X && q.Y >= box.Min.Y && q.Y <= box.Max.Y) {
			return Spline{}, fmt.Errorf("step: a section to x %g, y %g of a face over %v", q.X, q.Y, box)
		}
	}
	knots, from, to := f.XKnots(), a.X, b.X
	at := func(u float64) (p, d, dd r3.Vec) {
		h := f.Eval(u, a.Y)
		return r3.Vec{X: u, Y: a.Y, Z: h.Z}, r3.Vec{X: 1, Z: h.Zx}, r3.Vec{Z: h.Zxx}
	}
	switch {
	case a.X == b.X:
		knots, from, to = f.YKnots(), a.Y, b.Y
		at = func(u float64) (p, d, dd r3.Vec) {
			h := f.Eval(a.X, u)
			return r3.Vec{X: a.X, Y: u, Z: h.Z}, r3.Vec{Y: 1, Z: h.Zy}, r3.Vec{Z: h.Zyy}
		}
	case a.Y != b.Y:
		return Spline{}, fmt.Errorf("step: a section from %v to %v is neither along x nor along y", a, b)
	}
	if !(to-from > Uncertainty) {
		return Spline{}, fmt.Errorf("step: a section from %g to %g", from, to)
	}
	breaks := []float64{from}
	for _, k := range knots[4 : len(knots)-4] {
		if k > from+Uncertainty && k < to-Uncertainty {
			breaks = append(breaks, k)
		}
	}
	return along(append(breaks, to), at), nil
}
