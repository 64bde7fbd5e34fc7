package board

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
	"panewright/geom/fit"
)

// Crossbow is the bow of one upright section of the finished upper face, from
// edge to edge, glass frame.
type Crossbow struct {
	Level   float64 // mm: Y of a section across, X of one fore and aft
	Radius  float64 // mm, of the circle nearest the section; +Inf where it is straight
	RadiusU float64 // mm, its standard uncertainty; 0 where that is not known
	Sag     float64 // mm, greatest distance of the section from its chord
	Miss    float64 // mm, largest distance of the section from the circle: a section of two radii shows here
}

const (
	crossbowStep  = 100.0 // mm between the levels
	crossbowLeast = 100.0 // mm; a shorter section bows too little to tell a radius
	crossbowDots  = 80    // places along a section
)

// Crossbows are the sections straight across at the levels a person would make
// templates for: every 100 mm up and down from the origin, and at the thirds of
// the pane's length. They rise; levels whose section is shorter than 100 mm
// are left out. It is empty without a pane.
func (m *Model) Crossbows() (out []Crossbow) {
	if m.Pane == nil {
		return nil
	}
	b := m.Pane.Outline.Bounds()
	third := (b.Max.Y - b.Min.Y) / 3
	levels := []float64{b.Min.Y + third, b.Max.Y - third}
	for k := math.Ceil(b.Min.Y / crossbowStep); k*crossbowStep < b.Max.Y; k++ {
		levels = append(levels, k*crossbowStep)
	}
	slices.Sort(levels)
	across := func(along, level float64) r2.Vec { return r2.Vec{X: along, Y: level} }
	loop := plan(m.Pane.UpperEdge)
	for _, y := range slices.CompactFunc(levels, func(a, b float64) bool { return math.Abs(b-a) < 1 }) {
		if c, ok := m.crossbow(loop, across, y); ok {
			out = append(out, c)
		}
	}
	return out
}

// MiddleBow is the section fore and aft through the origin; ok is false without
// a pane.
func (m *Model) MiddleBow() (c Crossbow, ok bool) {
	if m.Pane == nil {
		return Crossbow{}, false
	}
	up := func(along, level float64) r2.Vec { return r2.Vec{X: level, Y: along} }
	return m.crossbow(plan(m.Pane.UpperEdge), up, 0)
}

// crossbow fits the section at a level, where at gives the plan point; loop is
// the plan of the upper arris.
func (m *Model) crossbow(loop geom.Polygon, at func(along, level float64) r2.Vec, level float64) (Crossbow, bool) {
	own := func(p r2.Vec) (along, across float64) { q := at(p.X, p.Y); return q.X, q.Y } // at is its own inverse
	lo, hi, ok := chord(loop, own, level)
	if !ok || hi-lo < crossbowLeast {
		return Crossbow{}, false
	}
	z := func(along float64) float64 { p := at(along, level); return m.Pane.Upper.At(p.X, p.Y) }
	dots := make([]r2.Vec, crossbowDots+1)
	for i := range dots {
		a := lo + (hi-lo)*float64(i)/crossbowDots
		dots[i] = r2.Vec{X: a, Y: z(a)}
	}
	circle, err := fit.FitCircle(dots, nil)
	if err != nil {
		return Crossbow{}, false
	}
	c := Crossbow{Level: level, Radius: circle.Radius}
	c.Sag, _ = sag(z, lo, hi)
	for _, d := range circle.Miss {
		c.Miss = max(c.Miss, math.Abs(d))
	}
	if m.doubt != nil && c.Sag > 0 && !math.IsInf(c.Radius, 1) {
		// A radius is as unsure as its sag, which hangs on three places.
		in := func(along float64) r2.Vec { return m.inFit(at(along, level)) }
		c.RadiusU = c.Radius / c.Sag * m.doubt.face.Spread([]r2.Vec{in((lo + hi) / 2), in(lo), in(hi)}, []float64{1, -0.5, -0.5})
	}
	return c, true
}
