package ui

import (
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/desk"
	"panewright/board"
)

// centrePanel says where the centre line is, whether the pane is symmetric about
// it, and what follows from it.
type centrePanel struct {
	w       *Window
	head    *widget.Label
	verdict *widget.Label // in a line
	apart   *widget.Label // how far the line in use is from what the readings say
	say     *widget.Label
	use     *button
	keep    *button
	hand    *folding // the figures of the line, typed, and its nudges
	form    *form
	offset  *field
	nudges  *fyne.Container
	unit    board.Unit // of nudges
	shift   []*button  // those that shift the line
	shiftBy *widget.Label
	follows *follows
	why     *lineRow // the verdict with what to do next; shows where the halves differ most
	at      r2.Vec   // that place
	none    *button  // choose no mirror
	fold    *foldSwitch
	links   *linkBox
	carries *carryBox
	dragged *board.Consequence // of the line while it is dragged
	box     fyne.CanvasObject
}

func newCentrePanel(w *Window) *centrePanel {
	p := &centrePanel{w: w, head: headline(), verdict: wrapped(""), apart: wrapped(""), say: wrapped(""), form: newForm(w),
		follows: newFollows(), fold: newFoldSwitch(w), links: newLinkBox(w), carries: newCarryBox(w)}
	p.verdict.TextStyle.Bold = true
	p.why = newLineRow(func() {
		if p.why.sign.Visible() {
			w.showPlace(p.at)
		}
	})
	p.why.text.SizeName = theme.SizeNameCaptionText
	p.use = newButton(lang.L("Use what was found")+lang.L("   (Ctrl+U)"), w.useFound)
	p.keep = newButton(lang.L("Hold it where it is")+lang.L("   (Ctrl+H)"), w.holdCentre)
	p.none = newButton("", w.noMirror)
	for _, b := range []*button{p.use, p.keep, p.none} {
		b.onKey = w.key
	}
	p.use.Importance = widget.HighImportance
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
	p.nudges = p.nudgeButtons()
	p.hand = fold(lang.L("Type it, or nudge it"), container.NewVBox(p.form.box, p.nudges))
	p.box = column(p.head, p.verdict, p.apart, p.say, p.use, p.keep, p.hand.box, widget.NewSeparator(),
		p.follows.box, p.fold.box, widget.NewSeparator(), p.why.box, p.none, p.links.box, p.carries.box)
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
	row := func(steps []float64, move func(float64)) (*fyne.Container, []*button) {
		box := container.NewGridWithColumns(len(steps))
		var all []*button
		for _, d := range steps {
			b := newButton(nudgeWord(d, 2), func() { move(d) })
			b.onKey = p.w.key
			box.Add(b)
			all = append(all, b)
		}
		return box, all
	}
	p.shiftBy = widget.NewLabel("")
	shift, buttons := row([]float64{-10, -1, 1, 10}, func(n float64) { p.w.nudge(n*p.w.nudgeStep(), 0, 0) })
	p.shift = buttons
	turn, _ := row([]float64{-0.1, -0.01, 0.01, 0.1}, func(d float64) { p.w.nudge(0, d, 0) })
	lean, _ := row([]float64{-0.1, -0.01, 0.01, 0.1}, func(d float64) { p.w.nudge(0, 0, d) })
	return container.New(&formLayout{gap: formGap}, p.shiftBy, shift,
		widget.NewLabel(lang.L("Turn, °")), turn, widget.NewLabel(lang.L("Roll, °")), lean)
}

// nudgeWord is a step with its sign.
func nudgeWord(v float64, places int) string {
	s := number(&board.Job{}, math.Abs(v), places)
	if v < 0 {
		return "−" + s
	}
	return "+" + s
}

// showNudges writes the shifts in the job's unit.
func (p *centrePanel) showNudges(j *board.Job) {
	if p.shiftBy.Text != "" && p.unit == j.Unit {
		return
	}
	p.unit = j.Unit
	setText(p.shiftBy, lang.L("Shift, {{.Unit}}", map[string]any{"Unit": j.Unit.String()}))
	for i, n := range []float64{-10, -1, 1, 10} {
		mm := n * p.w.nudgeStep()
		word := nudgeWord(mm, 1)
		if j.Unit == board.Inch { // as they are said: .005
			sign, figures, _ := strings.Cut(nudgeWord(mm/j.Unit.Millimetres(), 3), "0")
			word = sign + strings.TrimRight(figures, "0")
		}
		setWord(p.shift[i], word)
	}
}

func (p *centrePanel) content() fyne.CanvasObject { return p.box }

// show says what was found, what is used and what follows.
func (p *centrePanel) show(s desk.State) {
	p.form.update(s.Job)
	p.showNudges(s.Job)
	m := s.Model
	noMirror := s.Job.Mirror == board.MirrorNone
	setVisible(p.hand.box, !noMirror)
	if p.offset.fault.Text != "" {
		p.hand.open(true)
	}
	switch {
	case noMirror:
		setLabel(p.head, lang.L("No mirror"), widget.MediumImportance)
		setText(p.say, lang.L("This pane is not mirrored: the outline is as it was read all round. The halves are set under Board."))
	case m == nil:
		setLabel(p.head, lang.L("Not known yet"), widget.MediumImportance)
		setText(p.say, lang.L("The centre line is looked for as soon as the outline can be fitted."))
	case m.Mirror == board.MirrorNone:
		setLabel(p.head, lang.L("Not mirrored"), widget.MediumImportance)
		setText(p.say, capital(m.WhyNotFound))
	case m.Found == nil && m.Used == nil && m.Verdict.Code == "asymmetric":
		setLabel(p.head, lang.L("Not a mirrored pane"), widget.WarningImportance)
		setText(p.say, capital(whyNot(m)))
	case m.Found == nil && m.Used == nil:
		setLabel(p.head, lang.L("Not determined"), widget.WarningImportance)
		setText(p.say, capital(whyNot(m)))
	case s.Job.Plane == nil:
		p.showFound(s)
	}
	p.showOutcome(s)
	setVisible(p.use, s.Job.Plane != nil)
	setVisible(p.keep, s.Job.Plane == nil && m != nil && m.Used != nil && !noMirror)
	p.showVerdict(s)
	p.fold.show(s)
	p.carries.show(s)
}

// whyNot says why the centre line is not determined.
func whyNot(m *board.Model) string {
	if m.WhyNotFound != "" {
		return m.WhyNotFound
	}
	return m.Why
}

// showVerdict says whether the pane is symmetric, and if not what to do about it.
func (p *centrePanel) showVerdict(s desk.State) {
	var v board.Verdict
	m := s.Model
	if m != nil {
		v = m.Verdict
	}
	if m != nil && v.Code == "unknown" && m.Found == nil {
		v.Code = "" // what is to be read is said already
	}
	word, weight := verdictWord(s.Job, v)
	setLabel(p.verdict, word, weight)
	setVisible(p.verdict, word != "")
	p.at = v.At
	setText(&p.why.text.Label, said(v.Text))
	setVisible(p.why.box, word != "")
	setVisible(p.why.sign, v.Where != "")
	setWord(p.none, lang.L("Choose no mirror: {{.D}} apart", map[string]any{"D": length(s.Job, asymmetry(v))}))
	setVisible(p.none, v.Code == "asymmetric" && s.Job.Mirror != board.MirrorNone)
	if m != nil {
		p.links.show(s, v.Text, m.WhyNotFound)
	} else {
		p.links.show(s)
	}
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

// showOutcome says what the line being dragged, or the one in use, would do; one
// that is not the one found is held against it.
func (p *centrePanel) showOutcome(s desk.State) {
	setVisible(p.apart, false)
	c, ok := p.outcome(s)
	p.follows.show(s.Job, c, p.dragged != nil || s.Job.Plane != nil)
	setVisible(p.follows.box, ok)
	switch {
	case s.Model == nil || s.Job.Mirror == board.MirrorNone || s.Job.Plane == nil && p.dragged == nil:
		return
	case s.Model.Found == nil:
		setLabel(p.head, lang.L("Centre line as typed"), widget.MediumImportance)
		setText(p.say, lang.L("The readings alone do not say where it is. {{.Why}}", map[string]any{"Why": capital(whyNot(s.Model))}))
	case ok:
		p.showApart(s, c)
	default:
		setLabel(p.head, lang.L("Centre line as typed"), widget.MediumImportance)
		setText(p.say, lang.L("The outline does not cross it below and above."))
	}
}

// outcome is what the line being dragged would do, or else the one in use.
func (p *centrePanel) outcome(s desk.State) (board.Consequence, bool) {
	switch {
	case p.dragged != nil:
		return *p.dragged, true
	case s.Model == nil || s.Model.Used == nil && s.Job.Plane == nil || s.Job.Mirror == board.MirrorNone:
		return board.Consequence{}, false
	}
	return p.w.desk.Consequence(p.w.planeNumbers(s))
}

// showApart holds a line against the one found.
func (p *centrePanel) showApart(s desk.State, c board.Consequence) {
	weight := widget.MediumImportance
	if c.Odds > doubtful {
		weight = widget.WarningImportance
	}
	setLabel(p.head, lang.L("Centre line {{.D}} {{.Side}} of where the readings put it (± {{.U}})", map[string]any{
		"D": fine(s.Job, math.Abs(c.Off)), "Side": side(c.Off), "U": fine(s.Job, s.Model.Found.OffsetU),
	}), weight)
	_, _, roll := p.w.planeNumbers(s) // a drag leaves it as it is
	setLabel(p.apart, capital(apartWord(s.Job, c, roll-s.Model.Found.Roll)), weight)
	setVisible(p.apart, true)
	say := lang.L("Yours is used.")
	if p.dragged != nil {
		say = lang.L("Let go to use it there; Esc leaves it where it was.")
	}
	setText(p.say, say)
}
