package ui

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/ui/boardview"
	"panewright/app/ui/sheet"
	"panewright/board"
)

// listMoved follows the cursor of the lists on the board.
func (w *Window) listMoved(reading int) {
	w.board.Select(reading)
	if index, tapes := w.lists.selected(); reading >= 0 && !tapes && len(index) > 1 {
		w.board.Pick(index)
	}
	w.markGap()
	if w.step == stepReadings {
		w.panels[stepReadings].show(w.state)
	}
}

// boardPicked follows several readings that were selected on the board, which
// keeps the keys: the lists select their rows.
func (w *Window) boardPicked(index []int) {
	if len(index) == 0 {
		w.boardSelected(boardview.None)
		return
	}
	w.lists.selectReadings(index)
	w.board.Pick(index) // the lists have told of their cursor alone
}

// boardShortcut takes the shortcuts of the board: all readings of the list are
// selected as they are in the list.
func (w *Window) boardShortcut(sc fyne.Shortcut) {
	if _, all := sc.(*fyne.ShortcutSelectAll); all && !w.busy() {
		w.lists.sheet().TypedShortcut(sc)
		return
	}
	w.shortcut(sc)
}

// boardKey takes the keys that the board has no use for.
func (w *Window) boardKey(ev *fyne.KeyEvent) bool {
	if ev.Name == fyne.KeyDelete {
		w.strikePicked()
		return true
	}
	return w.key(ev)
}

// strikePicked strikes what is selected on the board without asking, each reading
// for the reason that would be offered; undo takes it back in one step.
func (w *Window) strikePicked() {
	index := slices.DeleteFunc(w.board.Picked(), func(i int) bool { return w.isStruck(i, false) })
	if w.busy() || len(index) == 0 {
		return
	}
	w.report(w.Edit(lang.L("Strike {{.What}}", w.rowsWord(index, false)), func(j *board.Job) error {
		for _, i := range index {
			if err := j.Strike(i, w.strikeReason(i, false)); err != nil {
				return err
			}
		}
		return nil
	}))
}

// boardSelected follows the board in the lists. While readings are placed the
// board keeps the keys, for the height that is typed there.
func (w *Window) boardSelected(reading int) {
	if reading < 0 {
		if len(w.lists.sheet().Selected()) > 1 {
			row, col := w.lists.sheet().Cursor()
			w.lists.sheet().Goto(row, col)
			w.board.Select(boardview.None)
		}
		return
	}
	r := w.state.Job.Readings[reading]
	if r.Kind != board.Edge || !w.lists.gotoGap(r.ID) {
		w.lists.gotoReading(reading, fieldX)
	}
	if w.board.Mode() == boardview.Select {
		w.lists.focus()
	}
}

// gotoTrouble puts the cursor where something is wrong.
func (w *Window) gotoTrouble(t trouble) {
	switch {
	case t.list < 0 && t.field == "centre":
		w.openStep(stepCentre)
		return
	case t.list < 0 && t.field == fieldCuts:
		w.openCuts()
		return
	case t.list < 0:
		w.openStep(stepBoard)
		w.panels[stepBoard].(*boardPanel).gotoField(t.field)
		w.say(capital(t.text), sheet.Plain)
		return
	}
	w.setFolded(false)
	switch {
	case t.reading >= 0:
		w.lists.gotoReading(t.reading, t.field)
		w.board.CentreOn(t.reading)
	case t.at != nil:
		w.showPlace(*t.at)
	default:
		fields := zeroFields[:]
		if t.list == listGaps {
			fields = gapFields[:]
		}
		w.lists.gotoCell(t.list, t.row, max(0, slices.Index(fields, t.field)))
	}
	w.lists.focus()
	tint := sheet.Suspicious
	if t.remark {
		tint = sheet.Plain
	}
	w.say(capital(t.text), tint)
}

// nextSuspect goes to the next reading that does not fit.
func (w *Window) nextSuspect() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	row, _ := w.lists.sheet().Cursor()
	t, ok := nextTrouble(w.troubles, w.lists.open, row)
	if !ok {
		w.say(lang.L("No reading is suspect."), sheet.Plain)
		return
	}
	w.openStep(stepReadings)
	w.gotoTrouble(t)
}

// strikeSelected strikes the selected rows, after asking why, or takes them
// into use again where the first of them is struck.
func (w *Window) strikeSelected() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	switch w.lists.open {
	case listZero:
		w.say(lang.L("A point of the empty board is deleted, not struck."), sheet.Plain)
		return
	case listGaps:
		w.say(lang.L("A gap is cleared, not struck: press Delete."), sheet.Plain)
		return
	}
	index, tapes := w.lists.selected()
	if len(index) == 0 {
		w.say(lang.L("There is no reading in this row."), sheet.Plain)
		return
	}
	if w.isStruck(index[0], tapes) {
		w.report(w.Edit(lang.L("Use {{.What}} again", w.rowsWord(index, tapes)), func(j *board.Job) error {
			return eachRow(j, index, tapes, j.Unstrike, func(t *board.Tape) { t.Struck, t.Reason = false, "" })
		}))
		return
	}
	entry := newField(false, nil, w.key)
	entry.SetText(w.strikeReason(index[0], tapes))
	entry.shown = entry.Text
	what := w.rowsWord(index, tapes)
	w.ask("strike", lang.L("Strike {{.What}}", what),
		container.NewVBox(wrapped(lang.L("It is kept with its reason and can be used again.")), widget.NewLabel(lang.L("Reason")), entry),
		entry,
		answer{lang.L("Strike {{.What}}", what), func() bool {
			reason := entry.Text
			w.report(w.Edit(lang.L("Strike {{.What}}", what), func(j *board.Job) error {
				return eachRow(j, index, tapes,
					func(i int) error { return j.Strike(i, reason) },
					func(t *board.Tape) { t.Struck, t.Reason = true, reason })
			}))
			return true
		}}, answer{text: cancelWord()})
}

// eachRow does one thing to every selected reading or tape of a job.
func eachRow(j *board.Job, index []int, tapes bool, reading func(int) error, tape func(*board.Tape)) error {
	for _, i := range index {
		if tapes {
			tape(&j.Tapes[i])
		} else if err := reading(i); err != nil {
			return err
		}
	}
	return nil
}

func (w *Window) isStruck(i int, tapes bool) bool {
	if tapes {
		return w.state.Job.Tapes[i].Struck
	}
	return w.state.Job.Readings[i].Struck
}

// strikeReason is the reason that is offered for striking a row.
func (w *Window) strikeReason(i int, tapes bool) string {
	if !tapes {
		if r := result(w.state, i); r != nil && r.State == board.Suspect {
			return r.Reason
		}
	}
	return lang.L("misread")
}

// rowsWord names the selected rows: "reading 12", "3 rows".
func (w *Window) rowsWord(index []int, tapes bool) map[string]any {
	what := lang.L("{{.N}} rows", map[string]any{"N": len(index)})
	switch {
	case len(index) == 1 && tapes:
		what = lang.L("taped width {{.N}}", map[string]any{"N": index[0] + 1})
	case len(index) == 1:
		what = lang.L("reading {{.ID}}", map[string]any{"ID": w.state.Job.Readings[index[0]].ID})
	}
	return map[string]any{"What": what}
}

// deleteSelected takes the selected rows out of their list.
func (w *Window) deleteSelected() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	switch w.lists.open {
	case listZero:
		w.deleteZero(w.lists.sheet().Selection())
		return
	case listGaps:
		w.clearGaps(w.lists.sheet().Selection())
		return
	}
	index, tapes := w.lists.selected()
	if len(index) == 0 {
		return
	}
	w.report(w.Edit(lang.L("Delete {{.What}}", w.rowsWord(index, tapes)), func(j *board.Job) error {
		for _, i := range slices.Backward(index) {
			if tapes {
				j.Tapes = slices.Delete(j.Tapes, i, i+1)
			} else if err := j.Delete(i); err != nil {
				return err
			}
		}
		return nil
	}))
}

// insertRow puts an empty row above the cursor.
func (w *Window) insertRow() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	if w.lists.open == listGaps {
		w.say(lang.L("The gap sheet has the stations of the cut and no others."), sheet.Plain)
		return
	}
	row, col := w.lists.sheet().Cursor()
	r, ok := w.lists.models[w.lists.open].(*readingList)
	err := w.Edit(lang.L("Insert a row"), func(j *board.Job) error {
		switch {
		case w.lists.zero():
			return j.InsertZero(min(row, len(j.Checks.Zero.Points)))
		case !ok:
			at := min(row, len(j.Tapes))
			j.Tapes = slices.Insert(j.Tapes, at, board.Tape{})
			return nil
		}
		at, kind, set := len(j.Readings), r.kinds[0], boardview.Laying(j)
		if index := j.Indices(r.kinds...); row < len(index) {
			at = index[row]
			kind, set = j.Readings[at].Kind, j.Readings[at].Set
		}
		return j.Insert(at, board.Reading{ID: j.NextID(kind), Kind: kind, Set: set})
	})
	w.report(err)
	w.lists.gotoCell(w.lists.open, row, col)
	w.lists.focus()
}

// setTool chooses what a click on the board does.
func (w *Window) setTool(i int) {
	w.setSolid(false)
	w.tool = i
	w.board.SetMode([]boardview.Mode{boardview.Select, boardview.PlaceStation, boardview.PlaceFace}[i])
	if w.step == stepReadings {
		w.panels[stepReadings].show(w.state)
	}
}

// setSnap chooses what placed readings snap to.
func (w *Window) setSnap(i int) {
	w.snap = i
	part := 0.0
	if p := snapParts[i]; p > 0 {
		part = 1 / float64(p)
	}
	w.board.SetSnap(part)
}

// setMagnify chooses how many times longer misses are drawn.
func (w *Window) setMagnify(i int) {
	w.magnify = i
	w.board.SetMagnify(magnifications[i])
	w.solid.SetLonger(magnifications[i])
	if w.step == stepShape {
		w.panels[stepShape].show(w.state)
	}
}

// combScales are how many times the curvature comb is drawn; 0 leaves it away.
var combScales = []float64{0, 1, 2, 5, 10, 20}

// combWords name them.
func combWords() []string {
	return []string{lang.L("not drawn"), "1 ×", "2 ×", "5 ×", "10 ×", "20 ×"}
}

// setComb chooses how many times the curvature comb is drawn, if at all.
func (w *Window) setComb(i int) {
	w.comb = i
	w.board.SetComb(combScales[i])
	if w.step == stepShape {
		w.panels[stepShape].show(w.state)
	}
	w.menu.show(w.state)
}

// setFolded folds the lists away, or out again.
func (w *Window) setFolded(on bool) {
	if w.lists.content.Visible() != on {
		return
	}
	setVisible(w.lists.content, !on)
	w.win.Content().Refresh()
	w.menu.show(w.state)
}

// undo takes back what is being typed, or the last edit.
func (w *Window) undo() {
	if w.busy() {
		return
	}
	if s := w.lists.sheet(); w.typingIn(s) {
		s.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
		return
	}
	if f, ok := w.win.Canvas().Focused().(*field); ok && f.Text != f.shown {
		f.TypedShortcut(&fyne.ShortcutUndo{})
		return
	}
	w.desk.Undo()
}

// redo makes the last edit taken back again.
func (w *Window) redo() {
	if w.busy() {
		return
	}
	if f, ok := w.win.Canvas().Focused().(*field); ok && f.Text != f.shown {
		f.TypedShortcut(&fyne.ShortcutRedo{})
		return
	}
	if w.typingIn(w.lists.sheet()) {
		return
	}
	w.desk.Redo()
}

// typingIn says whether a cell of a sheet is being typed.
func (w *Window) typingIn(s *sheet.Sheet) bool {
	_, on := s.Typing()
	return on
}

// busy says whether something lies over the window, so that commands wait.
func (w *Window) busy() bool { return w.top() != nil || w.browsing != nil }

// looseKey takes the keys while nothing has the focus.
func (w *Window) looseKey(ev *fyne.KeyEvent) {
	switch {
	case w.browsing != nil:
		if ev.Name == fyne.KeyEscape {
			w.browsing.Hide()
			w.browsing = nil
		}
	case w.top() != nil:
		w.top().typed(ev)
	case w.key(ev):
	default:
		w.lists.focus()
		w.win.Canvas().Focused().TypedKey(ev)
	}
}

// looseRune types into the list in view while nothing has the focus.
func (w *Window) looseRune(r rune) {
	if !w.busy() {
		w.lists.focus()
		w.win.Canvas().Focused().TypedRune(r)
	}
}
