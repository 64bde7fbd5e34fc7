package dxf_test

import (
	"bytes"
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/export/dxf"
	"panewright/export/dxf/lint"
)

// A check bar of 100 mm on a layer of its own, with its unit in words.
func Example() {
	d := dxf.New()
	d.Layer("check-bar", dxf.Magenta, dxf.Continuous)
	d.Line("check-bar", r3.Vec{}, r3.Vec{X: 100})
	d.Text("check-bar", r3.Vec{Y: 3}, 5, "100 mm – measure me")
	var file bytes.Buffer
	if err := dxf.WriteR12(&file, d, 0.02); err != nil {
		fmt.Println(err)
		return
	}
	report, err := lint.Lint(&file)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, e := range report.On("check-bar") {
		fmt.Printf("%s %v %q\n", e.Type, e.Points, e.Text)
	}
	// Output:
	// LINE [{0 0 0} {100 0 0}] ""
	// TEXT [{0 3 0}] "100 mm – measure me"
}
