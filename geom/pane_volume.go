package geom

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Volume returns the volume of the glass in mm³, to 1e-7 of itself, by an
// integral of its own (no mesh): over the upper face of
//
//	t + H·t² + K·t³/3,
//
// the volume under each unit of area down to the parallel face, with the mean
// and Gaussian curvatures H and K of the upper face, positive in a bowl; and,
// for a round edge, along the middle of the edge of the half circle's area
// less its first moment times the edge's curvature towards it (Pappus).
func (p *Pane) Volume() float64 {
	v := p.integral(func(h Height) float64 { return parallelColumn(h, p.Thickness) })
	if p.Profile == RoundEdge {
		v += p.bulge()
	}
	return v
}

// parallelColumn returns the volume between a surface and its parallel t below,
// over a unit of plan.
func parallelColumn(h Height, t float64) float64 {
	mean, gauss, _, _ := h.Curvature()
	return h.stretch() * t * (1 + t*(mean+t*gauss/3))
}

// FaceArea returns the true area of the upper face out to the upper arris in
// mm², to 1e-7 of itself.
func (p *Pane) FaceArea() float64 { return p.integral(Height.stretch) }

// integral returns the integral of g over the plan of the upper face, by
// Green's theorem: ∮ G dy round the edge, where G is the integral of g along x
// from the middle. The spans of the face's knots are kept apart.
func (p *Pane) integral(g func(Height) float64) float64 {
	const longest = 40.0 // mm of edge under one eight-point rule
	f := p.Upper
	along := func(x, y float64) float64 {
		return integrateAcross(breaksOf(f.kx), f.kx[len(f.kx)/2], x, func(x float64) float64 { return g(f.Eval(x, y)) })
	}
	knots := p.plan.u
	sum := 0.0
	for i := range knots[1:] {
		a, b := knots[i], knots[i+1]
		_, d, _, _ := p.plan.Derivs((a + b) / 2)
		n := int(math.Ceil(math.Hypot(d.X, d.Y) * (b - a) / longest))
		for k := range n {
			u0, u1 := a+(b-a)*float64(k)/float64(n), a+(b-a)*float64(k+1)/float64(n)
			sum += integrate8(func(u float64) float64 {
				q, d, _, _ := p.plan.Derivs(u)
				return along(q.X, q.Y) * d.Y
			}, u0, u1)
		}
	}
	return sum
}

// integrate4 returns the four-point Gauss-Legendre integral of f from a to b,
// exact for polynomials up to degree 7: Abramowitz and Stegun, Handbook of
// Mathematical Functions, table 25.4.
func integrate4(f func(float64) float64, a, b float64) float64 {
	const (
		x0, w0 = 0.339981043584856265, 0.652145154862546143
		x1, w1 = 0.861136311594052575, 0.347854845137453857
	)
	m, h := (a+b)/2, (b-a)/2
	return h * (w0*(f(m-h*x0)+f(m+h*x0)) + w1*(f(m-h*x1)+f(m+h*x1)))
}

// integrateAcross returns the integral of g from a to b, in pieces that end at
// the breaks.
func integrateAcross(breaks []float64, a, b float64, g func(float64) float64) float64 {
	if b < a {
		return -integrateAcross(breaks, b, a, g)
	}
	sum := 0.0
	for _, x := range breaks {
		if x > a && x < b {
			sum += integrate4(g, a, x)
			a = x
		}
	}
	return sum + integrate4(g, a, b)
}

// bulge returns the volume that a round edge adds outside the square one.
func (p *Pane) bulge() float64 {
	r := p.Thickness / 2
	area, moment := math.Pi*r*r/2, 2*r*r*r/3
	knots := p.UpperEdge.u
	sum := 0.0
	for i := range knots[1:] {
		sum += integrate8(func(u float64) float64 {
			a, da, dda, _ := p.UpperEdge.Derivs(u)
			b, db, ddb, _ := p.LowerEdge.Derivs(u)
			d, dd := r3.Scale(0.5, r3.Add(da, db)), r3.Scale(0.5, r3.Add(dda, ddb))
			out := r3.Unit(r3.Cross(d, r3.Sub(a, b)))
			return area*r3.Norm(d) - moment*r3.Dot(dd, out)/r3.Norm(d)
		}, knots[i], knots[i+1])
	}
	return sum
}
