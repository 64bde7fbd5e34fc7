package handover

import (
	"bytes"
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
	"panewright/export/pdf"
)

// templateSet is templates.pdf in the making: a first sheet that says how to
// print and put together the others, then one part after the other.
type templateSet struct {
	p     *pack
	doc   *pdf.Document
	sheet pdf.Sheet
	scale r2.Vec
	parts []templatePart
	notes []string // what could not be printed, and why
}

// templatePart is one thing to put together from consecutive sheets.
type templatePart struct {
	name, use   string
	first, last int // pages
	plan        func(p *pdf.Page, part r2.Box)
}

// templates writes templates.pdf: the outline whole, the measured half to turn
// over, section cards and corner cards, all at true size.
func (p *pack) templates(buf *bytes.Buffer) error {
	s := &templateSet{p: p, doc: p.newPaper("templates"), sheet: templateSheet(p.paper, p.m.Job.Unit), scale: printScale(p.paper)}
	first := s.doc.Page(s.sheet)
	s.tiled("Outline", "The edge of the pane, whole.", p.whole())
	if half := p.half(); half != nil {
		s.tiled(p.halfName(), halfUse, half)
	}
	s.sections()
	s.corners()
	s.key(first)
	return s.doc.Write(buf)
}

const halfUse = "Cut it out along the edge and along the centre line. Lay it on its own half of the glass, cut edge on the centre line, " +
	"then turn it over about that line onto the other half. A centre line that is off shows there twice as large, a skew too. " +
	"Note what is missing or spare at each station: it can be typed in as a gap sheet."

func (p *pack) halfName() string {
	switch p.m.Mirror {
	case board.MirrorLeft:
		return "Measured half (left)"
	case board.MirrorRight:
		return "Measured half (right)"
	}
	return "Right half"
}

// tooLarge notes a part that would need more sheets than anyone tapes together.
func (s *templateSet) tooLarge(name string) {
	s.notes = append(s.notes, name+" is not printed: it is too large for these sheets.")
}

// tiled spreads a shape over sheets and leaves out those that nothing falls on.
func (s *templateSet) tiled(name, use string, shape *paperShape) {
	t, used, err := s.spread(shape)
	if err != nil {
		s.tooLarge(name)
		return
	}
	part := templatePart{name: name, use: use, first: s.doc.Pages() + 1}
	count := 0
	for row := t.Rows - 1; row >= 0; row-- {
		for col := range t.Cols {
			if !used[[2]int{col, row}] {
				continue
			}
			count++
			page := s.doc.Page(s.sheet)
			s.frame(page, fmt.Sprintf("%s – sheet %s", name, t.Name(col, row)), s.about(page))
			s.neighbours(page, t, used, col, row)
			page.Window(t.Window, t.View(col, row), func(a *pdf.Area) {
				grid(a, t.Window, s.p.m.Job.Unit)
				registers(a, t)
				shape.draw(a)
			})
		}
	}
	part.last = s.doc.Pages()
	part.plan = func(p *pdf.Page, box r2.Box) { s.plan(p, box, shape, t, used) }
	s.parts = append(s.parts, part)
}

// spread is the tiling that needs fewer sheets, of the drawing upright and on
// its side, with the sheets that are needed.
func (s *templateSet) spread(shape *paperShape) (best pdf.Tiling, used map[[2]int]bool, err error) {
	grown := r2.Box{Min: r2.Sub(shape.box.Min, r2.Vec{X: 10, Y: 10}), Max: r2.Add(shape.box.Max, r2.Vec{X: 10, Y: 10})}
	for _, turned := range []bool{false, true} {
		t, e := pdf.NewTiling(grown, window(s.sheet), overlap, s.scale, turned)
		if e != nil {
			err = e
			continue
		}
		on := map[[2]int]bool{}
		for _, b := range shape.edge {
			for i := range 40 {
				col, row := t.Own(b.At(float64(i) / 39))
				on[[2]int{col, row}] = true
			}
		}
		if shape.cut {
			low, high := shape.axis()
			for i := range 400 {
				col, row := t.Own(r2.Vec{Y: low + (high-low)*float64(i)/399})
				on[[2]int{col, row}] = true
			}
		}
		for _, m := range shape.marks {
			col, row := t.Own(m.at)
			on[[2]int{col, row}] = true
		}
		if used == nil || len(on) < len(used) {
			best, used = t, on
		}
	}
	if used != nil {
		err = nil
	}
	return best, used, err
}

// about is what stands small on every sheet.
func (s *templateSet) about(p *pdf.Page) string {
	return fmt.Sprintf("%s – page %d. Seen from above, %s. %s", s.p.named("templates"), p.Number(), s.p.above(), printTrue)
}

// neighbours names the sheets to the right and above.
func (s *templateSet) neighbours(p *pdf.Page, t pdf.Tiling, used map[[2]int]bool, col, row int) {
	w := t.Window
	if used[[2]int{col + 1, row}] {
		p.Text(tiny, r2.Vec{X: w.Max.X + 2.6, Y: (w.Min.Y + w.Max.Y) / 2}, pdf.Middle, 90, t.Name(col+1, row))
	}
	if used[[2]int{col, row + 1}] {
		p.Text(tiny, r2.Vec{X: (w.Min.X + w.Max.X) / 2, Y: w.Max.Y + 1}, pdf.Middle, 0, t.Name(col, row+1))
	}
}

// plan draws a small picture of a shape with the sheets that it is spread over.
func (s *templateSet) plan(p *pdf.Page, part r2.Box, shape *paperShape, t pdf.Tiling, used map[[2]int]bool) {
	all := shape.box
	for row := range t.Rows {
		for col := range t.Cols {
			for _, c := range t.Cell(col, row) {
				all = grow(all, c)
			}
		}
	}
	p.Over(pdf.Fit(all, part), func(a *pdf.Area) {
		for row := range t.Rows {
			for col := range t.Cols {
				cell := t.Cell(col, row)
				name := pdf.Letters{Size: 2.4, Colour: textGrey}
				if used[[2]int{col, row}] {
					a.Loop(pdf.Pen{Width: 0.12}, cell)
					at := r2.Box{Min: cell[0], Max: cell[0]}
					for _, c := range cell {
						at = grow(at, c)
					}
					corner := a.View().On(r2.Vec{X: at.Min.X, Y: at.Max.Y})
					a.Text(name, a.View().Back(r2.Vec{X: corner.X + 0.8, Y: corner.Y - 2.8}), pdf.Left, 0, t.Name(col, row))
				}
			}
		}
		a.Curve(pdf.Pen{Width: 0.35, Colour: ink}, shape.edge)
		if shape.centre {
			low, high := shape.axis()
			a.Line(pdf.Pen{Width: 0.15, Colour: lineRed, Dash: []float64{3, 0.8, 0.3, 0.8}}, r2.Vec{Y: low}, r2.Vec{Y: high})
		}
	})
}

// grow is a box that holds a point too.
func grow(b r2.Box, p r2.Vec) r2.Box {
	b.Min = r2.Vec{X: min(b.Min.X, p.X), Y: min(b.Min.Y, p.Y)}
	b.Max = r2.Vec{X: max(b.Max.X, p.X), Y: max(b.Max.Y, p.Y)}
	return b
}
