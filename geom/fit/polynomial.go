package fit

import (
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// polynomial is a height field Σ c·uⁱ·vʲ in coordinates scaled to a unit box.
type polynomial struct {
	terms      [][2]int
	c          []float64
	x, y, half float64 // centre and half width of the box
}

func (f *sheetFit) polynomial(terms [][2]int) *polynomial {
	lo, hi := f.p[0], f.p[0]
	for _, p := range f.p {
		lo = r3.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = r3.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	q := &polynomial{terms: terms, x: (lo.X + hi.X) / 2, y: (lo.Y + hi.Y) / 2}
	if f.even {
		q.x = 0
	}
	q.half = max(hi.X-q.x, q.x-lo.X, hi.Y-q.y, 1)
	return q
}

// fit solves the weighted least squares.
func (q *polynomial) fit(p []r3.Vec, w []float64) error {
	n := len(q.terms)
	a := newArrow(n, n-1, 0)
	q.c = make([]float64, n)
	r := row{idx: make([]int, n), val: make([]float64, n)}
	for k := range p {
		u, v := (p[k].X-q.x)/q.half, (p[k].Y-q.y)/q.half
		for t, e := range q.terms {
			r.idx[t], r.val[t] = t, power(u, e[0])*power(v, e[1])
			q.c[t] += w[k] * r.val[t] * p[k].Z
		}
		a.addRow(r, w[k])
	}
	if err := a.factor(); err != nil {
		return err
	}
	a.solve(q.c)
	return nil
}

func (q *polynomial) at(x, y float64) float64 { return q.Eval(x, y).Z }

// Eval gives height and slopes; polynomial is a geom.Surface for weigh.
func (q *polynomial) Eval(x, y float64) (h geom.Height) {
	u, v := (x-q.x)/q.half, (y-q.y)/q.half
	for t, e := range q.terms {
		h.Z += q.c[t] * power(u, e[0]) * power(v, e[1])
		h.Zx += q.c[t] * float64(e[0]) * power(u, e[0]-1) * power(v, e[1]) / q.half
		h.Zy += q.c[t] * float64(e[1]) * power(u, e[0]) * power(v, e[1]-1) / q.half
	}
	return h
}

// power is x to the n, 0 for n below 0.
func power(x float64, n int) float64 {
	if n < 0 {
		return 0
	}
	p := 1.0
	for range n {
		p *= x
	}
	return p
}
