package ui

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/ui/sheet"
	"panewright/board"
)

// offered are the corrections for the reading under the cursor.
func (w *Window) offered() (offers []board.Offer, leads bool) {
	i, ok := w.lists.reading()
	if !ok {
		return nil, false
	}
	return offersOf(w.state.Job.Readings[i], result(w.state, i))
}

// useFirst uses the first correction for the reading under the cursor, where it
// leads clearly. It never acts on what cannot be seen: another step gives way to
// the readings first.
func (w *Window) useFirst() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	shown := w.step == stepReadings
	if !shown {
		w.openStep(stepReadings)
	}
	offers, leads := w.offered()
	switch {
	case len(offers) == 0:
		w.say(lang.L("There is no correction for this reading. F8 goes to the next suspect."), sheet.Plain)
	case !leads:
		w.say(lang.L("No correction leads clearly: choose one on the right, or read it again."), sheet.Suspicious)
	case shown:
		w.useOffer(offers[0])
	}
}

// useOffer makes a correction; of several readings it shows first what it would
// change.
func (w *Window) useOffer(o board.Offer) {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	if o.Field == "block" {
		w.askBlock(o)
		return
	}
	w.correct(o)
}

// correct makes a correction and goes on to the next suspect.
func (w *Window) correct(o board.Offer) {
	if err := w.Edit(correctName(w.state.Job, o), o.Apply); err != nil {
		w.report(err)
		return
	}
	row, _ := w.lists.sheet().Cursor()
	if t, ok := nextTrouble(w.troubles, w.lists.open, row); ok && (t.suspect || t.block) {
		w.gotoTrouble(t)
		return
	}
	w.setFolded(false)
	w.lists.focus()
	w.say(lang.L("Corrected. No other reading is suspect."), sheet.Plain)
}

// askBlock shows what a correction of several readings would change, and asks.
func (w *Window) askBlock(o board.Offer) {
	lines := changeLines(w.state.Job, o)
	listing := widget.NewLabel(aligned(append([][3]string{{lang.L("no"), lang.L("now"), lang.L("becomes")}}, lines...)))
	listing.TextStyle.Monospace = true
	scroll := container.NewScroll(listing)
	scroll.SetMinSize(fyne.NewSize(0, min(listing.MinSize().Height, 280)))
	parts := []fyne.CanvasObject{wrapped(capital(o.Why) + "."), scroll}
	for _, c := range o.Changes {
		if c.To.Text == "" {
			parts = append(parts, dim(lang.L("A dash is a value that is taken out, to be read again.")))
			break
		}
	}
	agreed := false
	m := w.ask("correct", correctName(w.state.Job, o), container.NewVBox(parts...), nil,
		answer{lang.L("Correct {{.N}} readings", map[string]any{"N": len(lines)}), func() bool {
			agreed = true
			return true
		}}, answer{text: cancelWord()})
	m.closed = func() {
		if agreed {
			w.correct(o)
		}
	}
	m.resize(fyne.NewSize(560, 0))
}

// aligned sets rows of three texts in columns of a monospaced face.
func aligned(rows [][3]string) string {
	var wide [3]int
	for _, r := range rows {
		for i, s := range r {
			wide[i] = max(wide[i], utf8.RuneCountInString(s))
		}
	}
	lines := make([]string, len(rows))
	for i, r := range rows {
		lines[i] = strings.TrimRight(fmt.Sprintf("%-*s   %-*s   %s", wide[0], r[0], wide[1], r[1], r[2]), " ")
	}
	return strings.Join(lines, "\n")
}

// vouchSelected says that the selected readings are right, or takes that back
// where the first of them is vouched for.
func (w *Window) vouchSelected() {
	w.toggleSelected(nil,
		func(r board.Reading) bool { return r.Sure },
		func(on bool, what map[string]any) string {
			if on {
				return lang.L("Vouch for {{.What}}", what)
			}
			return lang.L("Doubt {{.What}} again", what)
		},
		(*board.Job).Vouch)
}

// breakSelected says that the edge truly breaks at the selected stations, or
// takes that back where it does at the first of them.
func (w *Window) breakSelected() {
	w.toggleSelected(func(r board.Reading) bool { return r.Kind == board.Edge },
		func(r board.Reading) bool { return r.Break },
		func(on bool, what map[string]any) string {
			if on {
				return lang.L("True break at {{.What}}", what)
			}
			return lang.L("No break at {{.What}}", what)
		},
		(*board.Job).SetBreak)
}

// toggleSelected turns something on for all selected readings that may have it,
// or off where the first of them has it already. may is nil where all may.
func (w *Window) toggleSelected(may, has func(board.Reading) bool, name func(on bool, what map[string]any) string, set func(*board.Job, int, bool) error) {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	all, tapes := w.lists.selected() // points of the empty board go as tapes here: none can be told of
	var index []int
	for _, i := range all {
		if !tapes && (may == nil || may(w.state.Job.Readings[i])) {
			index = append(index, i)
		}
	}
	if len(index) == 0 {
		w.say(lang.L("That cannot be said of this row."), sheet.Plain)
		return
	}
	on := !has(w.state.Job.Readings[index[0]])
	w.report(w.Edit(name(on, w.rowsWord(index, false)), func(j *board.Job) error {
		for _, i := range index {
			if err := set(j, i, on); err != nil {
				return err
			}
		}
		return nil
	}))
}

// padEnter is Ctrl with the number pad's Enter, which no menu can hold beside
// the other one.
var padEnter = &desktop.CustomShortcut{KeyName: fyne.KeyEnter, Modifier: ctrl}

// shortcut takes the shortcuts that stand in no menu.
func (w *Window) shortcut(sc fyne.Shortcut) {
	if sc.ShortcutName() == padEnter.ShortcutName() {
		w.useFirst()
	}
}
