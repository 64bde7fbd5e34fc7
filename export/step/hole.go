package step

import (
	"errors"
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// checkHole refuses pieces that do not make a loop round, one that runs
// clockwise, leaves the face or reaches to the sheet's edge or beyond.
func (s Sheet) checkHole() error {
	if len(s.Hole) < 2 {
		return errors.New("hole: a loop of fewer than two pieces")
	}
	outside := s.beyond()
	var plan geom.Polygon
	for i, piece := range s.Hole {
		next := s.Hole[(i+1)%len(s.Hole)]
		if err := piece.check(); err != nil {
			return fmt.Errorf("hole: %w", err)
		}
		if piece.Knots == nil {
			return errors.New("hole: straight pieces do not lie on a face")
		}
		if len(next.Ctrl) == 0 || !(r3.Norm(r3.Sub(piece.Ctrl[len(piece.Ctrl)-1], next.Ctrl[0])) <= onFace) {
			return fmt.Errorf("hole: piece %d does not end where the next begins", i)
		}
		for k := 3; k < len(piece.Ctrl); k++ {
			for j := range faceChecks {
				p := piece.at(piece.Knots[k] + (piece.Knots[k+1]-piece.Knots[k])*float64(j)/faceChecks)
				if d := off(p, s.Face); !(d <= onFace) {
					return fmt.Errorf("hole: it lies %.4f mm off the face at x %.1f, y %.1f, more than %g mm", d, p.X, p.Y, onFace)
				}
				q := r2.Vec{X: p.X, Y: p.Y}
				if !(outside(q) < -Uncertainty) {
					return fmt.Errorf("hole: it reaches to the edge at x %.1f, y %.1f", p.X, p.Y)
				}
				plan = append(plan, q)
			}
		}
	}
	if err := plan.IsSimple(); err != nil {
		return fmt.Errorf("hole: %w", err)
	}
	if plan.Area() < 0 {
		return errors.New("hole: it runs clockwise")
	}
	return nil
}

// beyond returns how far a place in plan lies outside a sheet's edge, mm,
// negative inside.
func (s Sheet) beyond() func(r2.Vec) float64 {
	if s.Edge != nil {
		if plan, err := s.Edge.Plan(); err == nil {
			return func(q r2.Vec) float64 { _, d := plan.Nearest(q); return d }
		}
	}
	b := s.Face.Box()
	return func(q r2.Vec) float64 { return max(b.Min.X-q.X, b.Min.Y-q.Y, q.X-b.Max.X, q.Y-b.Max.Y) }
}

// at returns a point of the spline, which has knots: by the scheme of de Boor.
func (s Spline) at(u float64) r3.Vec {
	k := 3
	for k < len(s.Ctrl)-1 && u >= s.Knots[k+1] {
		k++
	}
	var d [4]r3.Vec
	copy(d[:], s.Ctrl[k-3:k+1])
	for r := 1; r <= 3; r++ {
		for j := 3; j >= r; j-- {
			i := j + k - 3
			a := (u - s.Knots[i]) / (s.Knots[i+4-r] - s.Knots[i])
			d[j] = r3.Add(r3.Scale(1-a, d[j-1]), r3.Scale(a, d[j]))
		}
	}
	return d[3]
}
