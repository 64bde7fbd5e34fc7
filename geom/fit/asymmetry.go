package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// Asymmetry is how far a freely fitted outline lies from its own mirror image
// in the plane: RMS and greatest distance in mm, square to the outline and
// taken in plan. The outline is lifted onto the face f before it is mirrored,
// because a rolled plane moves high points sideways; with f nil it lies at
// z = 0. Plane, outline and face share one frame.
func Asymmetry(o *Outline, f *Face, plane geom.Plane) (rms, max float64) {
	lo, hi := o.Curve.Period()
	const samples = 720
	var sum float64
	for k := range samples {
		p := o.Curve.At(lo + (hi-lo)*(float64(k)+0.5)/samples)
		q := r3.Vec{X: p.X, Y: p.Y}
		if f != nil {
			q.Z = f.Face.At(p.X, p.Y)
		}
		q = plane.Mirror(q)
		_, d := o.Curve.Nearest(r2.Vec{X: q.X, Y: q.Y})
		sum += d * d
		max = math.Max(max, math.Abs(d))
	}
	return math.Sqrt(sum / samples), max
}
