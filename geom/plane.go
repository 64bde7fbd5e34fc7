package geom

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Plane is a plane in space; above all the centre plane of a mirrored pane.
// The centre plane's normal points to the board's +x side:
//
//	skew > 0, seen from +z           roll > 0, seen from the front
//
//	  y   plane                          z  plane
//	   \  |                              \  |
//	    \ |  _ n                          \ |  _ n (leans up)
//	     \| /                              \| /
//	------+------> x                 -------+------> x
//	turned counter-clockwise         its upper end leans to -x
type Plane struct {
	Point  r3.Vec // any point of the plane, mm
	Normal r3.Vec // unit
}

// NewPlane returns the plane through point whose normal is that of the plane
// x = 0 turned by skew (counter-clockwise seen from +z) and lifted by roll,
// both in radians: (cos skew·cos roll, sin skew·cos roll, sin roll).
func NewPlane(point r3.Vec, skew, roll float64) Plane {
	ss, cs := math.Sincos(skew)
	sr, cr := math.Sincos(roll)
	return Plane{Point: point, Normal: r3.Vec{X: cs * cr, Y: ss * cr, Z: sr}}
}

// Skew returns how far the normal is turned from +x, counter-clockwise seen
// from +z, in radians.
func (p Plane) Skew() float64 { return math.Atan2(p.Normal.Y, p.Normal.X) }

// Roll returns how far the normal leans up, in radians.
func (p Plane) Roll() float64 {
	return math.Atan2(p.Normal.Z, math.Hypot(p.Normal.X, p.Normal.Y))
}

// Dist returns the distance of q from the plane in millimetres, positive on the
// normal's side.
func (p Plane) Dist(q r3.Vec) float64 { return r3.Dot(p.Normal, r3.Sub(q, p.Point)) }

// Mirror returns the mirror image of the point q.
func (p Plane) Mirror(q r3.Vec) r3.Vec {
	return r3.Sub(q, r3.Scale(2*p.Dist(q), p.Normal))
}

// MirrorDir returns the mirror image of the direction v.
func (p Plane) MirrorDir(v r3.Vec) r3.Vec {
	return r3.Sub(v, r3.Scale(2*r3.Dot(p.Normal, v), p.Normal))
}

// XAt returns the x of the plane at the given y and z. It is infinite or NaN
// where the plane holds the direction x.
func (p Plane) XAt(y, z float64) float64 {
	n := p.Normal
	return p.Point.X - (n.Y*(y-p.Point.Y)+n.Z*(z-p.Point.Z))/n.X
}
