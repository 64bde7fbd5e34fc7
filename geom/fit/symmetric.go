package fit

import (
	"cmp"
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
)

// Width is a full width taped straight through the air from an edge mark to
// its mirror twin.
type Width struct {
	Mark   int     // index of the edge mark
	Length float64 // mm
	SD     float64 // mm, of the tape
	Along  float64 // mm, sd along the edge with which the twin was found; counts where the edge leans
}

// SymmetricInput is what FitSymmetric works from, in a frame whose plane x = 0
// is the guessed centre plane.
type SymmetricInput struct {
	Edge    []Mark  // points of the upper arris, either or both halves
	Aside   []bool  // marks of Edge that look like slips: they must agree with the rest to be used; nil: none
	Face    []Mark  // points of the upper face
	Widths  []Width // to marks of Edge
	Centre  []Mark  // marks believed to lie in the centre plane; SXY is the sd square to it
	Fixed   bool    // the plane is given: x = 0 stays as it is
	KeepAll bool    // set no reading aside, whatever it looks like
	// Lopsided lets an outline of which both halves were read differ from its
	// mirror image, where the marks call for it beyond doubt.
	Lopsided bool
	// LeastRadius is that to which corners and breaks are rounded that turn out
	// tighter, mm.
	LeastRadius float64
	Box         r2.Box // what the face must cover, in the corrected frame; empty: the marks and 60 mm

	// Like is a fit to much the same marks to start from, LikeTo the motion from
	// its corrected frame to this one; nil: none. It only saves time.
	Like   *Symmetric
	LikeTo geom.Frame
}

// Symmetric is a pane's shape fitted exactly symmetric, together with the
// plane it mirrors in.
type Symmetric struct {
	Shift      float64       // mm, x of the plane at the given frame's origin
	Skew, Roll float64       // rad, as geom.NewPlane has them
	Cov        [3][3]float64 // covariance of Shift, Skew, Roll in mm and rad; zero where the plane is not free
	Determined bool          // the readings carry the plane, or it was given
	Why        string        // where not: one sentence on what to measure
	Source     string        // outline, tapes, stations, marks, mixed, typed, or none
	Motion     geom.Frame    // from the given frame to the one whose plane x = 0 is the found plane

	// WidthSuspect and CentreSuspect are widths and centre marks that all the
	// rest contradicts; they were set aside.
	WidthSuspect, CentreSuspect []bool

	// Odd is the sd in mm by which the halves of the outline differ each from
	// their mean; 0 where the outline is symmetric.
	Odd float64

	// In the corrected frame. Where the plane is not determined it is the
	// guess, and these are the pane as it would be mirrored there.
	Outline *Outline // image of itself in x = 0, unless Odd; starts there at the bottom, square to the line
	Face    *Face    // even in x; nil where there are fewer than three heights. Marks: edge, then face

	held *mirrorFit // what found the plane; nil where none was looked for or found
}

// Plane is the centre plane in the given frame.
func (s *Symmetric) Plane() geom.Plane {
	return motion{s.Shift, s.Skew, s.Roll}.plane()
}

// Bounds within which a plane counts as determined.
const (
	mostOffsetSD = 3.0                 // mm, at the mean edge mark
	mostSkewSD   = 0.5 * math.Pi / 180 // rad
	leastCheck   = 3                   // check stations on the other half
	leastCentre  = 2                   // centre marks
	bothHalves   = 0.25                // share of the edge marks on the lesser half that makes an outline of both
)

// FitSymmetric fits one symmetric outline, one even face and the plane they
// mirror in to all readings together, by penalised Gauss-Newton: roll and
// offset hide each other in any one kind of reading (a pane of radius 3 m that
// is rolled by a tenth of a degree shows its line of no cross slope 5 mm to
// the side), so the three unknowns of the plane are found with the shapes, and their
// covariance is that of the plane alone, shapes integrated out.
//
// From both halves the guess may be 30 mm and 3 degrees off. From one half it
// takes check stations on the other, taped widths or centre marks; without
// them nothing carries the plane, Determined is false and Why says what to
// measure. Marks that look like slips in the free fit should come
// as Aside. Marks are screened as in FitOutline, widths and centre marks at 4 sd;
// while the spline is at work, what misses by 3 to 6 sd loses its pull.
//
// On invented panes read to 0.5 mm (95 of 100 panes): from 80 marks all round
// and 40 heights the offset at the mean edge mark is right to 0.2 mm, skew to
// 0.03 and roll to 0.015 degrees; from one half and five check stations the
// offset to 0.3 mm, with four widths instead to 0.7 mm. The outline lies 0.19 mm
// from the true edge (median RMS; soft corners 0.25), from a half and five
// check stations 0.30. The stated uncertainty is honest to about a tenth.
//
// Errors are *MarkError, ctx's, and the refusal of an outline that crosses
// itself. Cost: some 30 ms for 100 edge marks and 60 heights, linear in both.
func FitSymmetric(ctx context.Context, in SymmetricInput) (*Symmetric, error) {
	if err := in.check(); err != nil {
		return nil, err
	}
	f := &mirrorFit{in: in, widthOff: make([]bool, len(in.Widths)), centreOff: make([]bool, len(in.Centre))}
	f.carry()
	why := f.missing()
	f.free = why == "" && !in.Fixed
	switch warm, err := f.warm(ctx); {
	case err != nil:
		return nil, err
	case warm:
		if s, err := f.report(why); err == nil {
			return s, nil
		}
	}
	f.arcs, f.sheet, f.loop = nil, nil, nil
	if err := f.begin(ctx); err != nil {
		return nil, err
	}
	if err := f.fit(ctx); err != nil {
		return nil, err
	}
	if f.free {
		if why = f.unsure(); why != "" {
			f.free, f.m = false, motion{}
			if err := f.restart(); err != nil {
				return nil, err
			}
			if err := f.fit(ctx); err != nil {
				return nil, err
			}
		}
	}
	return f.report(why)
}

// check refuses input that is no input.
func (in *SymmetricInput) check() error {
	if err := cmp.Or(checkMarks(in.Edge, true), checkMarks(in.Face, true), checkMarks(in.Centre, false)); err != nil {
		return err
	}
	if len(in.Edge) < leastMarks {
		return &MarkError{Reason: fmt.Sprintf("an outline needs at least %d edge marks, here are %d", leastMarks, len(in.Edge))}
	}
	if p, _ := planOf(in.Edge); thin(p) < 4*typicalSD(in.Edge) {
		return &MarkError{Reason: "all edge marks lie on one line"}
	}
	if in.Aside != nil && len(in.Aside) != len(in.Edge) {
		return fmt.Errorf("fit: %d marks, %d of them set aside or not", len(in.Edge), len(in.Aside))
	}
	for i, w := range in.Widths {
		if w.Mark < 0 || w.Mark >= len(in.Edge) || !finite(w.Length) || !(w.Length > 0) || !(w.SD > 0) || !finite(w.SD) || !(w.Along >= 0) || !finite(w.Along) {
			return fmt.Errorf("fit: width %d: mark %d, length %g, sd %g, along %g", i, w.Mark, w.Length, w.SD, w.Along)
		}
	}
	return nil
}

// evidence is what the readings hold about the plane.
type evidence struct {
	outline                 bool // both halves were read
	stations, widths, marks int
}

// source names the evidence in one word.
func (e evidence) source() string {
	var kinds []string
	if e.outline {
		kinds = append(kinds, "outline")
	} else if e.stations >= leastCheck {
		kinds = append(kinds, "stations")
	}
	if e.widths > 0 {
		kinds = append(kinds, "tapes")
	}
	if e.marks >= leastCentre {
		kinds = append(kinds, "marks")
	}
	switch len(kinds) {
	case 0:
		return "none"
	case 1:
		return kinds[0]
	}
	return "mixed"
}

// evidence counts it at the motion at hand. A mark on the lesser half counts as
// a check station beyond a quarter of the half width: what was read a little
// past the line says nothing about where the line is.
func (f *mirrorFit) evidence() evidence {
	var all, far [2]int // left, right
	var reach float64
	sound := pick(f.q, func(i int) bool { return f.in.Aside == nil || !f.in.Aside[i] })
	for _, q := range sound {
		reach = max(reach, math.Abs(q.X))
	}
	for _, q := range sound {
		side := 0
		if q.X > 0 {
			side = 1
		}
		all[side]++
		if math.Abs(q.X) > reach/4 {
			far[side]++
		}
	}
	lesser := 0
	if all[1] < all[0] {
		lesser = 1
	}
	return evidence{
		outline:  float64(all[lesser]) >= bothHalves*float64(len(sound)),
		stations: far[lesser],
		widths:   len(f.in.Widths),
		marks:    len(f.in.Centre),
	}
}

// missing says what to measure where nothing carries the plane.
func (f *mirrorFit) missing() string {
	if f.in.Fixed || f.evidence().source() != "none" {
		return ""
	}
	return "The readings do not say where the centre line is: read at least three check stations on the other half, tape a full width, or set two centre marks."
}

// unsure says what to measure where the plane came out too loose.
func (f *mirrorFit) unsure() string {
	u, skew := f.offsetSD(), math.Sqrt(f.cov[1][1])
	if u <= mostOffsetSD && skew <= mostSkewSD {
		return ""
	}
	return fmt.Sprintf("The readings hold the centre line only to %.0f mm and %.1f degrees: read check stations on the other half, three on the side and one each at top and bottom.",
		math.Ceil(2*u), math.Ceil(20*skew*180/math.Pi)/10)
}

// offsetSD is the sd of the plane's distance at the mean edge mark.
func (f *mirrorFit) offsetSD() float64 {
	var mean [3]float64
	for _, q := range f.q {
		for k, d := range f.m.change(q) {
			mean[k] += d.X / float64(len(f.q))
		}
	}
	var v float64
	for i, a := range mean {
		for j, b := range mean {
			v += a * b * f.cov[i][j]
		}
	}
	return math.Sqrt(max(0, v))
}

// report gathers the result.
func (f *mirrorFit) report(why string) (*Symmetric, error) {
	out := &Symmetric{Shift: f.m[0], Skew: f.m[1], Roll: f.m[2], Determined: why == "", Why: why,
		Source: f.evidence().source(), Motion: f.m.frame(), WidthSuspect: f.widthOff, CentreSuspect: f.centreOff}
	switch {
	case f.in.Fixed:
		out.Source = "typed"
	case !out.Determined:
		out.Source = "none"
	default:
		out.Cov, out.held = f.cov, f
		if f.even != nil {
			out.held = f.even
		}
	}
	sd := typicalSD(f.in.Edge)
	var err error
	if f.arcs != nil {
		if f.arcs.strayed {
			out.Odd = f.arcs.hyper.odd
		}
		out.Outline, err = f.arcs.outline(sd, f.in.LeastRadius, f.reordered)
	} else {
		for i := range f.loop.off {
			f.loop.off[i] = f.loop.off[i] || f.loop.w[i] == 0
		}
		_, f.loop.w = planOf(f.in.Edge)
		out.Outline, err = f.loop.outline(sd, f.reordered)
	}
	if err == nil {
		err = out.Outline.Curve.IsSimple()
	}
	if err != nil {
		return nil, outlineError(err)
	}
	if f.sheet != nil {
		for i, p := range f.pull {
			f.sheet.off[i] = p == 0
		}
		out.Face = newFace(f.sheet, len(f.in.Edge)+len(f.in.Face), f.height)
	}
	return out, nil
}
