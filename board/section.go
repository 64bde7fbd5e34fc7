package board

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Section is an upright cut through the finished pane, straight across or fore
// and aft, from edge to edge. All points are in the glass frame; they rise in X
// across and in Y fore and aft.
type Section struct {
	Across       bool // else fore and aft
	Level        float64
	Upper, Lower []r3.Vec // the two faces
	Bow          Crossbow
	Bowed        bool // Bow is known
	Near         []SectionReading
}

// SectionReading is a reading near a section.
type SectionReading struct {
	Index int     // of Job.Readings
	At    r3.Vec  // on the fitted upper face, glass frame
	Off   float64 // mm, from the section along the level
	Miss  float64 // mm, of its height: reading minus face
	Kept  bool    // its height was used
}

// Section cuts the pane at a level, mm: Y for a cut across, X for one fore and
// aft. near is how far readings with a height may stand from the cut to be
// listed, mm. ok is false without a pane and where the cut misses it. Cost: well
// under a millisecond.
func (m *Model) Section(across bool, level, near float64) (s Section, ok bool) {
	if m.Pane == nil || math.IsNaN(level) {
		return Section{}, false
	}
	at := func(along, level float64) r2.Vec { return r2.Vec{X: along, Y: level} }
	if !across {
		at = func(along, level float64) r2.Vec { return r2.Vec{X: level, Y: along} }
	}
	own := func(p r2.Vec) (along, across float64) { q := at(p.X, p.Y); return q.X, q.Y }
	s = Section{Across: across, Level: level}
	loop := plan(m.Pane.UpperEdge)
	lo, hi, ok := chord(loop, own, level)
	if !ok {
		return Section{}, false
	}
	lowLo, lowHi, ok := chord(plan(m.Pane.LowerEdge), own, level)
	if !ok {
		lowLo, lowHi = lo, hi
	}
	for i := range crossbowDots + 1 {
		f := float64(i) / crossbowDots
		p, q := at(lo+f*(hi-lo), level), at(lowLo+f*(lowHi-lowLo), level)
		s.Upper = append(s.Upper, r3.Vec{X: p.X, Y: p.Y, Z: m.Pane.Upper.At(p.X, p.Y)})
		s.Lower = append(s.Lower, r3.Vec{X: q.X, Y: q.Y, Z: m.Pane.Lower.At(q.X, q.Y)})
	}
	s.Bow, s.Bowed = m.crossbow(loop, at, level)
	for i, r := range m.Results {
		if !r.HasHeight || !r.Placed {
			continue
		}
		p := m.BoardToGlass.Apply(r.At)
		_, where := own(r2.Vec{X: p.X, Y: p.Y})
		if off := where - level; math.Abs(off) <= near {
			s.Near = append(s.Near, SectionReading{
				Index: i, At: r3.Vec{X: p.X, Y: p.Y, Z: m.Pane.Upper.At(p.X, p.Y)}, Off: off, Miss: r.HeightMiss,
				Kept: r.State == Kept && !r.BadHeight,
			})
		}
	}
	return s, true
}
