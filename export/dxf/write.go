package dxf

import (
	"fmt"
	"io"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	modelSpace = "*Model_Space"
	paperSpace = "*Paper_Space"
)

// WriteR2000 writes the drawing as a DXF file of release 2000 (AC1015), splines
// kept. Coordinates have 6 decimals, in inches 8, knots 12. It returns
// the first fault of the drawing, having written nothing, or w's error.
func WriteR2000(w io.Writer, d *Drawing) error {
	if d.err != nil {
		return d.err
	}
	o := &out{r2000: true, inch: d.inch}
	o.model, o.paper = o.next(), o.next()
	o.begin("CLASSES")
	o.end()
	o.tables(d)
	o.blocks()
	o.entities(d)
	o.objects()
	o.tag(0, "EOF")
	head := &out{r2000: true, inch: d.inch}
	head.header(d, "AC1015", o.last+1)
	return flush(w, head, o)
}

// WriteR12 writes the drawing as a DXF file of release 12 (AC1009). A spline
// becomes a polyline with its vertices on the curve, which nowhere lies more
// than chord mm off it; points have 6 decimals. R12 cannot say its unit: the
// drawing should, in a Text. It returns the first fault of the drawing or a
// chord out of reason, having written nothing, or w's error.
func WriteR12(w io.Writer, d *Drawing, chord float64) error {
	if d.err != nil {
		return d.err
	}
	if !(chord >= 100*unit && chord <= maxCoord) {
		return fmt.Errorf("dxf: chord tolerance %v mm", chord)
	}
	plain, err := d.withoutSplines(chord)
	if err != nil {
		return err
	}
	o := &out{inch: d.inch}
	o.header(plain, "AC1009", 0)
	o.tables(plain)
	o.entities(plain)
	o.tag(0, "EOF")
	return flush(w, o)
}

// withoutSplines returns the drawing with polylines in place of splines.
func (d *Drawing) withoutSplines(chord float64) (*Drawing, error) {
	plain := *d
	plain.shapes = make([]shape, len(d.shapes))
	copy(plain.shapes, d.shapes)
	for i, s := range plain.shapes {
		s, ok := s.(spline)
		if !ok {
			continue
		}
		pts, err := s.flatten(chord - unit) // less the rounding of the vertices
		if err == nil {
			err = checkPolyline(pts, s.closed)
		}
		if err != nil {
			return nil, fmt.Errorf("dxf: spline on %q as a polyline: %w", s.layer, err)
		}
		plain.shapes[i] = polyline{s.layer, pts, s.closed}
	}
	return &plain, nil
}

// header writes the remarks and the HEADER section; seed is the first handle
// that is free.
func (o *out) header(d *Drawing, version string, seed uint64) {
	for _, c := range d.comments {
		o.tag(999, c)
	}
	o.begin("HEADER")
	o.variable("$ACADVER")
	o.tag(1, version)
	if o.r2000 {
		o.variable("$HANDSEED")
		o.tag(5, handle(seed).String())
		units, metric := 4, 1 // millimetres
		if o.inch {
			units, metric = 1, 0
		}
		o.variable("$INSUNITS")
		o.int(70, units)
		o.variable("$MEASUREMENT")
		o.int(70, metric)
	}
	o.variable("$EXTMIN")
	o.point(10, d.box.Min)
	o.variable("$EXTMAX")
	o.point(10, d.box.Max)
	o.variable("$PDMODE")
	o.int(70, 3) // points are shown as a cross …
	o.variable("$PDSIZE")
	o.mm(40, 4) // … 4 mm wide
	o.end()
}

// blocks writes the two spaces that every R2000 file has; the drawing's
// entities follow in a section of their own.
func (o *out) blocks() {
	o.begin("BLOCKS")
	for _, b := range []struct {
		name  string
		owner handle
	}{{modelSpace, o.model}, {paperSpace, o.paper}} {
		o.owned("BLOCK", "0", b.owner)
		o.subclass("AcDbBlockBegin")
		o.tag(2, b.name)
		o.int(70, 0)
		o.point(10, r3.Vec{})
		o.tag(3, b.name)
		o.tag(1, "")
		o.owned("ENDBLK", "0", b.owner)
		o.subclass("AcDbBlockEnd")
	}
	o.end()
}

func (o *out) entities(d *Drawing) {
	o.begin("ENTITIES")
	for _, s := range d.shapes {
		s.write(o)
	}
	o.end()
}

// objects writes the root dictionary with its one obligatory entry.
func (o *out) objects() {
	o.begin("OBJECTS")
	root, groups := o.next(), o.next()
	o.named("DICTIONARY", 5, root, 0)
	o.subclass("AcDbDictionary")
	o.int(281, 1)
	o.tag(3, "ACAD_GROUP")
	o.tag(350, groups.String())
	o.named("DICTIONARY", 5, groups, root)
	o.subclass("AcDbDictionary")
	o.int(281, 1)
	o.end()
}

// flush hands the gathered text to w.
func flush(w io.Writer, parts ...*out) error {
	for _, o := range parts {
		if _, err := o.buf.WriteTo(w); err != nil {
			return fmt.Errorf("dxf: %w", err)
		}
	}
	return nil
}
