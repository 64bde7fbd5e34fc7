package board

import (
	"math"
	"strconv"
	"strings"
)

const maxFinite = math.MaxFloat64

// exact64 is how near a length must lie to a 64th of an inch to be shown as one,
// in millimetres: far above rounding, far below any reading.
const exact64 = 1e-6

// Format shows a length in a unit, without the unit's name, for read-outs: in
// millimetres to 0.1; in inches as a fraction where it is one in 64ths, else to
// 0.001. What is not a number is shown as a dash.
func Format(mm float64, u Unit) string {
	switch {
	case math.IsNaN(mm) || math.IsInf(mm, 0):
		return "–"
	case u == MM:
		return decimals(mm, 1)
	}
	if text, miss := FormatFraction(mm, 64); math.Abs(miss) <= exact64 {
		return text
	}
	return decimals(mm/25.4, 3)
}

// Format shows a length as Format does, in the job's unit and with its decimal mark.
func (j *Job) Format(mm float64) string { return marked(Format(mm, j.Unit), j.Comma) }

// FormatFraction shows a length to the nearest fraction of an inch with the given
// denominator (16, 32, 64 …), in lowest terms, as Parse reads it. miss is the true
// length less the one shown, in millimetres. A length that is not finite, or past
// a thousand kilometres, is shown as Format does, with miss 0.
func FormatFraction(mm float64, denominator int) (text string, miss float64) {
	den := max(denominator, 1)
	if !(math.Abs(mm) <= 1e9) {
		return Format(mm, MM), 0
	}
	n := int64(math.Round(math.Abs(mm) / 25.4 * float64(den)))
	whole, up, low := n/int64(den), n%int64(den), int64(den)
	near := float64(n) / float64(den) * 25.4
	sign := ""
	if mm < 0 && n != 0 {
		sign, near = "-", -near
	}
	d := gcd(up, low)
	up, low = up/d, low/d
	switch {
	case up == 0:
		text = strconv.FormatInt(whole, 10)
	case whole == 0:
		text = strconv.FormatInt(up, 10) + "/" + strconv.FormatInt(low, 10)
	default:
		text = strconv.FormatInt(whole, 10) + " " + strconv.FormatInt(up, 10) + "/" + strconv.FormatInt(low, 10)
	}
	return sign + text, mm - near
}

// gcd is the greatest common divisor; gcd(0, b) = b.
func gcd(a, b int64) int64 {
	for a != 0 {
		a, b = b%a, a
	}
	return b
}

// decimals shows v with a fixed number of decimals and no negative zero.
func decimals(v float64, places int) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

// trimmed is decimals without the zeros behind.
func trimmed(v float64, places int) string {
	s := decimals(v, places)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// amount shows a length with its unit: to 0.001, 64ths of an inch to the last digit.
func amount(mm float64, u Unit) string {
	places := 3
	if _, miss := FormatFraction(mm, 64); u == Inch && math.Abs(miss) <= exact64 {
		places = 6
	}
	return trimmed(mm/u.Millimetres(), places) + " " + u.String()
}

// marked puts the decimal comma in where it is in force.
func marked(s string, comma bool) string {
	if comma {
		return strings.ReplaceAll(s, ".", ",")
	}
	return s
}
