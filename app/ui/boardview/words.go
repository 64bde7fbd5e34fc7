package boardview

import (
	"image/color"
	"math"
	"strconv"
	"strings"

	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
)

type colour = color.NRGBA

// typed is a length as a person would type it into the job: fractions of an
// inch down to a 64th, else decimals, with the job's decimal mark.
func typed(mm float64, j *board.Job) string {
	if j.Unit == board.Inch {
		if text, miss := board.FormatFraction(mm, 64); math.Abs(miss) < 1e-6 {
			return text
		}
		return decimal(mm/25.4, 4, j.Comma)
	}
	return decimal(mm, 3, j.Comma)
}

// decimal is a number with at most that many decimals and no zeros behind.
func decimal(v float64, places int, comma bool) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		s = "0"
	}
	if comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
}

// place says where a board point lies: in the words of the board, and in numbers.
func place(p r2.Vec, j *board.Job) string {
	return lang.L("{{.Where}} · {{.X}}, {{.Y}} {{.Unit}}", map[string]any{
		"Where": j.Grid.Describe(p, j.Unit), "X": j.Format(p.X), "Y": j.Format(p.Y), "Unit": j.Unit.String(),
	})
}

// name is a reading in words: "station 12", "check station 31".
func name(p point) string {
	data := map[string]any{"ID": p.id}
	switch {
	case p.kind == board.Face:
		return lang.L("face point {{.ID}}", data)
	case p.kind == board.Centre:
		return lang.L("centre mark {{.ID}}", data)
	case p.kind == board.Mark:
		return lang.L("mark {{.ID}}", data)
	case p.check:
		return lang.L("check station {{.ID}}", data)
	}
	return lang.L("station {{.ID}}", data)
}

// about is everything that is said of a reading under the pointer, in parts.
func about(p point, j *board.Job) []string {
	parts := []string{name(p), place(p.at, j)}
	r := j.Readings[p.index]
	switch {
	case p.away:
		parts = append(parts, lang.L("of laying {{.N}}, which is not joined: its place is not known", map[string]any{"N": r.Set}))
	case r2.Norm(r2.Sub(p.typed, p.at)) > movedFar:
		parts = append(parts, lang.L("typed {{.Where}}", map[string]any{"Where": place(p.typed, j)}))
	}
	unit := " " + j.Unit.String()
	if r.Z.Set {
		parts = append(parts, lang.L("height {{.Z}}", map[string]any{"Z": j.Format(r.Z.MM) + unit}))
	} else if r.Kind == board.Face {
		parts = append(parts, lang.L("no height yet"))
	}
	switch {
	case p.state == board.StruckOut:
		parts = append(parts, lang.L("struck"))
	case p.missed && p.miss >= 0:
		parts = append(parts, lang.L("{{.Miss}} outside the outline", map[string]any{"Miss": j.Format(p.miss) + unit}))
	case p.missed:
		parts = append(parts, lang.L("{{.Miss}} inside the outline", map[string]any{"Miss": j.Format(-p.miss) + unit}))
	}
	switch {
	case p.state == board.StruckOut || !p.lifted:
	case p.height >= 0:
		parts = append(parts, lang.L("{{.Miss}} above the face", map[string]any{"Miss": j.Format(p.height) + unit}))
	default:
		parts = append(parts, lang.L("{{.Miss}} below the face", map[string]any{"Miss": j.Format(-p.height) + unit}))
	}
	if p.breaks {
		parts = append(parts, lang.L("true break of the edge"))
	}
	switch {
	case p.sure:
		parts = append(parts, lang.L("vouched for"))
	case p.state == board.Suspect:
		parts = append(parts, lang.L("check this reading"))
	}
	return parts
}

// outcome is what a moved centre line would do, a line each.
func outcome(c board.Consequence, l line, j *board.Job) []string {
	unit := " " + j.Unit.String()
	lines := []string{lang.L("offset {{.Offset}}, skew {{.Skew}}°", map[string]any{
		"Offset": signed(j.Format(l.offset)) + unit, "Skew": signed(decimal(l.skew, 2, j.Comma))})}
	if c.Known {
		data := map[string]any{"Off": exact(math.Abs(c.Off), j), "Skew": signed(decimal(c.SkewOff, 2, j.Comma)), "N": decimal(c.Odds, 1, j.Comma)}
		text := lang.L("{{.Off}} right of what the readings say", data)
		if c.Off < 0 {
			text = lang.L("{{.Off}} left of what the readings say", data)
		}
		if math.Abs(c.SkewOff) >= 0.005 {
			text += lang.L(", turned {{.Skew}}°", data)
		}
		lines = append(lines, text+lang.L(": {{.N}} times its uncertainty", data))
	}
	if c.WidestAt != "" {
		side := lang.L("outside")
		if c.WidestDifference < 0 {
			side = lang.L("inside")
		}
		lines = append(lines, lang.L("station {{.ID}} would lie {{.Miss}} {{.Side}}", map[string]any{
			"ID": c.WidestAt, "Miss": j.Format(math.Abs(c.WidestDifference)) + unit, "Side": side}))
	}
	lines = append(lines, lang.L("width {{.Width}}, kink {{.Top}}° at the top, {{.Bottom}}° at the bottom", map[string]any{
		"Width": j.Format(c.Width) + unit, "Top": decimal(c.KinkTop, 1, j.Comma), "Bottom": decimal(c.KinkBottom, 1, j.Comma)}))
	return lines
}

// signed puts the plus in front of what has no minus.
func signed(s string) string {
	if s == "0" || strings.HasPrefix(s, "-") {
		return s
	}
	return "+" + s
}
