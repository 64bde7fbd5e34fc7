package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
)

// sheet says which unknown of the normal equations each coefficient of a face
// is. A free sheet has one unknown a coefficient; an even one holds the
// columns of one half, and the face is exactly even in x. Beside them stand the
// amounts of some bulges.
type sheet struct {
	kx, ky []float64 // clamped knots
	nx, ny int
	even   bool
	shapes []bulge
}

// newSheet lays knots about pitch mm apart over a box. An even sheet is as
// wide on either side of x = 0 as the box is on the wider one.
func newSheet(box r2.Box, pitch float64, even bool) *sheet {
	if even {
		a := math.Max(math.Abs(box.Min.X), math.Abs(box.Max.X))
		box.Min.X, box.Max.X = -a, a
	}
	s := &sheet{kx: evenKnots(box.Min.X, box.Max.X, pitch), ky: evenKnots(box.Min.Y, box.Max.Y, pitch), even: even}
	s.nx, s.ny = len(s.kx)-4, len(s.ky)-4
	return s
}

// Bounds of the number of knot spans along either axis.
const (
	leastSpans = 3
	mostSpans  = 60
)

// evenKnots is a clamped vector of equal spans about pitch long; where lo is
// −hi it is exactly symmetric.
func evenKnots(lo, hi, pitch float64) []float64 {
	n := int(min(mostSpans, max(leastSpans, math.Round((hi-lo)/pitch))))
	k := make([]float64, n+7)
	for i := range k {
		j := min(max(i-3, 0), n)
		a, b := float64(j)/float64(n), float64(n-j)/float64(n)
		k[i] = lo*b + hi*a
	}
	return k
}

// columns is the number of columns of coefficients that are unknowns.
func (s *sheet) columns() int {
	if s.even {
		return (s.nx + 1) / 2
	}
	return s.nx
}

// arrow makes an empty matrix for the sheet's unknowns and shared more.
func (s *sheet) arrow(shared int) *arrow {
	n := s.columns() * s.ny
	a := newArrow(n, min(3*s.ny+3, n-1), len(s.shapes)+shared)
	a.own = len(s.shapes)
	return a
}

// unknowns is the number of those of the spline and how many of them the
// penalty leaves free: the polynomials of the second degree.
func (s *sheet) unknowns() (all, free int) {
	if s.even {
		return s.columns() * s.ny, 4
	}
	return s.columns() * s.ny, 6
}

func (s *sheet) unknown(i, j int) int {
	if s.even {
		i = min(i, s.nx-1-i)
	}
	return i*s.ny + j
}

// at is the row of the face's height over (x, y).
func (s *sheet) at(x, y float64) row {
	i, bx, _, _, _ := geom.ClampedBasis(s.kx, x)
	j, by, _, _, _ := geom.ClampedBasis(s.ky, y)
	room := 16 + len(s.shapes) + 3 // for three shared unknowns
	r := row{idx: make([]int, 0, room), val: make([]float64, 0, room)}
	for k := range bx {
		for l := range by {
			r.idx, r.val = append(r.idx, s.unknown(i+k, j+l)), append(r.val, bx[k]*by[l])
		}
	}
	own := s.columns() * s.ny
	for t, b := range s.shapes {
		r.idx, r.val = append(r.idx, own+t), append(r.val, b.at(i, bx, j, by))
	}
	return r
}

// face makes the face of the unknowns x.
func (s *sheet) face(x []float64) (*geom.Face, error) {
	c := make([]float64, s.nx*s.ny)
	for i := range s.nx {
		for j := range s.ny {
			c[i*s.ny+j] = x[s.unknown(i, j)]
			for t, b := range s.shapes {
				c[i*s.ny+j] += x[s.columns()*s.ny+t] * b.x[i] * b.y[j]
			}
		}
	}
	return geom.NewFace(s.kx, s.ky, c)
}

// bending is the penalty ∫ g³·z_xxx² + 3g²·z_xxy² + 3g·z_xyy² + z_yyy² over the
// box for order 3, ∫ g²·z_xx² + 2g·z_xy² + z_yy² for order 2: sums of Kronecker
// products of the Gram matrices of the derivatives along either axis. g says
// how much stiffer the face is along x than along y.
func (s *sheet) bending(order int, g float64) *arrow {
	p := s.arrow(0)
	binomial := map[int][]float64{2: {1, 2, 1}, 3: {1, 3, 3, 1}}[order]
	for dx, f := range binomial {
		f *= math.Pow(g, float64(dx))
		gx, gy := gram(s.kx, dx), gram(s.ky, order-dx)
		for i := range s.nx {
			for k, u := range gx[i] {
				i2 := i - 3 + k
				if i2 < 0 || i2 >= s.nx || u == 0 {
					continue
				}
				for j := range s.ny {
					for l, v := range gy[j] {
						j2 := j - 3 + l
						if j2 < 0 || j2 >= s.ny {
							continue
						}
						if a, b := s.unknown(i, j), s.unknown(i2, j2); b <= a {
							*p.cell(a, b) += f * u * v
						}
					}
				}
			}
		}
	}
	return p
}

// gram holds ∫ B_i⁽ᵈ⁾·B_j⁽ᵈ⁾ of the B-splines on clamped knots, row i at places
// j−i+3, by Gauss's rule of four points, which is exact.
func gram(knots []float64, d int) [][7]float64 {
	node := [4]float64{-0.8611363115940526, -0.3399810435848563, 0.3399810435848563, 0.8611363115940526}
	weight := [4]float64{0.3478548451374538, 0.6521451548625461, 0.6521451548625461, 0.3478548451374538}
	g := make([][7]float64, len(knots)-4)
	for k := 3; k < len(knots)-4; k++ {
		h := (knots[k+1] - knots[k]) / 2
		for q := range node {
			first, b0, b1, b2, b3 := geom.ClampedBasis(knots, knots[k]+h*(1+node[q]))
			b := [4][4]float64{b0, b1, b2, b3}
			for i, u := range b[d] {
				for j, v := range b[d] {
					g[first+i][j-i+3] += h * weight[q] * u * v
				}
			}
		}
	}
	return g
}
