package ui

import (
	"strings"

	"fyne.io/fyne/v2/lang"
)

// headTip says what a column of a list holds; name is its head, which may have a
// unit behind it.
func headTip(list int, name string) string {
	name, _, _ = strings.Cut(name, " ")
	switch list {
	case listTapes:
		switch name {
		case lang.L("how"):
			return lang.L("twin: from a station to its twin on the made half; straight: between two stations; greatest: the width over all. The first letters do.")
		case lang.L("station"):
			return lang.L("The station that the tape was held at.")
		case lang.L("to"):
			return lang.L("The station at the other end; empty for a twin and for the greatest width.")
		case lang.L("length"):
			return lang.L("What the tape read, straight across.")
		}
	case listGaps:
		switch name {
		case lang.L("no"):
			return lang.L("The station of the cut; 12' is the twin of station 12 on the made half.")
		case lang.L("wall"):
			return lang.L("The strip that just slides between the edge of the glass and the wall: 0.6, tight, or 0.6..0.7 where one goes and the next does not.")
		case lang.L("ledge"):
			return lang.L("The strip that just slides between the glass and its ledge; tight where it touches.")
		case lang.L("next"):
			return lang.L("The gap that the next cut is expected to have, with what is ticked put right.")
		}
	case listZero:
		if name == lang.L("reads") {
			return lang.L("What the tool of the heights reads over the empty board, + where the board lies low.")
		}
	}
	return readingTip(name)
}

// readingTip says what a column of a list of readings holds.
func readingTip(name string) string {
	switch name {
	case lang.L("no"):
		return lang.L("The number on the glass. The same number twice is a repeat. ✓: vouched for, ∧: the edge truly breaks there.")
	case lang.L("kind"):
		return lang.L("centre: a point of the centre line; mark: any other place. The first letter does.")
	case lang.L("x"):
		return lang.L("Across the board from the centre line, + to the right: 12 3/8, 314, or 7+3/8 for line 7 plus 3/8.")
	case lang.L("y"):
		return lang.L("Up the board from the base line: 12 3/8, 314, or C+1 1/4 for line C plus 1 1/4.")
	case lang.L("z"):
		return lang.L("The height off the board: at the edge of the upper arris, on the face of the face that was read.")
	case lang.L("miss"):
		return lang.L("How far the reading lies off the fitted shape: + outside the outline, or above the face.")
	case lang.L("±"):
		return lang.L("How far this reading may be off; empty is as all readings.")
	case lang.L("lay"):
		return lang.L("The laying of the pane that the reading belongs to.")
	case lang.L("note"):
		return lang.L("Anything worth remembering of this place.")
	}
	return ""
}
