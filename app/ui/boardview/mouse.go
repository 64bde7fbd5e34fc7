package boardview

import (
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/look"
	"panewright/board"
)

// Reach of the pointer, logical pixels.
const (
	pointReach  = 9
	handleReach = 10
	lineReach   = 5
)

var (
	_ desktop.Mouseable  = (*View)(nil)
	_ desktop.Hoverable  = (*View)(nil)
	_ desktop.Cursorable = (*View)(nil)
	_ fyne.Draggable     = (*View)(nil)
	_ fyne.Scrollable    = (*View)(nil)
)

func vec(p fyne.Position) r2.Vec { return r2.Vec{X: float64(p.X), Y: float64(p.Y)} }

// hit is the index of the reading at a logical position, None for none; the
// nearest, stations before face points.
func (v *View) hit(at r2.Vec) int {
	best, index := math.Inf(1), None
	for _, p := range v.scene.points {
		d := r2.Norm(r2.Sub(v.lens.px(p.at), at))
		if d > pointReach || v.showsFit() && p.apart() {
			continue
		}
		if p.kind == board.Face {
			d += 3
		}
		if d < best {
			best, index = d, p.index
		}
	}
	return index
}

// hitLine is the part of the centre line at a logical position.
func (v *View) hitLine(at r2.Vec) grab {
	l, ends := v.scene.line, v.scene.lineEnds
	if l == nil || v.mode != Select {
		return noGrab
	}
	for i, g := range []grab{grabLower, grabUpper} {
		if r2.Norm(r2.Sub(v.lens.px(l.at(ends[i])), at)) <= handleReach {
			return g
		}
	}
	p := v.lens.mm(at)
	if p.Y > ends[0] && p.Y < ends[1] && l.dist(p)*v.lens.s <= lineReach {
		return grabBody
	}
	return noGrab
}

// snapped is a board point on the nearest part of a square that points snap to;
// free points are rounded to what a rule shows: a tenth of a millimetre or a
// 64th of an inch.
func (v *View) snapped(p r2.Vec) r2.Vec {
	s := v.steps()
	return r2.Vec{X: math.Round(p.X/s.X) * s.X, Y: math.Round(p.Y/s.Y) * s.Y}
}

// steps are the parts of a square that points snap to, across and up, mm.
func (v *View) steps() r2.Vec {
	x, y := v.scene.job.Grid.Pitch()
	if s := (r2.Vec{X: x * v.snap, Y: y * v.snap}); s.X > 0 && s.Y > 0 {
		return s
	}
	return r2.Vec{X: v.finest(), Y: v.finest()}
}

// finest is what a rule shows: a tenth of a millimetre or a 64th of an inch, mm.
func (v *View) finest() float64 {
	if v.scene.job.Unit == board.Inch {
		return 25.4 / 64
	}
	return 0.1
}

// MouseDown takes hold of what lies under the pointer.
func (v *View) MouseDown(e *desktop.MouseEvent) {
	v.takeFocus()
	at := vec(e.Position)
	v.pointer = at
	if v.scene.job == nil || v.gesture != nil {
		return
	}
	switch e.Button {
	case desktop.MouseButtonPrimary:
		if e.Modifier&fyne.KeyModifierShift != 0 {
			v.gesture = v.pressMore(at)
		} else {
			v.gesture = v.press(at)
		}
	case desktop.MouseButtonTertiary:
		v.gesture = &panning{start: at, last: at}
	case desktop.MouseButtonSecondary:
		if v.OnMenu != nil {
			v.OnMenu(v.hit(at), e.AbsolutePosition)
		}
	}
	v.point()
}

// press is the gesture that the first button begins at a position.
func (v *View) press(at r2.Vec) gesture {
	g := v.hitLine(at)
	if g == grabLower || g == grabUpper {
		return v.turn(g, at)
	}
	if i := v.hit(at); i != None {
		p, _ := v.scene.find(i)
		if with := v.grabbed(p); len(with) > 1 {
			return &moving{p: p, with: with, grip: r2.Sub(v.lens.px(p.at), at), start: at, to: p.at}
		}
		v.choose(i)
		if v.mode != Select {
			v.beginEntry(i)
		}
		return &moving{p: p, with: []point{p}, grip: r2.Sub(v.lens.px(p.at), at), start: at, to: p.at}
	}
	if g == grabBody {
		return v.turn(g, at)
	}
	if k := v.hitFold(at); k != nil {
		return &panning{start: at, last: at, click: func(v *View) { v.choose(k.reading) }}
	}
	click := func(v *View) { v.choose(None) }
	if v.mode != Select {
		click = func(v *View) { v.place(at) }
	}
	return &panning{start: at, last: at, click: click}
}

// pressMore is the gesture that the first button begins with Shift held: a reading
// joins what is selected or leaves it, over the empty board a frame is drawn.
func (v *View) pressMore(at r2.Vec) gesture {
	if i := v.hit(at); i != None {
		v.toggle(i)
		return nil
	}
	return &framing{start: at, now: at}
}

func (v *View) turn(g grab, at r2.Vec) gesture {
	return &turning{grab: g, start: v.lens.mm(at), from: *v.scene.line, now: *v.scene.line}
}

// choose selects a reading and says so.
func (v *View) choose(index int) {
	if v.entry != nil && v.entry.index != index {
		v.endEntry()
	}
	if index == v.selected && len(v.picks) < 2 {
		return
	}
	v.setSelected(index)
	v.redraw()
	if v.OnSelect != nil {
		v.OnSelect(v.selected)
	}
}

// Dragged follows the pointer while a button is held.
func (v *View) Dragged(e *fyne.DragEvent) {
	v.pointer = vec(e.Position)
	if v.gesture != nil {
		v.gesture.drag(v, v.pointer)
	}
	v.point()
}

// DragEnd implements fyne.Draggable; MouseUp has done the work, and a button let
// go over another window is made good here.
func (v *View) DragEnd() { v.release() }

// MouseUp lets go.
func (v *View) MouseUp(e *desktop.MouseEvent) {
	v.pointer = vec(e.Position)
	v.release()
}

func (v *View) release() {
	g := v.gesture
	if g == nil {
		return
	}
	v.gesture = nil
	g.drop(v)
	v.point()
	v.redraw()
}

// MouseIn implements desktop.Hoverable.
func (v *View) MouseIn(e *desktop.MouseEvent) { v.MouseMoved(e) }

// MouseMoved follows the pointer while no button is held.
func (v *View) MouseMoved(e *desktop.MouseEvent) {
	v.inside = true
	v.pointer = vec(e.Position)
	v.point()
}

// MouseOut implements desktop.Hoverable.
func (v *View) MouseOut() {
	v.inside = false
	v.point()
}

// Scrolled zooms about the pointer.
func (v *View) Scrolled(e *fyne.ScrollEvent) {
	v.pointer = vec(e.Position)
	v.zoomAt(v.pointer, math.Exp(float64(e.Scrolled.DY)*0.01))
}

// Cursor implements desktop.Cursorable.
func (v *View) Cursor() desktop.Cursor {
	switch {
	case v.hovered != None:
		return desktop.PointerCursor
	case v.hitLine(v.pointer) != noGrab:
		return desktop.HResizeCursor
	case v.mode != Select:
		return desktop.CrosshairCursor
	}
	return desktop.DefaultCursor
}

// point works out what is under the pointer: the mark lit up, the label, the
// preview of a point to be placed, and the words for the status line.
func (v *View) point() {
	hovered, status := None, ""
	var words []string
	j := v.scene.job
	switch {
	case j == nil:
	case v.gesture != nil:
		words = v.gesture.words(v)
		status = strings.Join(words, " · ")
	case !v.inside:
	default:
		if hovered = v.hit(v.pointer); hovered != None {
			p, _ := v.scene.find(hovered)
			words = about(p, j)
			if g, ok := v.scene.socket.find(p.id); ok && v.fitShown && p.kind == board.Edge {
				words = append(words, g.words(j)...)
			}
			if v.bars != nil && p.kind == board.Edge {
				words = append(words, v.bars.hit(v.lens.px(p.at), v.lens)...)
			}
		} else if w := v.barHit(); w != nil {
			words = w
		} else if w := v.scene.socket.hit(v.pointer, v.lens, j); w != nil && v.fitShown {
			words = w
		} else if k := v.hitFold(v.pointer); k != nil {
			words = k.words(j)
		} else if a, ok := v.hitAdvice(v.pointer); ok && v.mode == Select && !v.fitShown && v.bars == nil {
			words = a.words()
		} else if v.mode != Select {
			words = []string{place(v.snapped(v.lens.mm(v.pointer)), j)}
		} else {
			status = place(v.lens.mm(v.pointer), j)
		}
		if words != nil {
			status = strings.Join(words, " · ")
		}
	}
	if hovered != v.hovered {
		v.hovered = hovered
		v.redraw()
	}
	v.hint.show(words, fyne.NewPos(float32(v.pointer.X), float32(v.pointer.Y)), v.size)
	v.showPreview(v.inside && v.mode != Select && hovered == None && v.gesture == nil && j != nil)
	if v.OnHover != nil {
		v.OnHover(status)
	}
}

// showPreview shows where a click would place a point.
func (v *View) showPreview(on bool) {
	if !on {
		v.preview.Hide()
		return
	}
	const r = markRadius + 1
	at := v.lens.px(v.snapped(v.lens.mm(v.pointer)))
	col := look.Current()
	v.preview.StrokeColor, v.preview.StrokeWidth = col.Selected, float32(col.Line)
	v.preview.Move(fyne.NewPos(float32(at.X-r), float32(at.Y-r)))
	v.preview.Resize(fyne.NewSquareSize(2 * r))
	v.preview.Show()
	v.preview.Refresh()
}
