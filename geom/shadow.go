package geom

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// band is the ground edge of a pane in closed form: everything about it
// follows from the upper face, the plan of the upper arris, the thickness and
// the profile.
type band struct {
	face    Surface
	plan    *Curve // of the upper arris
	t       float64
	profile Profile
}

// bandPoint is the band at one parameter of the plan: the point of the upper
// arris, the upper face's unit normal there, and how both change with the
// parameter.
type bandPoint struct{ upper, dUpper, n, dn r3.Vec }

func (b band) at(u float64) bandPoint {
	p, d, _, _ := b.plan.Derivs(u)
	h := b.face.Eval(p.X, p.Y)
	return bandPoint{
		upper:  r3.Vec{X: p.X, Y: p.Y, Z: h.Z},
		dUpper: r3.Vec{X: d.X, Y: d.Y, Z: h.Zx*d.X + h.Zy*d.Y},
		n:      h.Normal(),
		dn:     h.normalChange(d.X, d.Y),
	}
}

// down returns the point d mm below the upper arris, square to the face, and
// how it changes with the parameter.
func (q bandPoint) down(d float64) (p, dp r3.Vec) {
	return r3.Sub(q.upper, r3.Scale(d, q.n)), r3.Sub(q.dUpper, r3.Scale(d, q.dn))
}

// outward returns the unit vector square to both the edge d mm below the upper
// arris and to the face's normal, away from the glass.
func (q bandPoint) outward(d float64) r3.Vec {
	_, dp := q.down(d)
	return r3.Unit(r3.Cross(dp, q.n))
}

// shadow returns the point of the shadow's outline that lies on the plan
// normal through the middle m of the band at the parameter u: the furthest of
// the solid along that line.
//
// A round edge is swept by a ball of radius t/2 along its middle, so its shadow
// is swept by the disc. A square edge is swept by the segments from the upper
// arris (λ = 0) to the lower one (λ = 1). Where n leans out the furthest point
// is the upper arris, where it leans in the lower; where it passes from one to
// the other at a place where n lies along the edge, the segments themselves
// bound the shadow, and fill the step between the arrises with their common
// tangent:
//
//	  upper arris      join       lower arris
//	-----------------o . . . . o-----------------
//	                  `-.    .-'                      n along the edge
//	     lower arris ----- x -----  upper arris
//
// (in a hollow, and where the face twists against the edge, they cross instead
// and the shadow has a faint hollow corner there).
func (b band) shadow(u float64) r2.Vec {
	q := b.at(u)
	m, dm := q.down(b.t / 2)
	tangent := r2.Unit(planOf(dm))
	line := shadowLine{band: b, u: u, m: planOf(m), tangent: tangent, normal: r2.Vec{X: tangent.Y, Y: -tangent.X}}
	h := b.t / 2
	if b.profile == SquareEdge {
		h = line.furthest()
	}
	return r2.Add(line.m, r2.Scale(h, line.normal))
}

// shadowLine is the plan normal through the middle of the band at u.
type shadowLine struct {
	band
	u                  float64
	m, tangent, normal r2.Vec
}

// cut returns the height on the line at which it cuts the curve λ·t below the
// upper arris, near u, and its derivative with respect to λ.
func (l shadowLine) cut(lambda float64) (h, dh float64) {
	const (
		rounds = 12
		close  = 1e-11 // mm
	)
	w := l.u
	for range rounds {
		q := l.at(w)
		p, dp := q.down(lambda * l.t)
		off := r2.Sub(planOf(p), l.m)
		d := planOf(dp)
		step := r2.Dot(off, l.tangent) / r2.Dot(d, l.tangent)
		h = r2.Dot(off, l.normal) - step*r2.Dot(d, l.normal)
		n := planOf(q.n)
		dw := l.t * r2.Dot(n, l.tangent) / r2.Dot(d, l.tangent)
		dh = dw*r2.Dot(d, l.normal) - l.t*r2.Dot(n, l.normal)
		w -= step
		if math.Abs(step)*r2.Norm(d) <= close {
			break
		}
	}
	return h, dh
}

// furthest returns the greatest height that the band reaches on the line.
func (l shadowLine) furthest() float64 {
	const close = 1e-7 // mm, of height
	h0, d0 := l.cut(0)
	h1, d1 := l.cut(1)
	best := max(h0, h1)
	if !(d0 > 0 && d1 < 0) {
		return best
	}
	// A greatest height between the arrises: where the derivative is 0. It is
	// nearly linear in λ.
	a, b := 0.0, 1.0
	for range 40 {
		x := a + (b-a)*d0/(d0-d1)
		h, d := l.cut(x)
		best = max(best, h)
		if math.Abs(d)*(b-a) <= close {
			break
		}
		if d > 0 {
			a, d0 = x, d
		} else {
			b, d1 = x, d
		}
	}
	return best
}
