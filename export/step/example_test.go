package step_test

import (
	"bytes"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/export/step"
	"panewright/geom"
)

// A flat round pane, 400 mm across and 4 mm thick, as a solid.
func ExampleWrite() {
	plan, _ := geom.FitClosed(func(u float64) r2.Vec {
		s, c := math.Sincos(u)
		return r2.Vec{X: 200 * s, Y: -200 * c}
	}, []float64{0, math.Pi, 2 * math.Pi}, 1e-3)
	level, _ := geom.FaceThrough(flat{}, r2.Box{Min: r2.Vec{X: -210, Y: -210}, Max: r2.Vec{X: 210, Y: 210}}, 200)
	pane, _ := geom.NewPane(level, plan, 4, geom.SquareEdge)

	var file bytes.Buffer
	err := step.Write(&file, step.Document{
		Name:   "port light",
		Notes:  []string{"glass frame, mm"},
		Solids: []step.Solid{{Name: "glass", Pane: pane}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(bytes.Count(file.Bytes(), []byte("=ADVANCED_FACE(")), "faces,", bytes.Count(file.Bytes(), []byte("=EDGE_CURVE(")), "edges")
	// Output: 6 faces, 12 edges
}
