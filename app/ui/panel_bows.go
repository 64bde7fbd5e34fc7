package ui

import (
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
)

// bowTable lists the crossbows of the face: level, radius, sag and how far the
// section lies from one radius.
type bowTable struct {
	of   *board.Model // that the table was made for
	job  *board.Job   // in whose unit
	text *widget.Label
	box  *fyne.Container
}

func newBowTable() *bowTable {
	t := &bowTable{text: widget.NewLabel("")}
	t.text.TextStyle.Monospace = true
	t.text.SizeName = theme.SizeNameCaptionText
	note := dim(lang.L("Level is up from the middle of the pane; off is how far the section lies from one radius at most."))
	t.box = fold(lang.L("Crossbows"), container.NewVBox(t.text, note)).box
	return t
}

// show brings the table up to a state; it is worked out once for each model.
func (t *bowTable) show(s desk.State) {
	setVisible(t.box, s.Model != nil && s.Model.Pane != nil)
	if s.Model == nil || t.of == s.Model && t.job == s.Job {
		return
	}
	t.of, t.job = s.Model, s.Job
	setText(t.text, bowText(s.Job, s.Model.Crossbows(), s.Model.MiddleBow))
}

// bowText is the table as text in a monospaced face.
func bowText(j *board.Job, across []board.Crossbow, middle func() (board.Crossbow, bool)) string {
	rows := [][]string{{lang.L("level"), lang.L("radius"), lang.L("sag"), lang.L("off")}}
	for i := len(across) - 1; i >= 0; i-- { // from the top down, as the pane lies
		rows = append(rows, bowRow(j, bare(j, across[i].Level, 0), across[i]))
	}
	if c, ok := middle(); ok {
		rows = append(rows, bowRow(j, lang.L("fore-aft"), c))
	}
	return columnsText(rows)
}

// bowRow is one section. A radius that is not known to a half is no radius.
func bowRow(j *board.Job, level string, c board.Crossbow) []string {
	radius := lang.L("straight")
	if !math.IsInf(c.Radius, 0) && c.RadiusU < c.Radius/2 {
		radius = bare(j, c.Radius, c.RadiusU)
	}
	return []string{level, radius, bare(j, c.Sag, 0), fineBare(j, c.Miss)}
}

// bare is a length without its unit, for a table, with twice its uncertainty
// where that is known.
func bare(j *board.Job, mm, u float64) string {
	size, places := 1.0, 1
	if j.Unit == board.Inch {
		size, places = 25.4, 2
	}
	if u == 0 {
		return number(j, mm/size, places)
	}
	return plusMinus(j, mm/size, u/size, places)
}
