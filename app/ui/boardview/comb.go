package boardview

import (
	"math"

	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/ui/paint"
	"panewright/board"
	"panewright/geom"
)

// How the comb is drawn.
const (
	combTeeth   = 480     // round the outline
	combReach   = 20000.0 // mm²: drawn once, an edge of 1 m radius has teeth of 20 mm
	combLongest = 110.0   // logical pixels; a tooth is not drawn longer
	combSign    = 7.0     // logical pixels to either side: the mark where the edge turns hollow
)

// combPlace is a place of the outline on the board with its unit normal, outward,
// and its curvature, 1/mm, positive where the edge is convex.
type combPlace struct {
	at, out   r2.Vec
	curvature float64
}

// comb is how the outline of a model bends.
type comb struct {
	of    *board.Model
	teeth []combPlace
	turns []combPlace // where convex and hollow meet
}

// newComb combs the finished outline of a model, laid back on the board as the
// outline is, or the free one where there is no pane; without either it is empty.
func newComb(m *board.Model) *comb {
	d := &comb{of: m}
	switch {
	case m == nil:
	case m.Pane != nil:
		d.take(m.Pane.Outline, func(u float64) (at, out r2.Vec, ok bool) {
			at, out = laidBack(m, u)
			return at, out, true
		})
	case m.Free != nil && m.Free.Curve != nil:
		c := m.Free.Curve
		d.take(c, func(u float64) (at, out r2.Vec, ok bool) { return c.At(u), c.Normal(u), m.Free.SD(u) <= known })
	}
	return d
}

// laidBack is a place of the finished outline and its unit normal, outward, laid
// back on the board.
func laidBack(m *board.Model, u float64) (at, out r2.Vec) {
	back, c := m.BoardToGlass.Inverse(), m.Pane.Outline
	p, n := c.At(u), c.Normal(u)
	z := m.Pane.Upper.At(p.X, p.Y)
	lay := func(q r2.Vec) r2.Vec {
		on := back.Apply(r3.Vec{X: q.X, Y: q.Y, Z: z})
		return r2.Vec{X: on.X, Y: on.Y}
	}
	at = lay(p)
	return at, r2.Unit(r2.Sub(lay(r2.Add(p, n)), at))
}

// take combs a curve where its places are known.
func (d *comb) take(c *geom.Curve, lay func(u float64) (at, out r2.Vec, ok bool)) {
	for _, t := range c.Comb(combTeeth) {
		if at, out, ok := lay(t.U); ok {
			d.teeth = append(d.teeth, combPlace{at, out, t.Curvature})
		}
	}
	for _, u := range c.Inflections() {
		if at, out, ok := lay(u); ok {
			d.turns = append(d.turns, combPlace{at: at, out: out})
		}
	}
}

// SetComb chooses how many times the curvature comb is drawn, in place of the
// misses and of how sure the outline is; 0 leaves it away.
func (v *View) SetComb(times float64) {
	v.combTimes = max(times, 0)
	v.recomb()
	v.redraw()
}

// recomb combs the outline of the model shown, where that is asked for.
func (v *View) recomb() {
	if v.combTimes > 0 && (v.comb == nil || v.comb.of != v.scene.band.of) {
		v.comb = newComb(v.scene.band.of)
	}
}

// combed is the comb that is drawn, nil for none.
func (v *View) combed() *comb {
	if v.combTimes <= 0 || v.comb == nil || len(v.comb.teeth) == 0 {
		return nil
	}
	return v.comb
}

// combEnd is where a tooth ends, and whether it is drawn in full.
func (f *frame) combEnd(p combPlace, times float64) (end r2.Vec, full bool) {
	long, most := p.curvature*combReach*times*f.l.s, combLongest*f.k
	cut := min(max(long, -most), most)
	return r2.Add(f.l.px(p.at), r2.Scale(cut, r2.Vec{X: p.out.X, Y: -p.out.Y})), cut == long
}

// comb paints the teeth, outward where the edge is convex and inward where it is
// hollow, the line through their ends, and a bar across the edge where one turns
// into the other.
func (f *frame) comb(d *comb, times, fade float64) {
	tooth := f.stroke(f.col.Thin, paint.Fade(f.col.Outline, 0.38*fade))
	ends := make([]r2.Vec, 0, len(d.teeth)+1)
	line := f.stroke(f.col.Thin+0.35, paint.Fade(f.col.Outline, 0.8*fade))
	var last r2.Vec
	gap := f.combGap(d)
	for i, p := range d.teeth {
		end, _ := f.combEnd(p, times)
		foot := f.l.px(p.at)
		if i > 0 && r2.Norm(r2.Sub(foot, last)) > gap { // a part that is not known
			f.c.Polyline(ends, false, line)
			ends = ends[:0]
		}
		last, ends = foot, append(ends, end)
		if f.seen(foot, combLongest*f.k) {
			f.c.Line(foot, end, tooth)
		}
	}
	if n := len(d.teeth); n > 0 && r2.Norm(r2.Sub(f.l.px(d.teeth[0].at), last)) <= gap {
		end, _ := f.combEnd(d.teeth[0], times)
		ends = append(ends, end)
	}
	f.c.Polyline(ends, false, line)
	for _, p := range d.turns {
		f.combTurn(f.l.px(p.at), r2.Vec{X: p.out.X, Y: -p.out.Y}, fade)
	}
}

// combGap is how far apart neighbouring teeth stand at most, device pixels.
func (f *frame) combGap(d *comb) float64 {
	least := math.Inf(1)
	for i := 1; i < len(d.teeth); i++ {
		least = min(least, r2.Norm(r2.Sub(d.teeth[i].at, d.teeth[i-1].at)))
	}
	return 3 * least * f.l.s
}

// combTurn marks a place where convex and hollow meet.
func (f *frame) combTurn(at, out r2.Vec, fade float64) {
	d := r2.Scale(combSign*f.k, out)
	f.c.Line(r2.Sub(at, d), r2.Add(at, d), f.stroke(f.col.Line+0.5, paint.Fade(f.col.Suspect, fade)))
}

// combLegend says which radius a length of the comb means.
func (f *frame) combLegend(d *comb, j *board.Job, times float64) {
	radius := combRadius(j.Unit, combReach*times*f.l.s/f.k)
	data := map[string]any{"R": decimal(radius/j.Unit.Millimetres(), 3, j.Comma) + " " + j.Unit.String()}
	long := combReach * times * f.l.s / radius
	tooth := f.stroke(f.col.Thin, f.col.Outline)
	entries := []legendLine{
		{func(at r2.Vec) { f.scaleBar(at, long) }, lang.L("this long: a radius of {{.R}}", data)},
		{func(at r2.Vec) { f.combSample(at, tooth) }, lang.L("curvature, outward where the edge is convex")},
	}
	if len(d.turns) > 0 {
		entries = append(entries, legendLine{func(at r2.Vec) { f.combTurn(at, r2.Vec{Y: -0.7}, 1) }, lang.L("convex and hollow meet")})
	}
	for _, p := range d.teeth {
		if _, full := f.combEnd(p, times); !full {
			entries = append(entries, legendLine{nil, lang.L("the longest are cut short")})
			break
		}
	}
	f.legendBox(entries)
}

// combSample paints three teeth on a piece of edge.
func (f *frame) combSample(at r2.Vec, s paint.Stroke) {
	foot := r2.Vec{Y: 4 * f.k}
	f.c.Line(r2.Add(at, r2.Add(foot, r2.Vec{X: -9 * f.k})), r2.Add(at, r2.Add(foot, r2.Vec{X: 9 * f.k})), f.stroke(f.col.Line, f.col.Outline))
	for x := -6.0; x <= 6; x += 6 {
		a := r2.Add(at, r2.Add(foot, r2.Vec{X: x * f.k}))
		f.c.Line(a, r2.Sub(a, r2.Vec{Y: 9 * f.k}), s)
	}
}

// combRadius is the least round radius, mm, whose teeth are short enough for the
// legend: reach over radius is their length in logical pixels.
func combRadius(u board.Unit, reach float64) float64 {
	const room = 24.0
	unit := u.Millimetres()
	for power := 1.0; power < 1e9; power *= 10 {
		for _, n := range []float64{1, 2, 5} {
			if r := n * power * unit; reach/r <= room {
				return r
			}
		}
	}
	return 1e9 * unit
}
