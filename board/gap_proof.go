package board

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Proof says whether a cut proves the model: the glass was tried in it and all
// gaps are as they should be.
type Proof struct {
	Cut    int    // that proves it; 0: not proved
	Ledge  bool   // ledge gaps were noted too, so the face is proved as well
	Reason string // why not, or what is not proved, in one sentence
}

// When a cut proves the shape; workshop rule of thumb, no source.
const (
	proofWall     = 0.5  // mm, of a wall gap from the clearance
	proofLedge    = 0.5  // mm, of a ledge gap beyond the felt
	proofStations = 8    // with a wall gap
	proofStretch  = 0.25 // of the way round, the longest without one
	proofChange   = 0.5  // mm, by which the model may have changed since
)

// Words is the sentence of the files: "proved by cut 2" or "not proved".
func (p Proof) Words() string {
	switch {
	case p.Cut == 0:
		return "not proved"
	case !p.Ledge:
		return fmt.Sprintf("proved by cut %d (wall gaps only)", p.Cut)
	}
	return fmt.Sprintf("proved by cut %d", p.Cut)
}

// prove judges the noted gaps of the cut.
func (w *gapWork) prove() Proof {
	if w.pane == nil {
		return Proof{Reason: "No gaps could be placed on the cut."}
	}
	c := w.cut
	var off, on []string
	var along []float64
	ledge := 0
	for _, s := range w.noted() {
		if s.Wall.Set {
			along = append(along, w.reading(s.At).S)
			if !s.Wall.within(c.clearance()-proofWall, c.clearance()+proofWall) {
				off = append(off, s.ID)
			}
		}
		if s.Ledge.Set {
			ledge++
			if !s.Ledge.Tight && !s.Ledge.within(-proofLedge, c.Pocket.Felt+proofLedge) {
				on = append(on, s.ID)
			}
		}
	}
	switch stretch := longestStretch(along, w.pane.Outline.Length()); {
	case len(off) > 0:
		return Proof{Reason: fmt.Sprintf("The wall gap is more than %s off the clearance at %s.", w.job.length(proofWall), named(off))}
	case len(on) > 0:
		return Proof{Reason: fmt.Sprintf("The ledge gap is more than %s at %s.", w.job.length(proofLedge), named(on))}
	case c.Rocks:
		return Proof{Reason: "The glass rocked."}
	case len(along) < proofStations || stretch > proofStretch*w.pane.Outline.Length():
		return Proof{Reason: fmt.Sprintf("Too few wall gaps were noted: %d stations or more, all round.", proofStations)}
	case ledge < proofStations/2:
		return Proof{Cut: c.Number, Reason: "No ledge gaps were noted all round, so the face is not proved."}
	}
	return Proof{Cut: c.Number, Ledge: true}
}

// ProofOf says whether a cut, be it the last one or not, proves the shape that it
// was made for; the model may have changed since. About 30 ms.
func (j *Job) ProofOf(number int) (Proof, error) {
	cut := j.CutNumber(number)
	if cut == nil {
		return Proof{}, errNoCut
	}
	w := &gapWork{job: j, cut: cut, report: &GapReport{}}
	var err error
	if w.pane, err = cut.Shape.Pane(); err != nil {
		return Proof{}, err
	}
	w.layStations()
	return w.prove(), nil
}

// longestStretch is the longest way between neighbours round a loop.
func longestStretch(at []float64, length float64) float64 {
	if len(at) == 0 {
		return length
	}
	for i := range at {
		at[i] = math.Mod(at[i]+2*length, length)
	}
	slices.Sort(at)
	most := at[0] + length - at[len(at)-1]
	for i := 1; i < len(at); i++ {
		most = max(most, at[i]-at[i-1])
	}
	return most
}

// named are names in a row, cut where they are many.
func named(ids []string) string {
	const most = 6
	if len(ids) > most {
		return strings.Join(ids[:most], ", ") + fmt.Sprintf(" and %d more", len(ids)-most)
	}
	return strings.Join(ids, ", ")
}

// proved says whether the model is proved by the last cut: its gaps were as they
// should be and the outline is still the one that was cut.
func (s *solve) proved() {
	g := s.m.Gaps
	if g == nil {
		s.m.Proof = Proof{Reason: "No gaps were noted in a cut."}
		return
	}
	s.m.Proof = g.Proof
	if g.Proof.Cut == 0 {
		return
	}
	d := compare(s.noted.cut.Shape, s.m.Shape(), s.noted.pane, s.m.Pane)
	if d.Greatest > proofChange {
		s.m.Proof = Proof{Reason: fmt.Sprintf("The outline has changed by %s since cut %d.", s.job.length(d.Greatest), g.Proof.Cut)}
	}
}
