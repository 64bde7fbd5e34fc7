package handover

import (
	"fmt"
	"strings"

	"panewright/export/pdf"
)

// predicted is the fit prediction in words.
func (r reporter) predicted() string {
	f := r.m.Fit
	s := fmt.Sprintf("Predicted with %s of wall clearance: drops in %s, is snug %s and sits %s.",
		r.both(f.Wall), chances(f.DropsIn), chances(f.Snug), chances(f.Sits))
	if len(f.BindsAt) > 0 {
		s += " Tightest at " + strings.Join(f.BindsAt, ", ") + "."
	}
	return s
}

// chances is a chance in words.
func chances(c float64) string {
	switch {
	case c >= 0.995:
		return "nearly certainly"
	case c >= 0.05:
		return fmt.Sprintf("in %.0f of 100 cases", 100*c)
	}
	return "hardly ever"
}

// fit writes the fit prediction.
func (r reporter) fit() {
	f := r.m.Fit
	if f == nil {
		return
	}
	r.f.Heading("How the real pane is predicted to fit", 0)
	r.f.Text(pdf.Body, r.predicted())
	r.facts([][]string{
		{"Least wall gap", r.length(f.LeastGap), "5 of 100 panes come closer"},
		{"Largest wall gap", r.length(f.LargestGap), "5 of 100 panes stand farther off"},
		{"Largest ledge gap", r.length(f.LedgeGap), "5 of 100 panes stand higher"},
		{"Rock under a pressed corner", r.length(f.Rock), "5 of 100 panes rock more"},
		{"Clearance to be snug in 95 of 100", r.both(f.Enough), ""},
		{"Likeliest pane", fmt.Sprintf("wall gaps %s to %s", r.length(f.LikelyLeast), r.length(f.LikelyLargest)), ""},
	})
	r.f.Text(pdf.Small, "Panes drawn from the uncertainty of the readings, each placed and settled in the pocket. Each chance counts only panes that pass the one before. A prediction, not a promise.")
	if len(f.Stations) == 0 {
		return
	}
	// Three stations a row, read across.
	const abreast = 3
	var columns []pdf.Column
	for range abreast {
		columns = append(columns, pdf.Column{Head: "station", Share: 1.1}, pdf.Column{Head: "5 %", Share: 1, Align: pdf.Right, Mono: true},
			pdf.Column{Head: "50 %", Share: 1, Align: pdf.Right, Mono: true}, pdf.Column{Head: "95 %", Share: 1, Align: pdf.Right, Mono: true}, pdf.Column{Share: 0.5})
	}
	var rows [][]string
	for i, g := range f.Stations {
		if i%abreast == 0 {
			rows = append(rows, nil)
		}
		last := len(rows) - 1
		rows[last] = append(rows[last], g.ID, r.fine(g.Low), r.fine(g.Mid), r.fine(g.High), "")
	}
	r.f.Heading("Wall gap to expect at each station, "+r.m.Job.Unit.String(), 0)
	r.f.Text(pdf.Small, "So many of 100 panes drawn have a smaller gap there. A name with a stroke is the twin of that station on the other half.")
	r.f.Table(pdf.Table{Columns: columns, Size: smallSize}, rows)
}

// cut writes the pocket as it will be cut.
func (r reporter) cut() {
	r.f.Heading(fmt.Sprintf("Cut %d", r.m.Job.Cut), 0)
	k := r.pocket
	if k == nil {
		r.f.Text(pdf.Body, "There is no pocket: the reason stands among what there is to look at.")
		return
	}
	s := k.Spec
	rows := [][]string{
		{"Wall clearance", r.both(s.Wall), ""}, {"Seat", r.both(s.Seat), "plan width inward from the edge"},
		{"Least bearing width", r.both(k.Bearing), ""}, {"Rim, base", r.both(s.Rim) + ", " + r.both(s.Base), ""},
		{"Finishing cutter", r.both(s.Cutter), "ball-nosed"},
		{"Stock", fmt.Sprintf("%.1f x %.1f x %.1f mm", k.Stock.Max.X-k.Stock.Min.X, k.Stock.Max.Y-k.Stock.Min.Y, k.Top-k.Bottom), ""},
	}
	if s.Felt > 0 {
		rows = append(rows, []string{"Ledge cut low for felt", r.both(s.Felt), ""})
	}
	if k.ReliefDepth > 0 {
		rows = append(rows, []string{"Relief groove at the foot of the wall", r.both(k.ReliefDepth) + " deep", ""})
	}
	for _, c := range k.TooBigAt {
		rows = append(rows, []string{"Corner too tight for the cutter", "radius " + r.both(c.Radius), fmt.Sprintf("at x %s, y %s", r.length(c.At.X), r.length(c.At.Y))})
	}
	r.facts(rows)
	r.f.Text(pdf.Small, "FIT-CHECK ONLY - NOT A LIFTING OR TRANSPORT FRAME")
}
