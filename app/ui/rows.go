package ui

import (
	"errors"
	"slices"
	"strings"
	"unicode"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/ui/sheet"
	"panewright/board"
)

// moveRows moves the selected rows of a list of readings up (-1) or down (+1),
// one step of undo.
func (w *Window) moveRows(by int) {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	l, ok := w.lists.models[w.lists.open].(*readingList)
	if !ok {
		w.say(lang.L("Only readings are moved."), sheet.Plain)
		return
	}
	first, n := w.lists.sheet().Selection()
	from, to := first+min(by, 0), first+n+max(by, 0) // with the row that they pass
	if n == 0 || from < 0 || to > l.Rows() {
		return
	}
	places := slices.Clone(l.rows()[from:to])
	order := make([]int, len(places))
	for k := range order {
		order[k] = (k - by + len(order)) % len(order)
	}
	index, tapes := w.lists.selected()
	if len(index) != n {
		w.say(lang.L("Rows are moved together: select rows that stand one under the other."), sheet.Plain)
		return
	}
	if err := w.Edit(lang.L("Move {{.What}}", w.rowsWord(index, tapes)), func(j *board.Job) error {
		j.Reorder(places, order)
		return nil
	}); err != nil {
		w.report(err)
		return
	}
	w.lists.sheet().SelectRows(first+by, n)
}

// sortEdge puts the stations into their order round the edge.
func (w *Window) sortEdge() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	moved := false
	w.report(w.Edit(lang.L("Sort the stations round the edge"), func(j *board.Job) error {
		moved = j.SortEdge()
		return nil
	}))
	if !moved {
		w.say(lang.L("The stations are in order round the edge."), sheet.Plain)
	}
}

// swapBack puts the stations that are swapped in order.
func (w *Window) swapBack() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	w.report(w.Edit(lang.L("Put swapped stations in order"), func(j *board.Job) error {
		j.SwapBack()
		return nil
	}))
}

// swappedWord says which stations lie the other way round than they were typed;
// empty where none do.
func swappedWord(j *board.Job) string {
	s := j.Swapped()
	if len(s) == 0 {
		return ""
	}
	a, b := j.Readings[s[0][0]].ID, j.Readings[s[0][1]].ID
	data := map[string]any{"A": a, "B": b, "N": len(s) - 1}
	if len(s) > 1 {
		return lang.L("Stations {{.A}} and {{.B}} lie the other way round than they were typed, and {{.N}} more pairs. Is a number wrong? Else put them in order.", data)
	}
	return lang.L("Stations {{.A}} and {{.B}} lie the other way round than they were typed. Is a number wrong? Else put them in order.", data)
}

// readAgain makes a row ready for a second reading of the place under the cursor:
// both are kept, and both count.
func (w *Window) readAgain() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	i, ok := w.lists.reading()
	if !ok {
		w.say(lang.L("There is no reading in this row."), sheet.Plain)
		return
	}
	r := w.state.Job.Readings[i]
	if r.ID == "" {
		w.say(lang.L("Give the reading a name first: repeats are known by it."), sheet.Plain)
		return
	}
	if err := w.Edit(lang.L("Read {{.R}} again", map[string]any{"R": thing(r.Kind, r.ID)}), func(j *board.Job) error {
		return j.Insert(i+1, board.Reading{ID: r.ID, Kind: r.Kind, Set: r.Set})
	}); err != nil {
		w.report(err)
		return
	}
	w.lists.gotoReading(i+1, fieldX)
	w.lists.focus()
}

// repeatWord says how often a place was read and how far apart; empty where once.
func repeatWord(j *board.Job, i int) string {
	index := j.Repeats(i)
	if len(index) < 2 {
		return ""
	}
	plan, height := j.Spread(index)
	return lang.L("Read {{.N}} times, at most {{.P}} apart, {{.H}} in height; all count, as their mean would.", map[string]any{
		"N": len(index), "P": fine(j, plan), "H": fine(j, height)})
}

// askFind asks for a reading by its name, or by a word of its note, and goes there.
func (w *Window) askFind() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	entry := newField(false, nil, w.key)
	entry.SetPlaceHolder(lang.L("12, F7, chip"))
	find := func() bool {
		i, ok := found(w.state.Job, entry.Text, w.lists.current())
		if !ok {
			entry.setFault(lang.L("No reading has this name, or this word in its note."))
			return false
		}
		w.setFolded(false)
		w.lists.gotoReading(i, fieldX)
		w.board.CentreOn(i)
		return true
	}
	w.ask("find", lang.L("Find a reading"), container.NewVBox(entry, entry.fault), entry,
		answer{lang.L("Find it"), find}, answer{text: cancelWord()}).closed = w.lists.focus
}

// found is the next reading behind one that is meant by a text: by its name, else
// by how its name begins, else by its note.
func found(j *board.Job, text string, behind int) (int, bool) {
	text = strings.ToLower(strings.TrimSpace(text))
	n := len(j.Readings)
	if text == "" {
		return 0, false
	}
	for _, is := range []func(r *board.Reading) bool{
		func(r *board.Reading) bool { return strings.ToLower(r.ID) == text },
		func(r *board.Reading) bool { return strings.HasPrefix(strings.ToLower(r.ID), text) },
		func(r *board.Reading) bool { return strings.Contains(strings.ToLower(r.Note), text) },
	} {
		for k := range n {
			if i := (behind + 1 + k) % n; is(&j.Readings[i]) {
				return i, true
			}
		}
	}
	return 0, false
}

// entryUnit is what the numbers of a column are typed in.
type entryUnit int

const (
	asJob entryUnit = iota
	inMM
	inInches
	inSixteenths
)

// typedWords name them.
func typedWords() []string {
	return []string{lang.L("as the job"), "mm", lang.L("inches"), lang.L("sixteenths of an inch")}
}

// short stands behind the head of such a column.
func (t entryUnit) short() string { return [...]string{"", " mm", " in", " 1/16"}[t] }

// read is a typed text as it is kept, with its unit: sixteenths become inches.
func (t entryUnit) read(text string, u board.Unit) (string, board.Unit, error) {
	switch t {
	case inMM:
		return text, board.MM, nil
	case inInches:
		return text, board.Inch, nil
	case inSixteenths:
		if strings.TrimSpace(text) == "" || strings.ContainsAny(text, `/+"'`) || strings.ContainsFunc(text, unicode.IsLetter) {
			return text, board.Inch, nil // typed in full
		}
		s, ok := sixteenths(text)
		if !ok {
			return text, board.Inch, errors.New(lang.L("this column counts sixteenths of an inch: type a whole number of them, as 198 for 12 3/8"))
		}
		return s, board.Inch, nil
	}
	return text, u, nil
}

// sixteenths is a whole number of sixteenths of an inch as a fraction.
func sixteenths(text string) (string, bool) {
	sign := ""
	s := strings.TrimSpace(text)
	if rest, minus := strings.CutPrefix(strings.ReplaceAll(s, "−", "-"), "-"); minus {
		sign, s = "-", rest
	}
	if s == "" || len(s) > 5 || strings.Trim(s, "0123456789") != "" {
		return "", false
	}
	n := 0
	for _, d := range s {
		n = 10*n + int(d-'0')
	}
	out, _ := board.FormatFraction(float64(n)*25.4/16, 16)
	return sign + out, true
}

// headMenu offers what the numbers of a column are typed in, under its head.
func (w *Window) headMenu(list, col int, at fyne.Position) {
	if items := w.headItems(list, col); len(items) > 0 && !w.busy() {
		widget.ShowPopUpMenuAtPosition(fyne.NewMenu("", items...), w.win.Canvas(), at)
	}
}

// headItems are the choices of a column's head; none where it has no numbers.
func (w *Window) headItems(list, col int) (items []*fyne.MenuItem) {
	l, ok := w.lists.models[list].(*readingList)
	if !ok {
		return nil
	}
	f := l.cols[col].field
	if coordinate(&board.Reading{}, f) == nil {
		return nil
	}
	for i, word := range typedWords() {
		it := fyne.NewMenuItem(lang.L("{{.Column}} is typed in: {{.Unit}}", map[string]any{"Column": l.cols[col].Head, "Unit": word}), func() {
			l.entry[f] = entryUnit(i)
			w.lists.sheets[list].Reload()
			w.lists.focus()
		})
		it.Checked = l.entry[f] == entryUnit(i)
		items = append(items, it)
	}
	return items
}
