package step

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// Decimals of what is written. Lengths are good to a millionth of a mm in
// either unit, far below Uncertainty.
const (
	mmDecimals    = 6
	inchDecimals  = 8
	ratioDecimals = 15 // directions, weights
	knotDecimals  = 12 // parameters of curves

	mmPerInch = 25.4
	maxCoord  = 1e7 // mm; beyond it fixed decimals are no longer exact
	lineWidth = 78  // a longer line is broken behind a comma
)

// value is a parameter of an entity as the file spells it.
type value string

const (
	unset   value = "$"
	derived value = "*"
)

// out gathers the entities of a file under rising numbers.
type out struct {
	buf      bytes.Buffer
	last     int     // number of the last entity
	mm       float64 // of the file's unit
	frame    geom.Frame
	scale    float64
	decimals int // of a length
}

// add writes an entity and returns the reference to it.
func (o *out) add(keyword string, args ...value) value { return o.instance(record(keyword, args...)) }

// join writes an entity that is of several types at once, their records in
// alphabetical order.
func (o *out) join(records ...value) value {
	text := "("
	for _, r := range records {
		text += string(r)
	}
	return o.instance(value(text + ")"))
}

func (o *out) instance(text value) value {
	o.last++
	ref := "#" + strconv.Itoa(o.last)
	o.line(ref + "=" + string(text) + ";")
	return value(ref)
}

// line writes a line, broken behind commas that stand outside strings.
func (o *out) line(s string) {
	start, comma, quoted := 0, 0, false
	for i := range len(s) {
		if i-start >= lineWidth && comma > start {
			o.buf.WriteString(s[start:comma] + "\n")
			start = comma
		}
		switch {
		case s[i] == '\'':
			quoted = !quoted
		case s[i] == ',' && !quoted:
			comma = i + 1
		}
	}
	o.buf.WriteString(s[start:] + "\n")
}

// record returns a type with its parameters.
func record(keyword string, args ...value) value { return value(keyword) + list(args...) }

// list returns values in parentheses.
func list(v ...value) value {
	var b strings.Builder
	b.WriteByte('(')
	for i, s := range v {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(string(s))
	}
	b.WriteByte(')')
	return value(b.String())
}

func whole(n int) value { return value(strconv.Itoa(n)) }

func flag(b bool) value {
	if b {
		return ".T."
	}
	return ".F."
}

// real returns a number of at most so many decimals: with a decimal point,
// without zeros at its end, never minus zero.
func real(v float64, decimals int) value {
	s := strings.TrimRight(strconv.FormatFloat(v, 'f', decimals, 64), "0")
	if s == "-0." {
		s = "0."
	}
	return value(s)
}

// length returns a length given in mm, in the file's unit.
func (o *out) length(mm float64) value { return real(mm/o.mm, o.decimals) }

// vec returns the three coordinates of a place.
func (o *out) vec(p r3.Vec) value { return list(o.length(p.X), o.length(p.Y), o.length(p.Z)) }

// text returns a string that encode has passed.
func text(s string) value {
	enc, _ := encode(s)
	return enc
}

// encode returns text as a string of the exchange structure: printable ASCII,
// the apostrophe and the backslash doubled, other letters as \X2\ and their
// UTF-16 code units up to \X0\ (beyond the basic plane \X4\ and eight digits),
// line ends and other controls as a blank. It refuses text that is not UTF-8.
//
// Source: ISO 10303-21:2002, 6.4.3.
func encode(s string) (value, error) {
	if !utf8.ValidString(s) {
		return "''", fmt.Errorf("%q is not valid UTF-8", s)
	}
	var b strings.Builder
	b.WriteByte('\'')
	open := "" // the directive that is open
	turn := func(directive string) {
		if open != directive {
			if open != "" {
				b.WriteString(`\X0\`)
			}
			b.WriteString(directive)
			open = directive
		}
	}
	for _, r := range s {
		switch {
		case r > 0xffff:
			turn(`\X4\`)
			fmt.Fprintf(&b, "%08X", r)
		case r >= 0xa0:
			turn(`\X2\`)
			fmt.Fprintf(&b, "%04X", r)
		case r < ' ' || r >= 0x7f:
			turn("")
			b.WriteByte(' ')
		case r == '\'' || r == '\\':
			turn("")
			b.WriteRune(r)
			b.WriteRune(r)
		default:
			turn("")
			b.WriteRune(r)
		}
	}
	turn("")
	b.WriteByte('\'')
	return value(b.String()), nil
}
