package ui

import (
	"context"
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/app/ui/boardview"
	"panewright/board"
)

// cutsPart is the cuts that were made, the gaps of the last one, what explains
// them, and the next cut.
type cutsPart struct {
	w         *Window
	head      *widget.Label
	say       *widget.Label
	act       *button // what to do next
	do        func()
	rocks     *tick
	showing   bool
	distances *distancesBox
	causes    *causesBox
	list      *cutList
	record    *button
	remove    *button
	compare   *compareBox
	box       fyne.CanvasObject

	barsOf any // what drawn was made from
	drawn  *boardview.Bars
}

func newCutsPart(w *Window) *cutsPart {
	p := &cutsPart{w: w, head: headline(), say: wrapped(""), distances: newDistancesBox(w), causes: newCausesBox(w), list: newCutList(w), compare: newCompareBox(w)}
	p.act = newButton("", func() { p.do() })
	p.act.Importance = widget.HighImportance
	p.rocks = newTick(lang.L("The glass rocked"), func(on bool) {
		if !p.showing {
			w.setRocks(on)
		}
	})
	p.record = newButton("", w.recordCut)
	p.remove = newButton("", w.deleteCut)
	p.remove.Importance = widget.LowImportance
	p.act.onKey, p.record.onKey, p.remove.onKey = w.key, w.key, w.key
	p.box = column(p.head, p.say, p.act, p.rocks, p.distances.box, p.causes.box,
		p.list.box, p.record, p.remove, p.compare.box)
	return p
}

func (p *cutsPart) content() fyne.CanvasObject { return p.box }

func (p *cutsPart) headline() string { return p.head.Text }

// mark is the sign beside the part's word.
func (p *cutsPart) mark(s desk.State) mark {
	last := s.Job.LastCut()
	switch {
	case last == nil:
		return markNone
	case s.Model != nil && s.Model.Proof.Cut > 0:
		return markDone
	case len(s.Job.GapsOf(last.Number)) > 0 && len(acceptedCauses(s)) == 0:
		return markAttention
	}
	return markOpen
}

// show brings the part up to a state.
func (p *cutsPart) show(s desk.State) {
	word, weight, say := cutsHead(s)
	setLabel(p.head, word, weight)
	setText(p.say, say)
	setVisible(p.say, say != "")
	last := s.Job.LastCut()
	p.showAct(s, last)
	p.showing = true
	setVisible(p.rocks, last != nil && len(s.Job.GapsOf(last.Number)) > 0)
	if last != nil && p.rocks.Checked != last.Rocks {
		p.rocks.SetChecked(last.Rocks)
	}
	p.showing = false
	p.distances.show(s)
	p.causes.show(s)
	p.list.show(s)
	setVisible(p.record, last != nil && p.act.Text != recordTitle(s)+"…")
	setWord(p.record, recordTitle(s)+"…")
	setVisible(p.remove, last != nil)
	if last != nil {
		setWord(p.remove, lang.L("Delete cut {{.N}}", map[string]any{"N": last.Number}))
	}
	p.compare.show(s)
	p.w.board.SetBars(p.bars(s))
}

// showAct offers what to do next.
func (p *cutsPart) showAct(s desk.State, last *board.Cut) {
	on := true
	switch {
	case last == nil || len(acceptedCauses(s)) > 0:
		p.do = p.w.recordCut
		setWord(p.act, recordTitle(s)+"…")
	case len(s.Job.GapsOf(last.Number)) == 0:
		p.do = func() { p.w.openList(listGaps) }
		setWord(p.act, lang.L("Note the gaps   (Alt+6)"))
	default:
		p.do = p.w.putFoundRight
		setWord(p.act, lang.L("Put right what was found"))
		on = s.Model != nil && s.Model.Gaps != nil && s.Model.Gaps.Why == "" && s.Model.Proof.Cut == 0
	}
	setVisible(p.act, on)
}

// cutList is the cuts made, the last one first, each opening under its line.
type cutList struct {
	w        *Window
	rows     []*cutRow
	inside   *fyne.Container
	box      *fyne.Container
	verdicts map[string]board.Proof // by what they follow from
	judging  errand
	judged   *board.Job // that judging is about
}

func newCutList(w *Window) *cutList {
	l := &cutList{w: w, inside: container.NewVBox(), verdicts: map[string]board.Proof{}, judging: errand{w: w}}
	l.box = container.NewVBox(widget.NewSeparator(), title(lang.L("Cuts made")), l.inside)
	return l
}

// show lists the cuts.
func (l *cutList) show(s desk.State) {
	cuts := s.Job.Cuts
	setVisible(l.box, len(cuts) > 0)
	for len(l.rows) < len(cuts) {
		r := newCutRow(l.w, len(l.rows))
		l.rows = append(l.rows, r)
		l.inside.Add(r.box)
	}
	for i, r := range l.rows {
		setVisible(r.box, i < len(cuts))
		if i < len(cuts) {
			c := &cuts[len(cuts)-1-i]
			verdict, why := l.verdict(s, c)
			r.show(s.Job, c, verdict, why)
		}
	}
	l.judge(s.Job)
}

// verdictKey is all that a cut's proof follows from.
func verdictKey(j *board.Job, c *board.Cut) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d %s %v %s %d", c.Number, c.JobSum, c.Rocks, c.Wall.Text, c.Wall.Unit)
	for _, i := range j.GapsOf(c.Number) {
		g := &j.Gaps[i]
		fmt.Fprintf(&b, "\n%q %q %d %q %d", g.Station, g.Wall.Text, g.Wall.Unit, g.Ledge.Text, g.Ledge.Unit)
	}
	return b.String()
}

// verdict is the proof of a cut where it is known, in words.
func (l *cutList) verdict(s desk.State, c *board.Cut) (word, why string) {
	if len(s.Job.GapsOf(c.Number)) == 0 {
		return lang.L("gaps missing"), ""
	}
	p, ok := l.verdicts[verdictKey(s.Job, c)]
	if m := s.Model; !ok && m != nil && m.Gaps != nil && m.Gaps.Cut == c.Number {
		p, ok = m.Gaps.Proof, true
	}
	if !ok {
		return "…", ""
	}
	word, _ = proofWord(p)
	return word, said(p.Reason)
}

// judge works out in the background whether the cuts before the last prove their
// shapes; the model says so of the last.
func (l *cutList) judge(j *board.Job) {
	var due []int
	for i := range max(len(j.Cuts)-1, 0) {
		c := &j.Cuts[i]
		if _, known := l.verdicts[verdictKey(j, c)]; !known && len(j.GapsOf(c.Number)) > 0 {
			due = append(due, c.Number)
		}
	}
	switch {
	case len(due) == 0:
		l.judging.stop()
		return
	case l.judging.running() && l.judged == j:
		return
	}
	l.judged = j
	l.judging.begin(func(ctx context.Context) func() {
		found := map[string]board.Proof{}
		for _, n := range due {
			p, err := j.ProofOf(n)
			if err != nil {
				p.Reason = plain(err)
			}
			if found[verdictKey(j, j.CutNumber(n))] = p; ctx.Err() != nil {
				break
			}
		}
		return func() {
			for k, p := range found {
				l.verdicts[k] = p
			}
			l.w.refresh()
		}
	})
}

// cutRow is one cut: its number and date, its verdict and reason under them, and
// what is known of it and can be typed opening between.
type cutRow struct {
	fold  *folding
	form  *form
	line  *widget.Label // verdict and reason
	why   *widget.Label // of the verdict
	back  int           // counted from the last
	facts *figures
	right *widget.Label
	box   *fyne.Container
}

func newCutRow(w *Window, back int) *cutRow {
	r := &cutRow{back: back, form: newForm(w), line: caption(""), why: caption(""), right: caption("")}
	r.field(lang.L("Reason"), "reason", false, func(c *board.Cut, _ board.Unit) (string, string) { return c.Reason, "" })
	r.field(lang.L("Date"), "date", true, func(c *board.Cut, _ board.Unit) (string, string) { return c.Date, "" })
	wall := r.field(lang.L("Clearance as cut"), "wall", true, func(c *board.Cut, u board.Unit) (string, string) {
		return typed(c.Wall, u), capital(c.Wall.Fault)
	})
	wall.echo = func(s string) { w.say(echo(w.state.Job, s, board.AxisLength)) }
	wall.SetPlaceHolder(lang.L("as planned"))
	r.facts = newFigures(lang.L("Clearance planned"), lang.L("Centre line"), lang.L("Turned"), lang.L("Gaps noted"))
	r.fold = fold(" ", container.NewVBox(r.why, r.form.box, r.facts.box, r.right))
	r.box = container.New(&closeBox{}, r.fold.box, r.line)
	return r
}

// of is the row's cut; nil where the job has so many no longer.
func (r *cutRow) of(j *board.Job) *board.Cut {
	if i := len(j.Cuts) - 1 - r.back; i >= 0 {
		return &j.Cuts[i]
	}
	return nil
}

// field adds a field over a text of the cut.
func (r *cutRow) field(name, field string, mono bool, get func(*board.Cut, board.Unit) (text, fault string)) *field {
	return r.form.text(name, mono, lang.L("Change what is said of a cut"), func(j *board.Job) (string, string) {
		if c := r.of(j); c != nil {
			return get(c, j.Unit)
		}
		return "", ""
	}, func(j *board.Job, s string) error { return j.SetCut(r.of(j).Number, field, s) })
}

// show brings the row up to a cut.
func (r *cutRow) show(j *board.Job, c *board.Cut, verdict, why string) {
	word := lang.L("Cut {{.N}}", map[string]any{"N": c.Number})
	if c.Date != "" {
		word += " · " + c.Date
	}
	if r.fold.word.Text != word {
		r.fold.word.SetText(word)
	}
	line := capital(verdict)
	if c.Reason != "" {
		line += " · " + c.Reason
	}
	setText(r.line, line)
	r.form.update(j)
	setText(r.why, why)
	setVisible(r.why, why != "")
	centre, skew := "", ""
	if c.Source != "none" && c.Source != "" {
		centre, skew = length(j, c.Offset), degrees(j, c.Skew)
	}
	r.facts.show(length(j, c.Pocket.Wall), centre, skew, number(j, float64(len(j.GapsOf(c.Number))), 0))
	var names []string
	for _, p := range c.Fix.Causes {
		names = append(names, causeTitle(p.Name))
	}
	setVisible(r.right, len(names) > 0)
	if len(names) > 0 {
		setText(r.right, lang.L("Put right in it: {{.What}}", map[string]any{"What": strings.Join(names, "; ")}))
	}
}
