package board

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom/fit"
)

const (
	zeroFace   = 9   // points from which a smooth surface is fitted; a plane below
	usualZeroU = 0.2 // mm, standard uncertainty of one reading of the empty board (common practice)
)

// zeroFix is the empty board as a surface, over the places as read. Outside the
// points it goes on level from the nearest side of their box.
type zeroFix struct {
	box     r2.Box
	face    *fit.Face  // from zeroFace points
	plane   [3]float64 // else: height at the box's middle, slopes across and up
	planeU  float64    // mm
	how     string     // the surface in words
	surface bool       // there is one
}

// fitZero fits the zero map: a smooth surface to nine points or more, a plane to
// three or more, their mean to fewer or to points in a line.
func fitZero(ctx context.Context, z *ZeroMap) (f zeroFix) {
	var marks []fit.Mark
	f.box = r2.Box{Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	for i := range z.Points {
		p := &z.Points[i]
		if !p.set() {
			continue
		}
		marks = append(marks, fit.Mark{P: r3.Vec{X: p.X.MM, Y: p.Y.MM, Z: p.Z.MM}, SXY: 0.01, SZ: usualZeroU})
		f.box.Min = r2.Vec{X: min(f.box.Min.X, p.X.MM), Y: min(f.box.Min.Y, p.Y.MM)}
		f.box.Max = r2.Vec{X: max(f.box.Max.X, p.X.MM), Y: max(f.box.Max.Y, p.Y.MM)}
	}
	if len(marks) == 0 {
		return zeroFix{}
	}
	f.surface = true
	if len(marks) >= zeroFace {
		const margin = 50
		wide := r2.Box{Min: r2.Sub(f.box.Min, r2.Vec{X: margin, Y: margin}), Max: r2.Add(f.box.Max, r2.Vec{X: margin, Y: margin})}
		if face, err := fit.FitFace(ctx, marks, wide, fit.FaceOptions{KeepAll: true}); err == nil {
			f.face, f.how = face, "a smooth surface"
			return f
		}
	}
	f.flat(marks)
	return f
}

// flat fits a plane, or the mean where there is none.
func (f *zeroFix) flat(marks []fit.Mark) {
	mid := r2.Scale(0.5, r2.Add(f.box.Min, f.box.Max))
	var rows [][]float64
	var rhs, sd []float64
	mean := 0.0
	for _, m := range marks {
		rows = append(rows, []float64{1, m.P.X - mid.X, m.P.Y - mid.Y})
		rhs, sd = append(rhs, m.P.Z), append(sd, usualZeroU)
		mean += m.P.Z / float64(len(marks))
	}
	n := 3.0
	x, _, err := fit.LeastSquares(rows, rhs, sd)
	if f.how = "a plane"; err != nil || len(marks) < 3 {
		x, n, f.how = []float64{mean, 0, 0}, 1, "their mean"
	}
	f.plane = [3]float64(x)
	sum := 0.0
	for _, m := range marks {
		d := m.P.Z - f.at(r2.Vec{X: m.P.X, Y: m.P.Y})
		sum += d * d
	}
	left := float64(len(marks)) - n
	scatter := math.Sqrt((sum + usualZeroU*usualZeroU) / (left + 1)) // what is expected counts as one reading
	f.planeU = scatter * math.Sqrt(n/float64(len(marks)))
}

// clip moves a place into the box of the points.
func (f *zeroFix) clip(p r2.Vec) r2.Vec {
	return r2.Vec{X: min(max(p.X, f.box.Min.X), f.box.Max.X), Y: min(max(p.Y, f.box.Min.Y), f.box.Max.Y)}
}

// at is what the empty board reads at a place, mm.
func (f *zeroFix) at(p r2.Vec) float64 {
	p = f.clip(p)
	if f.face != nil {
		return f.face.Face.At(p.X, p.Y)
	}
	mid := r2.Scale(0.5, r2.Add(f.box.Min, f.box.Max))
	return f.plane[0] + f.plane[1]*(p.X-mid.X) + f.plane[2]*(p.Y-mid.Y)
}

// sd is its standard uncertainty.
func (f *zeroFix) sd(p r2.Vec) float64 {
	if f.face == nil {
		return f.planeU
	}
	p = f.clip(p)
	return f.face.SD(p.X, p.Y)
}
