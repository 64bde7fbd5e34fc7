package ui

import (
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/ui/boardview"
	"panewright/app/ui/sheet"
	"panewright/board"
)

// Of a table that is looked at before it is taken: rows and faults shown, and the
// width of a column.
const (
	rowsSampled  = 6
	faultsShown  = 100
	sampleWidth  = 112
	mostSampled  = 16 // characters of a cell
	faultsHeight = 96
)

// columnsIn shows what a table from elsewhere was taken for, before anything of
// the job changes: every guess can be changed.
type columnsIn struct {
	w      *Window
	c      *board.Columns
	m      *modal
	fields []*choice
	unit   *choice
	mark   *choice
	kind   *choice
	known  *choice
	again  *widget.Label // the words before known
	count  *widget.Label
	why    *widget.Label
	faults *widget.Label
	left   fyne.CanvasObject // what stands round faults

	readings []board.Reading
	nFaults  int
}

// fieldWords name what a column may hold, the first: nothing of use.
func fieldWords() []string {
	return []string{lang.L("left out"), lang.L("kind"), lang.L("name"), "x", "y", "z", "±", lang.L("note"), lang.L("laying")}
}

// pasteColumns looks at the columns in the clipboard before they are taken.
func (w *Window) pasteColumns() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	w.lookAtPasted(w.app.Clipboard().Content())
}

// lookAtPasted looks at a pasted table.
func (w *Window) lookAtPasted(text string) {
	if err := w.lookAt([]byte(text), lang.L("what was pasted"), ""); err != nil {
		w.report(err)
	}
}

// pastedTable takes a pasted text that begins with the names of columns: as cells
// it would put words among the readings.
func (w *Window) pastedTable(text string) bool {
	if !board.NamesColumns(text) {
		return false
	}
	w.lookAtPasted(text)
	return true
}

// askColumns asks for a file of columns.
func (w *Window) askColumns() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	w.choosePath("columns", lang.L("Take readings from a table"), lang.L("Look at it"), w.startDir(), false, func(path string) error {
		if st, err := os.Stat(path); err != nil || st.IsDir() {
			return errors.New(lang.L("there is no such file"))
		}
		w.post(func() {
			if err := w.lookAtFile(path); err != nil {
				w.tell("cannot open", lang.L("The table could not be read"), plain(err))
			}
		})
		return nil
	})
}

// isTable says whether a file is one of columns, by its name.
func isTable(path string) bool {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".csv", ".tsv", ".txt":
		return true
	}
	return false
}

// lookAtFile looks at a table in a file.
func (w *Window) lookAtFile(path string) error {
	data, err := board.ReadTable(path)
	if err != nil {
		return err
	}
	return w.lookAt(data, filepath.Base(path), path)
}

// lookAt shows what a table was taken for; path is that of its file, if it has one.
func (w *Window) lookAt(data []byte, name, path string) error {
	kind := board.Edge
	if r, ok := w.lists.models[w.lists.open].(*readingList); ok {
		kind = r.kinds[0]
	}
	j := w.state.Job
	c, err := board.ReadColumns(data, name, j, kind)
	if err != nil {
		return err
	}
	c.Set = boardview.Laying(j)
	newColumnsIn(w, c, path)
	return nil
}

func newColumnsIn(w *Window, c *board.Columns, path string) *columnsIn {
	p := &columnsIn{w: w, c: c, count: wrapped(""), why: dim(""), faults: caption("")}
	p.count.TextStyle.Bold = true
	guesses := newForm(w)
	p.unit = newChoice([]string{"mm", lang.L("inches")}, func(i int) { c.SetUnit(board.Unit(i)); c.Why = ""; p.update() })
	p.mark = newChoice([]string{lang.L("a point: 12.5"), lang.L("a comma: 12,5")}, func(i int) { c.Comma = i == 1; p.update() })
	p.kind = newChoice([]string{lang.L("edge"), lang.L("face"), lang.L("centre"), lang.L("mark")}, func(i int) { c.Kind = board.Kind(i); p.update() })
	p.known = newChoice([]string{lang.L("are kept beside those"), lang.L("take their place")}, func(int) {})
	p.known.show(0)
	guesses.row(lang.L("Numbers are in"), p.unit)
	guesses.row(lang.L("Decimal mark"), p.mark)
	guesses.row(lang.L("Rows that do not say it are"), p.kind)
	p.again = widget.NewLabel("")
	guesses.box.Add(p.again)
	guesses.box.Add(p.known)
	scroll := container.NewVScroll(p.faults)
	scroll.SetMinSize(fyne.NewSize(0, faultsHeight))
	p.left = container.NewVBox(title(lang.L("Rows that are not understood, and are left out")), scroll)
	answers := []answer{{lang.L("Add the readings"), p.add}}
	if path != "" {
		answers = append(answers, answer{lang.L("Begin a new job with them"), func() bool { p.begin(path); return false }})
	}
	answers = append(answers, answer{text: cancelWord()})
	body := container.NewVBox(p.count, p.sample(), guesses.box, p.why, p.left)
	p.m = w.ask("columns in", lang.L("Readings from {{.Name}}", map[string]any{"Name": c.Name}), body, nil, answers...)
	p.update()
	p.m.resize(fyne.NewSize(760, 0))
	return p
}

// sample shows the first rows, each column under what it was taken for.
func (p *columnsIn) sample() fyne.CanvasObject {
	row := container.NewHBox()
	for i := range p.c.Fields {
		pick := newChoice(fieldWords(), func(f int) { p.take(i, f) })
		p.fields = append(p.fields, pick)
		lines := []string{}
		for _, r := range p.c.Rows[:min(rowsSampled, len(p.c.Rows))] {
			lines = append(lines, cut(r[i], mostSampled))
		}
		cells := widget.NewLabel(strings.Join(lines, "\n"))
		cells.TextStyle.Monospace = true
		head := ""
		if p.c.Head != nil {
			head = cut(p.c.Head[i], mostSampled)
		}
		room := container.NewGridWrap(fyne.NewSize(sampleWidth, pick.MinSize().Height), pick)
		row.Add(container.NewVBox(dim(head), room, cells))
	}
	return container.NewHScroll(row)
}

// cut is a text, cut where it is longer than n characters.
func cut(s string, n int) string {
	if r := []rune(s); len(r) > n {
		return string(r[:n-1]) + "…"
	}
	return s
}

// take takes a column for a field; the column that was it before is left out.
func (p *columnsIn) take(col, field int) {
	f := ""
	if field > 0 {
		f = board.ColumnFields[field-1]
	}
	for i, old := range p.c.Fields {
		if f != "" && old == f {
			p.c.Fields[i] = ""
		}
	}
	p.c.Fields[col] = f
	p.update()
}

// update says what comes of the table as it is taken now.
func (p *columnsIn) update() {
	c, j := p.c, p.w.state.Job
	var faults []*board.PlaceError
	p.readings, faults = c.Readings(j)
	p.nFaults = len(faults)
	units := map[board.Unit]bool{}
	for i, f := range c.Fields {
		at := 0
		for k, name := range board.ColumnFields {
			if name == f {
				at = k + 1
			}
		}
		p.fields[i].show(at)
		if f == fieldX || f == fieldY || f == fieldZ || f == fieldSD {
			units[c.Units[i]] = true
		}
	}
	switch {
	case len(units) > 1:
		p.unit.PlaceHolder = lang.L("as each column says")
	case units[board.Inch]:
		p.unit.show(1)
	default:
		p.unit.show(0)
	}
	p.mark.show(oneIf(c.Comma))
	p.kind.show(int(c.Kind))
	n := map[string]any{"N": len(p.readings), "F": len(faults)}
	if len(faults) == 0 {
		setText(p.count, lang.L("{{.N}} readings. Nothing changes before you add them.", n))
	} else {
		setText(p.count, lang.L("{{.N}} readings; {{.F}} rows are not understood. Nothing changes before you add them.", n))
	}
	why := ""
	if c.Why != "" {
		why = lang.L("Why this unit: {{.Why}}.", map[string]any{"Why": said(c.Why)})
	}
	setText(p.why, why)
	setVisible(p.why, why != "")
	known := j.Known(p.readings)
	setText(p.again, lang.L("{{.N}} names are in the job; they", map[string]any{"N": known}))
	setVisible(p.again, known > 0)
	setVisible(p.known, known > 0)
	setText(p.faults, faultLines(faults))
	setVisible(p.left, len(faults) > 0)
	for _, b := range p.m.buttons[:len(p.m.buttons)-1] {
		if len(p.readings) == 0 {
			b.Disable()
		} else {
			b.Enable()
		}
	}
	p.m.resize(p.m.pop.Size())
}

// faultLines says of rows why they are not understood, and where.
func faultLines(faults []*board.PlaceError) string {
	var lines []string
	for _, f := range faults[:min(faultsShown, len(faults))] {
		data := map[string]any{"Row": f.Row, "Field": f.Field, "Why": f.Reason}
		line := lang.L("Row {{.Row}}: {{.Why}}", data)
		if f.Field != "" {
			line = lang.L("Row {{.Row}}, {{.Field}}: {{.Why}}", data)
		}
		lines = append(lines, line)
	}
	if n := len(faults) - len(lines); n > 0 {
		lines = append(lines, lang.L("and {{.N}} more", map[string]any{"N": n}))
	}
	return strings.Join(lines, "\n")
}

// add adds the readings to the job, one step of undo.
func (p *columnsIn) add() bool {
	w, n := p.w, len(p.readings)
	first := len(w.state.Job.Readings)
	if err := w.Edit(lang.L("Add {{.N}} readings from a table", map[string]any{"N": n}), func(j *board.Job) error {
		j.Add(p.readings, p.known.at == 1)
		return nil
	}); err != nil {
		w.report(err)
		return false
	}
	w.openStep(stepReadings)
	w.lists.gotoReading(min(first, len(w.state.Job.Readings)-1), fieldX)
	p.m.closed = w.lists.focus
	return true
}

// begin begins a job of the readings alone.
func (p *columnsIn) begin(path string) {
	w := p.w
	p.m.close()
	w.leaving(func() {
		j := board.NewJob(strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)))
		j.Unit, j.Comma, j.Grid = p.c.Units[0], p.c.Comma, w.state.Job.Grid
		rs, _ := p.c.Readings(j)
		j.Add(rs, false)
		j.Evaluate()
		w.desk.OpenJob(j)
		w.exported = nil
		w.start()
		w.say(lang.L("A new job with {{.N}} readings.", map[string]any{"N": strconv.Itoa(len(rs))}), sheet.Plain)
	})
}
