package fit

import (
	"context"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
)

// Face is the face fitted to heights.
type Face struct {
	Face    *geom.Face
	Miss    []float64 // mm, vertical, mark minus face, suspects too; NaN where a mark has no height
	Suspect []bool    // the height looks like a slip and was set aside
	Sigma   float64   // mm, sd of a height as found from the misses
	Lambda  float64   // strength of the penalty, against the traces of the matrices
	Dof     float64   // effective number of parameters

	fit *sheetFit
}

// FaceOptions says how FitFace works; the zero value is the usual way.
type FaceOptions struct {
	Mirror  bool    // fit a face exactly even in x
	KeepAll bool    // set no height aside, whatever it looks like
	Pitch   float64 // mm between knots; 0: 110
}

// ErrNoHeights says that no mark has a height.
var ErrNoHeights = errors.New("fit: face: no heights were read")

const (
	facePitch    = 110.0 // mm; from 75 to 150 it makes no difference
	leastHeights = 6     // below, the face is a plane
	bulgeUnknown = 100.0 // mm, sd amid the readings from which they say nothing there
)

// FitFace fits a smooth height field to points read on a face: one bicubic
// spline over box, with the penalty ∫ z_xxx² + 3·z_xxy² + 3·z_xyy² + z_yyy²,
// so that it is drawn to quadratics and not to planes; from twenty heights on it
// may also taper and have wings (bulge). A point counts with
// 1/(SZ² + SXY²·slope²). The edge marks belong among the points: heights
// inside alone leave the edge five times worse. Marks without a height are
// passed over.
//
// Heights that the others contradict are set aside: first those far from a
// robust polynomial, then, one by one, those that miss the face fitted without
// them by more than 4.5 sd and 1.2 mm.
//
// From three to five heights make a plane. Fewer, or all on one line, are a
// *MarkError, none at all ErrNoHeights. box should hold all marks and reach
// some 50 mm beyond them; farther out the face goes on as a quadratic. On
// invented panes (80 edge and 40 inner heights read to 0.5 mm) the face lies
// 0.19 mm from the true one (RMS; 0.17 mm with Mirror). Cost: about 11 ms for
// 160 heights, linear in their number.
func FitFace(ctx context.Context, marks []Mark, box r2.Box, o FaceOptions) (*Face, error) {
	if err := checkMarks(marks, true); err != nil {
		return nil, err
	}
	with, index := heights(marks)
	if len(with) == 0 {
		return nil, ErrNoHeights
	}
	p, _ := planOf(with)
	if len(with) < 3 || thin(p) < 4*typicalSD(with) {
		return nil, &MarkError{Index: index, Reason: "a face needs at least three heights that do not lie on one line"}
	}
	if w, h := box.Max.X-box.Min.X, box.Max.Y-box.Min.Y; !(w > 0) || !(h > 0) || !finite(w*h) {
		return nil, errors.New("fit: face: the box is empty")
	}
	pitch := facePitch
	if o.Pitch > 0 {
		pitch = o.Pitch
	}
	f := newSheetFit(newSheet(box, pitch, o.Mirror), with)
	if len(with) < leastHeights {
		f.order = 2
	}
	if err := f.fit(ctx, !o.KeepAll); err != nil {
		return nil, faceError(err, index)
	}
	return newFace(f, len(marks), index), nil
}

// faceError says what to do about an error of a fit to the heights of marks.
func faceError(err error, index []int) error {
	switch {
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.Is(err, errSingular):
		return &MarkError{Index: index, Reason: "the heights do not say how far the face bulges: read some inside the edge"}
	}
	return fmt.Errorf("fit: face: %w", err)
}

// fit is the whole way: robust start, fit, screening.
func (f *sheetFit) fit(ctx context.Context, screen bool) error {
	f.startRobust(screen)
	if err := f.run(ctx); err != nil {
		return err
	}
	if err := f.bulges(); err != nil {
		return err
	}
	if screen {
		return f.screen(ctx)
	}
	return nil
}

// bulges is an error where the readings leave open how far the face bulges
// between them.
func (f *sheetFit) bulges() error {
	if mid := f.polynomial(nil); math.Sqrt(f.spread(mid.x, mid.y)) > bulgeUnknown {
		return errSingular
	}
	return nil
}

// newFace reports a finished fit to n marks, of which those at index had
// heights.
func newFace(f *sheetFit, n int, index []int) *Face {
	out := &Face{Face: f.face, Miss: make([]float64, n), Suspect: make([]bool, n),
		Sigma: f.scale * median(f.sz), Lambda: math.Exp(f.log), Dof: f.dof, fit: f}
	for i := range out.Miss {
		out.Miss[i] = math.NaN()
	}
	for k, i := range index {
		out.Miss[i], out.Suspect[i] = f.miss[k], f.off[k]
	}
	return out
}

// form is the face's height over a place as a dense linear form.
func (f *Face) form(at r2.Vec) []float64 {
	b := make([]float64, f.fit.root.size())
	r := f.fit.at(at.X, at.Y)
	for p, i := range r.idx {
		b[i] += r.val[p]
	}
	return b
}

// strengthUnknown is by how much a face strays farther from the true one than
// the covariance says, which takes the strength of the penalty for known:
// measured, 1.05 to 1.10 on invented panes of all kinds.
const strengthUnknown = 1.08

// white is a linear form in unknowns that are independent and have sd one.
func (f *Face) white(form []float64) []float64 {
	for i := range form {
		form[i] *= strengthUnknown * f.fit.unit
	}
	f.fit.root.whiten(form)
	return form
}

// Spread is the standard uncertainty of a figure that changes by gain[i] for
// every mm by which the face rises over at[i].
func (f *Face) Spread(at []r2.Vec, gain []float64) float64 {
	sum := make([]float64, f.fit.root.size())
	for i, p := range at {
		for k, v := range f.form(p) {
			sum[k] += gain[i] * v
		}
	}
	sum = f.white(sum)
	return together(len(at)) * math.Sqrt(dot(sum, sum))
}

// Draws returns a source of faces as likely as this one given the readings.
// Each call gives by how many mm the face lies above Face over the places. normal
// must give independent normal numbers of sd one.
func (f *Face) Draws(at []r2.Vec, normal func() float64) func() []float64 {
	rows := make([]row, len(at))
	for i, p := range at {
		rows[i] = f.fit.at(p.X, p.Y)
	}
	x := make([]float64, f.fit.root.size())
	return func() []float64 {
		for i := range x {
			x[i] = strengthUnknown * f.fit.unit * normal()
		}
		f.fit.root.colour(x)
		out := make([]float64, len(rows))
		for i, r := range rows {
			out[i] = r.dot(x)
		}
		return out
	}
}

// SD is the standard uncertainty of the face's height over (x, y), in mm.
func (f *Face) SD(x, y float64) float64 {
	return strengthUnknown * f.fit.scale * math.Sqrt(f.fit.spread(x, y))
}
