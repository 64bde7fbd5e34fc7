// Package boardview is the picture of the board: the drawn grid with its labels,
// every reading, the fitted outline and the centre line, drawn into one image.
// It is a place to work in: stations and face heights are placed, moved and
// typed there, and the centre line is dragged while the half that it would make
// follows.
//
// A View holds no geometry of its own: it draws the state it was shown last and
// hands every change to its Door. Zoom, selection and what is being dragged are
// not part of the job. All methods belong to the GUI goroutine.
package boardview

import (
	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/desk"
	"panewright/app/ui/look"
	"panewright/app/ui/paint"
	"panewright/board"
)

// Door is what the picture needs of the desk.
type Door interface {
	// State is how things stand now.
	State() desk.State
	// Edit changes the job as one step of undo.
	Edit(name string, f func(*board.Job) error) error
	// Consequence is what a centre line with the given offset (mm), skew and roll
	// (degrees) would do; false where that is not known yet.
	Consequence(offset, skew, roll float64) (board.Consequence, bool)
}

// Mode says what a click on the empty board does.
type Mode int

// The modes.
const (
	Select       Mode = iota // nothing is selected; a drag moves the picture
	PlaceStation             // a station on the edge is placed there
	PlaceFace                // a face point is placed there
)

// None is the index of no reading.
const None = -1

// View is the widget. Set the callbacks before it is shown.
type View struct {
	widget.BaseWidget

	OnSelect  func(index int)                   // a reading was clicked, or the empty board (None)
	OnPick    func(index []int)                 // several readings were selected, or none of them any more
	OnHover   func(text string)                 // what lies under the pointer, in words; "" where nothing
	OnDrag    func(c *board.Consequence)        // the centre line is being dragged; nil: let go
	OnMenu    func(index int, at fyne.Position) // second button on a reading or on the board (None); at is on the canvas
	OnKey     func(*fyne.KeyEvent) bool         // keys that the picture has no use for
	OnShort   func(sc fyne.Shortcut)            // shortcuts, of which the picture has no use for any
	OnRefused func(err error)                   // an edit made here was refused

	door        Door
	scene       *scene
	lens        lens
	size        fyne.Size
	fitting     bool // the whole board is shown whenever something changes
	mode        Mode
	snap        float64
	magnify     float64
	banded      bool // how sure the outline is is drawn
	lifted      bool // the face's heights are drawn
	tops        *heights
	adviceShown bool    // where to measure next is drawn
	fitShown    bool    // how the pane is expected to fit is drawn, in place of misses and band
	foldShown   bool    // both halves are laid over each other
	foldScale   float64 // how many times their size differences are drawn; 0: as there is room
	foldUsed    *fold   // about the line in use; nil where it is not drawn
	foldOf      foldKey // what foldUsed was made of
	combTimes   float64 // how many times the curvature comb is drawn; 0: not
	comb        *comb   // of the model shown, once it was asked for
	photo       *Photo  // under everything that is read; nil: none
	bars        *Bars   // drawn in place of misses and band; nil: none
	shown       *r2.Vec // a place that was asked for, until something else is chosen
	selected    int
	picks       []pick // all that are selected, selected too, by index
	selKey      key
	hovered     int
	pointer     r2.Vec // logical pixels
	inside      bool   // the pointer is over the picture
	gesture     gesture
	entry       *entry
	focused     bool

	raster  *canvas.Raster
	hint    *hint
	preview *canvas.Circle
	canvas  *paint.Canvas
	fonts   typefaces
}

// New is a picture of the board of the job behind the door. Points snap to an
// eighth of the grid's squares, and misses are drawn fifty times their size.
func New(d Door) *View {
	v := &View{door: d, snap: 1.0 / 8, magnify: 50, banded: true, adviceShown: true, selected: None, hovered: None, fitting: true}
	v.lens = lens{s: 1}
	v.canvas, v.fonts = paint.New(1, 1), newTypefaces()
	v.raster = canvas.NewRaster(v.paint)
	v.raster.ScaleMode = canvas.ImageScalePixels
	v.hint = newHint()
	v.preview = canvas.NewCircle(nil)
	v.preview.Hide()
	v.scene = newScene(d.State(), nil)
	v.ExtendBaseWidget(v)
	return v
}

// Display draws a state. What is selected stays selected, and what is in view stays
// in view, across edits and when the job is saved elsewhere.
func (v *View) Display(s desk.State) {
	if v.scene.band.of != s.Model {
		v.shown = nil
	}
	v.scene = newScene(s, v.scene)
	v.repick()
	if v.entry != nil {
		if v.entry.index = v.indexOf(v.entry.index, v.entry.key); v.entry.index == None {
			v.entry = nil
		}
	}
	v.hovered = None
	if v.fitting {
		v.fit()
	}
	v.refold()
	v.recomb()
	v.redraw()
}

// indexOf finds a reading again after an edit: where it was, else by its name.
func (v *View) indexOf(index int, k key) int {
	if v.scene.job == nil || index == None {
		return None
	}
	all := v.scene.job.Readings
	if index < len(all) && keyOf(all[index]) == k {
		return index
	}
	for i, r := range all {
		if keyOf(r) == k {
			return i
		}
	}
	return None
}

// Select marks a reading as selected, None for none, without calling OnSelect.
func (v *View) Select(index int) {
	if index == v.selected && len(v.picks) < 2 {
		return
	}
	v.setSelected(index)
	v.redraw()
}

func (v *View) setSelected(index int) {
	v.selected, v.picks, v.shown = None, nil, nil
	if j := v.scene.job; j != nil && index >= 0 && index < len(j.Readings) {
		v.selected, v.selKey = index, keyOf(j.Readings[index])
		v.picks = []pick{{index, v.selKey}}
	}
}

// Selected is the index of the selected reading, of several the one looked at;
// None for none.
func (v *View) Selected() int { return v.selected }

// CentreOn selects a reading and moves the picture so that it can be seen well.
func (v *View) CentreOn(index int) {
	v.setSelected(index)
	if p, ok := v.scene.find(index); ok {
		at, w, h := v.lens.px(p.at), float64(v.size.Width), float64(v.size.Height)
		if at.X < 0.1*w || at.X > 0.9*w || at.Y < 0.1*h || at.Y > 0.9*h {
			v.fitting = false
			v.lens = v.lens.moved(r2.Sub(r2.Vec{X: w / 2, Y: h / 2}, at))
		}
	}
	v.redraw()
}

// SetMode chooses what a click on the empty board does.
func (v *View) SetMode(m Mode) {
	v.endEntry()
	v.mode = m
	v.point()
	v.redraw()
}

// Mode is what a click on the empty board does.
func (v *View) Mode() Mode { return v.mode }

// SetSnap chooses the part of a grid square that placed and moved points snap
// to: 1, 1/2, 1/4, 1/8, 1/10 …; 0 is free.
func (v *View) SetSnap(part float64) {
	v.snap = min(max(part, 0), 1)
	v.redraw()
}

// Snap is the part of a grid square that points snap to.
func (v *View) Snap() float64 { return v.snap }

// SetMagnify chooses how many times their size misses are drawn; 0 hides them.
func (v *View) SetMagnify(f float64) {
	v.magnify = max(f, 0)
	v.redraw()
}

// Magnify is how many times their size misses are drawn.
func (v *View) Magnify() float64 { return v.magnify }

// SetHeights chooses whether the face's heights are drawn under the readings.
func (v *View) SetHeights(on bool) {
	v.lifted = on
	v.redraw()
}

// heightsOf are the heights to draw of a scene; nil where none are asked for.
func (v *View) heightsOf(sc *scene) *heights {
	if !v.lifted || sc.band == nil || len(sc.band.runs) != 1 || !sc.band.runs[0].closed {
		return nil
	}
	if v.tops == nil || v.tops.of != sc.band.of {
		v.tops = newHeights(sc.band.of, sc.band.runs[0].at, sc.job.Unit)
	}
	return v.tops
}

// SetBand chooses whether a band shows how sure the outline is.
func (v *View) SetBand(on bool) {
	v.banded = on
	v.redraw()
}

// SetAdvice chooses whether the places to measure next are shown.
func (v *View) SetAdvice(on bool) {
	v.adviceShown = on
	v.redraw()
}

// SetFit chooses whether the picture shows how the real pane is expected to fit
// into the pocket, in place of the misses and of how sure the outline is.
func (v *View) SetFit(on bool) {
	if v.fitShown != on {
		v.fitShown = on
		v.redraw()
	}
}

// showsFit says whether the fit is drawn: it was asked for, and is known.
func (v *View) showsFit() bool { return v.fitShown && len(v.scene.socket.round) > 0 }

// ShowStation shows a station of the fit check by its name, one of the made half
// (its twin's name and a dash) too; false where there is none.
func (v *View) ShowStation(id string) bool {
	g, ok := v.scene.socket.find(id)
	if ok {
		v.ShowPlace(g.at)
	}
	return ok
}

// closer is how many times larger than the whole board a place is shown, at least.
const closer = 2.5

// ShowPlace shows a place of the board, mm, in the middle of the picture, with a
// ring about it until something else is chosen.
func (v *View) ShowPlace(p r2.Vec) {
	middle := r2.Vec{X: float64(v.size.Width) / 2, Y: float64(v.size.Height) / 2}
	if whole := fitted(v.scene.box(), float64(v.size.Width), float64(v.size.Height), fitMargin).s; v.lens.s < closer*whole {
		v.lens = v.lens.zoomed(middle, closer*whole/v.lens.s)
	}
	v.fitting, v.shown = false, &p
	v.lens = v.lens.moved(r2.Sub(middle, v.lens.px(p)))
	v.point()
	v.redraw()
}

// Mark puts a ring about a place of the board, mm, until something else is chosen,
// and leaves the picture where it is.
func (v *View) Mark(p r2.Vec) {
	v.shown = &p
	v.redraw()
}

// Fit shows the whole board, and keeps it shown until the person zooms or moves
// the picture.
func (v *View) Fit() {
	v.fitting = true
	v.fit()
	v.redraw()
}

// fitMargin is left round the board where all of it is shown.
const fitMargin = boardBorder + 8

func (v *View) fit() {
	if v.size.Width > 0 && v.size.Height > 0 {
		v.lens = fitted(v.scene.box(), float64(v.size.Width), float64(v.size.Height), fitMargin)
	}
}

// Zoom makes everything f times as large about the middle of the picture.
func (v *View) Zoom(f float64) {
	v.zoomAt(r2.Vec{X: float64(v.size.Width) / 2, Y: float64(v.size.Height) / 2}, f)
}

func (v *View) zoomAt(at r2.Vec, f float64) {
	v.fitting = false
	v.lens = v.lens.zoomed(at, f)
	v.point()
	v.redraw()
}

func (v *View) pan(d r2.Vec) {
	v.fitting = false
	v.lens = v.lens.moved(d)
	v.redraw()
}

// redraw paints the picture anew.
func (v *View) redraw() { v.raster.Refresh() }

// resized keeps the middle of the picture where it is, or the whole board shown.
func (v *View) resized(size fyne.Size) {
	if size == v.size {
		return
	}
	d := r2.Vec{X: float64(size.Width-v.size.Width) / 2, Y: float64(size.Height-v.size.Height) / 2}
	v.size = size
	if v.fitting {
		v.fit()
	} else {
		v.lens = v.lens.moved(d)
	}
}

// paint draws the picture, w by h device pixels.
func (v *View) paint(w, h int) image.Image {
	v.canvas.Resize(w, h)
	w, h = v.canvas.Size()
	k := 1.0
	if v.size.Width > 0 {
		k = float64(w) / float64(v.size.Width)
	}
	f := &frame{c: v.canvas, l: v.lens.times(k), k: k, w: float64(w), h: float64(h), col: look.Current(), fonts: v.fonts}
	v.draw(f)
	return v.canvas.Image()
}

// draw paints everything, from the board upward.
func (v *View) draw(f *frame) {
	sc := v.scene
	if sc.job == nil {
		f.c.Clear(f.col.Board)
		return
	}
	part := 0.0
	if v.mode != Select {
		part = v.snap
	}
	fade := 1.0
	if sc.stale {
		fade = 0.4
	}
	f.grid(sc.job.Grid, part)
	f.photo(v.photo)
	lifted := v.heightsOf(sc)
	f.heights(lifted, fade)
	magnify, fits, folded, combed := v.magnify, v.showsFit(), v.folded(), v.combed()
	barred := v.bars != nil && len(v.bars.Bars) > 0
	switch {
	case barred:
		magnify, fits, folded, f.quiet = 0, false, nil, true
	case folded != nil:
		magnify, f.quiet, f.folded = 0, true, sc.line
	case fits:
		magnify, f.quiet = 0, true
		f.fit(sc.socket, fade)
	case combed != nil:
		magnify, f.inward = 0, true
		f.comb(combed, v.combTimes, fade)
	case v.banded:
		f.band(sc.band, v.magnify, fade)
	}
	if folded != nil {
		f.shape(sc, 0.3*fade)
		f.fold(folded, v.foldTimes(), fade)
	} else {
		f.shape(sc, fade)
	}
	if sc.found != nil {
		f.found(*sc.found, *sc.line, sc.lineEnds)
	}
	if _, turning := v.gesture.(*turning); sc.line != nil && !turning {
		drawn := 1.0
		if sc.guessed {
			drawn = 0.5
		}
		f.centre(*sc.line, sc.lineEnds, drawn, v.mode == Select)
	}
	switch {
	case barred:
		f.bars(v.bars, fade)
	case fits:
		f.gapSigns(sc.socket, fade)
	}
	f.points(sc, v.Picked(), v.hovered, magnify)
	if folded != nil {
		f.foldLabels(folded, sc.job, v.foldTimes(), fade)
	}
	if v.adviceShown && !fits && folded == nil && !barred {
		f.advice(sc.advice, fade)
	}
	f.heightFigures(lifted, sc.job, fade)
	if v.shown != nil {
		f.shown(*v.shown)
	}
	switch {
	case barred:
		f.barLegend(v.bars)
	case fits:
		f.fitLegend(sc.socket)
	case folded != nil:
		f.foldLegend(folded, sc.job, v.foldTimes())
	case combed != nil:
		f.combLegend(combed, sc.job, v.combTimes)
	case lifted != nil:
		f.heightLegend(lifted, sc.job, magnify)
		magnify = 0
	}
	f.legend(sc, magnify, v.banded)
	if v.gesture != nil {
		v.gesture.draw(v, f)
	}
	if v.entry != nil {
		v.drawEntry(f)
	}
}

// CreateRenderer implements fyne.Widget.
func (v *View) CreateRenderer() fyne.WidgetRenderer { return &renderer{v} }

// renderer lays the overlays over the picture.
type renderer struct{ v *View }

func (r *renderer) Layout(size fyne.Size) {
	r.v.resized(size)
	r.v.raster.Move(fyne.NewPos(0, 0))
	r.v.raster.Resize(size)
	r.v.redraw()
}

func (r *renderer) MinSize() fyne.Size { return fyne.NewSize(240, 180) }

func (r *renderer) Refresh() {
	r.v.hint.recolour()
	r.v.redraw()
}

func (r *renderer) Objects() []fyne.CanvasObject {
	return append([]fyne.CanvasObject{r.v.raster, r.v.preview}, r.v.hint.objects()...)
}

func (r *renderer) Destroy() {}
