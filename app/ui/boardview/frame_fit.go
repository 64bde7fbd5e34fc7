package boardview

import (
	"math"
	"slices"
	"strconv"

	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/look"
	"panewright/app/ui/paint"
)

// How the fit is drawn, logical pixels.
const (
	wallAway   = 26.0 // the wall is drawn no farther from the outline
	hatchEvery = 7.0
	hatchLong  = 6.0
	farthest   = 70.0 // a gap is not drawn farther from the outline
	signRadius = 7.0
)

// magnifications of the gaps, of which the largest that leaves room is taken.
var magnifications = []float64{1, 2, 3, 4, 5, 10, 15, 20, 30, 40, 50}

// gapScale is how many times larger than they are gaps are drawn.
func (f *frame) gapScale(s *socket) float64 {
	best := magnifications[0]
	for _, m := range magnifications {
		if m*max(s.clearance, 0.5)*f.l.s <= wallAway*f.k {
			best = m
		}
	}
	return best
}

// gapAt is where the pane's edge is drawn that leaves a gap of g to the wall: on
// the outline as modelled where that is the clearance, farther out where it is
// less.
func (f *frame) gapAt(s *socket, p gap, g, scale float64) r2.Vec {
	most := farthest * f.k
	d := min(max((s.clearance-g)*scale*f.l.s, -most), most)
	return r2.Add(f.l.px(p.at), r2.Vec{X: d * p.out.X, Y: -d * p.out.Y})
}

// fit paints the wall of the pocket, and between it and the outline, magnified,
// where the edge of the real pane is expected: the middle one of 100 as a line, 5
// to 95 of them as a band. Where the band passes the wall, or stands off it by
// more than twice the clearance, it changes colour, and the wall its stroke.
func (f *frame) fit(s *socket, fade float64) {
	if len(s.round) == 0 {
		return
	}
	scale := f.gapScale(s)
	line := func(of func(gap) float64) []r2.Vec {
		out := make([]r2.Vec, len(s.round))
		for i, p := range s.round {
			out[i] = f.gapAt(s, p, of(p), scale)
		}
		return out
	}
	wall := line(func(gap) float64 { return 0 })
	loose := line(func(gap) float64 { return 2 * s.clearance })
	f.c.Fill(paint.Fade(f.col.Glass, 0.5*fade), strips(line(func(p gap) float64 { return p.low }), line(func(p gap) float64 { return p.high }))...)
	if slices.ContainsFunc(s.round, func(p gap) bool { return p.low < 0 }) {
		f.c.Fill(paint.Fade(f.col.Suspect, 0.75*fade), strips(line(func(p gap) float64 { return min(p.low, 0) }), line(func(p gap) float64 { return min(p.high, 0) }))...)
	}
	if most := 2 * s.clearance; slices.ContainsFunc(s.round, func(p gap) bool { return p.high > most }) {
		f.c.Fill(paint.Fade(f.col.Inside, 0.55*fade), strips(line(func(p gap) float64 { return max(p.low, most) }), line(func(p gap) float64 { return max(p.high, most) }))...)
	}
	f.c.Polyline(loose, false, f.dashed(1, paint.Fade(f.col.GridLabel, 0.7*fade), paint.HiddenDash))
	f.c.Polyline(line(func(p gap) float64 { return p.mid }), false, f.stroke(f.col.Thin+0.35, paint.Fade(f.col.GlassEdge, fade)))
	f.wall(s, wall, fade)
}

// wall paints the pocket's wall with the hatching of cut material outside it,
// thick and closely hatched where the pane may bind.
func (f *frame) wall(s *socket, wall []r2.Vec, fade float64) {
	plain, bad := f.stroke(f.col.Thin, paint.Fade(f.col.Wall, fade)), f.stroke(2.2*f.col.Line, paint.Fade(f.col.Suspect, fade))
	f.c.Polyline(wall, false, plain)
	thin := f.stroke(1, plain.Color)
	due := 0.0
	for i := range len(wall) - 1 {
		a, b := wall[i], wall[i+1]
		binds := s.round[i].low < 0
		if binds {
			f.c.Line(a, b, bad)
		}
		length := r2.Norm(r2.Sub(b, a))
		if !(length > 0) || !f.seen(a, 100*f.k) {
			continue
		}
		out := r2.Vec{X: s.round[i].out.X, Y: -s.round[i].out.Y}
		slant := r2.Add(out, r2.Scale(1/length, r2.Sub(b, a)))
		for ; due < length; due += hatchEvery * f.k {
			from := r2.Add(a, r2.Scale(due/length, r2.Sub(b, a)))
			f.c.Line(from, r2.Add(from, r2.Scale(0.7*hatchLong*f.k, slant)), thin)
		}
		due -= length
	}
}

// gapSigns paint what is pointed out: a crossed disc where the pane binds, a
// double bar where it is loose, a triangle where it would rest.
func (f *frame) gapSigns(s *socket, fade float64) {
	if len(s.round) == 0 {
		return
	}
	scale := f.gapScale(s)
	for _, r := range s.rests {
		at := f.l.px(r.at)
		f.c.Shape(paint.Triangle, at, 5*f.k, f.col.Board, f.stroke(f.col.Thin+0.5, paint.Fade(f.col.Good, fade)))
		f.keepOff(at, 5*f.k)
	}
	for _, g := range s.stations {
		f.keepOff(f.l.px(g.at), 3*f.k)
	}
	for _, g := range s.signs {
		at := f.gapAt(s, g.gap, 0, scale)
		out := r2.Vec{X: g.out.X, Y: -g.out.Y}
		if g.loose {
			at = f.gapAt(s, g.gap, min(g.high, 2*s.clearance+g.high-g.mid), scale)
			f.looseSign(at, out, fade)
			f.signWord(lang.L("loose at {{.ID}}", map[string]any{"ID": g.id}), at, r2.Scale(-1, out), f.col.Inside)
			continue
		}
		at = r2.Add(at, r2.Scale((signRadius+5)*f.k, out))
		f.bindSign(at, s.mayBind, fade)
		word := lang.L("binds at {{.ID}}", map[string]any{"ID": g.id})
		if s.mayBind {
			word = lang.L("may bind at {{.ID}}", map[string]any{"ID": g.id})
		}
		f.signWord(word, at, out, f.col.Wrong)
	}
}

// bindSign is a disc crossed through, an open one where the pane only may bind.
func (f *frame) bindSign(at r2.Vec, may bool, fade float64) {
	disc, cross := paint.Fade(f.col.Wrong, fade), f.col.Board
	if may {
		disc, cross = cross, disc
		f.c.Disc(at, signRadius*f.k, disc)
		f.c.Ring(at, signRadius*f.k, f.col.Thin*f.k, cross)
	} else {
		f.c.Disc(at, signRadius*f.k, disc)
	}
	f.c.Saltire(at, 0.65*signRadius*f.k, f.stroke(f.col.Line, cross))
	f.keepOff(at, signRadius*f.k)
}

// looseSign is a double bar along the edge.
func (f *frame) looseSign(at, out r2.Vec, fade float64) {
	side := r2.Scale(signRadius*f.k, r2.Vec{X: -out.Y, Y: out.X})
	for _, d := range []float64{-2.5, 2.5} {
		p := r2.Add(at, r2.Scale(d*f.k, out))
		f.c.Line(r2.Sub(p, side), r2.Add(p, side), f.stroke(f.col.Line, paint.Fade(f.col.Inside, fade)))
	}
	f.keepOff(at, signRadius*f.k)
}

// signWord writes a word beside a sign where there is room.
func (f *frame) signWord(s string, at, out r2.Vec, col colour) {
	away := (signRadius + 4) * f.k
	across := r2.Vec{X: -math.Copysign(6.5, out.X)} // to the middle, beyond the band
	if math.Abs(out.X) < math.Abs(out.Y) {
		across = r2.Vec{Y: -math.Copysign(6.5, out.Y)}
	}
	for _, try := range []r2.Vec{out, r2.Rotate(out, 0.9, r2.Vec{}), r2.Rotate(out, -0.9, r2.Vec{}), across, r2.Rotate(across, 0.4, r2.Vec{}),
		r2.Rotate(across, -0.4, r2.Vec{}), r2.Rotate(across, 0.7, r2.Vec{}), r2.Rotate(across, -0.7, r2.Vec{}), r2.Rotate(out, 1.6, r2.Vec{}), r2.Rotate(out, -1.6, r2.Vec{})} {
		where, d := r2.Add(at, r2.Scale(away, try)), r2.Unit(try)
		anchor := r2.Vec{X: (1 - d.X) / 2, Y: (1 - d.Y) / 2}
		b := f.textBox(f.fonts.text, labelSize+1, s, where, anchor)
		if b.Min.X < 0 || b.Min.Y < 0 || b.Max.X > f.w || b.Max.Y > f.h || !f.claim(b) {
			continue
		}
		pad := 2 * f.k
		f.c.Rect(pixel(b.Min.X-pad), pixel(b.Min.Y-pad), pixel(b.Max.X+pad), pixel(b.Max.Y+pad), paint.Fade(f.col.Board, 0.85))
		f.text(f.fonts.text, labelSize+1, s, where, anchor, col)
		return
	}
}

// fitLegend says in the corner what is drawn of the fit.
func (f *frame) fitLegend(s *socket) {
	if len(s.round) == 0 {
		return
	}
	bar := func(at r2.Vec, half float64) (a, b r2.Vec) {
		return r2.Sub(at, r2.Vec{X: half * f.k}), r2.Add(at, r2.Vec{X: half * f.k})
	}
	entries := []legendLine{
		{func(at r2.Vec) {
			a, b := bar(at, 9)
			f.c.Line(a, b, f.stroke(f.col.Thin, f.col.Wall))
			for x := -9.0; x < 6; x += 5 {
				p := r2.Add(at, r2.Vec{X: x * f.k})
				f.c.Line(p, r2.Add(p, r2.Vec{X: 4 * f.k, Y: -4 * f.k}), f.stroke(1, f.col.Wall))
			}
		}, lang.L("wall of the pocket")},
		{func(at r2.Vec) {
			f.c.Rect(pixel(at.X-9*f.k), pixel(at.Y-4*f.k), pixel(at.X+9*f.k), pixel(at.Y+4*f.k), paint.Fade(f.col.Glass, 0.5))
			a, b := bar(at, 9)
			f.c.Line(a, b, f.stroke(f.col.Thin+0.35, f.col.GlassEdge))
		}, lang.L("edge of the real pane, 90 of 100")},
	}
	binds, loose := false, false
	for _, g := range s.signs {
		binds, loose = binds || g.binds, loose || g.loose
	}
	if binds {
		word := lang.L("binds")
		if s.mayBind {
			word = lang.L("may bind")
		}
		entries = append(entries, legendLine{func(at r2.Vec) { f.bindSign(at, s.mayBind, 1) }, word})
	}
	if loose {
		entries = append(entries, legendLine{func(at r2.Vec) { f.looseSign(at, r2.Vec{Y: -1}, 1) }, lang.L("loose: more than twice the clearance")})
	}
	if len(s.rests) > 0 {
		entries = append(entries, legendLine{func(at r2.Vec) {
			f.c.Shape(paint.Triangle, at, 5*f.k, f.col.Board, f.stroke(f.col.Thin+0.5, f.col.Good))
		}, lang.L("would rest here, if rigid")})
	}
	last := lang.L("gaps drawn {{.N}} times", map[string]any{"N": strconv.FormatFloat(f.gapScale(s), 'g', 3, 64)})
	if f.gapScale(s) == 1 {
		last = lang.L("gaps drawn true")
	}
	entries = append(entries, legendLine{nil, last})
	f.legendBox(entries)
}

// legendLine is a line of a legend: how something is drawn, and what it is.
type legendLine struct {
	sample func(at r2.Vec) // paints it about a place; nil: nothing
	word   string
}

// legendBox writes a legend in the lower right corner.
func (f *frame) legendBox(entries []legendLine) {
	const sample, pad = 26.0, 6.0
	row := 17 * float64(look.Scale())
	wide := 0.0
	for _, e := range entries {
		b := f.textBox(f.fonts.text, labelSize, e.word, r2.Vec{}, r2.Vec{})
		wide = max(wide, b.Max.X)
	}
	lo := r2.Vec{X: f.w - wide - (sample+2*pad+6)*f.k, Y: f.h - (row*float64(len(entries))+pad+6)*f.k}
	f.c.Rect(pixel(lo.X), pixel(lo.Y), pixel(f.w-6*f.k), pixel(f.h-6*f.k), paint.Fade(f.col.Table, 0.9))
	for i, e := range entries {
		y := lo.Y + (pad/2+row*(float64(i)+0.5))*f.k
		if e.sample != nil {
			e.sample(r2.Vec{X: lo.X + (pad+sample/2-3)*f.k, Y: y})
		}
		f.text(f.fonts.text, labelSize, e.word, r2.Vec{X: lo.X + (pad+sample)*f.k, Y: y}, r2.Vec{Y: 0.5}, f.col.GridLabel)
	}
}
