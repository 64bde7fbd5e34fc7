package geom

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Height is what a height field z(x, y) has at one plan point: its value in
// millimetres and its partial derivatives up to the second order.
type Height struct{ Z, Zx, Zy, Zxx, Zxy, Zyy float64 }

// Surface is a height field: the height and its derivatives over a plan point
// in millimetres. A plan point where the surface is not defined gives a Height
// with a NaN in Z.
type Surface interface {
	Eval(x, y float64) Height
}

// Normal returns the unit normal, pointing up.
func (h Height) Normal() r3.Vec {
	w := h.stretch()
	return r3.Vec{X: -h.Zx / w, Y: -h.Zy / w, Z: 1 / w}
}

// Slope returns the angle between the surface and the level, in radians,
// from 0 to below π/2.
func (h Height) Slope() float64 { return math.Atan(math.Hypot(h.Zx, h.Zy)) }

// Curvature returns the mean and Gaussian curvature (1/mm, 1/mm²) and the
// principal curvatures, k1 >= k2. The sign follows the upward normal: a bowl
// (centre of curvature above) is positive, a dome negative, so that the
// parallel surface at the distance d up the normal has the area element
// 1 - 2·mean·d + gauss·d² times this one's.
//
// Formulas of a Monge patch; A. Gray, Modern Differential Geometry of Curves
// and Surfaces, 2nd ed. 1997.
func (h Height) Curvature() (mean, gauss, k1, k2 float64) {
	p, q := 1+h.Zx*h.Zx, 1+h.Zy*h.Zy
	w2 := p + h.Zy*h.Zy
	gauss = (h.Zxx*h.Zyy - h.Zxy*h.Zxy) / (w2 * w2)
	mean = (q*h.Zxx - 2*h.Zx*h.Zy*h.Zxy + p*h.Zyy) / (2 * w2 * math.Sqrt(w2))
	d := math.Sqrt(math.Max(0, mean*mean-gauss))
	return mean, gauss, mean + d, mean - d
}

// stretch is the area of surface over a unit of plan, at least 1.
func (h Height) stretch() float64 { return math.Sqrt(1 + h.Zx*h.Zx + h.Zy*h.Zy) }

// finite reports whether no part of h is infinite or not a number.
func (h Height) finite() bool {
	return allFinite(h.Z, h.Zx, h.Zy, h.Zxx, h.Zxy, h.Zyy)
}

// normalChange is the rate at which the unit normal turns when the plan point
// moves with the velocity (dx, dy).
func (h Height) normalChange(dx, dy float64) r3.Vec {
	n := h.Normal()
	d := r3.Vec{X: -(h.Zxx*dx + h.Zxy*dy), Y: -(h.Zxy*dx + h.Zyy*dy)}
	return r3.Scale(1/h.stretch(), r3.Sub(d, r3.Scale(r3.Dot(n, d), n)))
}

// OffsetPoint returns the point at the distance d up the normal (down it where
// d < 0) from the point of s over (x, y).
func OffsetPoint(s Surface, x, y, d float64) r3.Vec {
	h := s.Eval(x, y)
	return r3.Add(r3.Vec{X: x, Y: y, Z: h.Z}, r3.Scale(d, h.Normal()))
}

// allFinite reports whether every v is a number and not infinite.
func allFinite(v ...float64) bool {
	for _, x := range v {
		if !finite(x) {
			return false
		}
	}
	return true
}
