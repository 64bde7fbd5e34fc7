package handover

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	stepfile "panewright/export/step"
	"panewright/geom"
)

const (
	flangeSag   = 0.002 // mm, chords on which the inner line is looked at
	flangeShort = 0.05  // mm by which it may come nearer to the edge than its width
)

// flange is the strip of a face between its edge and the line that lies so far
// inside, measured along the face and square to the edge. Where a corner is
// tighter than that the line has a sharp corner.
func (s skin) flange(width float64) (stepfile.Sheet, error) {
	hole, err := s.inside(width)
	if err != nil {
		return stepfile.Sheet{}, err
	}
	return stepfile.Sheet{Name: "flange", Group: "flange", Face: s.face, Edge: s.edge, Hole: hole}, nil
}

// inward is the plan of the place on the face that lies so far from its edge, in
// steps along the face.
func (s skin) inward(u, width float64) r2.Vec {
	const steps = 4
	at, way := s.outward(u)
	way = r3.Scale(-1, way)
	for range steps {
		at = s.foot(r3.Add(at, r3.Scale(width/steps, way)))
		n := s.normal(at)
		way = r3.Unit(r3.Sub(way, r3.Scale(r3.Dot(way, n), n)))
	}
	return r2.Vec{X: at.X, Y: at.Y}
}

// foot is the place of the face nearest to one close to it.
func (s skin) foot(q r3.Vec) r3.Vec {
	for range 4 {
		h := s.face.Eval(q.X, q.Y)
		n := h.Normal()
		q = r3.Sub(q, r3.Scale((q.Z-h.Z)*n.Z, n))
	}
	return q
}

// lift is a place of the plan on the face.
func (s skin) lift(q r2.Vec) r3.Vec { return r3.Vec{X: q.X, Y: q.Y, Z: s.face.At(q.X, q.Y)} }

// fold is a stretch of the edge, by its parameters, whose inward places are left
// out: from and to have the same one.
type fold struct{ from, to float64 }

// inside is the line so far inside the edge, in pieces.
func (s skin) inside(width float64) ([]stepfile.Spline, error) {
	folds, err := s.folds(width)
	if err != nil {
		return nil, err
	}
	line, err := s.bridged(width, folds)
	if err != nil {
		return nil, err
	}
	if err := s.checkInside(line, width, folds); err != nil {
		return nil, err
	}
	if len(folds) == 0 {
		return stepfile.Ring(line), nil
	}
	var pieces []stepfile.Spline
	lo, hi := line.Period()
	for i, f := range folds {
		from, to := f.to, folds[(i+1)%len(folds)].from
		if to <= from {
			to += hi - lo
		}
		cuts := []float64{from, to}
		if len(folds) == 1 {
			cuts = []float64{from, (from + to) / 2, to}
		}
		for k := range cuts[1:] {
			piece, err := stepfile.Stretch(line, cuts[k], cuts[k+1])
			if err != nil {
				return nil, err
			}
			pieces = append(pieces, piece)
		}
	}
	return pieces, nil
}

// folds are the corners too tight for the width: where the line of all inward
// places crosses itself. They rise, and none holds another.
func (s skin) folds(width float64) ([]fold, error) {
	plan, err := s.edge.Plan()
	if err != nil {
		return nil, err
	}
	us := finer(plan.Flatten(flangeSag), plan)
	lo, hi := plan.Period()
	n := len(us)
	at := func(k int) float64 { return us[k%n] + float64(k/n)*(hi-lo) }
	line := make([]r2.Vec, n)
	for i, u := range us {
		line[i] = s.inward(u, width)
	}
	var out []fold
	for i := 0; i < n; i++ {
		for j := i + n/2; j > i+1; j-- { // a fold holds fewer than half of the places
			if !meet(line[i], line[(i+1)%n], line[j%n], line[(j+1)%n]) {
				continue
			}
			f, ok := s.crossing(width, [2]float64{at(i), at(i + 1)}, [2]float64{at(j), at(j + 1)})
			if !ok {
				return nil, fmt.Errorf("a corner at x %.0f, y %.0f is just as tight as it is wide: try it a little narrower or wider", line[i].X, line[i].Y)
			}
			out = append(out, f)
			i = j // past the fold
			break
		}
	}
	if k := len(out); k > 1 && out[k-1].to > out[0].from+hi-lo { // the first was met once more, a turn later
		out = out[:k-1]
	}
	return out, nil
}

// finer are parameters with three more between each two.
func finer(us []float64, c *geom.Curve) (out []float64) {
	const parts = 4
	_, end := c.Period()
	for i, a := range us {
		b := end
		if i+1 < len(us) {
			b = us[i+1]
		}
		for k := range parts {
			out = append(out, a+(b-a)*float64(k)/parts)
		}
	}
	return out
}

// meet tells whether two straight pieces cross.
func meet(a, b, c, d r2.Vec) bool {
	turn := func(p, q, r r2.Vec) float64 { return r2.Cross(r2.Sub(q, p), r2.Sub(r, p)) }
	return turn(a, b, c)*turn(a, b, d) < 0 && turn(c, d, a)*turn(c, d, b) < 0
}

// crossing is the fold whose ends lie in two stretches of parameters, the straight
// pieces between which cross: both are halved again and again, and Newton's method
// does the rest.
func (s skin) crossing(width float64, a, b [2]float64) (fold, bool) {
	const halvings = 12
	for range halvings {
		a2, b2, ok := s.halfThatMeets(width, a, b)
		if !ok {
			break
		}
		a, b = a2, b2
	}
	return s.closeUp(width, fold{(a[0] + a[1]) / 2, (b[0] + b[1]) / 2})
}

// halfThatMeets are the halves of two stretches between which the pieces cross.
func (s skin) halfThatMeets(width float64, a, b [2]float64) (_, _ [2]float64, ok bool) {
	p, q := s.halves(width, a), s.halves(width, b)
	for _, x := range p {
		for _, y := range q {
			if meet(x.from, x.to, y.from, y.to) {
				return x.u, y.u, true
			}
		}
	}
	return a, b, false
}

// half is half a stretch of parameters, and its ends.
type half struct {
	u        [2]float64
	from, to r2.Vec
}

func (s skin) halves(width float64, u [2]float64) [2]half {
	m := (u[0] + u[1]) / 2
	a, b, c := s.inward(u[0], width), s.inward(m, width), s.inward(u[1], width)
	return [2]half{{[2]float64{u[0], m}, a, b}, {[2]float64{m, u[1]}, b, c}}
}

// closeUp moves the ends of a fold until their inward places are one.
func (s skin) closeUp(width float64, f fold) (fold, bool) {
	const (
		rounds = 30
		close  = 1e-10 // mm
	)
	long := f.to - f.from
	for range rounds {
		miss := r2.Sub(s.inward(f.to, width), s.inward(f.from, width))
		if r2.Norm(miss) < close {
			return f, f.to-f.from > long/2 && f.to-f.from < 2*long
		}
		da, db := s.along(f.from, width), s.along(f.to, width)
		det := -r2.Cross(da, db)
		f.from += r2.Cross(db, miss) / det
		f.to += r2.Cross(da, miss) / det
		if math.IsNaN(f.from) || math.IsNaN(f.to) {
			break
		}
	}
	return f, false
}

// along is the derivative of the inward place.
func (s skin) along(u, width float64) r2.Vec {
	lo, hi := s.edge.Period()
	h := 1e-6 * (hi - lo)
	return r2.Scale(1/(2*h), r2.Sub(s.inward(u+h, width), s.inward(u-h, width)))
}

// bridged is the line of inward places on the face as one closed curve, with a
// smooth loop in place of each fold.
func (s skin) bridged(width float64, folds []fold) (*geom.SpaceCurve, error) {
	lo, hi := s.edge.Period()
	period := hi - lo
	within := func(u float64) (fold, float64, bool) { // and how far into it, 0 to 1
		for _, f := range folds {
			for _, v := range []float64{u, u + period} {
				if v > f.from && v < f.to {
					return f, (v - f.from) / (f.to - f.from), true
				}
			}
		}
		return fold{}, 0, false
	}
	var breaks []float64
	for _, u := range s.edge.Knots() {
		if _, _, in := within(u); !in || u == lo || u == hi {
			breaks = append(breaks, u)
		}
	}
	for _, f := range folds {
		breaks = append(breaks, wrapped(f.from, lo, hi), wrapped(f.to, lo, hi))
	}
	breaks = spread(breaks, 1e-9*period)
	place := func(u float64) r3.Vec {
		f, t, in := within(u)
		if !in {
			return s.lift(s.inward(u, width))
		}
		p := s.inward(f.from, width)
		d0, d1 := r2.Scale(f.to-f.from, s.along(f.from, width)), r2.Scale(f.to-f.from, s.along(f.to, width))
		// Hermite's cubic from p back to p
		return s.lift(r2.Add(p, r2.Add(r2.Scale(t*(1-t)*(1-t), d0), r2.Scale(-t*t*(1-t), d1))))
	}
	line, err := geom.FitClosed3(place, breaks, bodyCurve)
	if err != nil {
		return nil, fmt.Errorf("the line inside the edge: %w", err)
	}
	return line, nil
}

// wrapped brings a parameter into the period.
func wrapped(u, lo, hi float64) float64 {
	if u >= hi {
		u -= hi - lo
	}
	return max(u, lo)
}

// spread sorts parameters and drops those that fall together, but not the ends.
func spread(u []float64, least float64) []float64 {
	slices.Sort(u)
	out := u[:1]
	for _, v := range u[1:] {
		if v-out[len(out)-1] > least {
			out = append(out, v)
		}
	}
	out[len(out)-1] = u[len(u)-1]
	return out
}

// checkInside refuses a line that comes nearer to the edge than its width.
func (s skin) checkInside(line *geom.SpaceCurve, width float64, folds []fold) error {
	lo, hi := s.edge.Period()
	edge := make([]r3.Vec, 0, 4000)
	for i := range cap(edge) {
		edge = append(edge, s.edge.At(lo+(hi-lo)*float64(i)/float64(cap(edge))))
	}
	const places = 600
next:
	for i := range places {
		u := lo + (hi-lo)*float64(i)/places
		for _, f := range folds {
			if u >= f.from && u <= f.to || u+hi-lo >= f.from && u+hi-lo <= f.to {
				continue next
			}
		}
		q := line.At(u)
		for _, e := range edge {
			if d := r3.Norm(r3.Sub(q, e)); d < width-flangeShort {
				return fmt.Errorf("a strip %g mm wide does not fit: two parts of its inner line meet at x %.0f, y %.0f", width, q.X, q.Y)
			}
		}
	}
	return nil
}
