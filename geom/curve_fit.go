package geom

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// InterpolateClosed returns the closed curve that passes through pts[i] at
// params[i]: the periodic cubic interpolant, which is unique. There is one
// more parameter than points; the last closes the period. It refuses fewer
// than four points, parameters that do not rise strictly and a curve that runs
// clockwise. Cost: linear.
func InterpolateClosed(params []float64, pts []r2.Vec) (*Curve, error) {
	r, ctrl, err := interpolateClosed(params, lift(pts))
	if err != nil {
		return nil, err
	}
	return NewCurve(r.u, drop(ctrl))
}

// FitClosed returns a closed curve that lies within tol mm of f at equal
// parameters. f is periodic over breaks[0] to breaks[last] and continuous with
// its tangent; the breaks should hold every place where its second or third
// derivative jumps. The curve goes through f at its knots, which are the
// breaks and, where the curve strays, the middles between them, again and
// again; the distance is checked at seven places between neighbouring knots.
// Breaks and function symmetric about breaks[0] give a symmetric curve.
//
// It refuses an f that is not finite, does not close or runs clockwise, and
// gives up beyond 16,384 spans. Cost: some ten calls of f a span.
//
// Where the curvature of f jumps, that of the curve rings: next to the jump it
// overshoots by up to an eighth of the jump.
func FitClosed(f func(u float64) r2.Vec, breaks []float64, tol float64) (*Curve, error) {
	r, ctrl, err := fitRing(func(u float64) r3.Vec {
		p := f(u)
		return r3.Vec{X: p.X, Y: p.Y}
	}, breaks, tol)
	if err != nil {
		return nil, err
	}
	return NewCurve(r.u, drop(ctrl))
}

// interpolateClosed checks the arguments of the interpolants and solves.
func interpolateClosed(params []float64, pts []r3.Vec) (knotRing, []r3.Vec, error) {
	for i, p := range pts {
		if !finite(p.X) || !finite(p.Y) || !finite(p.Z) {
			return knotRing{}, nil, fmt.Errorf("geom: interpolate: point %d is not finite", i)
		}
	}
	r, err := newRing(params, len(pts))
	if err != nil {
		return knotRing{}, nil, fmt.Errorf("geom: interpolate: %w", err)
	}
	return r, r.interpolate(pts), nil
}

// lift returns plane points as points in space at z = 0.
func lift(pts []r2.Vec) []r3.Vec {
	out := make([]r3.Vec, len(pts))
	for i, p := range pts {
		out[i] = r3.Vec{X: p.X, Y: p.Y}
	}
	return out
}

// drop returns points in space as seen from +z.
func drop(pts []r3.Vec) []r2.Vec {
	out := make([]r2.Vec, len(pts))
	for i, p := range pts {
		out[i] = r2.Vec{X: p.X, Y: p.Y}
	}
	return out
}
