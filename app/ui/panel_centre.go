package ui

import (
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
)

// doubtful is how many of its uncertainties a typed centre plane may lie from
// the found one before the panel warns.
const doubtful = 3

// centrePanel says where the centre line is and what follows from it.
type centrePanel struct {
	w      *Window
	head   *widget.Label
	say    *widget.Label
	warn   *widget.Label
	use    *button
	keep   *button
	form   *form
	offset *field
	nudges *fyne.Container
	facts  *figures
	box    fyne.CanvasObject
}

func newCentrePanel(w *Window) *centrePanel {
	p := &centrePanel{w: w, head: headline(), say: wrapped(""), warn: wrapped(""), form: newForm(w)}
	p.use = newButton(lang.L("Use what was found"), w.useFound)
	p.keep = newButton(lang.L("Hold it where it is"), w.holdCentre)
	p.use.onKey, p.keep.onKey = w.key, w.key
	p.warn.Importance = widget.WarningImportance
	for _, c := range []struct {
		name string
		axis board.Axis
		of   func(*board.TypedPlane) *board.Cell
	}{
		{lang.L("Offset, + right"), board.AxisLength, func(t *board.TypedPlane) *board.Cell { return &t.Offset }},
		{lang.L("Skew, + anticlockwise"), board.AxisAngle, func(t *board.TypedPlane) *board.Cell { return &t.Skew }},
		{lang.L("Roll, + leans up"), board.AxisAngle, func(t *board.TypedPlane) *board.Cell { return &t.Roll }},
	} {
		e := p.cell(c.name, c.axis, c.of)
		if p.offset == nil {
			p.offset = e
		}
	}
	p.facts = newFigures(lang.L("Widest left/right difference"), lang.L("at station"), lang.L("Bend at the top join"),
		lang.L("Bend at the bottom join"), lang.L("Mirrored width"), lang.L("Change of width"))
	p.nudges = p.nudgeButtons()
	p.box = column(p.head, p.say, p.warn, p.use, p.keep, widget.NewSeparator(),
		p.form.box, p.nudges, widget.NewSeparator(), title(lang.L("What follows")), p.facts.box)
	return p
}

// cell adds a field of the typed plane. Without a typed plane it shows the one
// in use; typing into it types all three.
func (p *centrePanel) cell(name string, axis board.Axis, of func(*board.TypedPlane) *board.Cell) *field {
	get := func(j *board.Job) (string, string) {
		if j.Plane != nil {
			c := of(j.Plane)
			return typed(*c, j.Unit), capital(c.Fault)
		}
		if t, ok := p.w.planeInUse(); ok {
			return of(&t).Text, ""
		}
		return "", ""
	}
	e := p.form.text(name, true, lang.L("Type the centre line"), get, func(j *board.Job, s string) error {
		t := p.w.typedPlane(j)
		*of(&t) = j.Typed(s)
		j.Plane = &t
		return nil
	})
	e.echo = func(s string) { p.w.say(echo(p.w.state.Job, s, axis)) }
	return e
}

// nudgeButtons move the plane by small steps.
func (p *centrePanel) nudgeButtons() *fyne.Container {
	row := func(name string, steps []float64, show func(float64) string, move func(float64)) (fyne.CanvasObject, fyne.CanvasObject) {
		buttons := container.NewGridWithColumns(len(steps))
		for _, d := range steps {
			b := newButton(show(d), func() { move(d) })
			b.onKey = p.w.key
			buttons.Add(b)
		}
		return widget.NewLabel(name), buttons
	}
	signed := func(places int) func(float64) string {
		return func(v float64) string {
			s := number(&board.Job{}, math.Abs(v), places)
			if v < 0 {
				return "−" + s
			}
			return "+" + s
		}
	}
	box := container.New(&formLayout{gap: formGap})
	for _, r := range []struct {
		name  string
		steps []float64
		show  func(float64) string
		move  func(float64)
	}{
		{lang.L("Shift, mm"), []float64{-1, -0.1, 0.1, 1}, signed(1), func(d float64) { p.w.nudge(d, 0, 0) }},
		{lang.L("Turn, °"), []float64{-0.1, -0.01, 0.01, 0.1}, signed(2), func(d float64) { p.w.nudge(0, d, 0) }},
		{lang.L("Roll, °"), []float64{-0.1, -0.01, 0.01, 0.1}, signed(2), func(d float64) { p.w.nudge(0, 0, d) }},
	} {
		a, b := row(r.name, r.steps, r.show, r.move)
		box.Add(a)
		box.Add(b)
	}
	return box
}

func (p *centrePanel) content() fyne.CanvasObject { return p.box }

// show says what was found, what is used and what follows.
func (p *centrePanel) show(s desk.State) {
	p.form.update(s.Job)
	m := s.Model
	setVisible(p.warn, false)
	noMirror := s.Job.Mirror == board.MirrorNone
	setVisible(p.nudges, !noMirror)
	setVisible(p.form.box, !noMirror)
	switch {
	case noMirror:
		setLabel(p.head, lang.L("No mirror"), widget.MediumImportance)
		setText(p.say, lang.L("This pane is not mirrored: the outline is as it was read all round. The halves are set under Board."))
	case m == nil:
		setLabel(p.head, lang.L("Not known yet"), widget.MediumImportance)
		setText(p.say, lang.L("The centre line is looked for as soon as the outline can be fitted."))
	case m.Found == nil && m.Used == nil:
		setLabel(p.head, lang.L("Not determined"), widget.WarningImportance)
		setText(p.say, capital(whyNot(m)))
	case s.Job.Plane != nil:
		p.showTyped(s)
	default:
		p.showFound(s)
	}
	setVisible(p.use, s.Job.Plane != nil)
	setVisible(p.keep, s.Job.Plane == nil && m != nil && m.Used != nil && !noMirror)
	p.consequence(s)
}

// whyNot says why the centre line is not determined.
func whyNot(m *board.Model) string {
	if m.WhyNotFound != "" {
		return m.WhyNotFound
	}
	return m.Why
}

// showFound is the case without a typed plane.
func (p *centrePanel) showFound(s desk.State) {
	f := s.Model.Used
	setLabel(p.head, lang.L("Centre line {{.D}} to the {{.Side}} of x = 0 (± {{.U}})", map[string]any{
		"D": fine(s.Job, math.Abs(f.Offset)), "Side": side(f.Offset), "U": fine(s.Job, f.OffsetU),
	}), widget.MediumImportance)
	setText(p.say, lang.L("Found from the {{.Source}}, and used. Turned {{.Skew}} (± {{.SkewU}}), leaning {{.Roll}} (± {{.RollU}}).", map[string]any{
		"Source": sourceWord(f.Source), "Skew": degrees(s.Job, f.Skew), "SkewU": degrees(s.Job, f.SkewU),
		"Roll": degrees(s.Job, f.Roll), "RollU": degrees(s.Job, f.RollU),
	}))
}

// showTyped is the case with a typed plane: it is held against what was found.
func (p *centrePanel) showTyped(s desk.State) {
	f, u := s.Model.Found, s.Model.Used
	if f == nil {
		setLabel(p.head, lang.L("Centre line as typed"), widget.MediumImportance)
		setText(p.say, lang.L("The readings alone do not say where it is. {{.Why}}", map[string]any{"Why": capital(whyNot(s.Model))}))
		return
	}
	if u == nil {
		u = f
	}
	off := u.Offset - f.Offset
	setLabel(p.head, lang.L("Centre line {{.D}} {{.Side}} of where the readings put it (± {{.U}})", map[string]any{
		"D": fine(s.Job, math.Abs(off)), "Side": side(off), "U": fine(s.Job, f.OffsetU),
	}), widget.MediumImportance)
	setText(p.say, lang.L("Yours is used: turned {{.Skew}} against it, leaning {{.Roll}} more.", map[string]any{
		"Skew": degrees(s.Job, u.Skew-f.Skew), "Roll": degrees(s.Job, u.Roll-f.Roll),
	}))
	c, ok := p.w.desk.Consequence(u.Offset, u.Skew, u.Roll)
	if ok && c.Odds > doubtful {
		setText(p.warn, lang.L("This is {{.N}} times its uncertainty away from what the readings say: {{.Odds}}. The mirrored edge would be up to {{.E}} out.", map[string]any{
			"N": number(s.Job, c.Odds, 1), "Odds": oddsWord(c.Odds), "E": fine(s.Job, 2*math.Abs(off)),
		}))
		setVisible(p.warn, true)
		setLabel(p.head, p.head.Text, widget.WarningImportance)
	}
}

// oddsWord says how seldom a plane so many uncertainties away would come about
// by chance: a chi-square of three figures.
func oddsWord(n float64) string {
	p := math.Erfc(n/math.Sqrt2) + math.Sqrt(2/math.Pi)*n*math.Exp(-n*n/2)
	if p < 1e-4 {
		return lang.L("less than 1 chance in 10 000")
	}
	return lang.L("about 1 chance in {{.N}}", map[string]any{"N": number(&board.Job{}, math.Max(2, 1/p), 0)})
}

// sourceWord names where the centre line was found from.
func sourceWord(source string) string {
	switch source {
	case "outline":
		return lang.L("outline of both halves")
	case "tapes":
		return lang.L("taped widths")
	case "stations":
		return lang.L("check stations")
	case "marks":
		return lang.L("centre marks")
	}
	return lang.L("readings together")
}

// consequence shows what the plane in use would do.
func (p *centrePanel) consequence(s desk.State) {
	var c board.Consequence
	ok := false
	if s.Model != nil && s.Model.Used != nil {
		c, ok = p.w.desk.Consequence(p.w.planeNumbers(s))
	}
	if !ok {
		p.facts.show("", "", "", "", "", "")
		return
	}
	p.showConsequence(s, c)
}

// showConsequence writes out what a plane would do.
func (p *centrePanel) showConsequence(s desk.State, c board.Consequence) {
	widest := ""
	if c.WidestAt != "" {
		widest = signedFine(s.Job, c.WidestDifference)
	}
	p.facts.show(widest, c.WidestAt, degrees(s.Job, c.KinkTop), degrees(s.Job, c.KinkBottom),
		fine(s.Job, c.Width), signedFine(s.Job, c.WidthChange))
}
