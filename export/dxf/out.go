package dxf

import (
	"bytes"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// out gathers tag pairs. Handles, owners and subclass markers do not exist in
// R12: what writes them does nothing there.
type out struct {
	buf   bytes.Buffer
	r2000 bool
	inch  bool   // of the file's lengths, else the millimetre
	last  uint64 // last handle given out
	model handle // block record of model space: owner of the drawing's entities
	paper handle
}

// handle names an object of a file; 0 is nothing.
type handle uint64

func (h handle) String() string { return strings.ToUpper(strconv.FormatUint(uint64(h), 16)) }

// next gives out a new handle.
func (o *out) next() handle {
	o.last++
	return handle(o.last)
}

// tag writes one pair: the code on a line, the value on the next.
func (o *out) tag(code int, value string) {
	if code < 100 {
		o.buf.WriteByte(' ')
	}
	if code < 10 {
		o.buf.WriteByte(' ')
	}
	o.buf.WriteString(strconv.Itoa(code))
	o.buf.WriteString("\r\n")
	o.buf.WriteString(value)
	o.buf.WriteString("\r\n")
}

func (o *out) int(code, v int) { o.tag(code, strconv.Itoa(v)) }

// real writes a number with fixed decimals, never "-0".
func (o *out) real(code int, v float64, decimals int) {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if s[0] == '-' && strings.Trim(s, "-0.") == "" {
		s = s[1:]
	}
	o.tag(code, s)
}

// mm writes a length given in mm. In inches it is the length that the millimetres
// would be written as, so that what is equal in one file is so in the other.
func (o *out) mm(code int, v float64) {
	if o.inch {
		o.real(code, snapped(v, mmDecimals)/mmPerInch, inchDecimals)
		return
	}
	o.ratio(code, v)
}

// ratio writes a number that is no length.
func (o *out) ratio(code int, v float64) { o.real(code, v, mmDecimals) }

// point writes x, y and z under code, code+10 and code+20.
func (o *out) point(code int, p r3.Vec) {
	o.mm(code, p.X)
	o.mm(code+10, p.Y)
	o.mm(code+20, p.Z)
}

// up writes the direction of z under code, code+10 and code+20.
func (o *out) up(code int) {
	o.ratio(code, 0)
	o.ratio(code+10, 0)
	o.ratio(code+20, 1)
}

// plane writes x and y under code and code+10.
func (o *out) plane(code int, x, y float64) {
	o.mm(code, x)
	o.mm(code+10, y)
}

func (o *out) subclass(name string) {
	if o.r2000 {
		o.tag(100, name)
	}
}

// entity begins an entity of model space and returns its handle.
func (o *out) entity(kind, layer string) handle { return o.owned(kind, layer, o.model) }

// owned begins an entity that belongs to another object.
func (o *out) owned(kind, layer string, owner handle) handle {
	h := o.object(kind, owner)
	o.subclass("AcDbEntity")
	o.tag(8, layer)
	return h
}

// object begins anything that has a handle.
func (o *out) object(kind string, owner handle) handle {
	if !o.r2000 {
		o.tag(0, kind)
		return 0
	}
	h := o.next()
	o.named(kind, 5, h, owner)
	return h
}

// named begins an R2000 object under a handle already given out; code is 5,
// for a dimension style 105.
func (o *out) named(kind string, code int, h, owner handle) {
	o.tag(0, kind)
	o.tag(code, h.String())
	o.tag(330, owner.String())
}

func (o *out) begin(section string) {
	o.tag(0, "SECTION")
	o.tag(2, section)
}

func (o *out) end() { o.tag(0, "ENDSEC") }

// variable writes the name of a header variable; its value follows.
func (o *out) variable(name string) { o.tag(9, name) }
