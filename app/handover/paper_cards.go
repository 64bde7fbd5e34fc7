package handover

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/export/pdf"
)

const cardUse = "Upright cuts through the pane as it lies on the board. Cut along the lower curve to stand a card under the glass, base line on the board or on packers as it says; " +
	"cut along the upper curve to hold the rest on the glass from above. A gap to the light under 0.5 mm (1/64 in) is good."

// card is one section at true size.
type card struct {
	name         string
	section      boardSection
	upper, lower []pdf.Piece // along the section and up from the base line
	base         float64     // height of its base line over the board
	most         float64     // highest place over the base line
}

// cards are three sections across and one fore and aft.
func (p *pack) cards() (out []card) {
	ex, ey := p.onBoard(r3.Vec{X: 1}), p.onBoard(r3.Vec{Y: 1})
	o := p.m.BoardToGlass.Inverse().T
	origin := r2.Vec{X: o.X, Y: o.Y}
	middle := "Fore and aft, along the centre line"
	if p.half() == nil {
		middle = "Fore and aft, through the middle"
	}
	var all []card
	if c, ok := p.section(origin, ey); ok {
		for _, at := range []struct {
			part float64
			name string
		}{{0.25, "Across, a quarter of the way up"}, {0.5, "Across, half-way up"}, {0.75, "Across, three quarters of the way up"}} {
			from := r2.Add(origin, r2.Scale(c.low+at.part*(c.high-c.low), ey))
			if a, ok := p.section(from, ex); ok {
				all = append(all, card{name: at.name, section: a})
			}
		}
		all = append(all, card{name: middle, section: c})
	}
	for _, c := range all {
		least, most := c.section.span()
		c.base = base(least, p.m.Job.Unit)
		c.most = most - c.base
		c.curves()
		out = append(out, c)
	}
	return out
}

// curves follows the two faces in pieces of 15 mm.
func (c *card) curves() {
	follow := func(path func(float64) r2.Vec, low, high float64) []pdf.Piece {
		over := func(u float64) r2.Vec { return r2.Sub(path(u), r2.Vec{Y: c.base}) }
		return pdf.Through(over, low, high, int(math.Ceil((high-low)/15)))
	}
	x := c.section
	c.upper, c.lower = follow(x.upper, x.low, x.high), follow(x.lower, x.lowLow, x.lowH)
}

// Heights on a card, mm.
const (
	cardAbove = 8.0  // over the highest place
	cardBelow = 12.0 // under the base line, for what is written
)

// sections prints the section cards in strips, as many on a sheet as fit.
func (s *templateSet) sections() {
	part := templatePart{name: "Section cards", use: cardUse, first: s.doc.Pages() + 1}
	w := window(s.sheet)
	var page *pdf.Page
	top := 0.0
	for n, c := range s.p.cards() {
		height := (c.most+cardAbove)*s.scale.Y + cardBelow
		reach := r2.Box{Min: r2.Vec{X: c.section.low}, Max: r2.Vec{X: c.section.high, Y: 1}}
		t, err := pdf.NewTiling(reach, w, overlap, s.scale, false)
		if err != nil || height > w.Max.Y-w.Min.Y {
			s.tooLarge(fmt.Sprintf("Card %d", n+1))
			continue
		}
		for k := range t.Cols {
			if page == nil || top-height < w.Min.Y {
				page = s.doc.Page(s.sheet)
				s.frame(page, "Section cards", s.about(page))
				top = w.Max.Y
			}
			strip := r2.Box{Min: r2.Vec{X: w.Min.X, Y: top - height}, Max: r2.Vec{X: w.Max.X, Y: top}}
			v := t.View(k, 0)
			v.At.Y = strip.Min.Y + cardBelow
			page.Window(strip, v, func(a *pdf.Area) { s.strip(a, strip, n+1, c, t, k) })
			top -= height
		}
	}
	if part.last = s.doc.Pages(); part.last >= part.first {
		s.parts = append(s.parts, part)
	}
}

// strip draws one strip of a card.
func (s *templateSet) strip(a *pdf.Area, strip r2.Box, number int, c card, t pdf.Tiling, k int) {
	j := s.p.m.Job
	x, upper, lower := c.section, c.upper, c.lower
	black := pdf.Pen{Width: 0.25}
	a.Curve(black, upper)
	a.Curve(black, lower)
	for _, end := range [][2]r2.Vec{{upper[0][0], lower[0][0]}, {upper[len(upper)-1][3], lower[len(lower)-1][3]}} {
		a.Line(black, end[0], end[1])
		a.Line(pdf.Pen{Width: 0.15, Colour: ink}, r2.Vec{X: end[1].X}, end[1])
	}
	a.Line(pdf.Pen{Width: 0.35}, r2.Vec{X: x.low - 5}, r2.Vec{X: x.high + 5})
	pitch := gridPitch(j.Unit)
	for i := math.Ceil(x.low / pitch); i*pitch <= x.high; i++ {
		at := r2.Vec{X: i * pitch}
		tall := 3.0
		if i == 0 {
			tall = c.most + cardAbove
			a.Line(centrePen, at, r2.Vec{Y: tall})
		}
		a.Line(pdf.Pen{Width: 0.15, Colour: ink}, at, r2.Vec{X: at.X, Y: 3})
		label := pdf.Letters{Size: 2, Colour: ink}
		where := r2.Sub(at, r2.Vec{Y: 2.6 / a.View().Scale.Y})
		if text := fmt.Sprintf("%g", math.Round(i*pitch/j.Unit.Millimetres())+0); a.Sees(a.TextBox(label, where, pdf.Middle, text)) {
			a.Text(label, where, pdf.Middle, 0, text)
		}
	}
	for _, r := range t.Crosses() { // on the base line and over the curve, where strips join
		a.Cross(pdf.Pen{Width: 0.15}, r2.Vec{X: r.X}, 3)
		a.Cross(pdf.Pen{Width: 0.15}, r2.Vec{X: r.X, Y: c.most + cardAbove/2}, 3)
	}
	s.stripText(a, strip, number, c, t, k)
}

// stripText writes under the base line what a card is and where it stands.
func (s *templateSet) stripText(a *pdf.Area, strip r2.Box, number int, c card, t pdf.Tiling, k int) {
	j, v := s.p.m.Job, a.View()
	stands := "base line on the board"
	if c.base != 0 {
		stands = "base line " + s.p.length(c.base) + " above the board"
		if c.base < 0 {
			stands = "base line " + s.p.length(-c.base) + " below the board"
		}
	}
	end := func(u float64) string {
		return j.Grid.Describe(r2.Add(c.section.from, r2.Scale(u, c.section.dir)), j.Unit)
	}
	lines := []string{
		fmt.Sprintf("Card %d, strip %d of %d. %s, %s.", number, k+1, t.Cols, c.name, stands),
		fmt.Sprintf("Stands from %s to %s.", end(c.section.low), end(c.section.high)),
	}
	for i, text := range lines {
		a.Text(pdf.Letters{Size: 2.2}, v.Back(r2.Vec{X: strip.Min.X + 2, Y: strip.Min.Y + 5 - 2.9*float64(i)}), pdf.Left, 0, text)
	}
}
