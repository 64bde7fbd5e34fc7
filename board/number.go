package board

import (
	"strconv"
	"strings"
)

// units are the names that may stand behind a number, longest first.
var units = []struct {
	name  string
	unit  Unit
	times float64
}{
	{"inches", Inch, 1}, {"inch", Inch, 1}, {"in", Inch, 1}, {`"`, Inch, 1},
	{"mm", MM, 1}, {"cm", MM, 10}, {"m", MM, 1000},
}

// feetNames are the names of the foot, longest first.
var feetNames = []string{"feet", "foot", "ft", "'"}

// readQuantity reads a length without a sign, tidied. The value is in the unit
// returned: the one named, or the one in force.
func readQuantity(s string, unit Unit, comma bool) (float64, Unit, error) {
	switch s {
	case "":
		return 0, unit, errNotNumber
	case "nan", "inf", "infinity", "∞":
		return 0, unit, errNotNumber
	}
	if s[0] == '-' || s[0] == '+' {
		return 0, unit, refusal("this has two signs")
	}
	for _, name := range feetNames {
		if before, after, ok := strings.Cut(s, name); ok {
			v, err := readFeet(strings.TrimSpace(before), strings.TrimSpace(after), comma)
			return v, Inch, err
		}
	}
	for _, u := range units {
		if body, ok := strings.CutSuffix(s, u.name); ok {
			v, err := readMixed(strings.TrimSpace(body), comma)
			return v * u.times, u.unit, err
		}
	}
	if strings.Count(s, "-") == 2 && !strings.Contains(s, "/") {
		v, err := readEighths(s, unit)
		return v, Inch, err
	}
	v, err := readMixed(s, comma)
	return v, unit, err
}

// readFeet reads what stands before and behind the foot mark, in inches.
func readFeet(before, after string, comma bool) (float64, error) {
	if after == "" {
		v, err := readDecimal(before, comma)
		return 12 * v, err
	}
	if !isDigits(before) || len(before) > 4 {
		return 0, refusal("the feet before the inches must be a whole number, as in 3' 11 1/2\"")
	}
	feet, _ := strconv.Atoi(before)
	after = strings.TrimSpace(strings.TrimPrefix(after, "-"))
	for _, u := range units {
		if body, ok := strings.CutSuffix(after, u.name); ok && u.unit == Inch {
			after = strings.TrimSpace(body)
			break
		}
	}
	inches, err := readMixed(after, comma)
	if err != nil {
		return 0, err
	}
	if inches >= 12 {
		return 0, refusal("the inches behind the feet must be less than 12")
	}
	return float64(12*feet) + inches, nil
}

// readEighths reads feet-inches-eighths, in inches; a plus behind adds 1/16.
func readEighths(s string, unit Unit) (float64, error) {
	body, plus := strings.CutSuffix(s, "+")
	part := strings.Split(body, "-")
	var n [3]int
	for i, p := range part {
		if !isDigits(p) || len(p) > 4 {
			return 0, errNotNumber
		}
		n[i], _ = strconv.Atoi(p)
	}
	switch {
	case unit != Inch:
		return 0, refusal("feet-inches-eighths are read only where inches are in force")
	case n[1] > 11:
		return 0, refusal("the inches in feet-inches-eighths go from 0 to 11")
	case n[2] > 7:
		return 0, refusal("the eighths in feet-inches-eighths go from 0 to 7")
	}
	v := float64(12*n[0]+n[1]) + float64(n[2])/8
	if plus {
		v += 1.0 / 16
	}
	return v, nil
}

// readMixed reads a decimal, a fraction, or a whole number with a fraction
// joined by a blank or a dash.
func readMixed(s string, comma bool) (float64, error) {
	left, lower, ok := strings.Cut(s, "/")
	if !ok {
		return readDecimal(s, comma)
	}
	whole, upper := "0", left
	if i := strings.LastIndexAny(left, " -"); i >= 0 {
		whole, upper = left[:i], left[i+1:]
	}
	switch {
	case strings.Contains(lower, "/"):
		return 0, refusal("this has more than one slash")
	case strings.Contains(left, "- ") || strings.Contains(left, " -"):
		return 0, refusal("a dash between blanks could mean minus: write 12 3/8 for the sum, or 7 less 1/8 from a grid line")
	case !isDigits(whole) || !isDigits(upper) || !isDigits(lower):
		return 0, refusal("this fraction is not understood: write it as in 12 3/8")
	case len(whole) > 7 || len(upper) > 4 || len(lower) > 4:
		return 0, refusal("this fraction has too many digits")
	}
	n, _ := strconv.Atoi(whole)
	u, _ := strconv.Atoi(upper)
	l, _ := strconv.Atoi(lower)
	switch {
	case l == 0:
		return 0, refusal("the lower number of a fraction cannot be 0")
	case u >= l:
		return 0, refusal("%d/%d is one or more: write the whole number first, as in 12 3/8", u, l)
	}
	return float64(n) + float64(u)/float64(l), nil
}

// readDecimal reads a decimal number without a sign, an exponent allowed. A
// number past the range of float64 comes back as +Inf.
func readDecimal(s string, comma bool) (float64, error) {
	mantissa, exponent, scientific := strings.Cut(s, "e")
	plain, err := unmark(mantissa, comma)
	if err != nil {
		return 0, err
	}
	if scientific {
		if _, digits := cutSign(exponent); !isDigits(digits) || len(digits) > 4 || strings.Contains(exponent, " ") {
			return 0, errNotNumber
		}
		plain += "e" + exponent
	}
	v, err := strconv.ParseFloat(plain, 64)
	if err != nil && !isInf(v) {
		return 0, errNotNumber
	}
	return v, nil
}

// isInf says whether ParseFloat ran out of range.
func isInf(v float64) bool { return v > maxFinite || v < -maxFinite }

// unmark takes the thousands' separators out of a run of digits, points and
// commas and makes the decimal mark a point.
func unmark(s string, comma bool) (string, error) {
	if strings.Trim(s, "0123456789.,") != "" || strings.Trim(s, ".,") == "" {
		return "", notDecimal(s)
	}
	mark, sure := decimalMark(s)
	if mark == 0 {
		return ungroup(s)
	}
	inForce := byte('.')
	if comma {
		inForce = ','
	}
	if !sure && mark != inForce {
		whole, part, _ := strings.Cut(s, string(mark))
		return "", refusal("%s could be %s%c%s or %s%s: type it one of these ways", s, whole, inForce, part, whole, part)
	}
	i := strings.LastIndexByte(s, mark)
	whole, err := ungroup(s[:i])
	if err != nil {
		return "", err
	}
	return whole + "." + s[i+1:], nil
}

// decimalMark finds the decimal mark of a run of digits, points and commas: 0
// where there is none. Both kinds present, the last is it; of one kind, a single
// one is it, and sure says that it cannot be a thousands' separator instead.
func decimalMark(s string) (mark byte, sure bool) {
	i := strings.LastIndexAny(s, ".,")
	if i < 0 {
		return 0, false
	}
	mark = s[i]
	switch same := strings.Count(s, string(mark)); {
	case strings.Count(s, ".") > 0 && strings.Count(s, ",") > 0:
		return mark, true
	case same > 1:
		return 0, false
	}
	return mark, len(s)-i-1 != 3 || i < 1 || i > 3 || s[0] == '0'
}

// ungroup joins groups of three digits: "1,234,567". All separators must be the same.
func ungroup(s string) (string, error) {
	i := strings.IndexAny(s, ".,")
	if i < 0 {
		return s, nil
	}
	group := strings.Split(s, s[i:i+1])
	for k, d := range group {
		if k == 0 && (len(d) > 3 || d == "") || k > 0 && len(d) != 3 || !isDigits(d) {
			return "", errTwoMarks
		}
	}
	return strings.Join(group, ""), nil
}

// notDecimal says why s is no decimal number.
func notDecimal(s string) error {
	switch {
	case strings.Trim(s, "0123456789., ") == "" && strings.Contains(strings.TrimSpace(s), " "):
		return refusal("these are two numbers: write them as one, or a fraction as in 12 3/8")
	case strings.Trim(s, "0123456789.,-") == "" && strings.Contains(s, "-"):
		return refusal("a dash can only join a fraction or feet-inches-eighths, as in 12-3/8 or 2-3-4")
	case strings.Contains(s, "+"):
		return errOnlyXY
	}
	return errNotNumber
}
