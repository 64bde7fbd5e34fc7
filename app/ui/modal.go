package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// answer is a button of a modal: its words and what it does. do reports whether
// the modal closes.
type answer struct {
	text string
	do   func() bool
}

// modal is a question laid over the window. Enter gives its first answer,
// Escape its last; every answer is a button too.
type modal struct {
	name    string // for the state that tests read
	w       *Window
	pop     *widget.PopUp
	buttons []*button
	answers []answer
	keys    *keyRoot
	entry   *field // takes the focus; may be nil
	shown   bool
	closed  func()
}

// keyRoot takes the keys of a modal while nothing in it has the focus.
type keyRoot struct {
	widget.BaseWidget
	onKey func(*fyne.KeyEvent)
}

func newKeyRoot(onKey func(*fyne.KeyEvent)) *keyRoot {
	k := &keyRoot{onKey: onKey}
	k.ExtendBaseWidget(k)
	return k
}

func (k *keyRoot) FocusGained()               {}
func (k *keyRoot) FocusLost()                 {}
func (k *keyRoot) TypedRune(rune)             {}
func (k *keyRoot) TypedKey(ev *fyne.KeyEvent) { k.onKey(ev) }
func (k *keyRoot) MinSize() fyne.Size         { return fyne.Size{} }
func (k *keyRoot) CreateRenderer() fyne.WidgetRenderer {
	return widget.NewSimpleRenderer(container.NewWithoutLayout())
}

// ask lays a modal over the window. The first answer is the one that Enter
// gives, the last is what Escape means. entry, where there is one, has the focus.
func (w *Window) ask(name, title string, content fyne.CanvasObject, entry *field, answers ...answer) *modal {
	m := &modal{name: name, w: w, answers: answers, entry: entry}
	m.keys = newKeyRoot(m.typed)
	row := container.NewHBox(layout.NewSpacer())
	for i := range answers {
		b := newButton(answers[i].text, func() { m.give(i) })
		b.onEsc = m.escape
		if i == 0 {
			b.Importance = widget.HighImportance
		}
		m.buttons = append(m.buttons, b)
	}
	for i := len(m.buttons) - 1; i >= 0; i-- {
		row.Add(m.buttons[i])
	}
	if entry != nil {
		entry.onEnter, entry.onEsc = func() { m.give(0) }, m.escape
	}
	giveKeys(content, m.typed, m.escape)
	head := wrapped(title)
	head.SizeName = theme.SizeNameSubHeadingText
	head.TextStyle.Bold = true
	body := container.NewBorder(head, container.NewVBox(widget.NewSeparator(), row), nil, nil, container.NewPadded(content))
	m.pop = widget.NewModalPopUp(container.NewStack(m.keys, container.NewPadded(body)), w.win.Canvas())
	w.modals = append(w.modals, m)
	m.resize(fyne.NewSize(460, 0))
	m.pop.Show()
	m.shown = true
	if entry != nil {
		w.win.Canvas().Focus(entry)
		entry.TypedShortcut(&fyne.ShortcutSelectAll{})
	} else {
		w.win.Canvas().Focus(m.keys)
	}
	return m
}

// resize gives the modal at least a size, never more than the window has, in the
// middle of it.
func (m *modal) resize(s fyne.Size) {
	room := m.w.win.Canvas().Size()
	s = s.Max(m.pop.MinSize())
	s = fyne.NewSize(min(s.Width, room.Width-40), min(s.Height, room.Height-40))
	m.pop.Resize(s)
	if m.shown { // the first place is Fyne's own, so that it follows the window's size
		m.pop.Move(fyne.NewPos((room.Width-s.Width)/2, (room.Height-s.Height)/2))
	}
}

// typed answers to the keys that no widget of the modal takes.
func (m *modal) typed(ev *fyne.KeyEvent) {
	switch ev.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		m.give(0)
	case fyne.KeyEscape:
		m.escape()
	}
}

func (m *modal) escape() { m.give(len(m.answers) - 1) }

// give gives an answer and closes the modal where it says so.
func (m *modal) give(i int) {
	if m.pop.Hidden || m.buttons[i].Disabled() {
		return
	}
	if do := m.answers[i].do; do == nil || do() {
		m.close()
	}
}

// close takes the modal away; the focus goes back to where it was.
func (m *modal) close() {
	if m.pop.Hidden {
		return
	}
	m.pop.Hide()
	for i, o := range m.w.modals {
		if o == m {
			m.w.modals = append(m.w.modals[:i:i], m.w.modals[i+1:]...)
			break
		}
	}
	if m.closed != nil {
		m.closed()
	}
}

// tell lays a message over the window that Enter and Escape close.
func (w *Window) tell(name, title, text string) {
	w.ask(name, title, wrapped(text), nil, answer{text: closeWord()})
}

// top is the modal on top, nil where there is none.
func (w *Window) top() *modal {
	if n := len(w.modals); n > 0 {
		return w.modals[n-1]
	}
	return nil
}
