package board

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// PlaceError says what is wrong with a table that was read, and where.
type PlaceError struct {
	File   string
	List   string // edge, face, centre, mark or tapes; empty where the row does not say
	Row    int    // line of the file, the first is 1; 0: the whole file
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

// table is a table of words whose header names its columns.
type table struct {
	file  string
	names []string // of the columns, lower case; empty for one without a name
	rows  []tableRow
	comma bool // numbers have a decimal comma

	grid  Grid            // lines that x and y may be read from; zero: none
	units map[string]Unit // of the columns, by name; of one that is missing it is the job's
}

// tableRow is a row below the header.
type tableRow struct {
	line  int      // of the file
	cells []string // as many as names, blanks trimmed
}

// columns are the columns that a table may have.
type columns struct {
	needed, allowed []string
	numbers         []string // those of them that hold numbers
	most            int      // rows
}

// fault is an error with its place.
func (t *table) fault(line int, field, format string, args ...any) error {
	return &PlaceError{File: t.file, Row: line, Field: field, Reason: fmt.Sprintf(format, args...)}
}

// cell is a row's cell in the named column; empty where there is no such column.
func (t *table) cell(r tableRow, name string) string {
	if i := slices.Index(t.names, name); i >= 0 {
		return r.cells[i]
	}
	return ""
}

// readTable reads a table: a header that names the columns in any order, parted
// by tab, semicolon or comma, then a row a line; empty rows are passed over. A
// byte order mark is understood, UTF-16 with it. Columns that are not known are
// refused, so that nothing is dropped in silence. comma is the decimal mark where
// the numbers do not tell. The error is a *PlaceError.
func readTable(r io.Reader, file string, comma bool, c columns) (*table, error) {
	t := &table{file: file, comma: comma}
	data, err := io.ReadAll(io.LimitReader(r, maxTable+1))
	if err != nil {
		return nil, t.fault(0, "", "%v", err)
	}
	if len(data) > maxTable {
		return nil, t.fault(0, "", "the table is larger than %d MB", maxTable>>20)
	}
	text, err := plainText(data)
	if err != nil {
		return nil, t.fault(0, "", "%v", err)
	}
	s := &splitter{text: text, line: 1}
	if strings.HasPrefix(strings.ToLower(text), "sep=") {
		s.skipLine() // a spreadsheet's hint; the header tells the same
	}
	s.skipBlank()
	s.separator = separatorOf(s.text)
	line, names, err := s.next()
	if err != nil {
		return nil, t.fault(line, "", "%v", err)
	}
	if names == nil {
		return nil, t.fault(0, "", "the table is empty: its first row must name the columns %s", strings.Join(c.needed, ", "))
	}
	if err := t.header(line, names, c); err != nil {
		return nil, err
	}
	if err := t.body(s, c); err != nil {
		return nil, err
	}
	return t, t.findMark(c.numbers)
}

// plainText takes off the byte order mark and makes UTF-8 of UTF-16.
func plainText(data []byte) (string, error) {
	var order binary.ByteOrder
	switch {
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}):
		order = binary.LittleEndian
	case bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		order = binary.BigEndian
	}
	if order != nil {
		var units []uint16
		for i := 2; i+1 < len(data); i += 2 {
			units = append(units, order.Uint16(data[i:]))
		}
		return string(utf16.Decode(units)), nil
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if !utf8.Valid(data) {
		line := 1 + bytes.Count(data[:firstInvalid(data)], []byte("\n"))
		return "", fmt.Errorf("line %d holds bytes that are no characters: save the table as UTF-8", line)
	}
	return string(data), nil
}

// firstInvalid is the offset of the first byte that is no character.
func firstInvalid(data []byte) int {
	for i := 0; i < len(data); {
		r, size := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && size <= 1 {
			return i
		}
		i += size
	}
	return len(data)
}

// shown is a cell as it is shown in a message: quoted, cut where it is long.
func shown(text string) string {
	const most = 40
	if r := []rune(text); len(r) > most {
		text = string(r[:most]) + "…"
	}
	return strconv.Quote(text)
}

// separatorOf is the mark between columns that the first line uses.
func separatorOf(text string) byte {
	header, _, _ := strings.Cut(text, "\n")
	for _, c := range []byte{'\t', ';'} {
		if strings.IndexByte(header, c) >= 0 {
			return c
		}
	}
	return ','
}

// header checks the names of the columns.
func (t *table) header(line int, names []string, c columns) error {
	for _, n := range names {
		n = strings.ToLower(n)
		switch {
		case n == "":
		case textFault(n, maxCell) != nil:
			return t.fault(line, "", "%s is no name of a column", shown(n))
		case slices.Contains(t.names, n):
			return t.fault(line, n, "this column stands there twice")
		case !slices.Contains(c.needed, n) && !slices.Contains(c.allowed, n):
			return t.fault(line, n, "this column is not known: the columns are %s, and where wanted %s", strings.Join(c.needed, ", "), strings.Join(c.allowed, ", "))
		}
		t.names = append(t.names, n)
	}
	for _, n := range c.needed {
		if !slices.Contains(t.names, n) {
			return t.fault(line, n, "the header does not name this column")
		}
	}
	return nil
}

// body reads the rows below the header. A row may leave cells off at its end.
func (t *table) body(s *splitter, c columns) error {
	for {
		line, cells, err := s.next()
		if err != nil {
			return t.fault(line, "", "%v", err)
		}
		if cells == nil {
			return nil
		}
		if strings.Join(cells, "") == "" {
			continue
		}
		for i, v := range cells {
			if v != "" && (i >= len(t.names) || t.names[i] == "") {
				return t.fault(line, "", "this row has %d cells and the header names %d columns: a cell that holds a separator must stand in quotes", len(cells), len(t.names))
			}
		}
		if len(t.rows) == c.most {
			return t.fault(line, "", "the table has more than %d rows", c.most)
		}
		full := make([]string, len(t.names))
		copy(full, cells)
		t.rows = append(t.rows, tableRow{line, full})
	}
}

// findMark finds the decimal mark of the table's numbers: the one that a number
// shows beyond doubt ("12,5" or "1.234,5", not "1,234"). Both is an error, for
// one of them must be a slip. Where no number shows it, the mark given stays.
func (t *table) findMark(numbers []string) error {
	var mark byte
	first := 0
	for _, r := range t.rows {
		for i, v := range r.cells {
			if !slices.Contains(numbers, t.names[i]) {
				continue
			}
			for _, m := range []byte{'.', ','} {
				switch {
				case !showsMark(v, m):
				case mark == 0:
					mark, first = m, r.line
				case m != mark:
					return t.fault(r.line, t.names[i], "%s has the decimal mark %q, row %d has %q: one table, one mark", shown(v), string(m), first, string(mark))
				}
			}
		}
	}
	if mark != 0 {
		t.comma = mark == ','
	}
	return nil
}

// showsMark says whether a number in a text has the decimal mark beyond doubt.
func showsMark(text string, mark byte) bool {
	for _, run := range strings.FieldsFunc(text, func(c rune) bool { return !strings.ContainsRune("0123456789.,", c) }) {
		if m, sure := decimalMark(run); sure && m == mark {
			return true
		}
	}
	return false
}

// splitter takes rows off a text.
type splitter struct {
	text      string // what is left
	line      int    // that it begins on, from 1
	separator byte
}

// skipLine drops the first line.
func (s *splitter) skipLine() {
	_, s.text, _ = strings.Cut(s.text, "\n")
	s.line++
}

// skipBlank drops lines without anything on them.
func (s *splitter) skipBlank() {
	for s.text != "" {
		first, _, _ := strings.Cut(s.text, "\n")
		if strings.TrimSpace(first) != "" {
			return
		}
		s.skipLine()
	}
}

// next takes off a row: its cells, blanks trimmed, and the line it begins on; nil
// at the end. A cell that begins with a quote ends at the next single one, two
// stand for one; any other cell is taken as it is, inch marks and all.
func (s *splitter) next() (line int, cells []string, err error) {
	line = s.line
	if s.text == "" {
		return line, nil, nil
	}
	for {
		cell, err := s.cell()
		if err != nil {
			return line, nil, err
		}
		cells = append(cells, strings.TrimSpace(cell))
		switch {
		case s.text == "":
			return line, cells, nil
		case s.text[0] == '\n':
			s.text = s.text[1:]
			s.line++
			return line, cells, nil
		}
		s.text = s.text[1:] // the separator
	}
}

// cell takes off a cell, up to the separator or the end of the line.
func (s *splitter) cell() (string, error) {
	body := strings.TrimLeft(s.text, " ")
	if !strings.HasPrefix(body, `"`) {
		end := strings.IndexAny(s.text, string(s.separator)+"\n")
		if end < 0 {
			end = len(s.text)
		}
		cell := s.text[:end]
		s.text = s.text[end:]
		return cell, nil
	}
	s.text = body[1:]
	var cell strings.Builder
	for {
		end := strings.IndexByte(s.text, '"')
		if end < 0 {
			return "", fmt.Errorf("a quote is opened here and never closed")
		}
		cell.WriteString(s.text[:end])
		s.line += strings.Count(s.text[:end], "\n")
		s.text = s.text[end+1:]
		if !strings.HasPrefix(s.text, `"`) {
			break
		}
		cell.WriteByte('"')
		s.text = s.text[1:]
	}
	s.text = strings.TrimLeft(s.text, " \r")
	if s.text != "" && s.text[0] != s.separator && s.text[0] != '\n' {
		return "", fmt.Errorf("a cell in quotes goes on behind its closing quote")
	}
	return cell.String(), nil
}
