package boardview

import (
	"errors"
	"math"

	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/paint"
	"panewright/board"
)

// gesture is what the pointer does while a button is held. Positions are
// logical pixels of the picture.
type gesture interface {
	drag(v *View, at r2.Vec) // the pointer moved to at
	drop(v *View)            // the button was let go
	cancel(v *View)          // Escape: nothing happened
	draw(v *View, f *frame)  // over the picture
	words(v *View) []string  // the label at the pointer
}

// slack is how far the pointer may stray before a press is a drag, logical pixels.
const slack = 3

// panning moves the picture; let go without moving it is a click.
type panning struct {
	start, last r2.Vec
	moved       bool
	click       func(v *View)
}

func (g *panning) drag(v *View, at r2.Vec) {
	if !g.moved && r2.Norm(r2.Sub(at, g.start)) <= slack {
		return
	}
	g.moved = true
	v.pan(r2.Sub(at, g.last))
	g.last = at
}

func (g *panning) drop(v *View) {
	if !g.moved && g.click != nil {
		g.click(v)
	}
}

func (g *panning) cancel(*View)         {}
func (g *panning) draw(*View, *frame)   {}
func (g *panning) words(*View) []string { return nil }

// moving takes a reading to another place on the board, and all that are selected
// with it; it is committed once, when let go.
type moving struct {
	p     point
	with  []point // that move with it, p first
	grip  r2.Vec  // from the pointer to the reading, logical pixels
	start r2.Vec
	to    r2.Vec // board, mm
	moved bool
}

func (g *moving) drag(v *View, at r2.Vec) {
	if !g.moved && r2.Norm(r2.Sub(at, g.start)) <= slack {
		return
	}
	g.moved = true
	g.to = v.snapped(v.lens.mm(r2.Add(at, g.grip)))
	v.redraw()
}

func (g *moving) drop(v *View) {
	if !g.moved {
		v.choose(g.p.index) // a click on one of several
		return
	}
	v.shift(g.with, r2.Sub(g.to, g.p.at))
}

func (g *moving) cancel(*View) {}

func (g *moving) draw(v *View, f *frame) {
	if !g.moved {
		return
	}
	d := r2.Sub(g.to, g.p.at)
	for _, p := range g.with {
		from, to := f.l.px(p.at), f.l.px(r2.Add(p.at, d))
		f.c.Line(from, to, f.dashed(f.col.Thin, f.col.Selected, paint.HiddenDash))
		f.c.Ring(to, markRadius*f.k, f.col.Line*f.k, f.col.Selected)
	}
	f.c.Cross(f.l.px(g.to), 3*markRadius*f.k, f.stroke(1, paint.Fade(f.col.Selected, 0.7)))
}

func (g *moving) words(v *View) []string {
	if !g.moved {
		return nil
	}
	where := v.scene.job.Grid.Describe(g.to, v.scene.job.Unit)
	if len(g.with) > 1 {
		return []string{many(v.scene.job, v.Picked()), name(g.p), where}
	}
	return []string{name(g.p), where}
}

// locate finds a reading in a job: where it was, else by its name.
func locate(j *board.Job, index int, k key) (int, error) {
	if index < len(j.Readings) && keyOf(j.Readings[index]) == k {
		return index, nil
	}
	for i, r := range j.Readings {
		if keyOf(r) == k {
			return i, nil
		}
	}
	return 0, errors.New(lang.L("boardview: the reading is not there any more"))
}

// grab is the part of the centre line that is held.
type grab int

const (
	noGrab grab = iota
	grabBody
	grabLower
	grabUpper
)

// turning moves or turns the centre line; the half that it would make follows.
type turning struct {
	grab    grab
	start   r2.Vec // board, mm
	from    line
	now     line
	outcome board.Consequence
	known   bool
	moved   bool
	fold    *fold // about the line as it is now, where folds are shown
}

func (g *turning) drag(v *View, at r2.Vec) {
	p := v.lens.mm(at)
	next, ok := g.from, true
	ends := v.scene.lineEnds
	switch g.grab {
	case grabBody:
		next = g.from.shifted(p.X - g.start.X)
	case grabLower:
		next, ok = g.from.through(r2.Vec{X: p.X, Y: ends[0]}, g.from.at(ends[1]))
	case grabUpper:
		next, ok = g.from.through(g.from.at(ends[0]), r2.Vec{X: p.X, Y: ends[1]})
	}
	if !ok || next == g.now {
		return
	}
	g.moved, g.now = true, next
	g.outcome, g.known = v.door.Consequence(next.offset, next.skew, next.roll)
	if g.known && v.foldUsed != nil {
		g.fold = newFold(v.scene.band.of, g.outcome.Plane)
	}
	if v.OnDrag != nil && g.known {
		c := g.outcome
		v.OnDrag(&c)
	}
	v.redraw()
}

func (g *turning) drop(v *View) {
	if v.OnDrag != nil {
		v.OnDrag(nil)
	}
	if !g.moved || g.now == g.from {
		return
	}
	l := g.now
	v.edit(lang.L("Move centre line"), func(j *board.Job) error {
		j.Plane = &board.TypedPlane{
			Offset: j.Typed(typed(rounded(l.offset, j), j)),
			Skew:   j.Typed(decimal(l.skew, 2, j.Comma)),
			Roll:   j.Typed(decimal(l.roll, 3, j.Comma)),
		}
		return nil
	})
}

// rounded is an offset as it is typed: a hundredth of a millimetre, a thousandth
// of an inch.
func rounded(mm float64, j *board.Job) float64 {
	if j.Unit == board.Inch {
		return math.Round(mm/0.0254) * 0.0254
	}
	return tidy(mm)
}

func (g *turning) cancel(v *View) {
	if v.OnDrag != nil {
		v.OnDrag(nil)
	}
}

func (g *turning) draw(v *View, f *frame) {
	if g.moved {
		f.centre(g.from, v.scene.lineEnds, 0.35, false)
		if g.known {
			f.ghost(g.outcome.Ghost)
		}
	}
	f.centre(g.now, v.scene.lineEnds, 1, true)
}

func (g *turning) words(v *View) []string {
	if !g.moved {
		return nil
	}
	if !g.known {
		return []string{lang.L("offset {{.Offset}}, skew {{.Skew}}°", map[string]any{
			"Offset": signed(v.scene.job.Format(g.now.offset)) + " " + v.scene.job.Unit.String(),
			"Skew":   signed(decimal(g.now.skew, 2, v.scene.job.Comma))})}
	}
	return outcome(g.outcome, g.now, v.scene.job)
}
