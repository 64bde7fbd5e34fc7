package ui

import (
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
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

// tipLists has the names of the lists say what belongs into each.
func (w *Window) tipLists() {
	keys := []string{
		lang.L("The places round the edge, clockwise from the bottom centre. Alt+1"),
		lang.L("Heights of the face, best at the crossings of the grid. Alt+2"),
		lang.L("Points of the centre line on the glass, and other marks. Alt+3"),
		lang.L("Widths and lengths taken with a tape. Alt+4"),
		lang.L("What the tool of the heights reads over the empty board. Alt+5"),
		lang.L("The gaps noted when the glass lay in the last cut. Alt+6"),
	}
	w.lists.strip.hover = func(i int, on bool) {
		w.tips.hover(w.lists.strip.buttons[i], on, func() string { return keys[i] })
	}
}

// buttonTips are what a button of a panel does beyond what it says, by its word.
func buttonTips() map[string]string {
	return map[string]string{
		lang.L("Export…"):                                   lang.L("Writes the files into a folder of your choice; an earlier pack is not written over unasked. Ctrl+E"),
		lang.L("Job of the other-hand pane…"):               lang.L("Makes a job of its own of the mirror image of these readings, for the pane of the other side."),
		lang.L("Hold it where it is") + keyGap + "(Ctrl+H)": lang.L("Types the line as it is now, so that it stays while readings change."),
		lang.L("Use what was found") + keyGap + "(Ctrl+U)":  lang.L("Forgets the typed line; the one that the readings give is used again."),
		lang.L("The pane was moved: new laying…"):           lang.L("For a pane that was lifted or turned over: stations read again join the new readings to the old."),
	}
}

// tipButtons has the buttons of the panels say more where there is more to say.
func (w *Window) tipButtons() {
	tips := buttonTips()
	for _, p := range w.panels {
		walk(p.content(), func(o fyne.CanvasObject) {
			b, ok := o.(*button)
			if !ok || tips[b.Text] == "" {
				return
			}
			text := tips[b.Text]
			b.onHover = func(on bool) { w.tips.hover(b, on, func() string { return text }) }
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
	if t.over == nil {
		return
	}
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
	driver, all := fyne.CurrentApp().Driver(), t.w.win.Content()
	at := driver.AbsolutePositionForObject(t.over).Subtract(driver.AbsolutePositionForObject(all)).Add(t.part.at) // below the menu
	high := t.part.size.Height
	if t.part == (room{}) {
		high = t.over.Size().Height
	}
	window := all.Size()
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
