package boardview

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// line is the centre line in plan as it is typed: x = Offset at the height
// level of the mean edge point, turned by Skew counter-clockwise.
type line struct {
	offset     float64 // mm
	skew, roll float64 // degrees
	level      float64 // y of the mean edge point, mm
}

// steepest is how far a centre line can be turned by hand, degrees.
const steepest = 45

// x is the line's x at y.
func (l line) x(y float64) float64 {
	return l.offset - math.Tan(l.skew*math.Pi/180)*(y-l.level)
}

// at is the line's point at y.
func (l line) at(y float64) r2.Vec { return r2.Vec{X: l.x(y), Y: y} }

// shifted is the line moved sideways by dx mm.
func (l line) shifted(dx float64) line {
	l.offset = tidy(l.offset + dx)
	return l
}

// through is the line turned so that it passes both points; false where they
// lie level or the turn is more than a centre line can have.
func (l line) through(a, b r2.Vec) (line, bool) {
	if a.Y > b.Y {
		a, b = b, a
	}
	skew := math.Atan2(a.X-b.X, b.Y-a.Y) * 180 / math.Pi
	if !(math.Abs(skew) <= steepest) {
		return l, false
	}
	l.skew = tidy(skew)
	l.offset = tidy(a.X - math.Tan(l.skew*math.Pi/180)*(l.level-a.Y))
	return l, true
}

// dist is the plan distance of p from the line, mm.
func (l line) dist(p r2.Vec) float64 {
	return math.Abs(p.X-l.x(p.Y)) * math.Cos(l.skew*math.Pi/180)
}

// tidy rounds to a hundredth: of a millimetre or a degree, far below what a
// hand can set.
func tidy(v float64) float64 { return math.Round(v*100) / 100 }
