package pdf

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"
)

// Flow fills pages from top to bottom with headings, text, tables and pictures,
// and begins a new page where the next thing does not fit.
type Flow struct {
	doc   *Document
	sheet Sheet
	head  string // at the top of every page
	foot  string // at the bottom of every page, before the page's number
	pages []*Page
	y     float64 // above it, the page is filled
}

// Margins of running pages, mm.
const (
	Margin     = 15.0
	headHeight = 8.0
	footHeight = 8.0
)

// The letters of running pages.
var (
	Body    = Letters{Size: 3.3}
	Small   = Letters{Size: 2.6}
	Heading = Letters{Size: 4.6, Bold: true}
	Title   = Letters{Size: 7, Bold: true}
)

var (
	grey  = Colour{110, 110, 110}
	faint = Colour{190, 190, 190}
)

// Flow begins running pages. head stands at the top of every page but the first,
// foot at the bottom of each.
func (d *Document) Flow(s Sheet, head, foot string) *Flow {
	f := &Flow{doc: d, sheet: s, head: head, foot: foot}
	f.Break()
	return f
}

// Break begins a new page.
func (f *Flow) Break() {
	f.pages = append(f.pages, f.doc.Page(f.sheet))
	f.y = f.sheet.Height - Margin
	if len(f.pages) > 1 {
		f.y -= headHeight
	}
}

// Page is the page that is being filled.
func (f *Flow) Page() *Page { return f.pages[len(f.pages)-1] }

// Width is what there is across the page, mm.
func (f *Flow) Width() float64 { return f.sheet.Width - 2*Margin }

// Room is what is left down the page, mm.
func (f *Flow) Room() float64 { return f.y - Margin - footHeight }

// Need begins a new page where fewer than so many mm are left on this one.
func (f *Flow) Need(height float64) {
	if f.Room() < height {
		f.Break()
	}
}

// Space leaves some mm free.
func (f *Flow) Space(height float64) { f.y -= height }

// down goes down a line and returns the place that it begins at.
func (f *Flow) down(l Letters) r2.Vec {
	f.Need(l.Size * lead)
	f.y -= l.Size * lead
	return r2.Vec{X: Margin, Y: f.y + 0.3*l.Size}
}

// Title writes the title of the whole.
func (f *Flow) Title(s string) {
	for _, line := range f.doc.Wrap(Title, f.Width(), s) {
		f.Page().Text(Title, f.down(Title), Left, 0, line)
	}
	f.Space(1.5)
}

// Heading writes a heading that stays with the next so many mm, and with some
// lines of text at least.
func (f *Flow) Heading(s string, with float64) {
	f.Need(12 + max(with, 16))
	f.Space(4)
	for _, line := range f.doc.Wrap(Heading, f.Width(), s) {
		f.Page().Text(Heading, f.down(Heading), Left, 0, line)
	}
	f.Space(1)
}

// Text writes a paragraph.
func (f *Flow) Text(l Letters, s string) { f.indented(l, 0, s) }

// Item writes a paragraph with a mark before it.
func (f *Flow) Item(l Letters, mark, s string) {
	f.Need(l.Size * lead)
	f.Page().Text(l, r2.Vec{X: Margin, Y: f.y - l.Size*(lead-0.3)}, Left, 0, mark)
	f.indented(l, 5, s)
}

func (f *Flow) indented(l Letters, by float64, s string) {
	for _, line := range f.doc.Wrap(l, f.Width()-by, s) {
		at := f.down(l)
		at.X += by
		f.Page().Text(l, at, Left, 0, line)
	}
	f.Space(0.4 * l.Size)
}

// Picture draws in a box of a height across the page.
func (f *Flow) Picture(height float64, draw func(p *Page, part r2.Box)) {
	f.Need(height)
	f.y -= height
	draw(f.Page(), box(Margin, f.y, f.sheet.Width-Margin, f.y+height))
	f.Space(2)
}

// End writes the running lines, when all pages are filled.
func (f *Flow) End() {
	l := Letters{Size: 2.6, Colour: grey}
	for i, p := range f.pages {
		right := f.sheet.Width - Margin
		if i > 0 {
			p.Text(l, r2.Vec{X: Margin, Y: f.sheet.Height - Margin}, Left, 0, f.head)
		}
		p.Line(Pen{Width: 0.15, Colour: faint}, r2.Vec{X: Margin, Y: Margin + 3}, r2.Vec{X: right, Y: Margin + 3})
		number := fmt.Sprintf("page %d of %d", i+1, len(f.pages))
		p.Text(l, r2.Vec{X: right, Y: Margin - 1}, Right, 0, number)
		lines := f.doc.Wrap(l, right-Margin-f.doc.Width(l, number)-6, f.foot)
		for k, line := range lines[:min(2, len(lines))] {
			p.Text(l, r2.Vec{X: Margin, Y: Margin - 1 - float64(k)*l.Size*lead}, Left, 0, line)
		}
	}
}
