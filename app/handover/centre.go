package handover

import (
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
)

// Evidence is which readings carry the centre line found.
type Evidence struct {
	Text  string         `json:"text"`
	Kinds []EvidenceKind `json:"kinds"` // that which says most of the offset first
}

// EvidenceKind is readings of one kind: checks, left, right, tapes, marks or
// heights. Shares are of what all readings say, 0 … 1.
type EvidenceKind struct {
	Kind     string  `json:"kind"`
	Count    int     `json:"count"`
	Offset   float64 `json:"offset_share"`
	Skew     float64 `json:"skew_share"`
	PullsID  string  `json:"pulls_most"`     // of a tape its station
	PullsMM  float64 `json:"would_move_mm"`  // the line at its mean point, + to the right, without that one
	PullsDeg float64 `json:"would_turn_deg"` // the same of the skew
}

// Symmetry is the verdict on the symmetry of the pane: symmetric, grid, mark,
// asymmetric or unknown.
type Symmetry struct {
	Code      string    `json:"code"`
	Text      string    `json:"text"`
	Stations  int       `json:"stations"`
	Residual  *float64  `json:"residual_mm"`    // RMS of the stations, mirrored, against the other half
	Ratio     *float64  `json:"ratio"`          // over what their scatter alone makes of it
	Shear     *float64  `json:"shear_mm_per_m"` // by which x as read grows with y
	ShearU    *float64  `json:"shear_u_mm_per_m"`
	Diagonals *float64  `json:"diagonals_differ_mm"` // of such a grid, rising less falling
	StandOut  []string  `json:"stand_out"`
	Most      *float64  `json:"differ_most_mm"` // + where the left half, folded over, lies outside
	MostU     *float64  `json:"differ_most_u_mm"`
	MostAt    []float64 `json:"differ_most_at_mm"` // board frame, on the right half
}

// Link is a link of the chain of measuring that may be wrong.
type Link struct {
	Code   string  `json:"code"`
	Text   string  `json:"text"`
	Weight float64 `json:"weight"` // standard uncertainties that the evidence stands off; 0: nothing proves it right
}

// evidenceOf is nil where no line was found.
func evidenceOf(m *board.Model) *Evidence {
	if len(m.Carries) == 0 {
		return nil
	}
	out := &Evidence{Text: m.CarriesText, Kinds: []EvidenceKind{}}
	for _, c := range m.Carries {
		k := EvidenceKind{Kind: c.Code, Count: len(c.Readings), Offset: clean(c.Offset), Skew: clean(c.Skew)}
		if len(c.Readings) > 0 {
			p := c.Readings[0]
			k.PullsID, k.PullsMM, k.PullsDeg = p.ID, clean(p.Moves), clean(p.Turns)
		}
		out.Kinds = append(out.Kinds, k)
	}
	return out
}

// symmetryOf is nil where no mirror was asked for.
func symmetryOf(m *board.Model) *Symmetry {
	v := m.Verdict
	if v.Code == "" {
		return nil
	}
	out := &Symmetry{Code: v.Code, Text: v.Text, Stations: v.Judged, StandOut: append([]string{}, v.Stations...),
		Residual: known(v.Residual), Ratio: known(v.Ratio)}
	if v.ShearU > 0 {
		out.Shear, out.ShearU, out.Diagonals = number(v.Shear), number(v.ShearU), number(v.Diagonals)
	}
	if v.At != (r2.Vec{}) {
		out.Most, out.MostU, out.MostAt = number(v.Most), number(v.MostU), []float64{clean(v.At.X), clean(v.At.Y)}
	}
	return out
}

func linksOf(m *board.Model) []Link {
	out := []Link{}
	for _, l := range m.Links {
		out = append(out, Link{l.Code, l.Text, clean(l.Weight)})
	}
	return out
}
