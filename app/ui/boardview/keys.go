package boardview

import (
	"fyne.io/fyne/v2"
	"gonum.org/v1/gonum/spatial/r2"
)

var (
	_ fyne.Focusable    = (*View)(nil)
	_ fyne.Shortcutable = (*View)(nil)
)

// Steps of the keys.
const (
	keyStep = 48.0 // logical pixels
	keyZoom = 1.25
)

// takeFocus asks for the keys.
func (v *View) takeFocus() {
	if c := fyne.CurrentApp().Driver().CanvasForObject(v); c != nil {
		c.Focus(v)
	}
}

// FocusGained implements fyne.Focusable.
func (v *View) FocusGained() { v.focused = true }

// FocusLost commits the height being typed, where it is understood.
func (v *View) FocusLost() {
	v.focused = false
	v.endEntry()
}

// TypedRune types a height, or zooms: + − and F.
func (v *View) TypedRune(r rune) {
	if v.typeHeight(r) {
		return
	}
	switch r {
	case '+', '=':
		v.Zoom(keyZoom)
	case '-', '−':
		v.Zoom(1 / keyZoom)
	case 'f', 'F':
		v.Fit()
	}
}

// TypedShortcut hands shortcuts on.
func (v *View) TypedShortcut(sc fyne.Shortcut) {
	if v.OnShort != nil {
		v.OnShort(sc)
	}
}

// arrow moves the readings where several are selected, else the picture.
func (v *View) arrow(x, y float64) {
	if len(v.picks) > 1 {
		v.nudge(x, y)
		return
	}
	v.pan(r2.Vec{X: -x * keyStep, Y: y * keyStep})
}

// TypedKey moves several selected readings, or the picture, with the arrows, ends
// or gives up a height being typed, and lets go of what is being dragged.
func (v *View) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		v.endEntry()
	case fyne.KeyEscape:
		v.escape()
	case fyne.KeyBackspace:
		if v.entry != nil && v.entry.text != "" {
			v.entry.text, v.entry.fault = v.entry.text[:len(v.entry.text)-1], ""
			v.redraw()
		}
	case fyne.KeyLeft:
		v.arrow(-1, 0)
	case fyne.KeyRight:
		v.arrow(1, 0)
	case fyne.KeyUp:
		v.arrow(0, 1)
	case fyne.KeyDown:
		v.arrow(0, -1)
	default:
		if v.OnKey != nil {
			v.OnKey(e)
		}
	}
}

// escape gives up, the innermost first: a drag, a height, the selection.
func (v *View) escape() {
	switch {
	case v.gesture != nil:
		g := v.gesture
		v.gesture = nil
		g.cancel(v)
	case v.entry != nil:
		v.entry = nil
	default:
		v.choose(None)
	}
	v.point()
	v.redraw()
}
