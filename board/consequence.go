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
	WidthChange float64 // mm, against the line in use; 0 without one

	WidestDifference float64 // mm, signed, + outside the mirrored half: the station of the other half that lies farthest off it
	WidestAt         string  // its id; empty where no station of the other half was read

	KinkBottom, KinkTop float64 // degrees by which the outline bends where its halves meet, + where both rise away from the line; 0 is smooth

	Known   bool    // a plane was found; the three below are against it
	Off     float64 // mm: this plane against the found one, square to it at the mean edge point; + to the right
	SkewOff float64 // degrees: this plane against the found one
	Odds    float64 // how many of its standard uncertainties the plane is away from the found one, offset, skew and roll together
}

// Consequence works out what the centre plane with the given offset (mm, x at
// the mean edge point), skew and roll (degrees) would do. It is false where
// the outline does not cross the plane below and above. It costs well below a
// millisecond, so that it can follow a drag.
func (m *Model) Consequence(offset, skew, roll float64) (Consequence, bool) {
	if m.Free == nil {
		return Consequence{}, false
	}
	c := Consequence{Plane: m.planeAt(offset, skew, roll)}
	half, ok := m.half(c.Plane)
	if !ok {
		return Consequence{}, false
	}
	reach := 0.0
	for _, p := range half {
		q := m.lift(p)
		reach = max(reach, math.Abs(c.Plane.Dist(q)))
		g := c.Plane.Mirror(q)
		c.Ghost = append(c.Ghost, r2.Vec{X: g.X, Y: g.Y})
	}
	c.Width = 2 * reach
	if m.usedWidth > 0 {
		c.WidthChange = c.Width - m.usedWidth
	}
	c.KinkBottom = kink(m.along(half[0], half[1]), c.Plane)
	c.KinkTop = kink(m.along(half[len(half)-1], half[len(half)-2]), c.Plane)
	m.widest(&c)
	m.fromFound(&c, offset, skew, roll)
	return c, true
}

// lift puts a plan point of the board onto the free face.
func (m *Model) lift(p r2.Vec) r3.Vec {
	q := r3.Vec{X: p.X, Y: p.Y}
	if m.FreeFace != nil {
		q.Z = m.FreeFace.Face.At(p.X, p.Y)
	}
	return q
}

// half is the stretch of the free outline on the measured side of a plane,
// from its lower crossing to its upper one. With both halves measured it is
// the right half.
func (m *Model) half(plane geom.Plane) ([]r2.Vec, bool) {
	side := 1.0
	if m.Mirror == MirrorLeft {
		side = -1
	}
	c := m.Free.Curve
	params := c.Flatten(0.02)
	loop := make([]r2.Vec, len(params))
	dist := make([]float64, len(params))
	for i, u := range params {
		loop[i] = c.At(u)
		dist[i] = side * plane.Dist(m.lift(loop[i]))
	}
	n := len(loop)
	enter := -1 // the longest run of samples on the measured side
	length := 0
	for i := range loop {
		if dist[i] <= 0 || dist[(i+n-1)%n] > 0 {
			continue
		}
		k := 0
		for k < n && dist[(i+k)%n] > 0 {
			k++
		}
		if k > length {
			enter, length = i, k
		}
	}
	if enter < 0 || length < 3 {
		return nil, false
	}
	cut := func(in, out int) r2.Vec {
		f := dist[in] / (dist[in] - dist[out])
		return r2.Add(loop[in], r2.Scale(f, r2.Sub(loop[out], loop[in])))
	}
	half := []r2.Vec{cut(enter, (enter+n-1)%n)}
	for k := range length {
		half = append(half, loop[(enter+k)%n])
	}
	last := (enter + length - 1) % n
	half = append(half, cut(last, (last+1)%n))
	if half[0].Y > half[len(half)-1].Y {
		for a, b := 0, len(half)-1; a < b; a, b = a+1, b-1 {
			half[a], half[b] = half[b], half[a]
		}
	}
	return half, true
}

// along is the direction of the free outline at its point p, toward q.
func (m *Model) along(p, q r2.Vec) r2.Vec {
	u, _ := m.Free.Curve.Nearest(p)
	d := m.Free.Curve.Tangent(u)
	if r2.Dot(d, r2.Sub(q, p)) < 0 {
		d = r2.Scale(-1, d)
	}
	return d
}

// kink is the bend in degrees where a half that runs off the line in direction
// d meets its mirror image; + where both halves rise away from the line.
func kink(d r2.Vec, plane geom.Plane) float64 {
	n := r2.Unit(r2.Vec{X: plane.Normal.X, Y: plane.Normal.Y})
	if r2.Dot(n, d) < 0 {
		n = r2.Scale(-1, n)
		return -2 * math.Asin(max(-1, min(1, r2.Cross(n, d)))) * 180 / math.Pi
	}
	return 2 * math.Asin(max(-1, min(1, r2.Cross(n, d)))) * 180 / math.Pi
}

// widest finds the station of the other half that lies farthest off the ghost.
func (m *Model) widest(c *Consequence) {
	side := 1.0
	if m.Mirror == MirrorLeft {
		side = -1
	}
	for i, r := range m.Job.Readings {
		if r.Kind != Edge || r.Struck || m.Results[i].State == Suspect || !m.Results[i].Placed {
			continue
		}
		p := r2.Vec{X: m.Results[i].At.X, Y: m.Results[i].At.Y}
		if m.Job.Pencil.MM != 0 && m.Results[i].HasMiss {
			u, _ := m.Free.Curve.Nearest(p)
			p = r2.Sub(p, r2.Scale(m.Job.Pencil.MM, m.Free.Curve.Normal(u)))
		}
		if side*c.Plane.Dist(m.lift(p)) > -1 {
			continue
		}
		d := signedDistance(c.Ghost, p, c.Plane.Point)
		if math.Abs(d) >= math.Abs(c.WidestDifference) {
			c.WidestDifference, c.WidestAt = d, r.ID
		}
	}
}

// signedDistance is the distance of p from an open polyline, + where p is on
// the far side from a point inside.
func signedDistance(line []r2.Vec, p r2.Vec, inside r3.Vec) float64 {
	best, sign := math.Inf(1), 1.0
	for i := 1; i < len(line); i++ {
		a, d := line[i-1], r2.Sub(line[i], line[i-1])
		l := r2.Norm2(d)
		if l == 0 {
			continue
		}
		f := min(1, max(0, r2.Dot(r2.Sub(p, a), d)/l))
		q := r2.Add(a, r2.Scale(f, d))
		if s := r2.Norm(r2.Sub(p, q)); s < best {
			best = s
			sign = r2.Cross(d, r2.Sub(p, a)) * r2.Cross(d, r2.Sub(r2.Vec{X: inside.X, Y: inside.Y}, a))
		}
	}
	if sign < 0 {
		return best
	}
	return -best
}

// fromFound says how far the plane is from the one that the readings give.
func (m *Model) fromFound(c *Consequence, offset, skew, roll float64) {
	f := m.Found
	if f == nil {
		return
	}
	c.Known, c.SkewOff = true, skew-f.Skew
	c.Off = (offset - f.Offset) * c.Plane.Normal.X
	for _, d := range [][2]float64{{c.Off, f.OffsetU}, {skew - f.Skew, f.SkewU}, {roll - f.Roll, f.RollU}} {
		if d[1] > 0 {
			c.Odds = math.Hypot(c.Odds, d[0]/d[1])
		}
	}
}
