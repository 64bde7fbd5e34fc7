package handover

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/geom"
)

const (
	carAxes     = "X to the rear, Y to the driver's right, Z up"
	carMisfit   = 10.0 // mm by which three points may differ from the pane before they are taken for others
	carLeastGap = 50.0 // mm that they must lie from one line
)

// carFrame is the motion from the glass frame into the car's.
func carFrame(c *board.Car, m *board.Model) (*geom.Frame, error) {
	if c.By == board.ByPoints {
		return onPoints(c, m)
	}
	s, co := math.Sincos(c.Rake * math.Pi / 180)
	out := [...]r3.Vec{{X: -1}, {X: 1}, {Y: -1}, {Y: 1}}[c.Facing]
	up := r3.Vec{Z: 1}
	y := r3.Sub(r3.Scale(co, up), r3.Scale(s, out))
	z := r3.Add(r3.Scale(co, out), r3.Scale(s, up)) // the outer face's normal
	if m.Job.Pane.Lay == board.Bowl {
		z = r3.Scale(-1, z)
	}
	return columns(r3.Cross(y, z), y, z, c.At), nil
}

// columns is the motion that takes the axes to x, y and z and the origin to t.
func columns(x, y, z, t r3.Vec) *geom.Frame {
	return &geom.Frame{R: [3][3]float64{{x.X, y.X, z.X}, {x.Y, y.Y, z.Y}, {x.Z, y.Z, z.Z}}, T: t}
}

// onPoints is the motion that brings three points of the pane to where they are
// in the car: their middles and planes onto one another, and turned in that plane
// so that the squares of what is left are least.
func onPoints(c *board.Car, m *board.Model) (*geom.Frame, error) {
	var from, to [3]r3.Vec
	for i, p := range c.Points {
		q, ok := named(m, p.ID)
		if !ok {
			return nil, fmt.Errorf("handover: there is no station or mark %q with x, y and a height to place the pane in the car by", p.ID)
		}
		from[i], to[i] = q, p.At
	}
	f, err := triangle(from)
	if err != nil {
		return nil, fmt.Errorf("handover: the three points on the pane: %w", err)
	}
	g, err := triangle(to)
	if err != nil {
		return nil, fmt.Errorf("handover: the three points in the car: %w", err)
	}
	var sin, cos float64
	for i := range from {
		a, b := f.Apply(from[i]), g.Apply(to[i])
		cos, sin = cos+a.X*b.X+a.Y*b.Y, sin+a.X*b.Y-a.Y*b.X
	}
	h := math.Hypot(sin, cos)
	turn := geom.Frame{R: [3][3]float64{{cos / h, -sin / h, 0}, {sin / h, cos / h, 0}, {0, 0, 1}}}
	motion := f.Then(turn).Then(g.Inverse())
	for i := range from {
		if d := r3.Norm(r3.Sub(motion.Apply(from[i]), to[i])); !(d <= carMisfit) {
			return nil, fmt.Errorf("handover: the pane does not fit its three points in the car: %s would lie %.1f mm off", c.Points[i].ID, d)
		}
	}
	return &motion, nil
}

// triangle is the motion that lays a triangle flat, its middle on the origin and
// its first corner on X.
func triangle(p [3]r3.Vec) (geom.Frame, error) {
	mid := r3.Scale(1./3, r3.Add(p[0], r3.Add(p[1], p[2])))
	n := r3.Cross(r3.Sub(p[1], p[0]), r3.Sub(p[2], p[0]))
	longest := max(r3.Norm(r3.Sub(p[1], p[0])), r3.Norm(r3.Sub(p[2], p[1])), r3.Norm(r3.Sub(p[0], p[2])))
	if !(r3.Norm(n) > carLeastGap*longest) {
		return geom.Frame{}, errors.New("they lie on one line, or nearly so")
	}
	z, x := r3.Unit(n), r3.Unit(r3.Sub(p[0], mid))
	return columns(x, r3.Cross(z, x), z, mid).Inverse(), nil
}

// named is where a station or mark is, glass frame; a station before a mark of
// the same name.
func named(m *board.Model, id string) (r3.Vec, bool) {
	for _, kind := range []board.Kind{board.Edge, board.Mark, board.Face, board.Centre} {
		for i, r := range m.Job.Readings {
			if r.ID == id && r.Kind == kind {
				if q, ok := readAt(m, i); ok {
					return q, true
				}
			}
		}
	}
	return r3.Vec{}, false
}
