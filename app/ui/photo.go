package ui

import (
	"context"
	"errors"
	"image"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"
	"golang.org/x/image/draw"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/desk"
	"panewright/app/ui/boardview"
	"panewright/app/ui/paint"
	"panewright/app/ui/photoview"
	"panewright/app/ui/sheet"
	"panewright/board"
)

// longestSide is that of a photo as it is shown, in pixels; a larger one is reduced.
const longestSide = 2800

// photoParallax is the caution that belongs to every photo.
func photoParallax() string {
	return lang.L("Only what lies flat on the board is where the photo shows it. An edge that stands off the board is shifted away from the camera, by its height times how far aside it lies over how high the camera was. It is a check by eye, never a measure.")
}

// pixels are those of a photo, reduced to what is shown.
type pixels struct {
	img  *paint.Picture
	full image.Point // size of the photo itself
}

// reduction is a pixel of the photo in those that are shown.
func (p pixels) reduction() float64 { return float64(p.img.Size().X) / float64(p.full.X) }

// loadPixels reads a photo.
func loadPixels(path string) (pixels, error) {
	img, err := board.LoadPhoto(path)
	if err != nil {
		return pixels{}, err
	}
	full := img.Bounds().Size()
	size := full
	if most := max(full.X, full.Y); most > longestSide {
		size = image.Pt(max(1, full.X*longestSide/most), max(1, full.Y*longestSide/most))
	}
	out := image.NewRGBA(image.Rectangle{Max: size})
	draw.ApproxBiLinear.Scale(out, out.Bounds(), img, img.Bounds(), draw.Src, nil)
	return pixels{paint.NewPicture(out), full}, nil
}

// photoKeeper keeps what is shown of the job's photo.
type photoKeeper struct {
	w       *Window
	loading errand // of the job's photo
	opening errand // of one that is asked for
	asked   *crossings
	path    string // that was loaded, or tried
	pixels  pixels
	fault   error // why it is not shown; nil where it is
	laid    board.Photo
	grid    board.Grid
}

func newPhotoKeeper(w *Window) *photoKeeper {
	return &photoKeeper{w: w, loading: errand{w: w}, opening: errand{w: w}}
}

// show lays the photo of a state under the readings; a file that was not read yet is
// read in the background.
func (k *photoKeeper) show(s desk.State) {
	p := s.Job.Photo
	if p == (board.Photo{}) {
		k.loading.stop()
		k.path, k.pixels, k.fault, k.laid = "", pixels{}, nil, p
		k.w.board.SetPhoto(nil)
		return
	}
	path := board.FindPhoto(p.Path, s.Path)
	if path != k.path {
		k.path, k.pixels, k.fault, k.laid = path, pixels{}, nil, board.Photo{}
		k.w.board.SetPhoto(nil)
		k.loading.begin(func(context.Context) func() {
			px, err := loadPixels(path)
			return func() { k.loaded(px, err) }
		})
		return
	}
	k.lay(s)
}

// loaded takes a photo that was read.
func (k *photoKeeper) loaded(px pixels, err error) {
	k.pixels, k.fault = px, err
	if errors.Is(err, os.ErrNotExist) {
		k.fault = errors.New(lang.L("the photo is not there any more"))
	}
	k.w.refresh()
}

// lay lays the photo that was read where its points say.
func (k *photoKeeper) lay(s desk.State) {
	p, g := s.Job.Photo, s.Job.Grid
	if k.pixels.img == nil || k.laid == p && k.grid == g {
		return
	}
	k.laid, k.grid, k.fault = p, g, nil
	if size := [2]int{k.pixels.full.X, k.pixels.full.Y}; size != p.Size {
		k.fault = errors.New(lang.L("the photo has another size than when its points were taken: point at them again"))
		k.w.board.SetPhoto(nil)
		return
	}
	for i := range p.Points {
		for a := range 2 {
			p.Points[i].At[a] *= k.pixels.reduction()
		}
	}
	h, err := p.Homography(g)
	if err != nil {
		k.fault = err
		k.w.board.SetPhoto(nil)
		return
	}
	k.w.board.SetPhoto(&boardview.Photo{Pixels: k.pixels.img, To: h})
}

// say is what is to be said of the photo.
func (k *photoKeeper) say(s desk.State) (text string, wrong bool) {
	p := s.Job.Photo
	data := map[string]any{"File": filepath.Base(p.Path)}
	switch {
	case p == (board.Photo{}):
		return "", false
	case k.fault != nil:
		data["Why"] = plain(k.fault)
		return lang.L("{{.File}} is not shown: {{.Why}}. Nothing else is missing.", data), true
	}
	return lang.L("{{.File}} lies under the readings.", data), false
}

// isPhoto says whether a file is a photo, by its name.
func isPhoto(path string) bool {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".jpg", ".jpeg", ".png":
		return true
	}
	return false
}

// askPhoto asks for a photo of the board.
func (w *Window) askPhoto() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	start := w.startDir()
	if p := w.state.Job.Photo.Path; p != "" {
		start = board.FindPhoto(p, w.state.Path)
	}
	w.choosePath("photo", lang.L("Photo behind the grid"), lang.L("Open"), start, false, func(path string) error {
		if st, err := os.Stat(path); err != nil || st.IsDir() {
			return errors.New(lang.L("there is no such file"))
		}
		w.post(func() { w.openPhoto(path) })
		return nil
	})
}

// openPhoto reads a photo in the background and asks for its crossings.
func (w *Window) openPhoto(path string) {
	w.say(lang.L("Reading the photo…"), sheet.Plain)
	w.photo.opening.begin(func(context.Context) func() {
		px, err := loadPixels(path)
		return func() {
			if err != nil {
				w.tell("cannot open", lang.L("The photo could not be read"), plain(err))
				return
			}
			w.photo.asked = newCrossings(w, path, px)
			w.photo.asked.m.closed = func() { w.photo.asked = nil }
		}
	})
}

// takePhotoAway forgets the photo; its file stays.
func (w *Window) takePhotoAway() {
	if !w.busy() && w.state.Job.Photo != (board.Photo{}) {
		w.report(w.Edit(lang.L("Take the photo away"), func(j *board.Job) error { j.Photo = board.Photo{}; return nil }))
	}
}

// crossings asks for four crossings of the grid in a photo.
type crossings struct {
	w     *Window
	path  string
	px    pixels
	view  *photoview.View
	names [photoview.Places]*field
	picks [photoview.Places]*button
	fault *widget.Label
	m     *modal
}

func newCrossings(w *Window, path string, px pixels) *crossings {
	c := &crossings{w: w, path: path, px: px, fault: wrapped("")}
	c.fault.Importance = widget.DangerImportance
	p := w.state.Job.Photo
	known := p.Path == path && p.Size == [2]int{px.full.X, px.full.Y}
	var places [photoview.Places]*r2.Vec
	names := cornerNames(w.state.Job.Grid)
	for i := range places {
		if known {
			places[i] = &r2.Vec{X: p.Points[i].At[0] * c.px.reduction(), Y: p.Points[i].At[1] * c.px.reduction()}
			names[i] = p.Points[i].String()
		}
	}
	c.view = photoview.New(px.img, places)
	c.view.OnPlace = func(int) { c.update() }
	rows := container.NewVBox()
	for i := range c.names {
		c.names[i] = newField(true, nil, w.key)
		c.names[i].SetText(names[i])
		c.names[i].shown = names[i]
		c.picks[i] = newButton("", func() { c.view.Take(i); c.update() })
		rows.Add(container.NewGridWithColumns(2, c.picks[i], c.names[i]))
	}
	side := container.NewVBox(
		wrapped(lang.L("Click four crossings of the grid, far apart and none three on a line, and name each by its lines: 7/C. The wheel zooms, a drag moves, the arrow keys move the mark by half a pixel.")),
		rows, c.fault, dim(photoParallax()))
	wide := container.New(&sideBySide{}, c.view, side)
	c.m = w.ask("crossings", lang.L("Where the photo shows the grid"), wide, nil,
		answer{lang.L("Lay it behind the grid"), c.give}, answer{text: cancelWord()})
	c.update()
	c.view.OnKey = c.m.typed
	c.m.resize(w.win.Canvas().Size())
	w.win.Canvas().Focus(c.view)
	return c
}

// sideBySide gives the second object a fixed width at the right and the first the rest.
type sideBySide struct{}

const sideWidth = 280

// Layout places the two.
func (sideBySide) Layout(o []fyne.CanvasObject, size fyne.Size) {
	o[0].Move(fyne.Position{})
	o[0].Resize(fyne.NewSize(size.Width-sideWidth-8, size.Height))
	o[1].Move(fyne.NewPos(size.Width-sideWidth, 0))
	o[1].Resize(fyne.NewSize(sideWidth, size.Height))
}

// MinSize has room for both.
func (sideBySide) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(o[0].MinSize().Width+sideWidth+8, max(o[0].MinSize().Height, 420))
}

// cornerNames are the crossings at the grid's corners, a line in from each side.
func cornerNames(g board.Grid) (out [photoview.Places]string) {
	l, r, b, t := g.ColFirst+1, g.ColLast-1, 1, max(1, g.Rows-2)
	for i, p := range [][2]int{{l, b}, {r, b}, {r, t}, {l, t}} {
		out[i] = board.PhotoPoint{Across: p[0], Row: p[1]}.String()
	}
	return out
}

// update says which places are set and which is in hand.
func (c *crossings) update() {
	all := true
	for i, b := range c.picks {
		_, set := c.view.Place(i)
		all = all && set
		text := strconv.Itoa(i+1) + "  " + lang.L("click it")
		if set {
			text = strconv.Itoa(i+1) + "  " + lang.L("is marked")
		}
		b.SetText(text)
		b.Importance = widget.MediumImportance
		if i == c.view.InHand() {
			b.Importance = widget.HighImportance
		}
		b.Refresh()
	}
	if all {
		c.m.buttons[0].Enable()
	} else {
		c.m.buttons[0].Disable()
	}
}

// give lays the photo behind the grid, or says why that cannot be.
func (c *crossings) give() bool {
	p := board.Photo{Path: c.path, Size: [2]int{c.px.full.X, c.px.full.Y}}
	g := c.w.state.Job.Grid
	for i := range p.Points {
		at, _ := c.view.Place(i)
		across, row, err := g.ParseCrossing(c.names[i].Text)
		if err != nil {
			c.fault.SetText(lang.L("Point {{.N}}: {{.Why}}", map[string]any{"N": i + 1, "Why": plain(err)}))
			return false
		}
		p.Points[i] = board.PhotoPoint{At: [2]float64{at.X / c.px.reduction(), at.Y / c.px.reduction()}, Across: across, Row: row}
	}
	if _, err := p.Homography(g); err != nil {
		c.fault.SetText(plain(err))
		return false
	}
	c.w.photo.path = "" // read it anew: the file may have changed
	if err := c.w.Edit(lang.L("Lay a photo behind the grid"), func(j *board.Job) error { j.Photo = p; return nil }); err != nil {
		c.fault.SetText(plain(err))
		return false
	}
	c.w.setSolid(false)
	return true
}
