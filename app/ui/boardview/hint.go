package boardview

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"

	"panewright/app/ui/look"
)

// hintLines is the most lines that a hint has.
const hintLines = 7

// hint is the small label at the pointer. It is made of plain objects above the
// picture, so that moving it costs no painting and it never takes a click.
type hint struct {
	back  *canvas.Rectangle
	lines [hintLines]*canvas.Text
}

func newHint() *hint {
	h := &hint{back: canvas.NewRectangle(nil)}
	h.back.StrokeWidth = 1
	h.back.CornerRadius = 2
	for i := range h.lines {
		h.lines[i] = canvas.NewText("", nil)
	}
	h.recolour()
	h.hide()
	return h
}

func (h *hint) recolour() {
	col := look.Current()
	h.back.FillColor, h.back.StrokeColor = col.LabelBack, col.LabelFrame
	for _, t := range h.lines {
		t.Color, t.TextSize = col.Label, look.Small*look.Scale()
	}
}

func (h *hint) objects() []fyne.CanvasObject {
	all := []fyne.CanvasObject{h.back}
	for _, t := range h.lines {
		all = append(all, t)
	}
	return all
}

func (h *hint) hide() {
	for _, o := range h.objects() {
		o.Hide()
	}
}

// show writes the lines beside the point at, inside a picture of the given size.
func (h *hint) show(text []string, at fyne.Position, size fyne.Size) {
	const away, pad = 16, 5
	if len(text) == 0 {
		h.hide()
		return
	}
	var width, height float32
	for i, t := range h.lines {
		if i >= len(text) {
			t.Hide()
			continue
		}
		t.Text = text[i]
		t.TextStyle.Bold = i == 0 && len(text) > 1
		m := t.MinSize()
		t.Resize(m)
		width, height = max(width, m.Width), height+m.Height
	}
	width, height = width+2*pad, height+2*pad
	x, y := at.X+away, at.Y+away
	if x+width > size.Width {
		x = at.X - away - width
	}
	if y+height > size.Height {
		y = at.Y - away - height
	}
	x, y = max(min(x, size.Width-width), 0), max(y, 0)
	h.back.Move(fyne.NewPos(x, y))
	h.back.Resize(fyne.NewSize(width, height))
	h.back.Show()
	h.back.Refresh()
	y += pad
	for i, t := range h.lines {
		if i < len(text) {
			t.Move(fyne.NewPos(x+pad, y))
			t.Show()
			t.Refresh()
			y += t.MinSize().Height
		}
	}
}
