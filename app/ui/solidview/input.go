package solidview

import (
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

var (
	_ fyne.Focusable    = (*View)(nil)
	_ fyne.Draggable    = (*View)(nil)
	_ fyne.Scrollable   = (*View)(nil)
	_ desktop.Mouseable = (*View)(nil)
	_ desktop.Hoverable = (*View)(nil)
)

// Steps of the pointer and of the keys.
const (
	perPixel = 0.4 * math.Pi / 180
	keyTurn  = 15 * math.Pi / 180
	keyZoom  = 1.25
)

// MouseDown takes the keys. The second and third button move the pane sideways.
func (v *View) MouseDown(e *desktop.MouseEvent) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(v); c != nil {
		c.Focus(v)
	}
	v.pan = nil
	if e.Button != desktop.MouseButtonPrimary {
		at := e.Position
		v.pan = &at
	}
}

// MouseUp lets go.
func (v *View) MouseUp(*desktop.MouseEvent) { v.pan = nil }

// Dragged turns the pane, or moves it with the third button.
func (v *View) Dragged(e *fyne.DragEvent) {
	if v.pan != nil {
		v.panTo(e.Position)
		return
	}
	v.move(v.cam.turned(-float64(e.Dragged.DX)*perPixel, float64(e.Dragged.DY)*perPixel))
}

// DragEnd implements fyne.Draggable.
func (v *View) DragEnd() { v.pan = nil }

// MouseIn implements desktop.Hoverable.
func (v *View) MouseIn(*desktop.MouseEvent) {}

// MouseMoved moves the pane while the second button is held, which is not
// reported as a drag.
func (v *View) MouseMoved(e *desktop.MouseEvent) {
	if v.pan != nil && e.Button == desktop.MouseButtonSecondary {
		v.panTo(e.Position)
	}
}

// MouseOut implements desktop.Hoverable.
func (v *View) MouseOut() {}

func (v *View) panTo(at fyne.Position) {
	d := at.Subtract(*v.pan)
	v.pan = &at
	v.move(v.cam.panned(float64(d.X), float64(d.Y), float64(v.size.Height)))
}

// Scrolled zooms.
func (v *View) Scrolled(e *fyne.ScrollEvent) {
	v.move(v.cam.zoomed(math.Exp(float64(e.Scrolled.DY) * 0.01)))
}

// FocusGained implements fyne.Focusable.
func (v *View) FocusGained() {}

// FocusLost implements fyne.Focusable.
func (v *View) FocusLost() { v.pan = nil }

// TypedRune looks from a standard direction (1 three-quarter, 2 top, 3 front,
// 4 side, 5 below), zooms (+ −), fits (F) and changes the stretch (S).
func (v *View) TypedRune(r rune) {
	switch r {
	case '1', '2', '3', '4', '5':
		v.Look(Direction(r - '1'))
	case '+', '=':
		v.move(v.cam.zoomed(keyZoom))
	case '-', '−':
		v.move(v.cam.zoomed(1 / keyZoom))
	case 'f', 'F':
		v.Fit()
	case 's', 'S':
		next := map[float64]float64{1: 2, 2: 5}[v.stretch]
		v.SetStretch(max(next, 1))
	}
}

// TypedKey turns the pane with the arrows.
func (v *View) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyLeft:
		v.move(v.cam.turned(keyTurn, 0))
	case fyne.KeyRight:
		v.move(v.cam.turned(-keyTurn, 0))
	case fyne.KeyUp:
		v.move(v.cam.turned(0, keyTurn))
	case fyne.KeyDown:
		v.move(v.cam.turned(0, -keyTurn))
	default:
		if v.OnKey != nil {
			v.OnKey(e)
		}
	}
}
