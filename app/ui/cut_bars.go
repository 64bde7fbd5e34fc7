package ui

import (
	"math"

	"fyne.io/fyne/v2/lang"

	"panewright/app/desk"
	"panewright/app/ui/boardview"
	"panewright/board"
)

// bars are what the board picture shows of the cuts: two laid over one another
// while they are compared, else the gaps now and next; nil where there is
// nothing to show. They are made anew only where they differ.
func (p *cutsPart) bars(s desk.State) *boardview.Bars {
	switch {
	case p.compare.open() && p.compare.found != nil && p.compare.of[0] != nil:
		if p.barsOf != any(p.compare.found) {
			p.barsOf, p.drawn = p.compare.found, differenceBars(s.Job, p.compare.of[0], p.compare.found)
		}
	case p.compare.open() || s.Model == nil || s.Model.Gaps == nil || s.Job.CutNumber(s.Model.Gaps.Cut) == nil:
		p.barsOf, p.drawn = nil, nil
	case p.barsOf != any(s.Model):
		p.barsOf, p.drawn = s.Model, gapBars(s.Model)
	}
	return p.drawn
}

// gapBars are by how much the gaps of the last cut are wider than the clearance,
// now and in the next cut.
func gapBars(m *board.Model) *boardview.Bars {
	g, j := m.Gaps, m.Job
	cut := j.CutNumber(g.Cut)
	n := map[string]any{"N": g.Cut, "Next": g.Cut + 1}
	b := &boardview.Bars{Now: lang.L("wall gap of cut {{.N}}, less the clearance", n), Next: lang.L("to expect in cut {{.Next}}", n),
		Out: lang.L("too wide"), In: lang.L("too narrow")}
	for _, st := range g.Stations {
		bar := boardview.Bar{ID: st.ID}
		ok := false
		if bar.At, bar.Out, ok = cut.Shape.OnBoard(st.ID); !ok {
			continue
		}
		text := lang.L("station {{.ID}}: no wall gap noted", map[string]any{"ID": st.ID})
		if now, ok := middleGap(&st.Wall); ok {
			bar.Now, bar.HasNow = now-g.Clearance, true
			text = lang.L("station {{.ID}}: wall gap {{.G}}", map[string]any{"ID": st.ID, "G": gapWords(j, &st.Wall)})
		}
		if st.HasNext && st.Noted {
			bar.Next, bar.HasNext = st.Next.Wall-j.Pocket.Wall, true
			text += " · " + lang.L("to expect next {{.G}}", map[string]any{"G": unsureFine(j, st.Next.Wall, st.Next.WallU)})
		}
		bar.Text = text
		if bar.HasNow || bar.HasNext {
			b.Bars = append(b.Bars, bar)
		}
	}
	return b
}

// middleGap is a gap as one figure, mm: of a pair of strips the middle, of one
// strip its own size.
func middleGap(c *board.GapCell) (float64, bool) {
	switch {
	case !c.Set:
		return 0, false
	case c.Tight:
		return 0, true
	case math.IsInf(c.Lo, 0):
		return c.Hi, true
	case math.IsInf(c.Hi, 0):
		return c.Lo, true
	}
	return (c.Lo + c.Hi) / 2, true
}

// differenceBars are how far a second outline lies outside a first.
func differenceBars(j *board.Job, first *board.CutShape, d *board.Difference) *boardview.Bars {
	b := &boardview.Bars{Now: lang.L("the second outline against the first"), Out: lang.L("outside"), In: lang.L("inside")}
	for _, st := range d.Stations {
		bar := boardview.Bar{ID: st.ID, Now: st.Edge, HasNow: true}
		ok := false
		if bar.At, bar.Out, ok = first.OnBoard(st.ID); !ok {
			continue
		}
		bar.Text = lang.L("station {{.ID}}: edge {{.E}}, height {{.H}}", map[string]any{"ID": st.ID, "E": signedFine(j, st.Edge), "H": signedFine(j, st.Height)})
		b.Bars = append(b.Bars, bar)
	}
	return b
}
