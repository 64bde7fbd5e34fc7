package board

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// equal compares two cuts.
func (c *Cut) equal(o *Cut) bool {
	return c.Number == o.Number && c.Date == o.Date && c.Reason == o.Reason && c.JobSum == o.JobSum &&
		c.Pocket == o.Pocket && c.Tiles == o.Tiles && c.Wall == o.Wall && c.Offset == o.Offset && c.Skew == o.Skew && c.Roll == o.Roll &&
		c.Source == o.Source && c.Rocks == o.Rocks && slices.Equal(c.Accepted, o.Accepted) && slices.Equal(c.Joints, o.Joints) &&
		c.Shape.equal(o.Shape) && c.Fix.equal(&o.Fix)
}

func (f *CutFix) equal(o *CutFix) bool {
	plane := f.Plane == o.Plane || f.Plane != nil && o.Plane != nil && *f.Plane == *o.Plane
	return plane && f.U == o.U && f.Scale == o.Scale && f.Shear == o.Shear && f.About == o.About && f.Across == o.Across &&
		f.Pencil == o.Pencil && slices.Equal(f.Rest, o.Rest) && slices.Equal(f.Causes, o.Causes)
}

func (s *CutShape) equal(o *CutShape) bool {
	if s == o || s == nil || o == nil {
		return s == o
	}
	return s.Mirror == o.Mirror && s.Frame == o.Frame && s.Thickness == o.Thickness && s.Profile == o.Profile && s.Mean == o.Mean &&
		slices.Equal(s.Stations, o.Stations) && samePlan(s.Plan, o.Plan) && sameFace(s.Face, o.Face)
}

func samePlan(a, b *geom.Curve) bool {
	return a == b || a != nil && b != nil && slices.Equal(a.Knots(), b.Knots()) && slices.Equal(a.Ctrl(), b.Ctrl())
}

func sameFace(a, b *geom.Face) bool {
	return a == b || a != nil && b != nil && slices.Equal(a.XKnots(), b.XKnots()) && slices.Equal(a.YKnots(), b.YKnots()) && slices.Equal(a.Coeffs(), b.Coeffs())
}

// sameCut compares cuts as they were typed and made.
func sameCut(a, b *Cut) bool {
	wall := sameCell(&a.Wall, &b.Wall)
	c := *a
	c.Wall = b.Wall
	return wall && c.equal(b)
}

// validate says what of a cut cannot be kept.
func (c *Cut) validate() error {
	if c.Number < 1 || c.Number > maxCut {
		return fmt.Errorf("board: cut %d: cuts are counted from 1", c.Number)
	}
	if c.Shape == nil || c.Shape.Plan == nil || c.Shape.Face == nil || c.Shape.Mirror <= MirrorAuto || c.Shape.Mirror > MirrorNone {
		return fmt.Errorf("board: cut %d has no shape", c.Number)
	}
	if len(c.Shape.Stations) > maxReadings || len(c.Fix.Rest) > maxReadings || len(c.Joints) > maxLines || len(c.Accepted) > maxLines {
		return fmt.Errorf("board: cut %d holds more than a cut can", c.Number)
	}
	if err := c.numbers(); err != nil {
		return err
	}
	for _, n := range c.Accepted {
		if err := checkText("cause", n, maxCell); err != nil {
			return err
		}
	}
	return firstError(c.Tiles.validate(), checkText("date", c.Date, maxCell), checkText("reason", c.Reason, maxNote), checkText("sum", c.JobSum, maxCell),
		checkText("source", c.Source, maxCell))
}

// numbers checks that the numbers of a cut are such.
func (c *Cut) numbers() error {
	s, f, p := c.Shape, &c.Fix, &c.Pocket
	all := []float64{c.Offset, c.Skew, c.Roll, s.Thickness, s.Mean.X, s.Mean.Y, s.Mean.Z, s.Frame.T.X, s.Frame.T.Y, s.Frame.T.Z,
		f.U[0], f.U[1], f.U[2], f.Scale, f.Shear, f.About.X, f.About.Y, f.Across.X, f.Across.Y, f.Pencil,
		p.Wall, p.Seat, p.Rim, p.Base, p.Felt, p.Cutter}
	if f.Plane != nil {
		n := f.Plane.Normal
		if math.Abs(r3.Norm(n)-1) > 1e-9 {
			return fmt.Errorf("board: cut %d: its centre plane has no direction", c.Number)
		}
		all = append(all, f.Plane.Point.X, f.Plane.Point.Y, f.Plane.Point.Z)
	}
	for _, q := range s.Stations {
		all = append(all, q.At.X, q.At.Y)
	}
	for _, q := range f.Rest {
		all = append(all, q.At.X, q.At.Y, q.Wall, q.Ledge)
	}
	for _, q := range f.Causes {
		all = append(all, q.Value)
	}
	for _, q := range c.Joints {
		all = append(all, q.At.X, q.At.Y, q.Along.X, q.Along.Y)
	}
	for _, v := range all {
		if !between(v, -longest, longest) {
			return fmt.Errorf("board: cut %d holds a number that cannot be", c.Number)
		}
	}
	for i := range s.Frame.R {
		for k := range s.Frame.R {
			want, dot := 0.0, 0.0
			if i == k {
				want = 1
			}
			for l := range s.Frame.R {
				dot += s.Frame.R[i][l] * s.Frame.R[k][l]
			}
			if !(math.Abs(dot-want) < 1e-9) {
				return fmt.Errorf("board: cut %d: its frame is none", c.Number)
			}
		}
	}
	return nil
}
