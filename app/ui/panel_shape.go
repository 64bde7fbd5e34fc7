package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/app/ui/solidview"
)

// shapePanel holds the figures that a person checks with a tape, and how the
// misses are drawn.
type shapePanel struct {
	w     *Window
	head  *widget.Label
	say   *widget.Label
	sizes *figures
	fit   *figures
	face  *figures
	mag   *choice
	view  *choice
	solid *form // how the solid is looked at
	box   fyne.CanvasObject
}

// magnifications are how many times the whiskers are drawn longer than they are.
var magnifications = []float64{1, 10, 20, 50, 100}

func newShapePanel(w *Window) *shapePanel {
	p := &shapePanel{w: w, head: headline(), say: wrapped("")}
	p.sizes = newFigures(lang.L("Greatest width"), lang.L("Greatest height"), lang.L("Girth"), lang.L("Least radius"),
		lang.L("Area, flat"), lang.L("Area, curved"), lang.L("Weight"))
	p.fit = newFigures(lang.L("Typical miss"), lang.L("Largest miss"), lang.L("Reads good to ±"), lang.L("Differs from its mirror"))
	p.face = newFigures(lang.L("Cross sag"), lang.L("Fore-and-aft sag"), lang.L("Tightest bend"), lang.L("Typical miss"), lang.L("Largest miss"))
	p.mag = newChoice([]string{lang.L("true size"), "10 ×", "20 ×", "50 ×", "100 ×"}, w.setMagnify)
	p.view = newChoice([]string{lang.L("board picture"), lang.L("solid view")}, func(i int) { w.setSolid(i == 1) })
	draw := newForm(w)
	draw.row(lang.L("Show"), p.view)
	draw.row(lang.L("Misses drawn"), p.mag)
	p.solid = newForm(w)
	from := newChoice(directionWords(), func(i int) { w.solid.Look(solidview.Direction(i)) })
	from.show(int(solidview.ThreeQuarter))
	stretch := newChoice([]string{lang.L("true"), lang.L("2 × stretched"), lang.L("5 × stretched")}, func(i int) {
		w.solid.SetStretch([]float64{1, 2, 5}[i])
	})
	stretch.show(0)
	p.solid.row(lang.L("Look from"), from)
	p.solid.row(lang.L("Heights"), stretch)
	p.box = column(p.head, p.say, draw.box, p.solid.box, widget.NewSeparator(),
		title(lang.L("Sizes to check with a tape")), p.sizes.box,
		title(lang.L("Outline")), p.fit.box, title(lang.L("Face")), p.face.box)
	return p
}

// directionWords name the directions of the solid view, in its order.
func directionWords() []string {
	return []string{lang.L("the lower left, above"), lang.L("above"), lang.L("the lower edge"), lang.L("the right"), lang.L("below")}
}

func (p *shapePanel) content() fyne.CanvasObject { return p.box }

// show fills in the figures.
func (p *shapePanel) show(s desk.State) {
	p.mag.show(p.w.magnify)
	p.view.show(oneIf(p.w.solidShown))
	setVisible(p.solid.box, p.w.solidShown)
	m := s.Model
	if m == nil || m.Why != "" || m.Pane == nil {
		setLabel(p.head, lang.L("No shape yet"), widget.WarningImportance)
		why := lang.L("Working out the shape…")
		switch {
		case s.Err != nil:
			why = plain(s.Err)
		case m != nil && m.Why != "":
			why = capital(m.Why)
		}
		setText(p.say, why)
	} else {
		setLabel(p.head, lang.L("{{.W}} by {{.H}}", map[string]any{
			"W": length(s.Job, m.Figures.Width), "H": length(s.Job, m.Figures.Length),
		}), widget.MediumImportance)
		setText(p.say, lang.L("Compare two widths, two diagonals and the girth with the glass before anything is cut."))
	}
	if m == nil {
		p.sizes.show("", "", "", "", "", "", "")
		p.fit.show("", "", "", "")
		p.face.show("", "", "", "", "")
		return
	}
	f, j := m.Figures, s.Job
	or := func(v float64, text string) string {
		if v == 0 {
			return ""
		}
		return text
	}
	p.sizes.show(or(f.Width, length(j, f.Width)), or(f.Length, length(j, f.Length)), or(f.Girth, length(j, f.Girth)),
		or(f.LeastRadius, length(j, f.LeastRadius)), or(f.Area, area(j, f.Area)), or(f.FaceArea, area(j, f.FaceArea)), or(f.Mass, mass(j, f.Mass)))
	p.fit.show(or(f.LargestMiss, fine(j, f.TypicalMiss)), or(f.LargestMiss, fine(j, f.LargestMiss)),
		or(f.SigmaFound, fine(j, f.SigmaFound)), or(f.AsymmetryMax, lang.L("up to {{.A}}", map[string]any{"A": fine(j, f.AsymmetryMax)})))
	p.face.show(or(f.CrossSag, length(j, f.CrossSag)), or(f.ForeAftSag, length(j, f.ForeAftSag)),
		or(f.FaceLeastRadius, length(j, f.FaceLeastRadius)), or(f.FaceLargestMiss, fine(j, f.FaceTypicalMiss)), or(f.FaceLargestMiss, fine(j, f.FaceLargestMiss)))
}
