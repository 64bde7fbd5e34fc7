// Package solidview shows the finished pane as a solid that can be turned in
// the hand: shaded, or coloured by a map of its face, or with the lights of a
// wall of lamps in it; cut at any level; with the pocket that it is lowered
// into. It is drawn by software, so that it looks the same everywhere.
//
// What takes long is made beside the window's goroutine and shown when it is
// ready: mesh, maps, pocket, and the fine picture that takes the place of the
// quick one once all stands still. All methods belong to the GUI goroutine.
package solidview

import (
	"context"
	"image"
	"strconv"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/desk"
	"panewright/app/ui/look"
	"panewright/board"
	"panewright/geom/fixture"
)

// meshSteps is how many steps across a pane's length its mesh has.
const meshSteps = 44

// settle is how long all stands still before the fine picture is begun.
const settle = 90 * time.Millisecond

// View is the widget.
type View struct {
	widget.BaseWidget

	OnKey    func(*fyne.KeyEvent) bool // keys that the picture has no use for
	OnHover  func(text string)         // what lies under the pointer, "" for nothing
	OnChange func()                    // a setting was changed by key or pointer

	post   func(func())
	model  *board.Model // that is shown, or being made ready
	parts  parts        // that are shown
	run    int
	cancel context.CancelFunc // of what is being made; nil: nothing is
	why    string             // why there is nothing to show
	stale  bool
	mirror bool
	unit   float64 // the ground's squares are whole multiples of it, mm

	cam     camera
	fitting bool // all fills the picture until the person moves it
	stretch float64
	kind    Map
	stripes Stripes
	section Cut
	level   float64
	cut     *cut
	cutOf   cutKey
	magnify float64
	longer  float64

	pocketOn  bool
	pocketSay string // why there is no pocket yet
	pocket    *pocket
	pocketOf  [2]any // that it was begun for
	pocketRun int
	lift      float64

	size fyne.Size
	grab grab

	raster *canvas.Raster
	quick  *painter
	last   frame // painted by quick
	fine   *painter
	fining bool
	done   frame // painted by fine
	image  image.Image
	seq    int
}

// cutKey is what a section was made for.
type cutKey struct {
	of    *board.Model
	kind  Cut
	level float64
}

// New is an empty view. post runs a function on the GUI goroutine.
func New(post func(func())) *View {
	v := &View{post: post, stretch: 1, fitting: true, unit: 10, magnify: 2, longer: 20, lift: 80}
	v.stripes = Stripes{Angle: 90, Count: 40, Share: 0.5}
	v.cam = camera{span: 1000}.look(ThreeQuarter)
	font := theme.Font(fyne.TextStyle{}).Content()
	v.quick, v.fine = newPainter(font), newPainter(font)
	v.raster = canvas.NewRaster(v.paint)
	v.raster.ScaleMode = canvas.ImageScalePixels
	v.ExtendBaseWidget(v)
	return v
}

// Display shows the pane of a state. Until it is made ready, the pane before it
// stays, paler.
func (v *View) Display(s desk.State) {
	v.stale = s.Model != nil && !s.Current()
	v.unit = 10
	if s.Job != nil && s.Job.Unit == board.Inch {
		v.unit = inch
	}
	if s.Model != v.model {
		v.take(s.Model)
	}
	if s.Model == nil && s.Err != nil {
		v.why = lang.L("There is no shape yet: see what is missing on the right.")
	}
	v.raster.Refresh()
}

// take begins making a model ready.
func (v *View) take(m *board.Model) {
	v.model = m
	if m == nil || m.Pane == nil {
		v.stop()
		v.parts, v.why = parts{}, lang.L("There is no shape yet.")
		if m != nil && m.Why != "" {
			v.why = m.Why
		}
		return
	}
	v.why, v.mirror = "", m.Mirror != board.MirrorNone
	v.prepare()
}

// stop gives up what is being made.
func (v *View) stop() {
	v.run++
	if v.cancel != nil {
		v.cancel()
		v.cancel = nil
	}
}

// prepare begins making what is still missing of what is to be shown.
func (v *View) prepare() {
	v.stop()
	have := v.parts
	if have.of != v.model {
		have = parts{of: v.model}
	}
	if v.model == nil || v.model.Pane == nil || have.complete(v.kind, v.stripes.On) {
		return
	}
	ctx, cancel := context.WithCancel(context.Background())
	v.cancel = cancel
	run, kind, stripes := v.run, v.kind, v.stripes.On
	go func() {
		defer cancel()
		err := have.make(ctx, kind, stripes)
		v.post(func() { v.ready(run, have, err) })
	}()
}

// ready shows what was made, unless something newer has been asked for.
func (v *View) ready(run int, p parts, err error) {
	if run != v.run {
		return
	}
	v.cancel = nil
	v.parts = p
	if err != nil {
		v.parts, v.why = parts{}, err.Error()
	}
	v.refit()
}

// Busy says whether something is still being made.
func (v *View) Busy() bool {
	return v.cancel != nil || v.pocketOn && v.pocket == nil && v.pocketOf != [2]any{}
}

// Look turns the pane to a standard direction and shows it whole.
func (v *View) Look(d Direction) {
	v.cam = v.cam.look(d)
	v.Fit()
}

// Fit shows all, from where it is looked at.
func (v *View) Fit() {
	v.fitting = true
	v.refit()
}

// refit draws anew, and shows all unless the person has moved it.
func (v *View) refit() {
	if v.fitting && v.parts.solid != nil && v.size.Height > 0 {
		f := v.frame(int(v.size.Width), int(v.size.Height))
		box := f.box()
		g := groundUnder(box, v.unit)
		box.Min = r3.Vec{X: g.box.Min.X, Y: g.box.Min.Y, Z: g.level}
		box.Max.X, box.Max.Y = g.box.Max.X, g.box.Max.Y
		v.cam = f.fitted(box, float64(v.size.Width), float64(v.size.Height))
	}
	v.raster.Refresh()
}

// move looks through another camera.
func (v *View) move(c camera) {
	v.cam, v.fitting = c, false
	v.raster.Refresh()
}

// ShowPocket hands in the pocket to be shown, with its tiles where it is cut into
// some; say is what is said while there is none.
func (v *View) ShowPocket(p *fixture.Pocket, t *fixture.Tiling, say string) {
	v.pocketSay = say
	if of := [2]any{p, t}; of != v.pocketOf {
		v.pocketOf = of
		v.pocketRun++
		run := v.pocketRun
		if p == nil {
			v.pocketOf, v.pocket = [2]any{}, nil
			v.refit()
			return
		}
		go func() {
			q := newPocket(p, t)
			v.post(func() {
				if run == v.pocketRun {
					v.pocket = q
					v.refit()
				}
			})
		}()
	}
	v.raster.Refresh()
}

// frame is what is shown now in a picture of w by h device pixels.
func (v *View) frame(w, h int) frame {
	f := frame{
		w: w, h: h, k: 1, words: float64(look.Scale()), col: look.Current(), cam: v.cam, stretch: v.stretch, stale: v.stale, unit: v.unit, mirror: v.mirror,
		solid: v.parts.solid, magnify: v.magnify, longer: v.longer,
	}
	if v.size.Width > 0 {
		f.k = float64(w) / float64(v.size.Width)
	}
	if f.solid == nil {
		f.note = v.why
		return f
	}
	if v.stripes.On && v.parts.face != nil {
		f.face, f.stripes = v.parts.face, v.stripes
	} else if d := v.parts.fields[v.kind]; d != nil {
		f.field, f.heading = d, heading(v.kind, d.of.Job)
	}
	if v.section != NoCut {
		if key := (cutKey{v.parts.of, v.section, v.level}); key != v.cutOf {
			v.cut, v.cutOf = newCut(key.of, key.kind, key.level), key
		}
		f.cut = v.cut
	}
	if v.pocketOn && v.pocket != nil {
		f.pocket, f.lift = v.pocket, v.lift
	}
	f.note = v.note()
	return f
}

// note is what is written beside the picture.
func (v *View) note() string {
	switch {
	case v.pocketOn && v.pocket == nil:
		return v.pocketSay
	case v.cancel != nil && v.kind != Plain && v.parts.fields[v.kind] == nil:
		return lang.L("working…")
	case v.stretch != 1:
		return lang.L("heights drawn {{.N}} times", map[string]any{"N": strconv.FormatFloat(v.stretch, 'g', 3, 64)})
	}
	return ""
}

// paint is the picture, w by h device pixels: the fine one where it is ready,
// else a quick one.
func (v *View) paint(w, h int) image.Image {
	f := v.frame(max(w, 1), max(h, 1))
	if v.image != nil && f == v.done {
		return v.image
	}
	if f == v.last {
		return v.quick.out.Image()
	}
	v.last = f
	img := v.quick.paint(f, 1)
	v.seq++
	seq := v.seq
	time.AfterFunc(settle, func() {
		v.post(func() {
			if v.seq == seq {
				v.refine()
			}
		})
	})
	return img
}

// refine begins the fine picture of what is shown.
func (v *View) refine() {
	f := v.last
	if v.fining || f.solid == nil {
		return
	}
	v.fining, v.image = true, nil
	fine := 3
	if f.k >= 1.75 {
		fine = 2
	}
	go func() {
		img := v.fine.paint(f, fine)
		v.post(func() {
			v.fining = false
			if v.last != f {
				v.refine() // something has moved on since
				return
			}
			v.done, v.image = f, img
			v.raster.Refresh()
		})
	}()
}

// CreateRenderer implements fyne.Widget.
func (v *View) CreateRenderer() fyne.WidgetRenderer { return &renderer{v} }

type renderer struct{ v *View }

func (r *renderer) Layout(size fyne.Size) {
	r.v.raster.Resize(size)
	if size != r.v.size {
		r.v.size = size
		r.v.refit()
	}
}

func (r *renderer) MinSize() fyne.Size           { return fyne.NewSize(240, 180) }
func (r *renderer) Refresh()                     { r.v.raster.Refresh() }
func (r *renderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.v.raster} }
func (r *renderer) Destroy()                     {}
