package ui

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"fyne.io/fyne/v2/lang"

	"panewright/board"
)

// plain is an error in a person's words: without the names of the packages that
// it came through, its first letter large.
func plain(err error) string {
	if err == nil {
		return ""
	}
	s := err.Error()
	for _, pkg := range []string{"board: ", "desk: ", "handover: ", "fixture: ", "fit: ", "geom: "} {
		if i := strings.LastIndex(s, pkg); i >= 0 {
			s = s[i+len(pkg):]
		}
	}
	if first, _, _ := strings.Cut(s, " "); strings.Contains(strings.TrimRight(first, ".,:;"), ".") {
		return said(s) // the name of a file stays as it is
	}
	return capital(s)
}

// plainError is an error whose text is plain, for views that know only errors.
type plainError struct{ error }

func (r plainError) Error() string { return plain(r.error) }
func (r plainError) Unwrap() error { return r.error }

// said looks up a sentence that a part of the program without a window made, as
// a whole: findings, reasons, faults. Those with figures in them stay as they
// are until a translation has them.
func said(s string) string {
	if s == "" || strings.Contains(s, "{{") {
		return s
	}
	return lang.X(s, s)
}

// capital is a sentence of another part, as said, with a large first letter.
func capital(s string) string {
	s = said(s)
	for i, r := range s {
		if i == 0 {
			return strings.ToUpper(string(r)) + s[len(string(r)):]
		}
	}
	return s
}

// length is a length with its unit, as a person reads it.
func length(j *board.Job, mm float64) string { return j.Format(mm) + " " + j.Unit.String() }

// lengthInMM finds the lengths in what the pocket says, which knows millimetres alone.
var lengthInMM = regexp.MustCompile(`(\d+(?:\.\d+)?) mm\b`)

// inUnit is a sentence of the pocket's with its lengths in the job's unit.
func inUnit(j *board.Job, text string) string {
	if j.Unit != board.Inch {
		return text
	}
	return lengthInMM.ReplaceAllStringFunc(text, func(s string) string {
		v, err := strconv.ParseFloat(strings.TrimSuffix(s, " mm"), 64)
		if err != nil {
			return s
		}
		return length(j, v)
	})
}

// fine is a length with its unit to 0.01 mm or 0.001 in, for uncertainties and
// small differences.
func fine(j *board.Job, mm float64) string {
	if j.Unit == board.Inch {
		return number(j, mm/25.4, 3) + " in"
	}
	return number(j, mm, 2) + " mm"
}

// fineBare is fine without the unit.
func fineBare(j *board.Job, mm float64) string {
	return strings.TrimSuffix(fine(j, mm), " "+j.Unit.String())
}

// unsure is a length with its unit and twice its standard uncertainty, where
// that is known.
func unsure(j *board.Job, mm, u float64) string {
	if u == 0 {
		return length(j, mm)
	}
	if j.Unit == board.Inch {
		return plusMinus(j, mm/25.4, u/25.4, 3) + " in"
	}
	return plusMinus(j, mm, u, 1) + " mm"
}

// plusMinus is a figure and twice its standard uncertainty, both to the same
// count of decimals: one more than asked for where the uncertainty would be
// shown as nothing.
func plusMinus(j *board.Job, v, u float64, places int) string {
	if 2*u < 0.95*math.Pow10(-places) {
		places++
	}
	return number(j, v, places) + " ± " + number(j, 2*u, places)
}

// signedFine is fine with its sign always shown.
func signedFine(j *board.Job, mm float64) string {
	s := fine(j, mm)
	if !strings.HasPrefix(s, "-") {
		s = "+" + s
	}
	return s
}

// degrees is an angle.
func degrees(j *board.Job, deg float64) string { return number(j, deg, 2) + "°" }

// number is a figure with a fixed count of decimals, in the job's decimal mark;
// a dash where there is none, and never a negative zero.
func number(j *board.Job, v float64, places int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "–"
	}
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	if j.Comma {
		s = strings.ReplaceAll(s, ".", ",")
	}
	return s
}

// typedNumber is a figure as it would be typed into a cell: no zeros behind.
func typedNumber(j *board.Job, v float64, places int) string {
	s := number(j, v, places)
	if strings.ContainsAny(s, ".,") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".,")
	}
	return s
}

// typedLength is a length as it would be typed in the job's unit.
func typedLength(j *board.Job, mm float64) string {
	if j.Unit == board.Inch {
		return typedNumber(j, mm/25.4, 4)
	}
	return typedNumber(j, mm, 2)
}

// area is an area in the unit that its size asks for.
func area(j *board.Job, mm2 float64) string {
	if j.Unit == board.Inch {
		return number(j, mm2/(25.4*25.4), 1) + " in²"
	}
	return number(j, mm2/1e6, 3) + " m²"
}

// unsureArea is an area with twice its standard uncertainty, where that is known.
func unsureArea(j *board.Job, mm2, u float64) string {
	switch {
	case u == 0:
		return area(j, mm2)
	case j.Unit == board.Inch:
		return plusMinus(j, mm2/(25.4*25.4), u/(25.4*25.4), 1) + " in²"
	}
	return plusMinus(j, mm2/1e6, u/1e6, 4) + " m²"
}

// mass is a mass; in an inch job in pounds too.
func mass(j *board.Job, kg float64) string {
	s := number(j, kg, 2) + " kg"
	if j.Unit == board.Inch {
		s += " · " + number(j, kg/0.45359237, 1) + " lb"
	}
	return s
}

// side names a side by the sign of a distance across: + is right.
func side(x float64) string {
	if x < 0 {
		return lang.L("left")
	}
	return lang.L("right")
}

// thing is kindWord within a sentence: "station 12".
func thing(k board.Kind, id string) string {
	data := map[string]any{"ID": id}
	switch k {
	case board.Face:
		return lang.L("face point {{.ID}}", data)
	case board.Centre:
		return lang.L("centre mark {{.ID}}", data)
	case board.Mark:
		return lang.L("mark {{.ID}}", data)
	}
	return lang.L("station {{.ID}}", data)
}

// kindWord is the word for a reading of a kind with its number: "Station 12".
func kindWord(k board.Kind, id string) string {
	data := map[string]any{"ID": id}
	switch k {
	case board.Face:
		return lang.L("Face point {{.ID}}", data)
	case board.Centre:
		return lang.L("Centre mark {{.ID}}", data)
	case board.Mark:
		return lang.L("Mark {{.ID}}", data)
	}
	return lang.L("Station {{.ID}}", data)
}

// columnsText sets rows in columns of a monospaced face, flush right.
func columnsText(rows [][]string) string {
	wide := make([]int, len(rows[0]))
	for _, r := range rows {
		for i, s := range r {
			wide[i] = max(wide[i], utf8.RuneCountInString(s))
		}
	}
	var b strings.Builder
	for n, r := range rows {
		if n > 0 {
			b.WriteByte('\n')
		}
		for i, s := range r {
			if i > 0 {
				b.WriteString("  ")
			}
			fmt.Fprintf(&b, "%*s", wide[i], s)
		}
	}
	return b.String()
}
