package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Mark is one reading of a point, in mm.
type Mark struct {
	P   r3.Vec  // where; Z is NaN where no height was read
	SXY float64 // sd of x and of y, above zero
	SZ  float64 // sd of z, above zero where there is a height

	Sure  bool // the person vouches for it: never set aside
	Break bool // at the edge: the edge truly breaks here, its corner has no radius
}

// told is what the person says of marks.
type told struct{ sure, breaks []bool }

// toldOf gathers it.
func toldOf(marks []Mark) told {
	t := told{make([]bool, len(marks)), make([]bool, len(marks))}
	for i, m := range marks {
		t.sure[i], t.breaks[i] = m.Sure, m.Break
	}
	return t
}

// plan is the mark's place seen from above.
func (m Mark) plan() r2.Vec { return r2.Vec{X: m.P.X, Y: m.P.Y} }

// hasHeight reports whether z was read.
func (m Mark) hasHeight() bool { return m.P.Z == m.P.Z }

// MarkError says which marks stand in the way of a fit and why.
type MarkError struct {
	Index  []int  // of the marks, rising; empty where it is all of them
	Reason string // one sentence in the words of the trade
}

func (e *MarkError) Error() string {
	if len(e.Index) == 0 {
		return "fit: " + e.Reason
	}
	return fmt.Sprintf("fit: marks %v: %s", e.Index, e.Reason)
}

// farthest is how far from nought a mark may lie, mm: beyond any board, and
// near enough for the squares.
const farthest = 1e6

// checkMarks refuses marks that are not numbers or have no sd. That of a height
// counts only where heights do.
func checkMarks(marks []Mark, heights bool) error {
	var place, sd []int
	for i, m := range marks {
		if !onBoard(m.P.X) || !onBoard(m.P.Y) || (m.hasHeight() && !onBoard(m.P.Z)) {
			place = append(place, i)
		} else if !(m.SXY > 0) || !finite(m.SXY) || (heights && m.hasHeight() && (!(m.SZ > 0) || !finite(m.SZ))) {
			sd = append(sd, i)
		}
	}
	if place != nil {
		return &MarkError{place, "the reading is not a place on the board"}
	}
	if sd != nil {
		return &MarkError{sd, "the standard deviation must be above zero"}
	}
	return nil
}

func onBoard(v float64) bool { return math.Abs(v) <= farthest }

// heights picks the marks that have one.
func heights(marks []Mark) (with []Mark, index []int) {
	for i, m := range marks {
		if m.hasHeight() {
			with, index = append(with, m), append(index, i)
		}
	}
	return with, index
}
