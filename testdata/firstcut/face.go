package firstcut

import (
	"math"
	"math/rand/v2"

	"panewright/geom"
)

// arched is a true upper face: a circular arch across with wings that turn down
// as a hyperbolic cosine does, a shallower arch up the pane, an unevenness of
// some tenths of a millimetre, and a twist where there is no mirror.
type arched struct {
	sign       float64 // +1 dome up, -1 bowl up
	w, h       float64 // mm, half the width and height
	across, up float64 // mm, sag of the two arches
	wing       float64 // share of the wings in the sag across
	sharp      float64 // of the wings
	taper      float64 // change of the sag across from bottom to top
	crown      float64 // share of h by which the crown lies above the middle
	rough      float64 // mm
	twist      float64 // mm, at the corners of the box
}

func newArched(rng *rand.Rand, o outline, bowl, mirrored bool) arched {
	f := arched{sign: 1}
	for _, q := range o {
		f.w, f.h = math.Max(f.w, math.Abs(q.X)), math.Max(f.h, math.Abs(q.Y))
	}
	f.across, f.up = uniform(rng, 20, math.Min(220, 0.32*f.w)), uniform(rng, 5, math.Min(60, 0.1*f.w))
	f.wing, f.sharp, f.taper = uniform(rng, 0, 0.3), uniform(rng, 2, 4), uniform(rng, -0.3, 0.3)
	f.crown, f.rough = uniform(rng, -0.2, 0.2), uniform(rng, 0, 0.3)
	if !mirrored {
		f.twist = uniform(rng, -0.01, 0.01) * f.w
	}
	if bowl {
		f.sign = -1
	}
	return f
}

// at is the height.
func (f arched) at(x, y float64) float64 {
	u, v := x/f.w, y/f.h
	wing := (math.Cosh(f.sharp*u) - 1) / (math.Cosh(f.sharp) - 1)
	across := f.across * ((1-f.wing)*sag(x, f.w, f.across) + f.wing*wing) * (1 + f.taper*v)
	up := f.up * sag(y-f.crown*f.h, f.h, f.up)
	return -f.sign*(across+up) + f.rough*math.Cos(math.Pi*u)*math.Cos(0.8*math.Pi*v) + f.twist*u*v
}

// sag is how far a circular arch of half width w and depth d has fallen at x, as
// a share of d.
func sag(x, w, d float64) float64 {
	r := (w*w + d*d) / (2 * d)
	return (r - math.Sqrt(math.Max(0, r*r-x*x))) / d
}

// Eval is the height; geom.FaceThrough asks for nothing else.
func (f arched) Eval(x, y float64) geom.Height { return geom.Height{Z: f.at(x, y)} }
