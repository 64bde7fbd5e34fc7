package board

import (
	"errors"
	"fmt"
	"math"

	"panewright/geom"
	"panewright/geom/fixture"
)

// Validate says whether the job can be kept at all: enumerations and numbers in
// range, texts that a file can hold, lists of a believable length. It is what
// History.Edit and Encode insist on; what is missing or doubtful in the readings
// is told by Check and never refused.
func (j *Job) Validate() error {
	if j == nil {
		return errors.New("board: there is no job")
	}
	if err := j.validateHead(); err != nil {
		return err
	}
	if len(j.Readings) > maxReadings || len(j.Tapes) > maxTapes {
		return fmt.Errorf("board: %d readings and %d taped widths are more than a job holds (%d and %d)",
			len(j.Readings), len(j.Tapes), maxReadings, maxTapes)
	}
	for i := range j.Readings {
		r := &j.Readings[i]
		if r.Kind < Edge || r.Kind > Mark {
			return fmt.Errorf("board: reading %d: unknown kind %d", i+1, r.Kind)
		}
		if err := firstError(checkText("id", r.ID, maxCell), checkText("set", r.Set, maxCell),
			checkText("note", r.Note, maxNote), checkText("reason", r.Reason, maxNote)); err != nil {
			return fmt.Errorf("%w (%s)", err, j.Place(i))
		}
	}
	for i := range j.Tapes {
		t := &j.Tapes[i]
		if t.How < Twin || t.How > Greatest {
			return fmt.Errorf("board: taped width %d: unknown way of taping %d", i+1, t.How)
		}
		if err := firstError(checkText("from", t.From, maxCell), checkText("to", t.To, maxCell),
			checkText("reason", t.Reason, maxNote)); err != nil {
			return fmt.Errorf("%w (tapes row %d)", err, i+1)
		}
	}
	return firstError(j.validateCuts(), j.validateCells())
}

// validateHead checks everything but the lists and the cells.
func (j *Job) validateHead() error {
	g, p := j.Grid, j.Pocket
	switch {
	case j.Unit != MM && j.Unit != Inch:
		return fmt.Errorf("board: unknown unit %d", j.Unit)
	case j.Mirror < MirrorAuto || j.Mirror > MirrorNone:
		return fmt.Errorf("board: unknown way of mirroring %d", j.Mirror)
	case j.Pane.Lay != Dome && j.Pane.Lay != Bowl:
		return fmt.Errorf("board: unknown lay %d", j.Pane.Lay)
	case j.Pane.Profile != geom.SquareEdge && j.Pane.Profile != geom.RoundEdge:
		return fmt.Errorf("board: unknown shape of the edge %d", j.Pane.Profile)
	case p.Top != fixture.Follow && p.Top != fixture.Flat:
		return fmt.Errorf("board: unknown shape of the rim's top %d", p.Top)
	case g.ColFirst > g.ColLast || g.ColFirst < -maxLines || g.ColLast > maxLines:
		return fmt.Errorf("board: the lines across go from %d to %d: the first must not be past the last, and neither past %d", g.ColFirst, g.ColLast, maxLines)
	case g.Rows < 1 || g.Rows > maxLines || g.RowA < -maxLines || g.RowA > maxLines:
		return fmt.Errorf("board: %d lettered lines from %d: 1 to %d can be drawn", g.Rows, g.RowA, maxLines)
	case !between(j.Sigma, 0, longest) || !between(j.SigmaZ, 0, longest):
		return fmt.Errorf("board: the uncertainty of a reading, %g and %g mm, must be 0 or more", j.Sigma, j.SigmaZ)
	case j.Cut < 1 || j.Cut > maxCut:
		return fmt.Errorf("board: cut %d: cuts are counted from 1", j.Cut)
	case len(j.Checks.Zero.Points) > maxZero:
		return fmt.Errorf("board: %d points of the zero map are more than a job holds (%d)", len(j.Checks.Zero.Points), maxZero)
	case p.Notches < 0 || p.Notches > maxLines:
		return fmt.Errorf("board: %d notches", p.Notches)
	}
	for _, v := range []float64{p.Wall, p.Seat, p.Rim, p.Base, p.Felt, p.Cutter} {
		if !between(v, -longest, longest) {
			return fmt.Errorf("board: a size of the pocket, %g mm, is no length", v)
		}
	}
	return firstError(j.Pack.validate(), j.Photo.validate(), checkText("name", j.Name, maxNote), checkText("date", j.Date, maxCell), checkText("notes", j.Notes, maxText))
}

// validateCells checks every cell: a text that can be kept, a unit, a finite value.
func (j *Job) validateCells() (err error) {
	j.eachCell(func(c *Cell, at Place, _ Axis, _ sense) {
		if err != nil {
			return
		}
		if e := checkText(at.Field, c.Text, maxCell); e != nil {
			err = fmt.Errorf("%w (%s)", e, at)
		} else if c.Unit != MM && c.Unit != Inch {
			err = fmt.Errorf("board: %s: unknown unit %d", at, c.Unit)
		} else if !between(c.MM, -longest, longest) {
			err = fmt.Errorf("board: %s: %g is no length", at, c.MM)
		}
	})
	return err
}

// between says whether v lies in [lo, hi]; NaN does not.
func between(v, lo, hi float64) bool { return !math.IsNaN(v) && v >= lo && v <= hi }

// firstError is the first error that is not nil.
func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
