package board

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Axis says what kind of field a text was typed into.
type Axis int

// The kinds of field.
const (
	AxisX      Axis = iota // across the board: a numbered grid line with an offset is understood too
	AxisY                  // up the board: a lettered grid line, with or without an offset, is understood too
	AxisZ                  // height off the board
	AxisLength             // any other length
	AxisAngle              // an angle in degrees
)

// ParseError says why a typed text was not understood.
type ParseError struct {
	Text   string // as typed
	Reason string // one sentence for the person who typed it
}

// Error names the text and the reason.
func (e *ParseError) Error() string { return fmt.Sprintf("board: %q: %s", e.Text, e.Reason) }

// Parse reads a text as a person types it into a field of a job whose unit in
// force is unit and whose decimal mark is a comma where comma is set. It returns
// millimetres (degrees for AxisAngle) and an echo in both units, with a remark
// where the text itself names the other unit. The error is a *ParseError.
//
// Understood are, in any field of length, with an optional sign in front:
//
//	12.375  12,375  .5  1,234.5  1.2e3     decimals
//	12 3/8  12-3/8  3/8  12⅜               fractions; the dash joins, it never subtracts
//	3' 11 1/2"  3ft 11.5  4'               feet and inches
//	2-3-4  1-0-3+                          feet-inches-eighths, + adds 1/16; only where inches are in force
//	314mm  31.4cm  12in  12"               the unit named
//
// and in x and y, where the grid has a pitch:
//
//	7+3/8  7 less 1/8  7+-1/8              x: numbered line and offset
//	C+12  C less 1/8  C                    y: lettered line and offset
//
// A text that could be read in two ways is refused, not guessed: one separator
// that is not the decimal mark in force before exactly three digits may be a
// thousand, so "1,234" needs the decimal comma and "1.234" the decimal point.
// Hence no text means two different numbers under the two marks.
func Parse(text string, a Axis, unit Unit, comma bool, g Grid) (mm float64, echo string, err error) {
	m, err := read(text, a, unit, comma, g)
	if err != nil {
		return 0, "", &ParseError{Text: text, Reason: err.Error()}
	}
	return m.value, m.echo(a, unit, comma), nil
}

// measure is a text understood.
type measure struct {
	value float64 // mm, or degrees
	unit  Unit    // that the number was typed in, named or in force
	line  string  // "line 7 + 3/8" where a grid line was typed
}

// refusal is a reason without its text.
func refusal(format string, args ...any) error { return fmt.Errorf(format, args...) }

var (
	errEmpty     = errors.New("nothing is typed here")
	errNotNumber = errors.New("this is not a number: type digits, as in 314.5 or 12 3/8")
	errTooLong   = errors.New("this is longer than any board")
	errTwoMarks  = errors.New("this has more than one decimal mark")
	errOnlyXY    = errors.New("plus and less are understood only behind a grid line: 7+3/8 in x, C+3/8 in y")
)

// read is Parse without the echo; its errors are bare reasons.
func read(text string, a Axis, unit Unit, comma bool, g Grid) (measure, error) {
	s := tidy(text)
	switch {
	case s == "":
		return measure{}, errEmpty
	case len(s) > textLimit:
		return measure{}, refusal("this is too long for a number")
	case a == AxisAngle:
		v, err := readAngle(s, comma)
		return measure{value: v}, err
	}
	if m, ok, err := readLine(s, a, unit, comma, g); ok {
		return m, err
	}
	v, u, err := readSigned(s, unit, comma)
	if err != nil {
		return measure{}, err
	}
	m := measure{value: v * u.Millimetres(), unit: u}
	return m, m.check()
}

// check refuses what no board can hold.
func (m measure) check() error {
	if !(math.Abs(m.value) <= longest) {
		return errTooLong
	}
	return nil
}

// echo says the value in the unit it was typed in and in the other one.
func (m measure) echo(a Axis, unit Unit, comma bool) string {
	if a == AxisAngle {
		perMetre := 1000 * math.Tan(m.value*math.Pi/180)
		if math.Abs(m.value) > 45 {
			return marked(trimmed(m.value, 4)+"°", comma)
		}
		return marked(trimmed(m.value, 4)+"° = "+trimmed(perMetre, 2)+" mm per m", comma)
	}
	other := Inch
	if m.unit == Inch {
		other = MM
	}
	s := amount(m.value, m.unit) + " = " + amount(m.value, other)
	if m.line != "" {
		s = m.line + " = " + s
	}
	switch {
	case m.unit == unit:
	case m.unit == Inch:
		s += ", typed in inches"
	default:
		s += ", typed in mm"
	}
	return marked(s, comma)
}

// look-alikes of the plain characters of the grammar.
var lookAlikes = strings.NewReplacer(
	"−", "-", "–", "-", "—", "-", "‐", "-", "‑", "-",
	"\u00a0", " ", "\u2007", " ", "\u2009", " ", "\u202f", " ",
	"′", "'", "’", "'", "‘", "'", "″", `"`, "“", `"`, "”", `"`, "⁄", "/",
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
)

// tidy brings a text to lower case, plain characters and single blanks.
func tidy(text string) string {
	if len(text) > 4*textLimit {
		return strings.Repeat("9", textLimit+1)
	}
	s := strings.ToLower(lookAlikes.Replace(text))
	s = strings.ReplaceAll(strings.Join(strings.Fields(s), " "), "''", `"`)
	return strings.ReplaceAll(strings.ReplaceAll(s, " /", "/"), "/ ", "/")
}

// readAngle reads degrees: a plain decimal, the degree sign or word allowed.
func readAngle(s string, comma bool) (float64, error) {
	for _, word := range []string{"°", "degrees", "degree", "deg"} {
		if body, ok := strings.CutSuffix(s, word); ok {
			s = strings.TrimSpace(body)
			break
		}
	}
	if strings.ContainsAny(s, `/'"`) {
		return 0, refusal("an angle is typed as a plain decimal of a degree, as in 0.15")
	}
	negative, s := cutSign(s)
	v, err := readDecimal(s, comma)
	if err != nil {
		return 0, err
	}
	if !(v <= widest) {
		return 0, refusal("this is more than a right angle")
	}
	return signed(v, negative), nil
}

// readSigned reads a quantity with its sign. The value is in the unit returned.
func readSigned(s string, unit Unit, comma bool) (float64, Unit, error) {
	negative, s := cutSign(s)
	v, u, err := readQuantity(s, unit, comma)
	return signed(v, negative), u, err
}

// cutSign takes one sign off the front.
func cutSign(s string) (negative bool, rest string) {
	if s != "" && (s[0] == '-' || s[0] == '+') {
		return s[0] == '-', strings.TrimSpace(s[1:])
	}
	return false, s
}

// signed applies a sign; zero has none.
func signed(v float64, negative bool) float64 {
	if negative && v != 0 {
		return -v
	}
	return v
}

// readLine reads a grid line with its offset. ok says that the text has that
// form (or tries to), so that no other reading of it is to be tried.
func readLine(s string, a Axis, unit Unit, comma bool, g Grid) (m measure, ok bool, err error) {
	name, rest, sign := cutOffset(s)
	number, letters := isLineNumber(name), isLineLetters(name)
	switch {
	case sign == 0 && !letters, !number && !letters:
		return measure{}, false, nil // no line is named
	case a != AxisX && a != AxisY:
		if sign == 0 {
			return measure{}, true, errNotNumber
		}
		return measure{}, true, errOnlyXY
	case a == AxisX && letters:
		return measure{}, true, refusal("the lines across have numbers, as in 7+3/8; the lettered ones belong in y")
	case a == AxisY && number:
		return measure{}, true, refusal("the lines up the board have letters, as in C+3/8; the numbered ones belong in x")
	}
	at, err := g.line(name, a)
	if err != nil {
		return measure{}, true, err
	}
	m = measure{value: at, unit: unit, line: "line " + strings.ToUpper(name)}
	if sign == 0 {
		return m, true, nil
	}
	off, err := m.addOffset(rest, sign, unit, comma)
	m.value = at + off
	if err == nil {
		err = m.check()
	}
	return m, true, err
}

// addOffset reads the text behind a line's name into unit and line and returns
// the offset in millimetres.
func (m *measure) addOffset(rest string, sign float64, unit Unit, comma bool) (float64, error) {
	if body, minus := strings.CutPrefix(rest, "-"); minus && sign > 0 {
		rest, sign = strings.TrimSpace(body), -1
	}
	if rest == "" {
		return 0, refusal("the distance from the grid line is missing")
	}
	v, u, err := readQuantity(rest, unit, comma)
	word := " + "
	if sign < 0 {
		word = " less "
	}
	m.unit, m.line = u, m.line+word+rest
	return sign * v * u.Millimetres(), err
}

// cutOffset parts the name of a line from its offset; sign is 0 where there is
// none. A leading plus is a sign, one behind an e an exponent's.
func cutOffset(s string) (name, rest string, sign float64) {
	if before, after, ok := strings.Cut(s, "less"); ok {
		return strings.TrimSpace(before), strings.TrimSpace(after), -1
	}
	if i := strings.LastIndexByte(s, '+'); i > 0 {
		return strings.TrimSpace(s[:i]), strings.TrimSpace(s[i+1:]), 1
	}
	return s, "", 0
}

// isLineNumber says whether s is the number of a line: up to four digits.
func isLineNumber(s string) bool {
	_, digits := cutSign(s)
	return len(digits) <= 4 && isDigits(digits)
}

// isLineLetters says whether s is the name of a lettered line: one or two letters.
func isLineLetters(s string) bool {
	return (len(s) == 1 || len(s) == 2) && strings.Trim(s, "abcdefghijklmnopqrstuvwxyz") == ""
}

// isDigits says whether s is a run of digits, at least one.
func isDigits(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }

// line is the place of a drawn line, in millimetres. name is tidied.
func (g Grid) line(name string, a Axis) (float64, error) {
	px, py := g.Pitch()
	if a == AxisX {
		n, _ := strconv.Atoi(strings.ReplaceAll(name, " ", ""))
		switch {
		case !(px > 0):
			return 0, refusal("the grid has no pitch yet, so a line cannot be used")
		case n < g.ColFirst || n > g.ColLast:
			return 0, refusal("there is no line %d: the lines drawn across go from %d to %d", n, g.ColFirst, g.ColLast)
		}
		return float64(n) * px, nil
	}
	row := 0
	for _, c := range []byte(name) {
		row = row*26 + int(c-'a') + 1
	}
	row--
	switch {
	case !(py > 0):
		return 0, refusal("the grid has no pitch yet, so a line cannot be used")
	case row >= g.Rows:
		return 0, refusal("there is no line %s: the lines drawn up the board go from A to %s", strings.ToUpper(name), g.RowLabel(g.Rows-1))
	}
	return float64(g.RowA+row) * py, nil
}
