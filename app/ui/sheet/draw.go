package sheet

import (
	"image/color"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
)

// inset is the space between a cell's edge and its text.
const inset = 4

// drawing is the sheet's renderer: pools of rectangles, lines and texts of which
// each drawing uses as many as it needs, behind one another in that order.
type drawing struct {
	s     *Sheet
	rects []*canvas.Rectangle
	texts []*canvas.Text
	over  []*canvas.Rectangle // caret, strokes through struck rows, scroll bar
	nRect int
	nText int
	nOver int
	all   []fyne.CanvasObject
	glyph float32 // width of a figure
	size  fyne.Size
}

// CreateRenderer makes the sheet's renderer.
func (s *Sheet) CreateRenderer() fyne.WidgetRenderer {
	d := &drawing{s: s}
	d.Refresh()
	return d
}

// Destroy has nothing to let go of.
func (d *drawing) Destroy() {}

// MinSize is the sheet's.
func (d *drawing) MinSize() fyne.Size { return d.s.MinSize() }

// Objects are the pooled objects, the hidden ones too.
func (d *drawing) Objects() []fyne.CanvasObject { return d.all }

// Layout keeps the cursor in view when the sheet changes its size.
func (d *drawing) Layout(size fyne.Size) {
	if size != d.size {
		d.size = size
		d.s.top = min(d.s.top, d.s.maxTop())
		if d.s.focused {
			d.s.show(d.s.cur.row)
		}
	}
	d.Refresh()
}

// Refresh draws the rows in view.
func (d *drawing) Refresh() {
	d.nRect, d.nText, d.nOver = 0, 0, 0
	d.glyph = fyne.MeasureText("0", theme.TextSize(), fyne.TextStyle{Monospace: true}).Width
	s := d.s
	if s.Size().Width > 0 {
		edges := s.columnEdges()
		d.head(edges)
		n := min(s.visibleRows(), s.lastRow()+1-s.top)
		for i := range n {
			d.row(s.top+i, edges)
		}
		d.frame(edges, n)
		d.scrollBar()
	}
	d.hideRest()
}

// head draws the head of the columns.
func (d *drawing) head(edges []float32) {
	h := d.s.rowHeight()
	d.rect(0, 0, d.s.Size().Width, h, theme.Color(theme.ColorNameHeaderBackground))
	for i, c := range d.s.cols {
		style := fyne.TextStyle{Bold: true}
		d.label(c.Head, edges[i], 0, edges[i+1]-edges[i], c.Left, theme.Color(theme.ColorNameForeground), style)
	}
}

// row draws one row.
func (d *drawing) row(row int, edges []float32) {
	s := d.s
	h := s.rowHeight()
	y := h * float32(row-s.top+1)
	a, b := s.selected()
	_, beside := slices.BinarySearch(s.also, row)
	for col, c := range s.cols {
		x, w := edges[col], edges[col+1]-edges[col]
		p := pos{row, col}
		cell := s.cell(p)
		if tint := tintColor(cell.Tint); tint != nil {
			d.rect(x, y, w, h, withAlpha(tint, 0x30))
			d.rect(x, y, 3, h, tint)
		}
		if beside || row >= a.row && row <= b.row && col >= a.col && col <= b.col && (s.focused || a != b) {
			d.rect(x, y, w, h, theme.Color(theme.ColorNameSelection))
		}
		if p == s.cur {
			d.cursor(x, y, w, h)
			if s.edit != nil {
				d.typed(x, y, w, c.Left)
				continue
			}
		}
		fg := theme.Color(theme.ColorNameForeground)
		if cell.Struck || cell.Tint == Dim {
			fg = theme.Color(theme.ColorNameDisabled)
		}
		d.label(cell.Text, x, y, w-d.sign(cell.Sign, x, y, w), c.Left, fg, fyne.TextStyle{Monospace: true})
		if cell.Struck && cell.Text != "" {
			d.bar(x+inset-2, y+h/2, w-2*inset+4, 1, fg)
		}
	}
}

// tintColor is the colour of a tint; nil where the cell is not tinted.
func tintColor(t Tint) color.Color {
	switch t {
	case Suspicious:
		return theme.Color(theme.ColorNameWarning)
	case Wrong:
		return theme.Color(theme.ColorNameError)
	}
	return nil
}

// cursor draws the frame of the cell under the cursor.
func (d *drawing) cursor(x, y, w, h float32) {
	c := theme.Color(theme.ColorNameDisabled)
	var stroke float32 = 1
	if d.s.focused {
		c, stroke = theme.Color(theme.ColorNamePrimary), 2
	}
	r := d.rect(x, y, w, h, theme.Color(theme.ColorNameInputBackground))
	d.stroke(r, c, stroke)
}

// typed draws the cell being typed: the end of the text that fits, and the caret.
func (d *drawing) typed(x, y, w float32, left bool) {
	e := d.s.edit
	fits := max(1, int((w-2*inset)/d.glyph))
	from := 0
	if len(e.text) > fits {
		from = min(max(0, e.caret-fits), len(e.text)-fits)
	}
	text := string(e.text[from:min(len(e.text), from+fits)])
	at := d.label(text, x, y, w, left, theme.Color(theme.ColorNameForeground), fyne.TextStyle{Monospace: true})
	d.bar(at+d.glyph*float32(e.caret-from), y+4, 1.5, d.s.rowHeight()-8, theme.Color(theme.ColorNamePrimary))
}

// frame draws the lines between rows and columns.
func (d *drawing) frame(edges []float32, rows int) {
	h := d.s.rowHeight()
	c := theme.Color(theme.ColorNameSeparator)
	for i := range rows + 1 {
		d.bar(0, h*float32(i+1)-1, edges[len(edges)-1], 1, c)
	}
	for _, x := range edges[1:] {
		d.bar(x-1, 0, 1, h*float32(rows+1), c)
	}
}

// scrollBar draws the slim bar where not all rows are in view.
func (d *drawing) scrollBar() {
	if d.s.maxTop() == 0 {
		return
	}
	y, h := d.s.bar()
	r := d.bar(d.s.Size().Width-barWidth+2, y+1, barWidth-4, h-2, theme.Color(theme.ColorNameScrollBar))
	if r.CornerRadius != 2.5 {
		r.CornerRadius = 2.5
		r.Refresh()
	}
}

// sign draws a cell's sign at its right end and gives back the room that it takes.
func (d *drawing) sign(text string, x, y, w float32) float32 {
	if text == "" {
		return 0
	}
	style := fyne.TextStyle{Monospace: true}
	width := d.width(text, style)
	d.text(text, x+w-inset/2-width, y, width, theme.Color(theme.ColorNamePrimary), style)
	return width
}

// label draws a text in a cell, cut where it does not fit, and gives back its left end.
func (d *drawing) label(text string, x, y, w float32, left bool, c color.Color, style fyne.TextStyle) float32 {
	width := d.width(text, style)
	if width > w-2*inset && style.Monospace {
		r := []rune(text)
		fits := max(1, int((w-2*inset)/d.glyph))
		text = string(r[:min(len(r), fits-1)]) + "…"
		width = d.width(text, style)
	}
	at := x + inset
	if !left {
		at = x + w - inset - width
	}
	if text != "" {
		d.text(text, at, y, width, c, style)
	}
	return at
}

// width is the drawn width of a text.
func (d *drawing) width(text string, style fyne.TextStyle) float32 {
	if style.Monospace {
		return d.glyph * float32(len([]rune(text)))
	}
	return fyne.MeasureText(text, theme.TextSize(), style).Width
}
