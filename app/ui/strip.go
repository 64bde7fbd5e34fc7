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
	buttons []*widget.Button
	marks   []mark
	open    int
}

// newStrip is a strip of these words; choose is called with the number of the
// one that a person opens.
func newStrip(words []string, choose func(int)) *strip {
	s := &strip{row: container.NewHBox(), marks: make([]mark, len(words)), open: -1}
	for i, word := range words {
		b := widget.NewButton(word, func() { choose(i) })
		b.Importance = widget.LowImportance
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

// sign draws the sign beside a word: a ring, a tick, an
// exclamation mark, or none.
func (s *strip) sign(i int) {
	b := s.buttons[i]
	b.Icon = nil
	switch s.marks[i] {
	case markOpen:
		b.Icon = theme.RadioButtonIcon()
		if i != s.open {
			b.Icon = theme.NewDisabledResource(b.Icon)
		}
	case markDone:
		b.Icon = theme.ConfirmIcon()
		if i != s.open {
			b.Icon = theme.NewSuccessThemedResource(b.Icon)
		}
	case markAttention:
		b.Icon = theme.WarningIcon()
		if i != s.open {
			b.Icon = theme.NewWarningThemedResource(b.Icon)
		}
	}
	b.Refresh()
	s.row.Refresh() // the button's width may have changed
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
