package ui

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"

	"panewright/app/desk"
	"panewright/app/ui/look"
	"panewright/app/ui/sheet"
	"panewright/board"
)

// The lists, in the order of their tabs.
const (
	listEdge = iota
	listFace
	listOthers
	listTapes
	listZero
	listGaps
	listCount
)

// listKeys are the lists' names in the state that tests read.
var listKeys = [listCount]string{"edge", "face", "others", "tapes", "zero", "gaps"}

// lists is the left side of the window: a sheet for each list, one in view.
type lists struct {
	content *fyne.Container
	strip   *strip
	down    *tick
	notes   *tick
	sheets  [listCount]*sheet.Sheet
	models  [listCount]sheet.Model
	open    int
	canvas  func() fyne.Canvas

	over fyne.Focusable // has the keys in place of the sheet in view; nil: that has them

	onHead   func(list, col int, at fyne.Position) // the head of a list's column was clicked
	onPaste  func(text string) bool                // is offered what is pasted into a list of readings
	onSelect func(reading int)                     // the cursor stands on another reading; -1: on none
}

// newLists makes the sheets. say is told what is to be said of the cell under
// the cursor.
func newLists(d door, canvas func() fyne.Canvas, say func(string, sheet.Tint), menu func(at fyne.Position), key keyTaker, shortcut func(fyne.Shortcut)) *lists {
	l := &lists{canvas: canvas, models: [listCount]sheet.Model{edgeList(d), faceList(d), otherList(d), &tapeList{door: d}, &zeroList{door: d}, &gapList{door: d}}}
	l.strip = newStrip(l.words(nil), l.choose)
	l.down = newTick(lang.L("Enter moves down"), func(on bool) {
		for _, s := range l.sheets {
			s.Down = on
		}
	})
	l.notes = newTick(lang.L("Notes for misses"), l.showNotes)
	stack := container.NewStack()
	for i := range l.sheets {
		s := sheet.New(l.models[i])
		s.OnNote = func(text string, tint sheet.Tint) {
			if l.open == i {
				say(text, tint)
			}
		}
		s.OnMove = func(int, int) { l.moved() }
		s.OnKey, s.OnShortcut = key, shortcut
		if _, ok := l.models[i].(*readingList); ok {
			s.OnPaste = func(text string) bool { return l.onPaste != nil && l.onPaste(text) }
		}
		s.OnHead = func(col int, at fyne.Position) {
			if l.onHead != nil {
				l.onHead(i, col, at)
			}
		}
		s.OnMenu = func(_ int, at fyne.Position) { menu(at) }
		s.Hide()
		l.sheets[i] = s
		stack.Add(s)
	}
	l.sheets[listGaps].Fixed = true
	l.sheets[listEdge].Show()
	l.strip.show(listEdge)
	head := container.NewVBox(l.strip.row, container.NewHBox(l.down, l.notes))
	giveKeys(head, func(ev *fyne.KeyEvent) { key(ev) }, nil)
	l.content = container.NewBorder(head, nil, nil, nil, stack)
	return l
}

// typed has a function told of every reading of which a figure was typed.
func (l *lists) typed(f func(reading int)) {
	for _, m := range l.models {
		if r, ok := m.(*readingList); ok {
			r.onTyped = f
		}
	}
}

// showNotes shows notes in place of misses in the lists of readings.
func (l *lists) showNotes(on bool) {
	for i, m := range l.models {
		if r, ok := m.(*readingList); ok {
			r.showNotes(on)
			l.sheets[i].Reload()
		}
	}
}

// words are the tabs' names with the number of rows in each.
func (l *lists) words(j *board.Job) []string {
	words := listWords()
	for i := range words {
		n := l.rows(j, i)
		if i == listGaps && j != nil && n > 0 { // of them only those noted
			n = len(j.GapsOf(j.LastCut().Number))
		}
		if n > 0 {
			words[i] += " " + number(j, float64(n), 0)
		}
	}
	return words
}

// listWords are the lists' names.
func listWords() []string {
	return []string{lang.L("Edge"), lang.L("Face"), lang.L("Others"), lang.L("Tapes"), lang.L("Zeros"), lang.L("Gaps")}
}

func (l *lists) rows(j *board.Job, list int) int {
	if j == nil {
		return 0
	}
	return l.models[list].Rows()
}

// sheet is the one in view.
func (l *lists) sheet() *sheet.Sheet { return l.sheets[l.open] }

// zero says whether the readings of the empty board are in view.
func (l *lists) zero() bool { return l.open == listZero }

// choose brings a list into view and puts the focus on it.
func (l *lists) choose(i int) {
	l.view(i)
	l.focus()
	l.moved()
}

// view brings a list into view.
func (l *lists) view(i int) {
	if l.open == i {
		return
	}
	l.sheet().Commit()
	l.sheet().Hide()
	l.open = i
	l.sheet().Reload()
	l.sheet().Show()
	l.strip.show(i)
	l.showWords()
}

// showWords shows the words of the lists that there are: that of the empty board
// once it was read, that of the gaps once a cut was made.
func (l *lists) showWords() {
	l.strip.setVisible(listZero, l.zero() || l.models[listZero].Rows() > 0)
	l.strip.setVisible(listGaps, l.models[listGaps].Rows() > 0)
}

// focus puts the focus on the sheet in view.
func (l *lists) focus() {
	if l.over != nil {
		l.canvas().Focus(l.over)
		return
	}
	l.canvas().Focus(l.sheet())
}

// moved tells which reading the cursor stands on.
func (l *lists) moved() {
	if l.onSelect == nil {
		return
	}
	l.onSelect(l.current())
}

// reading is the index into Job.Readings of the reading under the cursor.
func (l *lists) reading() (int, bool) {
	r, ok := l.models[l.open].(*readingList)
	if !ok {
		return 0, false
	}
	row, _ := l.sheet().Cursor()
	if row >= r.Rows() {
		return 0, false
	}
	return r.rows()[row], true
}

// current is the reading under the cursor, -1 where there is none.
func (l *lists) current() int {
	if i, ok := l.reading(); ok {
		return i
	}
	return -1
}

// selected are the indices into Job.Readings, or into Job.Tapes, of the rows
// that are selected; tapes says which.
func (l *lists) selected() (index []int, tapes bool) {
	rows := l.sheet().Selected()
	r, ok := l.models[l.open].(*readingList)
	if !ok {
		return rows, true
	}
	for _, row := range rows {
		index = append(index, r.rows()[row])
	}
	return index, false
}

// selectReadings selects the rows of readings in the list that the last of them
// stands in, and brings it into view.
func (l *lists) selectReadings(index []int) {
	for list, m := range l.models {
		r, ok := m.(*readingList)
		if !ok || !slices.Contains(r.rows(), index[len(index)-1]) {
			continue
		}
		l.view(list)
		var rows []int
		for _, i := range index {
			if row := slices.Index(r.rows(), i); row >= 0 {
				rows = append(rows, row)
			}
		}
		l.sheet().SelectEach(rows)
		return
	}
}

// gotoReading brings a reading into view and puts the cursor on one of its cells.
func (l *lists) gotoReading(i int, f string) {
	for list, m := range l.models {
		r, ok := m.(*readingList)
		if !ok {
			continue
		}
		if row := slices.Index(r.rows(), i); row >= 0 {
			l.gotoCell(list, row, r.column(f))
			return
		}
	}
}

// gotoCell brings a cell into view and puts the cursor on it, without taking the focus.
func (l *lists) gotoCell(list, row, col int) {
	l.view(list)
	l.sheet().Goto(row, col)
}

// column is the column of a field; the first entry column where there is none.
func (l *readingList) column(f string) int {
	l.rows()
	if i := slices.IndexFunc(l.cols, func(c listColumn) bool { return c.field == f }); i >= 0 {
		return i
	}
	return slices.IndexFunc(l.cols, func(c listColumn) bool { return c.Entry })
}

// show draws the list in view anew.
func (l *lists) show(s desk.State, attention [listCount]bool) {
	for i, w := range l.words(s.Job) {
		l.strip.setWord(i, w)
		m := markNone
		if attention[i] {
			m = markAttention
		}
		l.strip.setMark(i, m)
	}
	l.showWords()
	if l.open == listGaps && l.rows(s.Job, listGaps) == 0 { // the cut was taken back
		l.view(listEdge)
	}
	if l.strip.row.MinSize().Width > max(l.content.Size().Width, leftMin*look.Scale()) { // no room for the numbers
		for i, w := range listWords() {
			l.strip.setWord(i, w)
		}
	}
	l.sheet().Reload()
}

// firstEntry is the column in which the typing of an edge row begins.
func (l *lists) firstEntry() int { return l.models[listEdge].(*readingList).column(fieldX) }
