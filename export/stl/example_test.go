package stl_test

import (
	"bytes"
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/export/stl"
)

func ExampleWrite() {
	m := box(r3.Vec{}, r3.Vec{X: 100, Y: 50, Z: 4})
	var file bytes.Buffer
	if err := stl.Write(&file, m, "check block, mm"); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(m.T), "facets in", file.Len(), "bytes")
	// Output: 12 facets in 684 bytes
}
