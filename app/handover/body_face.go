package handover

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	stepfile "panewright/export/step"
	"panewright/geom"
)

// skin is a face of the glass, or one parallel to it, with its edge.
type skin struct {
	name string // outer, inner
	face *geom.Face
	edge *geom.SpaceCurve
	away float64 // +1 where the face's upward normal points away from the glass, -1 where into it
}

// skins are the outer and the inner face of a pane as it lies.
func (p *pack) skins(pane *geom.Pane) [2]skin {
	upper := skin{"outer", pane.Upper, pane.UpperEdge, 1}
	lower := skin{"inner", pane.Lower, pane.LowerEdge, -1}
	if p.bowl() {
		upper.name, lower.name = lower.name, upper.name
		return [2]skin{lower, upper}
	}
	return [2]skin{upper, lower}
}

const (
	bodyMiss   = 1e-3 // mm by which a made face may stray from the true parallel face
	bodyCurve  = 2e-4 // mm, of the plan of a curve on a face
	bodyMargin = 5.0  // mm that a face reaches beyond its edge
)

// normal is the upward unit normal of the face where a point of it lies.
func (s skin) normal(q r3.Vec) r3.Vec { return s.face.Eval(q.X, q.Y).Normal() }

// outward is the direction, in the tangent plane of the face and square to its
// edge, that leads off the glass.
func (s skin) outward(u float64) (at, out r3.Vec) {
	at, along, _, _ := s.edge.Derivs(u)
	return at, r3.Unit(r3.Cross(along, s.normal(at)))
}

// parallel is the face at a distance square to this one, d > 0 above it, with the
// edge that lies square above or below this one's.
func (s skin) parallel(d float64) (*geom.Face, *geom.SpaceCurve, error) {
	plan, err := geom.FitClosed(func(u float64) r2.Vec {
		q := s.edge.At(u)
		q = r3.Add(q, r3.Scale(d, s.normal(q)))
		return r2.Vec{X: q.X, Y: q.Y}
	}, s.edge.Knots(), bodyCurve)
	if err != nil {
		return nil, nil, err
	}
	if err := plan.IsSimple(); err != nil {
		return nil, nil, err
	}
	face, err := made(geom.Offset{Of: s.face, D: d}, plan)
	if err != nil {
		return nil, nil, err
	}
	edge, err := stepfile.Lift(plan, face)
	return face, edge, err
}

// made is a smooth face through a surface, good inside a closed curve: its pitch
// is halved until it strays by no more than bodyMiss.
func made(s geom.Surface, edge *geom.Curve) (*geom.Face, error) {
	const widest, closest = 100, 6 // mm
	box := grown(edge.Bounds(), bodyMargin)
	inside := loop(edge)
	for pitch := float64(widest); pitch >= closest; pitch /= 2 {
		f, err := geom.FaceThrough(s, box, pitch)
		if err != nil {
			return nil, fmt.Errorf("the glass is bent too sharply: %w", err)
		}
		if strays(f, s, inside) <= bodyMiss {
			return f, nil
		}
	}
	return nil, errors.New("the face is not smooth enough to be offset")
}

// strays is by how much a face strays from a surface at most, inside a polygon, at
// places between those that the face was made through.
func strays(f *geom.Face, s geom.Surface, inside geom.Polygon) float64 {
	most := 0.0
	x, y := between(f.XKnots()), between(f.YKnots())
	for _, x := range x {
		for _, y := range y {
			if inside.Contains(r2.Vec{X: x, Y: y}) {
				if d := math.Abs(f.At(x, y) - s.Eval(x, y).Z); !(d <= most) {
					most = d
				}
			}
		}
	}
	return most
}

// between are two places within each span of clamped knots.
func between(knots []float64) (at []float64) {
	for i := 3; i+4 < len(knots); i++ {
		for _, f := range []float64{0.25, 0.75} {
			at = append(at, knots[i]+f*(knots[i+1]-knots[i]))
		}
	}
	return at
}

// grown is a box with a margin all round.
func grown(b r2.Box, by float64) r2.Box {
	m := r2.Vec{X: by, Y: by}
	return r2.Box{Min: r2.Sub(b.Min, m), Max: r2.Add(b.Max, m)}
}

// extended is the face continued so far past its edge, seen from above. Inside
// its old box it is the very same; beyond, it keeps slope and bend.
func (s skin) extended(by float64) (stepfile.Sheet, error) {
	plan, err := s.edge.Plan()
	if err != nil {
		return stepfile.Sheet{}, err
	}
	if plan, err = plan.Offset(by, 10*bodyCurve); err != nil {
		return stepfile.Sheet{}, err
	}
	face, err := continued(s.face, grown(plan.Bounds(), bodyMargin))
	if err != nil {
		return stepfile.Sheet{}, err
	}
	edge, err := stepfile.Lift(plan, face)
	return stepfile.Sheet{Name: "extended", Group: "extended", Face: face, Edge: edge}, err
}

// continued is a face whose box reaches over another one too: a span is added on
// each side that needs it. It joins the old box with two continuous derivatives,
// and along its way outward it is a parabola.
func continued(f *geom.Face, over r2.Box) (*geom.Face, error) {
	kx, ky, c := f.XKnots(), f.YKnots(), f.Coeffs()
	nx, ny := f.Size()
	rows := make([][]float64, nx)
	for i := range rows {
		rows[i] = c[i*ny : (i+1)*ny]
	}
	ky, rows = continuedAlong(ky, rows, over.Min.Y, over.Max.Y)
	kx, columns := continuedAlong(kx, flipped(rows), over.Min.X, over.Max.X)
	var flat []float64
	for _, row := range flipped(columns) {
		flat = append(flat, row...)
	}
	return geom.NewFace(kx, ky, flat)
}

// continuedAlong adds spans to splines on the same clamped knots so that they
// reach from lo to hi.
func continuedAlong(knots []float64, rows [][]float64, lo, hi float64) ([]float64, [][]float64) {
	out := make([][]float64, len(rows))
	copy(out, rows)
	if lo < knots[0] {
		for i, r := range out {
			out[i] = before(knots, r, lo)
		}
		knots = append([]float64{lo, lo, lo, lo}, knots[3:]...)
	}
	if back := mirrored(knots); -hi < back[0] {
		for i, r := range out {
			out[i] = turned(before(back, turned(r), -hi))
		}
		knots = mirrored(append([]float64{-hi, -hi, -hi, -hi}, back[3:]...))
	}
	return knots, out
}

// before returns the coefficients of a spline that begins at lo, before its first
// knot a, where it was clamped. The new ones are the blossom of the first piece at
// (lo, a, k) and (lo, lo, a), k the next knot, which the piece before shares; and
// at (lo, lo, lo) that of the piece before, so that its third derivative is
// nought.
func before(knots, c []float64, lo float64) []float64 {
	a, k1, k2 := knots[3], knots[4], knots[5]
	along := func(p, q, from, to float64) float64 { return p + (lo-from)/(to-from)*(q-p) }
	aal := along(c[0], c[1], a, k1)
	akl := along(c[1], c[2], a, k2)
	all := along(aal, akl, a, k1)
	lll := 3*all - 3*aal + c[0]
	return append([]float64{lll, all, akl}, c[2:]...)
}

// mirrored are knots as seen from the other end.
func mirrored(knots []float64) []float64 {
	out := make([]float64, len(knots))
	for i, u := range knots {
		out[len(knots)-1-i] = -u
	}
	return out
}

// turned is a row the other way round.
func turned(c []float64) []float64 {
	out := make([]float64, len(c))
	for i, v := range c {
		out[len(c)-1-i] = v
	}
	return out
}

// flipped exchanges rows and columns.
func flipped(rows [][]float64) [][]float64 {
	out := make([][]float64, len(rows[0]))
	for j := range out {
		for i := range rows {
			out[j] = append(out[j], rows[i][j])
		}
	}
	return out
}

// aperture is the edge of the body's panel round the glass: so far from the widest
// place of the glass's edge, in the tangent plane of the outer face.
func (s skin) aperture(gap float64, pane *geom.Pane) (*geom.SpaceCurve, error) {
	if pane.Profile == geom.RoundEdge {
		gap += pane.Thickness / 2
	}
	line, err := geom.FitClosed3(func(u float64) r3.Vec {
		at, out := s.outward(u)
		return r3.Add(at, r3.Scale(gap, out))
	}, s.edge.Knots(), bodyCurve)
	if err != nil {
		return nil, err
	}
	plan, err := line.Plan()
	if err != nil {
		return nil, err
	}
	return line, plan.IsSimple()
}
