package solidview

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"fyne.io/fyne/v2/lang"

	"panewright/app/ui/paint"
	"panewright/board"
)

// Cut says which way a section runs.
type Cut int

// The sections, in the order of their key.
const (
	NoCut  Cut = iota
	Across     // at a level up from the middle of the pane
	Along      // fore and aft, at a level to the right of the middle
	Cuts       // how many there are
)

// cut is a section ready to be drawn. It is not changed once made.
type cut struct {
	board.Section
	round []r3.Vec // over the upper face and back under the lower
	title string
	sag   string
	near  []near
}

// near is a reading near a section.
type near struct {
	along, miss float64
	kept        bool
	name        string
}

// nearMM is how far from a section readings are drawn with it.
const nearMM = 30

// newCut makes a section ready; nil where it misses the pane.
func newCut(m *board.Model, kind Cut, level float64) *cut {
	s, ok := m.Section(kind == Across, level, nearMM)
	if !ok {
		return nil
	}
	c := &cut{Section: s, round: append([]r3.Vec(nil), s.Upper...)}
	for i := range s.Lower {
		c.round = append(c.round, s.Lower[len(s.Lower)-1-i])
	}
	c.round = append(c.round, s.Upper[0])
	j := m.Job
	unit := j.Unit.String()
	at := j.Format(level) + " " + unit
	if c.title = lang.L("section across at {{.At}}", map[string]any{"At": at}); kind == Along {
		c.title = lang.L("section fore and aft at {{.At}}", map[string]any{"At": at})
	}
	if s.Bowed {
		c.sag = lang.L("sag {{.Sag}}", map[string]any{"Sag": j.Format(s.Bow.Sag) + " " + unit})
		if !math.IsInf(s.Bow.Radius, 0) {
			r := figure(s.Bow.Radius/j.Unit.Millimetres(), 1, j.Comma)
			if s.Bow.RadiusU > 0 {
				r += " ± " + figure(2*s.Bow.RadiusU/j.Unit.Millimetres(), 1, j.Comma)
			}
			c.sag += " · " + lang.L("radius {{.R}}", map[string]any{"R": r + " " + unit})
		}
	}
	for _, n := range s.Near {
		c.near = append(c.near, near{along: c.across(n.At), miss: n.Miss, kept: n.Kept, name: m.Job.Readings[n.Index].ID})
	}
	return c
}

// across is where a point stands along the section.
func (c *cut) across(p r3.Vec) float64 {
	if c.Across {
		return p.X
	}
	return p.Y
}

// Sizes of the inset, in logical pixels.
const (
	insetWide = 400.0
	insetTall = 118.0
	insetPad  = 9.0
)

// inset draws the section at the lower left: both faces over the base line from
// edge to edge, heights magnified, with the readings near it.
func (p *picture) inset() {
	face := p.face11()
	if p.cut == nil || face == nil {
		return
	}
	k, c := p.k*p.words, p.cut
	wide := min(insetWide*k, float64(p.w)-2*insetPad*k)
	box := r2.Box{Min: r2.Vec{X: insetPad * k, Y: float64(p.h) - (insetPad+insetTall)*k}}
	box.Max = r2.Vec{X: box.Min.X + wide, Y: float64(p.h) - insetPad*k}
	p.plate(box)
	line := face.Height()
	p.out.Text(face, c.title, r2.Vec{X: box.Min.X + insetPad*k, Y: box.Min.Y + insetPad*k}, r2.Vec{}, p.col.Label)
	if face.Width(c.title)+face.Width(c.sag)+4*insetPad*k < wide {
		p.out.Text(face, c.sag, r2.Vec{X: box.Max.X - insetPad*k, Y: box.Min.Y + insetPad*k}, r2.Vec{X: 1}, p.col.Label)
	} else {
		p.out.Text(face, c.sag, r2.Vec{X: box.Min.X + insetPad*k, Y: box.Min.Y + insetPad*k + line}, r2.Vec{}, p.col.Label)
		box.Min.Y += line
	}
	note := lang.L("heights × {{.N}}, misses × {{.M}}", map[string]any{"N": strconv.FormatFloat(p.magnify, 'g', 4, 64), "M": strconv.FormatFloat(p.longer, 'g', 4, 64)})
	p.out.Text(face, note, r2.Vec{X: box.Min.X + insetPad*k, Y: box.Max.Y - insetPad*k}, r2.Vec{Y: 1}, p.col.GridLabel)
	box.Min, box.Max = r2.Add(box.Min, r2.Vec{X: 2 * insetPad * k, Y: 2*insetPad*k + line}), r2.Sub(box.Max, r2.Vec{X: 2 * insetPad * k, Y: 2*insetPad*k + line})

	in := c.in(box, p.magnify)
	draw := func(pts []r3.Vec, width float64) {
		shown := make([]r2.Vec, len(pts))
		for i, q := range pts {
			shown[i] = in.at(c.across(q), q.Z)
		}
		p.out.Polyline(shown, false, paint.Stroke{Width: width * k, Color: p.col.Selected})
	}
	first, last := c.Upper[0], c.Upper[len(c.Upper)-1]
	p.out.Line(in.at(c.across(first), first.Z), in.at(c.across(last), last.Z),
		paint.Stroke{Width: p.col.Thin * k, Color: p.col.GridLabel, Dash: paint.HiddenDash(k)})
	draw(c.Lower, 0.6*p.col.Thin)
	draw(c.Upper, p.col.Line)
	for _, n := range c.near {
		q := in.at(n.along, c.heightAt(n.along))
		if !n.kept {
			p.out.Saltire(q, 3.5*k, paint.Stroke{Width: 1.4 * k, Color: p.col.Suspect})
			continue
		}
		top := r2.Sub(q, r2.Vec{Y: n.miss * p.longer * in.s})
		p.out.Line(q, top, paint.Stroke{Width: p.col.Thin * k, Color: p.col.Face})
		p.out.Disc(top, 2.4*k, p.col.Face)
	}
}

// heightAt is the height of the section's upper face, straight between its points.
func (c *cut) heightAt(along float64) float64 {
	for i := range len(c.Upper) - 1 {
		a, b := c.Upper[i], c.Upper[i+1]
		if x0, x1 := c.across(a), c.across(b); along <= x1 {
			return a.Z + (b.Z-a.Z)*min(max((along-x0)/(x1-x0), 0), 1)
		}
	}
	return c.Upper[len(c.Upper)-1].Z
}

// inset is how a section is laid into a box: s pixels a mm along, v times that
// up, from the origin o.
type inset struct {
	s, v  float64
	o     r2.Vec
	along float64
	z     float64
}

func (in inset) at(along, z float64) r2.Vec {
	return r2.Vec{X: in.o.X + in.s*(along-in.along), Y: in.o.Y - in.s*in.v*(z-in.z)}
}

// in lays the section into the middle of a box, smaller where it would not fit.
func (c *cut) in(box r2.Box, magnify float64) inset {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, pts := range [][]r3.Vec{c.Upper, c.Lower} {
		for _, q := range pts {
			lo, hi = min(lo, q.Z), max(hi, q.Z)
		}
	}
	from, to := c.across(c.Upper[0]), c.across(c.Upper[len(c.Upper)-1])
	s := (box.Max.X - box.Min.X) / max(to-from, 1e-9)
	s = min(s, (box.Max.Y-box.Min.Y)/max(magnify*(hi-lo), 1e-9))
	return inset{s: s, v: magnify, o: r2.Scale(0.5, r2.Add(box.Min, box.Max)), along: (from + to) / 2, z: (lo + hi) / 2}
}
