package boardview

import (
	"math"
	"strconv"

	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/paint"
)

// Bars are lengths drawn square to the edge at stations, magnified: by how much
// the gaps of a cut differ from the clearance, now and in the next cut, or one
// cut from another.
type Bars struct {
	Now, Next string // what the broad and the thin ones are, in words; Next empty where there are none
	Out, In   string // what an end outside and inside the edge means
	Bars      []Bar
}

// Bar is what is drawn at one station.
type Bar struct {
	ID              string
	At, Out         r2.Vec  // board, mm; the unit way outward
	Now, Next       float64 // mm, + outward
	HasNow, HasNext bool
	Text            string // what is said of it under the pointer
}

// How bars are drawn, logical pixels.
const (
	barLong  = 46.0 // the longest is drawn no longer
	barWide  = 5.0
	barAside = 5.5 // the thin one stands beside the broad one
)

// barScales are the magnifications of bars, of which the largest that leaves
// room is taken.
var barScales = []float64{1, 2, 5, 10, 20, 50, 100, 200}

// SetBars shows bars at stations in place of the misses and of how sure the
// outline is; nil shows those again.
func (v *View) SetBars(b *Bars) {
	if v.bars != b {
		v.bars = b
		v.redraw()
	}
}

// barScale is how many times longer than they are bars are drawn.
func (f *frame) barScale(b *Bars) float64 {
	long := 0.0
	for _, s := range b.Bars {
		if s.HasNow {
			long = max(long, math.Abs(s.Now))
		}
		if s.HasNext {
			long = max(long, math.Abs(s.Next))
		}
	}
	best := barScales[0]
	for _, m := range barScales {
		if m*long*f.l.s <= barLong*f.k {
			best = m
		}
	}
	return best
}

// bars paints the bars: outside the edge in one colour, inside in another; the
// thin ones beside them end in a tick.
func (f *frame) bars(b *Bars, fade float64) {
	scale := f.barScale(b) * f.l.s
	for _, s := range b.Bars {
		at, out := f.l.px(s.At), r2.Vec{X: s.Out.X, Y: -s.Out.Y}
		if !f.seen(at, 2*barLong*f.k) {
			continue
		}
		if s.HasNow {
			end := r2.Add(at, r2.Scale(s.Now*scale, out))
			f.c.Line(at, end, f.stroke(barWide, paint.Fade(f.barColour(s.Now), 0.85*fade)))
			f.keepOff(r2.Scale(0.5, r2.Add(at, end)), 3*f.k)
			f.keepOff(end, 3*f.k)
		}
		if s.HasNext {
			from := r2.Add(at, r2.Scale(barAside*f.k, r2.Vec{X: -out.Y, Y: out.X}))
			end := r2.Add(from, r2.Scale(s.Next*scale, out))
			f.nextBar(from, end, out, fade)
			f.keepOff(end, 3*f.k)
		}
	}
	for _, s := range b.Bars {
		f.barLabel(s, fade)
	}
}

func (f *frame) barColour(v float64) colour {
	if v < 0 {
		return f.col.Inside
	}
	return f.col.Outside
}

// nextBar paints the thin bar, with a tick across its end.
func (f *frame) nextBar(from, end, out r2.Vec, fade float64) {
	s := f.stroke(f.col.Thin+0.25, paint.Fade(f.col.Label, fade))
	f.c.Line(from, end, s)
	across := r2.Scale(3.5*f.k, r2.Vec{X: -out.Y, Y: out.X})
	f.c.Line(r2.Sub(end, across), r2.Add(end, across), s)
}

// barLabel names a station beside its bars where there is room.
func (f *frame) barLabel(s Bar, fade float64) {
	out := r2.Vec{X: s.Out.X, Y: -s.Out.Y}
	for _, away := range []float64{14, -14, 24, -24, 36} {
		where, anchor := r2.Add(f.l.px(s.At), r2.Scale(away*f.k, out)), r2.Vec{X: 0.5, Y: 0.5}
		if f.claim(f.textBox(f.fonts.text, labelSize, s.ID, where, anchor)) {
			f.text(f.fonts.text, labelSize, s.ID, where, anchor, paint.Fade(f.col.GridLabel, fade))
			return
		}
	}
}

// barLegend says in the corner what the bars are.
func (f *frame) barLegend(b *Bars) {
	bar := func(v float64) func(r2.Vec) {
		return func(at r2.Vec) {
			d := r2.Vec{X: 9 * f.k}
			f.c.Line(r2.Sub(at, d), r2.Add(at, d), f.stroke(barWide, paint.Fade(f.barColour(v), 0.85)))
		}
	}
	entries := []legendLine{{nil, b.Now}, {bar(1), b.Out}, {bar(-1), b.In}}
	if b.Next != "" {
		entries = append(entries, legendLine{func(at r2.Vec) {
			d := r2.Vec{X: 8 * f.k}
			f.nextBar(r2.Sub(at, d), r2.Add(at, d), r2.Vec{X: 1}, 1)
		}, b.Next})
	}
	scale := f.barScale(b)
	last := lang.L("drawn {{.N}} times", map[string]any{"N": strconv.FormatFloat(scale, 'g', 3, 64)})
	if scale == 1 {
		last = lang.L("drawn true")
	}
	f.legendBox(append(entries, legendLine{nil, last}))
}

// barHit is what is said of the bars under the pointer.
func (v *View) barHit() []string {
	if v.bars == nil {
		return nil
	}
	return v.bars.hit(v.pointer, v.lens)
}

// hit is what is said of the bars at a logical position.
func (b *Bars) hit(at r2.Vec, l lens) []string {
	for _, s := range b.Bars {
		if r2.Norm(r2.Sub(l.px(s.At), at)) <= pointReach {
			return []string{s.Text}
		}
	}
	return nil
}
