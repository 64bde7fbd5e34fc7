package dxf

import (
	"errors"
	"fmt"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	mmDecimals   = 6 // of a coordinate, as written
	inchDecimals = 8 // of one in inches, finer than those of mm
	mmPerInch    = 25.4
	unit         = 1e-6 // mm, the last of them
)

// shape is one entity. Both versions of the format are written by the same
// code: out leaves away what R12 does not have.
type shape interface {
	box() r3.Box
	write(o *out)
}

type (
	line struct {
		layer string
		a, b  r3.Vec
	}
	circle struct {
		layer  string
		centre r3.Vec
		radius float64
	}
	point struct {
		layer string
		at    r3.Vec
	}
	text struct {
		layer   string
		at      r3.Vec
		height  float64
		encoded string
	}
	polyline struct {
		layer  string
		pts    []r3.Vec
		closed bool
	}
	spline struct {
		layer          string
		knots          []float64
		ctrl           []r3.Vec
		closed, planar bool
	}
)

func (s line) box() r3.Box     { return boxOf(s.a, s.b) }
func (s point) box() r3.Box    { return boxOf(s.at) }
func (s text) box() r3.Box     { return boxOf(s.at) }
func (s polyline) box() r3.Box { return boxOf(s.pts...) }
func (s spline) box() r3.Box   { return boxOf(s.ctrl...) }
func (s circle) box() r3.Box {
	r := r3.Vec{X: s.radius, Y: s.radius}
	return boxOf(r3.Sub(s.centre, r), r3.Add(s.centre, r))
}

func (s line) write(o *out) {
	o.entity("LINE", s.layer)
	o.subclass("AcDbLine")
	o.point(10, s.a)
	o.point(11, s.b)
}

func (s circle) write(o *out) {
	o.entity("CIRCLE", s.layer)
	o.subclass("AcDbCircle")
	o.point(10, s.centre)
	o.mm(40, s.radius)
}

func (s point) write(o *out) {
	o.entity("POINT", s.layer)
	o.subclass("AcDbPoint")
	o.point(10, s.at)
}

func (s text) write(o *out) {
	o.entity("TEXT", s.layer)
	o.subclass("AcDbText")
	o.point(10, s.at)
	o.mm(40, s.height)
	o.tag(1, s.encoded)
	o.subclass("AcDbText") // twice: the second part holds the vertical alignment, here the default
}

func (s polyline) write(o *out) {
	switch plane := level(s.pts); {
	case plane && o.r2000:
		s.writeLight(o)
	case plane:
		s.writeHeavy(o, r3.Vec{Z: s.pts[0].Z}, flags(s.closed, 1), 0)
	default:
		s.writeHeavy(o, r3.Vec{}, flags(s.closed, 1)|8, 32)
	}
}

// writeLight writes a plane polyline of R2000: one entity.
func (s polyline) writeLight(o *out) {
	o.entity("LWPOLYLINE", s.layer)
	o.subclass("AcDbPolyline")
	o.int(90, len(s.pts))
	o.int(70, flags(s.closed, 1))
	o.mm(43, 0)
	if z := s.pts[0].Z; z != 0 {
		o.mm(38, z)
	}
	for _, p := range s.pts {
		o.mm(10, p.X)
		o.mm(20, p.Y)
	}
}

// writeHeavy writes a polyline as a head, an entity for each vertex, and an
// end mark; the head owns them.
func (s polyline) writeHeavy(o *out, base r3.Vec, headFlags, vertexFlags int) {
	head := o.entity("POLYLINE", s.layer)
	o.subclass("AcDb3dPolyline")
	o.int(66, 1)
	o.point(10, base)
	o.int(70, headFlags)
	for _, p := range s.pts {
		o.owned("VERTEX", s.layer, head)
		o.subclass("AcDbVertex")
		o.subclass("AcDb3dPolylineVertex")
		o.point(10, p)
		o.int(70, vertexFlags)
	}
	o.owned("SEQEND", s.layer, head)
}

// write is for R2000 alone: R12 has no splines.
func (s spline) write(o *out) {
	o.entity("SPLINE", s.layer)
	o.subclass("AcDbSpline")
	if s.planar {
		o.up(210)
	}
	o.int(70, flags(s.closed, 1)|flags(s.planar, 8))
	o.int(71, degree)
	o.int(72, len(s.knots))
	o.int(73, len(s.ctrl))
	o.int(74, 0) // fit points
	o.real(42, 1e-9, knotDecimals)
	o.real(43, 1e-9, knotDecimals)
	for _, u := range s.knots {
		o.real(40, u, knotDecimals)
	}
	for _, p := range s.ctrl {
		o.point(10, p)
	}
}

// flags returns bit where on, else 0.
func flags(on bool, bit int) int {
	if on {
		return bit
	}
	return 0
}

// level tells whether all points have the z of the first, as written.
func level(pts []r3.Vec) bool {
	z := snap(pts[0]).Z
	for _, p := range pts {
		if snap(p).Z != z {
			return false
		}
	}
	return true
}

// snap returns p as it will be written and read back, so that what is equal or
// rises in the file can be decided here.
func snap(p r3.Vec) r3.Vec {
	return r3.Vec{X: snapped(p.X, mmDecimals), Y: snapped(p.Y, mmDecimals), Z: snapped(p.Z, mmDecimals)}
}

func snapped(v float64, decimals int) float64 {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'f', decimals, 64), 64)
	return v
}

func checkPolyline(pts []r3.Vec, closed bool) error {
	least := 2 + flags(closed, 1)
	if len(pts) < least {
		return fmt.Errorf("%d points, at least %d needed", len(pts), least)
	}
	for i := range pts {
		if i+1 < len(pts) && snap(pts[i]) == snap(pts[i+1]) {
			return fmt.Errorf("points %d and %d coincide", i, i+1)
		}
	}
	if snap(pts[0]) == snap(pts[len(pts)-1]) {
		return errors.New("the first point is repeated")
	}
	return nil
}
