package handover

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
	"panewright/export/pdf"
)

// Templates are printed on sheets with a strip at the left and one at the bottom
// that hold the bars to measure; the rest is the window that shows the drawing.
const (
	paperMargin = 10.0 // mm that printers leave blank, and a little more
	leftStrip   = 10.0 // mm
	lowStrip    = 14.0 // mm
	overlap     = 10.0 // mm of paper that neighbouring sheets share
	inch        = 25.4
)

// window is the part of a sheet that shows the drawing.
func window(s pdf.Sheet) r2.Box {
	return r2.Box{
		Min: r2.Vec{X: paperMargin + leftStrip, Y: paperMargin + lowStrip},
		Max: r2.Vec{X: s.Width - paperMargin, Y: s.Height - paperMargin},
	}
}

// tiny are the letters on templates.
var tiny = pdf.Letters{Size: 2.2}

// bar draws a bar to measure, from a place across or up the page, true in the
// view: marked every step, with tall ends, its name beyond its end.
func bar(p *pdf.Page, at r2.Vec, scale r2.Vec, length, step float64, name string, up bool) {
	p.Over(pdf.View{At: at, Scale: scale, Turned: up}, func(a *pdf.Area) {
		pen := pdf.Pen{Width: 0.18}
		a.Line(pen, r2.Vec{}, r2.Vec{X: length})
		n := int(math.Round(length / step))
		for i := range n + 1 {
			tall := 1.0
			if i == 0 || i == n {
				tall = 2.4
			}
			x := step * float64(i)
			a.Line(pen, r2.Vec{X: x}, r2.Vec{X: x, Y: tall})
		}
		angle := 0.0
		if up {
			angle = 90
		}
		a.Text(tiny, r2.Vec{X: length + 1.5, Y: 0.2}, pdf.Left, angle, name)
	})
}

// bars draws the four bars of a sheet: 100 mm and 4 in, across and up.
func bars(p *pdf.Page, scale r2.Vec) {
	x, y := paperMargin+leftStrip, paperMargin+lowStrip
	bar(p, r2.Vec{X: x, Y: y - 4.5}, scale, 100, 10, "100 mm", false)
	bar(p, r2.Vec{X: x, Y: y - 9}, scale, 4*inch, inch/2, "4 in", false)
	bar(p, r2.Vec{X: x - 2, Y: y}, scale, 100, 10, "100 mm", true)
	bar(p, r2.Vec{X: x - 6.5, Y: y}, scale, 4*inch, inch/2, "4 in", true)
}

// cutPen draws edges to cut along.
var cutPen = pdf.Pen{Width: 0.15, Dash: []float64{2, 1}}

// frame draws what every sheet of the templates has around its window: bars,
// edges to cut along, and what it is.
func (s *templateSet) frame(p *pdf.Page, name, job string) {
	w := window(s.sheet)
	bars(p, s.scale)
	edge := pdf.Pen{Width: 0.1, Colour: gridGrey}
	p.Line(edge, r2.Vec{X: w.Min.X, Y: w.Max.Y}, w.Max)
	p.Line(edge, w.Max, r2.Vec{X: w.Max.X, Y: w.Min.Y})
	p.Line(cutPen, w.Min, r2.Vec{X: w.Max.X, Y: w.Min.Y})
	p.Line(cutPen, w.Min, r2.Vec{X: w.Min.X, Y: w.Max.Y})
	x := w.Min.X + 4*inch*s.scale.X + 12
	p.Text(pdf.Letters{Size: 3, Bold: true}, r2.Vec{X: x, Y: w.Min.Y - 4.2}, pdf.Left, 0, name)
	for i, line := range s.doc.Wrap(tiny, w.Max.X-x, job) {
		if i < 3 {
			p.Text(tiny, r2.Vec{X: x, Y: w.Min.Y - 7.4 - 2.8*float64(i)}, pdf.Left, 0, line)
		}
	}
}

// gridPitch is the spacing of the thin lines on templates, mm.
func gridPitch(u board.Unit) float64 {
	if u == board.Inch {
		return 2 * inch
	}
	return 50
}

// grid draws thin lines through the window, named at its left and lower edge.
func grid(a *pdf.Area, w r2.Box, u board.Unit) {
	pitch := gridPitch(u)
	v := a.View()
	p, q := v.Back(w.Min), v.Back(w.Max)
	pen := pdf.Pen{Width: 0.08, Colour: gridGrey}
	faint := pdf.Letters{Size: 1.7, Colour: textGrey}
	for axis, name := range []string{"x", "y"} {
		lo, hi := r2.Vec{X: math.Min(p.X, q.X), Y: math.Min(p.Y, q.Y)}, r2.Vec{X: math.Max(p.X, q.X), Y: math.Max(p.Y, q.Y)}
		from, to := lo.X, hi.X
		if axis == 1 {
			from, to = lo.Y, hi.Y
		}
		for k := math.Ceil(from / pitch); k*pitch <= to; k++ {
			c, d := lo, hi
			if axis == 0 {
				c.X, d.X = k*pitch, k*pitch
			} else {
				c.Y, d.Y = k*pitch, k*pitch
			}
			a.Line(pen, c, d)
			on := v.On(c)
			label := fmt.Sprintf("%s %g", name, math.Round(k*pitch/u.Millimetres())+0)
			if upright := (axis == 0) != v.Turned; upright {
				on = r2.Vec{X: on.X + 0.6, Y: w.Min.Y + 0.8}
			} else {
				on = r2.Vec{X: w.Min.X + 0.6, Y: on.Y + 0.6}
			}
			a.Text(faint, v.Back(on), pdf.Left, 0, label)
		}
	}
}

// registers draws the register crosses of a tiling.
func registers(a *pdf.Area, t pdf.Tiling) {
	for _, c := range t.Crosses() {
		a.Cross(pdf.Pen{Width: 0.15}, c, 4)
		a.Circle(pdf.Pen{Width: 0.15}, false, c, 1.5)
	}
}
