package solidview

import (
	"math"
	"strconv"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/geom"
)

// onFace is how near to a face what lies under the pointer must be to be of it,
// mm: more than the sag of the mesh's triangles.
const onFace = 1.0

// under is what is said of the place under the pointer: where it lies on the
// board, its height, the slope and the least radius of the face there.
func (v *View) under(at fyne.Position) string {
	g, h, ok := v.pick(at)
	if !ok {
		return ""
	}
	m := v.parts.of
	j := m.Job
	p := m.BoardToGlass.Inverse().Apply(g)
	unit := " " + j.Unit.String()
	text := lang.L("{{.X}}, {{.Y}} · height {{.Z}} · slope {{.S}}° · least radius {{.R}}", map[string]any{
		"X": j.Format(p.X), "Y": j.Format(p.Y) + unit, "Z": j.Format(p.Z) + unit,
		"S": figure(h.Slope()*180/math.Pi, 0.1, j.Comma), "R": leastRadius(h, j),
	})
	if d := v.last.field; d != nil {
		text += v.mapped(d, h, r2.Vec{X: g.X, Y: g.Y}, at)
	}
	return text
}

// pick is the point of the pane's face under a place, glass frame, with the face
// there.
func (v *View) pick(at fyne.Position) (g r3.Vec, h geom.Height, ok bool) {
	if v.parts.solid == nil || v.last.solid != v.parts.solid || v.last.cam != v.cam {
		return g, h, false
	}
	k := v.last.k
	x, y := math.Floor(float64(at.X)*k)+0.5, math.Floor(float64(at.Y)*k)+0.5 // the depth is that of a pixel's middle
	depth, ok := v.quick.scene.Depth(x, y)
	if !ok {
		return g, h, false
	}
	back := v.cam.view(float64(v.last.w), float64(v.last.h))
	g = back.point(x, y, depth)
	low := v.last.box().Min.Z
	g.Z = low + (g.Z-low)/v.last.stretch
	if v.last.pocket != nil {
		g.Z -= v.last.lift
	}
	for _, f := range []*geom.Face{v.parts.of.Pane.Upper, v.parts.of.Pane.Lower} {
		if h = f.Eval(g.X, g.Y); math.Abs(h.Z-g.Z) < onFace {
			g.Z = h.Z
			return g, h, true
		}
	}
	return g, h, false
}

// leastRadius is the least radius of a face, in words.
func leastRadius(h geom.Height, j *board.Job) string {
	_, _, k1, k2 := h.Curvature()
	k := math.Max(math.Abs(k1), math.Abs(k2))
	if k < 1e-6 { // a kilometre
		return lang.L("straight")
	}
	step := 1.0
	if j.Unit == board.Inch {
		step = 0.1
	}
	return figure(1/k/j.Unit.Millimetres(), step, j.Comma) + " " + j.Unit.String()
}

// mapped is what a map says of the place.
func (v *View) mapped(d *field, h geom.Height, p r2.Vec, at fyne.Position) string {
	j := d.of.Job
	switch d.kind {
	case LeastRound:
		return "" // it is said already
	case Misses:
		return v.missed(d, at)
	}
	value := v.parts.face.value(d.kind, h, p) * unitOf(d.kind, j)
	step := roundStep((d.high - d.low) * unitOf(d.kind, j) / 200)
	return " · " + heading(d.kind, j) + ": " + figure(value, step, j.Comma)
}

// missed names the reading under the pointer with its miss.
func (v *View) missed(d *field, at fyne.Position) string {
	const reach = 9.0 // logical pixels
	p := v.logical()
	q := r2.Vec{X: float64(at.X), Y: float64(at.Y)}
	best, text := reach, ""
	for _, m := range d.marks {
		if off := r2.Norm(r2.Sub(p.shown(m.at), q)); off < best {
			j := d.of.Job
			places := 2
			if j.Unit == board.Inch {
				places = 3
			}
			miss := strconv.FormatFloat(m.miss/j.Unit.Millimetres(), 'f', places, 64)
			if m.miss > 0 {
				miss = "+" + miss
			}
			best = off
			text = " · " + lang.L("reading {{.ID}}: miss {{.Miss}}", map[string]any{"ID": m.name, "Miss": miss + " " + j.Unit.String()})
		}
	}
	return text
}
