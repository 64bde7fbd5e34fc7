package geom

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Pane is the finished pane of glass as a solid, in one frame, as a rule the
// glass frame. It is not changed after it is made.
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
	lowerTolerance   = 3e-6  // of the lower face; 1e-5 are promised
	lowerMargin      = 5.0   // least reach of the lower face beyond its edge
	edgeOverBox      = 1e-3  // how far the edge may leave the face's box
	edgeSag          = 0.01  // chords on which the slope of the edge is looked at
	thickest         = 100.0 // mm
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
// The cost is some ten thousand evaluations of the face.
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
	if err := checkEdge(upper, upperPlan); err != nil {
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

// checkEdge refuses a plan that crosses itself, leaves the face's box or runs
// where the face is too steep.
func checkEdge(f *Face, plan *Curve) error {
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
		if s := f.Eval(at.X, at.Y).Slope(); s > worst.Slope {
			worst = SteepError{At: at, Slope: s}
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

// lowerFace returns the face parallel to the pane's upper face at its
// thickness: interpolated on the knots of the upper face, which are divided
// until it is within the tolerance inside the edge and on it.
func lowerFace(p *Pane) (*Face, error) {
	const mostParts = 24
	exact := Offset{Of: p.Upper, D: -p.Thickness}
	reach := reachOf(p.UpperEdge, p.LowerEdge)
	bx := stretched(breaksOf(p.Upper.kx), reach.Min.X-lowerMargin, reach.Max.X+lowerMargin)
	by := stretched(breaksOf(p.Upper.ky), reach.Min.Y-lowerMargin, reach.Max.Y+lowerMargin)
	inside := p.edgePolygon()
	for parts := 1; parts <= mostParts; parts += (parts + 1) / 2 {
		cut := func(int) int { return parts }
		x, y := splitSpans(bx, cut), splitSpans(by, cut)
		f, err := faceThrough(exact, clampedVector(x), clampedVector(y))
		if err != nil {
			return nil, fmt.Errorf("geom: the lower face: the glass is bent more sharply than its thickness allows: %w", err)
		}
		if p.meets(f) && within(f, exact, x, y, inside, lowerTolerance) {
			return f, nil
		}
	}
	return nil, errors.New("geom: the lower face: the upper face is not smooth enough to be offset by the thickness")
}

// reachOf returns the plan box of the two arrises.
func reachOf(a, b *SpaceCurve) r2.Box {
	box := r2.Box{Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	for _, c := range []*SpaceCurve{a, b} {
		for _, p := range c.ctrl { // the curve lies within their hull
			box.Min.X, box.Min.Y = min(box.Min.X, p.X), min(box.Min.Y, p.Y)
			box.Max.X, box.Max.Y = max(box.Max.X, p.X), max(box.Max.Y, p.Y)
		}
	}
	return box
}

// stretched returns the breaks with their ends moved out to reach lo and hi.
func stretched(breaks []float64, lo, hi float64) []float64 {
	b := append([]float64(nil), breaks...)
	b[0], b[len(b)-1] = min(b[0], lo), max(b[len(b)-1], hi)
	return b
}

// edgePolygon returns the plan of the upper arris in chords.
func (p *Pane) edgePolygon() Polygon {
	var poly Polygon
	for _, u := range p.plan.Flatten(edgeSag) {
		poly = append(poly, p.plan.At(u))
	}
	return poly
}

// meets tells whether the lower face f passes through the lower arris.
func (p *Pane) meets(f *Face) bool {
	b := band{face: p.Upper, plan: p.plan, t: p.Thickness, profile: p.Profile}
	knots := p.LowerEdge.u
	for i := range knots[1:] {
		q, _ := b.at((knots[i] + knots[i+1]) / 2).down(b.t)
		if !(math.Abs(f.At(q.X, q.Y)-q.Z) <= lowerTolerance) {
			return false
		}
	}
	return true
}

// within tells whether f agrees with s inside the polygon, looked at in five
// places of every cell of the knots.
func within(f *Face, s Surface, x, y []float64, inside Polygon, tol float64) bool {
	places := [5][2]float64{{0.5, 0.5}, {0.2, 0.3}, {0.7, 0.2}, {0.8, 0.7}, {0.3, 0.8}}
	for i := range x[1:] {
		for j := range y[1:] {
			for _, c := range places {
				q := r2.Vec{X: x[i] + c[0]*(x[i+1]-x[i]), Y: y[j] + c[1]*(y[j+1]-y[j])}
				if !inside.Contains(q) {
					continue
				}
				if !(math.Abs(f.At(q.X, q.Y)-s.Eval(q.X, q.Y).Z) <= tol) {
					return false
				}
			}
		}
	}
	return true
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
