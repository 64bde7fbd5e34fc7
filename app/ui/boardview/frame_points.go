package boardview

import (
	"math"
	"slices"
	"strconv"

	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/paint"
	"panewright/board"
)

// Sizes of the marks, logical pixels.
const (
	markRadius  = 4.2
	faceRadius  = 3.6
	suspectRing = 8.0
	labelAway   = 10.0
	longestMiss = 300.0 // a magnified miss is not drawn longer
)

// points paints every reading: first the whiskers, then the marks, then the
// labels, those that matter most first, so that they have the room.
func (f *frame) points(sc *scene, picked []int, hovered int, magnify float64) {
	selected := func(p point) bool { _, is := slices.BinarySearch(picked, p.index); return is }
	fade := 1.0
	if sc.stale {
		fade = 0.4
	}
	if magnify > 0 {
		for _, p := range sc.points {
			f.whisker(p, magnify, fade)
		}
	}
	for _, p := range sc.points {
		if !selected(p) && p.index != hovered && !f.hides(p) {
			f.mark(p, false, false)
		}
	}
	for _, p := range sc.points {
		if selected(p) || p.index == hovered {
			f.mark(p, selected(p), p.index == hovered)
		}
	}
	for _, p := range sc.points {
		f.typedAt(p, selected(p) || p.index == hovered)
		f.occupy(p, magnify)
	}
	for _, first := range []bool{true, false} {
		for _, p := range sc.points {
			if f.quiet && !selected(p) && p.index != hovered {
				continue // the signs name the stations that matter
			}
			if first == (selected(p) || p.state == board.Suspect) {
				f.label(p, selected(p), magnify)
			}
		}
	}
}

// hides says whether a reading is left out while the fit or the fold is shown,
// which only stations that are used have a part in; the fold has marks of its own
// for those of the right half.
func (f *frame) hides(p point) bool {
	return f.quiet && (p.apart() || f.folded != nil && p.at.X > f.folded.x(p.at.Y))
}

// apart says whether a reading has no part in the fit.
func (p point) apart() bool { return p.kind != board.Edge || p.state != board.Kept }

// movedFar is how far a reading must stand from where it was typed, mm, for that
// place to be shown.
const movedFar = 1.0

// typedAt paints a faint tick where a reading was typed that corrections or a
// join have moved; of the one looked at, the way that it was moved too.
func (f *frame) typedAt(p point, looked bool) {
	if f.quiet || r2.Norm(r2.Sub(p.typed, p.at)) <= movedFar {
		return
	}
	tick, at, col := f.l.px(p.typed), f.l.px(p.at), paint.Fade(f.markColour(p), 0.45)
	if looked {
		col = f.col.Selected
		f.c.Line(tick, at, f.dashed(1, col, paint.HiddenDash))
	}
	f.c.Saltire(tick, 3.5*f.k, f.stroke(1, col))
}

// colour of a reading's mark.
func (f *frame) markColour(p point) colour {
	switch {
	case p.state == board.StruckOut:
		return f.col.Struck
	case p.away:
		return paint.Fade(f.col.Station, 0.35)
	case p.kind == board.Face:
		return f.col.Face
	case p.state == board.Unused && !p.check && p.kind == board.Edge:
		return paint.Fade(f.col.Station, 0.55)
	}
	return f.col.Station
}

// mark paints one reading in the form of its kind and state.
func (f *frame) mark(p point, selected, hovered bool) {
	at := f.l.px(p.at)
	if !f.seen(at, 20*f.k) && !(p.state == board.Suspect && (p.missed || p.fits)) {
		return
	}
	col, r, fill := f.markColour(p), markRadius*f.k, f.col.Board
	if f.quiet && !selected {
		r *= 0.6
	}
	if f.folded != nil && !selected {
		col = paint.Fade(col, 0.4)
	}
	line := f.stroke(f.col.Thin+0.25, col)
	if hovered {
		f.c.Disc(at, r+4*f.k, paint.Fade(f.col.Selected, 0.22))
	}
	if p.state == board.Suspect && !f.quiet {
		f.suspect(p, at)
	}
	if selected {
		fill, line.Color = f.col.Selected, f.col.Selected
		f.c.Ring(at, r+3.2*f.k, f.col.Thin*f.k, f.col.Selected)
	}
	switch {
	case p.kind == board.Face:
		if selected {
			f.c.Disc(at, 2*f.k, fill)
		}
		f.c.Cross(at, faceRadius*f.k, line)
	case p.kind == board.Centre:
		f.c.Shape(paint.Diamond, at, r, fill, line)
	case p.kind == board.Mark:
		f.c.Shape(paint.Triangle, at, r, fill, line)
	case p.check:
		f.c.Shape(paint.Square, at, r, fill, line)
	default:
		f.c.Disc(at, r, fill)
		f.c.Ring(at, r, line.Width, line.Color)
	}
	if p.breaks {
		f.breakMark(p, at, line.Color)
	}
	if p.state == board.StruckOut {
		f.c.Saltire(at, r+3*f.k, f.stroke(f.col.Thin+0.25, f.col.Struck))
	}
}

// suspect paints the ring about a suspect, with a tail to where it would fit.
func (f *frame) suspect(p point, at r2.Vec) {
	ring := suspectRing * f.k
	line := f.stroke(f.col.Line, f.col.Suspect)
	f.c.Ring(at, ring, line.Width, line.Color)
	to := p.foot
	switch {
	case p.fits:
		to, line = p.fit, f.dashed(f.col.Thin+0.25, f.col.Suspect, paint.HiddenDash)
	case !p.missed:
		return
	}
	foot := f.l.px(to)
	d := r2.Sub(foot, at)
	if n := r2.Norm(d); n > ring+3*f.k {
		f.c.Line(r2.Add(at, r2.Scale(ring/n, d)), foot, line)
		f.c.Disc(foot, 2.6*f.k, f.col.Suspect)
	}
}

// whisker paints the miss of a station, magnified, from the outline outward or
// inward. Suspects have their tail instead.
func (f *frame) whisker(p point, magnify, fade float64) {
	if !p.missed || p.state == board.Suspect || p.state == board.StruckOut {
		return
	}
	col := f.col.Outside
	if p.miss < 0 {
		col = f.col.Inside
	}
	foot := f.l.px(p.foot)
	f.c.Line(foot, r2.Add(foot, f.reach(p, magnify)), f.stroke(2.6, paint.Fade(col, fade)))
}

// reach is how far a station's whisker reaches from its foot, device pixels. Its
// side is that of the miss, which the pencil's offset has been taken off.
func (f *frame) reach(p point, magnify float64) r2.Vec {
	most := longestMiss * f.k
	length := min(max(p.miss*magnify*f.l.s, -most), most)
	return r2.Scale(length, r2.Vec{X: p.out.X, Y: -p.out.Y})
}

// label writes a reading's id beside it where there is room. Face readings are
// labelled only where the squares are large, and when selected.
func (f *frame) label(p point, selected bool, magnify float64) {
	if p.kind == board.Face && !selected && p.state != board.Suspect && !f.roomy {
		return
	}
	at := f.l.px(p.at)
	if !f.seen(at, 0) || p.id == "" {
		return
	}
	away := labelAway * f.k
	if p.state == board.Suspect {
		away = (suspectRing + 5) * f.k
	}
	if p.missed && magnify > 0 && p.miss > 0 && p.state == board.Kept {
		away = max(away, r2.Norm(r2.Sub(r2.Add(f.l.px(p.foot), f.reach(p, magnify)), at))+5*f.k) // past the whisker's end
	}
	col, size := f.markColour(p), labelSize-1
	switch {
	case p.state == board.Suspect:
		col, size = f.col.Suspect, labelSize+1
	case selected:
		col, size = f.col.Selected, labelSize+1
	}
	out := r2.Vec{X: p.out.X, Y: -p.out.Y}
	if f.inward && p.kind == board.Edge {
		out = r2.Scale(-1, out)
	}
	for _, try := range []r2.Vec{
		out, r2.Rotate(out, 0.8, r2.Vec{}), r2.Rotate(out, -0.8, r2.Vec{}), r2.Rotate(out, 1.6, r2.Vec{}), r2.Rotate(out, -1.6, r2.Vec{}),
		r2.Scale(-1, out), r2.Scale(1.9, out),
	} {
		where := r2.Add(at, r2.Scale(away, try))
		d := r2.Unit(try)
		anchor := r2.Vec{X: (1 - d.X) / 2, Y: (1 - d.Y) / 2}
		if f.claim(f.textBox(f.fonts.text, size, p.id, where, anchor)) {
			f.text(f.fonts.text, size, p.id, where, anchor, col)
			return
		}
	}
}

// occupy keeps labels off a mark and its whisker.
func (f *frame) occupy(p point, magnify float64) {
	at, r := f.l.px(p.at), (markRadius-1)*f.k
	if p.state == board.Suspect {
		r = suspectRing * f.k
	}
	if !f.seen(at, longestMiss*f.k) {
		return
	}
	f.keepOff(at, r)
	if magnify > 0 && p.missed && p.state == board.Kept {
		foot, d := f.l.px(p.foot), f.reach(p, magnify)
		for t, n := 1.0, math.Ceil(r2.Norm(d)/(4*f.k)); t <= n; t++ {
			f.keepOff(r2.Add(foot, r2.Scale(t/n, d)), f.k)
		}
	}
}

// keepOff keeps labels off a square about p.
func (f *frame) keepOff(p r2.Vec, r float64) {
	d := r2.Vec{X: r, Y: r}
	f.taken = append(f.taken, r2.Box{Min: r2.Sub(p, d), Max: r2.Add(p, d)})
}

// legend says in the corner how misses and the band of uncertainty are drawn.
func (f *frame) legend(sc *scene, magnify float64, banded bool) {
	if magnify <= 0 || !slices.ContainsFunc(sc.points, func(p point) bool { return p.missed && p.state == board.Kept }) {
		return
	}
	data := map[string]any{"N": strconv.FormatFloat(magnify, 'g', 3, 64)}
	s := lang.L("misses drawn {{.N}} times", data)
	if banded && len(sc.band.runs) > 0 {
		s = lang.L("misses, and the band of ± 2 standard uncertainties, drawn {{.N}} times", data)
	}
	face := f.face(f.fonts.text, labelSize)
	if face == nil {
		return
	}
	at, corner := r2.Vec{X: f.w - 8*f.k, Y: f.h - 6*f.k}, r2.Vec{X: 1, Y: 1}
	for _, line := range slices.Backward(face.Wrap(s, f.w-16*f.k)) {
		b := f.textBox(f.fonts.text, labelSize, line, at, corner)
		pad := 4 * f.k
		f.c.Rect(pixel(b.Min.X-pad), pixel(b.Min.Y-pad), pixel(b.Max.X+pad), pixel(b.Max.Y+pad), paint.Fade(f.col.Table, 0.85))
		f.text(f.fonts.text, labelSize, line, at, corner, f.col.GridLabel)
		at.Y -= face.Height()
	}
}
