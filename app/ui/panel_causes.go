package ui

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
)

// causesBox is what explains the gaps of the last cut, that which explains most
// first, and what they cannot tell.
type causesBox struct {
	w      *Window
	clear  *causeRows
	others *causeRows
	more   *folding
	doubts *notes
	unsure *fyne.Container
	box    *fyne.Container
}

func newCausesBox(w *Window) *causesBox {
	b := &causesBox{w: w, clear: newCauseRows(w), others: newCauseRows(w), doubts: newNotes(widget.MediumImportance)}
	b.doubts.small = true
	b.more = fold(lang.L("No clear sign of"), b.others.box)
	b.unsure = container.NewVBox(title(lang.L("Cannot be told from these gaps")), b.doubts.box)
	b.box = container.NewVBox(widget.NewSeparator(), title(lang.L("What explains these gaps")),
		dim(lang.L("Tick what the next cut puts right. ± is twice the standard uncertainty.")), b.clear.box, b.more.box, b.unsure)
	return b
}

// show lists the causes of a state's last cut.
func (b *causesBox) show(s desk.State) {
	last := s.Job.LastCut()
	on := last != nil && s.Model != nil && s.Model.Gaps != nil && s.Model.Gaps.Cut == last.Number && s.Model.Gaps.Why == ""
	setVisible(b.box, on)
	if !on {
		return
	}
	numbers := map[string]int{}
	for i, name := range correctable(s) {
		numbers[name] = i + 1
	}
	var clear, others []board.GapCause
	for _, c := range ranked(s.Model.Gaps) {
		if clearCause(s, &c) {
			clear = append(clear, c)
		} else {
			others = append(others, c)
		}
	}
	b.clear.show(s, clear, numbers)
	b.others.show(s, others, numbers)
	setVisible(b.more.box, len(others) > 0)
	var doubts []string
	for _, d := range s.Model.Gaps.Doubts {
		name, text, _ := strings.Cut(d, ": ")
		doubts = append(doubts, capital(causeTitle(name))+": "+said(text))
	}
	b.doubts.show(doubts)
	setVisible(b.unsure, len(doubts) > 0)
}

// causeRows are causes under one another, as many as there are.
type causeRows struct {
	w    *Window
	rows []*causeRow
	box  *fyne.Container
}

func newCauseRows(w *Window) *causeRows { return &causeRows{w: w, box: container.NewVBox()} }

func (r *causeRows) show(s desk.State, causes []board.GapCause, numbers map[string]int) {
	for len(r.rows) < len(causes) {
		row := newCauseRow(r.w)
		r.rows = append(r.rows, row)
		r.box.Add(row.box)
	}
	for i, row := range r.rows {
		if i < len(causes) {
			row.show(s, &causes[i], numbers[causes[i].Name])
		}
		setVisible(row.box, i < len(causes))
	}
}

// causeRow is one cause: its name with a switch where the next cut can put it
// right, its share and value, and what it is.
type causeRow struct {
	name    string
	check   *tick
	word    *widget.Label
	figures *widget.Label
	text    *widget.Label
	showing bool
	box     *fyne.Container
}

func newCauseRow(w *Window) *causeRow {
	r := &causeRow{word: widget.NewLabel(""), figures: widget.NewLabel(""), text: caption("")}
	r.figures.TextStyle.Monospace, r.figures.SizeName = true, theme.SizeNameCaptionText
	r.check = newTick("", func(on bool) {
		if !r.showing {
			w.putRight(r.name, on)
		}
	})
	r.box = container.New(&closeBox{}, r.check, r.word, r.figures, r.text)
	return r
}

// show brings the row up to a cause; number is that of its key, 0 where it
// cannot be put right.
func (r *causeRow) show(s desk.State, c *board.GapCause, number int) {
	r.name = c.Name
	word := capital(causeTitle(c.Name))
	setVisible(r.check, number > 0)
	setVisible(r.word, number == 0)
	setText(r.word, word)
	if number > 0 {
		word = lang.L("{{.N}}  {{.What}}", map[string]any{"N": number, "What": word})
	}
	if r.check.Text != word {
		r.check.SetText(word)
	}
	r.showing = true
	if on := isAccepted(s, c.Name); r.check.Checked != on {
		r.check.SetChecked(on)
	}
	r.showing = false
	setText(r.figures, causeFigures(s.Job, c))
	setText(r.text, said(c.Text))
}
