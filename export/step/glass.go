package step

import (
	"errors"
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// bulgeMiss is how far the middle of a round edge may stray from the true half
// circle, in mm.
const bulgeMiss = 5e-5

// band is the edge of a pane, cut in four: the arrises and, for a round edge,
// the way from each of their points square to the edge and along the face, as
// long as the half circle's radius. All of a part are on the same knots.
type band struct {
	upper, lower, out [4]Spline
	round             bool
}

func bandOf(p *geom.Pane) (band, error) {
	if p == nil || p.Upper == nil || p.Lower == nil || p.UpperEdge == nil || p.LowerEdge == nil {
		return band{}, errors.New("not a whole pane")
	}
	if err := checkOnFace(p.UpperEdge, p.Upper); err != nil {
		return band{}, fmt.Errorf("upper arris: %w", err)
	}
	if err := checkOnFace(p.LowerEdge, p.Lower); err != nil {
		return band{}, fmt.Errorf("lower arris: %w", err)
	}
	b := band{round: p.Profile == geom.RoundEdge}
	runs := quarters(p.UpperEdge.Knots())
	if b.round {
		out, err := outward(p)
		if err != nil {
			return band{}, fmt.Errorf("round edge: %w", err)
		}
		runs = quarters(out.Knots())
		b.out = cut(out, runs)
	}
	b.upper, b.lower = cut(p.UpperEdge, runs), cut(p.LowerEdge, runs)
	for i := range runs {
		if err := errors.Join(b.upper[i].check(), b.lower[i].check()); err != nil {
			return band{}, err
		}
	}
	return b, nil
}

// outward returns, at each parameter of the arrises, the way from the middle of
// a round edge to its crest, as a curve about the origin. Its knots are those
// of the arrises and others between.
func outward(p *geom.Pane) (*geom.SpaceCurve, error) {
	return geom.FitClosed3(func(u float64) r3.Vec {
		a, da, _, _ := p.UpperEdge.Derivs(u)
		b, db, _, _ := p.LowerEdge.Derivs(u)
		square := r3.Cross(r3.Add(da, db), r3.Sub(a, b))
		return r3.Scale(p.Thickness/2, r3.Unit(square))
	}, p.UpperEdge.Knots(), bulgeMiss)
}

// solid writes a pane: upper face, lower face, four faces of the edge band.
func (o *out) solid(s Solid, b band) value {
	top, bottom := o.corners(b.upper[:]), o.corners(b.lower[:])
	var above, below, across [4]value
	for i := range above {
		above[i] = o.splineEdge(top[i], top[(i+1)%4], b.upper[i])
		below[i] = o.splineEdge(bottom[i], bottom[(i+1)%4], b.lower[i])
		across[i] = o.across(bottom[i], top[i], b, i)
	}
	faces := []value{
		o.face("upper face", o.faceSurface(s.Pane.Upper), false, forward(above[:]...)),
		o.face("lower face", o.faceSurface(s.Pane.Lower), true, backward(forward(below[:]...))),
	}
	for i := range above {
		loop := []side{{below[i], true}, {across[(i+1)%4], true}, {above[i], false}, {across[i], false}}
		faces = append(faces, o.face("edge", o.bandSurface(b, i), false, loop))
	}
	return o.add("MANIFOLD_SOLID_BREP", text(s.Name), o.add("CLOSED_SHELL", "''", list(faces...)))
}

// A half circle is a rational cubic with these weights, whose control points
// are its ends and, before each, the end moved twice the radius outward.
//
//	  1        1/3
//	L o - - - - o
//	   ------.  |     L, U  ends, 2r apart
//	          ) |
//	   ------'  |
//	U o - - - - o
//	  1        1/3
//
// It is the half circle's quadratic form, weights 1, 0, 1, raised by a degree.
var halfCircle = list("1.", real(1./3, ratioDecimals), real(1./3, ratioDecimals), "1.")

// across returns the edge across the band where its part i begins, from the
// lower arris to the upper.
func (o *out) across(from, to corner, b band, i int) value {
	if !b.round {
		return o.straightEdge(from, to)
	}
	pts := o.points(b.rows(i)[0])
	return o.edge(from, to, o.join(
		"BOUNDED_CURVE()",
		record("B_SPLINE_CURVE", "3", pts, ".UNSPECIFIED.", ".F.", ".F."),
		record("B_SPLINE_CURVE_WITH_KNOTS", "(4,4)", "(0.,1.)", ".UNSPECIFIED."),
		"CURVE()",
		"GEOMETRIC_REPRESENTATION_ITEM()",
		record("RATIONAL_B_SPLINE_CURVE", halfCircle),
		"REPRESENTATION_ITEM('')",
	))
}

// rows returns the control points of part i of the band: along the edge, and
// each row from the lower arris to the upper.
func (b band) rows(i int) [][]r3.Vec {
	lower, upper := b.lower[i].Ctrl, b.upper[i].Ctrl
	rows := make([][]r3.Vec, len(lower))
	for k := range rows {
		rows[k] = []r3.Vec{lower[k], upper[k]}
		if b.round {
			twice := r3.Scale(2, b.out[i].Ctrl[k])
			rows[k] = []r3.Vec{lower[k], r3.Add(lower[k], twice), r3.Add(upper[k], twice), upper[k]}
		}
	}
	return rows
}

// bandSurface writes the surface of part i of the band, its front outside.
func (o *out) bandSurface(b band, i int) value {
	var rows []value
	for _, row := range b.rows(i) {
		rows = append(rows, o.points(row))
	}
	mu, u := knots(b.lower[i].Knots, 3, parameter)
	if !b.round {
		return o.add("B_SPLINE_SURFACE_WITH_KNOTS", "''", "3", "1", list(rows...), ".UNSPECIFIED.", ".F.", ".F.", ".F.",
			mu, "(2,2)", u, "(0.,1.)", ".UNSPECIFIED.")
	}
	weights := make([]value, len(rows))
	for k := range weights {
		weights[k] = halfCircle
	}
	return o.join(
		"BOUNDED_SURFACE()",
		record("B_SPLINE_SURFACE", "3", "3", list(rows...), ".UNSPECIFIED.", ".F.", ".F.", ".F."),
		record("B_SPLINE_SURFACE_WITH_KNOTS", mu, "(4,4)", u, "(0.,1.)", ".UNSPECIFIED."),
		"GEOMETRIC_REPRESENTATION_ITEM()",
		record("RATIONAL_B_SPLINE_SURFACE", list(weights...)),
		"REPRESENTATION_ITEM('')",
		"SURFACE()",
	)
}

// sheet writes a face without thickness as a shell of its own.
func (o *out) sheet(s Sheet) value {
	outer := borders(s.Face)
	if s.Edge != nil {
		outer = Ring(s.Edge)
	}
	loops := [][]side{forward(o.ring(outer)...)}
	if s.Hole != nil {
		loops = append(loops, backward(forward(o.ring(s.Hole)...)))
	}
	face := o.face(s.Name, o.faceSurface(s.Face), false, loops...)
	shell := o.add("OPEN_SHELL", "''", list(face))
	return o.add("SHELL_BASED_SURFACE_MODEL", text(s.Name), list(shell))
}

// borders returns the four sides of a face's box on the face, counter-clockwise
// from the corner of least x and y.
func borders(f *geom.Face) []Spline {
	kx, ky, c := f.XKnots(), f.YKnots(), f.Coeffs()
	gx, gy := geom.Greville(kx), geom.Greville(ky)
	nx, ny := f.Size()
	at := func(i, j int) r3.Vec { return r3.Vec{X: gx[i], Y: gy[j], Z: c[i*ny+j]} }
	along := func(knots []float64, n int, back bool, at func(k int) r3.Vec) Spline {
		s := Spline{Knots: knots}
		for k := range n {
			s.Ctrl = append(s.Ctrl, at(k))
		}
		if back {
			s.reverse()
		}
		return s
	}
	return []Spline{
		along(kx, nx, false, func(k int) r3.Vec { return at(k, 0) }),
		along(ky, ny, false, func(k int) r3.Vec { return at(nx-1, k) }),
		along(kx, nx, true, func(k int) r3.Vec { return at(k, ny-1) }),
		along(ky, ny, true, func(k int) r3.Vec { return at(0, k) }),
	}
}
