package board

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
	"panewright/geom/fit"
)

// next is what the next cut is made from: the last one with what was accepted
// put right, laid over what the readings say.
type next struct {
	fix    CutFix
	cut    *Cut
	along  *geom.Curve // edge of the cut's upper face in plan, glass frame of the cut
	noted  []float64   // lengths along it of the stations with gaps, of all cuts, rising
	ledges bool        // ledge gaps were noted
	move   func(at r2.Vec) (wall, ledge float64)
}

// nextCut is what the next cut is made from; nil where it is the readings alone.
func nextCut(j *Job, w *gapWork) *next {
	last := j.LastCut()
	if last == nil {
		return nil
	}
	n := &next{fix: last.Fix, cut: last, along: last.Shape.Plan, move: func(r2.Vec) (float64, float64) { return 0, 0 }}
	n.fix.Rest, n.fix.Causes = nil, nil
	if w != nil && w.found != nil && (w.rest || slices.Contains(w.choice, true)) {
		n.accept(w)
	} else if last.Fix.none() {
		return nil
	}
	n.findNoted(j)
	return n
}

// accept puts right what the person accepted of the gaps.
func (n *next) accept(w *gapWork) {
	shape := make([]bool, len(w.choice)) // what the shape is changed for: not an opened joint
	var line [3]float64                  // offset, skew and roll of the line
	moved := false
	for i := range w.choice {
		c := &w.found.Causes[i]
		if !w.choice[i] || c.Kind == fit.CauseJoint || c.Kind == fit.CauseStation {
			continue
		}
		shape[i] = true
		n.fix.Causes = append(n.fix.Causes, w.putRight(c))
		switch c.Kind {
		case fit.CauseOffset:
			line[0], moved = -c.Value, true
		case fit.CauseSkew:
			line[1], moved = -c.Value, true
		case fit.CauseRoll:
			line[2], moved = -c.Value, true
		case fit.CauseUniform:
			n.fix.Pencil += c.Value
		case fit.CauseScale:
			n.fix.Scale += c.Value
		case fit.CauseShear:
			n.fix.Shear += c.Value
		}
	}
	back := n.cut.Shape.Frame.Inverse()
	mean := n.cut.Shape.Mean
	if moved {
		level := w.level()
		p := geom.NewPlane(r3.Vec{X: line[0], Y: mean.Y, Z: level}, line[1], line[2])
		n.fix.Plane = &geom.Plane{Point: back.Apply(p.Point), Normal: back.Rotate(p.Normal)}
		n.fix.U = [3]float64{w.report.Offset.U, w.report.Skew.U, w.report.Roll.U}
	}
	if n.fix.Scale != 0 || n.fix.Shear != 0 {
		about, across := back.Apply(r3.Vec{Y: mean.Y, Z: mean.Z}), back.Rotate(r3.Vec{X: 1})
		n.fix.About, n.fix.Across = r2.Vec{X: about.X, Y: about.Y}, r2.Unit(r2.Vec{X: across.X, Y: across.Y})
	}
	if w.rest {
		n.fix.Causes = append(n.fix.Causes, PutRight{Name: RestCause})
	}
	n.ledges = slices.ContainsFunc(w.report.Stations, func(s GapStation) bool { return s.Ledge.Set })
	n.move = func(at r2.Vec) (wall, ledge float64) { return w.found.Move(w.reading(at), shape, w.rest) }
}

// putRight is the record of a cause.
func (w *gapWork) putRight(f *fit.Cause) PutRight {
	for _, c := range w.report.Causes {
		if c.Name == causeName(f) {
			return PutRight{c.Name, c.Value, c.Unit}
		}
	}
	return PutRight{Name: causeName(f)}
}

// level is the mean height of the noted stations: a roll is about it.
func (w *gapWork) level() (z float64) {
	noted := w.noted()
	for _, s := range noted {
		z += w.pane.Upper.At(s.At.X, s.At.Y) / float64(len(noted))
	}
	return z
}

// findNoted finds the places with gaps, of all cuts.
func (n *next) findNoted(j *Job) {
	to := n.cut.Shape.Frame
	for i := range j.Gaps {
		g := &j.Gaps[i]
		c := j.CutNumber(g.Cut)
		if c == nil || !g.Wall.Set && !g.Ledge.Set {
			continue
		}
		if at, ok := c.Shape.place(g.Station); ok {
			p := to.Apply(c.Shape.Frame.Inverse().Apply(r3.Vec{X: at.X, Y: at.Y, Z: c.Shape.Face.At(at.X, at.Y)}))
			u, _ := n.along.Nearest(r2.Vec{X: p.X, Y: p.Y})
			n.noted = append(n.noted, n.along.LengthTo(u))
		}
	}
	slices.Sort(n.noted)
}

// How far gaps speak for the edge beside them.
const (
	speakBetween = 0.15 // of the way round: all of a stretch between two stations that is no longer
	speakFull    = 40.0 // mm beyond a lone station
	speakOut     = 140.0
)

// spoken is how far the gaps speak for the edge at a length along it, 0 … 1.
func (n *next) spoken(s float64) float64 {
	if len(n.noted) == 0 {
		return 0
	}
	length := n.along.Length()
	k, _ := slices.BinarySearch(n.noted, s)
	m := len(n.noted)
	ahead := math.Mod(n.noted[k%m]-s+2*length, length)
	behind := math.Mod(s-n.noted[(k+m-1)%m]+2*length, length)
	if m > 1 && ahead+behind <= speakBetween*length {
		return 1
	}
	t := (min(ahead, behind) - speakFull) / (speakOut - speakFull)
	t = min(max(t, 0), 1)
	return 1 - t*t*(3-2*t)
}

// plan is where a place that was read lies once scale and squareness are put
// right.
func (f *CutFix) plan(p r2.Vec) r2.Vec {
	if f.Scale == 0 && f.Shear == 0 {
		return p
	}
	up := r2.Vec{X: -f.Across.Y, Y: f.Across.X}
	d := r2.Sub(p, f.About)
	x, y := r2.Dot(d, f.Across), r2.Dot(d, up)
	x -= f.Shear * y
	return r2.Add(f.About, r2.Scale(1/(1+f.Scale), r2.Add(r2.Scale(x, f.Across), r2.Scale(y, up))))
}

// followCut makes the solve one for the next cut. It comes before the readings
// are put in their places.
func (s *solve) followCut() error {
	w, err := explainGaps(s.ctx, s.job)
	if err != nil {
		return err
	}
	if s.noted = w; w != nil {
		s.m.Gaps = w.report
	}
	s.next = nextCut(s.job, w)
	if s.next == nil {
		return nil
	}
	s.m.cut.fix = s.next.fix
	s.fix.cut = &s.next.fix
	if p := s.next.fix.Pencil; p != 0 {
		j := *s.job
		j.Pencil.MM += p
		s.job = &j
	}
	return nil
}

// aim takes the corrected centre plane for one that was typed. The mean of the
// edge readings must be known.
func (s *solve) aim() {
	if s.next == nil || s.next.fix.Plane == nil {
		return
	}
	const degree = 180 / math.Pi
	c, p := s.mean(), s.next.fix.Plane
	set := func(v float64) Cell { return Cell{MM: v, Set: true} }
	j := *s.job
	j.Plane = &TypedPlane{Offset: set(p.XAt(c.Y, c.Z)), Skew: set(p.Skew() * degree), Roll: set(p.Roll() * degree)}
	if j.Mirror == MirrorAuto {
		j.Mirror = s.next.cut.Shape.Mirror
	}
	s.job = &j
}

// aimedCentre finds the centre plane, or takes the corrected one and says where
// it comes from.
func (s *solve) aimedCentre() error {
	s.aim()
	if err := s.centre(); err != nil {
		return err
	}
	if u := s.m.Used; u != nil && s.next != nil && s.next.fix.Plane != nil {
		u.Source = "mixed"
		u.OffsetU, u.SkewU, u.RollU = s.next.fix.U[0], s.next.fix.U[1], s.next.fix.U[2]
	}
	return nil
}

// asCut keeps what a cut of the finished pane is made of. Where the centre plane
// was corrected the pane's uncertainty is that of the shape alone.
func (s *solve) asCut() error {
	if s.m.Pane == nil {
		return nil
	}
	shift := r3.Sub(s.m.BoardToGlass.T, s.toGlass.T)
	var err error
	s.m.cut.plan, err = s.outline.Curve.Transform(func(p r2.Vec) r2.Vec { return r2.Add(p, r2.Vec{X: shift.X, Y: shift.Y}) })
	if err != nil {
		return err
	}
	for k, i := range s.edge {
		id := s.job.Readings[i].ID
		known := slices.ContainsFunc(s.m.cut.stations, func(q CutStation) bool { return q.ID == id })
		if !s.kept(k) || known {
			continue
		}
		q := s.m.BoardToGlass.Apply(s.arris[k])
		u, _ := s.m.Pane.Outline.Nearest(r2.Vec{X: q.X, Y: q.Y})
		s.m.cut.stations = append(s.m.cut.stations, CutStation{id, microns(s.m.Pane.Outline.At(u))})
	}
	if s.next != nil && s.next.fix.Plane != nil {
		s.m.doubt = &doubt{outline: s.outline, face: s.faceFit, from: s.m.BoardToGlass.Inverse().Then(s.toGlass)}
	}
	s.proved()
	return nil
}
