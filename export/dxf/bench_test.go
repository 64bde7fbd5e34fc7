package dxf_test

import (
	"io"
	"testing"

	"panewright/export/dxf"
)

// BenchmarkWrite writes an outline of 400 control points in space.
func BenchmarkWrite(b *testing.B) {
	d := dxf.New()
	d.Spline("0", clamped(400), ring(400, 700, 380, 60), true, false)
	b.Run("R2000", func(b *testing.B) {
		for b.Loop() {
			_ = dxf.WriteR2000(io.Discard, d)
		}
	})
	b.Run("R12 chord 0.002 mm", func(b *testing.B) {
		for b.Loop() {
			_ = dxf.WriteR12(io.Discard, d, 0.002)
		}
	})
}
