package lint

import (
	"bufio"
	"io"
	"math"
	"strconv"
	"strings"
)

// maxLine is the longest line taken, in bytes; the format allows 2049.
const maxLine = 2049

// tag is a pair of lines: what the value means, and the value.
type tag struct {
	line  int // of the code
	code  int
	value string
	num   float64 // the value of a number
}

// kind is the type of a value.
type kind int

const (
	isText kind = iota
	isReal
	isInt
	isHandle
	isUnknown
)

// kindOf tells the type of a value from its group code.
func kindOf(code int) kind {
	for _, r := range []struct {
		lo, hi int
		kind   kind
	}{
		{0, 4, isText}, {5, 5, isHandle}, {6, 9, isText},
		{10, 59, isReal}, {60, 79, isInt}, {90, 99, isInt},
		{100, 102, isText}, {105, 105, isHandle}, {140, 149, isReal},
		{170, 175, isInt}, {210, 239, isReal}, {270, 289, isInt},
		{300, 309, isText}, {320, 369, isHandle}, {370, 379, isInt}, {999, 999, isText},
	} {
		if r.lo <= code && code <= r.hi {
			return r.kind
		}
	}
	return isUnknown
}

// tags reads the pairs of a file.
func (c *checker) tags(r io.Reader) []tag {
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, maxLine+3)
	lines.Split(bufio.ScanLines)
	var tags []tag
	n := 0
	for lines.Scan() {
		t := tag{line: n + 1}
		text := lines.Text()
		code, err := strconv.Atoi(strings.TrimLeft(text, " "))
		if err != nil {
			c.fault(t.line, RulePairs, "group code expected, got %.40q", text)
			return tags
		}
		t.code = code
		if !lines.Scan() {
			c.fault(t.line, RulePairs, "code %d without a value", code)
			return tags
		}
		n += 2
		t.value = lines.Text()
		c.value(&t)
		tags = append(tags, t)
	}
	if err := lines.Err(); err != nil {
		c.fault(n+1, RulePairs, "%v", err)
	}
	return tags
}

// value checks the value of a pair by its type and fills in its number.
func (c *checker) value(t *tag) {
	at := t.line + 1
	for i := range len(t.value) {
		if b := t.value[i]; b < ' ' || b > '~' {
			c.fault(at, RuleASCII, "byte 0x%02X", b)
			break
		}
	}
	var err error
	switch kindOf(t.code) {
	case isReal:
		t.num, err = strconv.ParseFloat(t.value, 64)
		if err == nil && (math.IsNaN(t.num) || math.IsInf(t.num, 0)) || strings.ContainsAny(t.value, "xXpP_") {
			c.fault(at, RuleNumber, "%q is not a finite decimal number", t.value)
		} else if err != nil {
			c.fault(at, RuleNumber, "code %d: %q is not a number", t.code, t.value)
		} else if t.num == 0 && strings.HasPrefix(t.value, "-") {
			c.fault(at, RuleNumber, "minus zero")
		}
	case isInt:
		var i int64
		i, err = strconv.ParseInt(strings.TrimLeft(t.value, " "), 10, 32)
		t.num = float64(i)
		if err != nil {
			c.fault(at, RuleNumber, "code %d: %q is not a whole number", t.code, t.value)
		}
	case isHandle:
		if _, err := strconv.ParseUint(t.value, 16, 64); err != nil || t.value != strings.ToUpper(t.value) {
			c.fault(at, RuleHandle, "%q is not a handle", t.value)
		}
	case isUnknown:
		c.fault(t.line, RulePairs, "group code %d is not used in such files", t.code)
	}
}

// record is a run of pairs from one of code 0 to the next.
type record struct {
	name string
	line int
	tags []tag // without the first
}

// first returns the first pair with the code.
func (r *record) first(code int) (tag, bool) {
	for _, t := range r.tags {
		if t.code == code {
			return t, true
		}
	}
	return tag{}, false
}

func (r *record) text(code int) string {
	t, _ := r.first(code)
	return t.value
}

// number returns the first number with the code, or NaN.
func (r *record) number(code int) float64 {
	if t, ok := r.first(code); ok {
		return t.num
	}
	return math.NaN()
}

// numbers returns all numbers with the code, in order.
func (r *record) numbers(code int) []float64 {
	var all []float64
	for _, t := range r.tags {
		if t.code == code {
			all = append(all, t.num)
		}
	}
	return all
}

// texts returns all texts with the code, in order.
func (r *record) texts(code int) []string {
	var all []string
	for _, t := range r.tags {
		if t.code == code {
			all = append(all, t.value)
		}
	}
	return all
}

// records splits pairs at each code 0.
func (c *checker) records(tags []tag) []*record {
	var all []*record
	for _, t := range tags {
		switch {
		case t.code == 0:
			all = append(all, &record{name: t.value, line: t.line})
		case len(all) == 0:
			c.fault(t.line, RuleSection, "code %d before the first record", t.code)
		default:
			last := all[len(all)-1]
			last.tags = append(last.tags, t)
		}
	}
	return all
}
