package boardview

import (
	"math"
	"strconv"

	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/paint"
	"panewright/board"
)

// Sizes of the fold, logical pixels.
const (
	foldRadius = 3.0
	whiskWidth = 2.6
)

// fold paints both halves laid over each other: the edge held against as a
// continuous line, what lies outside of it in one colour and continuous, what
// lies inside in the other and dashed.
func (f *frame) fold(d *fold, scale, fade float64) {
	f.polyline(d.edge, false, f.stroke(f.col.Line, paint.Fade(f.col.Outline, fade)))
	for from := 0; from+1 < len(d.line); {
		to, outside := from, d.line[from].off >= 0
		for to+1 < len(d.line) && d.line[to+1].off >= 0 == outside {
			to++
		}
		f.foldRun(d.line[max(from-1, 0):min(to+2, len(d.line))], outside, scale, fade)
		from = to + 1
	}
	for _, k := range d.marks {
		if at := f.foldAt(k.foldPlace, scale); k.against && f.seen(at, longestMiss*f.k) {
			f.c.Line(f.l.px(k.at), at, f.signStroke(k.off >= 0, whiskWidth, fade))
		}
	}
	for _, k := range d.marks {
		at, line := f.foldAt(k.foldPlace, scale), f.stroke(f.col.Thin, paint.Fade(f.col.Station, fade))
		switch {
		case !f.seen(at, foldRadius*f.k):
			continue
		case k.folded:
			f.c.Shape(paint.Square, at, 0.9*foldRadius*f.k, f.col.Board, line)
		default:
			f.c.Disc(at, foldRadius*f.k, f.col.Board)
			f.c.Ring(at, foldRadius*f.k, line.Width, line.Color)
		}
		f.keepOff(at, foldRadius*f.k)
	}
}

// foldAt is where something that lies off the edge is painted.
func (f *frame) foldAt(p foldPlace, scale float64) r2.Vec {
	return offAt(f.l, p, scale, longestMiss*f.k)
}

// signStroke is the line of what lies outside, or inside.
func (f *frame) signStroke(outside bool, width, fade float64) paint.Stroke {
	if outside {
		return f.stroke(width, paint.Fade(f.col.Outside, fade))
	}
	return f.dashed(width, paint.Fade(f.col.Inside, fade), paint.HiddenDash)
}

// foldRun paints a stretch of the folded line on one side of the edge. Its first
// and last places may lie on the other: there it begins and ends on the edge.
func (f *frame) foldRun(run []foldPlace, outside bool, scale, fade float64) {
	var edge, line []r2.Vec
	for i, p := range run {
		if p.off >= 0 != outside { // cross over between this place and its neighbour
			o := run[min(i+1, len(run)-1)]
			if i > 0 {
				o = run[i-1]
			}
			t := p.off / (p.off - o.off)
			p.at, p.off = r2.Add(p.at, r2.Scale(t, r2.Sub(o.at, p.at))), 0
		}
		edge, line = append(edge, f.l.px(p.at)), append(line, f.foldAt(p, scale))
	}
	if len(line) < 2 {
		return
	}
	col := f.col.Outside
	out, in := line, edge
	if !outside {
		col, out, in = f.col.Inside, edge, line
	}
	f.c.Fill(paint.Fade(col, 0.2*fade), strips(out, in)...)
	f.c.Polyline(line, false, f.signStroke(outside, f.col.Line, fade))
}

// foldLabels write the greatest differences beside their places; of half a pane
// those of the stations held against it that lie farthest off.
func (f *frame) foldLabels(d *fold, j *board.Job, scale, fade float64) {
	write := func(p foldPlace) {
		word := signed(exact(p.off, j))
		if p.id != "" {
			word = lang.L("{{.ID}}: {{.Miss}}", map[string]any{"ID": p.id, "Miss": word})
		}
		out, col := r2.Vec{X: p.out.X, Y: -p.out.Y}, f.col.Outside
		if p.off < 0 {
			out, col = r2.Scale(-1, out), f.col.Inside
		}
		f.foldLabel(word, f.foldAt(p, scale), out, paint.Fade(col, fade))
	}
	for _, p := range d.most {
		if p.off != 0 {
			write(p)
		}
	}
	for _, k := range d.marks {
		if k.against && math.Abs(k.off) > worthWord*d.greatest() && k.id != d.most[0].id && k.id != d.most[1].id {
			write(k.foldPlace)
		}
	}
}

// foldLabel writes a word beside a place where there is room, outward first, then
// to either side and at last on the other side of the edge.
func (f *frame) foldLabel(s string, at, out r2.Vec, col colour) {
	for _, try := range []r2.Vec{out, r2.Rotate(out, 0.8, r2.Vec{}), r2.Rotate(out, -0.8, r2.Vec{}), r2.Rotate(out, 1.6, r2.Vec{}), r2.Rotate(out, -1.6, r2.Vec{}),
		r2.Scale(2, out), r2.Scale(-1.6, out), r2.Rotate(r2.Scale(2.2, out), 0.8, r2.Vec{}), r2.Rotate(r2.Scale(2.2, out), -0.8, r2.Vec{}),
		r2.Rotate(r2.Scale(-2.2, out), 0.6, r2.Vec{}), r2.Rotate(r2.Scale(-2.2, out), -0.6, r2.Vec{}), r2.Scale(-3.2, out), r2.Scale(-4.8, out)} {
		where, d := r2.Add(at, r2.Scale(labelAway*f.k, try)), r2.Unit(try)
		anchor := r2.Vec{X: (1 - d.X) / 2, Y: (1 - d.Y) / 2}
		b := f.textBox(f.fonts.text, labelSize+1, s, where, anchor)
		if b.Min.X < 0 || b.Min.Y < 0 || b.Max.X > f.w || b.Max.Y > f.h || !f.claim(b) {
			continue
		}
		pad := 2 * f.k
		f.c.Rect(pixel(b.Min.X-pad), pixel(b.Min.Y-pad), pixel(b.Max.X+pad), pixel(b.Max.Y+pad), paint.Fade(f.col.Board, 0.8))
		f.text(f.fonts.text, labelSize+1, s, where, anchor, col)
		return
	}
}

// worthWord is the share of the greatest difference from which a station is named.
const worthWord = 0.3

// foldLegend says in the corner what is drawn.
func (f *frame) foldLegend(d *fold, j *board.Job, scale float64) {
	line := func(s paint.Stroke) func(at r2.Vec) {
		return func(at r2.Vec) {
			f.c.Line(r2.Sub(at, r2.Vec{X: 10 * f.k}), r2.Add(at, r2.Vec{X: 10 * f.k}), s)
		}
	}
	edge, outside, inside := lang.L("right half, as read"), lang.L("left half folded over, where outside"), lang.L("left half folded over, where inside")
	width := f.col.Line
	if d.half {
		edge, outside, inside, width = lang.L("measured half"), lang.L("station outside"), lang.L("station inside"), whiskWidth
		if d.made {
			edge = lang.L("measured half, mirrored")
		}
	}
	mark := f.stroke(f.col.Thin, f.col.Station)
	entries := []legendLine{
		{line(f.stroke(f.col.Line, f.col.Outline)), edge},
		{line(f.signStroke(true, width, 1)), outside},
		{line(f.signStroke(false, width, 1)), inside},
		{func(at r2.Vec) { f.c.Ring(at, foldRadius*f.k, mark.Width, mark.Color) }, lang.L("stations of the right half")},
		{func(at r2.Vec) { f.c.Shape(paint.Square, at, 0.9*foldRadius*f.k, f.col.Board, mark) }, lang.L("stations of the left half, folded over")},
	}
	bar := barFor(j.Unit, scale*f.l.s/f.k)
	word := lang.L("{{.L}}, differences drawn {{.N}} times", map[string]any{"L": decimal(bar/j.Unit.Millimetres(), 3, j.Comma) + " " + j.Unit.String(), "N": strconv.FormatFloat(scale, 'g', 3, 64)})
	entries = append(entries, legendLine{func(at r2.Vec) { f.scaleBar(at, bar*scale*f.l.s) }, word})
	if most := d.greatest(); most > 0 {
		entries = append(entries, legendLine{nil, lang.L("at most {{.Most}}, typically {{.Typical}}", map[string]any{"Most": exact(most, j), "Typical": exact(d.typical, j)})})
	}
	f.legendBox(entries)
}

// barFor is the longest round length, mm, whose bar is short enough for the legend,
// so many logical pixels to a millimetre.
func barFor(u board.Unit, s float64) float64 {
	const room, least = 24.0, 1e-3
	unit := u.Millimetres()
	best := least * unit
	for power := least; power <= 1000; power *= 10 {
		for _, n := range []float64{1, 2, 5} {
			if n*power*unit*s <= room {
				best = n * power * unit
			}
		}
	}
	return best
}

// scaleBar paints a bar of so many pixels, with ticks at its ends.
func (f *frame) scaleBar(at r2.Vec, long float64) {
	ink := f.stroke(f.col.Thin, f.col.GridLabel)
	half, tick := r2.Vec{X: math.Min(long, 60*f.k) / 2}, r2.Vec{Y: 3 * f.k}
	a, b := r2.Sub(at, half), r2.Add(at, half)
	f.c.Line(a, b, ink)
	f.c.Line(r2.Sub(a, tick), r2.Add(a, tick), ink)
	f.c.Line(r2.Sub(b, tick), r2.Add(b, tick), ink)
}
