package board

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// Finding is something of a job that is missing, not understood or doubtful, with
// the place to put the cursor and one sentence that says what to do.
type Finding struct {
	List   string `json:"list"` // edge, face, centre, mark, tapes, zero, cuts, gaps, distances or job
	Row    int    `json:"row"`  // 1-based within the list, struck rows counted; 0: none
	Field  string `json:"field"`
	Code   string `json:"code"`             // kebab-case, stays the same from version to version
	Text   string `json:"text"`             // for the person, in the job's unit
	Remark bool   `json:"remark,omitempty"` // worth knowing; the job can go on as it is
}

// Place is where the finding belongs.
func (f Finding) Place() Place { return Place{List: f.List, Row: f.Row, Field: f.Field} }

// String is the finding on one line: "edge row 12, x: …".
func (f Finding) String() string { return f.Place().String() + ": " + f.Text }

// What Check expects, common practice without a printed source unless said.
const (
	leastStations = 6    // a closed outline with fewer is a guess
	usualFace     = 20   // heights on the face
	closingLimit  = 0.5  // mm, closing error that means something moved
	repeatLimit   = 1.5  // mm, two readings of one place further apart are not a repeat
	hullMargin    = 5.0  // mm, how far the edge may bow past a chord between stations
	lineRatio     = 0.01 // spread across over spread along, below which stations lie in a line
	halfShare     = 0.25 // of the edge readings on the weaker side, below which a half was measured
	checkStations = 3    // on the half that is made
)

// Check looks through a job for what is missing or doubtful before it is solved
// and says where and what to do about it: findings of the job first, then by list
// and row. It judges the typing and the completeness; whether a reading fits the
// others is for Solve to say. About 1 ms for 500 readings.
func Check(j *Job) []Finding {
	c := &checker{job: j, place: make([]Place, len(j.Readings))}
	var row [len(kindNames)]int
	for i := range j.Readings {
		k := j.Readings[i].Kind
		row[k]++
		c.place[i] = Place{List: k.String(), Row: row[k]}
	}
	c.jobCells()
	c.boardChecks()
	c.rows()
	c.names()
	c.numbering()
	c.places()
	c.amounts()
	c.shape()
	c.tapes()
	c.cuts()
	order := []string{"job", "zero", "edge", "face", "centre", "mark", "tapes", "cuts", "gaps", "distances"}
	slices.SortStableFunc(c.found, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(slices.Index(order, a.List), slices.Index(order, b.List)), cmp.Compare(a.Row, b.Row))
	})
	return c.found
}

// checker gathers findings.
type checker struct {
	job   *Job
	place []Place // of every reading
	set   string  // the laying whose shape is looked at
	found []Finding
}

// add keeps a finding.
func (c *checker) add(at Place, field, code, format string, args ...any) {
	c.found = append(c.found, Finding{List: at.List, Row: at.Row, Field: field, Code: code, Text: fmt.Sprintf(format, args...)})
}

// remark keeps a finding that stops nothing.
func (c *checker) remark(at Place, field, code, format string, args ...any) {
	c.add(at, field, code, format, args...)
	c.found[len(c.found)-1].Remark = true
}

// length is a length in words: "0.4 mm", "3/8 in".
func (c *checker) length(mm float64) string {
	return c.job.Format(mm) + " " + c.job.Unit.String()
}

// each calls f for the unstruck readings of a kind, in order.
func (c *checker) each(k Kind, f func(i int, r *Reading)) {
	for i := range c.job.Readings {
		if r := &c.job.Readings[i]; r.Kind == k && !r.Struck {
			f(i, r)
		}
	}
}

// located says whether a reading has a plan position.
func (r *Reading) located() bool { return r.X.Set && r.Y.Set }

// jobPlace is the place of what belongs to no list.
var jobPlace = Place{List: "job"}

// jobCells tells the settings that are not understood or empty.
func (c *checker) jobCells() {
	c.job.eachJobCell(func(cell *Cell, at Place, _ Axis, _ sense) {
		c.unread(at, cell)
	})
	if p := c.job.Pane.Thickness; !p.Set && p.Fault == "" {
		c.add(jobPlace, "thickness", "no-thickness", "The thickness of the glass is not given, so no pocket and no solid can be made: measure the edge with a caliper at four places and type it.")
	}
	if p := c.job.Grid.PitchX; !p.Set && p.Fault == "" {
		c.remark(jobPlace, "pitch_x", "no-pitch", "The pitch of the grid is not given: type it to use grid lines and to see the grid.")
	}
	if d := c.job.Date; d != "" && !IsDate(d) {
		c.add(jobPlace, "date", "bad-date", "%q is no date, and the files will carry none: type it as 2031-05-20.", d)
	}
	if c.job.Sigma == 0 {
		c.add(jobPlace, "sigma", "no-sigma", "The uncertainty of a reading is 0, which no rule reaches: type what a reading repeats to, usually 0.5 mm.")
	}
}

// IsDate says whether a text is a day as jobs and files hold it: 2031-05-20.
func IsDate(s string) bool {
	_, err := time.Parse(time.DateOnly, s)
	return err == nil
}

// unread tells a cell that was not understood.
func (c *checker) unread(at Place, cell *Cell) {
	if cell.Fault != "" {
		c.add(at, at.Field, "unread-cell", "%q is not understood and is left out: %s.", cell.Text, cell.Fault)
	}
}

// rows tells cells that are not understood and values that are missing.
func (c *checker) rows() {
	for i := range c.job.Readings {
		r := &c.job.Readings[i]
		if r.Struck {
			continue
		}
		for _, f := range readingCells {
			at := c.place[i]
			at.Field = f.name
			c.unread(at, f.cell(r))
		}
		c.missing(i, r)
	}
}

// missing tells what a reading lacks.
func (c *checker) missing(i int, r *Reading) {
	empty := func(cell Cell) bool { return !cell.Set && cell.Fault == "" }
	if r.ID == "" {
		c.add(c.place[i], "id", "no-name", "This reading has no name: give it the number on the tape.")
	}
	if empty(r.X) && empty(r.Y) && empty(r.Z) {
		c.add(c.place[i], "x", "empty-row", "%s holds no reading yet: type it, or delete the row.", c.name(i))
		return
	}
	if empty(r.X) {
		c.add(c.place[i], "x", "missing-x", "%s has no x: read it again, or strike the row.", c.name(i))
	}
	if empty(r.Y) {
		c.add(c.place[i], "y", "missing-y", "%s has no y: read it again, or strike the row.", c.name(i))
	}
	if r.Kind == Face && empty(r.Z) {
		c.add(c.place[i], "z", "missing-height", "%s has no height, and a point on the face is of no use without: read it, or strike the row.", c.name(i))
	}
}

// name is a reading in words: "Station 12", "Face point F7".
func (c *checker) name(i int) string {
	r := &c.job.Readings[i]
	word := [...]string{Edge: "Station", Face: "Face point", Centre: "Centre mark", Mark: "Mark"}[r.Kind]
	if r.ID == "" {
		return fmt.Sprintf("%s in row %d", word, c.place[i].Row)
	}
	return word + " " + r.ID
}
