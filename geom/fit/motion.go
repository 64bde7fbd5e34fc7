package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// motion places a mirror plane in a frame: shift is its x at the frame's
// origin, skew and roll turn its normal as geom.NewPlane has them. Order:
// shift, skew, roll.
type motion [3]float64

// plane is the mirror plane in the given frame.
func (m motion) plane() geom.Plane {
	return geom.NewPlane(r3.Vec{X: m[0]}, m[1], m[2])
}

// frame carries the given frame to the one in which the plane is x = 0: a
// shift along x, then −skew about z, then the roll about y.
func (m motion) frame() geom.Frame {
	ss, cs := math.Sincos(m[1])
	sr, cr := math.Sincos(m[2])
	f := geom.Frame{R: [3][3]float64{
		{cr * cs, cr * ss, sr},
		{-ss, cs, 0},
		{-sr * cs, -sr * ss, cr},
	}}
	f.T = r3.Scale(-m[0], r3.Vec{X: f.R[0][0], Y: f.R[1][0], Z: f.R[2][0]})
	return f
}

// change is how the image q = frame()·p moves with shift, skew and roll.
func (m motion) change(q r3.Vec) [3]r3.Vec {
	ss, cs := math.Sincos(m[1])
	sr, cr := math.Sincos(m[2])
	ax := cr*q.X - sr*q.Z // along the unrolled normal
	return [3]r3.Vec{
		{X: -cr * cs, Y: ss, Z: sr * cs},
		{X: cr * q.Y, Y: -ax, Z: -sr * q.Y},
		{X: q.Z, Y: 0, Z: -q.X},
	}
}

// lift returns the z in the given frame of the point over (x, y) of that frame
// whose image lies on the face: for marks without a height.
func (m motion) lift(x, y float64, face *geom.Face) float64 {
	f, back := m.frame(), m.frame().Inverse()
	p := r3.Vec{X: x, Y: y}
	for range 4 { // the roll is small: each round gains three digits
		q := f.Apply(p)
		q.Z = face.At(q.X, q.Y)
		p.Z = back.Apply(q).Z
	}
	return p.Z
}

// foldOnto finds the mirror line of a closed curve in plan, from a guess that
// may be some tens of mm and a few degrees off: Gauss-Newton on the distances
// between the curve's mirror image and the curve.
func foldOnto(c *geom.Curve, m motion) motion {
	lo, hi := c.Period()
	const samples = 200
	for range 40 {
		s, co := math.Sincos(m[1])
		nu, dnu := r2.Vec{X: co, Y: s}, r2.Vec{X: -s, Y: co}
		var a, b, d, ga, gb float64 // normal matrix (a b; b d)
		for k := range samples {
			p := r2.Sub(c.At(lo+(hi-lo)*(float64(k)+0.5)/samples), r2.Vec{X: m[0]})
			h := r2.Dot(nu, p)
			q := r2.Add(r2.Sub(p, r2.Scale(2*h, nu)), r2.Vec{X: m[0]})
			u, miss := c.Nearest(q)
			n := c.Normal(u)
			js := 2 * co * r2.Dot(n, nu)
			jt := -2 * (r2.Dot(dnu, p)*r2.Dot(n, nu) + h*r2.Dot(n, dnu))
			a, b, d = a+js*js, b+js*jt, d+jt*jt
			ga, gb = ga+js*miss, gb+jt*miss
		}
		det := a*d - b*b
		if !(det > tiny*a*d) {
			return m
		}
		ds, dt := -(d*ga-b*gb)/det, -(a*gb-b*ga)/det
		m[0], m[1] = m[0]+ds, m[1]+dt
		if math.Abs(ds) < 1e-3 && math.Abs(dt) < 1e-6 {
			break
		}
	}
	return m
}
