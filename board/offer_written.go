package board

import (
	"strconv"
	"strings"
)

// written is a typed length taken apart.
type written struct {
	line string // "7+", "C less ", "": the grid line in front with what joins it
	sign string // "-" or ""
	body string // the number: "12 3/8", "314.5", "31.4cm"
}

// takeApart reads the form of a typed length.
func takeApart(text string) written {
	s := tidy(text)
	var w written
	if name, rest, sign := cutOffset(s); sign != 0 && (isLineNumber(name) || isLineLetters(name)) {
		w.line, s = strings.ToUpper(name)+"+", rest
		if sign < 0 {
			w.line = strings.ToUpper(name) + " less "
		}
	} else if isLineLetters(s) {
		return written{line: strings.ToUpper(s)}
	}
	negative, s := cutSign(s)
	if negative {
		w.sign = "-"
	}
	w.body = s
	return w
}

// plain says whether the body is digits with at most one decimal mark.
func (w written) plain() bool {
	return strings.Trim(w.body, "0123456789.,") == "" && strings.Count(w.body, ".")+strings.Count(w.body, ",") <= 1
}

// fraction is the body as a whole number and a fraction; ok is false where it
// has none.
func (w written) fraction() (whole, up, low int, ok bool) {
	left, right, ok := strings.Cut(w.body, "/")
	if !ok || !isDigits(right) {
		return 0, 0, 0, false
	}
	if i := strings.LastIndexAny(left, " -"); i >= 0 {
		if whole, ok = number(left[:i]); !ok {
			return 0, 0, 0, false
		}
		left = left[i+1:]
	}
	up, okUp := number(left)
	low, okLow := number(right)
	return whole, up, low, okUp && okLow && low > 0
}

// number reads a short run of digits.
func number(s string) (int, bool) {
	n, err := strconv.Atoi(s)
	return n, err == nil && isDigits(s)
}

// digits are the places of the body's digits, a fraction's lower number left out.
func (w written) digits() (at []int) {
	for i := range len(w.body) {
		switch c := w.body[i]; {
		case c == '/':
			return at
		case c >= '0' && c <= '9':
			at = append(at, i)
		}
	}
	return at
}

// unpadded takes noughts off the front of a number.
func unpadded(body string) string {
	for len(body) > 1 && body[0] == '0' && body[1] >= '0' && body[1] <= '9' {
		body = body[1:]
	}
	return body
}

// onRule says whether a number could have been read off a rule: a fraction in
// lowest terms, without a nought in front.
func onRule(body string) bool {
	_, up, low, ok := written{body: body}.fraction()
	return !ok || gcd(int64(up), int64(low)) == 1 && !strings.Contains(body, " 0") && body[0] != '0'
}

// like writes a length as the cell is written: a fraction where it is one, or
// with as many decimals as it has, one in millimetres and three in inches at least.
func (c Cell) like(mm float64) string {
	_, lower, frac := strings.Cut(c.Text, "/")
	i := strings.LastIndexAny(c.Text, ".,")
	if c.Unit == Inch && i < 0 {
		den, ok := number(strings.TrimSpace(lower))
		if !frac || !ok {
			den = 32
		}
		text, _ := FormatFraction(mm, max(den, 32))
		return text
	}
	places := 1
	if c.Unit == Inch {
		places = 3
	}
	if i >= 0 {
		places = max(places, len(strings.TrimSpace(c.Text))-i-1)
	}
	return marked(trimmed(mm/c.Unit.Millimetres(), places), c.Comma)
}

// rowOf is the number of a lettered line, the inverse of Grid.RowLabel.
func rowOf(name string) int {
	row := 0
	for _, c := range []byte(name) {
		row = row*26 + int(c-'A') + 1
	}
	return row - 1
}
