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
	say  func() string
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
	if !on {
		if t.over == o {
			t.hide()
		}
		return
	}
	t.hide()
	t.over, t.say = o, say
	time.AfterFunc(tipAfter, func() {
		t.w.post(func() {
			if t.over == o {
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
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject(t.over)
	room := t.w.win.Canvas().Size()
	y := at.Y + t.over.Size().Height + 3
	if y+size.Height > room.Height {
		y = at.Y - size.Height - 3
	}
	at = fyne.NewPos(max(0, min(at.X, room.Width-size.Width)), max(0, y))
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
