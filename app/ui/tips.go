package ui

import (
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"panewright/app/ui/look"
)

// tipAfter is how long the pointer rests on a thing before its tip comes.
const tipAfter = 400 * time.Millisecond

// tipWidth is the greatest width of a tip in normal type.
const tipWidth = 340

// tips are the small texts beside what the pointer rests on. They lie over the
// whole window, of plain objects that take neither clicks nor keys.
type tips struct {
	w     *Window
	layer *fyne.Container
	back  *canvas.Rectangle
	text  *widget.Label

	over fyne.CanvasObject // what the pointer rests on; nil: nothing with a tip
	part room              // of it, where it has several parts; zero: all of it
	say  func() string
}

// room is a part of an object.
type room struct {
	at   fyne.Position
	size fyne.Size
}

func newTips(w *Window) *tips {
	t := &tips{w: w, back: canvas.NewRectangle(nil), text: wrapped("")}
	t.back.StrokeWidth, t.back.CornerRadius = 1, 2
	t.layer = container.NewWithoutLayout(t.back, t.text)
	t.layer.Hide()
	return t
}

// hover is told that the pointer comes over an object with a tip, or leaves it.
func (t *tips) hover(o fyne.CanvasObject, on bool, say func() string) {
	t.hoverPart(o, room{}, on, say)
}

// hoverPart is hover over a part of an object.
func (t *tips) hoverPart(o fyne.CanvasObject, part room, on bool, say func() string) {
	if !on {
		if t.over == o {
			t.hide()
		}
		return
	}
	t.hide()
	t.over, t.part, t.say = o, part, say
	time.AfterFunc(tipAfter, func() {
		t.w.post(func() {
			if t.over == o && t.part == part {
				t.show()
			}
		})
	})
}

// tipped has a line that is cut shown whole while the pointer rests on it.
func (w *Window) tipped(l *sayLabel) {
	l.onHover = func(on bool) {
		w.tips.hover(l, on, func() string {
			if l.cut() {
				return l.Text
			}
			return ""
		})
	}
}

// tipHeads has the heads of the lists say what their columns hold.
func (w *Window) tipHeads() {
	for i, s := range w.lists.sheets {
		s.OnHover = func(col int) {
			if col < 0 {
				w.tips.hover(s, false, nil)
				return
			}
			name, at, size := s.Head(col)
			w.tips.hoverPart(s, room{at, size}, true, func() string { return headTip(i, name) })
		}
	}
}

// change writes the tip in view anew, where what it says has changed.
func (t *tips) change() {
	if t.layer.Visible() && t.text.Text != t.say() {
		t.show()
	}
}

// show lays the tip under its object, or above where there is no room.
func (t *tips) show() {
	words := t.say()
	if words == "" || t.w.busy() {
		return
	}
	c := look.Current()
	t.back.FillColor, t.back.StrokeColor = c.LabelBack, c.LabelFrame
	t.text.SetText(words)
	width := fyne.MeasureText(words, theme.TextSize(), fyne.TextStyle{}).Width + 2*theme.InnerPadding() + 2
	width = min(width, tipWidth*look.Scale())
	t.text.Resize(fyne.NewSize(width, t.text.MinSize().Height))
	size := fyne.NewSize(width, t.text.MinSize().Height)
	at, high := fyne.CurrentApp().Driver().AbsolutePositionForObject(t.over).Add(t.part.at), t.part.size.Height
	if t.part == (room{}) {
		high = t.over.Size().Height
	}
	window := t.w.win.Canvas().Size()
	y := at.Y + high + 3
	if y+size.Height > window.Height {
		y = at.Y - size.Height - 3
	}
	at = fyne.NewPos(max(0, min(at.X, window.Width-size.Width)), max(0, y))
	for _, o := range t.layer.Objects {
		o.Move(at)
		o.Resize(size)
	}
	t.layer.Show()
	t.layer.Refresh()
}

// hide takes the tip away.
func (t *tips) hide() {
	t.over = nil
	if t.layer.Visible() {
		t.layer.Hide()
	}
}
