package handover

import (
	"fmt"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
	"panewright/export/pdf"
)

// Paper says on which sheets templates are printed and what the printer makes of
// them.
type Paper struct {
	// Sheet is A4, A3, Letter or Tabloid, in capitals or not; empty: A4 for a job
	// in millimetres and Letter for one in inches. Forms and the report come on
	// A4 for A4 and A3, on Letter for the others.
	Sheet string
	// Across and Up are what a bar of an earlier print measured by what stands
	// beside it, as a fraction, across the sheet and up it: 149.5 mm on a bar of
	// 150 mm is 149.5/150. The templates are drawn so much larger or smaller that
	// they come out true. 0: the printer prints true.
	Across, Up float64
}

// mostStretch is how far a printer may print from true size before that is
// taken for a page that was fitted to the sheet, or for a slip.
const mostStretch = 0.1

// check refuses a sheet that is not known and bars that no printer prints.
func (q Paper) check() error {
	if _, ok := pdf.SheetNamed(q.Sheet); !ok && q.Sheet != "" {
		return fmt.Errorf("handover: there is no sheet %q: A4, A3, Letter or Tabloid", q.Sheet)
	}
	for _, s := range []float64{q.Across, q.Up} {
		if s != 0 && !(s >= 1-mostStretch && s <= 1+mostStretch) {
			return fmt.Errorf("handover: a bar printed at %.4g of its length is no printer's fault: print at 100 %%, not fitted to the sheet", s)
		}
	}
	return nil
}

// sheet is the sheet of the templates.
func (q Paper) sheet(u board.Unit) pdf.Sheet {
	if s, ok := pdf.SheetNamed(q.Sheet); ok {
		return s
	}
	if u == board.Inch {
		return pdf.Letter
	}
	return pdf.A4
}

// form is the sheet of forms and of the report.
func (q Paper) form(u board.Unit) pdf.Sheet {
	switch q.sheet(u) {
	case pdf.Letter, pdf.Tabloid:
		return pdf.Letter
	}
	return pdf.A4
}

// scale is how much larger templates are drawn than they are to come out.
func (q Paper) scale() r2.Vec {
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
	return pdf.New(p.m.Job.Name+" - "+what, fmt.Sprintf("%s, cut %d", what, p.m.Job.Cut), p.m.Job.Date)
}

// named is the job, its cut and its date on one line.
func (p *pack) named(what string) string {
	s := fmt.Sprintf("%s – %s – cut %d", p.m.Job.Name, what, p.m.Job.Cut)
	if p.m.Job.Date != "" {
		s += " – " + p.m.Job.Date
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
