package geom

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Face is a smooth height field z = f(x, y) in millimetres: a bicubic tensor
// product of B-splines on clamped knots with single inner knots, so twice
// continuously differentiable. With control points at the Greville abscissae
// of its knots (x_i, y_j, c_ij) it is a bicubic B-spline surface whose
// parameters are x and y themselves.
//
// Beyond its box it is continued with two continuous derivatives, as
// ClampedBasis says. A Face is not changed after it is made; it may be used
// from several goroutines.
type Face struct {
	kx, ky []float64
	c      []float64 // row-major, c[i*ny+j], i along x
	ny     int
}

// NewFace makes a face from its knots, full clamped vectors of nx+4 and ny+4
// values in millimetres, and its nx·ny coefficients, row-major with
// c[i*ny+j], i along x. It refuses anything but finite, properly clamped input
// with rising inner knots. The slices are copied.
func NewFace(xKnots, yKnots, c []float64) (*Face, error) {
	if err := checkClamped("x", xKnots); err != nil {
		return nil, err
	}
	if err := checkClamped("y", yKnots); err != nil {
		return nil, err
	}
	nx, ny := len(xKnots)-4, len(yKnots)-4
	if len(c) != nx*ny {
		return nil, fmt.Errorf("geom: face of %d × %d control points has %d coefficients", nx, ny, len(c))
	}
	for i, v := range c {
		if !finite(v) || v > farthest || v < -farthest {
			return nil, fmt.Errorf("geom: face coefficient %d,%d is %g", i/ny, i%ny, v)
		}
	}
	return &Face{kx: slices.Clone(xKnots), ky: slices.Clone(yKnots), c: slices.Clone(c), ny: ny}, nil
}

// XKnots returns a copy of the clamped knots along x.
func (f *Face) XKnots() []float64 { return slices.Clone(f.kx) }

// YKnots returns a copy of the clamped knots along y.
func (f *Face) YKnots() []float64 { return slices.Clone(f.ky) }

// Coeffs returns a copy of the coefficients, row-major, i along x.
func (f *Face) Coeffs() []float64 { return slices.Clone(f.c) }

// Size returns the number of control points along x and along y.
func (f *Face) Size() (nx, ny int) { return len(f.c) / f.ny, f.ny }

// Box returns the plan box that the knots span.
func (f *Face) Box() r2.Box {
	return r2.Box{
		Min: r2.Vec{X: f.kx[0], Y: f.ky[0]},
		Max: r2.Vec{X: f.kx[len(f.kx)-1], Y: f.ky[len(f.ky)-1]},
	}
}

// At returns the height over (x, y).
func (f *Face) At(x, y float64) float64 {
	i, bx, _, _, _ := ClampedBasis(f.kx, x)
	j, by, _, _, _ := ClampedBasis(f.ky, y)
	z := 0.0
	for k, b := range bx {
		r := f.c[(i+k)*f.ny+j:][:4]
		z += b * (r[0]*by[0] + r[1]*by[1] + r[2]*by[2] + r[3]*by[3])
	}
	return z
}

// Eval returns the height over (x, y) and its derivatives.
func (f *Face) Eval(x, y float64) Height {
	i, bx, dx, ddx, _ := ClampedBasis(f.kx, x)
	j, by, dy, ddy, _ := ClampedBasis(f.ky, y)
	var h Height
	for k := range bx {
		r := f.c[(i+k)*f.ny+j:][:4]
		v := r[0]*by[0] + r[1]*by[1] + r[2]*by[2] + r[3]*by[3]
		v1 := r[0]*dy[0] + r[1]*dy[1] + r[2]*dy[2] + r[3]*dy[3]
		v2 := r[0]*ddy[0] + r[1]*ddy[1] + r[2]*ddy[2] + r[3]*ddy[3]
		h.Z += bx[k] * v
		h.Zx += dx[k] * v
		h.Zy += bx[k] * v1
		h.Zxx += ddx[k] * v
		h.Zxy += dx[k] * v1
		h.Zyy += bx[k] * v2
	}
	return h
}

// Shifted returns the face moved by (dx, dy, dz).
func (f *Face) Shifted(dx, dy, dz float64) *Face {
	move := func(s []float64, d float64) []float64 {
		m := slices.Clone(s)
		for i := range m {
			m[i] += d
		}
		return m
	}
	return &Face{kx: move(f.kx, dx), ky: move(f.ky, dy), c: move(f.c, dz), ny: f.ny}
}
