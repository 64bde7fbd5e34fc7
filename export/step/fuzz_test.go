package step_test

import (
	"bytes"
	"encoding/binary"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/export/step"
	"panewright/export/step/lint"
	"panewright/geom"
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

func (s *source) numbers(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = s.number()
	}
	return x
}

func (s *source) point() r3.Vec { return r3.Vec{X: s.number(), Y: s.number(), Z: s.number()} }

func (s *source) text() string {
	n := min(int(s.byte())%16, len(s.data))
	t := string(s.data[:n])
	s.data = s.data[n:]
	return t
}

// rising returns clamped knots that rise from nought in random steps.
func (s *source) rising(n int) []float64 {
	knots := make([]float64, n+4)
	for i := 4; i < n+4; i++ {
		knots[i] = knots[i-1]
		if i <= n {
			knots[i] += float64(s.byte()) + 8
		}
	}
	return knots
}

func (s *source) document() step.Document {
	d := step.Document{Name: s.text(), Notes: []string{s.text()}, Inch: s.byte()%2 == 1}
	for len(s.data) > 0 {
		switch s.byte() % 4 {
		case 0:
			d.Points = append(d.Points, step.Point{Name: s.text(), Group: s.text(), At: s.point()})
		case 1:
			pts := make([]r3.Vec, s.byte()%8)
			for i := range pts {
				pts[i] = s.point()
			}
			c := step.Curve{Name: s.text(), Group: s.text(), Spline: step.Straight(pts...)}
			switch s.byte() % 3 {
			case 1:
				c.Knots = s.rising(max(len(pts), 4))
			case 2:
				c.Knots = s.numbers(len(pts) + 4)
			}
			d.Curves = append(d.Curves, c)
		case 2, 3:
			nx, ny := 4+int(s.byte()%3), 4+int(s.byte()%3)
			kx, ky, c := s.rising(nx), s.rising(ny), s.numbers(nx*ny)
			for i := range c {
				c[i] /= 16 // no steeper than glass
			}
			if f, err := geom.NewFace(kx, ky, c); err == nil {
				d.Sheets = append(d.Sheets, step.Sheet{Name: s.text(), Group: s.text(), Face: f})
			}
		}
	}
	return d
}

// FuzzWrite: any document is refused, or its file passes the strict reader.
func FuzzWrite(f *testing.F) {
	f.Add([]byte("\x04disc\x04note\x00\x00\x02E1\x05marks\x01\x02\x03"))
	f.Add([]byte("\x04rail\x00\x01\x01\x04\x00\x00\x00\x02\x00\x00\x04\x00\x00\x06\x00\x00\x01c\x00\x01\x05"))
	f.Add([]byte("\x04face\x00\x00\x02\x01\x01\x09\x09\x09\x09\x01\x02\x03\x04\x05\x06\x07\x08\x07\x06\x05\x04\x03\x02"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s := &source{data}
		d := s.document()
		var file bytes.Buffer
		if err := step.Write(&file, d); err != nil {
			if file.Len() > 0 {
				t.Fatalf("%d bytes and an error: %v", file.Len(), err)
			}
			return
		}
		r, err := lint.Lint(bytes.NewReader(file.Bytes()))
		if err != nil {
			t.Fatalf("%v\n%s", err, file.Bytes())
		}
		if len(r.Curves) != len(d.Curves) || len(r.Sheets) != len(d.Sheets) || len(r.Points) != len(d.Points) {
			t.Fatal("something is missing")
		}
	})
}
