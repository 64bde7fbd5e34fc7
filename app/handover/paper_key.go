package handover

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
	"panewright/export/pdf"
)

// key fills the first sheet of the templates: how to print and check them, what
// there is on which page, how the sheets lie, and the long bars.
func (s *templateSet) key(p *pdf.Page) {
	const left = paperMargin + 8
	width := s.sheet.Width - left - paperMargin - 22
	y := s.sheet.Height - paperMargin - 8
	write := func(l pdf.Letters, indent float64, text string) {
		for _, line := range s.doc.Wrap(l, width-indent, text) {
			p.Text(l, r2.Vec{X: left + indent, Y: y}, pdf.Left, 0, line)
			y -= l.Size * 1.32
		}
		y -= l.Size * 0.35
	}
	body := pdf.Letters{Size: 2.9}
	write(pdf.Letters{Size: 6, Bold: true}, 0, s.p.m.Job.Name)
	write(pdf.Letters{Size: 3.4}, 0, s.p.named("templates at true size"))
	write(body, 0, shortCaution)
	for i, text := range s.howTo() {
		p.Text(body, r2.Vec{X: left, Y: y}, pdf.Left, 0, fmt.Sprintf("%d", i+1))
		write(body, 5, text)
	}
	for _, part := range s.parts {
		y -= 1.6
		pages := fmt.Sprintf("page %d", part.first)
		if part.last > part.first {
			pages = fmt.Sprintf("pages %d to %d", part.first, part.last)
		}
		write(pdf.Letters{Size: 2.9, Bold: true}, 0, part.name+" – "+pages)
		y += 0.6
		write(pdf.Letters{Size: 2.5}, 5, part.use)
	}
	for _, note := range s.notes {
		write(body, 0, note)
	}
	low := paperMargin + 84.0
	if y-low > 20 {
		s.plans(p, r2.Box{Min: r2.Vec{X: left, Y: low}, Max: r2.Vec{X: left + width, Y: y + 1}})
	}
	s.longBars(p, left)
}

// howTo is how to print and put together.
func (s *templateSet) howTo() []string {
	print := printTrue + " Measure the bars on this page with a good rule, across and up: printers differ each way. " +
		"The square must be 50 mm (not 2 in) each way and both its diagonals alike, 70.7 mm."
	if s.scale.X != 1 || s.scale.Y != 1 {
		print += fmt.Sprintf(" These pages are drawn %.4f times as wide and %.4f times as high, for a printer whose bars were measured before.", s.scale.X, s.scale.Y)
	} else {
		across, up := longBars(s.sheet, s.p.m.Job.Unit)
		print += fmt.Sprintf(" Where a bar is off, type what the bars of %s and %s measured in the hand-over step, and print again.", s.p.length(across), s.p.length(up))
	}
	return []string{print,
		"Every sheet has bars of its own: 100 mm and 4 in, across and up. Check one sheet of each batch.",
		"Cut along the broken lines at the left and at the bottom, lay a sheet over the one to its left and the one below, cross on cross, against the light; tape the joints.",
		"Numbers beside thin lines are in " + s.p.unitWord() + " from the origin of the pane: x to the right, y up, seen from above (" + s.p.above() + ").",
	}
}

func (p *pack) unitWord() string {
	if p.m.Job.Unit.String() == "in" {
		return "inches"
	}
	return "millimetres"
}

// plans draws the small pictures of what is spread over sheets, side by side.
func (s *templateSet) plans(p *pdf.Page, part r2.Box) {
	var with []templatePart
	for _, t := range s.parts {
		if t.plan != nil {
			with = append(with, t)
		}
	}
	const gap, label = 6.0, 4.0
	step := (part.Max.X - part.Min.X + gap) / float64(max(1, len(with)))
	for i, t := range with {
		b := part
		b.Min.X += float64(i) * step
		b.Max.X = b.Min.X + step - gap
		p.Text(pdf.Letters{Size: 2.4}, r2.Vec{X: b.Min.X, Y: b.Min.Y}, pdf.Left, 0, t.name)
		b.Min.Y += label
		t.plan(p, b)
	}
}

// Places of the long bars and the square on the first sheet, mm.
const (
	squareSide = 50.0
	squareLow  = paperMargin + 22
)

// LongBars are the bars on the first sheet of a job's templates that a person
// measures to see whether the printer is true, across and up, mm: of whole 50 mm, or
// of whole inches for a job in inches.
func LongBars(j *board.Job) (across, up float64) {
	return longBars(templateSheet(j.Pack.Paper, j.Unit), j.Unit)
}

func longBars(s pdf.Sheet, u board.Unit) (across, up float64) {
	const strips = 60 // mm, that the bars leave free
	step := 50.0
	if u == board.Inch {
		step = inch
	}
	return step * math.Floor((s.Width-strips)/step), step * math.Floor((s.Height-strips)/step)
}

// longBars draws the longest bars that the sheet holds and the square.
func (s *templateSet) longBars(p *pdf.Page, left float64) {
	mmAcross, mmUp := longBars(s.sheet, board.MM)
	inAcross, inUp := longBars(s.sheet, board.Inch)
	bar(p, r2.Vec{X: left, Y: paperMargin + 12}, s.scale, mmAcross, 10, fmt.Sprintf("%.0f mm", mmAcross), false)
	bar(p, r2.Vec{X: left, Y: paperMargin + 5}, s.scale, inAcross, inch/2, fmt.Sprintf("%.0f in", inAcross/inch), false)
	x := s.sheet.Width - paperMargin - 3
	bar(p, r2.Vec{X: x - 7, Y: paperMargin + 22}, s.scale, mmUp, 10, fmt.Sprintf("%.0f mm", mmUp), true)
	bar(p, r2.Vec{X: x, Y: paperMargin + 22}, s.scale, inUp, inch/2, fmt.Sprintf("%.0f in", inUp/inch), true)
	p.Over(pdf.View{At: r2.Vec{X: left, Y: squareLow}, Scale: s.scale}, func(a *pdf.Area) {
		a.Rect(pdf.Pen{Width: 0.18}, r2.Box{Max: r2.Vec{X: squareSide, Y: squareSide}})
		a.Lines(pdf.Pen{Width: 0.1, Colour: gridGrey}, []r2.Vec{{}, {X: squareSide, Y: squareSide}}, []r2.Vec{{X: squareSide}, {Y: squareSide}})
		a.Text(tiny, r2.Vec{X: squareSide / 2, Y: 2}, pdf.Middle, 0, "50 mm square")
	})
}
