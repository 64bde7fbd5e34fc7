package board

import (
	"fmt"
	"strings"
)

// Place says where in a job something stands, so that the cursor can be put there.
type Place struct {
	List  string // edge, face, centre, mark, tapes, zero (the zero map), cuts, gaps, distances or job
	Row   int    // 1-based within the list, struck rows counted; 0: none
	Field string // x, y, z, sd, length, thickness, pitch_x …
}

// String says the place in words: "edge row 12, x".
func (p Place) String() string {
	s := p.List
	if p.Row > 0 {
		s = fmt.Sprintf("%s row %d", s, p.Row)
	}
	if p.Field != "" {
		s += ", " + p.Field
	}
	return s
}

// sense is what a field may hold beyond what Parse understands.
type sense int

const (
	anyValue  sense = iota
	positive        // more than zero
	noLess          // zero or more
	lineFirst       // positive, and read before the others, which need it
)

// Typed is a cell holding a text as it is typed now, in the unit and with the
// decimal mark in force. Its value is read when the job is evaluated, which
// History.Edit does.
func (j *Job) Typed(text string) Cell { return Cell{Text: text, Unit: j.Unit, Comma: j.Comma} }

// Evaluate reads every cell again from its text, the unit and mark it was typed
// with, and the grid: Parse per cell, an empty text is no value and no fault.
// It is called after every edit and on reading a file; about 1 ms for 500
// readings.
func (j *Job) Evaluate() {
	j.eachCell(func(c *Cell, _ Place, a Axis, s sense) {
		c.evaluate(a, s, j.Grid)
	})
	for i := range j.Gaps {
		j.Gaps[i].Wall.evaluate()
		j.Gaps[i].Ledge.evaluate()
	}
}

// evaluate reads one cell.
func (c *Cell) evaluate(a Axis, s sense, g Grid) {
	c.MM, c.Set, c.Fault = 0, false, ""
	if strings.TrimSpace(c.Text) == "" {
		return
	}
	m, err := read(c.Text, a, c.Unit, c.Comma, g)
	switch {
	case err != nil:
		c.Fault = err.Error()
	case (s == positive || s == lineFirst) && !(m.value > 0):
		c.Fault = "this must be more than 0"
	case s == noLess && m.value < 0:
		c.Fault = "this cannot be less than 0"
	default:
		c.MM, c.Set = m.value, true
	}
}

// eachCell visits every cell of the job with its place: first those of the job,
// the grid's pitch before all, then the readings, the tapes, the cuts and the
// check distances in order.
func (j *Job) eachCell(visit func(c *Cell, at Place, a Axis, s sense)) {
	j.eachJobCell(visit)
	var row [len(kindNames)]int
	for i := range j.Readings {
		r := &j.Readings[i]
		k := min(max(r.Kind, Edge), Mark)
		row[k]++
		at := Place{List: kindNames[k], Row: row[k]}
		for _, f := range readingCells {
			at.Field = f.name
			visit(f.cell(r), at, f.axis, f.sense)
		}
	}
	for i := range j.Tapes {
		visit(&j.Tapes[i].Length, Place{List: "tapes", Row: i + 1, Field: "length"}, AxisLength, positive)
	}
	for i := range j.Cuts {
		visit(&j.Cuts[i].Wall, Place{List: "cuts", Row: i + 1, Field: "wall"}, AxisLength, noLess)
	}
	for i := range j.Distances {
		visit(&j.Distances[i].Length, Place{List: "distances", Row: i + 1, Field: "length"}, AxisLength, positive)
	}
}

// eachJobCell visits the cells that stand in no list.
func (j *Job) eachJobCell(visit func(c *Cell, at Place, a Axis, s sense)) {
	job := func(c *Cell, field string, a Axis, s sense) { visit(c, Place{List: "job", Field: field}, a, s) }
	job(&j.Grid.PitchX, "pitch_x", AxisLength, lineFirst)
	job(&j.Grid.PitchY, "pitch_y", AxisLength, lineFirst)
	job(&j.Pane.Thickness, "thickness", AxisLength, positive)
	job(&j.Pencil, "pencil", AxisLength, noLess)
	j.Checks.each(visit)
	if j.Plane != nil {
		job(&j.Plane.Offset, "offset", AxisLength, anyValue)
		job(&j.Plane.Skew, "skew", AxisAngle, anyValue)
		job(&j.Plane.Roll, "roll", AxisAngle, anyValue)
	}
}

// readingCells are the fields of a reading that hold a number.
var readingCells = []struct {
	name  string
	axis  Axis
	sense sense
	cell  func(*Reading) *Cell
}{
	{"x", AxisX, anyValue, func(r *Reading) *Cell { return &r.X }},
	{"y", AxisY, anyValue, func(r *Reading) *Cell { return &r.Y }},
	{"z", AxisZ, anyValue, func(r *Reading) *Cell { return &r.Z }},
	{"sd", AxisLength, positive, func(r *Reading) *Cell { return &r.SD }},
}
