package board

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

const glassDensity = 2500e-9 // kg/mm3 (EN 572-1, as glass processors quote it)

// pane makes the solid from the fitted arris and face, with its origin where
// the glass frame has it.
func (s *solve) pane() error {
	s.m.BoardToGlass = s.toGlass
	t := s.job.Pane.Thickness
	if !t.Set || t.MM <= 0 {
		return cannotError("The thickness of the glass is not known: measure it with a caliper at four places and type it.")
	}
	p, err := geom.NewPane(s.faceFit.Face, s.outline.Curve, t.MM, s.job.Pane.Profile)
	if err != nil {
		var steep *geom.SteepError
		if errors.As(err, &steep) {
			at := s.near(steep.At)
			return cannotError(fmt.Sprintf("The edge near station %s stands at %.0f°, steeper than the 60° that heights off a board can carry: lay the pane turned and read it again.", at, steep.Slope*180/math.Pi))
		}
		return cannotError("No pane can be made of these readings: " + err.Error())
	}
	b := p.Outline.Bounds()
	origin := r2.Vec{Y: (b.Min.Y + b.Max.Y) / 2}
	if s.m.Mirror == MirrorNone {
		origin = p.Outline.Centroid()
	}
	shift := r3.Vec{X: -origin.X, Y: -origin.Y, Z: -p.Upper.At(origin.X, origin.Y)}
	if s.m.Pane, err = p.Shifted(shift); err != nil {
		return err
	}
	s.m.BoardToGlass.T = r3.Add(s.m.BoardToGlass.T, shift)
	s.setDoubt()
	s.halves()
	return nil
}

// near is the id of the station nearest to a plan point of the final fit.
func (s *solve) near(p r2.Vec) string {
	best, id := math.Inf(1), "?"
	for k, i := range s.edge {
		q := s.toGlass.Apply(s.arris[k])
		if d := math.Hypot(q.X-p.X, q.Y-p.Y); d < best {
			best, id = d, s.job.Readings[i].ID
		}
	}
	return id
}

// halves lays the finished outline back on the board, for drawing: the
// silhouette at the height of the edge.
func (s *solve) halves() {
	back := s.m.BoardToGlass.Inverse()
	lay := func(line []r2.Vec) (onBoard []r2.Vec) {
		for _, p := range line {
			q := back.Apply(r3.Vec{X: p.X, Y: p.Y, Z: s.m.Pane.Upper.At(p.X, p.Y)})
			onBoard = append(onBoard, r2.Vec{X: q.X, Y: q.Y})
		}
		return onBoard
	}
	c := s.m.Pane.Outline
	var loop []r2.Vec
	for _, u := range c.Flatten(0.05) {
		loop = append(loop, c.At(u))
	}
	loop = append(loop, loop[0])
	measured, made := loop, []r2.Vec(nil)
	switch s.m.Mirror {
	case MirrorRight:
		measured, made = split(loop)
	case MirrorLeft:
		made, measured = split(loop)
	}
	s.m.MeasuredHalf, s.m.MadeHalf = lay(measured), lay(made)
}

// split cuts a closed loop (last point = first) that starts on x = 0 at the
// bottom and runs counter-clockwise into its right and its left half; both
// hold the points where the loop crosses x = 0.
func split(loop []r2.Vec) (right, left []r2.Vec) {
	onLeft := false
	for i, p := range loop {
		if i > 0 && !onLeft && loop[i-1].X > 1e-9 && p.X <= 1e-9 {
			q := loop[i-1]
			f := q.X / (q.X - p.X)
			cut := r2.Add(q, r2.Scale(f, r2.Sub(p, q)))
			right, left = append(right, cut), append(left, cut)
			onLeft = true
		}
		if onLeft {
			left = append(left, p)
		} else {
			right = append(right, p)
		}
	}
	return right, left
}

// results measures every edge and face reading against the finished shape, or
// against the free outline where there is none.
func (s *solve) results() {
	if s.m.Free == nil {
		return
	}
	if s.outline == nil {
		s.freeResults()
		return
	}
	for k, i := range s.edge {
		p := s.toGlass.Apply(s.arris[k])
		_, d := s.outline.Curve.Nearest(r2.Vec{X: p.X, Y: p.Y})
		s.miss(k, i, d)
		res := &s.m.Results[i]
		if res.State == Kept && !s.used[i] {
			res.State, res.Reason = Unused, "on the made half: kept for the check, not fitted to a typed centre line"
		}
		if s.job.Readings[i].Z.Set {
			p = s.toGlass.Apply(r3.Vec{X: s.arris[k].X, Y: s.arris[k].Y, Z: s.m.Results[i].At.Z})
			res.HeightMiss, res.HasHeight = p.Z-s.faceFit.Face.At(p.X, p.Y), true
		}
	}
	for k, i := range s.face {
		p := s.toGlass.Apply(s.upper[k])
		res := &s.m.Results[i]
		res.HeightMiss, res.HasHeight = p.Z-s.faceFit.Face.At(p.X, p.Y), true
		if res.State == Kept && !s.used[i] && !s.badZ[i] {
			res.State, res.Reason = Unused, "on the made half: kept for the check, not fitted to a typed centre line"
		}
		res.Foot = r3.Sub(s.upper[k], r3.Vec{Z: res.HeightMiss})
	}
}

// freeResults measures the readings against the free outline and the free face.
func (s *solve) freeResults() {
	for k, i := range s.edge {
		s.miss(k, i, s.m.Free.Miss[k])
	}
	if s.m.FreeFace == nil {
		return
	}
	height := func(i int, p r3.Vec, z float64) {
		res := &s.m.Results[i]
		res.HeightMiss, res.HasHeight = z-s.m.FreeFace.Face.At(p.X, p.Y), true
		res.Foot.Z = z - res.HeightMiss
	}
	for k, i := range s.edge {
		if s.job.Readings[i].Z.Set {
			height(i, s.arris[k], s.m.Results[i].At.Z)
		}
	}
	for k, i := range s.face {
		p := s.upper[k]
		s.m.Results[i].Foot = p
		height(i, p, p.Z)
	}
}

// miss records how far the k-th edge reading lies off the outline.
func (s *solve) miss(k, i int, d float64) {
	res := &s.m.Results[i]
	res.Miss, res.HasMiss = d, true
	p, n := s.marks[k].P, s.outward[k]
	res.Foot = r3.Vec{X: p.X - d*n.X, Y: p.Y - d*n.Y, Z: p.Z}
	if math.IsNaN(res.Foot.Z) {
		res.Foot.Z = 0
	}
}
