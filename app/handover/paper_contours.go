package handover

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/export/pdf"
)

// contours draws lines of equal height of the upper face over the box of the
// outline, and names them where they cross the middle.
func (r reporter) contours(a *pdf.Area, step float64) {
	b := r.m.Pane.Outline.Bounds()
	const across = 90 // cells along the longer side
	pitch := math.Max(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y) / across
	nx, ny := int((b.Max.X-b.Min.X)/pitch)+1, int((b.Max.Y-b.Min.Y)/pitch)+1
	z := make([]float64, (nx+1)*(ny+1))
	low, high := math.Inf(1), math.Inf(-1)
	at := func(i, j int) r2.Vec { return r2.Vec{X: b.Min.X + float64(i)*pitch, Y: b.Min.Y + float64(j)*pitch} }
	for j := range ny + 1 {
		for i := range nx + 1 {
			p := at(i, j)
			h := r.m.Pane.Upper.At(p.X, p.Y)
			z[j*(nx+1)+i] = h
			low, high = math.Min(low, h), math.Max(high, h)
		}
	}
	names := newNames(a)
	for k := math.Ceil(low / step); k*step <= high; k++ {
		pen := pdf.Pen{Width: 0.15, Colour: pdf.Colour{R: 0, G: 114, B: 178}}
		if math.Mod(k, 5) == 0 {
			pen.Width = 0.3
		}
		lines := levelLines(z, nx, ny, k*step, at)
		a.Lines(pen, lines...)
		r.nameLevel(names, lines, k*step)
	}
}

// nameLevel writes a level's height where its line comes nearest to one of the
// places along the two middles.
func (r reporter) nameLevel(n *names, lines [][]r2.Vec, level float64) {
	l := pdf.Letters{Size: 2, Colour: pdf.Colour{R: 0, G: 114, B: 178}}
	text := r.m.Job.Format(level + 0)
	shape := r.m.Pane.Outline
	for _, line := range lines {
		p, q := line[0], line[len(line)-1]
		if (p.X < 0) != (q.X < 0) || (p.Y < 0) != (q.Y < 0) {
			if _, d := shape.Nearest(p); d < -8/n.a.View().Scale.X {
				n.over(l, p, text)
			}
		}
	}
}

// levelLines are the lines along which heights on a lattice of nx by ny cells
// pass a level, cell by cell: heights between corners are taken as straight. In
// a saddle the lines part on the side of the mean.
func levelLines(z []float64, nx, ny int, level float64, at func(i, j int) r2.Vec) (out [][]r2.Vec) {
	for j := range ny {
		for i := range nx {
			corner := [4][2]int{{i, j}, {i + 1, j}, {i + 1, j + 1}, {i, j + 1}}
			var h [4]float64
			for c, ij := range corner {
				h[c] = z[ij[1]*(nx+1)+ij[0]] - level
			}
			var cross []r2.Vec
			for c := range corner {
				d := (c + 1) % 4
				if (h[c] < 0) == (h[d] < 0) {
					continue
				}
				p, q := at(corner[c][0], corner[c][1]), at(corner[d][0], corner[d][1])
				cross = append(cross, r2.Add(p, r2.Scale(h[c]/(h[c]-h[d]), r2.Sub(q, p))))
			}
			switch {
			case len(cross) == 2:
				out = append(out, cross)
			case len(cross) == 4 && (h[0] < 0) == (h[0]+h[1]+h[2]+h[3] < 0):
				out = append(out, []r2.Vec{cross[0], cross[1]}, []r2.Vec{cross[2], cross[3]})
			case len(cross) == 4:
				out = append(out, []r2.Vec{cross[3], cross[0]}, []r2.Vec{cross[1], cross[2]})
			}
		}
	}
	return out
}
