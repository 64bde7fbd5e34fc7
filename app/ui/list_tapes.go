package ui

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2/lang"

	"panewright/app/ui/sheet"
	"panewright/board"
)

// tapeList is the taped widths as the model of a sheet.
type tapeList struct {
	door door
}

// The columns of the tapes.
const (
	tapeHow = iota
	tapeFrom
	tapeTo
	tapeLength
)

// Rows is the number of taped widths.
func (l *tapeList) Rows() int { return len(l.door.State().Job.Tapes) }

// Columns are how, from, to and length.
func (l *tapeList) Columns() []sheet.Column {
	return []sheet.Column{
		{Head: lang.L("how"), Weight: 1.2, Left: true},
		{Head: lang.L("station"), Weight: 1, Entry: true, Left: true},
		{Head: lang.L("to"), Weight: 0.8, Left: true},
		{Head: lang.L("length"), Weight: 1.3, Entry: true},
	}
}

// Cell shows a field of a taped width.
func (l *tapeList) Cell(row, col int) sheet.Cell {
	s := l.door.State()
	t := s.Job.Tapes[row]
	c := sheet.Cell{Text: tapeText(t, col, s.Job.Unit), Struck: t.Struck}
	if t.Struck {
		c.Note = lang.L("Struck: {{.Reason}}", map[string]any{"Reason": t.Reason})
		return c
	}
	if col == tapeLength && t.Length.Fault != "" {
		c.Tint, c.Note = sheet.Wrong, capital(t.Length.Fault)
		return c
	}
	for _, f := range s.Findings {
		if f.List == "tapes" && f.Row == row+1 && (f.Field == tapeField(col) || f.Field == "" && col == tapeFrom) {
			c.Tint, c.Note = sheet.Suspicious, f.Text
			break
		}
	}
	return c
}

// tapeField is a column's name in findings.
func tapeField(col int) string {
	return [...]string{"how", "from", "to", "length"}[col]
}

// tapeText is a field as it was typed.
func tapeText(t board.Tape, col int, u board.Unit) string {
	switch col {
	case tapeHow:
		return t.How.String()
	case tapeFrom:
		return t.From
	case tapeTo:
		return t.To
	}
	return typed(t.Length, u)
}

// Echo says what a typed length means in both units, and what a way of taping is.
func (l *tapeList) Echo(_, col int, text string) (string, sheet.Tint) {
	switch {
	case strings.TrimSpace(text) == "":
		return "", sheet.Plain
	case col == tapeLength:
		return echo(l.door.State().Job, text, board.AxisLength)
	case col == tapeHow:
		return lang.L("twin: full width to the mirror twin · straight: between two stations · greatest: greatest width near the station"), sheet.Plain
	}
	return "", sheet.Plain
}

// Set writes a cell; on the empty row it adds a taped width.
func (l *tapeList) Set(row, col int, text string) error {
	name := lang.L("Add a taped width")
	if row < l.Rows() {
		name = lang.L("Taped width {{.N}}", map[string]any{"N": row + 1})
	}
	return l.door.Edit(name, func(j *board.Job) error { return putTape(j, row, col, text) })
}

// SetBlock writes a pasted block.
func (l *tapeList) SetBlock(row, col int, block [][]string) error {
	return l.door.Edit(blockName(block), func(j *board.Job) error {
		for i, line := range block {
			for k, text := range line {
				if col+k > tapeLength {
					break
				}
				if err := putTape(j, row+i, col+k, text); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

// putTape writes one field of a taped width of a job being edited. A new one is
// taped as the one before it.
func putTape(j *board.Job, row, col int, text string) error {
	for len(j.Tapes) <= row {
		how := board.Twin
		if n := len(j.Tapes); n > 0 {
			how = j.Tapes[n-1].How
		}
		j.Tapes = append(j.Tapes, board.Tape{How: how})
	}
	switch col {
	case tapeHow:
		how, ok := parseHow(strings.TrimSpace(text))
		if !ok {
			return fmt.Errorf("%s", lang.L("type twin, straight or greatest"))
		}
		text = how.String()
	case tapeTo:
		if strings.TrimSpace(text) != "" {
			j.Tapes[row].How = board.Straight
		}
	}
	return j.SetTape(row, tapeField(col), text)
}

// parseHow reads a way of taping by its word or how it begins.
func parseHow(text string) (board.How, bool) {
	text = strings.ToLower(text)
	for _, h := range []board.How{board.Twin, board.Straight, board.Greatest} {
		if text != "" && strings.HasPrefix(h.String(), text) {
			return h, true
		}
	}
	return 0, false
}
