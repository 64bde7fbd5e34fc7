package fit_test

import (
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// leastVariance is the Cramér-Rao bound of offset, skew and roll of the centre
// plane (mm², rad²): the variance that no unbiased estimate from these
// readings beats even if it knows outline and face exactly and only the pose
// of the pane, six unknowns, is open. It counts the noise square to the edge
// of an edge mark and square to the face of a height. An unknown smooth shape
// that is even hardly loosens it, because the plane's own motions are odd.
//
// Offset is at the point at, skew and roll are about the axes of the frame f,
// board to fit. It is the diagonal of the inverse of the information; where
// that is singular, as for the skew of a circle, ok is false.
func (p *specimen) leastVariance(in readings, f geom.Frame, at r3.Vec) (v [3]float64, ok bool) {
	n := p.plane(f).Normal
	up := r3.Vec{Z: 1}
	axes := []r3.Vec{up, r3.Unit(r3.Cross(n, up)), n} // skew, roll, and the spin that leaves the plane alone
	whole := p.board.Then(f)
	information := mat.NewSymDense(6, nil)
	add := func(k reading, toward []r3.Vec) {
		arm := r3.Sub(whole.Apply(p.lift(k.own)), at)
		moves := []r3.Vec{n}
		for _, a := range axes[:2] {
			moves = append(moves, r3.Cross(a, arm))
		}
		moves = append(moves, axes[1], up, r3.Cross(axes[2], arm))
		for _, d := range toward {
			var row [6]float64
			for j, m := range moves {
				row[j] = r3.Dot(d, m) / sigma
			}
			information.SymRankOne(information, 1, mat.NewVecDense(6, row[:]))
		}
	}
	for _, k := range in.edge {
		t := f.Rotate(k.dir)
		a := r3.Unit(r3.Sub(up, r3.Scale(t.Z, t)))
		add(k, []r3.Vec{a, r3.Cross(t, a)})
	}
	for _, k := range in.face {
		add(k, []r3.Vec{f.Rotate(k.dir)})
	}
	var chol mat.Cholesky
	if !chol.Factorize(information) || chol.Cond() > 1e14 {
		return v, false
	}
	var inverse mat.SymDense
	if err := chol.InverseTo(&inverse); err != nil {
		return v, false
	}
	for i := range v {
		v[i] = inverse.At(i, i)
	}
	return v, true
}
