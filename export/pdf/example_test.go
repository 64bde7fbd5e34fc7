package pdf_test

import (
	"bytes"
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/export/pdf"
)

// A square of 50 mm at true size in the middle of a sheet.
func Example() {
	d := pdf.New("Square", "a square of 50 mm", "")
	p := d.Page(pdf.A4)
	p.Over(pdf.View{At: r2.Vec{X: 105, Y: 148.5}, Scale: r2.Vec{X: 1, Y: 1}}, func(a *pdf.Area) {
		a.Loop(pdf.Pen{Width: 0.25}, []r2.Vec{{X: -25, Y: -25}, {X: 25, Y: -25}, {X: 25, Y: 25}, {X: -25, Y: 25}})
	})
	p.Text(pdf.Body, r2.Vec{X: 105, Y: 110}, pdf.Middle, 0, "50 mm")
	var b bytes.Buffer
	err := d.Write(&b)
	fmt.Println(d.Pages(), string(b.Bytes()[:5]), err)
	// Output: 1 %PDF- <nil>
}
