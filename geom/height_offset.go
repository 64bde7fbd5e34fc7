package geom

import "math"

// Offset is the surface parallel to Of at the distance D along its upward
// normal (below it where D < 0), as a height field of its own:
//
//	Offset, D > 0      ,--*--.        * = (x, y), where it is asked for
//	                  /   |   \
//	Of               ,---o     \      o = its foot on Of, D from *, square
//	                                      to both surfaces
//
// Eval finds the foot by Newton's method, to 1e-12 mm, so heights are good to
// 1e-10 mm. Gradient and second derivatives are exact there. At or beyond the
// nearer centre of curvature, where the parallel surface folds, and where the
// foot is not found, Z is NaN.
type Offset struct {
	Of Surface
	D  float64 // mm
}

// Eval returns the parallel surface over (x, y).
func (o Offset) Eval(x, y float64) Height {
	const (
		rounds = 40
		close  = 1e-12 // mm
	)
	h := o.Of.Eval(x, y)
	w := h.stretch()
	u, v := x+o.D*h.Zx/w, y+o.D*h.Zy/w
	for range rounds {
		h = o.Of.Eval(u, v)
		w = h.stretch()
		j, ok := o.spread(h)
		if !ok {
			break
		}
		rx, ry := x-(u-o.D*h.Zx/w), y-(v-o.D*h.Zy/w)
		du, dv := j.apply(rx, ry)
		u, v = u+du, v+dv
		if math.Abs(du)+math.Abs(dv) <= close+1e-15*(math.Abs(x)+math.Abs(y)) {
			return o.over(u, v)
		}
	}
	return Height{Z: math.NaN()}
}

// over returns the parallel surface's height and derivatives above the foot
// (u, v). The gradient is the foot's; the second derivatives are the foot's
// times the inverse of the plan map foot -> point.
func (o Offset) over(u, v float64) Height {
	h := o.Of.Eval(u, v)
	j, ok := o.spread(h)
	if !ok {
		return Height{Z: math.NaN()}
	}
	xy := h.Zxx*j.xy + h.Zxy*j.yy
	yx := h.Zxy*j.xx + h.Zyy*j.yx
	return Height{
		Z:  h.Z + o.D/h.stretch(),
		Zx: h.Zx, Zy: h.Zy,
		Zxx: h.Zxx*j.xx + h.Zxy*j.yx,
		Zxy: (xy + yx) / 2,
		Zyy: h.Zxy*j.xy + h.Zyy*j.yy,
	}
}

// plan2 is a 2 × 2 matrix acting on plan vectors.
type plan2 struct{ xx, xy, yx, yy float64 }

func (m plan2) apply(x, y float64) (float64, float64) {
	return m.xx*x + m.xy*y, m.yx*x + m.yy*y
}

// spread returns the inverse derivative of the plan map foot -> point of the
// parallel surface, I - D·(I/w - ggᵀ/w³)·Hess z with g the gradient; false
// where the map folds.
func (o Offset) spread(h Height) (plan2, bool) {
	w := h.stretch()
	w3 := w * w * w
	sxx, sxy, syy := 1/w-h.Zx*h.Zx/w3, -h.Zx*h.Zy/w3, 1/w-h.Zy*h.Zy/w3
	a := 1 - o.D*(sxx*h.Zxx+sxy*h.Zxy)
	b := -o.D * (sxx*h.Zxy + sxy*h.Zyy)
	c := -o.D * (sxy*h.Zxx + syy*h.Zxy)
	d := 1 - o.D*(sxy*h.Zxy+syy*h.Zyy)
	det := a*d - b*c
	// det > 0 and trace > 0 together: neither principal radius is reached.
	if !(det > 1e-9) || !(a+d > 0) {
		return plan2{}, false
	}
	return plan2{xx: d / det, xy: -b / det, yx: -c / det, yy: a / det}, true
}
