package fit

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Mark is one reading of a point, in mm.
type Mark struct {
	P   r3.Vec  // where; Z is NaN where no height was read
	SXY float64 // sd of x and of y, above zero
	SZ  float64 // sd of z, above zero where there is a height
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

// checkMarks refuses marks that are not numbers or have no sd.
func checkMarks(marks []Mark) error {
	var place, sd []int
	for i, m := range marks {
		if !finite(m.P.X) || !finite(m.P.Y) || (m.hasHeight() && !finite(m.P.Z)) {
			place = append(place, i)
		} else if !(m.SXY > 0) || !finite(m.SXY) || (m.hasHeight() && (!(m.SZ > 0) || !finite(m.SZ))) {
			sd = append(sd, i)
		}
	}
	if place != nil {
		return &MarkError{place, "the reading is not a number"}
	}
	if sd != nil {
		return &MarkError{sd, "the standard deviation must be above zero"}
	}
	return nil
}
