// Package photoview is a photo in which four places are pointed at: a click sets the
// place in hand, the arrow keys move it by half a pixel, the wheel zooms about the
// pointer, and a drag moves the picture.
package photoview

import (
	"image"
	"image/color"
	"math"
	"strconv"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/paint"
)

// Places is how many places are pointed at.
const Places = 4

// View is the widget. Positions are pixels of the photo, y down.
type View struct {
	widget.BaseWidget

	OnPlace func(i int)          // a place was set or moved; the next one is in hand
	OnKey   func(*fyne.KeyEvent) // is told the keys that the view has no use for

	photo  *paint.Picture
	places [Places]*r2.Vec
	inHand int
	scale  float64 // logical pixels a pixel of the photo
	origin r2.Vec  // where the photo's upper left corner is shown
	size   fyne.Size
	free   bool // zoomed or moved by the person
	font   *paint.Font
	raster *canvas.Raster
	canvas *paint.Canvas
}

var (
	_ fyne.Tappable     = (*View)(nil)
	_ fyne.Draggable    = (*View)(nil)
	_ fyne.Scrollable   = (*View)(nil)
	_ fyne.Focusable    = (*View)(nil)
	_ desktop.Mouseable = (*View)(nil)
)

// New is a view of a photo with some places known; nil ones are not.
func New(photo *paint.Picture, places [Places]*r2.Vec) *View {
	v := &View{photo: photo, places: places, canvas: paint.New(1, 1)}
	v.font, _ = paint.NewFont(theme.DefaultTextBoldFont().Content())
	v.raster = canvas.NewRaster(v.paint)
	v.raster.ScaleMode = canvas.ImageScalePixels
	v.ExtendBaseWidget(v)
	return v
}

// Place is a place in the photo; false where it is not set yet.
func (v *View) Place(i int) (r2.Vec, bool) {
	if v.places[i] == nil {
		return r2.Vec{}, false
	}
	return *v.places[i], true
}

// Shown is where the whole photo would lie in the view: left, top, width, height.
func (v *View) Shown() [4]float32 {
	size := v.photo.Size()
	return [4]float32{float32(v.origin.X), float32(v.origin.Y), float32(float64(size.X) * v.scale), float32(float64(size.Y) * v.scale)}
}

// InHand is the place that a click sets.
func (v *View) InHand() int { return v.inHand }

// Take has the next click set a place.
func (v *View) Take(i int) {
	v.inHand = i
	v.raster.Refresh()
}

// at is the pixel of the photo under a point of the view.
func (v *View) at(p fyne.Position) r2.Vec {
	return r2.Scale(1/v.scale, r2.Sub(r2.Vec{X: float64(p.X), Y: float64(p.Y)}, v.origin))
}

// Tapped sets the place in hand and takes the next that is not set.
func (v *View) Tapped(ev *fyne.PointEvent) {
	if !v.set(v.inHand, v.at(ev.Position)) {
		return
	}
	i := v.inHand
	for k := range Places {
		if next := (i + k) % Places; v.places[next] == nil {
			v.inHand = next
			break
		}
	}
	v.tell(i)
}

// set puts a place where it is pointed at, unless that is outside of the photo.
func (v *View) set(i int, p r2.Vec) bool {
	size := v.photo.Size()
	if p.X < 0 || p.Y < 0 || p.X > float64(size.X) || p.Y > float64(size.Y) {
		return false
	}
	v.places[i] = &p
	return true
}

func (v *View) tell(i int) {
	v.raster.Refresh()
	if v.OnPlace != nil {
		v.OnPlace(i)
	}
}

// MouseDown takes the keys.
func (v *View) MouseDown(*desktop.MouseEvent) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(v); c != nil {
		c.Focus(v)
	}
}

// MouseUp has nothing to do.
func (v *View) MouseUp(*desktop.MouseEvent) {}

// Dragged moves the picture.
func (v *View) Dragged(ev *fyne.DragEvent) {
	v.free = true
	v.origin = r2.Add(v.origin, r2.Vec{X: float64(ev.Dragged.DX), Y: float64(ev.Dragged.DY)})
	v.raster.Refresh()
}

// DragEnd lets go.
func (v *View) DragEnd() {}

// greatestScale is the limit of the zoom, logical pixels a pixel of the photo; out it
// goes until the whole photo is shown.
const greatestScale = 16

// Scrolled zooms about the pointer.
func (v *View) Scrolled(ev *fyne.ScrollEvent) {
	p := r2.Vec{X: float64(ev.Position.X), Y: float64(ev.Position.Y)}
	s := min(v.scale*math.Exp(float64(ev.Scrolled.DY)*0.01), greatestScale)
	if v.free = s > v.whole(); v.free {
		v.origin = r2.Add(p, r2.Scale(s/v.scale, r2.Sub(v.origin, p)))
		v.scale = s
	} else {
		v.fit()
	}
	v.raster.Refresh()
}

// whole is the scale that shows the whole photo.
func (v *View) whole() float64 {
	return min(float64(v.size.Width)/float64(v.photo.Size().X), float64(v.size.Height)/float64(v.photo.Size().Y))
}

// fit shows the whole photo, in the middle.
func (v *View) fit() {
	v.scale = v.whole()
	w, h := v.scale*float64(v.photo.Size().X), v.scale*float64(v.photo.Size().Y)
	v.origin = r2.Vec{X: (float64(v.size.Width) - w) / 2, Y: (float64(v.size.Height) - h) / 2}
}

// nudge is how far an arrow key moves a place, in pixels of the photo.
const nudge = 0.5

// arrows are the ways that the arrow keys move a place.
var arrows = map[fyne.KeyName]r2.Vec{fyne.KeyLeft: {X: -nudge}, fyne.KeyRight: {X: nudge}, fyne.KeyUp: {Y: -nudge}, fyne.KeyDown: {Y: nudge}}

// TypedKey moves the place in hand.
func (v *View) TypedKey(ev *fyne.KeyEvent) {
	d, ok := arrows[ev.Name]
	if !ok {
		if v.OnKey != nil {
			v.OnKey(ev)
		}
		return
	}
	if p, set := v.Place(v.inHand); set && v.set(v.inHand, r2.Add(p, d)) {
		v.tell(v.inHand)
	}
}

// TypedRune takes the place of a number.
func (v *View) TypedRune(r rune) {
	if i := int(r - '1'); i >= 0 && i < Places {
		v.Take(i)
	}
}

// FocusGained has nothing to show.
func (v *View) FocusGained() {}

// FocusLost has nothing to do.
func (v *View) FocusLost() {}

// MinSize leaves room to point.
func (v *View) MinSize() fyne.Size {
	v.ExtendBaseWidget(v)
	return fyne.NewSize(320, 240)
}

// Resize shows the whole photo until the person moves it.
func (v *View) Resize(size fyne.Size) {
	v.BaseWidget.Resize(size)
	if v.size = size; !v.free && size.Width > 0 && size.Height > 0 {
		v.fit()
	}
}

// CreateRenderer shows the raster.
func (v *View) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(v.raster) }

// paint draws the photo and the places into a picture of w by h device pixels.
func (v *View) paint(w, h int) image.Image {
	c := v.canvas
	c.Resize(w, h)
	c.Clear(color.NRGBA{40, 40, 40, 255})
	if v.size.Width <= 0 || !(v.scale > 0) {
		return c.Image()
	}
	k := float64(w) / float64(v.size.Width)
	s, o := v.scale*k, r2.Scale(k, v.origin)
	c.Project(v.photo, [3][3]float64{{1 / s, 0, -o.X / s}, {0, 1 / s, -o.Y / s}, {0, 0, 1}}, 255)
	for i, p := range v.places {
		if p == nil {
			continue
		}
		col := color.NRGBA{86, 180, 233, 255}
		if i == v.inHand {
			col = color.NRGBA{230, 159, 0, 255}
		}
		at := r2.Add(o, r2.Scale(s, *p))
		dark := paint.Stroke{Width: 4 * k, Color: color.NRGBA{0, 0, 0, 160}}
		c.Cross(at, 14*k, dark)
		c.Cross(at, 14*k, paint.Stroke{Width: 1.5 * k, Color: col})
		c.Ring(at, 8*k, 1.5*k, col)
		v.number(i, at, k, col)
	}
	return c.Image()
}

// number writes a place's number beside it.
func (v *View) number(i int, at r2.Vec, k float64, col color.NRGBA) {
	if v.font == nil {
		return
	}
	if face, err := v.font.Face(20 * k); err == nil {
		v.canvas.Text(face, strconv.Itoa(i+1), r2.Add(at, r2.Vec{X: 12 * k, Y: -12 * k}), r2.Vec{X: 0, Y: 1}, col)
	}
}
