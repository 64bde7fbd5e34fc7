package board

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
	"panewright/geom/fit"
)

// frameOn is the glass frame, but for its origin along the pane, on a plane:
// levelled by the stations and their mirror images.
func (s *solve) frameOn(p geom.Plane) (geom.Frame, error) {
	var edge []r3.Vec
	for k := range s.edge {
		if s.kept(k) {
			edge = append(edge, s.arris[k], p.Mirror(s.arris[k]))
		}
	}
	return geom.MirrorFrame(p, edge)
}

// levelRounds is how often the final fit is made: the frame is levelled first
// by the stations, then by the edge that they gave.
const levelRounds = 2

// along makes the final fit on a centre plane that is taken as it is.
func (s *solve) along(p geom.Plane) error {
	frame, err := s.frameOn(p)
	if err != nil {
		return err
	}
	keep := func(r3.Vec) bool { return true }
	if s.job.Plane != nil && s.m.Mirror != MirrorBoth {
		side := 1.0
		if s.m.Mirror == MirrorLeft {
			side = -1
		}
		keep = func(q r3.Vec) bool { return side*p.Dist(q) > -overlap }
	}
	var like *fit.Symmetric
	var likeIn geom.Frame
	if s.found != nil && s.m.Found != nil && p == s.m.Found.Plane {
		like, likeIn = s.found, s.toFound
	}
	for range levelRounds {
		if s.outline != nil {
			if frame, err = geom.MirrorFrame(p, s.edgeOnBoard()); err != nil {
				return err
			}
		}
		in := s.symmetricInput(frame, keep, false)
		in.KeepAll = true // slips were judged where the plane was found
		in.Fixed, in.Lopsided, in.LeastRadius = true, s.m.Lopsided > 0, s.leastRadius()
		if in.Like = like; like != nil {
			in.LikeTo = likeIn.Inverse().Then(frame)
		}
		f, err := fit.FitSymmetric(s.ctx, in.SymmetricInput)
		if err != nil {
			return s.cannot(err, nil)
		}
		if f.Face == nil {
			return cannotError("Too few heights were read for a face: read the height at every station and at twenty places over the face, or more.")
		}
		s.toGlass, s.outline, s.faceFit, s.used = frame, f.Outline, f.Face, in.used
		like, likeIn = f, frame
	}
	return nil
}

// edgeOnBoard is the fitted upper arris, laid back on the board, evenly round.
func (s *solve) edgeOnBoard() []r3.Vec {
	const n = 400
	back := s.toGlass.Inverse()
	c := s.outline.Curve
	length := c.Length()
	out := make([]r3.Vec, n)
	for i := range out {
		p := c.At(c.ParamAt(length * float64(i) / n))
		out[i] = back.Apply(r3.Vec{X: p.X, Y: p.Y, Z: s.faceFit.Face.At(p.X, p.Y)})
	}
	return out
}

// plain fits outline and face without symmetry in the glass frame.
func (s *solve) plain() error {
	var edge []r3.Vec
	for k := range s.edge {
		if s.kept(k) {
			edge = append(edge, s.arris[k])
		}
	}
	for range levelRounds {
		if s.outline != nil {
			edge = s.edgeOnBoard()
		}
		frame, err := geom.PlainFrame(edge)
		if err != nil {
			return err
		}
		if err := s.plainIn(frame); err != nil {
			return err
		}
	}
	return nil
}

// leastRadius is the tightest corner that a pane can have whose edge band stands
// square to its face: the lower arris, which lies inside the upper one where the
// face falls outward, would cross itself.
func (s *solve) leastRadius() float64 {
	const seamed = 0.3 // mm, left of the lower arris's corner
	steepest := 0.0
	for k := range s.edge {
		if s.kept(k) {
			p := s.arris[k]
			steepest = math.Max(steepest, s.m.FreeFace.Face.Eval(p.X, p.Y).Slope())
		}
	}
	return seamed + 1.05*s.thick()*math.Sin(steepest)
}

// plainIn fits outline and face as they are in a frame.
func (s *solve) plainIn(frame geom.Frame) error {
	in := s.symmetricInput(frame, func(r3.Vec) bool { return true }, false)
	o, err := fit.FitOutline(s.ctx, in.Edge, fit.OutlineOptions{KeepAll: true, LeastRadius: s.leastRadius()})
	if err != nil {
		return s.cannot(err, nil)
	}
	marks := in.Face
	for _, m := range in.Edge {
		if !math.IsNaN(m.P.Z) {
			marks = append(marks, m)
		}
	}
	b := o.Curve.Bounds()
	const margin = 30
	b.Min = r2.Sub(b.Min, r2.Vec{X: margin, Y: margin})
	b.Max = r2.Add(b.Max, r2.Vec{X: margin, Y: margin})
	f, err := fit.FitFace(s.ctx, marks, b, fit.FaceOptions{KeepAll: true})
	if err != nil {
		return s.cannot(err, nil)
	}
	s.toGlass, s.outline, s.faceFit, s.used = frame, o, f, in.used
	return nil
}
