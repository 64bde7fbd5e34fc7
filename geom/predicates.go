package geom

import (
	"math"
	"math/bits"

	"gonum.org/v1/gonum/spatial/r2"
)

// PlanPoint is a point of the plan on the micron grid: whole micrometres.
//
// Plans are triangulated on this grid so that "left of", "on" and "inside the
// circle" are decided exactly, never by rounding.
type PlanPoint struct{ X, Y int64 }

// MaxMicrons bounds the coordinates that the exact predicates take: ±2²⁹ µm,
// about 537 m. Inside it no product of differences overflows.
const MaxMicrons = 1 << 29

// offGrid marks a coordinate that is not a number or lies out of bounds.
const offGrid = math.MaxInt64

// Microns returns the grid point nearest p (mm). A coordinate that is not
// finite or lies beyond MaxMicrons gives a point that Triangulate refuses.
func Microns(p r2.Vec) PlanPoint {
	return PlanPoint{onGrid(p.X), onGrid(p.Y)}
}

func onGrid(mm float64) int64 {
	um := math.Round(mm * 1000)
	if !(math.Abs(um) <= MaxMicrons) { // also true for NaN
		return offGrid
	}
	return int64(um)
}

// Vec returns the point in mm.
func (p PlanPoint) Vec() r2.Vec {
	return r2.Vec{X: float64(p.X) / 1000, Y: float64(p.Y) / 1000}
}

func (p PlanPoint) inBounds() bool {
	return -MaxMicrons <= p.X && p.X <= MaxMicrons && -MaxMicrons <= p.Y && p.Y <= MaxMicrons
}

// orient returns twice the signed area of the triangle a, b, c in µm²:
// positive where c lies left of a→b, zero where the three are on one line.
// Exact.
func orient(a, b, c PlanPoint) int64 {
	return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
}

// along returns the scalar product of a→b and a→c in µm². Exact.
func along(a, b, c PlanPoint) int64 {
	return (b.X-a.X)*(c.X-a.X) + (b.Y-a.Y)*(c.Y-a.Y)
}

// inCircle returns +1 where d lies inside the circle through the
// counter-clockwise triangle a, b, c, 0 on it and -1 outside. Exact: the
// determinant needs 124 bits at most and is summed in 128.
func inCircle(a, b, c, d PlanPoint) int {
	ax, ay := a.X-d.X, a.Y-d.Y
	bx, by := b.X-d.X, b.Y-d.Y
	cx, cy := c.X-d.X, c.Y-d.Y
	det := mulWide(ax*ax+ay*ay, bx*cy-by*cx)
	det = det.plus(mulWide(bx*bx+by*by, cx*ay-cy*ax))
	det = det.plus(mulWide(cx*cx+cy*cy, ax*by-ay*bx))
	return det.sign()
}

// wide is a signed 128-bit integer in two's complement.
type wide struct {
	hi int64
	lo uint64
}

func mulWide(a, b int64) wide {
	h, lo := bits.Mul64(uint64(a), uint64(b))
	hi := int64(h)
	if a < 0 {
		hi -= b
	}
	if b < 0 {
		hi -= a
	}
	return wide{hi, lo}
}

func (a wide) plus(b wide) wide {
	lo, carry := bits.Add64(a.lo, b.lo, 0)
	return wide{a.hi + b.hi + int64(carry), lo}
}

func (a wide) sign() int {
	switch {
	case a.hi < 0:
		return -1
	case a.hi == 0 && a.lo == 0:
		return 0
	}
	return 1
}
