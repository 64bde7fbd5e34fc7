package board

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// PlaceError says what is wrong with a table, and where.
type PlaceError struct {
	File   string
	Row    int    // 1-based, the header is row 1; 0: the whole file
	Field  string // the column's name; empty: the whole row
	Reason string // one sentence
}

// Error is one line: "readings.csv, row 7, column x: …".
func (e *PlaceError) Error() string {
	s := e.File
	if e.Row > 0 {
		s += fmt.Sprintf(", row %d", e.Row)
	}
	if e.Field != "" {
		s += ", column " + e.Field
	}
	return s + ": " + e.Reason
}

const (
	maxTable = 32 << 20 // bytes
	maxRows  = 200_000
)

// csvTable is a table whose header names its columns.
type csvTable struct {
	file  string
	comma bool // decimal comma
	rows  []csvRow
	names []string
}

type csvRow struct {
	number int
	cells  map[string]string
}

func (t *csvTable) fault(row int, field, format string, args ...any) error {
	return &PlaceError{File: t.file, Row: row, Field: field, Reason: fmt.Sprintf(format, args...)}
}

// ReadReadings reads a table of readings. Its header names the columns in any
// order: kind, id, x, y, z and, where wanted, note, set, sd; columns are parted
// by comma, semicolon or tab, and one decimal mark holds for the file. Numbers
// are in the job's unit and may be typed as in the window, but for grid lines.
// The error is a *PlaceError; name stands in it. Cells are not yet evaluated in
// j: put the readings there and call Evaluate.
func ReadReadings(r io.Reader, name string, j *Job) ([]Reading, error) {
	t, err := readTable(r, name, j.Comma, []string{"kind", "id", "x", "y", "z"}, []string{"note", "set", "sd"})
	if err != nil {
		return nil, err
	}
	var out []Reading
	for _, row := range t.rows {
		kind, ok := ParseKind(strings.ToLower(row.cells["kind"]))
		if !ok {
			return nil, t.fault(row.number, "kind", "%q is no kind of reading: edge, face, centre or mark", row.cells["kind"])
		}
		if row.cells["id"] == "" {
			return nil, t.fault(row.number, "id", "the reading has no name")
		}
		rd := Reading{Kind: kind, ID: row.cells["id"], Note: row.cells["note"], Set: row.cells["set"]}
		for _, c := range []struct {
			field string
			cell  *Cell
			axis  Axis
			need  bool
		}{
			{"x", &rd.X, AxisX, true}, {"y", &rd.Y, AxisY, true},
			{"z", &rd.Z, AxisZ, kind == Face}, {"sd", &rd.SD, AxisLength, false},
		} {
			if *c.cell, err = t.cell(row, c.field, c.axis, j.Unit, c.need); err != nil {
				return nil, err
			}
		}
		if rd.SD.Set && rd.SD.MM <= 0 {
			return nil, t.fault(row.number, "sd", "an uncertainty must be more than nothing")
		}
		out = append(out, rd)
	}
	return out, nil
}

// ReadTapes reads a table of taped lengths, with columns how, length and either
// station or from and to, in the job's unit. The stations must be among the
// job's edge readings. The error is a *PlaceError.
func ReadTapes(r io.Reader, name string, j *Job) ([]Tape, error) {
	t, err := readTable(r, name, j.Comma, []string{"how", "length"}, []string{"station", "from", "to", "note"})
	if err != nil {
		return nil, err
	}
	known := map[string]bool{}
	for _, rd := range j.Readings {
		known[rd.ID] = known[rd.ID] || rd.Kind == Edge
	}
	var out []Tape
	for _, row := range t.rows {
		how, ok := ParseHow(strings.ToLower(row.cells["how"]))
		if !ok {
			return nil, t.fault(row.number, "how", "%q is no way of taping: twin, straight or greatest", row.cells["how"])
		}
		tape := Tape{How: how, From: row.cells["station"]}
		from := "station"
		if tape.From == "" {
			tape.From, from = row.cells["from"], "from"
		}
		if how == Straight {
			tape.To = row.cells["to"]
			if !known[tape.To] {
				return nil, t.fault(row.number, "to", "there is no station %q", tape.To)
			}
		}
		if !known[tape.From] {
			return nil, t.fault(row.number, from, "there is no station %q", tape.From)
		}
		if tape.Length, err = t.cell(row, "length", AxisLength, j.Unit, true); err != nil {
			return nil, err
		}
		if tape.Length.MM <= 0 {
			return nil, t.fault(row.number, "length", "a taped length must be more than nothing")
		}
		out = append(out, tape)
	}
	return out, nil
}

// cell reads one cell of a row, evaluated without a grid.
func (t *csvTable) cell(row csvRow, field string, axis Axis, unit Unit, need bool) (Cell, error) {
	c := Cell{Text: row.cells[field], Unit: unit, Comma: t.comma}
	if c.Text == "" {
		if need {
			return c, t.fault(row.number, field, "nothing is typed here")
		}
		return c, nil
	}
	m, err := read(c.Text, axis, unit, t.comma, Grid{})
	if err != nil {
		return c, t.fault(row.number, field, "%q: %v", c.Text, err)
	}
	c.MM, c.Set = m.value, true
	return c, nil
}

// readTable reads a table with a header; columns that are neither needed nor
// allowed are refused, so that nothing is dropped in silence.
func readTable(r io.Reader, name string, comma bool, need, allowed []string) (*csvTable, error) {
	t := &csvTable{file: name, comma: comma}
	data, err := io.ReadAll(io.LimitReader(r, maxTable+1))
	if err != nil {
		return nil, t.fault(0, "", "%v", err)
	}
	if len(data) > maxTable {
		return nil, t.fault(0, "", "the table is larger than %d MB", maxTable>>20)
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	header, _, _ := bytes.Cut(data, []byte("\n"))
	if len(bytes.TrimSpace(header)) == 0 {
		return nil, t.fault(0, "", "the table is empty: its first row must name the columns")
	}
	c := csv.NewReader(bufio.NewReader(bytes.NewReader(data)))
	c.Comma = separator(header)
	c.FieldsPerRecord = -1
	c.TrimLeadingSpace = true
	c.LazyQuotes = true // 12" is twelve inches
	names, err := c.Read()
	if err != nil {
		return nil, t.parseFault(err)
	}
	if err := t.header(names, need, allowed); err != nil {
		return nil, err
	}
	if err := t.body(c); err != nil {
		return nil, err
	}
	if !t.comma {
		t.comma = c.Comma != ',' && t.usesComma()
	}
	return t, nil
}

// separator is the mark between columns that the header uses.
func separator(header []byte) rune {
	for _, sep := range []rune{'\t', ';'} {
		if bytes.ContainsRune(header, sep) {
			return sep
		}
	}
	return ','
}

func (t *csvTable) parseFault(err error) error {
	var p *csv.ParseError
	if errors.As(err, &p) {
		return t.fault(p.Line, "", "%v", p.Err)
	}
	return t.fault(0, "", "%v", err)
}

func (t *csvTable) header(names, need, allowed []string) error {
	for _, n := range names {
		n = strings.ToLower(strings.TrimSpace(n))
		switch {
		case slices.Contains(t.names, n):
			return t.fault(1, n, "this column stands there twice")
		case !slices.Contains(need, n) && !slices.Contains(allowed, n):
			return t.fault(1, n, "%q is no column of this table: %s, %s", n, strings.Join(need, ", "), strings.Join(allowed, ", "))
		}
		t.names = append(t.names, n)
	}
	for _, n := range need {
		if !slices.Contains(t.names, n) {
			return t.fault(1, n, "the column %s is missing", n)
		}
	}
	return nil
}

func (t *csvTable) body(c *csv.Reader) error {
	for {
		record, err := c.Read()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return t.parseFault(err)
		}
		row, _ := c.FieldPos(0)
		cells := map[string]string{}
		empty := true
		for i, v := range record {
			v = strings.TrimSpace(v)
			empty = empty && v == ""
			if i < len(t.names) {
				cells[t.names[i]] = v
			} else if v != "" {
				return t.fault(row, "", "it has more cells than the header has names")
			}
		}
		if empty {
			continue
		}
		if t.rows = append(t.rows, csvRow{row, cells}); len(t.rows) > maxRows {
			return t.fault(row, "", "the table has more than %d rows", maxRows)
		}
	}
}

// usesComma says whether the numbers of the table have decimal commas: some
// cell has a comma behind digits and no cell of numbers has a point.
func (t *csvTable) usesComma() bool {
	found := false
	for _, row := range t.rows {
		for _, n := range []string{"x", "y", "z", "sd", "length"} {
			v := row.cells[n]
			if strings.Contains(v, ".") {
				return false
			}
			found = found || strings.Contains(v, ",")
		}
	}
	return found
}
