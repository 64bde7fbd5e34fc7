package board

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Columns is a table from elsewhere, of a spreadsheet or another program, before
// readings are made of it. What its columns hold, their units and the decimal mark
// are guesses that a person looks at and may change.
type Columns struct {
	Name   string     // of the file, for messages
	Head   []string   // the words over the columns; nil where no row names them
	Rows   [][]string // the rows below, all as long as Fields, blanks trimmed
	Fields []string   // what each column holds, of ColumnFields; "" is left out
	Units  []Unit     // of each column, where it holds numbers
	Comma  bool       // numbers have a decimal comma
	Kind   Kind       // of the rows that do not say theirs
	Set    string     // laying of the rows that do not say theirs
	Why    string     // why the unit was guessed, in words; empty where it is the job's

	lines []int // of the table, of each row
}

// ColumnFields are what a column may hold.
var ColumnFields = []string{"kind", "id", "x", "y", "z", "sd", "note", "set"}

// headSearch is among how many rows the one that names the columns is looked for;
// a title may stand above it.
const headSearch = 5

// ReadColumns reads a table of which nothing is known: parted by tab, semicolon or
// comma, with or without a row that names the columns, UTF-8 or UTF-16. Rows
// without a kind will be of the kind given. The job has the last word where the
// table does not tell: unit, decimal mark, grid. The error is a *PlaceError.
func ReadColumns(data []byte, name string, j *Job, kind Kind) (*Columns, error) {
	c := &Columns{Name: name, Kind: kind}
	fault := func(line int, format string, args ...any) error {
		return &PlaceError{File: name, Row: line, Reason: fmt.Sprintf(format, args...)}
	}
	if len(data) > maxTable {
		return nil, fault(0, "the table is larger than %d MB", maxTable>>20)
	}
	text, err := plainText(data)
	if err != nil {
		return nil, fault(0, "%v", err)
	}
	s := &splitter{text: strings.ReplaceAll(text, "\r\n", "\n"), line: 1}
	if strings.HasPrefix(strings.ToLower(text), "sep=") {
		s.skipLine()
	}
	s.skipBlank()
	s.separator = separatorWithin(s.text)
	width := 0
	for {
		line, cells, err := s.next()
		if err != nil {
			return nil, fault(line, "%v", err)
		}
		if cells == nil {
			break
		}
		if strings.Join(cells, "") == "" {
			continue
		}
		if len(c.Rows) > maxReadings {
			return nil, fault(line, "the table has more than %d rows", maxReadings)
		}
		c.Rows, c.lines = append(c.Rows, cells), append(c.lines, line)
		width = max(width, len(cells))
	}
	if width > maxColumns {
		return nil, fault(0, "the table has more than %d columns", maxColumns)
	}
	if len(c.Rows) == 0 {
		return nil, fault(0, "the table is empty")
	}
	for i, r := range c.Rows {
		c.Rows[i] = append(r, make([]string, width-len(r))...)
	}
	c.takeHead()
	c.guess(j)
	return c, nil
}

// separatorWithin is the mark between columns of the first line that has one: a
// title above the table has none.
func separatorWithin(text string) byte {
	for line := range strings.Lines(text) {
		if strings.ContainsAny(line, "\t;,") {
			return separatorOf(line)
		}
	}
	return ','
}

// NamesColumns says whether a pasted text begins with a row that names the columns
// x and y, so that it is a table and no block of cells.
func NamesColumns(text string) bool {
	line, rest, _ := strings.Cut(strings.TrimLeft(text, "\r\n\ufeff"), "\n")
	if len(line) > maxNote || strings.TrimSpace(rest) == "" {
		return false
	}
	s := &splitter{text: line, line: 1, separator: separatorOf(line)}
	_, cells, err := s.next()
	return err == nil && isHead(cells)
}

// isHead says whether a row names the columns x and y.
func isHead(cells []string) bool {
	f := fieldsOf(cells)
	return slices.Contains(f, "x") && slices.Contains(f, "y")
}

// takeHead takes the row that names the columns off, and what stands above it.
func (c *Columns) takeHead() {
	for i, r := range c.Rows[:min(headSearch, len(c.Rows))] {
		if isHead(r) {
			c.Head, c.Rows, c.lines = r, c.Rows[i+1:], c.lines[i+1:]
			return
		}
	}
}

// headWords are the words that name a column, by its field.
var headWords = map[string][]string{
	"kind": {"kind", "type"},
	"id":   {"id", "no", "no.", "nr", "number", "name", "station", "point", "pt", "#"},
	"x":    {"x", "across"},
	"y":    {"y", "up"},
	"z":    {"z", "height", "h"},
	"sd":   {"sd", "±", "sigma", "uncertainty"},
	"note": {"note", "notes", "remark", "remarks", "comment", "comments"},
	"set":  {"set", "lay", "laying"},
}

// headOf is the field that a word over a column names, "" where none, and the unit
// that stands behind it: "x (mm)", "height in", "y_mm".
func headOf(word string) (field string, unit Unit, named bool) {
	parts := strings.FieldsFunc(strings.ToLower(word), func(r rune) bool { return strings.ContainsRune(" _()[],:", r) })
	if n := len(parts); n > 1 {
		switch parts[n-1] {
		case "mm", "millimetres", "millimeters":
			named, parts = true, parts[:n-1]
		case "in", "inch", "inches", `"`:
			unit, named, parts = Inch, true, parts[:n-1]
		}
	}
	name := strings.Join(parts, " ")
	for _, f := range ColumnFields {
		if slices.Contains(headWords[f], name) {
			return f, unit, named
		}
	}
	return "", unit, named
}

// fieldsOf are the fields that words name, each at its first place only.
func fieldsOf(words []string) []string {
	out := make([]string, len(words))
	for i, w := range words {
		if f, _, _ := headOf(w); f != "" && !slices.Contains(out[:i], f) {
			out[i] = f
		}
	}
	return out
}

// holdsNumbers says whether a field is a number of a reading.
func holdsNumbers(field string) bool { return slices.Contains(readingColumns.numbers, field) }

// guess finds what the columns hold, their unit and the decimal mark.
func (c *Columns) guess(j *Job) {
	if c.Head != nil {
		c.Fields = fieldsOf(c.Head)
	} else {
		c.Fields = c.fieldsByContent(j)
	}
	c.guessMark(j.Comma)
	c.guessUnits(j)
}

// guessMark takes the decimal mark that most numbers show beyond doubt.
func (c *Columns) guessMark(inForce bool) {
	commas, points := 0, 0
	for _, r := range c.Rows {
		for i, v := range r {
			if holdsNumbers(c.Fields[i]) {
				commas += oneIf(showsMark(v, ','))
				points += oneIf(showsMark(v, '.'))
			}
		}
	}
	c.Comma = commas > points || commas == points && inForce
}

func oneIf(b bool) int {
	if b {
		return 1
	}
	return 0
}

// SetUnit has all columns in one unit.
func (c *Columns) SetUnit(u Unit) {
	for i := range c.Units {
		c.Units[i] = u
	}
}

// Bounds of the guess of a unit, of the numbers in x and y.
const (
	mostInches    = 130 // farther from the base line no board reaches: millimetres
	leastExtent   = 100 // narrower both ways no pane is in millimetres: inches
	enoughToGuess = 6   // rows
)

// guessUnits takes the units that the head names; else inches where fractions or
// inch marks are typed; else the one in which the numbers are those of a pane.
func (c *Columns) guessUnits(j *Job) {
	c.Units, c.Why = make([]Unit, len(c.Fields)), ""
	c.SetUnit(j.Unit)
	for i := range c.Head {
		if _, u, named := headOf(c.Head[i]); named && holdsNumbers(c.Fields[i]) {
			if c.Why == "" {
				c.SetUnit(u)
			}
			c.Units[i], c.Why = u, "the head of the columns names it"
		}
	}
	if c.Why != "" {
		return
	}
	if c.anyNumber(func(v string) bool { return strings.ContainsAny(v, `/"″⅛¼⅜½⅝¾⅞`) }) {
		if j.Unit != Inch {
			c.SetUnit(Inch)
			c.Why = "there are fractions of an inch"
		}
		return
	}
	far, extent := c.reach()
	switch {
	case j.Unit == Inch && far > mostInches:
		c.SetUnit(MM)
		c.Why = "as inches they would lie off any board"
	case j.Unit == MM && len(c.Rows) >= enoughToGuess && extent > 0 && extent < leastExtent:
		c.SetUnit(Inch)
		c.Why = "as millimetres the pane would be smaller than a hand"
	}
}

// anyNumber says whether a cell of a column of numbers is as asked.
func (c *Columns) anyNumber(is func(string) bool) bool {
	for _, r := range c.Rows {
		for i, v := range r {
			if holdsNumbers(c.Fields[i]) && is(v) {
				return true
			}
		}
	}
	return false
}

// reach is how far the numbers in x and y go from 0, and the greater of their
// extents.
func (c *Columns) reach() (far, extent float64) {
	for i, f := range c.Fields {
		if f != "x" && f != "y" {
			continue
		}
		least, most := math.Inf(1), math.Inf(-1)
		for _, r := range c.Rows {
			if v, _, err := readSigned(tidy(r[i]), MM, c.Comma); err == nil {
				least, most = min(least, v), max(most, v)
			}
		}
		if least <= most {
			far = max(far, math.Abs(least), math.Abs(most))
			extent = max(extent, most-least)
		}
	}
	return far, extent
}

// Readings makes readings of the rows; those that are not understood are left out
// and told. A row without a name gets the next free one of its kind, counted on
// from the job's. The readings are evaluated; the job is not changed.
func (c *Columns) Readings(j *Job) ([]Reading, []*PlaceError) {
	t := &table{file: c.Name, names: c.Fields, comma: c.Comma, grid: j.Grid, units: map[string]Unit{}}
	for i, f := range c.Fields {
		if f != "" {
			t.units[f] = c.Units[i]
		}
	}
	var faults []*PlaceError
	out := make([]Reading, 0, len(c.Rows))
	for i, cells := range c.Rows {
		row := tableRow{c.lines[i], cells}
		rd, err := c.reading(t, row, j)
		if err != nil {
			faults = append(faults, err)
			continue
		}
		out = append(out, rd)
	}
	nameReadings(j, out)
	return out, faults
}

// reading makes a reading of a row.
func (c *Columns) reading(t *table, row tableRow, j *Job) (Reading, *PlaceError) {
	mark, other := byte('.'), byte(',')
	if c.Comma {
		mark, other = other, mark
	}
	for i, v := range row.cells {
		if holdsNumbers(c.Fields[i]) && showsMark(v, other) {
			return Reading{}, t.fault(row.line, c.Fields[i], "%s has another decimal mark than %q: one table, one mark", shown(v), string(mark)).(*PlaceError)
		}
	}
	rd, err := t.readingOf(row, j, c.Kind)
	if err != nil {
		return rd, err.(*PlaceError)
	}
	if rd.Set == "" {
		rd.Set = c.Set
	}
	return rd, nil
}

// nameReadings gives readings without a name the next free ones of their kinds.
func nameReadings(j *Job, rs []Reading) {
	all := Job{Readings: slices.Concat(j.Readings, rs)}
	all.Readings = slices.DeleteFunc(all.Readings, func(r Reading) bool { return r.ID == "" })
	var next [len(kindNames)]int
	var prefix [len(kindNames)]string
	for i := range rs {
		if r := &rs[i]; r.ID == "" {
			if next[r.Kind] == 0 {
				prefix[r.Kind], next[r.Kind], _ = splitID(all.NextID(r.Kind))
			}
			r.ID = prefix[r.Kind] + strconv.Itoa(next[r.Kind])
			next[r.Kind]++
		}
	}
}

// readingName is what makes readings the same: kind, laying and name.
type readingName struct {
	kind Kind
	set  string
	id   string
}

func nameOf(r *Reading) readingName { return readingName{r.Kind, r.Set, r.ID} }

// Known is how many of some readings have the name of one that the job has.
func (j *Job) Known(rs []Reading) int {
	known := map[readingName]bool{}
	for i := range j.Readings {
		known[nameOf(&j.Readings[i])] = true
	}
	n := 0
	for i := range rs {
		n += oneIf(known[nameOf(&rs[i])])
	}
	return n
}

// Add appends readings. With replace, one whose name the job has takes the place
// of the last reading of that name; a note that it does not bring stays.
func (j *Job) Add(rs []Reading, replace bool) {
	at := map[readingName]int{}
	if replace {
		for i := range j.Readings {
			at[nameOf(&j.Readings[i])] = i
		}
	}
	for _, r := range rs {
		i, known := at[nameOf(&r)]
		if !known {
			j.Readings = append(j.Readings, r)
			continue
		}
		if r.Note == "" {
			r.Note = j.Readings[i].Note
		}
		j.Readings[i] = r
	}
}

// ReadTable reads the file of a table, to be looked at by ReadColumns; one larger
// than any table is read no further than that is certain.
func ReadTable(path string) ([]byte, error) { return Store{}.read(path, maxTable) }
