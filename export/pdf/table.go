package pdf

import (
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
)

// Column is a column of a table: its head, its share of the width, and how its
// cells stand.
type Column struct {
	Head  string
	Share float64
	Align Align
	Mono  bool // figures, that stand under one another
}

// Table is rows of cells under a head that is repeated on every page.
type Table struct {
	Columns []Column
	Size    float64 // of the letters, mm
	Least   float64 // height of a row, mm; it grows with its text
	Ruled   bool    // with upright lines too, to write in
	Shade   func(row int) (Colour, bool)
}

// CheckBox in a cell draws a box to tick.
const CheckBox = "\u25a1"

// Table writes a table. Cells that a row lacks are empty, those beyond the last
// column are left out. The head is left out where no column has one.
func (f *Flow) Table(t Table, rows [][]string) {
	widths := t.widths(f.Width())
	head := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		head[i] = c.Head
	}
	bold := Letters{Size: t.Size, Bold: true}
	named := strings.Join(head, "") != ""
	begin := func() {
		if named {
			f.row(t, widths, head, func(int) Letters { return bold }, 0, nil)
		}
	}
	letters := func(i int) Letters { return Letters{Size: t.Size, Mono: t.Columns[i].Mono} }
	first := t.Least
	if len(rows) > 0 {
		first = t.height(f.doc, widths, rows[0], letters, t.Least)
	}
	f.Need(t.height(f.doc, widths, head, func(int) Letters { return bold }, 0) + first)
	begin()
	for i, r := range rows {
		if f.Room() < t.height(f.doc, widths, r, letters, t.Least) {
			f.Break()
			begin()
		}
		var shade *Colour
		if t.Shade != nil {
			if c, ok := t.Shade(i); ok {
				shade = &c
			}
		}
		f.row(t, widths, r, letters, t.Least, shade)
	}
	f.Space(2)
}

func (t Table) widths(whole float64) []float64 {
	sum := 0.0
	for _, c := range t.Columns {
		sum += c.Share
	}
	out := make([]float64, len(t.Columns))
	for i, c := range t.Columns {
		out[i] = whole * c.Share / sum
	}
	return out
}

const cellMargin = 0.8 // mm on either side of a cell's text

func (t Table) height(d *Document, widths []float64, cells []string, letters func(int) Letters, least float64) float64 {
	lines := 1
	for i, c := range cells[:min(len(cells), len(widths))] {
		lines = max(lines, len(d.Wrap(letters(i), widths[i]-2*cellMargin, c)))
	}
	return max(least, float64(lines)*t.Size*lead+1)
}

// row writes a row that fits on the page.
func (f *Flow) row(t Table, widths []float64, cells []string, letters func(int) Letters, least float64, shade *Colour) {
	height := t.height(f.doc, widths, cells, letters, least)
	p, top, low, x := f.Page(), f.y, f.y-height, Margin
	rule := Pen{Width: 0.15, Colour: faint}
	if shade != nil {
		p.Fill(*shade, corners(box(Margin, low, Margin+f.Width(), top))...)
	}
	if t.Ruled {
		p.Line(rule, r2.Vec{X: x, Y: low}, r2.Vec{X: x, Y: top})
	}
	for i := range t.Columns {
		l, c := letters(i), ""
		if i < len(cells) {
			c = cells[i]
		}
		lines := f.doc.Wrap(l, widths[i]-2*cellMargin, c)
		y := top - 0.5 - l.Size
		if least > 0 && len(lines) == 1 { // in the middle of a row to write in
			y = (top+low)/2 - 0.36*l.Size
		}
		at := x + cellMargin + (widths[i]-2*cellMargin)/2*float64(t.Columns[i].Align)
		for _, line := range lines {
			if line == CheckBox {
				s := 1.1 * l.Size
				x0 := at - s/2*float64(t.Columns[i].Align)
				p.Rect(Pen{Width: 0.25}, box(x0, y-0.2*l.Size, x0+s, y-0.2*l.Size+s))
			} else {
				p.Text(l, r2.Vec{X: at, Y: y}, t.Columns[i].Align, 0, line)
			}
			y -= l.Size * lead
		}
		x += widths[i]
		if t.Ruled {
			p.Line(rule, r2.Vec{X: x, Y: low}, r2.Vec{X: x, Y: top})
		}
	}
	p.Line(rule, r2.Vec{X: Margin, Y: low}, r2.Vec{X: Margin + f.Width(), Y: low})
	f.y = low
}
