package ui

import (
	"fmt"
	"slices"
	"strings"

	"fyne.io/fyne/v2/lang"

	"panewright/app/desk"
	"panewright/app/ui/boardview"
	"panewright/app/ui/sheet"
	"panewright/board"
)

// door is what a view needs of the window: the state it was shown last, and the
// one way to change the job.
type door interface {
	State() desk.State
	Edit(name string, f func(*board.Job) error) error
}

// field names of a reading's cells, as board.Job.SetCell knows them, and two of
// our own.
const (
	fieldID   = "id"
	fieldX    = "x"
	fieldY    = "y"
	fieldZ    = "z"
	fieldSD   = "sd"
	fieldKind = "kind"
	fieldMiss = "miss"
	fieldSet  = "set"
	fieldNote = "note"
)

// listColumn is a column of a list and the field that it shows.
type listColumn struct {
	sheet.Column
	field string
}

// readingList is the readings of some kinds as the model of a sheet.
type readingList struct {
	door  door
	kinds []board.Kind
	base  []listColumn
	cols  []listColumn // base, and the laying where there are several

	notes bool                 // notes, and why readings were struck, in place of misses
	entry map[string]entryUnit // what is typed into a field, where it is not as the job

	onTyped func(reading int) // a figure of the reading was typed; may be nil

	job      *board.Job // that index belongs to
	index    []int      // rows -> Job.Readings
	findings map[place]board.Finding
	found    *board.Finding // first of the findings that the map was made from
	nFound   int
}

// place names a cell of the job for a finding: the list's word, the row from 1
// among the readings of that kind, the field.
type place struct {
	list  string
	row   int
	field string
}

// edgeList, faceList and otherList are the lists of readings.
func edgeList(d door) *readingList {
	return &readingList{door: d, entry: map[string]entryUnit{}, kinds: []board.Kind{board.Edge}, base: coordinates(0.62)}
}

func faceList(d door) *readingList {
	return &readingList{door: d, entry: map[string]entryUnit{}, kinds: []board.Kind{board.Face}, base: coordinates(0.62)}
}

func otherList(d door) *readingList {
	c := coordinates(0.65)
	kind := listColumn{sheet.Column{Head: lang.L("kind"), Weight: 1.15, Left: true}, fieldKind}
	sd := listColumn{sheet.Column{Head: lang.L("±"), Weight: 0.9}, fieldSD}
	c[1].Weight, c[2].Weight, c[3].Weight = 1.5, 1.5, 1.4
	cols := append([]listColumn{c[0], kind}, c[1:4]...)
	return &readingList{door: d, entry: map[string]entryUnit{}, kinds: []board.Kind{board.Centre, board.Mark}, base: append(cols, sd)}
}

// showNotes shows notes in place of misses, or misses again.
func (l *readingList) showNotes(on bool) { l.notes, l.job = on, nil }

// coordinates are the columns that readings of the glass have.
func coordinates(id float32) []listColumn {
	return []listColumn{
		{sheet.Column{Head: lang.L("no"), Weight: id, Left: true}, fieldID},
		{sheet.Column{Head: lang.L("x"), Weight: 1.22, Entry: true}, fieldX},
		{sheet.Column{Head: lang.L("y"), Weight: 1.22, Entry: true}, fieldY},
		{sheet.Column{Head: lang.L("z"), Weight: 1.12, Entry: true}, fieldZ},
		{sheet.Column{Head: lang.L("miss"), Weight: 0.92, ReadOnly: true}, fieldMiss},
	}
}

// rows are the indices into Job.Readings of the list's rows.
func (l *readingList) rows() []int {
	if j := l.door.State().Job; j != l.job {
		l.job, l.index = j, j.Indices(l.kinds...)
		l.cols = slices.Clone(l.base)
		if severalLayings(j) {
			set := sheet.Column{Head: lang.L("lay"), Weight: 0.6}
			l.cols = append(l.cols, listColumn{set, fieldSet})
		}
		if l.notes {
			l.cols = slices.DeleteFunc(l.cols, func(c listColumn) bool { return c.field == fieldMiss })
			l.cols = append(l.cols, listColumn{sheet.Column{Head: lang.L("note"), Weight: 1.7, Left: true}, fieldNote})
		}
	}
	return l.index
}

// Rows is the number of readings in the list.
func (l *readingList) Rows() int { return len(l.rows()) }

// Columns are the list's columns.
func (l *readingList) Columns() []sheet.Column {
	l.rows()
	out := make([]sheet.Column, len(l.cols))
	for i, c := range l.cols {
		out[i] = c.Column
		out[i].Head += l.entry[c.field].short()
	}
	return out
}

// Cell shows a field of a reading.
func (l *readingList) Cell(row, col int) sheet.Cell {
	s := l.door.State()
	i := l.rows()[row]
	r := s.Job.Readings[i]
	f := l.cols[col].field
	c := sheet.Cell{Text: l.text(r, f), Struck: r.Struck}
	if f == fieldID {
		c.Sign = signs(r)
	}
	if r.Struck {
		if f == fieldNote && c.Text == "" {
			c.Text = r.Reason
		}
		c.Note = lang.L("Struck: {{.Reason}}", map[string]any{"Reason": r.Reason})
		return c
	}
	if cell := coordinate(&r, f); cell != nil && cell.Fault != "" {
		c.Tint, c.Note = sheet.Wrong, capital(cell.Fault)
		return c
	}
	res := result(s, i)
	if f == fieldMiss {
		c.Text, c.Tint = missText(s.Job, r.Kind, res), sheet.Dim
		return c
	}
	switch {
	case setAside(r, res) && (res.State == board.Suspect || f == fieldZ):
		c.Tint, c.Note = sheet.Suspicious, suspectWord(s.Job, r, res)+" "+adviceWord(res)
	case startsBlock(res):
		c.Note = capital(res.Offer.Why) + "."
		if f == fieldID {
			c.Tint = sheet.Suspicious
		}
	default:
		if note, remark := l.finding(s, row, f); note != "" {
			c.Note = note
			if !remark {
				c.Tint = sheet.Suspicious
			}
		} else if f == fieldID {
			c.Note = strings.TrimSpace(strings.Join(append(sayings(r), r.Note), " "))
		}
	}
	return c
}

// text is a field as it was typed.
func (l *readingList) text(r board.Reading, f string) string {
	switch f {
	case fieldID:
		return r.ID
	case fieldKind:
		return kindCell(r.Kind)
	case fieldSet:
		return r.Set
	case fieldNote:
		return r.Note
	}
	if c := coordinate(&r, f); c != nil {
		return typed(*c, l.door.State().Job.Unit)
	}
	return ""
}

// kindCell is how a kind is written in the list of others.
func kindCell(k board.Kind) string {
	if k == board.Centre {
		return lang.L("centre")
	}
	return lang.L("mark")
}

// coordinate is the cell of a field that holds a figure; nil for the others.
func coordinate(r *board.Reading, f string) *board.Cell {
	switch f {
	case fieldX:
		return &r.X
	case fieldY:
		return &r.Y
	case fieldZ:
		return &r.Z
	case fieldSD:
		return &r.SD
	}
	return nil
}

// typed is a cell's text with its unit where that is not the job's and the text
// does not say so itself.
func typed(c board.Cell, u board.Unit) string {
	if c.Unit == u || strings.TrimSpace(c.Text) == "" || c.Fault != "" || saysUnit(c.Text) {
		return c.Text
	}
	return c.Text + " " + c.Unit.String()
}

// asTyped is a cell as it was typed, always with its unit: not rounded.
func asTyped(c board.Cell, u board.Unit) string {
	if s := strings.TrimSpace(typed(c, u)); saysUnit(s) {
		return s
	}
	return strings.TrimSpace(c.Text) + " " + u.String()
}

// saysUnit says whether a text names its unit.
func saysUnit(s string) bool {
	s = strings.ToLower(s)
	return strings.ContainsAny(s, `"'″′`) || strings.Contains(s, "mm") || strings.Contains(s, "cm") ||
		strings.Contains(s, "in") || strings.Contains(s, "ft")
}

// result is what the solve made of a reading. While a newer solve runs it is
// that of the model shown, where the reading is still in its place.
func result(s desk.State, i int) *board.Result {
	m := s.Model
	if m == nil || i >= len(m.Results) {
		return nil
	}
	if m.Job != s.Job {
		was, is := m.Job.Readings[i], s.Job.Readings[i]
		if was.ID != is.ID || was.Kind != is.Kind || was.X != is.X || was.Y != is.Y || was.Z != is.Z || was.Sure != is.Sure {
			return nil
		}
	}
	return &m.Results[i]
}

// missText is how far a reading lies from the fitted shape.
func missText(j *board.Job, k board.Kind, r *board.Result) string {
	miss := 0.0
	switch {
	case r == nil:
		return ""
	case k == board.Edge && r.HasMiss:
		miss = r.Miss
	case k == board.Face && r.HasHeight:
		miss = r.HeightMiss
	default:
		return ""
	}
	if j.Unit == board.Inch {
		return strings.TrimSuffix(signedFine(j, miss), " in")
	}
	s := number(j, miss, 1)
	if !strings.HasPrefix(s, "-") {
		s = "+" + s
	}
	return s
}

// finding is what the job's checks say of a cell, or of its whole row, and
// whether it is only a remark.
func (l *readingList) finding(s desk.State, row int, f string) (text string, remark bool) {
	l.lookup(s)
	k := s.Job.Readings[l.rows()[row]].Kind
	n := l.rowOfKind(row, k)
	found, ok := l.findings[place{k.String(), n, f}]
	if !ok && f == fieldID {
		found = l.findings[place{k.String(), n, ""}]
	}
	return found.Text, found.Remark
}

// lookup makes the findings easy to look up by place.
func (l *readingList) lookup(s desk.State) {
	var first *board.Finding
	if len(s.Findings) > 0 {
		first = &s.Findings[0]
	}
	if l.findings != nil && first == l.found && len(s.Findings) == l.nFound {
		return
	}
	l.found, l.nFound, l.findings = first, len(s.Findings), map[place]board.Finding{}
	for _, f := range s.Findings {
		p := place{f.List, f.Row, f.Field}
		if old, ok := l.findings[p]; !ok || old.Remark && !f.Remark {
			l.findings[p] = f
		}
	}
}

// rowOfKind is a row's number, from 1, among the readings of its own kind.
func (l *readingList) rowOfKind(row int, k board.Kind) int {
	n := 0
	for _, i := range l.rows()[:row+1] {
		if l.job.Readings[i].Kind == k {
			n++
		}
	}
	return n
}

// Echo says what a typed text means, in both units.
func (l *readingList) Echo(row, col int, text string) (string, sheet.Tint) {
	j, f := l.door.State().Job, l.cols[col].field
	axis, ok := axisOf(f)
	if !ok || strings.TrimSpace(text) == "" {
		return "", sheet.Plain
	}
	unit := j.Unit
	if in := l.entry[f]; in != asJob && (row >= l.Rows() || text != l.Cell(row, col).Text) {
		var err error
		if text, unit, err = in.read(text, unit); err != nil {
			return plain(err), sheet.Wrong
		}
	}
	return echoIn(j, text, axis, unit)
}

// axisOf is the axis along which a field's figure is read.
func axisOf(f string) (board.Axis, bool) {
	switch f {
	case fieldX:
		return board.AxisX, true
	case fieldY:
		return board.AxisY, true
	case fieldZ:
		return board.AxisZ, true
	case fieldSD:
		return board.AxisLength, true
	}
	return 0, false
}

// echo is what a text means in both units, or why it is not understood.
func echo(j *board.Job, text string, axis board.Axis) (string, sheet.Tint) {
	return echoIn(j, text, axis, j.Unit)
}

// echoIn is echo of a text typed in a unit.
func echoIn(j *board.Job, text string, axis board.Axis, unit board.Unit) (string, sheet.Tint) {
	_, e, err := board.Parse(text, axis, unit, j.Comma, j.Grid)
	if err != nil {
		return plain(err), sheet.Wrong
	}
	return e, sheet.Plain
}

// Set writes a cell; on the empty row it adds a reading.
func (l *readingList) Set(row, col int, text string) error {
	f := l.cols[col].field
	name := lang.L("Add a reading")
	if row < l.Rows() {
		r := l.door.State().Job.Readings[l.rows()[row]]
		name = fmt.Sprintf("%s %s", kindWord(r.Kind, r.ID), l.cols[col].Head)
	}
	before := l.door.State().Job
	err := l.door.Edit(name, func(j *board.Job) error {
		return l.put(j, row, f, text)
	})
	if _, figure := axisOf(f); figure && err == nil && l.onTyped != nil && l.door.State().Job != before {
		l.onTyped(l.rows()[row])
	}
	return err
}

// SetBlock writes a pasted block; columns that cannot be written are passed over.
func (l *readingList) SetBlock(row, col int, block [][]string) error {
	return l.door.Edit(blockName(block), func(j *board.Job) error {
		for i, line := range block {
			for k, text := range line {
				if c := col + k; c < len(l.cols) && !l.cols[c].ReadOnly {
					if err := l.put(j, row+i, l.cols[c].field, text); err != nil {
						return err
					}
				}
			}
		}
		return nil
	})
}

// blockName names the edit that writes a block: a paste, or a clearing.
func blockName(block [][]string) string {
	empty := true
	for _, line := range block {
		empty = empty && !slices.ContainsFunc(line, func(s string) bool { return s != "" })
	}
	n := map[string]any{"N": len(block)}
	if empty {
		return lang.L("Clear cells in {{.N}} rows", n)
	}
	return lang.L("Paste {{.N}} rows", n)
}

// put writes one field of the reading in a row of a job being edited.
func (l *readingList) put(j *board.Job, row int, f, text string) error {
	index := j.Indices(l.kinds...)
	for len(index) <= row {
		k := l.kinds[0]
		if err := j.Insert(len(j.Readings), board.Reading{ID: j.NextID(k), Kind: k, Set: boardview.Laying(j)}); err != nil {
			return err
		}
		index = j.Indices(l.kinds...)
	}
	i := index[row]
	if f == fieldKind {
		k, err := parseKindCell(text)
		if err != nil {
			return err
		}
		j.Readings[i].Kind = k
		return nil
	}
	text, unit, err := l.entry[f].read(text, j.Unit)
	if err != nil {
		return err
	}
	r := &j.Readings[i]
	if c := coordinate(r, f); c != nil && c.Text == text && c.Unit == unit && c.Comma == j.Comma {
		return nil // typed over with the same
	}
	if err := j.SetCell(i, f, text); err != nil {
		return err
	}
	if c := coordinate(r, f); c != nil {
		c.Unit = unit
	}
	return nil
}

// parseKindCell reads the kind of another mark: its word, or how it begins.
func parseKindCell(text string) (board.Kind, error) {
	t := strings.ToLower(strings.TrimSpace(text))
	for _, k := range []board.Kind{board.Centre, board.Mark} {
		if t != "" && (strings.HasPrefix(kindCell(k), t) || strings.HasPrefix(k.String(), t)) {
			return k, nil
		}
	}
	return 0, fmt.Errorf("%s", lang.L("type centre or mark"))
}
