package handover

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
	"panewright/export/pdf"
)

// centre writes the centre line and what speaks for it.
func (r reporter) centre() {
	m, f := r.m, r.f
	f.Heading("Centre line", 0)
	if m.Verdict.Text != "" {
		f.Text(pdf.Body, m.Verdict.Text)
	}
	if m.Mirror == board.MirrorNone {
		f.Text(pdf.Body, "This pane is not mirrored: no centre line is used.")
		return
	}
	if m.Used == nil {
		f.Text(pdf.Body, "Not determined. "+m.WhyNotFound)
		return
	}
	var rows [][]string
	row := func(name string, c *board.CentreLine) {
		sure := func(v, u float64) string {
			if u <= 0 {
				return angle(v)
			}
			return angle(v) + " ± " + angle(2*u)
		}
		rows = append(rows, []string{name, sourceWords[c.Source], r.sure(c.Offset, c.OffsetU), sure(c.Skew, c.SkewU), sure(c.Roll, c.RollU)})
	}
	row("in use", m.Used)
	if m.Found != nil && m.Used.Source == "typed" {
		row("found in the readings", m.Found)
	}
	f.Table(pdf.Table{Columns: []pdf.Column{{Head: "line", Share: 1.6}, {Head: "from", Share: 2.4}, {Head: "x at the middle", Share: 1.7}, {Head: "skew", Share: 1.7}, {Head: "roll", Share: 1.7}}, Size: tableSize}, rows)
	f.Text(pdf.Small, "x at the mean of the edge readings, + to the right; skew + counter-clockwise seen from above; roll + where it leans up to the right. Uncertainties at two sigma.")
	if m.Found != nil && m.Used.Source == "typed" {
		off := m.Used.Offset - m.Found.Offset
		f.Text(pdf.Body, fmt.Sprintf("The line in use lies %s to the %s of the one in the readings and is turned %s against it. A half made about it comes out about twice as far off: %s in width.",
			r.length(math.Abs(off)), sideOf(off), angle(m.Used.Skew-m.Found.Skew), r.length(2*math.Abs(off))))
	}
	r.evidence()
	if m.Used.AsymmetryMax > 0 {
		f.Text(pdf.Body, fmt.Sprintf("Held against its own mirror image, the outline as measured differs by %s (rms), %s at most.", r.length(m.Used.AsymmetryRMS), r.length(m.Used.AsymmetryMax)))
	}
	if m.Lopsided > 0 {
		f.Text(pdf.Body, fmt.Sprintf("The halves are left different because the readings say so: %s (rms), %s at most.", r.length(m.Lopsided), r.length(m.LopsidedMost)))
	}
	r.folded()
}

// evidence writes what carries the centre line that was found, and which links of
// the chain of measuring may be wrong.
func (r reporter) evidence() {
	f := r.f
	if r.m.CarriesText != "" {
		f.Text(pdf.Body, r.m.CarriesText)
	}
	var rows [][]string
	for _, c := range r.m.Carries {
		rows = append(rows, []string{c.Text, fmt.Sprintf("%.0f %%", 100*c.Offset+0), fmt.Sprintf("%.0f %%", 100*c.Skew+0)})
	}
	if len(rows) > 0 {
		f.Table(pdf.Table{Columns: []pdf.Column{{Head: "what carries it", Share: 4}, {Head: "of the offset", Share: 1, Align: pdf.Right}, {Head: "of the skew", Share: 1, Align: pdf.Right}, {Share: 2}}, Size: tableSize}, rows)
	}
	if len(r.m.Links) > 0 {
		f.Text(pdf.Body, "What may be wrong in the chain of measuring, the likeliest first:")
		for _, l := range r.m.Links {
			f.Item(pdf.Body, "–", l.Text)
		}
	}
}

// folded draws the left half folded over onto the right one, their difference
// magnified.
func (r reporter) folded() {
	points := r.m.FoldOver(r.m.Used.Plane)
	const fewest = 20
	if len(points) < fewest {
		return
	}
	b, most := r2.Box{Min: points[0].At, Max: points[0].At}, 0.0
	for _, p := range points {
		b, most = grow(b, p.At), math.Max(most, math.Abs(p.Difference))
	}
	const height = 80.0
	var mag float64
	r.f.Need(height + 12)
	r.f.Picture(height, func(page *pdf.Page, part r2.Box) {
		v := pdf.Fit(b, r2.Box{Min: r2.Add(part.Min, r2.Vec{X: 8, Y: 8}), Max: r2.Sub(part.Max, r2.Vec{X: 8, Y: 8})})
		mag = magnified(most, 6/v.Scale.X)
		page.Over(v, func(a *pdf.Area) {
			var right, left []r2.Vec
			for i, p := range points {
				right = append(right, p.At)
				left = append(left, r2.Add(p.At, r2.Scale(p.Difference*mag, p.Out)))
				if i%4 == 0 {
					a.Line(pdf.Pen{Width: 0.15, Colour: gridGrey}, right[i], left[i])
				}
			}
			a.Lines(pdf.Pen{Width: 0.35, Colour: ink}, right)
			a.Lines(pdf.Pen{Width: 0.3, Colour: wrong, Dash: pdf.Dashed}, left)
		})
	})
	r.f.Text(pdf.Small, fmt.Sprintf("The right half as read, seen from above, and, broken, the left half folded over the centre line onto it: their difference %.0f times as large, %s %s at most.", mag, r.fine(most), r.m.Job.Unit))
}

// sourceWords say what a centre line was found by.
var sourceWords = map[string]string{
	"outline": "the outline, read on both sides", "tapes": "taped full widths", "stations": "check stations on the other half",
	"marks": "marks on the glass", "mixed": "several of these together", "typed": "typed by a person", "none": "not determined",
}

func sideOf(v float64) string {
	if v < 0 {
		return "left"
	}
	return "right"
}
