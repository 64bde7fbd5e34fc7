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

// Shares of the panes that the readings allow.
const (
	nearlyAll  = 0.95 // a fault of fewer than the rest is not spoken of first
	hardlyAny  = 0.5  // below it most panes have the fault
	widestWall = 10.0 // mm, the greatest clearance that a pocket may have
)

// fitWord is the first thing said of a prediction, and how it stands out.
func fitWord(j *board.Job, f *board.FitCheck) (string, widget.Importance) {
	switch {
	case f.DropsIn < hardlyAny:
		return lang.L("Predicted: does not drop in"), widget.DangerImportance
	case f.DropsIn < nearlyAll:
		return lang.L("Predicted: may bind"), widget.WarningImportance
	case f.Snug < hardlyAny:
		return lang.L("Predicted: drops in, but loose"), widget.WarningImportance
	case f.Snug < nearlyAll:
		return lang.L("Predicted: drops in, may be loose"), widget.WarningImportance
	case f.Sits < hardlyAny:
		return lang.L("Predicted: drops in, but does not lie down"), widget.WarningImportance
	case f.Sits < nearlyAll:
		return lang.L("Predicted: drops in, may not lie down"), widget.WarningImportance
	}
	return lang.L("Predicted: drops in with {{.G}} to spare", map[string]any{"G": fine(j, f.LeastGap)}), widget.SuccessImportance
}

// chancesWord counts the panes that fit. It never rounds up.
func chancesWord(f *board.FitCheck) string {
	if f.DropsIn == 0 {
		return lang.L("Not one of the panes that the readings allow drops in. Predicted, not promised: try the glass in foam first.")
	}
	of100 := func(p float64) int { return int(100*p + 1e-9) }
	return lang.L("Of 100 panes that the readings allow, {{.In}} drop in, {{.Snug}} are snug and {{.Sits}} sit. Predicted, not promised: try the glass in foam first.",
		map[string]any{"In": of100(f.DropsIn), "Snug": of100(f.Snug), "Sits": of100(f.Sits)})
}

// fitCause says that the centre line that was typed spoils the fit, where it lies
// clearly off what was found; "" where it does not.
func (w *Window) fitCause(s desk.State) string {
	m := s.Model
	if s.Job.Plane == nil || m.Found == nil || m.Used == nil || m.Fit.Snug >= nearlyAll {
		return ""
	}
	c, ok := w.desk.Consequence(m.Used.Offset, m.Used.Skew, m.Used.Roll)
	if !ok || c.Odds <= doubtful {
		return ""
	}
	data := map[string]any{"D": fine(s.Job, math.Abs(c.Off)), "Side": side(c.Off), "W": fine(s.Job, 2*math.Abs(c.Off)),
		"Skew": degrees(s.Job, math.Abs(c.SkewOff))}
	text := lang.L("Why: the centre line was typed {{.D}} {{.Side}} of where the readings put it.", data)
	if math.Abs(c.SkewOff) >= 0.005 {
		text = lang.L("Why: the centre line was typed {{.D}} {{.Side}} of where the readings put it, turned {{.Skew}} against it.", data)
	}
	wider := c.Off // of the pane that the pocket is made for
	switch m.Mirror {
	case board.MirrorRight:
		wider = -c.Off
	case board.MirrorLeft:
	default:
		return text
	}
	if wider < 0 {
		return text + " " + lang.L("That makes the pocket about {{.W}} too narrow.", data)
	}
	return text + " " + lang.L("That makes the pocket about {{.W}} too wide.", data)
}

// gapPlace is a station to point out, and why.
type gapPlace struct {
	id, text string
}

// mostPlaces is how many places are pointed out at most.
const mostPlaces = 5

// gapPlaces are the stations worth a look: where the pane binds, else the
// tightest; and the one that stands off farthest.
func gapPlaces(j *board.Job, f *board.FitCheck) (out []gapPlace) {
	if len(f.Stations) == 0 {
		return nil
	}
	add := func(g board.StationGap, text string) {
		out = append(out, gapPlace{g.ID, text})
	}
	data := func(g board.StationGap) map[string]any {
		return map[string]any{"ID": stationName(g.ID), "Low": fineBare(j, g.Low), "High": fine(j, g.High)}
	}
	for _, id := range f.BindsAt {
		i := slices.IndexFunc(f.Stations, func(g board.StationGap) bool { return g.ID == id })
		own, made := strings.CutSuffix(id, "'")
		if f.DropsIn >= nearlyAll || i < 0 || made && slices.Contains(f.BindsAt, own) || len(out) == mostPlaces {
			continue
		}
		add(f.Stations[i], bindsWord(f.DropsIn < hardlyAny, slices.Contains(f.BindsAt, id+"'"), data(f.Stations[i])))
	}
	if len(out) == 0 {
		g := slices.MinFunc(f.Stations, func(a, b board.StationGap) int { return cmp.Compare(a.Low, b.Low) })
		add(g, lang.L("Tightest at {{.ID}}: gap {{.Low}} to {{.High}}", data(g)))
	}
	g := slices.MaxFunc(f.Stations, func(a, b board.StationGap) int { return cmp.Compare(a.High, b.High) })
	text := lang.L("Widest at {{.ID}}: gap {{.Low}} to {{.High}}", data(g))
	if g.High > 2*f.Wall && f.Snug < nearlyAll {
		text = lang.L("Loose at {{.ID}}: gap {{.Low}} to {{.High}}", data(g))
	}
	add(g, text)
	return out
}

// bindsWord says that the pane binds at a station, and where it does so at its
// twin too; that it may, where most do not.
func bindsWord(most, both bool, data map[string]any) string {
	switch {
	case most && both:
		return lang.L("Binds at {{.ID}} and opposite: gap {{.Low}} to {{.High}}", data)
	case most:
		return lang.L("Binds at {{.ID}}: gap {{.Low}} to {{.High}}", data)
	case both:
		return lang.L("May bind at {{.ID}} and opposite: gap {{.Low}} to {{.High}}", data)
	}
	return lang.L("May bind at {{.ID}}: gap {{.Low}} to {{.High}}", data)
}

// stationName names a station of the fit check; a dash behind it stands for its
// place on the half that is made.
func stationName(id string) string {
	if own, made := strings.CutSuffix(id, "'"); made {
		return lang.L("{{.ID}}', opposite {{.Own}}", map[string]any{"ID": own, "Own": own})
	}
	return id
}

// gapRows are the wall gaps by station as rows of a table: name, 5, 50 and 95 of
// 100, and a sign where it may bind or be loose.
func gapRows(j *board.Job, f *board.FitCheck) [][]string {
	rows := [][]string{{lang.L("station"), "5", "50", "95", ""}}
	for _, g := range f.Stations {
		sign := ""
		switch {
		case g.Low < 0:
			sign = "✕"
		case g.High > 2*f.Wall:
			sign = "="
		}
		rows = append(rows, []string{g.ID, fineBare(j, g.Low), fineBare(j, g.Mid), fineBare(j, g.High), sign})
	}
	return rows
}

// enoughWall is the clearance to set so that 95 of 100 panes would be snug,
// rounded up to what is cut: a tenth of a millimetre or a 64th of an inch; false
// where no pocket has so much.
func enoughWall(j *board.Job, f *board.FitCheck) (float64, bool) {
	step := 0.1
	if j.Unit == board.Inch {
		step = 25.4 / 64
	}
	mm := math.Ceil(f.Enough/step-1e-9) * step
	return mm, f.Enough > 0 && mm <= widestWall
}
