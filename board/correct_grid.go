package board

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom/fit"
)

// usualGridSD is the standard uncertainty of a length taped along a drawn line,
// mm (common practice).
const usualGridSD = 0.5

// sd is the standard uncertainty of the measured lengths, mm.
func (g *GridCheck) sd() float64 {
	if g.SD.Set {
		return g.SD.MM
	}
	return usualGridSD
}

// gridFix is how the grid was really drawn: across stretched by 1 + a along the
// base line, up by 1 + b along the side, which leans by shear from square to the
// base, + to the right. Zero is a grid as it was meant.
type gridFix struct {
	a, b, shear    float64 // shear in radians
	ua, ub, uShear float64 // standard uncertainties; 0 where not measured
	misfit         float64 // of the lengths, in their sd; 0 where none is left to tell
	over           int     // lengths more than unknowns
}

// plan is where the lines' crossing (x, y) of the grid as meant really lies.
func (g gridFix) plan(p r2.Vec) r2.Vec {
	s, c := math.Sincos(g.shear)
	up := p.Y * (1 + g.b)
	return r2.Vec{X: p.X*(1+g.a) + up*s, Y: up * c}
}

// lengths are the four lengths of a rectangle of base by side drawn so: base,
// side, rising and falling diagonal.
func (g gridFix) lengths(base, side float64) [4]float64 {
	o, r, u, ru := r2.Vec{}, g.plan(r2.Vec{X: base}), g.plan(r2.Vec{Y: side}), g.plan(r2.Vec{X: base, Y: side})
	return [4]float64{r2.Norm(r2.Sub(r, o)), r2.Norm(r2.Sub(u, o)), r2.Norm(r2.Sub(ru, o)), r2.Norm(r2.Sub(r, u))}
}

// fitGrid finds the grid as drawn from its measured lengths by least squares: a
// where the base was measured, b where the side was, the shear where both
// diagonals were, or one beside base and side. ok is false where nothing can be
// told.
func fitGrid(g *GridCheck) (fix gridFix, ok bool, err error) {
	sd := g.sd()
	base, side := g.Base.Drawn, g.Side.Drawn
	measured := [4]Cell{g.Base.Measured, g.Side.Measured, g.Rising, g.Falling}
	use := [4]bool{base.Set && measured[0].Set, side.Set && measured[1].Set, base.Set && side.Set && measured[2].Set, base.Set && side.Set && measured[3].Set}
	free := [3]bool{use[0], use[1], use[2] && use[3] || (use[2] || use[3]) && use[0] && use[1]}
	if !free[2] {
		use[2], use[3] = false, false // a lone diagonal: nobody knows what it shows
	}
	var unknown []int
	for k, f := range free {
		if f {
			unknown = append(unknown, k)
		}
	}
	if len(unknown) == 0 {
		return fix, false, nil
	}
	val := [3]*float64{&fix.a, &fix.b, &fix.shear}
	var cov [][]float64
	for range 20 {
		var rows [][]float64
		var rhs, sds []float64
		now := fix.lengths(base.MM, side.MM)
		for l, used := range use {
			if !used {
				continue
			}
			row := make([]float64, len(unknown))
			for n, k := range unknown {
				const h = 1e-6
				was := *val[k]
				*val[k] = was + h
				up := fix.lengths(base.MM, side.MM)[l]
				*val[k] = was - h
				row[n] = (up - fix.lengths(base.MM, side.MM)[l]) / (2 * h)
				*val[k] = was
			}
			rows, rhs, sds = append(rows, row), append(rhs, measured[l].MM-now[l]), append(sds, sd)
		}
		x, c, err := fit.LeastSquares(rows, rhs, sds)
		if err != nil {
			return gridFix{}, false, fmt.Errorf("board: grid check: %w", err)
		}
		cov = c
		step := 0.0
		for n, k := range unknown {
			*val[k] += x[n]
			step = max(step, math.Abs(x[n]))
		}
		fix.over = len(rows) - len(unknown)
		if !(step > 1e-13 && step < 0.2) {
			break
		}
	}
	if !(math.Abs(fix.a) < 0.2 && math.Abs(fix.b) < 0.2 && math.Abs(fix.shear) < 0.2) {
		return gridFix{}, false, nil
	}
	us := [3]*float64{&fix.ua, &fix.ub, &fix.uShear}
	for n, k := range unknown {
		*us[k] = math.Sqrt(cov[n][n])
	}
	sum := 0.0
	for l, v := range fix.lengths(base.MM, side.MM) {
		if use[l] {
			sum += (measured[l].MM - v) * (measured[l].MM - v) / (sd * sd)
		}
	}
	if fix.over > 0 {
		fix.misfit = math.Sqrt(sum / float64(fix.over))
	}
	return fix, true, nil
}
