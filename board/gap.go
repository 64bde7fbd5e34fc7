package board

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"panewright/geom/fit"
)

// GapNote is what was noted at one station when the glass lay in a cut.
type GapNote struct {
	Cut         int    // number of the cut
	Station     string // "12", or "12'" for its twin on the made half
	Wall, Ledge GapCell
	Note        string
}

// GapCell is a typed gap: a number, "tight" (or "t") where the glass touches,
// "0.6..0.7" for a strip that goes and one that does not, "0.6.." or "..0.7"
// where only one was tried. Text, Unit and Comma are what was noted; the rest
// follows from them (Job.Evaluate).
type GapCell struct {
	Text   string
	Unit   Unit
	Comma  bool
	Set    bool
	Tight  bool
	Lo, Hi float64 // mm; both the same where a gap was read, infinite where not bounded; 0 where tight or not Set
	Fault  string  // why the text was not understood, in words
}

// Standard deviation of a gap read as a number, mm: what strips are told apart
// by and hands agree to (common practice, no source).
const gapSD = 0.15

// tightWords are those for a glass that touches.
var tightWords = []string{"tight", "t"}

// evaluate reads the cell again from its text.
func (c *GapCell) evaluate() {
	*c = GapCell{Text: c.Text, Unit: c.Unit, Comma: c.Comma}
	text := strings.ToLower(strings.TrimSpace(c.Text))
	switch {
	case text == "":
		return
	case slices.Contains(tightWords, text):
		c.Set, c.Tight = true, true
		return
	}
	goes, stops, pair := strings.Cut(text, "..")
	if !pair {
		v, err := c.read(text)
		if err != nil {
			c.Fault = err.Error()
			return
		}
		c.Set, c.Tight, c.Lo, c.Hi = true, v == 0, v, v
		return
	}
	lo, hi := math.Inf(-1), math.Inf(1)
	for _, end := range []struct {
		text string
		v    *float64
	}{{goes, &lo}, {stops, &hi}} {
		if strings.TrimSpace(end.text) == "" {
			continue
		}
		v, err := c.read(end.text)
		if err != nil {
			c.Fault = err.Error()
			return
		}
		*end.v = v
	}
	switch {
	case math.IsInf(lo, 0) && math.IsInf(hi, 0):
		c.Fault = "no strip is named: type the one that goes, two dots, and the one that does not, as in 0.6..0.7"
	case lo > hi:
		c.Fault = "the strip that goes is thicker than the one that does not: the first must be the thinner one"
	default:
		c.Set, c.Lo, c.Hi = true, lo, hi
	}
}

// mostGap is the widest gap that is believed, mm.
const mostGap = 50.0

// read reads a number of a gap.
func (c *GapCell) read(text string) (float64, error) {
	m, err := read(text, AxisLength, c.Unit, c.Comma, Grid{})
	switch {
	case err != nil:
		return 0, fmt.Errorf("%w; a gap is a number, tight, or 0.6..0.7 for a strip that goes and one that does not", err)
	case math.Abs(m.value) > mostGap:
		return 0, fmt.Errorf("a gap of more than %g mm is none", mostGap)
	}
	return m.value, nil
}

// gap is what the cell says, for the fit.
func (c *GapCell) gap() fit.Gap {
	switch {
	case !c.Set:
		return fit.Gap{}
	case c.Tight:
		return fit.TightGap()
	case c.Lo == c.Hi:
		return fit.GapOf(c.Lo, gapSD)
	}
	return fit.GapBetween(c.Lo, c.Hi)
}

// within says whether every gap that the cell allows lies from lo to hi, mm; of
// a pair of strips the middle counts, of a touching glass 0.
func (c *GapCell) within(lo, hi float64) bool {
	switch {
	case c.Tight:
		return lo <= 0
	case math.IsInf(c.Lo, 0):
		return c.Hi >= lo && c.Hi <= hi
	case math.IsInf(c.Hi, 0):
		return c.Lo >= lo && c.Lo <= hi
	}
	mid := (c.Lo + c.Hi) / 2
	return mid >= lo && mid <= hi
}

// TypedGap is a gap as it is typed now, in the unit and with the decimal mark in
// force. It is read when the job is evaluated.
func (j *Job) TypedGap(text string) GapCell { return GapCell{Text: text, Unit: j.Unit, Comma: j.Comma} }

// ReadGap is a gap as it is typed now, read at once.
func (j *Job) ReadGap(text string) GapCell {
	c := j.TypedGap(text)
	c.evaluate()
	return c
}

// DistanceNote is a check distance of the assembled tiles of a cut, as taped.
type DistanceNote struct {
	Cut    int
	Name   string // "M1-M6"
	Length Cell
}

// errNoCut is a cut that the job does not hold.
var errNoCut = errors.New("board: there is no such cut")

// GapsOf are the indices into Gaps of those of a cut, in order.
func (j *Job) GapsOf(cut int) (out []int) {
	for i := range j.Gaps {
		if j.Gaps[i].Cut == cut {
			out = append(out, i)
		}
	}
	return out
}

// SetGap types a text into a field of the gap noted at a station of a cut: wall,
// ledge or note. A station without one gets one; one that is left without any
// text is taken out again.
func (j *Job) SetGap(cut int, station, field, text string) error {
	if j.CutNumber(cut) == nil {
		return errNoCut
	}
	limit := maxCell
	if field == "note" {
		limit = maxNote
	}
	if err := firstError(checkText("station", station, maxCell), checkText(field, text, limit)); err != nil {
		return err
	}
	i := slices.IndexFunc(j.Gaps, func(g GapNote) bool { return g.Cut == cut && g.Station == station })
	if i < 0 {
		i = len(j.Gaps)
		j.Gaps = append(j.Gaps, GapNote{Cut: cut, Station: station})
	}
	g := &j.Gaps[i]
	switch field {
	case "wall":
		g.Wall = j.TypedGap(text)
	case "ledge":
		g.Ledge = j.TypedGap(text)
	case "note":
		g.Note = strings.TrimSpace(text)
	default:
		return fmt.Errorf("board: a gap has no field %q", field)
	}
	if strings.TrimSpace(g.Wall.Text+g.Ledge.Text+g.Note) == "" {
		j.Gaps = slices.Delete(j.Gaps, i, i+1)
	}
	return nil
}

// SetDistance types the taped length between two marks of a cut's tiles; an
// empty text takes it out.
func (j *Job) SetDistance(cut int, name, text string) error {
	if j.CutNumber(cut) == nil {
		return errNoCut
	}
	if err := firstError(checkText("name", name, maxCell), checkText("length", text, maxCell)); err != nil {
		return err
	}
	i := slices.IndexFunc(j.Distances, func(d DistanceNote) bool { return d.Cut == cut && d.Name == name })
	switch empty := strings.TrimSpace(text) == ""; {
	case empty && i < 0:
	case empty:
		j.Distances = slices.Delete(j.Distances, i, i+1)
	case i < 0:
		j.Distances = append(j.Distances, DistanceNote{cut, name, j.Typed(text)})
	default:
		j.Distances[i].Length = j.Typed(text)
	}
	return nil
}
