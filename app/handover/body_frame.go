package handover

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/geom"
)

// Facing is the side of the car that a pane faces.
type Facing int

// The sides.
const (
	Front Facing = iota // windscreen
	Rear                // rear screen
	Left                // the driver's left, who looks ahead
	Right
)

var facingNames = [...]string{"front", "rear", "left", "right"}

// ParseFacing reads front, rear, left or right.
func ParseFacing(s string) (Facing, bool) {
	for i, name := range facingNames {
		if s == name {
			return Facing(i), true
		}
	}
	return 0, false
}

// Car says where the pane stands in the car: X to the rear, Y to the driver's
// right, Z up, in mm, from wherever the car's origin is. It is told either by
// three points or by an angle and a place.
type Car struct {
	// Points are three stations or marks and where they are in the car; where
	// there are any, the rest does not count.
	Points []CarPoint

	Facing Facing
	Rake   float64 // degrees by which the pane's Y leans from upright, away from the side that it faces
	At     r3.Vec  // where the origin of the glass frame is in the car
}

// CarPoint is a station or mark and where it is in the car, mm.
type CarPoint struct {
	ID string
	At r3.Vec
}

const (
	carAxes     = "X to the rear, Y to the driver's right, Z up"
	carReach    = 1e5  // mm, that a car is believed to reach from its origin
	carMisfit   = 10.0 // mm by which three points may differ from the pane before they are taken for others
	carLeastGap = 50.0 // mm that they must lie from one line
)

// check refuses what no car is.
func (c *Car) check() error {
	near := func(p r3.Vec) bool {
		return math.Abs(p.X) <= carReach && math.Abs(p.Y) <= carReach && math.Abs(p.Z) <= carReach
	}
	if len(c.Points) > 0 {
		if len(c.Points) != 3 {
			return fmt.Errorf("handover: the car frame is told by three points, not by %d", len(c.Points))
		}
		for _, p := range c.Points {
			if !near(p.At) {
				return fmt.Errorf("handover: the place of %s in the car is out of range", p.ID)
			}
		}
		return nil
	}
	if !(math.Abs(c.Rake) <= 90) || !near(c.At) {
		return errors.New("handover: the place in the car is out of range: a rake of at most 90 degrees, and mm")
	}
	return nil
}

// frame is the motion from the glass frame into the car's.
func (c *Car) frame(m *board.Model) (*geom.Frame, error) {
	if len(c.Points) > 0 {
		return c.onPoints(m)
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
func (c *Car) onPoints(m *board.Model) (*geom.Frame, error) {
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
