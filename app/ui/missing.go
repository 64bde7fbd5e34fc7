package ui

import (
	"strings"

	"fyne.io/fyne/v2/lang"

	"panewright/app/desk"
	"panewright/board"
)

// stepState is how far a step has come: its sign, and what is missing in a sentence.
type stepState struct {
	mark mark
	text string // without the step's name
}

// stepStates say of each step whether it is done, open or needs attention, and
// what is missing in it.
func (w *Window) stepStates(s desk.State) [stepCount]stepState {
	return [stepCount]stepState{
		stepBoard:    boardMissing(w.troubles),
		stepReadings: readingsMissing(s, w.troubles),
		stepCentre:   centreMissing(s),
		stepShape:    shapeMissing(s),
		stepFit:      w.panels[stepFit].(*fitPanel).missing(s),
		stepHandover: handoverMissing(s, w.exported),
	}
}

// boardMissing says what is wrong with the settings of the board.
func boardMissing(ts []trouble) stepState {
	var texts []string
	for _, t := range ts {
		if t.list < 0 && !t.remark && isBoardField(t.field) {
			texts = append(texts, capital(t.text))
		}
	}
	if len(texts) == 0 {
		return stepState{markDone, lang.L("nothing is missing.")}
	}
	return stepState{markAttention, sentence(texts[0]) + andMore(len(texts)-1)}
}

// isBoardField says whether a finding of the job belongs to the board's settings.
func isBoardField(f string) bool {
	return f != "" && f != "centre" && f != "mirror" && f != fieldCuts
}

// readingsMissing says what has to be looked at in the lists.
func readingsMissing(s desk.State, ts []trouble) stepState {
	suspects, others, first := 0, 0, ""
	for _, t := range ts {
		switch {
		case t.remark || t.list < 0 || t.list == listGaps:
		case t.suspect:
			suspects++
		default:
			if others++; others == 1 {
				first = sentence(capital(t.text))
			}
		}
	}
	data := map[string]any{"N": suspects, "E": len(s.Job.Indices(board.Edge)), "F": len(s.Job.Indices(board.Face))}
	switch {
	case data["E"] == 0:
		return stepState{markOpen, lang.L("no station read yet; begin at the bottom centre and go round clockwise.")}
	case suspects == 1 && others == 0:
		return stepState{markAttention, lang.L("1 reading looks wrong; F8 goes there.")}
	case suspects > 0 && others == 0:
		return stepState{markAttention, lang.L("{{.N}} readings look wrong; F8 goes to the next.", data)}
	case suspects > 0:
		data["M"] = others
		return stepState{markAttention, lang.L("readings that look wrong: {{.N}}; more to look at: {{.M}}.", data)}
	case others > 0:
		return stepState{markAttention, first + andMore(others-1)}
	case s.Model == nil || s.Model.Free == nil:
		return stepState{markOpen, lang.L("stations read: {{.E}}. {{.Why}}", with(data, "Why", whyNoShape(s)))}
	case data["F"] == 0:
		return stepState{markOpen, lang.L("stations read: {{.E}}; no height of the face yet.", data)}
	}
	return stepState{markDone, lang.L("stations read: {{.E}}, heights: {{.F}}; all fit.", data)}
}

// centreMissing says whether the centre line is known.
func centreMissing(s desk.State) stepState {
	m := s.Model
	switch {
	case s.Job.Mirror == board.MirrorNone:
		return stepState{markDone, lang.L("not needed, this pane is not mirrored.")}
	case m == nil || m.Free == nil:
		return stepState{markOpen, lang.L("not looked for yet; the outline comes first.")}
	case m.Used == nil:
		return stepState{markAttention, lang.L("not determined. {{.Why}}", map[string]any{"Why": sentence(capital(whyNot(m)))})}
	case s.Job.Plane != nil && m.Found == nil:
		return stepState{markDone, lang.L("as it was typed; the readings alone do not say where it is.")}
	case s.Job.Plane != nil:
		return stepState{markDone, lang.L("as it was typed.")}
	}
	return stepState{markDone, lang.L("found from the {{.S}}, ± {{.U}}.",
		map[string]any{"S": sourceWord(m.Used.Source), "U": fine(s.Job, m.Used.OffsetU)})}
}

// shapeMissing says whether there is a pane.
func shapeMissing(s desk.State) stepState {
	if s.Model == nil || s.Model.Pane == nil {
		return stepState{markOpen, whyNoShape(s)}
	}
	return stepState{markDone, lang.L("worked out; typical miss {{.T}}, largest {{.L}}. Hold the widths against a tape on the glass.", map[string]any{
		"T": fine(s.Job, s.Model.Figures.TypicalMiss), "L": fine(s.Job, s.Model.Figures.LargestMiss),
	})}
}

// whyNoShape is why there is no shape yet, as a sentence.
func whyNoShape(s desk.State) string {
	switch {
	case s.Err != nil:
		return sentence(plain(s.Err))
	case s.Model == nil:
		return lang.L("Not worked out yet.")
	case whyNot(s.Model) != "":
		return sentence(capital(whyNot(s.Model)))
	}
	return lang.L("More readings are needed.")
}

// missing says how far the fit check has come.
func (p *fitPanel) missing(s desk.State) stepState {
	m, last := s.Model, s.Job.LastCut()
	solved := m != nil && m.Pane != nil
	switch {
	case m != nil && m.Proof.Cut > 0:
		return stepState{markDone, lang.L("cut {{.N}} proved the shape.", map[string]any{"N": m.Proof.Cut})}
	case p.cuts.mark(s) == markAttention:
		return stepState{markAttention, lang.L("the gaps of cut {{.N}} are noted; say what of them is put right.", map[string]any{"N": last.Number})}
	case solved && p.trial.err != nil && p.trial.of == m:
		return stepState{markAttention, lang.L("no pocket. {{.Why}}", map[string]any{"Why": sentence(inUnit(s.Job, refusal(p.trial.err)))})}
	case solved && m.Fit != nil && min(m.Fit.DropsIn, m.Fit.Snug) < nearlyAll:
		word, _ := fitWord(s.Job, m.Fit)
		return stepState{markAttention, sentence(word)}
	case !s.Job.Pane.Thickness.Set:
		return stepState{markOpen, lang.L("the thickness of the glass is missing; it is typed under Board.")}
	case !solved:
		return stepState{markOpen, lang.L("the shape comes first.")}
	case last == nil:
		return stepState{markOpen, lang.L("no cut yet; cut the pocket in foam and record it with Ctrl+Shift+G.")}
	case len(s.Job.GapsOf(last.Number)) == 0:
		return stepState{markOpen, lang.L("cut {{.N}} is recorded; lay the glass in and note the gaps.", map[string]any{"N": last.Number})}
	}
	return stepState{markOpen, lang.L("what cut {{.N}} showed is put right; cut the next one.", map[string]any{"N": last.Number})}
}

// handoverMissing says whether the files are those of the job as it stands.
func handoverMissing(s desk.State, e *exportResult) stepState {
	switch {
	case e != nil && e.job == s.Job:
		return stepState{markDone, lang.L("files written into {{.Dir}}", map[string]any{"Dir": e.dir})}
	case e != nil:
		return stepState{markOpen, lang.L("the job has changed since the files were written; export again with Ctrl+E.")}
	case s.Model == nil || s.Model.Pane == nil:
		return stepState{markOpen, lang.L("no files yet; the shape comes first.")}
	}
	return stepState{markOpen, lang.L("no files written in this sitting; export with Ctrl+E.")}
}

// sentence is a text with a full stop.
func sentence(s string) string {
	if s == "" || strings.ContainsAny(s[len(s)-1:], ".!?:") {
		return s
	}
	return s + "."
}

// andMore says how many more there are.
func andMore(n int) string {
	if n <= 0 {
		return ""
	}
	return " " + lang.L("And {{.N}} more.", map[string]any{"N": n})
}

// with is a text's figures and one more.
func with(data map[string]any, name string, v any) map[string]any {
	data[name] = v
	return data
}
