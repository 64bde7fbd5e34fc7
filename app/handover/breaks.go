package handover

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/export/dxf"
	"panewright/geom"
)

// A true break is a turn that happens all at once. The fit rounds it off over a
// millimetre or two.
const (
	breakReach = 10.0 // mm along the edge, either way of the marked station, that are looked at
	breakSpan  = 2.5  // mm, either way of its middle, within which a break turns
	breakShare = 0.7  // of the turn over the whole reach, at least
	breakTurn  = 0.1  // rad, that it turns at least
)

// breaks are the parameters of a pane's silhouette where a true break was marked
// and made, rising; with its twin where the pane is symmetric.
func (p *pack) breaks(pane *geom.Pane) (at []float64) {
	c := pane.Outline
	for i, r := range p.m.Job.Readings {
		if r.Kind != board.Edge || !r.Break || p.m.Results[i].State != board.Kept {
			continue
		}
		q := p.m.BoardToGlass.Apply(r3.Vec{X: r.X.MM, Y: r.Y.MM, Z: p.m.Results[i].Foot.Z})
		at = append(at, turnNear(c, r2.Vec{X: q.X, Y: q.Y})...)
		if p.m.Mirror != board.MirrorNone {
			at = append(at, turnNear(c, r2.Vec{X: -q.X, Y: q.Y})...)
		}
	}
	slices.Sort(at)
	return slices.CompactFunc(at, func(u, v float64) bool { return math.Abs(c.LengthTo(u)-c.LengthTo(v)) < breakSpan })
}

// turnNear is the middle of the break of a curve near a place, where there is one:
// where half of the turn is done.
func turnNear(c *geom.Curve, near r2.Vec) []float64 {
	u, _ := c.Nearest(near)
	s, whole := c.LengthTo(u), c.Length()
	param := func(s float64) float64 { return c.ParamAt(math.Mod(s+whole, whole)) }
	turn := func(from, to float64) float64 {
		a, b := c.Tangent(param(from)), c.Tangent(param(to))
		return math.Atan2(r2.Cross(a, b), r2.Dot(a, b))
	}
	from := s - breakReach
	all := turn(from, s+breakReach)
	lo, hi := from, s+breakReach
	for hi-lo > 1e-6 { // mm
		if mid := (lo + hi) / 2; math.Abs(turn(from, mid)) < math.Abs(all)/2 {
			lo = mid
		} else {
			hi = mid
		}
	}
	if here := turn(lo-breakSpan, lo+breakSpan); !(math.Abs(here) > breakTurn && here/all > breakShare) {
		return nil
	}
	return []float64{param(lo)}
}

// silhouette draws the edge of a pane in plan: one closed spline, or one for every
// stretch between true breaks.
func (p *pack) silhouette(d *dxf.Drawing, pane *geom.Pane, at []float64) {
	c, plane := pane.Outline, p.v.frame == nil
	if len(at) == 0 {
		knots, ctrl := c.Clamped()
		d.Spline("outline", knots, p.v.put(flat(ctrl)...), true, plane)
		return
	}
	for i, from := range at {
		knots, ctrl := c.Stretch(from, at[(i+1)%len(at)])
		d.Spline("outline", knots, p.v.put(flat(ctrl)...), len(at) == 1, plane)
	}
}
