package board

import (
	"fmt"
	"slices"
	"strings"
)

// AddCut keeps a cut; the next one gets the number after it.
func (j *Job) AddCut(c Cut) error {
	if last := j.LastCut(); last != nil && c.Number <= last.Number {
		return fmt.Errorf("board: cut %d was made already", c.Number)
	}
	if len(j.Cuts) >= maxCuts {
		return fmt.Errorf("board: a job holds %d cuts", maxCuts)
	}
	j.Cuts = append(j.Cuts, c)
	j.Cut = c.Number + 1
	return nil
}

// DeleteCut takes out the cut made last, with its gaps and distances.
func (j *Job) DeleteCut() error {
	last := j.LastCut()
	if last == nil {
		return errNoCut
	}
	n := last.Number
	j.Cuts = j.Cuts[:len(j.Cuts)-1]
	j.Gaps = slices.DeleteFunc(j.Gaps, func(g GapNote) bool { return g.Cut == n })
	j.Distances = slices.DeleteFunc(j.Distances, func(d DistanceNote) bool { return d.Cut == n })
	j.Cut = n
	return nil
}

// SetCut types a text into a field of a cut: date, reason or wall (the clearance
// as it was really cut).
func (j *Job) SetCut(number int, field, text string) error {
	c := j.CutNumber(number)
	if c == nil {
		return errNoCut
	}
	limit := maxCell
	if field == "reason" {
		limit = maxNote
	}
	if err := checkText(field, text, limit); err != nil {
		return err
	}
	switch field {
	case "date":
		c.Date = strings.TrimSpace(text)
	case "reason":
		c.Reason = strings.TrimSpace(text)
	case "wall":
		c.Wall = j.Typed(text)
	default:
		return fmt.Errorf("board: a cut has no field %q", field)
	}
	return nil
}

// SetRocks notes whether the glass rocked in a cut.
func (j *Job) SetRocks(number int, rocks bool) error {
	c := j.CutNumber(number)
	if c == nil {
		return errNoCut
	}
	c.Rocks = rocks
	return nil
}

// Names that Cut.Accepted knows beside those of the causes.
const (
	RestCause   = "rest"  // the smooth rest along the edge
	FoundCauses = "found" // every cause larger than twice its uncertainty, and the rest
)

// AcceptCause says whether a cause of a cut's gaps, by its GapCause.Name, the
// smooth rest (RestCause) or all that is found (FoundCauses) is put right in the
// next cut.
func (j *Job) AcceptCause(number int, name string, on bool) error {
	c := j.CutNumber(number)
	if c == nil {
		return errNoCut
	}
	if err := checkText("cause", name, maxCell); err != nil {
		return err
	}
	names := slices.DeleteFunc(slices.Clone(c.Accepted), func(n string) bool { return n == name })
	if on {
		names = append(names, name)
		slices.Sort(names)
	}
	c.Accepted = names
	return nil
}
