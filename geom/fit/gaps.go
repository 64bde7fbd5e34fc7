package fit

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Gap is one noted gap. It lies between Lo and Hi, mm: both the same where a
// gap was read, Hi 0 and no Lo where the glass is tight, no Hi where a strip
// goes and none was found that does not. SD is one sigma of the strip; a Gap
// without it was not read.
type Gap struct{ Lo, Hi, SD float64 }

// Standard deviations of noted gaps, mm; common practice, no source.
const (
	TightSD   = 0.2  // how far the edge of a glass that touches may be from the wall
	BetweenSD = 0.05 // of the feel for a strip that goes
)

// GapOf is a gap as it was read.
func GapOf(mm, sd float64) Gap { return Gap{mm, mm, sd} }

// GapBetween is a gap into which one strip goes and a thicker one does not.
func GapBetween(goes, stops float64) Gap { return Gap{goes, stops, BetweenSD} }

// TightGap is the gap where the glass touches: at most 0. How far the glass
// would cut into the wall it does not say.
func TightGap() Gap { return Gap{math.Inf(-1), 0, TightSD} }

// Read reports whether there is a gap.
func (g Gap) Read() bool { return g.SD != 0 }

// check says what is wrong with a gap, or nothing.
func (g Gap) check() string {
	open := math.IsInf(g.Lo, -1) && math.IsInf(g.Hi, 1)
	loGood := math.Abs(g.Lo) <= widestGap || math.IsInf(g.Lo, -1)
	hiGood := math.Abs(g.Hi) <= widestGap || math.IsInf(g.Hi, 1)
	switch {
	case !g.Read():
		return ""
	case !(g.SD > 0 && g.SD <= widestGap):
		return "the standard deviation of a gap must be above zero"
	case !loGood || !hiGood || open:
		return "a gap is a number of mm"
	case g.Lo > g.Hi:
		return "the strip that goes is thicker than the one that does not"
	}
	return ""
}

// widestGap is a gap that nobody notes, mm.
const widestGap = 100.0

// finest is the least sd that a noted gap is believed to have, mm.
const finest = 0.01

// middle and variance of the gap, for least squares. Between two strips every
// width is as likely; open on one side, the end counts where it is passed.
func (g Gap) middle() (mid, variance float64) {
	v := math.Max(g.SD*g.SD, finest*finest)
	switch {
	case math.IsInf(g.Lo, 0):
		return g.Hi, v
	case math.IsInf(g.Hi, 0):
		return g.Lo, v
	}
	w := g.Hi - g.Lo
	return g.Lo + w/2, v + w*w/12
}

// GapReading is what was noted at one station.
type GapReading struct {
	ID       string
	At       r2.Vec  // on the outline (silhouette) of the model that was cut, glass frame, mm
	Normal   r2.Vec  // outward there
	S        float64 // length along the outline to it, mm; where Measured is not 0, from the centre line
	Height   float64 // of the edge there, mm; only differences count, 0 everywhere if not known
	Gradient r2.Vec  // how the face on the ledge rises there: dz/dx, dz/dy
	Made     bool    // on the half that is the other's mirror image
	Wall     Gap     // in plan, square to the outline
	Ledge    Gap     // square to the face
}

// FixtureJoint is a joint between two tiles: a straight line in plan, glass
// frame.
type FixtureJoint struct {
	Name  string
	At    r2.Vec // a point of it
	Along r2.Vec // its direction
}

// GapModel says what the gaps were measured in.
type GapModel struct {
	Clearance float64 // of the wall as it was meant to be cut, mm
	Felt      float64 // how low the ledge was cut, square to the face, mm
	Girth     float64 // of the outline, mm
	Measured  int     // +1 the right half was measured and the left made from it, -1 the left, 0 both or no mirror
	Mirrored  bool    // with Measured 0: the outline was made symmetric from both halves
	Centre    r2.Vec  // middle of the pane; its Y is the level at which an offset is meant. The assumed line is x = 0
	Joints    []FixtureJoint
}

// GapError says which noted gaps stand in the way and why.
type GapError struct {
	Index  []int // of the readings, rising; empty where it is all of them
	Reason string
}

func (e *GapError) Error() string {
	if len(e.Index) == 0 {
		return "fit: " + e.Reason
	}
	return fmt.Sprintf("fit: gap readings %v: %s", e.Index, e.Reason)
}

// mostGaps bounds the work, which grows with the cube of the number of gaps.
const mostGaps = 400

// checkGaps refuses what cannot be reckoned with.
func checkGaps(readings []GapReading, m *GapModel) error {
	if len(readings) > mostGaps {
		return &GapError{nil, fmt.Sprintf("more than %d stations with gaps", mostGaps)}
	}
	if !(math.Abs(m.Clearance) <= widestGap) || !(math.Abs(m.Felt) <= widestGap) {
		return &GapError{nil, "clearance and felt are numbers of mm"}
	}
	if !(m.Girth >= 1) || !onBoard(m.Girth) || !onPlan(m.Centre) || m.Measured < -1 || m.Measured > 1 {
		return &GapError{nil, "the outline of the cut is not known"}
	}
	for _, j := range m.Joints {
		if !onPlan(j.At) || !(r2.Norm(j.Along) > 0) || !finite(r2.Norm(j.Along)) {
			return &GapError{nil, "a joint is a line in plan"}
		}
	}
	var bad GapError
	read := false
	for i, r := range readings {
		reason := r.check()
		if reason != "" && (bad.Reason == "" || bad.Reason == reason) {
			bad.Reason, bad.Index = reason, append(bad.Index, i)
		}
		read = read || r.Wall.Read() || r.Ledge.Read()
	}
	if bad.Reason != "" {
		return &bad
	}
	if !read {
		return &GapError{nil, "no gap was noted"}
	}
	return nil
}

// check says what is wrong with a reading, or nothing.
func (r *GapReading) check() string {
	normal, rise := r2.Norm(r.Normal), r2.Norm(r.Gradient)
	if !onPlan(r.At) || !onBoard(r.S) || !onBoard(r.Height) || !(normal > 1e-9) || !finite(normal) || !(rise <= steepest) {
		return "the station is not a place on the outline"
	}
	if reason := r.Wall.check(); reason != "" {
		return reason
	}
	return r.Ledge.check()
}

// steepest is the greatest slope of a face on a ledge that makes sense.
const steepest = 20.0

func onPlan(p r2.Vec) bool { return onBoard(p.X) && onBoard(p.Y) }

// FitGaps tells what explains the gaps noted at a test fit. The pocket is off
// the glass by a sum of causes, each with one number: how the glass lay in the
// pocket (placement, and tilt for the ledge), an offset, a skew and a roll of
// the centre line about which one half was mirrored, a wall too wide or too
// tight all round, a wrong scale, a grid out of square, an opened joint, a
// single bad station; and a smooth rest along the edge. All are found together
// by least squares with the covariance of the rest, which is averaged over its
// possible sizes, lengths and whether both halves share it.
//
// Offset, skew and roll are always reckoned with where one half was made. Any
// other cause is taken up only where the gaps speak for it more than three to
// one, the strongest first, against how well it could have explained anything.
// An uncertainty holds what else might be at work: causes left out, and those
// that would explain the same. What cannot be told at these stations is not
// claimed, and is said in Doubts.
//
// A gap between two strips counts as its middle with the scatter of every width
// between them. A tight gap pulls only where the fit leaves room there, a strip
// that goes only where it would not.
//
// The gaps are first order in the errors: at an offset of 2 mm that leaves
// some 0.02 mm in corners of 60 mm. Errors are a *GapError or the context's.
// Cost: about 4 ms for 40
// stations with both gaps, growing with their cube.
func FitGaps(ctx context.Context, readings []GapReading, m GapModel) (*Gaps, error) {
	if err := checkGaps(readings, &m); err != nil {
		return nil, err
	}
	f := newGapFit(readings, &m)
	if err := f.run(ctx); err != nil {
		return nil, err
	}
	return f.result()
}
