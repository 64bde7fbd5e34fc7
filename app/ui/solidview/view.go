// Package solidview shows the finished pane as a solid that can be turned in
// the hand: shaded, its edges drawn, over a grid, with its height stretched
// where a shallow curve is to be seen. It is drawn by software, so that it
// looks the same everywhere.
//
// The mesh is made beside the window's goroutine and shown when it is ready.
// All methods belong to the GUI goroutine.
package solidview

import (
	"image"
	"strconv"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/desk"
	"panewright/app/ui/look"
	"panewright/app/ui/paint"
	"panewright/board"
)

// meshSteps is how many steps across a pane's length its mesh has.
const meshSteps = 60

// View is the widget.
type View struct {
	widget.BaseWidget

	OnKey func(*fyne.KeyEvent) bool // keys that the picture has no use for

	post    func(func())
	model   *board.Model // whose solid is shown or being made
	run     int
	solid   *solid
	why     string // why there is no solid
	stale   bool
	mirror  bool
	unit    float64 // the ground's squares are whole multiples of it, mm
	cam     camera
	fitting bool // the solid fills the picture until the person moves it
	stretch float64
	size    fyne.Size
	pan     *fyne.Position // where the second button was held last

	raster *canvas.Raster
	scene  paint.Scene
	canvas *paint.Canvas
	font   *paint.Font
}

// New is an empty view. post runs a function on the GUI goroutine.
func New(post func(func())) *View {
	v := &View{post: post, stretch: 1, fitting: true, unit: 10, canvas: paint.New(1, 1)}
	v.cam = camera{distance: 1000}.look(ThreeQuarter)
	v.font, _ = paint.NewFont(theme.Font(fyne.TextStyle{}).Content()) // without a font nothing is written
	v.raster = canvas.NewRaster(v.paint)
	v.raster.ScaleMode = canvas.ImageScalePixels
	v.ExtendBaseWidget(v)
	return v
}

// Display shows the pane of a state. Until its mesh is made, the pane before it
// stays, paler.
func (v *View) Display(s desk.State) {
	v.stale = s.Model != nil && !s.Current()
	v.unit = 10
	if s.Job != nil && s.Job.Unit == board.Inch {
		v.unit = 25.4
	}
	if s.Model != v.model {
		v.take(s.Model)
	}
	if s.Model == nil && s.Err != nil {
		v.why = lang.L("There is no shape yet: see what is missing on the right.")
	}
	v.raster.Refresh()
}

// take begins making the solid of a model.
func (v *View) take(m *board.Model) {
	v.model = m
	v.run++
	if m == nil || m.Pane == nil {
		v.solid, v.why = nil, lang.L("There is no shape yet.")
		if m != nil && m.Why != "" {
			v.why = m.Why
		}
		return
	}
	v.why, v.mirror = "", m.Mirror != board.MirrorNone
	run, pane := v.run, m.Pane
	go func() {
		s, err := paneSolid(pane, meshSteps)
		v.post(func() { v.ready(run, s, err) })
	}()
}

// ready shows a solid that was made, unless a newer one has been asked for.
func (v *View) ready(run int, s *solid, err error) {
	if run != v.run {
		return
	}
	v.solid = s
	if err != nil {
		v.solid, v.why = nil, err.Error()
	}
	if v.fitting {
		v.fit()
	}
	v.raster.Refresh()
}

// Look turns the pane to a standard direction and shows it whole.
func (v *View) Look(d Direction) {
	v.cam = v.cam.look(d)
	v.Fit()
}

// Fit shows the pane whole, from where it is looked at.
func (v *View) Fit() {
	v.fitting = true
	v.fit()
	v.raster.Refresh()
}

func (v *View) fit() {
	if v.solid == nil || v.size.Height <= 0 {
		return
	}
	box := stretchedBox(v.solid.box, v.stretch)
	g := groundUnder(box, v.unit)
	box.Min = r3.Vec{X: g.box.Min.X, Y: g.box.Min.Y, Z: g.level}
	box.Max.X, box.Max.Y = g.box.Max.X, g.box.Max.Y
	v.cam = v.cam.fitted(box, float64(v.size.Width/v.size.Height))
}

// SetStretch multiplies heights, so that a shallow curve shows; 1 is true shape.
func (v *View) SetStretch(f float64) {
	v.stretch = min(max(f, 1), 20)
	if v.fitting {
		v.fit()
	}
	v.raster.Refresh()
}

// Stretch is what heights are multiplied by.
func (v *View) Stretch() float64 { return v.stretch }

// move looks through another camera.
func (v *View) move(c camera) {
	v.cam, v.fitting = c, false
	v.raster.Refresh()
}

// paint draws the picture, w by h device pixels.
func (v *View) paint(w, h int) image.Image {
	v.canvas.Resize(w, h)
	w, h = v.canvas.Size()
	k := 1.0
	if v.size.Width > 0 {
		k = float64(w) / float64(v.size.Width)
	}
	fine := 2
	if k >= 1.75 {
		fine = 1
	}
	v.scene.Resize(w, h, fine)
	col := look.Current()
	v.scene.Clear(col.SkyTop, col.SkyBottom)
	p := &picture{scene: &v.scene, out: v.canvas, cam: v.cam, k: k, col: col, font: v.font, stretch: v.stretch}
	if v.solid == nil {
		p.finish()
		p.note(v.why)
		return v.canvas.Image()
	}
	if v.stale {
		p.fade = 0.5
	}
	box := stretchedBox(v.solid.box, v.stretch)
	g := groundUnder(box, v.unit)
	p.level = box.Min.Z
	reach := 2 * (r3.Norm(r3.Sub(box.Max, box.Min)) + r3.Norm(r3.Sub(v.cam.target, box.Min)))
	p.v = v.cam.view(float64(w), float64(h), reach)
	p.ground(g, v.mirror)
	p.solid(v.solid)
	img := p.finish()
	p.labels(v.solid, 0.5*g.pitch)
	if v.stretch > 1 {
		p.note(lang.L("heights drawn {{.N}} times", map[string]any{"N": strconv.FormatFloat(v.stretch, 'g', 3, 64)}))
	}
	return img
}

// CreateRenderer implements fyne.Widget.
func (v *View) CreateRenderer() fyne.WidgetRenderer { return &renderer{v} }

type renderer struct{ v *View }

func (r *renderer) Layout(size fyne.Size) {
	if size != r.v.size {
		r.v.size = size
		if r.v.fitting {
			r.v.fit()
		}
	}
	r.v.raster.Resize(size)
	r.v.raster.Refresh()
}

func (r *renderer) MinSize() fyne.Size           { return fyne.NewSize(240, 180) }
func (r *renderer) Refresh()                     { r.v.raster.Refresh() }
func (r *renderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.v.raster} }
func (r *renderer) Destroy()                     {}
