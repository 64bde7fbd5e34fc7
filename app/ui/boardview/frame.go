package boardview

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/look"
	"panewright/app/ui/paint"
)

// typefaces are the fonts of the picture, read once.
type typefaces struct{ text, number *paint.Font }

// newTypefaces reads the theme's fonts; where one cannot be read, Fyne's own.
func newTypefaces() typefaces {
	read := func(style fyne.TextStyle, own fyne.Resource) *paint.Font {
		for _, r := range []fyne.Resource{theme.Font(style), own} {
			if f, err := paint.NewFont(r.Content()); err == nil {
				return f
			}
		}
		return nil
	}
	return typefaces{
		text:   read(fyne.TextStyle{}, theme.DefaultTextFont()),
		number: read(look.Number, theme.DefaultTextMonospaceFont()),
	}
}

// frame is one picture being painted. Positions are device pixels; k of them
// make one logical pixel, in which sizes are given.
type frame struct {
	c      *paint.Canvas
	l      lens
	k      float64
	w, h   float64
	col    look.Colours
	fonts  typefaces
	quiet  bool     // readings stand back behind the fit or the fold
	folded *line    // of the fold, behind which they stand back: it has marks of its own on its right
	inward bool     // labels stand inside the edge: the comb is outside
	roomy  bool     // the squares are large enough for face points to be labelled
	taken  []r2.Box // where no label may lie
	labels []r2.Box // those written
}

// stroke is a line of a width in logical pixels.
func (f *frame) stroke(width float64, col colour) paint.Stroke {
	return paint.Stroke{Width: width * f.k, Color: col}
}

// dashed is a stroke with a pattern made for its width.
func (f *frame) dashed(width float64, col colour, pattern func(float64) []float64) paint.Stroke {
	s := f.stroke(width, col)
	s.Dash = pattern(1.2 * f.k)
	return s
}

// polyline strokes board points.
func (f *frame) polyline(pts []r2.Vec, closed bool, s paint.Stroke) {
	f.c.Polyline(f.project(pts), closed, s)
}

// project is where board points are shown.
func (f *frame) project(pts []r2.Vec) []r2.Vec {
	out := make([]r2.Vec, len(pts))
	for i, p := range pts {
		out[i] = f.l.px(p)
	}
	return out
}

// text writes s at a device position; without a font nothing is written.
func (f *frame) text(font *paint.Font, size float64, s string, at, anchor r2.Vec, col colour) {
	if face := f.face(font, size); face != nil {
		f.c.Text(face, s, at, anchor, col)
	}
}

// face is a font at a size in logical pixels of normal type, nil without a font.
func (f *frame) face(font *paint.Font, size float64) *paint.Face {
	if font == nil {
		return nil
	}
	face, err := font.Face(size * f.k * float64(look.Scale()))
	if err != nil {
		return nil
	}
	return face
}

// textBox is where a text would lie.
func (f *frame) textBox(font *paint.Font, size float64, s string, at, anchor r2.Vec) r2.Box {
	face := f.face(font, size)
	if face == nil {
		return r2.Box{}
	}
	w, h := face.Width(s), face.Cap()
	lo := r2.Vec{X: at.X - anchor.X*w, Y: at.Y - anchor.Y*h}
	return r2.Box{Min: lo, Max: r2.Add(lo, r2.Vec{X: w, Y: h})}
}

// claim takes a place for a label; false where another lies there already.
func (f *frame) claim(b r2.Box) bool {
	pad, text := 1.5*f.k, b
	b.Min, b.Max = r2.Sub(b.Min, r2.Vec{X: pad, Y: pad}), r2.Add(b.Max, r2.Vec{X: pad, Y: pad})
	for _, t := range f.taken {
		if b.Min.X < t.Max.X && t.Min.X < b.Max.X && b.Min.Y < t.Max.Y && t.Min.Y < b.Max.Y {
			return false
		}
	}
	f.taken, f.labels = append(f.taken, b), append(f.labels, text)
	return true
}

// seen says whether a device position lies in the picture, or within reach of it.
func (f *frame) seen(p r2.Vec, reach float64) bool {
	return p.X > -reach && p.Y > -reach && p.X < f.w+reach && p.Y < f.h+reach
}
