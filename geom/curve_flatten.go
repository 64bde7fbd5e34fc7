package geom

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// mostParts is the most parts that one span is ever divided into.
const mostParts = 1 << 14

// Flatten returns rising parameters, from the first knot, such that no point
// of the curve is further than sag mm from the chord between its neighbouring
// parameters, the last of which is followed by the first: the last knot is
// left out. Each span is divided evenly, so a symmetric curve gives symmetric
// parameters. It returns nil where sag is not positive.
//
// The bound is strict: a chord cannot be further from its curve than an eighth
// of the greatest second derivative square to the chord times the square of
// the parameter's step. Cost: linear in what is returned.
func (c *Curve) Flatten(sag float64) []float64 {
	return c.flatten(sag, math.Inf(1))
}

// flatten is Flatten with, besides, no step that turns by more than turn.
func (c *Curve) flatten(sag, turn float64) []float64 {
	return divide(c.u, sag, func(span int, t0, t1 float64) float64 {
		s := &c.spans[span]
		return math.Max(s.sag(t0, t1), sag*s.turned(t0, t1, turn, sag))
	})
}

func square(x float64) float64 { return x * x }

// sag returns a bound on the distance of the span's part from t0 to t1 from
// its chord.
func (s *cubic) sag(t0, t1 float64) float64 {
	chord := r2.Sub(s.at(t1), s.at(t0))
	a0, a1 := s.acceleration(t0), s.acceleration(t1)
	bend := math.Max(r2.Norm(a0), r2.Norm(a1))
	if l := r2.Norm(chord); l > 0 {
		bend = math.Max(math.Abs(r2.Cross(a0, chord)), math.Abs(r2.Cross(a1, chord))) / l
	}
	return bend * square(t1-t0) / 8
}

// turned returns the square of the angle by which the tangent turns from t0 to
// t1, as a multiple of limit; nought for a part of no more than size mm, so
// that a place where the curve stands still is not divided without end.
func (s *cubic) turned(t0, t1, limit, size float64) float64 {
	if r2.Norm(r2.Sub(s.at(t1), s.at(t0))) <= size {
		return 0
	}
	v0, v1 := s.velocity(t0), s.velocity(t1)
	return square(math.Atan2(r2.Cross(v0, v1), r2.Dot(v0, v1)) / limit)
}

// divide returns rising parameters that divide every span between the knots
// into the least number of equal parts, near enough, for each to have a sag of
// at most limit. sag must shrink about as the square of the part's length. The
// last knot is left out.
func divide(knots []float64, limit float64, sag func(span int, t0, t1 float64) float64) []float64 {
	if !(limit > 0) {
		return nil
	}
	limit = math.Min(limit, math.MaxFloat64)
	var out []float64
	for i := range knots[1:] {
		m, h := 1, knots[i+1]-knots[i]
		for m < mostParts {
			worst := 0.0
			for k := range m {
				worst = math.Max(worst, sag(i, h*float64(k)/float64(m), h*float64(k+1)/float64(m)))
			}
			excess := worst / limit
			if !(excess > 1+1e-9) { // a margin, lest rounding decide between mirror images
				break
			}
			growth := math.Min(math.Sqrt(excess), mostParts)
			m = min(max(m+1+m/16, int(float64(m)*growth)), mostParts)
		}
		for k := range m {
			out = append(out, knots[i]+h*float64(k)/float64(m))
		}
	}
	return out
}

// IsSimple returns nil where the curve does not cross or touch itself, else a
// *CrossingError that says where. Loops narrower than a millionth of the
// curve's extent are not seen. Cost: about 1 ms for the outline of a pane.
func (c *Curve) IsSimple() error {
	box := c.Bounds()
	params := c.flatten(1e-6*r2.Norm(r2.Sub(box.Max, box.Min)), 0.2)
	line := make(Polygon, 0, len(params))
	for _, u := range params {
		line = append(line, c.At(u))
	}
	err := line.IsSimple()
	var crossing *CrossingError
	if errors.As(err, &crossing) {
		i := crossing.Edges[0]
		crossing.Edges = [2]int{c.spanOf(params[i]), c.spanOf(params[crossing.Edges[1]])}
	}
	return err
}

// spanOf returns the span that holds u.
func (c *Curve) spanOf(u float64) int {
	i, _ := c.locate(u)
	return i
}
