package step

import (
	"errors"
	"fmt"
	"io"
	"math"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// Write writes a document. It returns an error, before the first byte, for a
// document without content, a date that is none, text that is not UTF-8, and a
// part (which the error names) with numbers that are not finite or beyond
// 10 km, knots that are not clamped and rising, an edge off its face, or
// missing geometry; otherwise w's first error.
//
// Coordinates have 6 decimals in mm, 8 in inches. A windscreen takes 2 to 6 ms
// and 100 to 200 kB, the more with a round edge.
func Write(w io.Writer, d Document) error {
	head, err := header(d)
	if err != nil {
		return fmt.Errorf("step: %w", err)
	}
	bands, err := check(d)
	if err != nil {
		return fmt.Errorf("step: %w", err)
	}
	o := &out{mm: 1, decimals: mmDecimals, frame: geom.Identity(), scale: 1}
	if d.Frame != nil {
		o.frame = *d.Frame
	}
	if d.Scale != 0 {
		o.scale = d.Scale
	}
	if d.Inch {
		o.mm, o.decimals = mmPerInch, inchDecimals
	}
	o.buf.WriteString("ISO-10303-21;\n" + head + "DATA;\n")
	o.document(d, bands)
	o.buf.WriteString("ENDSEC;\nEND-ISO-10303-21;\n")
	if _, err := o.buf.WriteTo(w); err != nil {
		return fmt.Errorf("step: %w", err)
	}
	return nil
}

// header returns the HEADER section.
func header(d Document) (string, error) {
	stamp, err := timeStamp(d.Date)
	if err != nil {
		return "", err
	}
	notes := []value{"''"}
	if len(d.Notes) > 0 {
		notes = notes[:0]
	}
	for _, n := range d.Notes {
		v, err := encode(n)
		if err != nil {
			return "", fmt.Errorf("note %w", err)
		}
		notes = append(notes, v)
	}
	name, err := encode(d.Name)
	if err != nil {
		return "", fmt.Errorf("name %w", err)
	}
	o := &out{}
	o.line("HEADER;")
	o.line(string(record("FILE_DESCRIPTION", list(notes...), "'2;1'")) + ";")
	o.line(string(record("FILE_NAME", name, text(stamp), "('')", "('')", "''", "''", "''")) + ";")
	o.line("FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));")
	o.line("ENDSEC;")
	return o.buf.String(), nil
}

// timeStamp returns a date as the header states it, without a time zone.
func timeStamp(date string) (string, error) {
	const form = "2006-01-02T15:04:05"
	if date == "" {
		return time.Unix(0, 0).UTC().Format(form), nil
	}
	for _, layout := range []string{time.DateOnly, form, time.RFC3339} {
		if t, err := time.Parse(layout, date); err == nil {
			return t.Format(form), nil
		}
	}
	return "", fmt.Errorf("date %q is not ISO 8601", date)
}

// check refuses what must not be written, and returns the edges of the solids.
func check(d Document) ([]band, error) {
	if d.Name == "" {
		return nil, errors.New("the document has no name")
	}
	if len(d.Solids)+len(d.Sheets)+len(d.Curves)+len(d.Points) == 0 {
		return nil, errors.New("nothing to write")
	}
	if err := d.checkMove(); err != nil {
		return nil, err
	}
	var bands []band
	for _, s := range d.Solids {
		b, err := bandOf(s.Pane)
		if err = checkPart(s.Name, s.Group, err); err != nil {
			return nil, fmt.Errorf("solid %q: %w", s.Name, err)
		}
		bands = append(bands, b)
	}
	for _, s := range d.Sheets {
		if err := checkPart(s.Name, s.Group, s.check()); err != nil {
			return nil, fmt.Errorf("sheet %q: %w", s.Name, err)
		}
	}
	for _, c := range d.Curves {
		if err := checkPart(c.Name, c.Group, c.check()); err != nil {
			return nil, fmt.Errorf("curve %q: %w", c.Name, err)
		}
	}
	for _, p := range d.Points {
		if err := checkPart(p.Name, p.Group, checkPoints(p.At)); err != nil {
			return nil, fmt.Errorf("point %q: %w", p.Name, err)
		}
	}
	return bands, nil
}

// leastScale is the smallest model: 1:100 of a pane. Below it the corners of the
// glass would come together as the file counts lengths.
const leastScale = 0.01

// checkMove refuses a frame that is no rigid motion, or too far away, and a scale
// that is none or enlarges, which would enlarge what edges miss their faces by.
func (d *Document) checkMove() error {
	if d.Scale != 0 && !(d.Scale >= leastScale && d.Scale <= 1) {
		return fmt.Errorf("a scale of %g, want 0.01 to 1", d.Scale)
	}
	if d.Frame == nil {
		return nil
	}
	if err := checkPoints(d.Frame.T); err != nil {
		return fmt.Errorf("frame: %w", err)
	}
	const rounding = 1e-9
	turn := d.Frame.Then(geom.Frame{R: d.Frame.Inverse().R}).R // the identity, for a rotation or a mirror image
	for i, row := range turn {
		for k, v := range row {
			want := 0.
			if i == k {
				want = 1
			}
			if !(math.Abs(v-want) <= rounding) {
				return errors.New("the frame is no rigid motion")
			}
		}
	}
	if x, y, z := d.Frame.Rotate(r3.Vec{X: 1}), d.Frame.Rotate(r3.Vec{Y: 1}), d.Frame.Rotate(r3.Vec{Z: 1}); r3.Dot(r3.Cross(x, y), z) < 0 {
		return errors.New("the frame is a mirror image")
	}
	return nil
}

// checkPart returns err, or what is wrong with a part's texts.
func checkPart(name, group string, err error) error {
	if err != nil {
		return err
	}
	if _, err := encode(name); err != nil {
		return fmt.Errorf("name %w", err)
	}
	if _, err := encode(group); err != nil {
		return fmt.Errorf("group %w", err)
	}
	return nil
}

func (s Sheet) check() error {
	if s.Face == nil {
		return errors.New("no face")
	}
	if s.Edge != nil {
		if err := checkOnFace(s.Edge, s.Face); err != nil {
			return err
		}
		_, err := s.Edge.Plan() // counter-clockwise
		if err := errors.Join(err, Closed(s.Edge).check()); err != nil {
			return err
		}
	}
	if s.Hole != nil {
		return s.checkHole()
	}
	return nil
}

func (s Spline) check() error {
	n := len(s.Ctrl)
	if err := checkPoints(s.Ctrl...); err != nil {
		return err
	}
	if s.Knots == nil {
		for i := 1; i < n; i++ {
			if !(r3.Norm(r3.Sub(s.Ctrl[i], s.Ctrl[i-1])) > Uncertainty) {
				return fmt.Errorf("points %d and %d fall together", i-1, i)
			}
		}
		if n < 2 {
			return fmt.Errorf("straight pieces through %d points", n)
		}
		return nil
	}
	if n < 4 || len(s.Knots) != n+4 {
		return fmt.Errorf("%d knots for %d control points", len(s.Knots), n)
	}
	for i, u := range s.Knots {
		if !(math.Abs(u) <= maxCoord) {
			return fmt.Errorf("knot %d is %g", i, u)
		}
		outer := i > 0 && (i < 4 || i > n)
		switch {
		case outer && u != s.Knots[i-1]:
			return errors.New("the end knots must stand four times")
		case i >= 4 && i <= n && !(u-s.Knots[i-1] > leastKnotStep):
			return fmt.Errorf("the knots do not rise at knot %d", i)
		}
	}
	return nil
}

// leastKnotStep is the least step between knots that still differ as written.
const leastKnotStep = 1e-10

func checkPoints(pts ...r3.Vec) error {
	for i, p := range pts {
		for _, x := range [...]float64{p.X, p.Y, p.Z} {
			if !(math.Abs(x) <= maxCoord) {
				return fmt.Errorf("point %d is not finite or too far away: %v", i, p)
			}
		}
	}
	return nil
}
