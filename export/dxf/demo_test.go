package dxf_test

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/export/dxf"
)

// clamped returns n+4 knots for n control points, fourfold at both ends, the
// inner ones unevenly spaced.
func clamped(n int) []float64 {
	knots := make([]float64, n+4)
	for i := 4; i < len(knots); i++ {
		knots[i] = knots[i-1]
		if i <= n {
			knots[i] += 100 + 12.5*float64(i%3)
		}
	}
	return knots
}

// ring returns n control points round an oval of half axes a and b mm, the
// last equal to the first, waving by h mm in z.
func ring(n int, a, b, h float64) []r3.Vec {
	pts := make([]r3.Vec, n)
	for i := range pts {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n-1))
		pts[i] = r3.Vec{X: a * c, Y: b * s, Z: h * s * c}
	}
	pts[n-1] = pts[0]
	return pts
}

// demo returns a drawing with one of everything. Its coordinates are whole or
// halves, so that its bytes are the same on every machine.
func demo() *dxf.Drawing {
	d := dxf.New()
	d.Comment("Rear window, demo – Höhe in mm")
	d.Layer("outline", dxf.White, dxf.Continuous)
	d.Layer("edge-upper", dxf.Green, dxf.Continuous)
	d.Layer("centre-line", dxf.Red, dxf.Center)
	d.Layer("stations", dxf.Blue, dxf.Continuous)
	d.Layer("labels", dxf.Grey, dxf.Continuous)
	d.Layer("check-bar", dxf.Magenta, dxf.Dashed)
	square := []r3.Vec{{X: 600}, {X: 600, Y: 300}, {Y: 350}, {X: -600, Y: 300}, {X: -600, Y: -300}, {Y: -350}, {X: 600, Y: -300}, {X: 600}}
	lifted := append([]r3.Vec(nil), square...)
	for i := range lifted {
		lifted[i].Z = -0.5 * math.Abs(lifted[i].Y)
	}
	d.Spline("outline", clamped(8), square, true, true)
	d.Spline("edge-upper", clamped(8), lifted, true, false)
	d.Line("centre-line", r3.Vec{Y: -400}, r3.Vec{Y: 400})
	d.Point("stations", r3.Vec{X: 600, Y: 0.5})
	d.Text("stations", r3.Vec{X: 600, Y: 0.5}, 5, "E1'")
	d.Circle("stations", r3.Vec{X: -600, Y: 12}, 4)
	d.Text("labels", r3.Vec{X: -600, Y: -420}, 8, "Scheibe: Maße in mm (1:1)")
	d.Polyline("check-bar", []r3.Vec{{Y: -410}, {X: 100, Y: -410}, {X: 100, Y: -405}}, true)
	d.Polyline("check-bar", []r3.Vec{{Z: 12}, {X: 100, Z: 12}}, false)
	d.Polyline("check-bar", []r3.Vec{{Z: 12}, {X: 100, Z: 12}, {X: 100, Z: -10}}, false)
	return d
}
