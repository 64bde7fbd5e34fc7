package board

import (
	"io"
	"slices"
	"strings"
)

// readingColumns are those of a table of readings.
var readingColumns = columns{
	needed:  []string{"kind", "id", "x", "y", "z"},
	allowed: []string{"sd", "note", "set"},
	numbers: []string{"x", "y", "z", "sd"},
	most:    maxReadings,
}

// tapeColumns are those of a table of taped widths.
var tapeColumns = columns{
	needed:  []string{"how", "length"},
	allowed: []string{"station", "from", "to"},
	numbers: []string{"length"},
	most:    maxTapes,
}

// gapColumns are those of a table of gaps.
var gapColumns = columns{
	needed:  []string{"station"},
	allowed: []string{"wall", "ledge", "note"},
	numbers: []string{"wall", "ledge"},
	most:    maxGaps,
}

// ReadReadings reads a table of readings, with a header that names the columns
// kind, id, x, y, z and, where wanted, sd, note, set in any order, parted by
// comma, semicolon or tab. kind is edge, face, centre or mark; every reading has
// an id, x and y, one on the face a z. Numbers are in the job's unit and may be
// typed as in the window, but for grid lines, which need the job's grid. One
// decimal mark holds for the table; where no number shows which, the job's does.
// name stands in messages. The error is a *PlaceError and nothing is returned
// with it. The readings are evaluated and belong to the caller; the job is not
// changed.
func ReadReadings(r io.Reader, name string, j *Job) ([]Reading, error) {
	t, err := readTable(r, name, j.Comma, readingColumns)
	if err != nil {
		return nil, err
	}
	out := make([]Reading, 0, len(t.rows))
	for _, row := range t.rows {
		rd, err := t.reading(row, j)
		if err != nil {
			return nil, err
		}
		out = append(out, rd)
	}
	return out, nil
}

// reading reads one row of a table whose rows say their kind and name.
func (t *table) reading(row tableRow, j *Job) (Reading, error) {
	if t.cell(row, "kind") == "" {
		return Reading{}, t.noKind(row)
	}
	rd, err := t.readingOf(row, j, Edge)
	if err == nil && rd.ID == "" {
		err = t.rowFault(row, rd.Kind.String(), "id", "this reading has no name")
	}
	return rd, err
}

func (t *table) noKind(row tableRow) error {
	return t.fault(row.line, "kind", "%s is no kind of reading: edge, face, centre or mark", shown(t.cell(row, "kind")))
}

// readingOf reads one row; kind is that of a row that does not say its own.
func (t *table) readingOf(row tableRow, j *Job, kind Kind) (rd Reading, err error) {
	if text := t.cell(row, "kind"); text != "" {
		ok := false
		if kind, ok = kindOf(text); !ok {
			return rd, t.noKind(row)
		}
	}
	word := kind.String()
	rd = Reading{Kind: kind, ID: t.cell(row, "id"), Note: t.cell(row, "note"), Set: t.cell(row, "set")}
	for _, w := range []struct {
		field, text string
		limit       int
	}{{"id", rd.ID, maxCell}, {"set", rd.Set, maxCell}, {"note", rd.Note, maxNote}} {
		if err := textFault(w.text, w.limit); err != nil {
			return rd, t.rowFault(row, word, w.field, "%v", err)
		}
	}
	for _, f := range readingCells {
		c := f.cell(&rd)
		needed := f.name == "x" || f.name == "y" || f.name == "z" && kind == Face
		unit, known := t.units[f.name]
		if !known {
			unit = j.Unit
		}
		if *c, err = t.number(row, word, f.name, f.axis, f.sense, needed, unit); err != nil {
			return rd, err
		}
	}
	return rd, nil
}

// ReadTapes reads a table of taped widths, with a header that names the columns
// how, length and either station, or from and to, parted as in ReadReadings.
// Lengths are in the job's unit. The stations must be among the job's edge
// readings. name stands in messages. The error is a *PlaceError and nothing is
// returned with it.
func ReadTapes(r io.Reader, name string, j *Job) ([]Tape, error) {
	t, err := readTable(r, name, j.Comma, tapeColumns)
	if err != nil {
		return nil, err
	}
	known := map[string]bool{}
	for i := range j.Readings {
		if j.Readings[i].Kind == Edge {
			known[j.Readings[i].ID] = true
		}
	}
	out := make([]Tape, 0, len(t.rows))
	for _, row := range t.rows {
		tape, err := t.tape(row, known, j.Unit)
		if err != nil {
			return nil, err
		}
		out = append(out, tape)
	}
	return out, nil
}

// tape reads one row.
func (t *table) tape(row tableRow, known map[string]bool, unit Unit) (tape Tape, err error) {
	const list = "tapes"
	how, ok := ParseHow(strings.ToLower(t.cell(row, "how")))
	if !ok {
		return tape, t.rowFault(row, list, "how", "%s is no way of taping a width: twin, straight or greatest", shown(t.cell(row, "how")))
	}
	station, from, to := t.cell(row, "station"), t.cell(row, "from"), t.cell(row, "to")
	field := "station"
	switch {
	case station != "" && from != "":
		return tape, t.rowFault(row, list, "from", "this width has both a station and a from: leave one empty")
	case station == "":
		station = from
		if from != "" || how == Straight {
			field = "from"
		}
	}
	tape = Tape{How: how, From: station, To: to}
	switch {
	case station == "":
		return tape, t.rowFault(row, list, field, "the station of this width is missing")
	case !known[station]:
		return tape, t.rowFault(row, list, field, "there is no station %s on the edge", shown(station))
	case how != Straight && to != "":
		return tape, t.rowFault(row, list, "to", "only a straight width has a second station")
	case how == Straight && !known[to]:
		return tape, t.rowFault(row, list, "to", "there is no station %s on the edge", shown(to))
	case how == Straight && to == station:
		return tape, t.rowFault(row, list, "to", "a straight width needs two different stations")
	}
	tape.Length, err = t.number(row, list, "length", AxisLength, positive, true, unit)
	return tape, err
}

// ReadGaps reads a table of gaps noted in the job's last cut, with a header that
// names the columns station, wall, ledge and, where wanted, note, parted as in
// ReadReadings. A station is one of the cut's, or the twin of one on the made
// half ("12'"). Gaps are in mm, whatever the job's unit: empty, a number, tight,
// or 0.6..0.7 for a strip that goes and one that does not. name stands in
// messages. The error is a *PlaceError and nothing is returned with it.
func ReadGaps(r io.Reader, name string, j *Job) ([]GapNote, error) {
	cut := j.LastCut()
	if cut == nil {
		return nil, &PlaceError{File: name, Reason: "the job has no cut that these gaps could have been noted in"}
	}
	t, err := readTable(r, name, j.Comma, gapColumns)
	if err != nil {
		return nil, err
	}
	if !slices.Contains(t.names, "wall") && !slices.Contains(t.names, "ledge") {
		return nil, t.fault(1, "wall", "the header names neither this column nor ledge")
	}
	seen := map[string]int{}
	out := make([]GapNote, 0, len(t.rows))
	for _, row := range t.rows {
		g, err := t.gap(row, j, cut)
		if err != nil {
			return nil, err
		}
		if other, twice := seen[g.Station]; twice {
			return nil, t.rowFault(row, "gaps", "station", "the station %s stands in row %d already", shown(g.Station), other)
		}
		seen[g.Station] = row.line
		out = append(out, g)
	}
	return out, nil
}

// gap reads one row.
func (t *table) gap(row tableRow, j *Job, cut *Cut) (g GapNote, err error) {
	const list = "gaps"
	g = GapNote{Cut: cut.Number, Station: t.cell(row, "station"), Note: t.cell(row, "note")}
	if g.Station == "" {
		return g, t.rowFault(row, list, "station", "this gap has no station")
	}
	if !j.hasStation(g.Station) {
		if _, ok := cut.Shape.place(g.Station); !ok {
			return g, t.rowFault(row, list, "station", "there is no station %s on the edge, and none that it could be the twin of", shown(g.Station))
		}
	}
	if err := textFault(g.Note, maxNote); err != nil {
		return g, t.rowFault(row, list, "note", "%v", err)
	}
	for _, f := range []struct {
		field string
		cell  *GapCell
	}{{"wall", &g.Wall}, {"ledge", &g.Ledge}} {
		*f.cell = GapCell{Text: t.cell(row, f.field), Comma: t.comma}
		if err := textFault(f.cell.Text, maxCell); err != nil {
			return g, t.rowFault(row, list, f.field, "%v", err)
		}
		if f.cell.evaluate(); f.cell.Fault != "" {
			return g, t.rowFault(row, list, f.field, "%s: %s", shown(f.cell.Text), f.cell.Fault)
		}
	}
	return g, nil
}

// hasStation says whether a name is that of an edge reading or of its twin.
func (j *Job) hasStation(name string) bool {
	id := strings.TrimSuffix(name, "'")
	return slices.ContainsFunc(j.Readings, func(r Reading) bool { return r.Kind == Edge && (r.ID == name || r.ID == id) })
}

// number reads a cell that holds a number.
func (t *table) number(row tableRow, list, field string, a Axis, s sense, needed bool, unit Unit) (Cell, error) {
	c := Cell{Text: t.cell(row, field), Unit: unit, Comma: t.comma}
	if c.Text == "" {
		if needed {
			return c, t.rowFault(row, list, field, "nothing is typed here")
		}
		return Cell{}, nil
	}
	if err := textFault(c.Text, maxCell); err != nil {
		return c, t.rowFault(row, list, field, "%v", err)
	}
	if noGrid := t.grid == (Grid{}); noGrid && (a == AxisX || a == AxisY) {
		if _, line, _ := readLine(tidy(c.Text), a, unit, t.comma, Grid{}); line {
			return c, t.rowFault(row, list, field, "%s is no plain number, and grid lines need the job's grid: a table holds distances from x = 0 and y = 0", shown(c.Text))
		}
	}
	if c.evaluate(a, s, t.grid); c.Fault != "" {
		return c, t.rowFault(row, list, field, "%s: %s", shown(c.Text), c.Fault)
	}
	return c, nil
}

// rowFault is fault with the list that the row belongs to.
func (t *table) rowFault(row tableRow, list, field, format string, args ...any) error {
	err := t.fault(row.line, field, format, args...).(*PlaceError)
	err.List = list
	return err
}
