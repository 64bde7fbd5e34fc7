package ui

import (
	"math"
	"strings"

	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/board"
)

// Bounds on how many of its uncertainties a centre plane lies from the found one.
const (
	allowed  = 2 // up to it the readings allow the plane
	doubtful = 3 // beyond it the panel warns
)

// turnShown is the turn in degrees from which it is spoken of.
const turnShown = 0.005

// apartWord says how far a plane is from what the readings say, in lengths, in its
// uncertainty, and how likely that is; leanOff is its roll against the found one,
// degrees.
func apartWord(j *board.Job, c board.Consequence, leanOff float64) string {
	places := 1
	if c.Odds >= 10 {
		places = 0
	}
	parts := []string{lang.L("{{.D}} from what the readings say", map[string]any{"D": fine(j, math.Abs(c.Off))})}
	if math.Abs(c.SkewOff) >= turnShown {
		parts = append(parts, lang.L("turned {{.Skew}} against it", map[string]any{"Skew": degrees(j, math.Abs(c.SkewOff))}))
	}
	if math.Abs(leanOff) >= turnShown {
		parts = append(parts, lang.L("leaning {{.Roll}} more", map[string]any{"Roll": degrees(j, leanOff)}))
	}
	parts = append(parts, lang.L("{{.N}} times its uncertainty", map[string]any{"N": number(j, c.Odds, places)}))
	text := strings.Join(parts, ", ") + ": "
	if c.Odds <= allowed {
		return text + lang.L("the readings allow it.")
	}
	return text + oddsWord(c.Chance) + "."
}

// oddsWord says how seldom something comes about by chance.
func oddsWord(p float64) string {
	if p < 1e-4 {
		return lang.L("less than 1 chance in 10 000")
	}
	return lang.L("about 1 chance in {{.N}}", map[string]any{"N": number(&board.Job{}, math.Max(2, 1/p), 0)})
}

// sourceWord names where the centre line was found from.
func sourceWord(source string) string {
	switch source {
	case "outline":
		return lang.L("outline of both halves")
	case "tapes":
		return lang.L("taped widths")
	case "stations":
		return lang.L("check stations")
	case "marks":
		return lang.L("centre marks")
	}
	return lang.L("readings together")
}

// verdictWord is the verdict on the symmetry of the pane in a line, and how it
// stands out; "" where there is none.
func verdictWord(j *board.Job, v board.Verdict) (string, widget.Importance) {
	switch v.Code {
	case "symmetric":
		return lang.L("Symmetric, as far as the readings tell"), widget.SuccessImportance
	case "mark":
		return lang.L("Symmetric, but for {{.N}}", map[string]any{"N": stationsWord(v.Stations)}), widget.WarningImportance
	case "grid":
		return lang.L("The grid looks out of square"), widget.WarningImportance
	case "asymmetric":
		return lang.L("Really not symmetric: {{.D}} apart", map[string]any{"D": length(j, asymmetry(v))}), widget.WarningImportance
	case "unknown":
		return lang.L("Whether it is symmetric is not known"), widget.LowImportance
	}
	return "", widget.MediumImportance
}

// asymmetry is by how much the halves differ where they do most, mm.
func asymmetry(v board.Verdict) float64 {
	if v.Most != 0 {
		return math.Abs(v.Most)
	}
	return v.Residual
}

// stationsWord names one station or two.
func stationsWord(ids []string) string {
	switch len(ids) {
	case 0:
		return ""
	case 1:
		return lang.L("station {{.ID}}", map[string]any{"ID": ids[0]})
	}
	return lang.L("stations {{.A}} and {{.B}}", map[string]any{"A": ids[0], "B": ids[1]})
}

// linkWord names a link of the chain of measuring.
func linkWord(code string) string {
	switch code {
	case "reading":
		return lang.L("Stations misread")
	case "height":
		return lang.L("Heights misread")
	case "moved":
		return lang.L("Something moved")
	case "pitch":
		return lang.L("Pitch of the grid")
	case "square":
		return lang.L("Grid not square")
	case "board":
		return lang.L("Board or pane twisted")
	case "face":
		return lang.L("The wrong face read")
	case "gauge":
		return lang.L("Gauge or block")
	case "line":
		return lang.L("The centre line")
	case "roll":
		return lang.L("The roll")
	case "pane":
		return lang.L("The pane itself")
	}
	return capital(code)
}

// weightWord says how far the evidence against a link stands off.
func weightWord(j *board.Job, w float64) string {
	const most = 99 // board says no more
	switch {
	case w == 0:
		return lang.L("not proved")
	case w >= most:
		return lang.L("over 99 ×")
	case w >= 10:
		return number(j, w, 0) + " ×"
	}
	return number(j, w, 1) + " ×"
}

// carrierWord names readings that carry the centre line: how many, of which kind.
func carrierWord(c board.Carry) string {
	data := map[string]any{"N": len(c.Readings)}
	switch c.Code {
	case "checks":
		return lang.L("Check stations: {{.N}}", data)
	case "left":
		return lang.L("Left half, stations: {{.N}}", data)
	case "right":
		return lang.L("Right half, stations: {{.N}}", data)
	case "tapes":
		return lang.L("Taped widths: {{.N}}", data)
	case "marks":
		return lang.L("Centre marks: {{.N}}", data)
	}
	return lang.L("Heights: {{.N}}", data)
}

// pullName names a reading that carries the centre line.
func pullName(p pull) string {
	data := map[string]any{"ID": p.ID}
	switch p.code {
	case "tapes":
		return lang.L("Tape from {{.ID}}", data)
	case "marks":
		return lang.L("Centre mark {{.ID}}", data)
	case "heights":
		return lang.L("Height {{.ID}}", data)
	case "checks":
		return lang.L("Check station {{.ID}}", data)
	}
	return lang.L("Station {{.ID}}", data)
}

// pullsWord says what the reading that pulls most does.
func pullsWord(j *board.Job, p pull) string {
	return lang.L("{{.What}} pulls most: without it the line would lie {{.D}} farther {{.Side}}.",
		map[string]any{"What": pullName(p), "D": fine(j, math.Abs(p.Moves)), "Side": side(p.Moves)})
}

// percent is a share.
func percent(j *board.Job, share float64) string {
	if share < 0.01 {
		return number(j, 100*share, 1) + "%"
	}
	return number(j, 100*share, 0) + "%"
}
