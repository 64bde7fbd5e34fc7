package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// CauseKind is a kind of thing that makes gaps wrong.
type CauseKind int

// The kinds of causes, with what their Value means. A gap grows as the cause
// does.
const (
	CausePlacement CauseKind = iota // how the glass lay in the pocket
	CauseTilt                       // how it lay on the ledge
	CauseOffset                     // of the assumed centre line, minus the true one: mm, + right
	CauseSkew                       // of the assumed centre line, minus the true one: rad, + counter-clockwise
	CauseRoll                       // of the assumed centre plane, minus the true one: rad
	CauseUniform                    // pencil, cutter or clearance: the wall is this many mm too far out all round
	CauseScale                      // the pocket is too large by this part of its size
	CauseShear                      // the grid is out of square: x grows by this much of y; on a made half mirrored
	CauseJoint                      // the joint is open by this many mm
	CauseStation                    // this station alone is off by this many mm
)

var causeNames = []string{"placement", "tilt", "centre_offset", "centre_skew", "roll", "pencil_or_cutter", "scale", "shear", "joint", "station"}

// String is the word of the files.
func (k CauseKind) String() string { return causeNames[k] }

// gapPlace is a place where the wall or the ledge may be off.
type gapPlace struct {
	ledge bool
	made  bool
	s     float64
	x     float64 // from the assumed centre line
	p     r2.Vec  // from the model's centre
	dir   r2.Vec  // how the gap grows as the pocket moves there
	rise  float64 // how it grows as the glass is lifted; 0 on a wall
	z     float64 // height above the mean of all
}

// ledgeInset is how far in from the edge ledge gaps are read, mm.
const ledgeInset = 10.0

// wallPlace is where a station's wall gap is.
func (f *gapFit) wallPlace(r *GapReading) gapPlace {
	n := r2.Unit(r.Normal)
	return gapPlace{made: r.Made && f.model.Measured != 0, s: r.S, x: r.At.X, p: r2.Sub(r.At, f.model.Centre), dir: n, z: r.Height - f.level}
}

// ledgePlace is where a station's ledge gap is.
func (f *gapFit) ledgePlace(r *GapReading) gapPlace {
	q := f.wallPlace(r)
	in := r2.Scale(ledgeInset, q.dir)
	q.ledge, q.p, q.x = true, r2.Sub(q.p, in), q.x-in.X
	q.rise = 1 / math.Sqrt(1+r2.Norm2(r.Gradient))
	q.dir = r2.Scale(q.rise, r.Gradient)
	return q
}

// gapColumn is one unknown: how a cause shows in the gaps, scaled so that one
// mm of it is about one mm of gap.
type gapColumn struct {
	kind  CauseKind
	index int     // axis of a placement or tilt; of a joint
	unit  float64 // the cause's value for one mm
	prior float64 // how large it may well be, sd in mm
	odds  float64 // of its being there at all
	reach float64
	nu    r2.Vec // joint: across it
	from  float64
}

// centre reports whether the column is the centre line's.
func (c *gapColumn) centre() bool {
	return c.kind == CauseOffset || c.kind == CauseSkew || c.kind == CauseRoll
}

// at is the column's element for a gap.
func (c *gapColumn) at(q *gapPlace) float64 {
	across := q.dir.X
	switch c.kind {
	case CausePlacement:
		switch c.index {
		case 0:
			return -across
		case 1:
			return -q.dir.Y
		}
		return -r2.Dot(q.dir, r2.Vec{X: -q.p.Y, Y: q.p.X}) / c.reach
	case CauseTilt:
		return q.rise * [3]float64{1, q.p.X / c.reach, q.p.Y / c.reach}[c.index]
	case CauseUniform:
		if q.ledge {
			return 0
		}
		return 1
	case CauseScale:
		return r2.Dot(q.dir, q.p) / c.reach
	case CauseShear:
		if q.made {
			return -across * q.p.Y / c.reach
		}
		return across * q.p.Y / c.reach
	case CauseJoint:
		if r2.Dot(q.p, c.nu) < c.from {
			return 0
		}
		return r2.Dot(q.dir, c.nu)
	}
	if !q.made {
		return 0
	}
	switch c.kind { // two reflections: the made half is moved by 2 offset, turned by 2 skew and 2 roll
	case CauseOffset:
		return 2 * across
	case CauseSkew:
		return 2 * r2.Dot(q.dir, r2.Vec{X: -q.p.Y, Y: q.x}) / c.reach
	default:
		return -2 * (across*q.z + q.rise*q.x) / c.reach
	}
}

// Columns that every fit has: placement and tilt.
const (
	tiltFirst  = 3
	causeFirst = 6
)

// layColumns lists the unknowns.
func (f *gapFit) layColumns() {
	perReach := 1 / f.reach
	add := func(kind CauseKind, index int, unit, prior, odds float64) *gapColumn {
		f.cols = append(f.cols, gapColumn{kind: kind, index: index, unit: unit, prior: prior, odds: odds, reach: f.reach})
		return &f.cols[len(f.cols)-1]
	}
	for i, unit := range []float64{1, 1, perReach} {
		add(CausePlacement, i, unit, 5, 1)
	}
	for i, unit := range []float64{1, perReach, perReach} {
		add(CauseTilt, i, unit, 5, 1)
	}
	if f.model.Measured != 0 {
		add(CauseOffset, -1, 1, 5, 1)
		add(CauseSkew, -1, perReach, 5, 1)
		add(CauseRoll, -1, perReach, 5, 1)
	}
	add(CauseUniform, -1, 1, 1, 0.3)
	add(CauseScale, -1, perReach, 1.5, 0.1)
	add(CauseShear, -1, perReach, 1.5, 0.05)
	for i, j := range f.model.Joints {
		c := add(CauseJoint, i, 1, 1, 0.2)
		a := r2.Unit(j.Along)
		c.nu = r2.Vec{X: a.Y, Y: -a.X}
		c.from = r2.Dot(r2.Sub(j.At, f.model.Centre), c.nu)
	}
}

// A single station may be off by stationPrior mm (sd); one sheet in ten has
// such a station.
const (
	stationPrior = 2.0
	stationOdds  = 0.1
)
