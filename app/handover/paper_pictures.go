package handover

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/export/pdf"
)

// magnified is how many times misses are drawn: the largest round number that
// keeps the largest one within so much of the drawing.
func magnified(largest, room float64) float64 {
	best := 1.0
	for _, m := range []float64{2, 5, 10, 20, 50, 100, 200} {
		if largest*m <= room {
			best = m
		}
	}
	return best
}

// outlinePicture draws the outline with the misses of its stations, magnified.
func (r reporter) outlinePicture() {
	m := r.m
	if m.Pane == nil {
		return
	}
	c := m.Pane.Outline
	b := c.Bounds()
	height := min(94, r.glassHeight(r.f.Width())+12)
	r.f.Heading("The outline and the misses of its stations", height)
	var mag float64
	r.f.Picture(height, func(page *pdf.Page, part r2.Box) {
		inner := r2.Box{Min: r2.Add(part.Min, r2.Vec{X: 14, Y: 11}), Max: r2.Sub(part.Max, r2.Vec{X: 14, Y: 11})}
		v := pdf.Fit(b, inner)
		mag = magnified(m.Figures.LargestMiss, 7/v.Scale.X)
		page.Over(v, func(a *pdf.Area) {
			a.Curve(pdf.Pen{Width: 0.35, Colour: ink}, pdf.Closed(c))
			if m.Mirror != board.MirrorNone {
				a.Line(centrePen, r2.Vec{Y: b.Min.Y - 5/v.Scale.Y}, r2.Vec{Y: b.Max.Y + 5/v.Scale.Y})
			}
			r.whiskers(a, mag)
		})
	})
	r.f.Text(pdf.Small, fmt.Sprintf("Seen from above, %s. Lines square to the edge: by how much a station lies outside or inside of the outline, %.0f times as long. Ringed: set aside, not drawn to length. Typical miss %s, largest %s %s.",
		r.above(), mag, r.fine(m.Figures.TypicalMiss), r.fine(m.Figures.LargestMiss), m.Job.Unit))
}

func (r reporter) whiskers(a *pdf.Area, mag float64) {
	c := r.m.Pane.Outline
	names := newNames(a)
	for pass := range 2 {
		for i, x := range r.m.Job.Readings {
			res := r.m.Results[i]
			suspect := res.State == board.Suspect
			if x.Kind != board.Edge || !res.HasMiss || x.Struck || suspect != (pass == 0) {
				continue
			}
			g := r.m.BoardToGlass.Apply(r3.Vec{X: res.At.X, Y: res.At.Y, Z: res.Foot.Z})
			u, _ := c.Nearest(r2.Vec{X: g.X, Y: g.Y})
			at, n := c.At(u), c.Normal(u)
			pen, l := pdf.Pen{Width: 0.3, Colour: faceGreen}, pdf.Letters{Size: 1.9, Colour: ink}
			off := 1.4
			if suspect {
				pen.Colour, l.Colour = wrong, wrong
				a.Circle(pen, false, at, 1.4)
				off = 2.2
			} else {
				a.Line(pen, at, r2.Add(at, r2.Scale(res.Miss*mag, n)))
				a.Circle(pdf.Pen{Width: 0.1, Colour: ink}, true, at, 0.3)
				off += max(0, res.Miss*mag*a.View().Scale.X)
			}
			names.put(l, at, n, off, x.ID)
		}
	}
}

// facePicture draws the upper face as lines of equal height, with the misses of
// the heights on it, magnified.
func (r reporter) facePicture() {
	m := r.m
	if m.Pane == nil {
		return
	}
	b := m.Pane.Outline.Bounds()
	step := r.contourStep()
	var mag float64
	height := min(94, r.glassHeight(r.f.Width()))
	r.f.Heading("The upper face: lines of equal height, and the misses of the heights", height)
	r.f.Picture(height, func(page *pdf.Page, part r2.Box) {
		v := pdf.Fit(b, r2.Box{Min: r2.Add(part.Min, r2.Vec{X: 3, Y: 3}), Max: r2.Sub(part.Max, r2.Vec{X: 3, Y: 3})})
		mag = magnified(m.Figures.FaceLargestMiss, 5/v.Scale.X)
		page.Over(v, func(a *pdf.Area) {
			edge := pdf.Closed(m.Pane.Outline)
			a.Inside(edge, func() { r.contours(a, step) })
			a.Curve(pdf.Pen{Width: 0.35, Colour: ink}, edge)
			r.heightMisses(a, mag)
		})
	})
	r.f.Text(pdf.Small, fmt.Sprintf("Lines every %s of height, over the plane of the origin. Upright strokes at the face readings: by how much the reading lies above or below the face, %.0f times as long; ringed: set aside. Typical miss %s, largest %s %s.",
		r.length(step), mag, r.fine(m.Figures.FaceTypicalMiss), r.fine(m.Figures.FaceLargestMiss), m.Job.Unit))
}

func (r reporter) heightMisses(a *pdf.Area, mag float64) {
	for i, x := range r.m.Job.Readings {
		res := r.m.Results[i]
		if x.Kind != board.Face || x.Struck || !res.HasHeight || !res.Placed {
			continue
		}
		g := r.m.BoardToGlass.Apply(res.At)
		at := r2.Vec{X: g.X, Y: g.Y}
		if res.State == board.Suspect || res.BadHeight {
			a.Circle(pdf.Pen{Width: 0.3, Colour: wrong}, false, at, 1.4)
			continue
		}
		a.Line(pdf.Pen{Width: 0.35, Colour: faceGreen}, at, r2.Add(at, r2.Vec{Y: res.HeightMiss * mag}))
		a.Circle(pdf.Pen{Width: 0.1, Colour: faceGreen}, true, at, 0.3)
	}
}

// contourStep is the step between lines of equal height that gives some twelve
// of them.
func (r reporter) contourStep() float64 {
	low, high := math.Inf(1), math.Inf(-1)
	edge := r.m.Pane.UpperEdge
	lo, hi := edge.Period()
	for i := range 200 {
		z := edge.At(lo + (hi-lo)*float64(i)/200).Z
		low, high = math.Min(low, z), math.Max(high, z)
	}
	high, low = math.Max(high, 0), math.Min(low, 0) // the origin lies on the face
	steps := []float64{0.5, 1, 2, 5, 10, 20, 50}
	if r.m.Job.Unit == board.Inch {
		steps = []float64{inch / 64, inch / 32, inch / 16, inch / 8, inch / 4, inch / 2, inch, 2 * inch}
	}
	for _, s := range steps {
		if (high-low)/s <= 14 {
			return s
		}
	}
	return steps[len(steps)-1]
}
