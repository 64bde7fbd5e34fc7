package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// keyTaker is offered the keys that a focused widget has no use for: F8, F1 and
// their like. It reports whether it took the key.
type keyTaker func(*fyne.KeyEvent) bool

// field is a one-line entry that commits when Enter is pressed or the focus
// leaves it, and goes back to what it was on Escape. A text that is refused
// stays, with the reason under it.
type field struct {
	widget.Entry

	set     func(string) error // writes a changed text
	echo    func(string)       // told the text as it is typed; nil: no one
	onKey   keyTaker
	onEnter func() // after Enter committed; nil: nothing
	onEsc   func() // after Escape; nil: nothing

	shown string // as the job holds it
	fault *widget.Label
}

// newField is a field for figures, or for words where mono is false.
func newField(mono bool, set func(string) error, onKey keyTaker) *field {
	f := &field{set: set, onKey: onKey, fault: wrapped("")}
	f.TextStyle.Monospace = mono
	f.fault.Importance = widget.DangerImportance
	f.fault.Hide()
	f.ExtendBaseWidget(f)
	f.OnChanged = func(s string) {
		if f.echo != nil && s != f.shown {
			f.echo(s)
		}
	}
	return f
}

// show sets the text that the job holds, unless it is being typed over, and
// what is wrong with it.
func (f *field) show(text, fault string) {
	if f.Text == f.shown && f.Text != text {
		f.shown = text
		f.SetText(text)
	}
	f.shown = text
	f.setFault(fault)
}

func (f *field) setFault(fault string) {
	if f.fault.Text == fault {
		return
	}
	f.fault.SetText(fault)
	if fault == "" {
		f.fault.Hide()
	} else {
		f.fault.Show()
	}
}

// commit writes the text where it has changed.
func (f *field) commit() bool {
	if f.Text == f.shown || f.set == nil {
		return true
	}
	text := f.Text
	before := f.shown
	f.shown = text // what follows may show the job again
	if err := f.set(text); err != nil {
		f.shown = before
		f.setFault(plain(err))
		return false
	}
	return true
}

// FocusGained brings the field into view.
func (f *field) FocusGained() {
	f.Entry.FocusGained()
	reveal(f)
}

// FocusLost commits.
func (f *field) FocusLost() {
	f.Entry.FocusLost()
	f.commit()
}

// TypedKey commits on Enter and restores on Escape.
func (f *field) TypedKey(ev *fyne.KeyEvent) {
	switch ev.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		if f.commit() && f.onEnter != nil {
			f.onEnter()
		}
	case fyne.KeyEscape:
		f.SetText(f.shown)
		f.setFault("")
		if f.onEsc != nil {
			f.onEsc()
		}
	default:
		if isFunctionKey(ev.Name) && f.onKey != nil && f.onKey(ev) {
			return
		}
		f.Entry.TypedKey(ev)
	}
}

// isFunctionKey says whether a key is one of F1 to F12.
func isFunctionKey(k fyne.KeyName) bool {
	return len(k) >= 2 && k[0] == 'F' && k[1] >= '1' && k[1] <= '9'
}

// button is a button that Enter presses too, and that hands on Escape.
type button struct {
	widget.Button
	onEsc   func()
	onKey   keyTaker
	onHover func(on bool) // the pointer comes over the button, or leaves it; nil: no one is told
}

func newButton(text string, tapped func()) *button {
	b := &button{}
	b.Text, b.OnTapped = text, tapped
	b.ExtendBaseWidget(b)
	return b
}

// MouseIn tells that the pointer is over the button.
func (b *button) MouseIn(ev *desktop.MouseEvent) {
	b.Button.MouseIn(ev)
	if b.onHover != nil {
		b.onHover(true)
	}
}

// MouseOut tells that it has left.
func (b *button) MouseOut() {
	b.Button.MouseOut()
	if b.onHover != nil {
		b.onHover(false)
	}
}

// give gives the button takers of its keys where it has none.
func (b *button) give(key func(*fyne.KeyEvent), escape func()) {
	if b.onKey == nil {
		b.onKey = func(ev *fyne.KeyEvent) bool { key(ev); return true }
	}
	if b.onEsc == nil {
		b.onEsc = escape
	}
}

// FocusGained brings the button into view.
func (b *button) FocusGained() {
	b.Button.FocusGained()
	reveal(b)
}

// TypedKey presses the button on Enter and Space.
func (b *button) TypedKey(ev *fyne.KeyEvent) {
	switch ev.Name {
	case fyne.KeyReturn, fyne.KeyEnter, fyne.KeySpace:
		if !b.Disabled() {
			b.Tapped(&fyne.PointEvent{})
		}
	case fyne.KeyEscape:
		if b.onEsc != nil {
			b.onEsc()
		}
	default:
		if b.onKey != nil {
			b.onKey(ev)
		}
	}
}

// wrapped is a label that wraps at words.
func wrapped(text string) *widget.Label {
	l := widget.NewLabel(text)
	l.Wrapping = fyne.TextWrapWord
	return l
}

// caption is a small wrapped label.
func caption(text string) *widget.Label {
	l := wrapped(text)
	l.SizeName = theme.SizeNameCaptionText
	return l
}

// dim is a caption of lesser weight.
func dim(text string) *widget.Label {
	l := caption(text)
	l.Importance = widget.LowImportance
	return l
}

// setText changes a label only where it differs.
func setText(l *widget.Label, text string) {
	if l.Text != text {
		l.SetText(text)
	}
}

// setLabel changes a label's text and weight only where they differ.
func setLabel(l *widget.Label, text string, imp widget.Importance) {
	if l.Text == text && l.Importance == imp {
		return
	}
	l.Importance = imp
	l.SetText(text)
	l.Refresh()
}
