package solidview

import (
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

var (
	_ fyne.Focusable     = (*View)(nil)
	_ fyne.Draggable     = (*View)(nil)
	_ fyne.Scrollable    = (*View)(nil)
	_ desktop.Mouseable  = (*View)(nil)
	_ desktop.Hoverable  = (*View)(nil)
	_ desktop.Cursorable = (*View)(nil)
)

// Steps of the pointer and of the keys.
const (
	perPixel = 0.4 * math.Pi / 180
	keyTurn  = 15 * math.Pi / 180
	keyZoom  = 1.25
	keyPan   = 40.0 // logical pixels
	keyLift  = 10.0 // mm, or a quarter of an inch
	keyLevel = 20.0 // mm, or half an inch; with Shift a tenth
	nearLine = 7.0  // logical pixels, within which a line is taken hold of
)

// grab is what the pointer has hold of.
type grab struct {
	how grabbing
	at  fyne.Position // where the pointer was last, while it pans
}

type grabbing int

const (
	turning grabbing = iota
	panning
	sliding // the section
)

// MouseDown takes the keys, and hold of the section's line where it lies under the
// pointer. The second and third button move the pane sideways.
func (v *View) MouseDown(e *desktop.MouseEvent) {
	v.focus()
	switch {
	case e.Button != desktop.MouseButtonPrimary:
		v.grab = grab{panning, e.Position}
	case v.onCut(e.Position):
		v.grab = grab{how: sliding}
	default:
		v.grab = grab{}
	}
}

func (v *View) focus() {
	if c := fyne.CurrentApp().Driver().CanvasForObject(v); c != nil {
		c.Focus(v)
	}
}

// MouseUp lets go.
func (v *View) MouseUp(*desktop.MouseEvent) { v.grab = grab{} }

// Dragged turns the pane, moves it, or slides the section.
func (v *View) Dragged(e *fyne.DragEvent) {
	dx, dy := float64(e.Dragged.DX), float64(e.Dragged.DY)
	switch v.grab.how {
	case panning:
		v.panTo(e.Position)
	case sliding:
		v.slide(dx, dy)
	default:
		v.move(v.cam.turned(-dx*perPixel, dy*perPixel))
		v.changed()
	}
}

// DragEnd implements fyne.Draggable.
func (v *View) DragEnd() { v.grab = grab{} }

// MouseIn is told of the first place under a pointer that comes in.
func (v *View) MouseIn(e *desktop.MouseEvent) { v.MouseMoved(e) }

// MouseMoved says what lies under the pointer. It moves the pane while the second
// button is held, which is not reported as a drag.
func (v *View) MouseMoved(e *desktop.MouseEvent) {
	if v.grab.how == panning && e.Button == desktop.MouseButtonSecondary {
		v.panTo(e.Position)
		return
	}
	if v.OnHover != nil {
		v.OnHover(v.under(e.Position))
	}
}

// MouseOut implements desktop.Hoverable.
func (v *View) MouseOut() {
	if v.OnHover != nil {
		v.OnHover("")
	}
}

// Cursor implements desktop.Cursorable: the section's line can be taken hold of.
func (v *View) Cursor() desktop.Cursor {
	if v.grab.how == sliding {
		return desktop.PointerCursor
	}
	return desktop.DefaultCursor
}

func (v *View) panTo(at fyne.Position) {
	d := at.Subtract(v.grab.at)
	v.grab.at = at
	v.move(v.cam.panned(float64(d.X), float64(d.Y), float64(v.size.Height)))
}

// logical is the view in logical pixels, with where points of the pane are drawn.
func (v *View) logical() picture {
	p := picture{frame: v.frame(int(v.size.Width), int(v.size.Height))}
	p.v = p.cam.view(float64(v.size.Width), float64(v.size.Height))
	p.level = p.box().Min.Z
	return p
}

// onCut says whether a place lies on the line of the section.
func (v *View) onCut(at fyne.Position) bool {
	if v.section == NoCut || v.parts.solid == nil {
		return false
	}
	p := v.logical()
	if p.cut == nil {
		return false
	}
	q := r2.Vec{X: float64(at.X), Y: float64(at.Y)}
	for i := range len(p.cut.Upper) - 1 {
		a, b := p.shown(p.cut.Upper[i]), p.shown(p.cut.Upper[i+1])
		if fromSegment(q, a, b) < nearLine {
			return true
		}
	}
	return false
}

// fromSegment is how far q lies from the segment a, b in the picture.
func fromSegment(q, a, b r2.Vec) float64 {
	d := r2.Sub(b, a)
	t := min(max(r2.Dot(r2.Sub(q, a), d)/max(r2.Norm2(d), 1e-12), 0), 1)
	return r2.Norm(r2.Sub(q, r2.Add(a, r2.Scale(t, d))))
}

// slide moves the section with the pointer: by as many mm as the pointer's way
// has along the direction in which the level grows.
func (v *View) slide(dx, dy float64) {
	grows := r3.Vec{Y: 1}
	if v.section == Along {
		grows = r3.Vec{X: 1}
	}
	p := v.logical()
	x, y := p.v.lengthOf(grows)
	if l2 := x*x + y*y; l2 > 1e-4 {
		v.SetCut(v.section, v.level+(dx*x+dy*y)/l2)
		v.changed()
	}
}

// Scrolled zooms about the pointer.
func (v *View) Scrolled(e *fyne.ScrollEvent) {
	dx, dy := float64(e.Position.X-v.size.Width/2), float64(e.Position.Y-v.size.Height/2)
	v.move(v.cam.zoomed(math.Exp(float64(e.Scrolled.DY)*0.01), dx, dy, float64(v.size.Height)))
}

// FocusGained implements fyne.Focusable.
func (v *View) FocusGained() {}

// FocusLost implements fyne.Focusable.
func (v *View) FocusLost() { v.grab = grab{} }

// changed tells of a setting that was changed; what was said of the place under the
// pointer no longer holds.
func (v *View) changed() {
	v.MouseOut()
	if v.OnChange != nil {
		v.OnChange()
	}
}

// Zoom makes all f times as large.
func (v *View) Zoom(f float64) { v.move(v.cam.zoomed(f, 0, 0, 1)) }

// TypedRune looks from a standard direction (1 to 7) and changes what is shown;
// app/ui lists the keys.
func (v *View) TypedRune(r rune) {
	s := v.stripes
	switch r {
	case '1', '2', '3', '4', '5', '6', '7':
		v.Look(Direction(r - '1'))
	case '+', '=':
		v.Zoom(keyZoom)
	case '-', '−':
		v.Zoom(1 / keyZoom)
	case 'f', 'F':
		v.Fit()
	case 's', 'S':
		next := map[float64]float64{1: 2, 2: 5}[v.stretch]
		v.SetStretch(max(next, 1))
	case 'm':
		v.SetMap((v.kind + 1) % Maps)
	case 'M':
		v.SetMap((v.kind + Maps - 1) % Maps)
	case 'r', 'R':
		s.On = !s.On
	case ',', '<':
		s.Angle -= stripeTurn
	case '.', '>':
		s.Angle += stripeTurn
	case 'n':
		s.Count += s.Count / 4
	case 'N':
		s.Count -= s.Count / 5
	case 'w':
		s.Share += stripeShare
	case 'W':
		s.Share -= stripeShare
	case 'c', 'C':
		v.SetCut((v.section+1)%Cuts, v.level)
	case 'p', 'P':
		v.SetPocket(!v.pocketOn)
	case 'u', 'U':
		v.SetLift(v.lift + v.step(keyLift, inch/4))
	case 'd', 'D':
		v.SetLift(v.lift - v.step(keyLift, inch/4))
	default:
		return
	}
	if s != v.stripes && r != 'm' && r != 'M' {
		v.SetStripes(s)
	}
	v.changed()
}

// step is a step of a key in a job in mm, and in inches.
func (v *View) step(mm, inches float64) float64 {
	if v.unit == inch {
		return inches
	}
	return mm
}

// TypedKey turns the pane with the arrows, with Shift moves it, and moves the
// section with Page Up and Page Down.
func (v *View) TypedKey(e *fyne.KeyEvent) {
	shifted := false
	if d, ok := fyne.CurrentApp().Driver().(desktop.Driver); ok {
		shifted = d.CurrentKeyModifiers()&fyne.KeyModifierShift != 0
	}
	level := v.step(keyLevel, inch/2)
	if shifted {
		level /= 10
	}
	arrow := map[fyne.KeyName][2]float64{
		fyne.KeyLeft: {1, 0}, fyne.KeyRight: {-1, 0}, fyne.KeyUp: {0, 1}, fyne.KeyDown: {0, -1},
	}
	way, isArrow := arrow[e.Name]
	switch {
	case isArrow && shifted:
		v.move(v.cam.panned(-keyPan*way[0], -keyPan*way[1], float64(v.size.Height)))
	case isArrow:
		v.move(v.cam.turned(keyTurn*way[0], keyTurn*way[1]))
	case e.Name == fyne.KeyPageUp && v.section != NoCut:
		v.SetCut(v.section, v.level+level)
	case e.Name == fyne.KeyPageDown && v.section != NoCut:
		v.SetCut(v.section, v.level-level)
	default:
		if v.OnKey != nil {
			v.OnKey(e)
		}
		return
	}
	v.changed()
}
