package board

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
	"panewright/geom/fit"
)

const (
	// twinSlip is how far along the edge a person misses the mirror twin of a
	// station when taping a full width, mm, one sigma (common practice).
	twinSlip = 3
	// centreMarkSD is the usual standard uncertainty of a mark on the pane that
	// is believed to lie on the centre line, mm.
	centreMarkSD = 1
	// overlap is how far past the centre line readings still count to the
	// measured half, mm.
	overlap = 60
	// bothHalves is the share of the stations that the lesser half must hold for
	// both to count as measured.
	bothHalves = 0.25
	// openGap is the share of the way round that may lie between two
	// neighbouring stations before the pane counts as measured in part.
	openGap = 0.15
)

// centre resolves which halves were measured, finds the centre plane or takes
// the typed one, and fits the final outline and face in the glass frame.
func (s *solve) centre() error {
	s.m.Mirror = s.job.Mirror
	guess, side := s.guess()
	if s.m.Mirror == MirrorAuto {
		s.m.Mirror = side
	}
	if s.m.Mirror == MirrorNone {
		return s.plain()
	}
	before := slices.Clone(s.m.Results)
	if err := s.find(guess, false); err != nil {
		var cannot cannotError
		if !errors.As(err, &cannot) {
			return err
		}
		s.m.WhyNotFound = string(cannot)
		if s.m.Mirror != MirrorBoth {
			s.whereToRead(guess)
		}
	}
	if side == MirrorBoth && s.lacksMirror(guess) && s.job.Mirror == MirrorAuto && s.job.Plane == nil {
		copy(s.m.Results, before) // what a mirror says of the stations counts for nothing
		s.folded, s.found = s.found, nil
		s.m.Mirror, s.m.Found, s.m.Lopsided, s.m.LopsidedMost = MirrorNone, nil, 0, 0
		s.toArrises(s.m.FreeFace.Face)
		return s.plain()
	}
	if s.job.Plane == nil {
		if s.m.Found == nil {
			return cannotError("The centre line is needed and not determined. " + s.m.WhyNotFound)
		}
		s.m.Used = s.m.Found
		return s.along(s.m.Found.Plane)
	}
	used, err := s.typedPlane()
	if err != nil {
		return err
	}
	return s.along(used)
}

// mean is the mean point of all unstruck edge readings, board frame; its z is
// the mean of those that have one.
func (s *solve) mean() r3.Vec { return s.m.mean }

func (s *solve) meanEdge() r3.Vec {
	var c r3.Vec
	var n, nz float64
	for i, r := range s.job.Readings {
		res := &s.m.Results[i]
		if r.Kind != Edge || r.Struck || !res.Placed {
			continue
		}
		n++
		c.X += res.At.X
		c.Y += res.At.Y
		if r.Z.Set {
			nz++
			c.Z += res.At.Z
		}
	}
	return r3.Vec{X: c.X / max(n, 1), Y: c.Y / max(n, 1), Z: c.Z / max(nz, 1)}
}

// guess is a first centre plane and the halves that were measured. Stations
// with no great gap between neighbours stand for the whole pane: the line then
// runs through the middle of their area. Otherwise only a part was measured and
// the line runs through the centre marks or is the assumed one, x = 0. A typed
// line goes before all of these.
func (s *solve) guess() (geom.Plane, Mirror) {
	var loop geom.Polygon
	for _, k := range s.m.Free.Order {
		if s.kept(k) {
			loop = append(loop, r2.Vec{X: s.marks[k].P.X, Y: s.marks[k].P.Y})
		}
	}
	gap := 0.0
	for i, p := range loop {
		gap = max(gap, r2.Norm(r2.Sub(loop[(i+1)%len(loop)], p)))
	}
	x := 0.0
	switch {
	case gap <= openGap*loop.Perimeter():
		x = loop.Centroid().X
	case len(s.centres) > 0:
		for _, i := range s.centres {
			x += s.m.Results[i].At.X / float64(len(s.centres))
		}
	}
	m := s.mean()
	plane := geom.NewPlane(r3.Vec{X: x, Y: m.Y, Z: m.Z}, 0, 0)
	if p := s.job.Plane; p != nil && p.Offset.Fault == "" && p.Skew.Fault == "" && p.Roll.Fault == "" {
		plane = s.m.planeAt(p.Offset.MM, p.Skew.MM, p.Roll.MM)
	}
	switch left := s.leftShare(plane); {
	case left < bothHalves:
		return plane, MirrorRight
	case left > 1-bothHalves:
		return plane, MirrorLeft
	}
	return plane, MirrorBoth
}

// leftShare is the share of the kept stations that lie left of a plane.
func (s *solve) leftShare(p geom.Plane) float64 {
	left, n := 0.0, 0.0
	for k := range s.edge {
		if !s.kept(k) {
			continue
		}
		n++
		if p.Dist(s.arris[k]) < 0 {
			left++
		}
	}
	return left / max(n, 1)
}

// lesserShare is the share of the kept stations well clear of a plane that lie
// on its lesser side.
func (s *solve) lesserShare(p geom.Plane) float64 {
	left, right := 0.0, 0.0
	for k := range s.edge {
		switch d := p.Dist(s.arris[k]); {
		case !s.kept(k):
		case d < -overlap:
			left++
		case d > overlap:
			right++
		}
	}
	return min(left, right) / max(left+right, 1)
}

// typedPlane is the job's own centre plane.
func (s *solve) typedPlane() (geom.Plane, error) {
	p := s.job.Plane
	for _, c := range []struct {
		name string
		cell Cell
	}{{"offset", p.Offset}, {"skew", p.Skew}, {"roll", p.Roll}} {
		if c.cell.Fault != "" {
			return geom.Plane{}, cannotError(fmt.Sprintf("The %s of the centre line was not understood: %s", c.name, c.cell.Fault))
		}
	}
	pl := s.m.planeAt(p.Offset.MM, p.Skew.MM, p.Roll.MM)
	s.m.Used = s.line(pl, "typed")
	return pl, nil
}

// planeAt is the centre plane with the given offset (mm, x at the mean edge
// point), skew and roll (degrees).
func (m *Model) planeAt(offset, skew, roll float64) geom.Plane {
	c := m.mean
	return geom.NewPlane(r3.Vec{X: offset, Y: c.Y, Z: c.Z}, skew*math.Pi/180, roll*math.Pi/180)
}

// line is a plane as it is reported, without uncertainties.
func (s *solve) line(p geom.Plane, source string) *CentreLine {
	c := s.mean()
	return &CentreLine{
		Plane:  p,
		Point:  r3.Sub(c, r3.Scale(p.Dist(c), p.Normal)),
		Offset: p.XAt(c.Y, c.Z),
		Skew:   p.Skew() * 180 / math.Pi,
		Roll:   p.Roll() * 180 / math.Pi,
		Source: source,
	}
}

// find fits the symmetric pane with the plane free, from whatever was measured.
func (s *solve) find(guess geom.Plane, again bool) error {
	frame, err := s.frameOn(guess)
	if err != nil {
		return err
	}
	in := s.symmetricInput(frame, func(r3.Vec) bool { return true }, true)
	if len(s.centres) > 0 {
		in.Centre = s.centreMarks(frame)
	}
	across := r2.Unit(r2.Vec{X: guess.Normal.X, Y: guess.Normal.Y})
	in.Widths, in.tapes = s.widths(across)
	in.Lopsided = s.mayStray()
	f, err := fit.FitSymmetric(s.ctx, in.SymmetricInput)
	if err != nil {
		return s.cannot(err, nil)
	}
	if !f.Determined {
		return cannotError(f.Why)
	}
	s.foundIn = in
	s.judge(f)
	s.judgeSaid(f, in.tapes)
	if f.Odd > 0 {
		s.m.Lopsided, s.m.LopsidedMost = fit.Asymmetry(f.Outline, nil, geom.NewPlane(r3.Vec{}, 0, 0))
	}
	s.found, s.toFound = f, frame.Then(f.Motion)
	whole := frame.Then(f.Motion)
	back := whole.Inverse()
	plane := geom.Plane{Point: back.Apply(r3.Vec{}), Normal: back.Rotate(r3.Vec{X: 1})}
	found := s.line(plane, f.Source)
	if found.Source == "outline" && s.lesserShare(plane) < bothHalves {
		found.Source = "stations" // the few on the made half
	}
	found.state(frame, whole, f)
	s.m.Found, s.foundLine = found, found
	for _, i := range s.centres {
		if res := &s.m.Results[i]; res.State == Suspect {
			res.Miss, res.HasMiss = plane.Dist(res.At), true
		}
	}
	const turned = 0.05 * math.Pi / 180
	if !again && s.greatestTaped() && math.Abs(r2.Cross(across, r2.Unit(r2.Vec{X: plane.Normal.X, Y: plane.Normal.Y}))) > turned {
		return s.find(plane, true) // greatest widths lie across the line found
	}
	return nil
}

// greatestTaped says whether a greatest width was taped.
func (s *solve) greatestTaped() bool {
	return slices.ContainsFunc(s.job.Tapes, func(t Tape) bool { return t.How == Greatest && !t.Struck && t.Length.Set })
}

// judgeSaid takes over what the symmetric fit says of the centre marks and the
// taped widths; tapes are the rows of those that went in.
func (s *solve) judgeSaid(f *fit.Symmetric, tapes []int) {
	for k, off := range f.CentreSuspect {
		res := &s.m.Results[s.centres[k]]
		res.State, res.Reason = Kept, ""
		if off {
			res.State, res.Reason = Suspect, "lies off the centre line that all the rest makes"
		}
	}
	s.badTapes = nil
	for k, off := range f.WidthSuspect {
		if off {
			s.badTapes = append(s.badTapes, tapes[k])
		}
	}
}

// state fills in how sure a found plane is. The fit's covariance is of the plane
// at the origin of its own frame, with skew and roll about that frame's axes; it
// is carried to the line's point and to the board's axes.
func (c *CentreLine) state(frame, whole geom.Frame, f *fit.Symmetric) {
	at := whole.Apply(c.Point)
	j := [3][3]float64{0: {1, -at.Y, -at.Z}} // of the distance in mm, skew and roll in degrees
	back := frame.Inverse()
	angles := func(skew, roll float64) [2]float64 {
		p := geom.Plane{Normal: back.Rotate(geom.NewPlane(r3.Vec{}, skew, roll).Normal)}
		return [2]float64{p.Skew(), p.Roll()}
	}
	const step, degrees = 1e-6, 180 / math.Pi
	as := angles(f.Skew, f.Roll)
	turned, leaned := angles(f.Skew+step, f.Roll), angles(f.Skew, f.Roll+step)
	for i := range as {
		j[i+1] = [3]float64{1: (turned[i] - as[i]) / step * degrees, 2: (leaned[i] - as[i]) / step * degrees}
	}
	var cov [3][3]float64
	for i := range cov {
		for k := range cov {
			for a := range f.Cov {
				for b := range f.Cov {
					cov[i][k] += j[i][a] * f.Cov[a][b] * j[k][b]
				}
			}
		}
	}
	u := func(i int) float64 { return math.Sqrt(max(cov[i][i], 0)) }
	c.OffsetU, c.SkewU, c.RollU = u(0), u(1), u(2)
	c.info = inverse3(cov)
}

// inverse3 is the inverse of a symmetric matrix with a positive determinant,
// else nought.
func inverse3(a [3][3]float64) (out [3][3]float64) {
	minor := func(i, j int) float64 {
		r, c := [2]int{(i + 1) % 3, (i + 2) % 3}, [2]int{(j + 1) % 3, (j + 2) % 3}
		return a[r[0]][c[0]]*a[r[1]][c[1]] - a[r[0]][c[1]]*a[r[1]][c[0]]
	}
	det := a[0][0]*minor(0, 0) + a[0][1]*minor(0, 1) + a[0][2]*minor(0, 2)
	if !(det > 0) {
		return out
	}
	for i := range out {
		for j := range out {
			out[i][j] = minor(j, i) / det
		}
	}
	return out
}

// lacksMirror says whether a pane of which both halves were read is no mirrored
// one at all: it differs too much from its image in the best plane. It holds the
// stations against the other half where that was read.
func (s *solve) lacksMirror(guess geom.Plane) bool {
	const most = 4.0 // mm RMS, beyond any pane that was meant to be symmetric (our own figure)
	plane := fit.Fold(s.m.Free.Curve, guess)
	if s.m.Found != nil {
		plane = s.m.Found.Plane
	}
	all := s.againstOther(plane, s.scatter())
	if len(all) < leastStations {
		return false
	}
	rms, _ := spreadOf(all)
	if rms <= most {
		return false
	}
	largest := 0.0
	for _, r := range all {
		largest = max(largest, math.Abs(r.off))
	}
	s.notMirrored = &plane
	s.m.WhyNotFound = fmt.Sprintf("The pane is no mirrored one: its outline lies up to %s off its own mirror image (%s typical).", s.job.length(largest), s.job.length(rms))
	return true
}

// mayStray says whether the pane may come out different on its two sides: where
// the person neither asks for a symmetric one nor typed a line.
func (s *solve) mayStray() bool { return s.job.Mirror == MirrorAuto && s.job.Plane == nil }

// judge takes over what the symmetric fit says of the stations: the other half,
// mirrored, sees slips that their neighbours alone do not, and clears others.
func (s *solve) judge(f *fit.Symmetric) {
	for i, m := range s.markOf {
		res := &s.m.Results[i]
		switch off := f.Outline.Suspect[m]; {
		case off && res.State == Kept:
			res.State = Suspect
			res.Reason = "lies off the edge that the other stations make, the other half mirrored"
		case !off && res.State == Suspect:
			res.State, res.Reason = Kept, ""
			s.judgeHeight(i)
		}
	}
	s.toArrises(s.m.FreeFace.Face) // with the heights of those cleared
}

// judgeHeight holds the height of a station that was cleared against the face,
// which was fitted without it.
func (s *solve) judgeHeight(i int) {
	const tooFar, floor = 4.5, 1.2 // sd and mm, as the face fit itself
	res := &s.m.Results[i]
	k := slices.Index(s.edge, i)
	if !s.job.Readings[i].Z.Set || s.badZ[i] || s.job.Readings[i].Sure {
		return
	}
	p := s.arris[k]
	h := s.m.FreeFace.Face.Eval(p.X, p.Y)
	sxy, sz := s.job.sigmas()
	u := math.Hypot(math.Hypot(sz, s.m.FreeFace.SD(p.X, p.Y)), sxy*math.Hypot(h.Zx, h.Zy))
	if d := math.Abs(res.At.Z - h.Z); d > floor && d > tooFar*u {
		s.badZ[i], res.BadHeight = true, true
		res.Reason = "its height lies off the face that its neighbours make"
	}
}
