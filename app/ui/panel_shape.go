package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
)

// shapePanel holds the figures that a person checks with a tape, how sure they
// are, and how the misses are drawn.
type shapePanel struct {
	w       *Window
	head    *widget.Label
	say     *widget.Label
	lop     *widget.Label
	sizes   *figures
	fit     *figures
	scatter *widget.Label
	face    *figures
	bows    *bowTable
	mag     *choice
	comb    *choice
	view    *choice
	box     fyne.CanvasObject
}

// magnifications are how many times the whiskers are drawn longer than they are.
var magnifications = []float64{1, 10, 20, 50, 100}

func newShapePanel(w *Window) *shapePanel {
	p := &shapePanel{w: w, head: headline(), say: wrapped(""), lop: wrapped(""), scatter: wrapped(""), bows: newBowTable()}
	p.lop.Importance = widget.WarningImportance
	p.sizes = newFigures(lang.L("Width"), lang.L("Height"), lang.L("Girth"), lang.L("Least radius"),
		lang.L("Area, flat"), lang.L("Area, curved"), lang.L("Weight"))
	p.fit = newFigures(lang.L("Typical miss"), lang.L("Largest miss"), lang.L("Differs from its mirror"))
	p.face = newFigures(lang.L("Cross sag"), lang.L("Fore-and-aft sag"), lang.L("Tightest bend"), lang.L("Typical miss"), lang.L("Largest miss"))
	p.mag = newChoice([]string{lang.L("true size"), "10 ×", "20 ×", "50 ×", "100 ×"}, w.setMagnify)
	p.comb = newChoice(combWords(), w.setComb)
	p.view = newChoice([]string{lang.L("board picture"), lang.L("solid view")}, func(i int) { w.setSolid(i == 1) })
	draw := newForm(w)
	draw.row(lang.L("Show"), p.view)
	draw.row(lang.L("Misses drawn"), p.mag)
	draw.row(lang.L("Curvature comb"), p.comb)
	p.box = column(p.head, p.say, p.lop, draw.box, widget.NewSeparator(),
		title(lang.L("Sizes to check with a tape")), p.sizes.box, dim(lang.L("± is twice the standard uncertainty.")),
		title(lang.L("Outline")), p.fit.box, p.scatter, title(lang.L("Face")), p.face.box, p.bows.box)
	return p
}

func (p *shapePanel) content() fyne.CanvasObject { return p.box }

// show fills in the figures.
func (p *shapePanel) show(s desk.State) {
	p.mag.show(p.w.magnify)
	p.comb.show(p.w.comb)
	p.view.show(oneIf(p.w.solidShown))
	p.lead(s)
	p.bows.show(s)
	m, j := s.Model, s.Job
	if m == nil {
		p.sizes.show("", "", "", "", "", "", "")
		p.fit.show("", "", "")
		p.face.show("", "", "", "", "")
		return
	}
	f := m.Figures
	or := func(v float64, text string) string {
		if v == 0 {
			return ""
		}
		return text
	}
	p.sizes.show(or(f.Width, unsure(j, f.Width, f.WidthU)), or(f.Length, unsure(j, f.Length, f.LengthU)), or(f.Girth, unsure(j, f.Girth, f.GirthU)),
		or(f.LeastRadius, unsure(j, f.LeastRadius, f.LeastRadiusU)), or(f.Area, unsureArea(j, f.Area, f.AreaU)),
		or(f.FaceArea, area(j, f.FaceArea)), or(f.Mass, mass(j, f.Mass)))
	p.fit.show(or(f.LargestMiss, fine(j, f.TypicalMiss)), or(f.LargestMiss, fine(j, f.LargestMiss)),
		or(f.AsymmetryMax, lang.L("up to {{.A}}", map[string]any{"A": fine(j, f.AsymmetryMax)})))
	p.face.show(or(f.CrossSag, unsure(j, f.CrossSag, f.CrossSagU)), or(f.ForeAftSag, unsure(j, f.ForeAftSag, f.ForeAftSagU)),
		or(f.FaceLeastRadius, length(j, f.FaceLeastRadius)), or(f.FaceLargestMiss, fine(j, f.FaceTypicalMiss)), or(f.FaceLargestMiss, fine(j, f.FaceLargestMiss)))
}

// lead says first what there is, and what has to be known of it.
func (p *shapePanel) lead(s desk.State) {
	m, j := s.Model, s.Job
	setVisible(p.lop, m != nil && m.Lopsided > 0)
	setVisible(p.scatter, m != nil && m.Figures.SigmaFound > 0)
	if m == nil || m.Why != "" || m.Pane == nil {
		setLabel(p.head, lang.L("No shape yet"), widget.WarningImportance)
		setText(p.say, p.why(s))
		return
	}
	setLabel(p.head, lang.L("{{.W}} by {{.H}}", map[string]any{
		"W": length(j, m.Figures.Width), "H": length(j, m.Figures.Length),
	}), widget.MediumImportance)
	setText(p.say, lang.L("Compare two widths, two diagonals and the girth with the glass before anything is cut."))
	setText(p.lop, lang.L("Not symmetric: the halves lie {{.T}} from each other's mirror image, up to {{.M}}, more than the readings can explain. Both were left as read.",
		map[string]any{"T": fine(j, m.Lopsided), "M": fine(j, m.LopsidedMost)}))
	setText(p.scatter, scatterWord(j, m.Figures.SigmaFound))
}

// why says why there is no shape.
func (p *shapePanel) why(s desk.State) string {
	switch {
	case s.Err != nil:
		return plain(s.Err)
	case s.Model != nil && s.Model.Why != "":
		return capital(s.Model.Why)
	}
	return lang.L("Working out the shape…")
}

// scatterWord holds how the readings scatter against what the person expects.
func scatterWord(j *board.Job, found float64) string {
	return lang.L("Readings scatter {{.F}}, expected {{.E}}.", map[string]any{"F": fineBare(j, found), "E": fine(j, j.Sigma)})
}
