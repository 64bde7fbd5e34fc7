package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"

	"panewright/app/desk"
	"panewright/app/ui/benchview"
	"panewright/app/ui/sheet"
	"panewright/board"
)

// oops is the key of the number pad that takes the last cell back.
const oops = '*'

// benchLines is how many of the last readings the bench view shows.
const benchLines = 6

// bench is the bench view over the window: the keys go on to the sheet in view, so
// that what is typed is typed in the table, with its edits and its undo.
type bench struct {
	w    *Window
	view *benchview.View

	note  string // of the cell under the cursor
	tint  sheet.Tint
	typed []benchCell // what was typed since the view was opened, the last to be taken back first
}

// benchCell is a cell that was typed, and the job that came of it.
type benchCell struct {
	list, row, col int
	job            *board.Job
}

func newBench(w *Window) *bench {
	b := &bench{w: w, view: benchview.New()}
	b.view.OnRune, b.view.OnKey, b.view.OnShortcut = b.rune, b.key, w.shortcut
	b.view.Hide()
	return b
}

// turnBench opens the bench view, or closes it.
func (w *Window) turnBench() {
	if !w.busy() && w.lists.sheet().Commit() {
		w.bench.open(!w.bench.view.Visible())
	}
}

// open shows the view over everything but the menu, or takes it away.
func (b *bench) open(on bool) {
	w := b.w
	b.typed = nil
	w.lists.over = nil
	if on {
		if _, ok := w.lists.models[w.lists.open].(*readingList); !ok {
			w.lists.view(listEdge)
		}
		w.lists.over = b.view
	}
	setVisible(b.view, on)
	setVisible(w.main, !on)
	w.menu.show(w.state)
	w.lists.focus()
	b.show(w.state)
}

// rune hands a character on to the sheet; one takes the last cell back.
func (b *bench) rune(r rune) {
	if r == oops {
		b.takeBack()
	} else {
		b.w.lists.sheet().TypedRune(r)
	}
	b.show(b.w.state)
}

// key hands a key on to the sheet and remembers the cell that it wrote. Escape
// with nothing typed closes the view.
func (b *bench) key(ev *fyne.KeyEvent) {
	s := b.w.lists.sheet()
	_, typing := s.Typing()
	if ev.Name == fyne.KeyEscape && !typing {
		b.w.turnBench()
		return
	}
	before := b.w.state.Job
	cell := benchCell{list: b.w.lists.open}
	cell.row, cell.col = s.Cursor()
	s.TypedKey(ev)
	if cell.job = b.w.state.Job; typing && cell.job != before {
		b.typed = append(b.typed, cell)
	}
	b.show(b.w.state)
}

// takeBack gives up what is being typed, or takes back the cell typed last and
// goes there.
func (b *bench) takeBack() {
	w, s := b.w, b.w.lists.sheet()
	if _, typing := s.Typing(); typing {
		s.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
		return
	}
	n := len(b.typed)
	switch {
	case n == 0:
		w.say(lang.L("Nothing was typed here that could be taken back."), sheet.Plain)
		return
	case b.typed[n-1].job != w.state.Job:
		b.typed = nil
		w.say(lang.L("Something else was changed since: Ctrl+Z takes that back."), sheet.Suspicious)
		return
	}
	last := b.typed[n-1]
	b.typed = b.typed[:n-1]
	w.desk.Undo()
	if n > 1 {
		b.typed[n-2].job = w.state.Job
	}
	w.lists.gotoCell(last.list, last.row, last.col)
}

// noted takes what is said of the cell under the cursor.
func (b *bench) noted(text string, tint sheet.Tint) {
	b.note, b.tint = text, tint
	if b.view.Visible() {
		b.show(b.w.state)
	}
}

// show shows the cell under the cursor.
func (b *bench) show(s desk.State) {
	if !b.view.Visible() {
		return
	}
	l, ok := b.w.lists.models[b.w.lists.open].(*readingList)
	if !ok {
		b.open(false)
		return
	}
	row, col := b.w.lists.sheet().Cursor()
	f := benchview.Face{
		Column: columnWord(l.cols[col].field, l.cols[col].Head), Echo: b.note, Tint: b.tint,
		Hint: lang.L("Enter: next    ∗ oops, take it back    7+3/8: line 7 plus 3/8    12-3/8: 12 and 3/8    F11: back to the table"),
	}
	if row < l.Rows() {
		r := s.Job.Readings[l.rows()[row]]
		f.Station, f.Text = kindWord(r.Kind, r.ID), l.Cell(row, col).Text
	} else {
		f.Station = kindWord(l.kinds[0], s.Job.NextID(l.kinds[0]))
	}
	if text, on := b.w.lists.sheet().Typing(); on {
		f.Text, f.Typing = text, true
	}
	for i := min(row, l.Rows()-1); i >= 0 && len(f.Last) < benchLines; i-- {
		if i == row && !complete(&s.Job.Readings[l.rows()[i]]) {
			continue
		}
		line, advice := benchLine(s, l.rows()[i])
		f.Last = append(f.Last, line)
		if f.Advice == "" && advice != f.Echo {
			f.Advice = advice
		}
	}
	b.view.Display(f)
}

// complete says whether all three figures of a reading are typed.
func complete(r *board.Reading) bool { return r.X.Set && r.Y.Set && r.Z.Set }

// benchLine is a reading with what is thought of it, and what to do where it does not
// fit.
func benchLine(s desk.State, i int) (line benchview.Line, advice string) {
	r := s.Job.Readings[i]
	res := result(s, i)
	line = benchview.Line{Name: r.ID, Values: [3]string{typed(r.X, s.Job.Unit), typed(r.Y, s.Job.Unit), typed(r.Z, s.Job.Unit)}}
	miss := missText(s.Job, r.Kind, res)
	data := map[string]any{"M": miss, "Unit": s.Job.Unit.String()}
	switch {
	case r.Struck:
		line.Says, line.Tint = lang.L("struck"), sheet.Dim
	case r.X.Fault+r.Y.Fault+r.Z.Fault != "":
		line.Says, line.Tint = lang.L("not understood"), sheet.Wrong
	case !complete(&r):
		line.Says = lang.L("not complete")
	case setAside(r, res):
		line.Says, line.Tint = lang.L("look again"), sheet.Suspicious
		advice = suspectWord(s.Job, r, res) + " " + adviceWord(res)
	case miss != "":
		line.Says, line.Good = lang.L("fits: {{.M}} {{.Unit}}", data), true
	}
	return line, advice
}

// columnWord names a column so that it is known from afar.
func columnWord(field, head string) string {
	switch field {
	case fieldX:
		return lang.L("x, across")
	case fieldY:
		return lang.L("y, up the board")
	case fieldZ:
		return lang.L("z, off the board")
	}
	return head
}
