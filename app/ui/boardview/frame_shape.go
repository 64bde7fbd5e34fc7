package boardview

import (
	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/paint"
)

// handleRadius is the size of the centre line's handles, logical pixels.
const handleRadius = 6.0

// shape paints the outline: the measured half solid, the made half dashed and
// paler; all paler while it is out of date.
func (f *frame) shape(sc *scene, fade float64) {
	f.polyline(sc.made, false, f.dashed(f.col.Line, paint.Fade(f.col.Made, fade), paint.HiddenDash))
	for _, part := range sc.shape {
		f.polyline(part, false, f.stroke(f.col.Line, paint.Fade(f.col.Outline, fade)))
	}
}

// centre paints a centre line from end to end, with its handles.
func (f *frame) centre(l line, ends [2]float64, fade float64, handles bool) {
	col := paint.Fade(f.col.Centre, fade)
	a, b := f.l.px(l.at(ends[0])), f.l.px(l.at(ends[1]))
	f.c.Line(a, b, f.dashed(f.col.Thin+0.35, col, paint.CentreDash))
	if !handles {
		return
	}
	for _, p := range []r2.Vec{a, b} {
		f.c.Shape(paint.Diamond, p, handleRadius*f.k, f.col.Board, f.stroke(f.col.Thin+0.35, col))
	}
}

// found paints what the readings say of the centre line, beside the one in use.
func (f *frame) found(l, used line, ends [2]float64) {
	f.centre(l, ends, 0.55, false)
	top := f.l.px(l.at(ends[1]))
	side, anchor := -6*f.k, r2.Vec{X: 1, Y: 0}
	if l.x(ends[1]) > used.x(ends[1]) {
		side, anchor = 6*f.k, r2.Vec{}
	}
	s, at := lang.L("found"), r2.Add(top, r2.Vec{X: side})
	f.claim(f.textBox(f.fonts.text, labelSize, s, at, anchor))
	f.text(f.fonts.text, labelSize, s, at, anchor, f.col.Centre)
}

// ghost paints the mirrored half that a moved centre line would make.
func (f *frame) ghost(pts []r2.Vec) {
	f.polyline(pts, false, f.dashed(f.col.Line, f.col.Centre, paint.HiddenDash))
}
