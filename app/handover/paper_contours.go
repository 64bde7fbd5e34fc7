package handover

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/export/pdf"
	"panewright/geom"
)

// contours draws lines of equal height of the upper face over the box of the
// outline, and names them where they cross the middle.
func (r reporter) contours(a *pdf.Area, step float64) {
	const steps = 90 // along the longer side
	l, err := geom.NewLattice(r.m.Pane.Outline.Bounds(), steps)
	if err != nil {
		return
	}
	low, high := math.Inf(1), math.Inf(-1)
	for j := range l.NY {
		for i := range l.NX {
			p := l.Point(i, j)
			h := r.m.Pane.Upper.At(p.X, p.Y)
			l.Z[j*l.NX+i] = h
			low, high = math.Min(low, h), math.Max(high, h)
		}
	}
	names := newNames(a)
	for k := math.Ceil(low / step); k*step <= high; k++ {
		pen := pdf.Pen{Width: 0.15, Colour: pdf.Colour{R: 0, G: 114, B: 178}}
		if math.Mod(k, 5) == 0 {
			pen.Width = 0.3
		}
		var lines [][]r2.Vec
		for _, s := range l.LevelLines(k * step) {
			lines = append(lines, s[:])
		}
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
