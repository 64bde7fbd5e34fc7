package geom_test

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
)

// A line 120 mm inside an outline with tighter corners than that: a plain
// offset is refused, the trimmed loop has sharp corners. The outline is a
// superellipse, whose area is 4·300²·Γ(9/8)²/Γ(5/4) = 352249 mm².
func ExampleCurve_OffsetLoop() {
	outline, err := geom.FitClosed(func(u float64) r2.Vec { // a squarish pane
		cos, sin := math.Cos(u), math.Sin(u)
		r := 300 / math.Pow(math.Pow(cos, 8)+math.Pow(sin, 8), 1./8)
		return r2.Vec{X: r * cos, Y: r * sin}
	}, []float64{0, math.Pi, 2 * math.Pi}, 0.005)
	if err != nil {
		fmt.Println(err)
		return
	}
	radius, _ := outline.LeastRadius()
	fmt.Printf("girth %.0f mm, least radius %.0f mm\n", outline.Length(), radius)

	_, err = outline.Offset(-120, 0.005)
	fmt.Println(err != nil)
	loop, err := outline.OffsetLoop(-120, 0.01)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f mm² of %.0f mm²\n", loop.Area(), outline.Area())
	// Output:
	// girth 2243 mm, least radius 55 mm
	// true
	// 129493 mm² of 352247 mm²
}
