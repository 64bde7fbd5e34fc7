package ui

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
)

// causeTitle names a cause in a few words.
func causeTitle(name string) string {
	kind, of, _ := strings.Cut(name, " ")
	data := map[string]any{"Of": of}
	switch kind {
	case "placement":
		return lang.L("how the glass lay")
	case "tilt":
		return lang.L("how it lay on the ledge")
	case "centre_offset":
		return lang.L("centre line, sideways")
	case "centre_skew":
		return lang.L("centre line, turned")
	case "roll":
		return lang.L("centre plane, leaning")
	case "pencil_or_cutter":
		return lang.L("all round")
	case "scale":
		return lang.L("too large or small")
	case "shear":
		return lang.L("out of square")
	case "joint", "station":
		if of == "" {
			return map[string]string{"joint": lang.L("an opened joint"), "station": lang.L("one station alone")}[kind]
		}
		if kind == "station" {
			return lang.L("station {{.Of}} alone", data)
		}
		return lang.L("joint {{.Of}}", data)
	case board.RestCause:
		return lang.L("the smooth rest")
	}
	return name
}

// causeList names causes in a row.
func causeList(names []string) string {
	var words []string
	for _, n := range names {
		words = append(words, causeTitle(n))
	}
	return strings.Join(words, "; ")
}

// changesShape says whether a cause can be put right in the shape of the next
// cut. How the glass lay, an opened joint and a single bad station cannot.
func changesShape(c *board.GapCause) bool {
	return !slices.Contains([]string{"placement", "tilt", "joint", "station"}, c.Kind)
}

// ranked are the causes of a report, that which explains most first, the smooth
// rest last.
func ranked(g *board.GapReport) []board.GapCause {
	out := slices.Clone(g.Causes)
	slices.SortStableFunc(out, func(a, b board.GapCause) int {
		return cmp.Or(cmp.Compare(oneIf(a.Kind == board.RestCause), oneIf(b.Kind == board.RestCause)), cmp.Compare(b.Share, a.Share))
	})
	return out
}

// clearCause says whether a cause is shown at once: it is clear, or asked for, or
// put right.
func clearCause(s desk.State, c *board.GapCause) bool {
	const least = 0.01 // share
	switch {
	case c.Kind == board.RestCause, isAccepted(s, c.Name):
		return true
	case !changesShape(c) && c.Unit == "":
		return c.Share >= least
	}
	return c.Clear || c.Split
}

// correctable are the names of the causes that can be put right, as they are
// numbered: those shown at once first, each group in its order.
func correctable(s desk.State) (names []string) {
	if s.Model == nil || s.Model.Gaps == nil {
		return nil
	}
	all := ranked(s.Model.Gaps)
	for _, shown := range []bool{true, false} {
		for i := range all {
			if c := &all[i]; changesShape(c) && clearCause(s, c) == shown {
				names = append(names, c.Name)
			}
		}
	}
	return names
}

// isAccepted says whether a cause of the last cut's gaps is put right in the next.
func isAccepted(s desk.State, name string) bool {
	last := s.Job.LastCut()
	if last == nil {
		return false
	}
	if slices.Contains(last.Accepted, name) {
		return true
	}
	if !slices.Contains(last.Accepted, board.FoundCauses) {
		return false
	}
	if name == board.RestCause || s.Model == nil || s.Model.Gaps == nil {
		return name == board.RestCause
	}
	i := slices.IndexFunc(s.Model.Gaps.Causes, func(c board.GapCause) bool { return c.Name == name })
	return i >= 0 && changesShape(&s.Model.Gaps.Causes[i]) && s.Model.Gaps.Causes[i].Clear
}

// acceptedCauses are the names of the causes that are put right in the next cut.
func acceptedCauses(s desk.State) (names []string) {
	if s.Model == nil || s.Model.Gaps == nil {
		return nil
	}
	all := ranked(s.Model.Gaps)
	for i := range all {
		if isAccepted(s, all[i].Name) {
			names = append(names, all[i].Name)
		}
	}
	return names
}

// causeFigures are a cause's share of the gaps, and its value with twice its
// standard uncertainty.
func causeFigures(j *board.Job, c *board.GapCause) string {
	text := percent(j, c.Share)
	switch c.Unit {
	case "mm":
		v := fineBare(j, c.Value) + " ± " + fine(j, 2*c.U)
		return text + "   " + plusSign(c.Value, v)
	case "deg":
		return text + "   " + plusSign(c.Value, plusMinus(j, c.Value, c.U, 3)+"°")
	case "mm/m":
		return text + "   " + plusSign(c.Value, plusMinus(j, c.Value, c.U, 2)) + " mm/m"
	}
	return text
}

// plusSign puts a plus before a figure above 0 that is not rounded to it.
func plusSign(v float64, text string) string {
	if figure, _, _ := strings.Cut(text, " "); v > 0 && strings.ContainsAny(figure, "123456789") {
		return "+" + text
	}
	return text
}

// proofWord is what a proof comes to in a few words, and how it stands out.
func proofWord(p board.Proof) (string, widget.Importance) {
	switch {
	case p.Cut == 0:
		return lang.L("not proved"), widget.WarningImportance
	case !p.Ledge:
		return lang.L("proved, wall gaps only"), widget.SuccessImportance
	}
	return lang.L("proved"), widget.SuccessImportance
}

// cutsHead is the first thing said of the cuts, how it stands out, and more to
// say.
func cutsHead(s desk.State) (word string, weight widget.Importance, say string) {
	last := s.Job.LastCut()
	if last == nil {
		return lang.L("No cut is recorded yet"), widget.MediumImportance,
			lang.L("Cut the pocket in foam and record it here. Then lay the glass in and note the gaps: they are held against the pocket as it was cut.")
	}
	n := map[string]any{"N": last.Number}
	if len(s.Job.GapsOf(last.Number)) == 0 {
		return lang.L("Cut {{.N}}: note its gaps", n), widget.MediumImportance,
			lang.L("Lay the glass in. Note the wall gap and the ledge gap at eight stations or more, all round: a number, tight where it touches, or 0.6..0.7 for a strip that goes and one that does not.")
	}
	m := s.Model
	if m == nil || m.Gaps == nil || m.Gaps.Cut != last.Number {
		return lang.L("Working out the gaps…"), widget.MediumImportance, ""
	}
	g := m.Gaps
	switch {
	case m.Proof.Cut > 0 && m.Proof.Ledge:
		return lang.L("Proved by cut {{.N}}", map[string]any{"N": m.Proof.Cut}), widget.SuccessImportance, said(m.Proof.Reason)
	case m.Proof.Cut > 0:
		return lang.L("Proved by cut {{.N}}, wall gaps only", map[string]any{"N": m.Proof.Cut}), widget.SuccessImportance, said(m.Proof.Reason)
	case g.Why != "":
		return lang.L("Cut {{.N}}: nothing explained yet", n), widget.WarningImportance, said(g.Why)
	}
	if names := acceptedCauses(s); len(names) > 0 {
		return lang.L("Put right in cut {{.N}}: {{.What}}", map[string]any{"N": s.Job.Cut, "What": causeList(names)}), widget.SuccessImportance, nextWords(s.Job, g)
	}
	for _, c := range ranked(g) {
		if c.Clear && c.Unit != "" {
			return lang.L("{{.What}}: {{.P}} of the gaps of cut {{.N}}", map[string]any{"What": capital(causeTitle(c.Name)), "P": percent(s.Job, c.Share), "N": last.Number}),
				widget.WarningImportance, said(g.Proof.Reason)
		}
	}
	return lang.L("No one cause explains the gaps of cut {{.N}}", n), widget.WarningImportance, said(g.Proof.Reason)
}

// nextWords says what wall gaps to expect in the next cut.
func nextWords(j *board.Job, g *board.GapReport) string {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, st := range g.Stations {
		if st.HasNext {
			lo, hi = min(lo, st.Next.Wall), max(hi, st.Next.Wall)
		}
	}
	if lo > hi {
		return ""
	}
	return lang.L("To expect there: wall gaps of {{.Lo}} to {{.Hi}}, planned {{.Plan}}. The column “next” of the gap sheet has them by station.",
		map[string]any{"Lo": fineBare(j, lo), "Hi": fine(j, hi), "Plan": fine(j, j.Pocket.Wall)})
}
