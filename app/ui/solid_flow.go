package ui

import "fyne.io/fyne/v2"

// flow sets objects beside one another and begins a new row where one finds no
// room. Those that are stretched have a row of their own, all of its width.
type flow struct {
	stretched map[fyne.CanvasObject]bool
}

const flowGap = 3

// place sets the objects out in a width and returns the height that they take; put
// is told where each goes.
func (f flow) place(objects []fyne.CanvasObject, width float32, put func(o fyne.CanvasObject, at fyne.Position, size fyne.Size)) float32 {
	var x, y, row float32
	next := func() {
		if x > 0 {
			x, y, row = 0, y+row+flowGap, 0
		}
	}
	for _, o := range objects {
		if !o.Visible() {
			continue
		}
		size := o.MinSize()
		if f.stretched[o] || x > 0 && x+size.Width > width {
			next()
		}
		if f.stretched[o] {
			size.Width = width
		}
		put(o, fyne.NewPos(x, y), size)
		x, row = x+size.Width+flowGap, max(row, size.Height)
		if f.stretched[o] {
			next()
		}
	}
	next()
	return max(y-flowGap, 0)
}

// height is what the objects take in a width.
func (f flow) height(objects []fyne.CanvasObject, width float32) float32 {
	return f.place(objects, width, func(fyne.CanvasObject, fyne.Position, fyne.Size) {})
}

// Layout places the objects.
func (f flow) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	f.place(objects, size.Width, func(o fyne.CanvasObject, at fyne.Position, size fyne.Size) {
		o.Move(at)
		o.Resize(size)
	})
}

// MinSize is as narrow as the widest object.
func (f flow) MinSize(objects []fyne.CanvasObject) (size fyne.Size) {
	for _, o := range objects {
		if o.Visible() && !f.stretched[o] {
			size.Width = max(size.Width, o.MinSize().Width)
		}
	}
	size.Height = f.height(objects, size.Width)
	return size
}

// under sets a picture under a strip that flows.
type under struct{ strip flow }

// Layout gives the strip as many rows as it needs, and the picture the rest.
func (u under) Layout(o []fyne.CanvasObject, size fyne.Size) {
	h := min(u.strip.height(o[0].(*fyne.Container).Objects, size.Width), size.Height)
	o[0].Move(fyne.NewPos(0, 0))
	o[0].Resize(fyne.NewSize(size.Width, h))
	o[1].Move(fyne.NewPos(0, h))
	o[1].Resize(fyne.NewSize(size.Width, size.Height-h))
}

// MinSize is that of the picture: the strip finds room beside it.
func (u under) MinSize(o []fyne.CanvasObject) fyne.Size { return o[1].MinSize() }
