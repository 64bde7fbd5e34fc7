package ui

import (
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/board"
)

// follows is what a centre line would do to the pane, in figures that follow a
// drag.
type follows struct {
	head  *widget.Label
	facts *figures
	box   fyne.CanvasObject
}

// Rows of the figures whose names change.
const (
	followsStation = iota
	followsTape
)

func newFollows() *follows {
	f := &follows{head: widget.NewLabel("")}
	f.head.TextStyle.Bold = true
	f.facts = newFigures("", "", lang.L("Width over all"), lang.L("Change of width"),
		lang.L("Bend, top · bottom"), lang.L("Step, top · bottom"), lang.L("Far corners move"),
		lang.L("Left over · at most"))
	f.box = container.NewVBox(f.head, f.facts.box)
	return f
}

// show writes out what a plane would do; apart says whether it is another than the
// one found.
func (f *follows) show(j *board.Job, c board.Consequence, apart bool) {
	setText(f.head, lang.L("What follows ({{.Unit}})", map[string]any{"Unit": j.Unit.String()}))
	w, taped := widestTape(c)
	f.facts.name(followsStation, lang.L("Off station {{.ID}}, the most", map[string]any{"ID": c.WidestAt}))
	f.facts.name(followsTape, lang.L("Off the tape from {{.ID}}", map[string]any{"ID": w.Station}))
	f.facts.show(signedBare(j, c.WidestDifference), signedBare(j, w.Difference), fineBare(j, c.Width), signedBare(j, c.WidthChange),
		degrees(j, c.KinkTop)+" · "+degrees(j, c.KinkBottom), stepWord(j, c.StepTop)+" · "+stepWord(j, c.StepBottom),
		fineBare(j, c.Corners[1].By)+" · "+fineBare(j, c.Corners[0].By), fineBare(j, c.AsymmetryRMS)+" · "+fineBare(j, c.AsymmetryMost))
	f.facts.rows(c.WidestAt != "", taped, true, apart, true, c.StepTop.Known || c.StepBottom.Known, apart, c.AsymmetryMost > 0)
}

// widestTape is the taped width that a plane contradicts most.
func widestTape(c board.Consequence) (w board.WidthCheck, ok bool) {
	for _, t := range c.Widths {
		if !ok || math.Abs(t.Difference) > math.Abs(w.Difference) {
			w, ok = t, true
		}
	}
	return w, ok
}

// stepWord is the step where the halves meet; a dash where no station was read
// past the line there.
func stepWord(j *board.Job, s board.JoinStep) string {
	if !s.Known {
		return "–"
	}
	return signedBare(j, s.Out)
}
