package ui

import (
	"slices"
	"strings"

	"fyne.io/fyne/v2/lang"

	"panewright/app/ui/sheet"
	"panewright/board"
)

// zeroList is the readings of the empty board as the model of a sheet.
type zeroList struct {
	door door
}

// zeroFields are the fields of a point in the order of the columns; the first
// column counts the rows.
var zeroFields = [...]string{"", fieldX, fieldY, fieldZ}

// Rows is the number of points.
func (l *zeroList) Rows() int { return len(l.points()) }

func (l *zeroList) points() []board.ZeroPoint { return l.door.State().Job.Checks.Zero.Points }

// Columns are the row's number, x, y and what the tool reads there.
func (l *zeroList) Columns() []sheet.Column {
	return []sheet.Column{
		{Head: lang.L("no"), Weight: 0.62, ReadOnly: true, Left: true},
		{Head: lang.L("x"), Weight: 1.2, Entry: true},
		{Head: lang.L("y"), Weight: 1.2, Entry: true},
		{Head: lang.L("reads"), Weight: 1.2, Entry: true},
	}
}

// zeroCell is the cell of a field.
func zeroCell(p *board.ZeroPoint, field string) *board.Cell {
	switch field {
	case fieldX:
		return &p.X
	case fieldY:
		return &p.Y
	}
	return &p.Z
}

// Cell shows a field of a point.
func (l *zeroList) Cell(row, col int) sheet.Cell {
	s := l.door.State()
	if col == 0 {
		return sheet.Cell{Text: number(s.Job, float64(row+1), 0), Tint: sheet.Dim}
	}
	p := l.points()[row]
	cell := zeroCell(&p, zeroFields[col])
	c := sheet.Cell{Text: typed(*cell, s.Job.Unit)}
	if cell.Fault != "" {
		c.Tint, c.Note = sheet.Wrong, capital(cell.Fault)
		return c
	}
	for _, f := range s.Findings {
		if f.List == listKeys[listZero] && f.Row == row+1 && f.Field == zeroFields[col] {
			c.Tint, c.Note = sheet.Suspicious, said(f.Text)
			break
		}
	}
	return c
}

// Echo says what a typed text means in both units.
func (l *zeroList) Echo(_, col int, text string) (string, sheet.Tint) {
	axis, ok := axisOf(zeroFields[col])
	if !ok || strings.TrimSpace(text) == "" {
		return "", sheet.Plain
	}
	return echo(l.door.State().Job, text, axis)
}

// Set writes a cell; on the empty row it adds a point.
func (l *zeroList) Set(row, col int, text string) error {
	return l.SetBlock(row, col, [][]string{{text}})
}

// SetBlock writes a pasted block.
func (l *zeroList) SetBlock(row, col int, block [][]string) error {
	name := lang.L("Read the empty board")
	if len(block) > 1 {
		name = blockName(block)
	}
	return l.door.Edit(name, func(j *board.Job) error {
		for i, line := range block {
			for len(j.Checks.Zero.Points) <= row+i {
				if err := j.InsertZero(len(j.Checks.Zero.Points)); err != nil {
					return err
				}
			}
			for k, text := range line {
				if c := col + k; c > 0 && c < len(zeroFields) {
					if err := j.SetZero(row+i, zeroFields[c], text); err != nil {
						return err
					}
				}
			}
		}
		return nil
	})
}

// deleteZero takes the selected points out.
func (w *Window) deleteZero(first, n int) {
	if n == 0 {
		return
	}
	w.report(w.Edit(lang.L("Delete {{.N}} points of the empty board", map[string]any{"N": n}), func(j *board.Job) error {
		j.Checks.Zero.Points = slices.Delete(j.Checks.Zero.Points, first, first+n)
		return nil
	}))
}
