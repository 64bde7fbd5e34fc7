package geom

import (
	"errors"
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"
)

// Frame is a rigid motion, p ↦ R·p + T: it takes the coordinates of a point in
// one frame to those in another. The rows of R are the axes of the new frame
// written in the old one. R must be a rotation.
type Frame struct {
	R [3][3]float64
	T r3.Vec // mm
}

// Identity returns the motion that changes nothing.
func Identity() Frame {
	return Frame{R: [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}}
}

// Apply returns where the point p goes.
func (f Frame) Apply(p r3.Vec) r3.Vec { return r3.Add(f.Rotate(p), f.T) }

// Rotate turns the direction v.
func (f Frame) Rotate(v r3.Vec) r3.Vec {
	row := func(i int) float64 { return f.R[i][0]*v.X + f.R[i][1]*v.Y + f.R[i][2]*v.Z }
	return r3.Vec{X: row(0), Y: row(1), Z: row(2)}
}

// Inverse returns the motion back.
func (f Frame) Inverse() Frame {
	var g Frame
	for i := range 3 {
		for j := range 3 {
			g.R[i][j] = f.R[j][i]
		}
	}
	g.T = r3.Scale(-1, g.Rotate(f.T))
	return g
}

// Then returns the motion f followed by g.
func (f Frame) Then(g Frame) Frame {
	var h Frame
	for i := range 3 {
		for j := range 3 {
			h.R[i][j] = g.R[i][0]*f.R[0][j] + g.R[i][1]*f.R[1][j] + g.R[i][2]*f.R[2][j]
		}
	}
	h.T = g.Apply(f.T)
	return h
}

// Matrix returns the motion as a 4 × 4 matrix acting on column vectors
// (x, y, z, 1), row-major: the last column holds T.
func (f Frame) Matrix() [16]float64 {
	r := f.R
	return [16]float64{
		r[0][0], r[0][1], r[0][2], f.T.X,
		r[1][0], r[1][1], r[1][2], f.T.Y,
		r[2][0], r[2][1], r[2][2], f.T.Z,
		0, 0, 0, 1,
	}
}

// frameAt returns the motion into the frame with the given unit axes and
// origin.
func frameAt(origin, x, y, z r3.Vec) Frame {
	f := Frame{R: [3][3]float64{{x.X, x.Y, x.Z}, {y.X, y.Y, y.Z}, {z.X, z.Y, z.Z}}}
	f.T = r3.Scale(-1, f.Rotate(origin))
	return f
}

// errUpright refuses an edge whose plane stands so that an axis is undefined.
var errUpright = errors.New("geom: the plane through the edge stands upright: no frame can be levelled to it")

// leastAxis is the length below which an axis got by a cross product of unit
// vectors counts as undefined: the sine of 0.06°.
const leastAxis = 1e-3

// MirrorFrame returns the motion from the board frame to the glass frame of a
// mirrored pane, but for where its origin stands. X is the centre plane's unit
// normal, to the board's +x side. Z points off the board, square to X, and is
// levelled: the least-squares plane through the edge (points of the upper
// arris, board frame) has no fore-aft lean, so its normal m lies in the plane
// of X and Z. Y = Z × X:
//
//	       Z   m                      Z = m
//	       |  /                       |
//	       | /                        |
//	-------+-------> X        --------+-------> Y
//	seen from the front       seen from the side
//
// The origin is the point of the centre plane nearest to the mean of the edge
// points. It fails where FitPlane does, and where the edge's plane is square
// to X.
func MirrorFrame(p Plane, edge []r3.Vec) (Frame, error) {
	if !allFinite(p.Point.X, p.Point.Y, p.Point.Z, p.Normal.X, p.Normal.Y, p.Normal.Z) || r3.Norm(p.Normal) == 0 {
		return Frame{}, fmt.Errorf("geom: the centre plane is not defined: %v", p)
	}
	centre, m, err := FitPlane(edge)
	if err != nil {
		return Frame{}, err
	}
	x := r3.Unit(p.Normal)
	y := r3.Cross(m, x)
	if r3.Norm(y) < leastAxis {
		return Frame{}, errUpright
	}
	y = r3.Unit(y)
	z := r3.Cross(x, y)
	d := r3.Dot(x, r3.Sub(centre, p.Point))
	return frameAt(r3.Sub(centre, r3.Scale(d, x)), x, y, z), nil
}

// PlainFrame returns the motion from the board frame to the glass frame of a
// pane without a mirror plane, but for where its origin stands: Z is the
// upward normal of the least-squares plane through the edge, Y the board's +y
// made square to Z, X = Y × Z. The origin is the mean of the edge points. It
// fails where FitPlane does, and where the edge's plane is square to y.
func PlainFrame(edge []r3.Vec) (Frame, error) {
	centre, z, err := FitPlane(edge)
	if err != nil {
		return Frame{}, err
	}
	y := r3.Sub(r3.Vec{Y: 1}, r3.Scale(z.Y, z))
	if r3.Norm(y) < leastAxis {
		return Frame{}, errUpright
	}
	y = r3.Unit(y)
	return frameAt(centre, r3.Cross(y, z), y, z), nil
}
