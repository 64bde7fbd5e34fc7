package boardview

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// lens maps the board (mm, y up) to the picture (pixels, y down):
// px = o + s·(x, -y).
type lens struct {
	s float64 // pixels per millimetre
	o r2.Vec  // where the board's (0, 0) is shown
}

// Limits of the scale, pixels per millimetre: from a board of a car's length
// on a small window to a tenth of a millimetre as wide as a finger.
const (
	leastScale    = 0.02
	greatestScale = 120.0
)

// px is where a board point is shown.
func (l lens) px(p r2.Vec) r2.Vec { return r2.Vec{X: l.o.X + l.s*p.X, Y: l.o.Y - l.s*p.Y} }

// mm is the board point shown at q.
func (l lens) mm(q r2.Vec) r2.Vec { return r2.Vec{X: (q.X - l.o.X) / l.s, Y: (l.o.Y - q.Y) / l.s} }

// moved is the lens with everything shown d further.
func (l lens) moved(d r2.Vec) lens { return lens{l.s, r2.Add(l.o, d)} }

// zoomed is the lens with the scale times f, the point shown at q staying there.
func (l lens) zoomed(q r2.Vec, f float64) lens {
	s := min(max(l.s*f, leastScale), greatestScale)
	f = s / l.s
	return lens{s, r2.Add(q, r2.Scale(f, r2.Sub(l.o, q)))}
}

// times is the lens for a picture with k pixels for one.
func (l lens) times(k float64) lens { return lens{l.s * k, r2.Scale(k, l.o)} }

// fitted is the lens that shows the whole box, in the middle of a w by h
// picture with a margin all round.
func fitted(box r2.Box, w, h, margin float64) lens {
	size := r2.Sub(box.Max, box.Min)
	s := min((w-2*margin)/size.X, (h-2*margin)/size.Y)
	if !(s > 0) || math.IsInf(s, 1) {
		s = 1
	}
	l := lens{s: min(max(s, leastScale), greatestScale)}
	middle := r2.Scale(0.5, r2.Add(box.Min, box.Max))
	return l.moved(r2.Sub(r2.Vec{X: w / 2, Y: h / 2}, l.px(middle)))
}
