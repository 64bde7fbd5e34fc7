package handover

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	stepfile "panewright/export/step"
	"panewright/geom"
)

const (
	shortestSection = 1.0 // mm; a shorter one is a touch
	mostSections    = 400 // of a face, either way
)

// sections are the cuts of a face straight across and straight down, at the
// multiples of a distance, from edge to edge.
func (s skin) sections(every float64) (out []stepfile.Curve, err error) {
	plan, err := s.edge.Plan()
	if err != nil {
		return nil, err
	}
	b := plan.Bounds()
	for _, way := range []struct {
		name   string
		lo, hi float64
		at     func(along, level float64) r2.Vec
		along  func(r2.Vec) float64
		level  func(r2.Vec) float64
	}{
		{"across at y", b.Min.Y, b.Max.Y, func(a, l float64) r2.Vec { return r2.Vec{X: a, Y: l} },
			func(q r2.Vec) float64 { return q.X }, func(q r2.Vec) float64 { return q.Y }},
		{"down at x", b.Min.X, b.Max.X, func(a, l float64) r2.Vec { return r2.Vec{X: l, Y: a} },
			func(q r2.Vec) float64 { return q.Y }, func(q r2.Vec) float64 { return q.X }},
	} {
		first, last := math.Ceil(way.lo/every), math.Floor(way.hi/every)
		if last-first > mostSections {
			return nil, fmt.Errorf("sections every %g mm would be %.0f of one face", every, last-first)
		}
		for k := first; k <= last; k++ {
			level := k*every + 0 // no minus nought
			ends := crossings(plan, func(q r2.Vec) float64 { return way.level(q) - level }, way.along)
			for i := 0; i+1 < len(ends); i += 2 {
				if ends[i+1]-ends[i] < shortestSection {
					continue
				}
				cut, err := stepfile.Section(s.face, way.at(ends[i], level), way.at(ends[i+1], level))
				if err != nil {
					return nil, err
				}
				out = append(out, stepfile.Curve{
					Name: fmt.Sprintf("%s face %s %g mm", s.name, way.name, level), Group: "sections", Spline: cut,
				})
			}
		}
	}
	return out, nil
}

// crossings are the places, rising, where a closed curve passes from one side of a
// line to the other; there is an even number of them.
func crossings(c *geom.Curve, side, along func(r2.Vec) float64) (at []float64) {
	const halvings = 60
	us := c.Flatten(0.01)
	_, end := c.Period()
	for i, a := range us {
		b := end
		if i+1 < len(us) {
			b = us[i+1]
		}
		out := side(c.At(a)) < 0
		if (side(c.At(b)) < 0) == out {
			continue
		}
		for range halvings {
			if m := (a + b) / 2; (side(c.At(m)) < 0) == out {
				a = m
			} else {
				b = m
			}
		}
		at = append(at, along(c.At(a)))
	}
	slices.Sort(at)
	return at
}
