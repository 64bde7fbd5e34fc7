package board

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Offer is a correction that would make a suspect reading, or a run of
// readings, fit the others. Nothing is changed until a person applies it.
type Offer struct {
	Field   string  // x, y, z; xy: exchanged; row: its whole row; block: rows of a run up to reading To
	Typed   string  // as it stands now
	Instead string  // as it would be typed, in the job's unit
	Why     string  // one sentence, trade words
	Odds    float64 // how many times likelier than leaving it, at most MostOdds; not worked out for a run of rows
	Chance  float64 // share of all that was tried, something else included: above 0.9 is likely, below possible
	To      int     // block: index of its last reading; otherwise the reading's own
	Changes []Change
}

// Change is one cell of an offer.
type Change struct {
	Reading  int    // index into Job.Readings
	Field    string // x, y or z
	From, To Cell   // as it stands and as it would be; an empty text takes the value out, to be read again
}

// MostOdds is where odds stop counting: one in a million million.
const MostOdds = 1e12

// errStale is an offer for a job that has been changed since.
var errStale = errors.New("board: these readings were changed after the correction was worked out")

// Apply makes the correction in a job, as a step of History.Edit. It changes
// the cells named in Changes and nothing else; an error says that one of them is
// no longer what the offer was worked out from, and nothing has changed.
func (o *Offer) Apply(j *Job) error {
	cells := make([]*Cell, len(o.Changes))
	for n, c := range o.Changes {
		if c.Reading < 0 || c.Reading >= len(j.Readings) {
			return errNoRow
		}
		if cells[n] = j.Readings[c.Reading].cell(c.Field); cells[n] == nil {
			return fmt.Errorf("board: a reading has no field %q", c.Field)
		}
		if cells[n].Text != c.From.Text || cells[n].Unit != c.From.Unit {
			return errStale
		}
		if err := checkText(c.Field, c.To.Text, maxCell); err != nil {
			return err
		}
	}
	for n, c := range o.Changes {
		*cells[n] = c.To
	}
	return nil
}

// cell is the cell of a reading that holds a number, by its field.
func (r *Reading) cell(field string) *Cell {
	for _, f := range readingCells {
		if f.name == field {
			return f.cell(r)
		}
	}
	return nil
}

// Ask is the offer as a question: "did you mean 12 3/8?".
func (o *Offer) Ask() string {
	switch o.Field {
	case "x", "y", "z":
		return "did you mean " + o.Instead + "?"
	case "xy":
		return "did you mean x and y the other way round, " + o.Instead + "?"
	}
	return "did you mean " + o.Instead + "? " + capital(o.Why)
}

// The least margin of an offer that is made rather than only listed.
const (
	leastChance = 0.5 // of all that was tried
	leastLead   = 2.5 // times likelier than the next
	listed      = 6   // how many offers a reading keeps
)

// mostTyped is how many readings a person types; more come from a machine, whose
// rows do not slip.
const mostTyped = 1000

// offers weighs corrections for every reading that was set aside and looks for
// runs of rows that went wrong together.
func (s *solve) offers() {
	g := s.newJudge()
	if g == nil {
		return
	}
	for k, i := range s.edge {
		if res := &s.m.Results[i]; res.State == Suspect || res.BadHeight {
			res.Odds = oneIn(g.howFar(i))
			res.rank(g.ofStation(k))
		}
	}
	for _, i := range s.face {
		if res := &s.m.Results[i]; res.BadHeight {
			res.Odds = oneIn(g.howFar(i))
			res.rank(g.ofHeight(i))
		}
	}
	if len(s.job.Readings) > mostTyped {
		return
	}
	for _, b := range g.blocks() {
		s.offerBlock(b)
		if at := s.job.Place(b.first); b.Chance >= leastChance {
			s.m.Findings = append(s.m.Findings, Finding{List: at.List, Row: at.Row, Code: "block", Text: capital(b.Why) + "."})
		}
	}
	s.drift()
}

// rank keeps the best offers, best first, and makes the first one where it
// leads clearly.
func (r *Result) rank(tried []Offer) {
	slices.SortStableFunc(tried, func(a, b Offer) int { return cmp.Compare(b.Chance, a.Chance) })
	r.Offers = slices.Clone(tried[:min(len(tried), listed)])
	if len(r.Offers) == 0 || r.Offers[0].Chance < leastChance {
		return
	}
	if len(r.Offers) == 1 || r.Offers[0].Chance >= leastLead*r.Offers[1].Chance {
		r.Offer = &r.Offers[0]
	}
}

// oneIn says how many good readings it takes for one to lie z standard
// uncertainties off or farther.
func oneIn(z float64) float64 {
	return min(1/math.Erfc(math.Abs(z)/math.Sqrt2), MostOdds)
}

// span names a run of readings: "41 to 46".
func (j *Job) span(from, to int) string {
	if from == to {
		return j.Readings[from].ID
	}
	return fmt.Sprintf("%s to %s", j.Readings[from].ID, j.Readings[to].ID)
}

// pair is x and y in one text.
func pair(x, y string) string { return strings.TrimSpace(x) + ", " + strings.TrimSpace(y) }
