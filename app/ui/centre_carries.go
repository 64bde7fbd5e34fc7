package ui

import (
	"cmp"
	"math"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"

	"panewright/app/desk"
	"panewright/board"
)

const (
	kindsShown = 6
	pullsShown = 8
	leastPull  = 0.005 // mm; a reading that moves the line by less is not named
	leastShown = 0.005 // share of a kind that is not listed
)

// pull is a reading with what it does to the centre line, and its kind.
type pull struct {
	board.Pull
	code string
}

// carryBox says which readings carry the centre line that was found, and which of
// them pulls most; a click or Enter on one selects it.
type carryBox struct {
	w     *Window
	kinds *figures
	most  *lineRow
	rows  [pullsShown]*lineRow
	pulls []pull // of the rows, the first also of most
	box   *fyne.Container
}

func newCarryBox(w *Window) *carryBox {
	b := &carryBox{w: w, kinds: newFigures(make([]string, kindsShown)...)}
	b.most = newLineRow(func() { b.choose(0) })
	list := container.NewVBox(dim(lang.L("Share of the offset, and by how much the line would move without it. A click or Enter selects it.")))
	for i := range b.rows {
		b.rows[i] = newLineRow(func() { b.choose(i) })
		list.Add(b.rows[i].box)
	}
	b.box = container.NewVBox(title(lang.L("What carries the line found")), b.kinds.box, b.most.box, fold(lang.L("Reading by reading"), list).box)
	return b
}

// choose selects a reading of the list.
func (b *carryBox) choose(i int) {
	if i < len(b.pulls) {
		b.w.choosePull(b.pulls[i])
	}
}

// choosePull selects a reading that carries the line, or its taped width.
func (w *Window) choosePull(p pull) {
	w.setFolded(false)
	if p.code == "tapes" {
		w.lists.gotoCell(listTapes, p.Row, 0)
	} else if p.Row < len(w.state.Job.Readings) && w.state.Job.Readings[p.Row].ID == p.ID {
		w.setSolid(false)
		w.lists.gotoReading(p.Row, fieldX)
		w.board.CentreOn(p.Row)
	}
	w.lists.focus()
}

// show brings the box up to a state.
func (b *carryBox) show(s desk.State) {
	b.pulls = nil
	on := s.Model != nil && len(s.Model.Carries) > 0
	setVisible(b.box, on)
	if !on {
		return
	}
	b.pulls = pullsOf(s.Model.Carries)
	b.showKinds(s)
	setVisible(b.most.box, len(b.pulls) > 0)
	for i, row := range b.rows {
		if i < len(b.pulls) {
			p := b.pulls[i]
			setText(&row.text.Label, pullName(p)+": "+percent(s.Job, p.Offset)+", "+signedFine(s.Job, p.Moves))
		}
		setVisible(row.box, i < len(b.pulls))
	}
	if len(b.pulls) > 0 {
		setText(&b.most.text.Label, pullsWord(s.Job, b.pulls[0]))
	}
}

// showKinds lists the kinds of readings with their share of the offset.
func (b *carryBox) showKinds(s desk.State) {
	n, on := 0, make([]bool, kindsShown)
	for _, c := range s.Model.Carries {
		if c.Offset >= leastShown && n < kindsShown {
			b.kinds.name(n, carrierWord(c))
			setText(b.kinds.values[n], percent(s.Job, c.Offset))
			on[n], n = true, n+1
		}
	}
	b.kinds.rows(on...)
}

// pullsOf are the readings that pull most, of all kinds.
func pullsOf(all []board.Carry) (out []pull) {
	for _, c := range all {
		for _, p := range c.Readings {
			if math.Abs(p.Moves) >= leastPull {
				out = append(out, pull{p, c.Code})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b pull) int { return cmp.Compare(math.Abs(b.Moves), math.Abs(a.Moves)) })
	return out[:min(len(out), pullsShown)]
}
