package ui

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
)

// checksBox is what was measured of the board and its tools, the corrections of
// the readings that follow, each with its switch, and the layings of the pane.
type checksBox struct {
	w        *Window
	cells    *form
	fields   map[string]*field // by the names of Job.SetCheck
	empty    *button           // goes to the readings of the empty board
	measured *folding
	groups   []*correctionGroup
	none     *widget.Label
	layings  *fyne.Container
	box      *fyne.Container
}

func newChecksBox(w *Window) *checksBox {
	b := &checksBox{w: w, cells: newForm(w), fields: map[string]*field{}}
	b.heads(lang.L("drawn"), lang.L("measured"))
	b.pair(lang.L("Base line"), "base_drawn", "base_measured")
	b.pair(lang.L("Side"), "side_drawn", "side_measured")
	b.heads(lang.L("rising"), lang.L("falling"))
	b.pair(lang.L("Diagonals"), "diagonal_rising", "diagonal_falling")
	b.pair(lang.L("Lengths good to ±"), "grid_sd", "")
	b.heads(lang.L("heights"), lang.L("on the face"))
	b.pair(lang.L("Gauge height"), "gauge", "gauge_face")
	b.empty = newButton("", func() { w.openList(listZero) })
	b.empty.onKey = w.key
	b.cells.row(lang.L("Empty board"), b.empty)
	note := dim(lang.L("Tape the drawn lines, or the largest rectangle of them: base line across, a side up, both diagonals; rising runs from lower left to upper right. What the tool of the heights reads over the empty board is taken off the heights."))
	b.measured = fold(lang.L("Board and tools as measured"), container.NewVBox(b.cells.box, note))

	b.none = dim(lang.L("Nothing to correct is known."))
	corrections := container.NewVBox(b.none)
	for _, g := range []struct{ name, word, edit string }{
		{board.CorrectGrid, lang.L("Correct for the grid as measured"), lang.L("Correct for the grid")},
		{board.CorrectZero, lang.L("Take the empty board off"), lang.L("Take the empty board off")},
		{board.CorrectGauge, lang.L("Take the gauge off"), lang.L("Take the gauge off")},
		{board.CorrectDrift, lang.L("Take the drift off"), lang.L("Take the drift off")},
		{board.CorrectScale, lang.L("Stretch to the taped lengths"), lang.L("Stretch to the taped lengths")},
	} {
		group := newCorrectionGroup(w, g.name, g.word, g.edit)
		b.groups = append(b.groups, group)
		corrections.Add(group.box)
	}
	b.layings = container.NewVBox()
	b.box = container.NewVBox(b.measured.box, widget.NewSeparator(),
		title(lang.L("Corrections of the readings")), corrections, b.layings, dim(lang.L("± is twice the standard uncertainty.")))
	return b
}

// heads adds small words over the fields that follow.
func (b *checksBox) heads(left, right string) {
	grid := container.NewGridWithColumns(2)
	for _, word := range []string{left, right} {
		l := widget.NewLabel(word)
		l.SizeName, l.Importance = theme.SizeNameCaptionText, widget.LowImportance
		grid.Add(l)
	}
	b.cells.box.Add(container.NewVBox())
	b.cells.box.Add(container.New(&headBox{}, grid))
}

// pair adds one field, or two side by side, over cells of the board's checks.
func (b *checksBox) pair(name string, fields ...string) {
	grid := container.NewGridWithColumns(2)
	faults := container.NewVBox(grid)
	for _, c := range fields {
		if c == "" {
			grid.Add(widget.NewLabel(""))
			continue
		}
		e := newField(true, func(s string) error {
			return b.w.Edit(lang.L("Measure the board"), func(j *board.Job) error { return j.SetCheck(c, s) })
		}, b.w.key)
		e.echo = func(s string) { b.w.say(echo(b.w.state.Job, s, board.AxisLength)) }
		b.cells.show = append(b.cells.show, func(j *board.Job) {
			cell := checkCell(j, c)
			e.show(typed(cell, j.Unit), capital(cell.Fault))
		})
		b.fields[c] = e
		grid.Add(e)
		faults.Add(e.fault)
	}
	b.cells.row(name, faults)
}

// checkCell is the cell of a field of the board's checks.
func checkCell(j *board.Job, name string) board.Cell {
	c := &j.Checks
	return map[string]board.Cell{
		"base_drawn": c.Grid.Base.Drawn, "base_measured": c.Grid.Base.Measured,
		"side_drawn": c.Grid.Side.Drawn, "side_measured": c.Grid.Side.Measured,
		"diagonal_rising": c.Grid.Rising, "diagonal_falling": c.Grid.Falling, "grid_sd": c.Grid.SD,
		"gauge": c.Gauge.Height, "gauge_face": c.Gauge.Face,
	}[name]
}

// show brings the box up to a state.
func (b *checksBox) show(s desk.State) {
	b.cells.update(s.Job)
	word := lang.L("Read it…")
	if n := len(s.Job.Checks.Zero.Points); n > 0 {
		word = lang.L("read at {{.N}} places", map[string]any{"N": n})
	}
	setWord(b.empty, word)
	var all []board.Correction
	var joins []board.Join
	if s.Model != nil {
		all, joins = s.Model.Corrections, s.Model.Joins
	}
	any := false
	for _, g := range b.groups {
		any = g.show(s.Job, all) || any
	}
	setVisible(b.none, !any)
	b.showJoins(s.Job, joins)
}

// showJoins lists the further layings of the pane.
func (b *checksBox) showJoins(j *board.Job, joins []board.Join) {
	setVisible(b.layings, len(joins) > 0)
	for len(b.layings.Objects) < 1+2*len(joins) {
		if len(b.layings.Objects) == 0 {
			b.layings.Add(title(lang.L("Layings of the pane")))
			continue
		}
		b.layings.Add(wrapped(""))
		b.layings.Add(caption(""))
	}
	for i, o := range b.layings.Objects {
		if i == 0 {
			continue
		}
		n := (i - 1) / 2
		setVisible(o, n < len(joins))
		switch {
		case n >= len(joins):
		case i%2 == 1:
			word, weight := joinWord(j, joins[n])
			setLabel(o.(*widget.Label), word, weight)
		default:
			text := said(joins[n].Text)
			if joins[n].Joined {
				text += " " + lang.L("Its readings are unsure by up to ± {{.U}} more.", map[string]any{"U": fine(j, 2*joins[n].UXY)})
			}
			setText(o.(*widget.Label), text)
		}
	}
}

// joinWord is how a laying was joined, and how it stands out.
func joinWord(j *board.Job, join board.Join) (string, widget.Importance) {
	data := map[string]any{"N": join.Set, "R": fine(j, join.RMS), "Worst": join.Worst, "M": fine(j, join.WorstMiss)}
	if !join.Joined {
		return lang.L("Laying {{.N}}: not joined", data), widget.WarningImportance
	}
	weight := widget.SuccessImportance
	if len(join.Aside) > 0 {
		weight = widget.WarningImportance
	}
	if join.Turned {
		return lang.L("Laying {{.N}}, turned over: misfit {{.R}}, worst {{.Worst}} with {{.M}}", data), weight
	}
	return lang.L("Laying {{.N}}: misfit {{.R}}, worst {{.Worst}} with {{.M}}", data), weight
}

// gotoField opens what was measured and puts the keys on a field of it; false
// where it is none of them.
func (b *checksBox) gotoField(name string) bool {
	e, ok := b.fields[name]
	if ok {
		b.measured.open(true)
		b.w.win.Canvas().Focus(e)
	}
	return ok
}

// correctionGroup is the corrections that one switch turns on and off.
type correctionGroup struct {
	w       *Window
	name    string
	edit    string
	check   *tick
	showing bool
	values  *widget.Label
	texts   *widget.Label
	box     *fyne.Container
}

func newCorrectionGroup(w *Window, name, word, edit string) *correctionGroup {
	g := &correctionGroup{w: w, name: name, edit: edit, values: widget.NewLabel(""), texts: caption("")}
	g.values.TextStyle.Monospace, g.values.SizeName = true, theme.SizeNameCaptionText
	g.check = newTick(word, g.turn)
	g.box = container.New(&closeBox{}, g.check, g.values, g.texts)
	return g
}

// turn switches the corrections.
func (g *correctionGroup) turn(on bool) {
	if g.showing {
		return
	}
	name := g.edit
	if !on {
		name = lang.L("{{.What}}: no", map[string]any{"What": g.edit})
	}
	g.w.report(g.w.Edit(name, func(j *board.Job) error { return j.Correct(g.name, on) }))
}

// show brings the group up to a job and what is known; false where there is
// nothing to say.
func (g *correctionGroup) show(j *board.Job, all []board.Correction) bool {
	var names, values, texts []string
	known := false
	for _, c := range all {
		if c.Switch != g.name {
			continue
		}
		texts = append(texts, said(c.Text))
		if c.Known {
			known = true
			names, values = append(names, correctionName(c.Name)), append(values, correctionValue(j, c))
		}
	}
	g.showing = true
	if on := j.Corrects(g.name); g.check.Checked != on {
		g.check.SetChecked(on)
	}
	g.showing = false
	setVisible(g.box, len(texts) > 0)
	setVisible(g.check, known)
	setVisible(g.values, known)
	if known {
		setText(g.values, namedValues(names, values))
	}
	setText(g.texts, strings.Join(texts, "\n"))
	return len(texts) > 0
}

// namedValues sets values behind their names, in a monospaced face.
func namedValues(names, values []string) string {
	wide := 0
	for _, n := range names {
		wide = max(wide, utf8.RuneCountInString(n))
	}
	lines := make([]string, len(names))
	for i, n := range names {
		lines[i] = fmt.Sprintf("%-*s  %s", wide, n, values[i])
	}
	return strings.Join(lines, "\n")
}

// correctionName names a correction in words.
func correctionName(name string) string {
	switch name {
	case "pitch_x":
		return lang.L("pitch across")
	case "pitch_y":
		return lang.L("pitch up")
	case "squareness":
		return lang.L("out of square")
	case "zero_map":
		return lang.L("at most")
	case "gauge":
		return lang.L("all heights")
	case "gauge_face":
		return lang.L("on the face")
	case "drift_x":
		return lang.L("drift of x")
	case "drift_y":
		return lang.L("drift of y")
	case "drift_z":
		return lang.L("drift of z")
	case "drift_face":
		return lang.L("drift of face heights")
	case "scale":
		return lang.L("all lengths")
	}
	return name
}

// correctionValue is the size of a correction with its sign and twice its
// standard uncertainty, where that is known.
func correctionValue(j *board.Job, c board.Correction) string {
	value, u, unit, places := c.Value, c.U, " "+c.Unit, 2
	switch {
	case c.Unit == "deg":
		unit, places = "°", 3
	case c.Unit == "mm" && j.Unit == board.Inch:
		value, u, unit, places = value/25.4, u/25.4, " in", 3
	}
	text := number(j, value, places)
	if u > 0 {
		text = plusMinus(j, value, u, places)
	}
	if value > 0 && math.Abs(value) >= 0.5*math.Pow10(-places) {
		text = "+" + text
	}
	return text + unit
}

// closeBox sets objects under one another, closer than labels stand by
// themselves.
type closeBox struct{}

// Layout sets the visible objects.
func (closeBox) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	y := float32(0)
	for _, o := range objects {
		if o.Visible() {
			h := o.MinSize().Height
			o.Move(fyne.NewPos(0, y))
			o.Resize(fyne.NewSize(size.Width, h))
			y += h + closeGap
		}
	}
}

// MinSize is as high as they are so.
func (closeBox) MinSize(objects []fyne.CanvasObject) fyne.Size {
	s := fyne.NewSize(0, -closeGap)
	for _, o := range objects {
		if o.Visible() {
			m := o.MinSize()
			s = fyne.NewSize(max(s.Width, m.Width), s.Height+m.Height+closeGap)
		}
	}
	return fyne.NewSize(s.Width, max(s.Height, 0))
}

// headBox lets small words stand close over what follows them.
type headBox struct{}

// headHeight is the room of a line of small words that stands close.
const headHeight = 13

// Layout lets the words reach below their room.
func (headBox) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	for _, o := range objects {
		h := o.MinSize().Height
		o.Move(fyne.NewPos(0, (headHeight-h)/2+2))
		o.Resize(fyne.NewSize(size.Width, h))
	}
}

// MinSize is less than the words' own.
func (headBox) MinSize(objects []fyne.CanvasObject) fyne.Size {
	s := fyne.NewSize(0, headHeight)
	for _, o := range objects {
		s.Width = max(s.Width, o.MinSize().Width)
	}
	return s
}
