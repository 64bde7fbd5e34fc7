package handover

import (
	"fmt"
	"strings"

	"panewright/board"
	"panewright/export/pdf"
)

// cuts writes the cuts that were made: what each was, what gaps were noted in
// it, what explains them and what is put right next.
func (r reporter) cuts() {
	j, f := r.m.Job, r.f
	if len(j.Cuts) == 0 {
		return
	}
	f.Heading("Cuts made", 0)
	var rows [][]string
	for _, c := range j.Cuts {
		wall := r.length(c.Pocket.Wall)
		if c.Wall.Set {
			wall += ", as cut " + r.length(c.Wall.MM)
		}
		line := "none"
		if c.Source != "none" && c.Source != "" {
			line = fmt.Sprintf("x %s, skew %s", r.length(c.Offset), angle(c.Skew))
		}
		var right []string
		for _, p := range c.Fix.Causes {
			right = append(right, strings.TrimSpace(fmt.Sprintf("%s %.3g %s", causeWord(p.Name), p.Value, p.Unit)))
		}
		rows = append(rows, []string{fmt.Sprint(c.Number), c.Date, c.Reason, wall, line, strings.Join(right, "; "), fmt.Sprint(len(j.GapsOf(c.Number)))})
	}
	f.Table(pdf.Table{Columns: []pdf.Column{{Head: "cut", Share: 0.6}, {Head: "date", Share: 1.4}, {Head: "why", Share: 2.6}, {Head: "clearance", Share: 1.8}, {Head: "centre line", Share: 2.2}, {Head: "put right in it", Share: 2.6}, {Head: "gaps noted", Share: 0.9}}, Size: tableSize}, rows)
	if g := r.m.Gaps; g != nil {
		r.gaps(g)
	}
}

// causeWord is the name of a cause in words.
func causeWord(name string) string { return strings.ReplaceAll(name, "_", " ") }

// gaps writes what explains the gaps of the last cut, and the gaps themselves.
func (r reporter) gaps(g *board.GapReport) {
	f := r.f
	f.Heading(fmt.Sprintf("What explains the gaps of cut %d", g.Cut), 0)
	if g.Why != "" {
		f.Text(pdf.Body, g.Why)
	}
	var rows [][]string
	for _, c := range g.Causes {
		value := ""
		if c.Unit != "" {
			value = fmt.Sprintf("%.3g ± %.2g %s", c.Value, 2*c.U, c.Unit)
		}
		state := "too small to tell"
		switch {
		case c.Accepted:
			state = "put right in the next cut"
		case c.Split:
			state = "cannot be parted from another cause"
		case c.Clear:
			state = "clear"
		case c.Unit == "":
			state = ""
		}
		rows = append(rows, []string{causeWord(c.Name), value, fmt.Sprintf("%.0f %%", 100*c.Share), "", state, c.Text})
	}
	if len(rows) > 0 {
		f.Table(pdf.Table{Columns: []pdf.Column{{Head: "cause", Share: 1.4}, {Head: "value", Share: 1.7}, {Head: "share", Share: 0.8, Align: pdf.Right}, {Share: 0.2}, {Head: "", Share: 1.7}, {Head: "what it is", Share: 4}}, Size: tableSize}, rows)
		f.Text(pdf.Body, fmt.Sprintf("No cause explains %s %s (typical).", r.fine(g.LeftOver), r.m.Job.Unit))
	}
	for _, d := range g.Doubts {
		f.Item(pdf.Body, "–", causeWord(d))
	}
	f.Text(pdf.Body, strings.TrimSpace("The model is "+g.Proof.Words()+". "+g.Proof.Reason))
	r.gapTable(g)
}

// gapTable writes the gap sheet as it was noted, with what the next cut should
// show.
func (r reporter) gapTable(g *board.GapReport) {
	var rows [][]string
	for _, s := range g.Stations {
		if !s.Noted {
			continue
		}
		next := ""
		if s.HasNext {
			next = fmt.Sprintf("%s ± %s", r.fine(s.Next.Wall), r.fine(2*s.Next.WallU))
		}
		rows = append(rows, []string{s.ID, s.Wall.Text, s.Ledge.Text, next, s.Note})
	}
	if len(rows) == 0 {
		return
	}
	r.f.Heading(fmt.Sprintf("Gaps noted in cut %d", g.Cut), 0)
	r.f.Table(pdf.Table{Columns: []pdf.Column{{Head: "station", Share: 1}, {Head: "wall gap, noted", Share: 1.5}, {Head: "ledge gap, noted", Share: 1.5}, {Head: "wall gap to expect next, " + r.m.Job.Unit.String(), Share: 2}, {Head: "note", Share: 3}}, Size: tableSize}, rows)
	if len(g.Unknown) > 0 {
		r.f.Text(pdf.Small, "Noted at stations that the cut does not have: "+strings.Join(g.Unknown, ", ")+".")
	}
}
