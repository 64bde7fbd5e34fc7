package sheet

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
)

// rect draws a rectangle behind the texts.
func (d *drawing) rect(x, y, w, h float32, c color.Color) *canvas.Rectangle {
	if d.nRect == len(d.rects) {
		d.rects = append(d.rects, canvas.NewRectangle(c))
		d.collect()
	}
	r := d.rects[d.nRect]
	d.nRect++
	d.stroke(r, nil, 0)
	place(r, x, y, w, h, c)
	return r
}

// bar draws a rectangle in front of the texts.
func (d *drawing) bar(x, y, w, h float32, c color.Color) *canvas.Rectangle {
	if d.nOver == len(d.over) {
		d.over = append(d.over, canvas.NewRectangle(c))
		d.collect()
	}
	r := d.over[d.nOver]
	d.nOver++
	if r.CornerRadius != 0 {
		r.CornerRadius = 0
		r.Refresh()
	}
	place(r, x, y, w, h, c)
	return r
}

// place moves a rectangle and redraws it only where it changed.
func place(r *canvas.Rectangle, x, y, w, h float32, c color.Color) {
	r.Move(fyne.NewPos(x, y))
	r.Resize(fyne.NewSize(w, h))
	if r.FillColor != c {
		r.FillColor = c
		r.Refresh()
	}
	if r.Hidden {
		r.Show()
	}
}

// stroke gives a rectangle an outline, or none.
func (d *drawing) stroke(r *canvas.Rectangle, c color.Color, width float32) {
	if r.StrokeColor != c || r.StrokeWidth != width {
		r.StrokeColor, r.StrokeWidth = c, width
		r.Refresh()
	}
}

// text draws a text, in the middle of a row's height.
func (d *drawing) text(s string, x, y, w float32, c color.Color, style fyne.TextStyle) {
	if d.nText == len(d.texts) {
		d.texts = append(d.texts, canvas.NewText("", c))
		d.collect()
	}
	t := d.texts[d.nText]
	d.nText++
	size := theme.TextSize()
	t.Move(fyne.NewPos(x, y))
	if want := fyne.NewSize(w, d.s.rowHeight()); t.Size() != want {
		t.Resize(want)
	}
	if t.Text != s || t.Color != c || t.TextStyle != style || t.TextSize != size {
		t.Text, t.Color, t.TextStyle, t.TextSize = s, c, style, size
		t.Refresh()
	}
	if t.Hidden {
		t.Show()
	}
}

// collect lists the pooled objects from back to front.
func (d *drawing) collect() {
	d.all = d.all[:0:0]
	for _, r := range d.rects {
		d.all = append(d.all, r)
	}
	for _, t := range d.texts {
		d.all = append(d.all, t)
	}
	for _, r := range d.over {
		d.all = append(d.all, r)
	}
}

// hideRest hides what this drawing did not use.
func (d *drawing) hideRest() {
	for _, r := range d.rects[d.nRect:] {
		if !r.Hidden {
			r.Hide()
		}
	}
	for _, t := range d.texts[d.nText:] {
		if !t.Hidden {
			t.Hide()
		}
	}
	for _, r := range d.over[d.nOver:] {
		if !r.Hidden {
			r.Hide()
		}
	}
}

// withAlpha is a colour at another opacity.
func withAlpha(c color.Color, a uint8) color.Color {
	r, g, b, _ := c.RGBA()
	return color.NRGBA{uint8(r >> 8), uint8(g >> 8), uint8(b >> 8), a}
}
