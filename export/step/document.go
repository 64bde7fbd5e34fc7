package step

import (
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// Uncertainty is what a file declares as the accuracy of its lengths, in mm:
// places closer than this are one.
const Uncertainty = 0.002

// Document is what goes into one file: one part of any number of solids,
// sheets, curves and points, in one frame, in millimetres.
//
// Names may be any text and need not be unique. A Group, where it is not
// empty, becomes a layer that holds what bears its name.
type Document struct {
	Name  string   // of the part, as readers show it; not empty
	Date  string   // ISO 8601, a day or day and time; empty: 1970-01-01, a date that says nothing
	Notes []string // description lines for the head of the file
	Inch  bool     // the file's unit is the inch, else the millimetre

	// Everything is moved by Frame (nil: not at all) and then made so many times
	// as large about the origin, as it is written: a model to scale. 0 is 1.
	Frame *geom.Frame
	Scale float64

	Solids []Solid
	Sheets []Sheet
	Curves []Curve
	Points []Point
}

// Solid is a pane of glass as a closed solid.
type Solid struct {
	Name, Group string
	Pane        *geom.Pane
}

// Sheet is one face without thickness: what lies inside Edge, which must lie
// on the face within 0.001 mm and inside its box (see Lift), or all of the
// face's box where Edge is nil. Its front is turned up.
//
// Hole, where there is one, is cut out: two or more pieces that follow one
// another round, counter-clockwise, on the face as Edge is and inside it. The
// edge may break where they meet. See Ring.
type Sheet struct {
	Name, Group string
	Face        *geom.Face
	Edge        *geom.SpaceCurve // counter-clockwise
	Hole        []Spline
}

// Curve is a curve in space that bounds nothing.
type Curve struct {
	Name, Group string
	Spline
}

// Point is a place in space.
type Point struct {
	Name, Group string
	At          r3.Vec
}

// Spline is an open or closed cubic B-spline on clamped knots: len(Ctrl)+4 of
// them, fourfold at both ends and rising between. A closed one has its last
// control point equal to its first. Without knots it is straight pieces from
// point to point.
type Spline struct {
	Knots []float64
	Ctrl  []r3.Vec // mm
}

// Closed returns a closed curve.
func Closed(c *geom.SpaceCurve) Spline {
	knots, ctrl := c.Clamped()
	return Spline{knots, ctrl}
}

// Flat returns a plane curve at the height z.
func Flat(c *geom.Curve, z float64) Spline {
	knots, plan := c.Clamped()
	ctrl := make([]r3.Vec, len(plan))
	for i, p := range plan {
		ctrl[i] = r3.Vec{X: p.X, Y: p.Y, Z: z}
	}
	return Spline{knots, ctrl}
}

// Ring returns a closed curve in four pieces, as the hole of a sheet.
func Ring(c *geom.SpaceCurve) []Spline {
	parts := cut(c, quarters(c.Knots()))
	return parts[:]
}

// Straight returns straight pieces through two or more points.
func Straight(pts ...r3.Vec) Spline { return Spline{Ctrl: pts} }
