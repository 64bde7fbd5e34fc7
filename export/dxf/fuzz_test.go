package dxf_test

import (
	"bytes"
	"encoding/binary"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/export/dxf"
	"panewright/export/dxf/lint"
)

// source deals out the bytes of a fuzz input.
type source struct{ data []byte }

func (s *source) byte() byte {
	if len(s.data) == 0 {
		return 0
	}
	b := s.data[0]
	s.data = s.data[1:]
	return b
}

// number returns small halves for the most part, and any float now and then.
func (s *source) number() float64 {
	if b := s.byte(); b != 0xff || len(s.data) < 8 {
		return float64(int8(b)) / 2
	}
	v := math.Float64frombits(binary.LittleEndian.Uint64(s.data))
	s.data = s.data[8:]
	return v
}

func (s *source) point() r3.Vec { return r3.Vec{X: s.number(), Y: s.number(), Z: s.number()} }

func (s *source) points() []r3.Vec {
	pts := make([]r3.Vec, s.byte()%12)
	for i := range pts {
		pts[i] = s.point()
	}
	return pts
}

func (s *source) text() string {
	n := min(int(s.byte())%16, len(s.data))
	t := string(s.data[:n])
	s.data = s.data[n:]
	return t
}

// FuzzDrawing: whatever is drawn, the drawing is refused with an error or both
// files pass the strict reader.
func FuzzDrawing(f *testing.F) {
	f.Add([]byte("\x01\x04wall\x05\x01\x02\x03\x04\x05\x06"))
	f.Add([]byte("\x06\x05\x01\x00\x05\x00\x00\x09\x01\x00\x07\x08\x01\x05\x05\x01\x01\x00\x05\x00"))
	f.Add([]byte("\x05\x04\x01\x00\x05\x00\x00\x09\x01\x00\x07\x08\x01"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s := &source{data}
		d := dxf.New()
		for len(s.data) > 0 && d.Err() == nil {
			draw(d, s)
		}
		for _, v := range versions {
			var file bytes.Buffer
			err := v.write(&file, d)
			if d.Err() != nil && (err == nil || file.Len() > 0) {
				t.Fatalf("%s: %v was not returned", v.name, d.Err())
			}
			if err != nil {
				continue
			}
			if _, err := lint.Lint(&file); err != nil {
				t.Fatalf("%s: %v", v.name, err)
			}
		}
	})
}

func draw(d *dxf.Drawing, s *source) {
	switch s.byte() % 9 {
	case 0:
		d.Point("0", s.point())
	case 1:
		d.Layer(s.text(), int(s.byte()), dxf.Center)
	case 2:
		d.Circle("0", s.point(), s.number())
	case 3:
		d.Text("0", s.point(), s.number(), s.text())
	case 4:
		d.Line("0", s.point(), s.point())
	case 5:
		d.Polyline("0", s.points(), s.byte()%2 == 0)
	case 6:
		ctrl := s.points()
		if len(ctrl) > 4 {
			closed := s.byte()%2 == 0
			if closed {
				ctrl[len(ctrl)-1] = ctrl[0]
			}
			d.Spline("0", clamped(len(ctrl)), ctrl, closed, s.byte()%2 == 0)
		}
	case 7:
		ctrl := s.points()
		knots := make([]float64, len(ctrl)+4)
		for i := range knots {
			knots[i] = s.number()
		}
		d.Spline("0", knots, ctrl, s.byte()%2 == 0, false)
	case 8:
		d.Comment(s.text())
	}
}
