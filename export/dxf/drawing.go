package dxf

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// Limits of what a drawing takes.
const (
	maxCoord = 1e9 // mm; beyond it a fixed-decimal number is no longer exact
	maxName  = 31  // characters of a layer name in R12
	maxText  = 250 // bytes of a string value, escapes included
)

// Drawing is a flat list of entities on named layers, in millimetres,
// right-handed, z up. The zero value is not ready for use: see New.
//
// Every method that adds something keeps the first fault (a layer that was not
// declared, a number that is not finite, …) for the Write functions to return,
// and adds nothing then. A Drawing is not safe for concurrent use.
type Drawing struct {
	comments []string
	inch     bool
	layers   []layer
	shapes   []shape
	box      r3.Box // of the defining points
	err      error
}

// layer is a row of the LAYER table.
type layer struct {
	name     string
	colour   int
	linetype string
}

// New returns an empty drawing with the layer "0", which every file must have.
func New() *Drawing {
	return &Drawing{layers: []layer{{"0", White, Continuous}}}
}

// Err returns the first fault met while the drawing was filled, or nil.
func (d *Drawing) Err() error { return d.err }

// Inches makes the inch the unit of the files: what is given in millimetres is
// converted as it is written, letters and all.
func (d *Drawing) Inches() { d.inch = true }

// Comment adds a line of remark at the head of the file. Readers skip it.
func (d *Drawing) Comment(s string) {
	enc, err := encode(s)
	if err != nil {
		d.fail("comment %q: %w", s, err)
		return
	}
	d.comments = append(d.comments, enc)
}

// Layer declares a layer: name of 1 to 31 letters, digits, "-", "_" or "$"
// (what R12 allows; case does not tell two names apart), colour number 1 to
// 255 and one of the line types Continuous, Center and Dashed. A layer is
// declared once, before anything is drawn on it.
func (d *Drawing) Layer(name string, colour int, linetype string) {
	switch {
	case !legalName(name):
		d.fail("layer name %q is not legal in R12", name)
	case d.hasLayer(name):
		d.fail("layer %q declared twice", name)
	case colour < 1 || colour > 255:
		d.fail("layer %q: colour %d outside 1..255", name, colour)
	case !hasLinetype(linetype):
		d.fail("layer %q: unknown line type %q", name, linetype)
	default:
		d.layers = append(d.layers, layer{name, colour, linetype})
	}
}

// Line adds a straight line from a to b, which must differ.
func (d *Drawing) Line(layer string, a, b r3.Vec) {
	if snap(a) == snap(b) {
		d.fail("line on %q has no length", layer)
		return
	}
	d.add(layer, line{layer, a, b})
}

// Circle adds a circle of radius r mm about c, square to z.
func (d *Drawing) Circle(layer string, c r3.Vec, r float64) {
	if !(r >= unit && r <= maxCoord) {
		d.fail("circle on %q: radius %v mm", layer, r)
		return
	}
	d.add(layer, circle{layer, c, r})
}

// Point adds a point.
func (d *Drawing) Point(layer string, p r3.Vec) { d.add(layer, point{layer, p}) }

// Text adds one line of text whose lower left corner is at the given place,
// letters the given height in mm. Letters outside ASCII are written as
// \U+XXXX; those outside the basic plane, which the format cannot hold, as a
// question mark; line ends and tabs as a blank.
func (d *Drawing) Text(layer string, at r3.Vec, height float64, s string) {
	enc, err := encode(s)
	switch {
	case err != nil:
		d.fail("text %q on %q: %w", s, layer, err)
	case strings.TrimSpace(enc) == "":
		d.fail("text on %q is empty", layer)
	case !(height >= unit && height <= maxCoord):
		d.fail("text %q on %q: height %v mm", s, layer, height)
	default:
		d.add(layer, text{layer, at, height, enc})
	}
}

// Polyline adds straight pieces through pts; a closed one runs back to the
// first point, which is not repeated, and one that returns to its first point
// must be closed. Where all points share one z it is a plane polyline at that
// elevation, else one in space. Neighbours must differ.
func (d *Drawing) Polyline(layer string, pts []r3.Vec, closed bool) {
	if err := checkPolyline(pts, closed); err != nil {
		d.fail("polyline on %q: %w", layer, err)
		return
	}
	d.add(layer, polyline{layer, slices.Clone(pts), closed})
}

// Spline adds a cubic B-spline: len(ctrl)+4 knots, the first four equal, the
// last four equal, all between strictly rising. A closed one, and no other, has
// its last control point equal to its first. The planar mark is for curves at
// one z.
func (d *Drawing) Spline(layer string, knots []float64, ctrl []r3.Vec, closed, planar bool) {
	if err := checkSpline(knots, ctrl, closed, planar); err != nil {
		d.fail("spline on %q: %w", layer, err)
		return
	}
	d.add(layer, spline{layer, slices.Clone(knots), slices.Clone(ctrl), closed, planar})
}

// add takes a shape whose own rules have been checked.
func (d *Drawing) add(layer string, s shape) {
	if !d.hasLayer(layer) {
		d.fail("layer %q is not declared", layer)
		return
	}
	box := s.box()
	for _, v := range [...]float64{box.Min.X, box.Min.Y, box.Min.Z, box.Max.X, box.Max.Y, box.Max.Z} {
		if !(math.Abs(v) <= maxCoord) {
			d.fail("a coordinate on %q is not finite or too large: %v", layer, v)
			return
		}
	}
	if len(d.shapes) == 0 {
		d.box = box
	}
	d.box = join(d.box, box)
	d.shapes = append(d.shapes, s)
}

func (d *Drawing) fail(format string, args ...any) {
	if d.err == nil {
		d.err = fmt.Errorf("dxf: "+format, args...)
	}
}

func (d *Drawing) hasLayer(name string) bool {
	return slices.ContainsFunc(d.layers, func(l layer) bool { return strings.EqualFold(l.name, name) })
}

// legalName tells whether s may name a layer in every version of the format.
func legalName(s string) bool {
	bad := func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_$", r))
	}
	return s != "" && len(s) <= maxName && !strings.ContainsFunc(s, bad)
}

// boxOf returns the least box round pts. A coordinate that is not a number
// stays one in the box.
func boxOf(pts ...r3.Vec) r3.Box {
	box := r3.Box{Min: pts[0], Max: pts[0]}
	for _, p := range pts {
		box = join(box, r3.Box{Min: p, Max: p})
	}
	return box
}

func join(a, b r3.Box) r3.Box {
	return r3.Box{
		Min: r3.Vec{X: min(a.Min.X, b.Min.X), Y: min(a.Min.Y, b.Min.Y), Z: min(a.Min.Z, b.Min.Z)},
		Max: r3.Vec{X: max(a.Max.X, b.Max.X), Y: max(a.Max.Y, b.Max.Y), Z: max(a.Max.Z, b.Max.Z)},
	}
}
