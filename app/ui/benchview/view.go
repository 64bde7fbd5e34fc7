// Package benchview shows the cell being typed so large that it is read from the
// other end of the bench: its station and column, what was typed and means, and
// the last readings with what is thought of them. It holds nothing and types
// nothing itself: keys are handed on, and what comes of them is shown to it.
package benchview

import (
	"image/color"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"panewright/app/ui/sheet"
)

// Line is one of the last readings.
type Line struct {
	Name   string
	Values [3]string // x, y, z
	Says   string    // what is thought of it, short
	Tint   sheet.Tint
	Good   bool // it fits
}

// Face is all that the view shows.
type Face struct {
	Station string
	Column  string
	Text    string // of the cell
	Typing  bool   // the text is being typed
	Echo    string // what it means, or why it is not understood
	Tint    sheet.Tint
	Last    []Line // the newest first
	Advice  string // of the newest that does not fit; may be empty
	Hint    string // what the keys do
}

// View is the widget. Set the callbacks before it is shown.
type View struct {
	widget.BaseWidget

	OnRune     func(rune)
	OnKey      func(*fyne.KeyEvent)
	OnShortcut func(fyne.Shortcut)

	face Face
}

// New is a view that shows nothing yet.
func New() *View {
	v := &View{}
	v.ExtendBaseWidget(v)
	return v
}

var (
	_ fyne.Focusable    = (*View)(nil)
	_ fyne.Tabbable     = (*View)(nil)
	_ fyne.Shortcutable = (*View)(nil)
	_ fyne.Tappable     = (*View)(nil)
)

// Display shows a face.
func (v *View) Display(f Face) {
	v.face = f
	v.Refresh()
}

// Shown is what the view shows.
func (v *View) Shown() Face { return v.face }

// AcceptsTab has Tab delivered to the view.
func (v *View) AcceptsTab() bool { return true }

// FocusGained has nothing to show: the view has the keys while it is there.
func (v *View) FocusGained() {}

// FocusLost has nothing to do.
func (v *View) FocusLost() {}

// TypedRune hands a character on.
func (v *View) TypedRune(r rune) { v.OnRune(r) }

// TypedKey hands a key on.
func (v *View) TypedKey(ev *fyne.KeyEvent) { v.OnKey(ev) }

// TypedShortcut hands a shortcut on.
func (v *View) TypedShortcut(sc fyne.Shortcut) { v.OnShortcut(sc) }

// Tapped takes the keys.
func (v *View) Tapped(*fyne.PointEvent) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(v); c != nil {
		c.Focus(v)
	}
}

// MinSize leaves room for the cell and two lines.
func (v *View) MinSize() fyne.Size {
	v.ExtendBaseWidget(v)
	return fyne.NewSize(640, 320)
}

// Sizes of letters in logical pixels, of a view of the size drawn for; a larger
// view has larger ones. A figure is read at 1.5 m from 28 on.
const (
	drawnWidth, drawnHeight = 1280, 720

	nameSize = 56
	cellSize = 120
	lineSize = 36
	wordSize = 30
	hintSize = 20

	margin = 32
)

// drawing is the view's renderer: texts and rectangles, as many as are needed.
type drawing struct {
	v     *View
	k     float32 // size of letters over that drawn for
	back  *canvas.Rectangle
	cell  *canvas.Rectangle
	caret *canvas.Rectangle
	texts []*canvas.Text
	n     int
}

// CreateRenderer makes the view's renderer.
func (v *View) CreateRenderer() fyne.WidgetRenderer {
	d := &drawing{v: v, back: canvas.NewRectangle(nil), cell: canvas.NewRectangle(nil), caret: canvas.NewRectangle(nil)}
	d.Refresh()
	return d
}

// Destroy has nothing to let go of.
func (d *drawing) Destroy() {}

// MinSize is the view's.
func (d *drawing) MinSize() fyne.Size { return d.v.MinSize() }

// Layout draws anew for another size.
func (d *drawing) Layout(fyne.Size) { d.Refresh() }

// Objects are what is drawn, from back to front.
func (d *drawing) Objects() []fyne.CanvasObject {
	all := []fyne.CanvasObject{d.back, d.cell, d.caret}
	for _, t := range d.texts {
		all = append(all, t)
	}
	return all
}

// Refresh draws the face.
func (d *drawing) Refresh() {
	d.n = 0
	size, f := d.v.Size(), d.v.face
	d.k = max(0.5, min(size.Width/drawnWidth, size.Height/drawnHeight))
	fill(d.back, 0, 0, size.Width, size.Height, theme.Color(theme.ColorNameBackground))
	fg, m := theme.Color(theme.ColorNameForeground), margin*d.k
	y := m / 2
	width := d.write(f.Station, m, y, nameSize, fg, fyne.TextStyle{Bold: true})
	d.write(f.Column, m+width+m, y, nameSize, theme.Color(theme.ColorNamePrimary), fyne.TextStyle{Bold: true})
	y = d.drawCell(y + d.k*nameSize*1.4)
	echo := fg
	if c, ok := tintColor(f.Tint, false); ok {
		echo = c
	}
	y = d.wrap(f.Echo, m, y, size.Width-2*m, wordSize, 2, echo)
	d.lines(max(y, d.k*390), size)
	d.write(f.Hint, m, size.Height-d.k*hintSize*1.7, hintSize, theme.Color(theme.ColorNamePlaceHolder), fyne.TextStyle{})
	for _, t := range d.texts[d.n:] {
		t.Hide()
	}
	canvas.Refresh(d.v)
}

// drawCell draws the cell and gives back where what follows may begin.
func (d *drawing) drawCell(y float32) float32 {
	f, m := d.v.face, margin*d.k
	h, size := d.k*cellSize*1.3, d.v.Size()
	fill(d.cell, m, y, size.Width-2*m, h, theme.Color(theme.ColorNameInputBackground))
	d.cell.StrokeWidth, d.cell.CornerRadius = 3, 4
	d.cell.StrokeColor = theme.Color(theme.ColorNamePrimary)
	fg := theme.Color(theme.ColorNameForeground)
	if !f.Typing {
		fg = theme.Color(theme.ColorNamePlaceHolder)
	}
	mono := fyne.TextStyle{Monospace: true}
	text, glyph := []rune(f.Text), d.measure("0", cellSize, mono)
	if fits := int((size.Width - 4*m) / max(glyph, 1)); len(text) > fits && fits > 1 {
		text = append([]rune("…"), text[len(text)-fits+1:]...)
	}
	width := d.write(string(text), 2*m, y, cellSize, fg, mono)
	d.caret.Hidden = !f.Typing
	fill(d.caret, 2*m+width+4, y+h*0.15, 4, h*0.7, theme.Color(theme.ColorNamePrimary))
	return y + h + m/2
}

// lines draws the last readings, as many as there is room for, and the advice.
func (d *drawing) lines(y float32, size fyne.Size) {
	f, m := d.v.face, margin*d.k
	mono := fyne.TextStyle{Monospace: true}
	glyph := d.measure("0", lineSize, mono)
	step := d.k * lineSize * 1.5
	below := d.k * hintSize * 2
	if f.Advice != "" {
		warn, _ := tintColor(sheet.Suspicious, false)
		y = d.wrap(f.Advice, m, y, size.Width-2*m, wordSize, 2, warn) + m/3
	}
	fg := theme.Color(theme.ColorNameForeground)
	for _, l := range f.Last {
		if y+step > size.Height-below {
			return
		}
		x := m
		d.write(l.Name, x, y, lineSize, fg, fyne.TextStyle{Bold: true})
		x += 4 * glyph
		for _, v := range l.Values {
			x += 9 * glyph
			d.write(v, x-d.measure(v, lineSize, mono), y+d.k*5, lineSize, fg, mono)
		}
		c := fg
		if tint, ok := tintColor(l.Tint, l.Good); ok {
			c = tint
		}
		d.write(l.Says, x+2*glyph, y+d.k*3, wordSize, c, fyne.TextStyle{Bold: l.Tint != sheet.Plain})
		y += step
	}
}

// tintColor is the colour of words; false where they have none of their own.
func tintColor(t sheet.Tint, good bool) (color.Color, bool) {
	switch {
	case t == sheet.Suspicious:
		return theme.Color(theme.ColorNameWarning), true
	case t == sheet.Wrong:
		return theme.Color(theme.ColorNameError), true
	case good:
		return theme.Color(theme.ColorNameSuccess), true
	}
	return nil, false
}

// fill places a rectangle and gives it a colour.
func fill(r *canvas.Rectangle, x, y, w, h float32, c color.Color) {
	r.Move(fyne.NewPos(x, y))
	r.Resize(fyne.NewSize(w, h))
	r.FillColor = c
}

// measure is the width of a text.
func (d *drawing) measure(s string, size float32, style fyne.TextStyle) float32 {
	return fyne.MeasureText(s, size*d.k, style).Width
}

// write draws a text with its upper left corner at a point and gives back its width.
func (d *drawing) write(s string, x, y, size float32, c color.Color, style fyne.TextStyle) float32 {
	if d.n == len(d.texts) {
		d.texts = append(d.texts, canvas.NewText("", c))
	}
	t := d.texts[d.n]
	d.n++
	t.Text, t.TextSize, t.Color, t.TextStyle = s, size*d.k, c, style
	t.Move(fyne.NewPos(x, y))
	t.Resize(t.MinSize())
	t.Show()
	return d.measure(s, size, style)
}

// wrap draws words in at most so many lines and gives back where what follows may begin.
func (d *drawing) wrap(s string, x, y, width, size float32, most int, c color.Color) float32 {
	line := ""
	put := func() {
		if line != "" && most > 0 {
			d.write(line, x, y, size, c, fyne.TextStyle{})
			y += d.k * size * 1.4
			most--
		}
	}
	for word := range strings.FieldsSeq(s) {
		longer := strings.TrimSpace(line + " " + word)
		if d.measure(longer, size, fyne.TextStyle{}) > width {
			put()
			longer = word
		}
		line = longer
	}
	put()
	return y
}
