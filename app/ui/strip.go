package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// mark is the small sign beside a step's or a list's name.
type mark int

const (
	markNone mark = iota // nothing to say
	markOpen             // not done yet
	markDone
	markAttention
)

// strip is a row of words of which one is open: the steps, the lists.
type strip struct {
	row     *fyne.Container
	buttons []*button
	marks   []mark
	open    int
	hover   func(i int, on bool) // the pointer comes over a word, or leaves it; nil: no one is told
}

// newStrip is a strip of these words; choose is called with the number of the
// one that a person opens.
func newStrip(words []string, choose func(int)) *strip {
	s := &strip{row: container.NewHBox(), marks: make([]mark, len(words)), open: -1}
	for i, word := range words {
		b := newButton(word, func() { choose(i) })
		b.Importance = widget.LowImportance
		b.onHover = func(on bool) {
			if s.hover != nil {
				s.hover(i, on)
			}
		}
		s.buttons = append(s.buttons, b)
		s.row.Add(b)
	}
	return s
}

// show marks the open word.
func (s *strip) show(open int) {
	if s.open == open {
		return
	}
	s.open = open
	for i, b := range s.buttons {
		want := widget.LowImportance
		if i == open {
			want = widget.HighImportance
		}
		if b.Importance != want {
			b.Importance = want
			s.sign(i)
		}
	}
}

// setMark sets the sign beside a word.
func (s *strip) setMark(i int, m mark) {
	if s.marks[i] != m {
		s.marks[i] = m
		s.sign(i)
	}
}

// sign draws the sign beside a word.
func (s *strip) sign(i int) {
	b := s.buttons[i]
	b.Icon = signIcon(s.marks[i], i == s.open)
	b.Refresh()
	s.row.Refresh() // the button's width may have changed
}

// signIcon is a sign: a ring, a tick, an exclamation mark, or none; plain for the
// word that is open.
func signIcon(m mark, open bool) fyne.Resource {
	var icon, tinted fyne.Resource
	switch m {
	case markOpen:
		icon = theme.RadioButtonIcon()
		tinted = theme.NewDisabledResource(icon)
	case markDone:
		icon = theme.ConfirmIcon()
		tinted = theme.NewSuccessThemedResource(icon)
	case markAttention:
		icon = theme.WarningIcon()
		tinted = theme.NewWarningThemedResource(icon)
	}
	if open {
		return icon
	}
	return tinted
}

// setVisible shows a word, or leaves it out.
func (s *strip) setVisible(i int, on bool) {
	if s.buttons[i].Visible() != on {
		setVisible(s.buttons[i], on)
		s.row.Refresh()
	}
}

// setWord changes a word.
func (s *strip) setWord(i int, word string) {
	if b := s.buttons[i]; b.Text != word {
		b.SetText(word)
		s.row.Refresh()
	}
}
