package ui

import (
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"panewright/board"
)

// form is a column of named settings: words to the left, what is set to the
// right, remarks under it.
type form struct {
	box  *fyne.Container
	w    *Window
	show []func(j *board.Job) // bring each setting up to date
}

func newForm(w *Window) *form {
	return &form{w: w, box: container.New(&formLayout{gap: formGap})}
}

// formLayout sets pairs of objects in two columns: the left as narrow as its
// widest, at most half of the width, the right in the rest. Objects of a pair
// share their upper edge.
type formLayout struct {
	gap float32 // between rows, less where they are drawn close
}

// Gaps of forms.
const (
	formGap  = 3  // between the columns, and between rows that hold widgets
	closeGap = -6 // between rows of words only, whose labels bring space of their own
)

// left is the width of the left column.
func (formLayout) left(objects []fyne.CanvasObject, width float32) float32 {
	var l float32
	for i := 0; i+1 < len(objects); i += 2 {
		if objects[i].Visible() {
			l = max(l, objects[i].MinSize().Width)
		}
	}
	return min(l, width*0.62)
}

// Layout places the pairs.
func (f formLayout) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	l := f.left(objects, size.Width)
	y := float32(0)
	for i := 0; i+1 < len(objects); i += 2 {
		a, b := objects[i], objects[i+1]
		if !a.Visible() && !b.Visible() {
			continue
		}
		a.Resize(fyne.NewSize(l, a.MinSize().Height))
		b.Resize(fyne.NewSize(size.Width-l-formGap, b.MinSize().Height))
		h := max(a.MinSize().Height, b.MinSize().Height)
		a.Move(fyne.NewPos(0, y))
		b.Move(fyne.NewPos(l+formGap, y))
		y += h + f.gap
	}
}

// MinSize is as high as the pairs, and narrow.
func (f formLayout) MinSize(objects []fyne.CanvasObject) fyne.Size {
	var s fyne.Size
	for i := 0; i+1 < len(objects); i += 2 {
		a, b := objects[i], objects[i+1]
		if !a.Visible() && !b.Visible() {
			continue
		}
		s.Width = max(s.Width, a.MinSize().Width+formGap+b.MinSize().Width)
		s.Height += max(a.MinSize().Height, b.MinSize().Height) + f.gap
	}
	return s
}

// row adds a named object.
func (f *form) row(name string, o fyne.CanvasObject) {
	f.box.Add(widget.NewLabel(name))
	f.box.Add(o)
}

// text adds a field: get is what the job holds and what is wrong with it, set
// changes a job being edited.
func (f *form) text(name string, mono bool, edit string, get func(*board.Job) (text, fault string), set func(*board.Job, string) error) *field {
	e := newField(mono, func(s string) error {
		return f.w.Edit(edit, func(j *board.Job) error { return set(j, s) })
	}, f.w.key)
	f.row(name, container.NewVBox(e, e.fault))
	f.show = append(f.show, func(j *board.Job) { e.show(get(j)) })
	return e
}

// cell adds a field over one of the job's cells, with the echo of both units
// while it is typed.
func (f *form) cell(name, edit string, axis board.Axis, of func(*board.Job) *board.Cell) *field {
	e := f.text(name, true, edit, func(j *board.Job) (string, string) {
		c := of(j)
		if c == nil {
			return "", ""
		}
		return typed(*c, j.Unit), capital(c.Fault)
	}, func(j *board.Job, s string) error {
		*of(j) = j.Typed(s)
		return nil
	})
	e.echo = func(s string) { f.w.say(echo(f.w.state.Job, s, axis)) }
	return e
}

// size adds a field over a length in millimetres that keeps no text of its own.
func (f *form) size(name, edit string, of func(*board.Job) *float64) *field {
	e := f.text(name, true, edit, func(j *board.Job) (string, string) {
		return sizeText(j, *of(j)), ""
	}, func(j *board.Job, s string) error {
		mm, _, err := board.Parse(s, board.AxisLength, j.Unit, j.Comma, j.Grid)
		if err != nil {
			return err
		}
		*of(j) = mm
		return nil
	})
	e.echo = func(s string) { f.w.say(echo(f.w.state.Job, s, board.AxisLength)) }
	return e
}

// sizeText is a length as it would be typed: a fraction of an inch where it is one.
func sizeText(j *board.Job, mm float64) string {
	if text, miss := board.FormatFraction(mm, 64); j.Unit == board.Inch && math.Abs(miss) < 1e-6 {
		return text
	}
	return typedLength(j, mm)
}

// choice adds a list of words of which one is chosen.
func (f *form) choice(name, edit string, words []string, get func(*board.Job) int, set func(*board.Job, int)) *choice {
	c := newChoice(words, func(i int) {
		f.w.report(f.w.Edit(edit, func(j *board.Job) error { set(j, i); return nil }))
	})
	f.row(name, c)
	f.show = append(f.show, func(j *board.Job) { c.show(get(j)) })
	return c
}

// update brings every setting up to date.
func (f *form) update(j *board.Job) {
	for _, s := range f.show {
		s(j)
	}
}

// choice is a drop-down list that tells a person's choosing from being shown.
type choice struct {
	widget.Select
	at      int
	showing bool
	onKey   func(*fyne.KeyEvent) // takes the keys that choose nothing; nil: no one does
}

func newChoice(words []string, chosen func(int)) *choice {
	c := &choice{at: -1}
	c.Options = words
	c.OnChanged = func(string) {
		if i := c.SelectedIndex(); !c.showing && i >= 0 && i != c.at {
			c.at = i
			chosen(i)
		}
	}
	c.ExtendBaseWidget(c)
	return c
}

// FocusGained brings the list into view.
func (c *choice) FocusGained() {
	c.Select.FocusGained()
	reveal(c)
}

// TypedKey chooses by the arrows and opens the list by Space; the rest is handed on.
func (c *choice) TypedKey(ev *fyne.KeyEvent) {
	switch ev.Name {
	case fyne.KeyUp, fyne.KeyDown, fyne.KeyLeft, fyne.KeyRight, fyne.KeySpace:
		c.Select.TypedKey(ev)
	default:
		if c.onKey != nil {
			c.onKey(ev)
		}
	}
}

// show sets the word shown.
func (c *choice) show(i int) {
	if c.at == i && c.SelectedIndex() == i {
		return
	}
	c.showing = true
	c.at = i
	c.SetSelectedIndex(i)
	c.showing = false
}

// figures is a table of named figures, drawn close.
type figures struct {
	box    *fyne.Container
	names  []*widget.Label
	values []*widget.Label
}

func newFigures(names ...string) *figures {
	f := &figures{box: container.New(&formLayout{gap: closeGap})}
	for _, n := range names {
		l := widget.NewLabel(n)
		v := widget.NewLabel("")
		v.Alignment = fyne.TextAlignTrailing
		v.TextStyle.Monospace = true
		f.names, f.values = append(f.names, l), append(f.values, v)
		f.box.Add(l)
		f.box.Add(v)
	}
	return f
}

// show sets the figures; an empty one is shown as a dash.
func (f *figures) show(values ...string) {
	for i, v := range values {
		if v == "" {
			v = "–"
		}
		setText(f.values[i], v)
	}
}

// name changes the name of a figure.
func (f *figures) name(i int, name string) { setText(f.names[i], name) }

// rows says which of the figures are shown; those not spoken of are not.
func (f *figures) rows(on ...bool) {
	for i := range f.values {
		shown := i < len(on) && on[i]
		setVisible(f.names[i], shown)
		setVisible(f.values[i], shown)
	}
}

// headline is the first thing that a panel says, large.
func headline() *widget.Label {
	l := wrapped("")
	l.SizeName = theme.SizeNameHeadingText
	return l
}

// title is the name of a part of a panel.
func title(text string) fyne.CanvasObject {
	l := wrapped(text)
	l.TextStyle.Bold = true
	return l
}
