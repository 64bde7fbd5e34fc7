package board

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// Difference is how two outlines lie on the board against one another. Lengths
// are mm.
type Difference struct {
	Greatest float64 // distance, square to the first outline
	At       r2.Vec  // where that is, glass frame of the first
	Typical  float64 // RMS, evenly round the edge
	Stations []StationDifference
}

// StationDifference is the difference at a station of the first outline.
type StationDifference struct {
	ID     string
	At     r2.Vec  // glass frame of the first
	Edge   float64 // by how much the second outline lies outside, square to the first
	Height float64 // by how much the second one's upper face is higher there
}

// CompareShapes compares two cuts, or one with Model.Shape, as they lie on the
// board: a centre line that was moved shows on the half that was made.
func CompareShapes(a, b *CutShape) (Difference, error) {
	first, err := a.Pane()
	if err != nil {
		return Difference{}, err
	}
	second, err := b.Pane()
	if err != nil {
		return Difference{}, err
	}
	return compare(a, b, first, second), nil
}

// compare is CompareShapes with the panes of both.
func compare(a, b *CutShape, first, second *geom.Pane) (d Difference) {
	to := a.Frame.Inverse().Then(b.Frame)
	off := func(p r2.Vec) (edge, height float64) {
		q := to.Apply(r3.Vec{X: p.X, Y: p.Y, Z: first.Upper.At(p.X, p.Y)})
		at := r2.Vec{X: q.X, Y: q.Y}
		_, d := second.Outline.Nearest(at)
		return -d, second.Upper.At(q.X, q.Y) - q.Z
	}
	const step = 5.0 // mm
	length := first.Outline.Length()
	n := int(math.Ceil(length / step))
	for i := range n {
		p := first.Outline.At(first.Outline.ParamAt(length * float64(i) / float64(n)))
		e, _ := off(p)
		d.Typical += e * e / float64(n)
		if math.Abs(e) > d.Greatest {
			d.Greatest, d.At = math.Abs(e), p
		}
	}
	d.Typical = math.Sqrt(d.Typical)
	for _, id := range a.Names() {
		at, _ := a.place(id)
		at = nearestOn(first.Outline, at)
		e, h := off(at)
		d.Stations = append(d.Stations, StationDifference{id, at, e, h})
	}
	return d
}

// nearestOn is the point of a curve nearest to p.
func nearestOn(c *geom.Curve, p r2.Vec) r2.Vec {
	u, _ := c.Nearest(p)
	return c.At(u)
}
