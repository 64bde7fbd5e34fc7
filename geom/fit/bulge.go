package fit

import (
	"math"

	"panewright/geom"
)

// bulge is a polynomial of the third or fourth degree that a sheet may hold
// some of beside its spline: the way that a real pane strays from a quadratic
// first. Without them the spline has to make its taper and its wings, is given
// the freedom for it everywhere, and knows little beyond the readings.
type bulge struct {
	x, y []float64 // coefficients along either axis; the sheet's are their products
	sd   float64   // mm, of its amount
}

// bulgeShares are what the bulges may amount to, as sds in shares of half the
// longer side, by the degree along x and what it has along y: panes taper by
// some 5 of 100, and wings turn down by less than one beyond a parabola. Those
// of x and y together are mere unevenness; with more freedom they would rise
// and fall inside an edge that alone was read. They are Legendre's polynomials:
// an amount is the rise at the box's corner.
var bulgeShares = [][]float64{
	{0.01, 0.05, 0.05, 0.01},               // y³, x·y², x²·y, x³
	{0.008, 0.0008, 0.0008, 0.0008, 0.008}, // y⁴ … x⁴
}

// addBulges gives the sheet the polynomials of the third and fourth degree,
// those even in x where it is.
func (s *sheet) addBulges() {
	x, y := alongAxis(s.kx), alongAxis(s.ky)
	half := math.Max(s.kx[len(s.kx)-1]-s.kx[0], s.ky[len(s.ky)-1]-s.ky[0]) / 2
	for _, shares := range bulgeShares {
		for i, share := range shares {
			if !s.even || i%2 == 0 {
				s.shapes = append(s.shapes, bulge{x[i], y[len(shares)-1-i], share * half})
			}
		}
	}
}

// alongAxis are the coefficients, on clamped equal knots, of the splines nearest
// to Legendre's polynomials of degree 0 … 4 over them.
func alongAxis(knots []float64) (all [5][]float64) {
	const perSpan = 8 // places that the splines are fitted at
	n := len(knots) - 4
	lo, hi := knots[3], knots[n]
	places := perSpan * (n - 3)
	a := newArrow(n, 3, 0)
	for d := range all {
		all[d] = make([]float64, n)
	}
	for q := range places {
		u := (2*float64(q)+1)/float64(places) - 1
		first, b, _, _, _ := geom.ClampedBasis(knots, lo+(hi-lo)*(1+u)/2)
		a.addRow(row{[]int{first, first + 1, first + 2, first + 3}, b[:]}, 1)
		for d, v := range legendre(u) {
			for k, w := range b {
				all[d][first+k] += w * v
			}
		}
	}
	if a.factor() != nil { // cannot be: every span has places
		return all
	}
	for d, c := range all {
		a.solve(c)
		for i, j := 0, n-1; i <= j; i, j = i+1, j-1 { // exactly even or odd
			if d%2 == 0 {
				c[i] = (c[i] + c[j]) / 2
				c[j] = c[i]
			} else {
				c[i] = (c[i] - c[j]) / 2
				c[j] = -c[i]
			}
		}
	}
	return all
}

// legendre are the polynomials of degree 0 … 4 at u (Abramowitz and Stegun,
// 22.7.10).
func legendre(u float64) (p [5]float64) {
	p[0], p[1] = 1, u
	for n := 1; n < 4; n++ {
		p[n+1] = (float64(2*n+1)*u*p[n] - float64(n)*p[n-1]) / float64(n+1)
	}
	return p
}

// at is the bulge's height where the bases along the axes are bx from column i
// and by from row j on.
func (b *bulge) at(i int, bx [4]float64, j int, by [4]float64) float64 {
	return dot(b.x[i:i+4], bx[:]) * dot(b.y[j:j+4], by[:])
}
