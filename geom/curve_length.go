package geom

import (
	"math"
	"sort"
)

// Accuracy of arc lengths, as a fraction of the length of the piece, and how
// often a span may be halved to reach it.
const (
	lengthAccuracy = 1e-11
	lengthHalvings = 20
)

// gauss8 holds the positive nodes and the weights of the eight-point
// Gauss-Legendre rule on [-1, 1]: Abramowitz and Stegun, Handbook of
// Mathematical Functions, table 25.4.
var gauss8 = [4][2]float64{
	{0.183434642495649805, 0.362683783378361983},
	{0.525532409916328986, 0.313706645877887287},
	{0.796666477413626740, 0.222381034453374471},
	{0.960289856497536232, 0.101228536290376259},
}

// integrate8 returns the eight-point Gauss-Legendre integral of f from a to b,
// exact for polynomials up to degree 15.
func integrate8(f func(float64) float64, a, b float64) float64 {
	m, h := (a+b)/2, (b-a)/2
	sum := 0.0
	for _, g := range gauss8 {
		sum += g[1] * (f(m-h*g[0]) + f(m+h*g[0]))
	}
	return sum * h
}

// arcLength is the length along a closed curve as a function of its parameter.
// Spans are halved until the eight-point rule measures every piece to 1e-11.
type arcLength struct {
	speed func(span int, t float64) float64
	knots []float64
	piece []lengthPiece
	sum   []float64 // length before each piece; the last entry is the whole
}

// lengthPiece is part of one span: from t0 into it over h.
type lengthPiece struct {
	span  int
	t0, h float64
}

func newArcLength(knots []float64, speed func(span int, t float64) float64) *arcLength {
	a := &arcLength{speed: speed, knots: knots, sum: []float64{0}}
	for i := range knots[1:] {
		a.add(lengthPiece{span: i, h: knots[i+1] - knots[i]}, lengthHalvings)
	}
	return a
}

// add measures a piece and appends it, in halves where that is not accurate.
func (a *arcLength) add(p lengthPiece, halvings int) {
	half := p.h / 2
	whole := a.over(p, p.h)
	l1 := a.over(p, half)
	l2 := a.over(lengthPiece{p.span, p.t0 + half, half}, half)
	if halvings > 0 && math.Abs(l1+l2-whole) > lengthAccuracy*(l1+l2) {
		a.add(lengthPiece{p.span, p.t0, half}, halvings-1)
		a.add(lengthPiece{p.span, p.t0 + half, half}, halvings-1)
		return
	}
	a.piece = append(a.piece, p)
	a.sum = append(a.sum, a.sum[len(a.sum)-1]+whole)
}

// over returns the length of the first h of a piece.
func (a *arcLength) over(p lengthPiece, h float64) float64 {
	return integrate8(func(t float64) float64 { return a.speed(p.span, t) }, p.t0, p.t0+h)
}

func (a *arcLength) total() float64 { return a.sum[len(a.sum)-1] }

// to returns the length from the first knot to u, counting whole turns.
func (a *arcLength) to(u float64) float64 {
	lo, hi := a.knots[0], a.knots[len(a.knots)-1]
	turns := 0.0
	if u < lo || u > hi {
		turns = math.Floor((u - lo) / (hi - lo))
		u -= turns * (hi - lo)
	}
	i := sort.Search(len(a.piece), func(i int) bool { return a.start(i) > u }) - 1
	i = max(i, 0)
	h := math.Min(math.Max(u-a.start(i), 0), a.piece[i].h)
	return turns*a.total() + a.sum[i] + a.over(a.piece[i], h)
}

// start returns the parameter at which piece i starts.
func (a *arcLength) start(i int) float64 { return a.knots[a.piece[i].span] + a.piece[i].t0 }

// param returns the parameter at length s from the first knot, by Newton's
// method within the piece, held in by bisection.
func (a *arcLength) param(s float64) float64 {
	total := a.total()
	if !(total > 0) || !finite(s) {
		return a.knots[0]
	}
	turns := 0.0
	if s < 0 || s > total {
		turns = math.Floor(s / total)
		s -= turns * total
	}
	i := sort.SearchFloat64s(a.sum[1:], s)
	i = min(i, len(a.piece)-1)
	p, want := a.piece[i], s-a.sum[i]
	lo, hi := 0.0, p.h
	h := p.h * want / (a.sum[i+1] - a.sum[i])
	for range 60 {
		if !(h >= lo && h <= hi) {
			h = (lo + hi) / 2
		}
		miss := a.over(p, h) - want
		if math.Abs(miss) <= 1e-14*total || hi-lo <= 1e-15*p.h {
			break
		}
		if miss > 0 {
			hi = h
		} else {
			lo = h
		}
		h -= miss / a.speed(p.span, p.t0+h)
	}
	return a.start(i) + h + turns*(a.knots[len(a.knots)-1]-a.knots[0])
}
