package handover

import (
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
)

// Mark is a hole, bracket or band that the person noted, carried to the files.
type Mark struct {
	ID   string    `json:"id"`
	Note string    `json:"note"`
	At   []float64 `json:"at_mm"` // glass frame
}

// marksOf are the marks of a model with a pane; empty, not null.
func marksOf(m *board.Model) []Mark {
	out := []Mark{}
	for _, k := range measured(m, board.Mark) {
		out = append(out, Mark{k.id, k.note, vec(k.at)})
	}
	return out
}

// spot is a reading and where it is, glass frame.
type spot struct {
	id, note string
	at       r3.Vec
}

// label is the spot's name, with its note.
func (s spot) label() string {
	if s.note == "" {
		return s.id
	}
	return s.id + " " + s.note
}

// measured are the readings of a kind that are neither struck nor suspect, where
// they were read.
func measured(m *board.Model, kind board.Kind) (out []spot) {
	for i, r := range m.Job.Readings {
		if r.Kind != kind {
			continue
		}
		if q, ok := readAt(m, i); ok {
			out = append(out, spot{r.ID, r.Note, q})
		}
	}
	return out
}

// readAt is where a reading was taken, glass frame, after all corrections: of an
// edge reading the silhouette, at the height of the upper edge. Where no height
// was read it is on the fitted edge, or on the upper face. It is false for a
// reading that is struck, suspect or not whole, and without a pane.
func readAt(m *board.Model, i int) (r3.Vec, bool) {
	r, res := m.Job.Readings[i], m.Results[i]
	if m.Pane == nil || !res.Placed || res.State == board.Suspect || res.State == board.StruckOut {
		return r3.Vec{}, false
	}
	q := res.At
	switch {
	case r.Z.Set && !res.BadHeight:
	case r.Kind == board.Edge && res.HasMiss:
		q.Z = res.Foot.Z
	default:
		back := m.BoardToGlass.Inverse()
		q.Z = back.T.Z
		for range 4 { // the board's vertical meets the face
			g := m.BoardToGlass.Apply(q)
			q.Z += m.Pane.Upper.At(g.X, g.Y) - g.Z
		}
	}
	return m.BoardToGlass.Apply(q), true
}
