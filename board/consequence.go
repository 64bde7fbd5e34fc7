package board

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// Consequence is what a centre plane would do to the pane: the measured half
// mirrored about it, held against what was read on the other half.
type Consequence struct {
	Plane geom.Plane // board frame

	Ghost []r2.Vec // board plan: the measured half, mirrored; open polyline from the lower crossing to the upper

	Width       float64 // mm, greatest width of the mirrored pane across the plane
	WidthChange float64 // mm, against the reference: the line that the readings give, else the one in use; 0 without either

	Others           []StationOff // stations of the other half
	WidestDifference float64      // mm, the one of Others that lies farthest off
	WidestAt         string       // its id; empty where no station of the other half was read

	// AsymmetryRMS and AsymmetryMost are what is left over, mm: of a pane read
	// all round the distance of the outline from its own mirror image, of half a
	// pane that of the stations of the other half, their scatter included; 0
	// where there are none.
	AsymmetryRMS, AsymmetryMost float64

	KinkBottom, KinkTop float64 // degrees by which the outline bends where its halves meet, + where both rise away from the line; 0 is smooth
	StepBottom, StepTop JoinStep

	Corners [2]CornerMove // the far corners, lower and upper, against the reference
	Widths  []WidthCheck  // of the taped full widths

	Known   bool    // a plane was found; those below are against it
	Off     float64 // mm: this plane against the found one, square to it at the mean edge point; + to the right
	SkewOff float64 // degrees: this plane against the found one
	Odds    float64 // how many of its standard uncertainties the plane is away from the found one, offset, skew and roll together
	Chance  float64 // that the true plane lies so far off or farther, 0 … 1
}

// StationOff is a station of the other half against the mirrored one.
type StationOff struct {
	ID         string
	At         r2.Vec  // board plan, the pencil taken off
	Difference float64 // mm, + outside the mirrored half
}

// JoinStep is how the mirrored half meets the edge that was read a little past the
// line.
type JoinStep struct {
	Known bool    // a station was read there, up to 60 mm past the line
	Out   float64 // mm, + where the mirrored half lies outside the edge as read; mean of the stations
}

// CornerMove is how a far corner of the mirrored half moves with the plane.
type CornerMove struct {
	At   r2.Vec  // board plan, where it would be
	Move r2.Vec  // mm, from where the reference puts it; 0 without one
	By   float64 // length of Move
}

// WidthCheck is a taped full width against the mirrored pane.
type WidthCheck struct {
	Row        int     // index in Job.Tapes
	Station    string  // from where it was taped
	Taped      float64 // mm
	Width      float64 // mm, of the mirrored pane there
	Difference float64 // mm, tape minus pane
}

// Consequence works out what the centre plane with the given offset (mm, x at
// the mean edge point), skew and roll (degrees) would do. It is false where
// the outline does not cross the plane below and above. It costs some 0.1 ms, so
// that it can follow a drag.
func (m *Model) Consequence(offset, skew, roll float64) (Consequence, bool) {
	if len(m.loop.nodes) == 0 {
		return Consequence{}, false
	}
	c := Consequence{Plane: m.planeAt(offset, skew, roll)}
	half, ok := m.loop.cut(c.Plane, m.loop.side)
	if !ok {
		return Consequence{}, false
	}
	ghost := make([]edgeNode, len(half))
	c.Ghost = make([]r2.Vec, len(half))
	reach := 0.0
	for i := range half {
		reach = max(reach, math.Abs(c.Plane.Dist(half[i].touched())))
		ghost[i] = half[i].mirrored(c.Plane, m.loop.t, m.loop.profile)
		c.Ghost[i] = ghost[i].sil
	}
	c.Width = 2 * reach
	if m.refWidth > 0 {
		c.WidthChange = c.Width - m.refWidth
	}
	last := len(half) - 1
	c.KinkBottom = kink(half[0].away(half[1]), c.Plane)
	c.KinkTop = kink(half[last].away(half[last-1]), c.Plane)
	m.others(&c, ghost)
	m.leftOver(&c, ghost)
	m.corners(&c, half)
	m.widthChecks(&c, half)
	m.fromFound(&c, offset, skew, roll)
	return c, true
}

// away is the direction of the edge at a node, toward another.
func (n *edgeNode) away(to edgeNode) r2.Vec {
	d := r2.Vec{X: -n.out.Y, Y: n.out.X}
	if r2.Dot(d, r2.Sub(to.sil, n.sil)) < 0 {
		d = r2.Scale(-1, d)
	}
	return d
}

// kink is the bend in degrees where a half that runs off the line in direction
// d meets its mirror image; + where both halves rise away from the line.
func kink(d r2.Vec, plane geom.Plane) float64 {
	n := flat(plane.Normal)
	if r2.Dot(n, d) < 0 {
		n = r2.Scale(-1, n)
		return -2 * math.Asin(max(-1, min(1, r2.Cross(n, d)))) * 180 / math.Pi
	}
	return 2 * math.Asin(max(-1, min(1, r2.Cross(n, d)))) * 180 / math.Pi
}

// placedStation is a station that counts, where it touches the edge.
type placedStation struct {
	id      string
	reading int // index in Job.Readings
	sil     r2.Vec
	arris   r3.Vec
}

// setStations keeps the stations for Consequence.
func (s *solve) setStations() {
	for k, i := range s.edge {
		if s.kept(k) || s.m.Results[i].State == Unused {
			s.m.touched = append(s.m.touched, placedStation{s.job.Readings[i].ID, i, r2.Vec{X: s.marks[k].P.X, Y: s.marks[k].P.Y}, s.arrisOf(k)})
		}
	}
}

// arrisOf is the upper arris at the k-th edge reading, as far as it is known.
func (s *solve) arrisOf(k int) r3.Vec {
	if s.arris != nil {
		return s.arris[k]
	}
	p := s.marks[k].P
	if math.IsNaN(p.Z) {
		p.Z = 0
	}
	return p
}

// others holds the stations of the other half against the ghost.
func (m *Model) others(c *Consequence, ghost []edgeNode) {
	const clear = 1 // mm past the line
	var n [2]float64
	steps := [2]*JoinStep{&c.StepBottom, &c.StepTop}
	for _, s := range m.touched {
		past := -m.loop.side * c.Plane.Dist(s.arris)
		if past < clear {
			continue
		}
		d := offLine(ghost, s.sil)
		c.Others = append(c.Others, StationOff{s.id, s.sil, d})
		if math.Abs(d) >= math.Abs(c.WidestDifference) {
			c.WidestDifference, c.WidestAt = d, s.id
		}
		if past < overlap {
			end := 0
			if r2.Norm2(r2.Sub(s.sil, c.Ghost[0])) > r2.Norm2(r2.Sub(s.sil, c.Ghost[len(c.Ghost)-1])) {
				end = 1
			}
			n[end]++
			steps[end].Known = true
			steps[end].Out += (-d - steps[end].Out) / n[end]
		}
	}
}

// leftOver says how far the pane is from symmetric about the plane.
func (m *Model) leftOver(c *Consequence, ghost []edgeNode) {
	var all []float64
	if m.Mirror == MirrorLeft || m.Mirror == MirrorRight {
		for _, o := range c.Others {
			all = append(all, o.Difference)
		}
	} else if other, ok := m.loop.cut(c.Plane, -m.loop.side); ok {
		const step = 30 // mm
		for _, n := range every(ghost, step) {
			all = append(all, offLine(other, n.sil))
		}
	}
	for _, d := range all {
		c.AsymmetryRMS += d * d / float64(len(all))
		c.AsymmetryMost = max(c.AsymmetryMost, math.Abs(d))
	}
	c.AsymmetryRMS = math.Sqrt(c.AsymmetryRMS)
}

// reference is the line that others are held against: that of the readings, else
// the one in use.
func (m *Model) reference() *CentreLine {
	if m.Found != nil {
		return m.Found
	}
	return m.Used
}

// corners finds the far corners: where the half reaches out farthest and lowest,
// and farthest and highest.
func (m *Model) corners(c *Consequence, half []edgeNode) {
	n := flat(c.Plane.Normal)
	up := r2.Vec{X: -n.Y, Y: n.X}
	for e, sense := range [2]float64{-1, 1} {
		best, most := 0, math.Inf(-1)
		for i := range half {
			if d := m.loop.side*c.Plane.Dist(half[i].arris) + sense*r2.Dot(up, half[i].sil); d > most {
				best, most = i, d
			}
		}
		corner := &c.Corners[e]
		corner.At = c.Ghost[best]
		if ref := m.reference(); ref != nil {
			was := half[best].mirrored(ref.Plane, m.loop.t, m.loop.profile).sil
			corner.Move = r2.Sub(corner.At, was)
			corner.By = r2.Norm(corner.Move)
		}
	}
}

// tapedAt is a taped full width and where the pane was taped from.
type tapedAt struct {
	row      int
	station  string
	at       r3.Vec // where the tape touches the edge
	greatest bool
}

// setTapes keeps the taped widths for Consequence.
func (s *solve) setTapes() {
	for row, t := range s.job.Tapes {
		k := s.keptStation(t.From)
		if t.Struck || t.How == Straight || !t.Length.Set || k < 0 {
			continue
		}
		foot := s.m.Results[s.edge[k]].Foot
		s.m.taped = append(s.m.taped, tapedAt{row, t.From, r3.Vec{X: foot.X, Y: foot.Y, Z: s.arrisOf(k).Z}, t.How == Greatest})
	}
}

// widthChecks holds the tapes against the mirrored pane: from a point to its
// mirror image it is twice the way to the plane.
func (m *Model) widthChecks(c *Consequence, half []edgeNode) {
	for _, t := range m.taped {
		d := math.Abs(c.Plane.Dist(t.at))
		if t.greatest {
			for i := range half {
				if q := half[i].touched(); r3.Norm(r3.Sub(q, t.at)) < greatestFor {
					d = max(d, math.Abs(c.Plane.Dist(q)))
				}
			}
		}
		w := WidthCheck{Row: t.row, Station: t.station, Taped: m.Job.Tapes[t.row].Length.MM, Width: 2 * d}
		w.Difference = w.Taped - w.Width
		c.Widths = append(c.Widths, w)
	}
}

// fromFound says how far the plane is from the one that the readings give.
func (m *Model) fromFound(c *Consequence, offset, skew, roll float64) {
	f := m.Found
	if f == nil {
		return
	}
	c.Known, c.SkewOff = true, skew-f.Skew
	c.Off = (offset - f.Offset) * c.Plane.Normal.X
	by := [3]float64{c.Off, skew - f.Skew, roll - f.Roll}
	for i, a := range by {
		for j, b := range by {
			c.Odds += a * f.info[i][j] * b
		}
	}
	c.Odds = math.Sqrt(max(0, c.Odds))
	c.Chance = beyond(c.Odds)
}

// beyond is the chance that three independent figures lie together n or more
// standard uncertainties off: the upper tail of chi with three degrees of
// freedom.
func beyond(n float64) float64 {
	return math.Erfc(n/math.Sqrt2) + math.Sqrt(2/math.Pi)*n*math.Exp(-n*n/2)
}
