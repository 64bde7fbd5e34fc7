package stl_test

import (
	"bytes"
	"encoding/binary"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/export/stl"
	"panewright/export/stl/lint"
	"panewright/geom"
)

// FuzzWrite: any mesh is refused, or its file is of good form.
func FuzzWrite(f *testing.F) {
	f.Add([]byte{0, 1, 2, 1, 0, 2}, []byte("\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x80\x3f\x00\x00\x00\x80"), "glass")
	f.Fuzz(func(t *testing.T, corners, floats []byte, header string) {
		m := &geom.Mesh{}
		for ; len(floats) >= 4; floats = floats[4:] {
			x := float64(math.Float32frombits(binary.LittleEndian.Uint32(floats)))
			m.V = append(m.V, r3.Vec{X: x, Y: 1 / x, Z: x * 1.000001})
		}
		for ; len(corners) >= 3; corners = corners[3:] {
			m.T = append(m.T, [3]int32{int32(int8(corners[0])), int32(int8(corners[1])), int32(int8(corners[2]))})
		}
		var file bytes.Buffer
		if err := stl.Write(&file, m, header); err != nil {
			return
		}
		r, err := lint.Read(&file)
		if err != nil {
			t.Fatal(err)
		}
		if r.Facets != len(m.T) {
			t.Fatalf("%d facets of %d", r.Facets, len(m.T))
		}
	})
}
