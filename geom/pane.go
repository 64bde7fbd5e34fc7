package geom

import (
	"errors"
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Pane is the finished pane of glass as a solid, in one frame, as a rule the
// glass frame. NewPane makes it; it is not changed afterwards and may be used
// from several goroutines.
type Pane struct {
	Thickness float64 // mm, square to the faces
	Profile   Profile

	// The two faces, reaching beyond the edge. Lower is parallel to Upper at
	// the thickness, within 1e-5 mm out to the edge.
	Upper, Lower *Face

	// The arrises, on the same knots: at the same parameter the lower one
	// lies the thickness below the upper one, square to the upper face,
	// within 1e-4 mm. For a round edge they are where the half circle meets
	// the faces.
	UpperEdge, LowerEdge *SpaceCurve

	// Outline is the silhouette: the shadow of the solid along z, within 5 µm.
	Outline *Curve

	plan *Curve // of the upper arris
}

// Tolerances of a pane's parts, in millimetres.
const (
	edgeTolerance    = 5e-5  // of each arris
	outlineTolerance = 3e-3  // of the shadow; 5e-3 are promised
	edgeOverBox      = 1e-3  // how far the edge may leave the face's box
	edgeSag          = 0.01  // chords on which the slope of the edge is looked at
	thickest         = 100.0 // mm
	leastLeft        = 0.1   // of a bend's radius, at the lower face
)

// NewPane makes the solid from its upper face, the plan of the upper arris (the
// edge of that face, which must lie inside the face's box), the thickness t in
// millimetres and the profile of the edge. Where the face and the plan are
// symmetric about x = 0, the plan starting on that line, all that is made from
// them is symmetric too, to rounding.
//
// It fails with a *SteepError where the face is steeper than 60° at the edge,
// with the error of Curve.IsSimple where the plan or the outline crosses
// itself, and where the glass is bent more sharply than its thickness allows.
// The cost is 10^4 to 10^5 evaluations of the face, most of them for the lower
// face.
func NewPane(upper *Face, upperPlan *Curve, t float64, p Profile) (*Pane, error) {
	if upper == nil || upperPlan == nil {
		return nil, errors.New("geom: a pane needs a face and an edge")
	}
	if !(t > 0 && t <= thickest) {
		return nil, fmt.Errorf("geom: a pane of thickness %g mm", t)
	}
	if p != SquareEdge && p != RoundEdge {
		return nil, fmt.Errorf("geom: a pane with the edge %v", p)
	}
	if err := checkEdge(upper, upperPlan, t); err != nil {
		return nil, err
	}
	b := band{face: upper, plan: upperPlan, t: t, profile: p}
	pane := &Pane{Thickness: t, Profile: p, Upper: upper, plan: upperPlan}
	var err error
	if pane.UpperEdge, pane.LowerEdge, err = b.edges(); err != nil {
		return nil, fmt.Errorf("geom: the edge of the pane: %w", err)
	}
	if pane.Outline, err = FitClosed(b.shadow, upperPlan.Knots(), outlineTolerance); err != nil {
		return nil, fmt.Errorf("geom: the outline of the pane: %w", err)
	}
	if err = pane.Outline.IsSimple(); err != nil {
		return nil, fmt.Errorf("geom: the outline of the pane: %w", err)
	}
	if pane.Lower, err = lowerFace(pane); err != nil {
		return nil, err
	}
	return pane, nil
}

// checkEdge refuses a plan that crosses itself, leaves the face's box, or runs
// where the face is too steep or is bent over a radius so small that the
// parallel face at the thickness t folds.
func checkEdge(f *Face, plan *Curve, t float64) error {
	if err := plan.IsSimple(); err != nil {
		return fmt.Errorf("geom: the edge of the pane: %w", err)
	}
	in, out := plan.Bounds(), f.Box()
	if in.Min.X < out.Min.X-edgeOverBox || in.Min.Y < out.Min.Y-edgeOverBox ||
		in.Max.X > out.Max.X+edgeOverBox || in.Max.Y > out.Max.Y+edgeOverBox {
		return fmt.Errorf("geom: the face is known over %v only, the edge of the pane reaches to %v", out, in)
	}
	var worst SteepError
	for _, u := range plan.Flatten(edgeSag) {
		at := plan.At(u)
		h := f.Eval(at.X, at.Y)
		if s := h.Slope(); s > worst.Slope {
			worst = SteepError{At: at, Slope: s}
		}
		if _, _, _, k := h.Curvature(); !(1+t*k > leastLeft) {
			return fmt.Errorf("geom: the glass is bent over a radius of %.1f mm at x %.1f, y %.1f: too sharp for its thickness of %g mm", -1/k, at.X, at.Y, t)
		}
	}
	if worst.Slope > steepest {
		return &worst
	}
	return nil
}

// edges returns the two arrises on the same knots.
func (b band) edges() (upper, lower *SpaceCurve, err error) {
	onUpper := func(u float64) r3.Vec { return b.at(u).upper }
	onLower := func(u float64) r3.Vec { p, _ := b.at(u).down(b.t); return p }
	lower, err = FitClosed3(onLower, b.plan.Knots(), edgeTolerance)
	if err != nil {
		return nil, nil, err
	}
	upper, err = FitClosed3(onUpper, lower.Knots(), edgeTolerance)
	if err != nil || upper.N() == lower.N() {
		return upper, lower, err
	}
	knots := upper.Knots()
	pts := make([]r3.Vec, len(knots)-1)
	for i := range pts {
		pts[i] = onLower(knots[i])
	}
	lower, err = InterpolateClosed3(knots, pts)
	return upper, lower, err
}

// Shifted returns the pane moved by v.
func (p *Pane) Shifted(v r3.Vec) (*Pane, error) {
	if !allFinite(v.X, v.Y, v.Z) {
		return nil, fmt.Errorf("geom: a pane cannot be moved by %v", v)
	}
	q := *p
	q.Upper, q.Lower = p.Upper.Shifted(v.X, v.Y, v.Z), p.Lower.Shifted(v.X, v.Y, v.Z)
	move := func(c r3.Vec) r3.Vec { return r3.Add(c, v) }
	slide := func(c r2.Vec) r2.Vec { return r2.Add(c, planOf(v)) }
	var err [4]error
	q.UpperEdge, err[0] = p.UpperEdge.Transform(move)
	q.LowerEdge, err[1] = p.LowerEdge.Transform(move)
	q.Outline, err[2] = p.Outline.Transform(slide)
	q.plan, err[3] = p.plan.Transform(slide)
	if e := errors.Join(err[:]...); e != nil {
		return nil, e
	}
	return &q, nil
}
