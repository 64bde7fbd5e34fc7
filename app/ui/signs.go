package ui

import (
	"fyne.io/fyne/v2/lang"

	"panewright/board"
)

// Signs of what a person said of a reading.
const (
	signSure  = "✓"
	signBreak = "∧"
)

// signs are the signs of what was said of a reading.
func signs(r board.Reading) (s string) {
	if r.Break {
		s += signBreak
	}
	if r.Sure {
		s += signSure
	}
	return s
}

// sayings are the sentences that its signs stand for.
func sayings(r board.Reading) (s []string) {
	if r.Sure {
		s = append(s, lang.L("Vouched for: it is used however far it lies off."))
	}
	if r.Break {
		s = append(s, lang.L("The edge truly breaks here."))
	}
	return s
}
