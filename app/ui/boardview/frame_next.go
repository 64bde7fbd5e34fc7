package boardview

import (
	"math"
	"strconv"

	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/paint"
	"panewright/board"
)

const (
	adviceRadius = 5.0  // logical pixels
	shownRing    = 16.0 // about a place that was asked for
)

// advice is a place where one more reading would tell much.
type advice struct {
	number string
	at     r2.Vec // board, mm
	text   string
}

// adviceOf are the places of a model, best first.
func adviceOf(m *board.Model) (out []advice) {
	if m == nil {
		return nil
	}
	for i, a := range m.Next {
		out = append(out, advice{strconv.Itoa(i + 1), r2.Vec{X: a.At.X, Y: a.At.Y}, a.Text})
	}
	return out
}

// advice paints the places to measure next: open diamonds with their numbers.
func (f *frame) advice(places []advice, fade float64) {
	col := paint.Fade(f.col.Good, fade)
	for _, a := range places {
		at := f.l.px(a.at)
		if !f.seen(at, 20*f.k) {
			continue
		}
		f.c.Shape(paint.Diamond, at, adviceRadius*f.k, f.col.Board, f.stroke(f.col.Thin+0.25, col))
		f.keepOff(at, adviceRadius*f.k)
	}
	for _, a := range places {
		at := f.l.px(a.at)
		if !f.seen(at, 0) {
			continue
		}
		away := (adviceRadius + 10) * f.k
		for _, d := range []r2.Vec{{X: 1, Y: -1}, {X: -1, Y: -1}, {X: 1, Y: 1}, {X: -1, Y: 1}, {X: 1.4, Y: 0}, {X: -1.4, Y: 0}} {
			where, anchor := r2.Add(at, r2.Scale(away*math.Sqrt2/2, d)), r2.Vec{X: 0.5, Y: 0.5}
			if f.claim(f.textBox(f.fonts.text, labelSize, a.number, where, anchor)) {
				f.text(f.fonts.text, labelSize, a.number, where, anchor, col)
				break
			}
		}
	}
}

// hitAdvice is the place to measure next at a logical position.
func (v *View) hitAdvice(at r2.Vec) (advice, bool) {
	if v.adviceShown && v.folded() == nil {
		for _, a := range v.scene.advice {
			if r2.Norm(r2.Sub(v.lens.px(a.at), at)) <= pointReach {
				return a, true
			}
		}
	}
	return advice{}, false
}

// words are what is said of a place to measure next under the pointer.
func (a advice) words() []string {
	return []string{lang.L("place {{.N}} to measure next", map[string]any{"N": a.number}), a.text}
}

// breakMark paints a small peak outside a station where the edge truly breaks.
func (f *frame) breakMark(p point, at r2.Vec, col colour) {
	out := r2.Vec{X: p.out.X, Y: -p.out.Y}
	side := r2.Vec{X: -out.Y, Y: out.X}
	place := func(away, aside float64) r2.Vec {
		return r2.Add(at, r2.Add(r2.Scale(away*f.k, out), r2.Scale(aside*f.k, side)))
	}
	f.c.Polyline([]r2.Vec{place(7, 6), place(11.5, 0), place(7, -6)}, false, f.stroke(f.col.Line, col))
	f.keepOff(place(9, 0), 5*f.k)
}

// shown paints a ring about the place that was asked for last.
func (f *frame) shown(p r2.Vec) {
	f.c.Ring(f.l.px(p), shownRing*f.k, f.col.Line*f.k, f.col.Selected)
}
