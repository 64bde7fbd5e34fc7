package handover

import (
	"fmt"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
	"panewright/export/pdf"
)

// templateSheet is the sheet of the templates.
func templateSheet(q board.Paper, u board.Unit) pdf.Sheet {
	if s, ok := pdf.SheetNamed(q.Sheet); ok {
		return s
	}
	if u == board.Inch {
		return pdf.Letter
	}
	return pdf.A4
}

// formSheet is the sheet of forms and of the report.
func formSheet(q board.Paper, u board.Unit) pdf.Sheet {
	switch templateSheet(q, u) {
	case pdf.Letter, pdf.Tabloid:
		return pdf.Letter
	}
	return pdf.A4
}

// printScale is how much larger templates are drawn than they are to come out.
func printScale(q board.Paper) r2.Vec {
	inverse := func(s float64) float64 {
		if s == 0 {
			return 1
		}
		return 1 / s
	}
	return r2.Vec{X: inverse(q.Across), Y: inverse(q.Up)}
}

// printed are the files to print, as far as the model carries them.
func (p *pack) printed() []step {
	steps := []step{{"reading-sheet.pdf", p.readingSheet}, {"report.pdf", p.report}}
	if p.m.Pane != nil {
		steps = append(steps, step{"templates.pdf", p.templates}, step{"gap-sheet.pdf", p.gapSheet})
	}
	return steps
}

// Words that stand on every printed page.
const (
	shortCaution = "Measuring and fit-check aid only. Check every dimension on the real glass before cutting material or bonding. Wear eye protection and cut-resistant gloves when handling glass."
	printTrue    = "Print at 100 %, without fitting to the sheet."
)

// The colours of printed drawings.
var (
	ink       = pdf.Colour{R: 31, G: 58, B: 95}
	lineRed   = pdf.Colour{R: 181, G: 69, B: 44}
	faceGreen = pdf.Colour{R: 95, G: 127, B: 82}
	wrong     = pdf.Colour{R: 213, G: 94, B: 0}
	gridGrey  = pdf.Colour{R: 217, G: 212, B: 199}
	textGrey  = pdf.Colour{R: 107, G: 101, B: 87}
)

// centrePen draws centre lines.
var centrePen = pdf.Pen{Width: 0.2, Colour: lineRed, Dash: pdf.DashDot}

// newPaper begins a file to print.
func (p *pack) newPaper(what string) *pdf.Document {
	return pdf.New(p.m.Job.Name+" - "+what, fmt.Sprintf("%s, cut %d", what, p.m.Job.Cut), p.date())
}

// named is the job, its cut and its date on one line.
func (p *pack) named(what string) string {
	s := fmt.Sprintf("%s – %s – cut %d", p.m.Job.Name, what, p.m.Job.Cut)
	if date := p.date(); date != "" {
		s += " – " + date
	}
	return s
}

// length is a length in the job's unit, with its name.
func (p *pack) length(mm float64) string { return p.m.Job.Format(mm) + " " + p.m.Job.Unit.String() }

// both is a length in the job's unit and, in brackets, in the other.
func (p *pack) both(mm float64) string {
	other := board.Inch
	if p.m.Job.Unit == board.Inch {
		other = board.MM
	}
	return fmt.Sprintf("%s (%s %s)", p.length(mm), board.Format(mm, other), other)
}

// sure is a length with its uncertainty at two sigma, in the job's unit.
func (p *pack) sure(mm, u float64) string {
	if u <= 0 {
		return p.length(mm)
	}
	return fmt.Sprintf("%s ± %s %s", p.m.Job.Format(mm), p.fine(2*u), p.m.Job.Unit)
}

// fine is a small length in the job's unit: to 0.01 mm or 0.001 in.
func (p *pack) fine(mm float64) string {
	places, unit := 2, p.m.Job.Unit
	if unit == board.Inch {
		places = 3
	}
	s := unsigned(fmt.Sprintf("%.*f", places, mm/unit.Millimetres()))
	if p.m.Job.Comma {
		s = strings.ReplaceAll(s, ".", ",")
	}
	return s
}

// unsigned takes the minus off a nought.
func unsigned(s string) string {
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

// angle is an angle in degrees.
func angle(v float64) string { return unsigned(fmt.Sprintf("%.3f", v)) + "°" }
