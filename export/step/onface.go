package step

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

const (
	onFace     = Uncertainty / 2 // mm, how far a bounding curve may leave its face
	liftMiss   = 1e-4            // mm, of a lifted curve
	faceChecks = 4               // places looked at in each span
)

// Lift returns a plane curve raised onto a face, within 1e-4 mm of it, as the
// edge of a Sheet. The curve's plan stays the same. It refuses a curve that
// leaves the face's box.
func Lift(c *geom.Curve, f *geom.Face) (*geom.SpaceCurve, error) {
	in, out := c.Bounds(), f.Box()
	if in.Min.X < out.Min.X || in.Min.Y < out.Min.Y || in.Max.X > out.Max.X || in.Max.Y > out.Max.Y {
		return nil, fmt.Errorf("step: the face is known over %v, the curve reaches to %v", out, in)
	}
	lifted, err := geom.FitClosed3(func(u float64) r3.Vec {
		p := c.At(u)
		return r3.Vec{X: p.X, Y: p.Y, Z: f.At(p.X, p.Y)}
	}, c.Knots(), liftMiss)
	if err != nil {
		return nil, fmt.Errorf("step: a curve on a face: %w", err)
	}
	return lifted, nil
}

// checkOnFace refuses a closed curve that leaves a face.
func checkOnFace(c *geom.SpaceCurve, f *geom.Face) error {
	if at, d := leaves(c, f); !(d <= onFace) {
		return fmt.Errorf("the edge lies %.4f mm off the face at x %.1f, y %.1f, more than %g mm", d, at.X, at.Y, onFace)
	}
	return nil
}

// leaves returns where a closed curve is furthest from a face, and how far:
// square to the face, and beyond its box from the box's edge. It looks at the
// knots and at three places between.
func leaves(c *geom.SpaceCurve, f *geom.Face) (at r3.Vec, most float64) {
	knots := c.Knots()
	for i := range knots[1:] {
		for k := range faceChecks {
			p := c.At(knots[i] + (knots[i+1]-knots[i])*float64(k)/faceChecks)
			if d := off(p, f); !(d <= most) {
				at, most = p, d
			}
		}
	}
	return at, most
}

// off returns how far a place is from a face: square to the face, and beyond its
// box from the box's edge.
func off(p r3.Vec, f *geom.Face) float64 {
	box := f.Box()
	in := r2.Vec{X: min(max(p.X, box.Min.X), box.Max.X), Y: min(max(p.Y, box.Min.Y), box.Max.Y)}
	h := f.Eval(in.X, in.Y)
	return math.Hypot((p.Z-h.Z)*h.Normal().Z, r2.Norm(r2.Sub(in, r2.Vec{X: p.X, Y: p.Y})))
}
