package board_test

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"

	"panewright/board"
)

// slip makes one kind of single slip in a reading; false where it cannot.
type slip struct {
	name  string
	units string // mm, in or both
	field string // xy: x or y; z
	make  func(rng *rand.Rand, j *board.Job, r *board.Reading, field string) bool
}

func cellOf(r *board.Reading, field string) *board.Cell {
	return map[string]*board.Cell{"x": &r.X, "y": &r.Y, "z": &r.Z}[field]
}

// retype is a slip that turns one text into another.
func retype(f func(rng *rand.Rand, text string) string) func(*rand.Rand, *board.Job, *board.Reading, string) bool {
	return func(rng *rand.Rand, j *board.Job, r *board.Reading, field string) bool {
		c := cellOf(r, field)
		text := f(rng, c.Text)
		if text == "" || text == c.Text {
			return false
		}
		c.Text = text
		return true
	}
}

// add is a slip that reads a step too much or too little.
func add(mm ...float64) func(*rand.Rand, *board.Job, *board.Reading, string) bool {
	return func(rng *rand.Rand, j *board.Job, r *board.Reading, field string) bool {
		c := cellOf(r, field)
		v := c.MM + mm[rng.IntN(len(mm))]*float64(1-2*rng.IntN(2))
		if field == "z" && v < 0 {
			return false
		}
		if j.Unit == board.Inch {
			c.Text, _ = board.FormatFraction(v, 32)
		} else {
			c.Text = strconv.FormatFloat(v, 'f', -1, 64)
		}
		return true
	}
}

// parts takes a text into sign, whole number and the rest.
func parts(text string) (sign, whole, rest string) {
	if strings.HasPrefix(text, "-") {
		sign, text = "-", text[1:]
	}
	i := strings.IndexAny(text, " ./")
	if i < 0 || text[i] == '/' {
		i = len(text)
		if strings.Contains(text, "/") {
			return sign, "", text
		}
	}
	return sign, text[:i], text[i:]
}

func swapDigits(rng *rand.Rand, text string) string {
	sign, whole, rest := parts(text)
	if len(whole) < 2 {
		return ""
	}
	i := rng.IntN(len(whole) - 1)
	b := []byte(whole)
	b[i], b[i+1] = b[i+1], b[i]
	whole = strings.TrimLeft(string(b), "0")
	if whole == "" {
		whole = "0"
	}
	return sign + whole + rest
}

func otherDigit(rng *rand.Rand, text string) string {
	sign, whole, rest := parts(text)
	if whole == "" {
		return ""
	}
	i := rng.IntN(len(whole))
	d := byte('0' + rng.IntN(10))
	if rng.Float64() < 0.7 { // as handwriting is misread
		switch likes := map[byte]string{'6': "95", '9': "6", '1': "7", '7': "1", '3': "8", '8': "3", '5': "6"}[whole[i]]; {
		case likes == "":
			return ""
		default:
			d = likes[rng.IntN(len(likes))]
		}
	}
	if i == 0 && d == '0' {
		return ""
	}
	return sign + whole[:i] + string(d) + whole[i+1:] + rest
}

func flipSign(_ *rand.Rand, text string) string {
	if strings.HasPrefix(text, "-") {
		return text[1:]
	}
	return "-" + text
}

func losePoint(rng *rand.Rand, text string) string {
	if rng.IntN(2) == 0 && strings.Contains(text, ".") {
		return strings.Replace(text, ".", "", 1)
	}
	v, _ := strconv.ParseFloat(text, 64)
	return strconv.FormatFloat(v/10, 'f', -1, 64)
}

func otherFraction(rng *rand.Rand, text string) string {
	for _, p := range [][2]string{{"3/8", "5/8"}, {"5/8", "3/8"}, {"1/4", "3/4"}, {"3/4", "1/4"}, {"7/16", "9/16"}, {"9/16", "7/16"}} {
		if text == p[0] || strings.HasSuffix(text, " "+p[0]) {
			return strings.TrimSuffix(text, p[0]) + p[1]
		}
	}
	return ""
}

func wrongUnit(_ *rand.Rand, j *board.Job, r *board.Reading, field string) bool {
	c := cellOf(r, field)
	if j.Unit == board.Inch {
		c.Text = strconv.FormatFloat(math.Round(2*c.MM)/2, 'f', -1, 64)
	} else {
		c.Text, _ = board.FormatFraction(c.MM, 32)
	}
	return true
}

func exchangeXY(_ *rand.Rand, _ *board.Job, r *board.Reading, _ string) bool {
	r.X, r.Y = r.Y, r.X
	return true
}

func otherFace(_ *rand.Rand, j *board.Job, r *board.Reading, field string) bool {
	v := r.Z.MM - 4*1.03
	if j.Unit == board.Inch {
		r.Z.Text, _ = board.FormatFraction(v, 32)
	} else {
		r.Z.Text = strconv.FormatFloat(math.Round(2*v)/2, 'f', -1, 64)
	}
	return r.Kind == board.Face
}

var slips = []slip{
	{"swapped digits", "both", "xy", retype(swapDigits)},
	{"sign", "both", "xy", retype(flipSign)},
	{"x and y exchanged", "both", "xy", exchangeXY},
	{"grid line, mm", "mm", "xy", add(100)},
	{"grid line, in", "in", "xy", add(50.8)},
	{"10 or 100 mm", "mm", "xy", add(10, 100)},
	{"an inch", "in", "xy", add(25.4)},
	{"fraction", "in", "xy", retype(otherFraction)},
	{"unit", "both", "xy", wrongUnit},
	{"decimal point", "mm", "xy", retype(losePoint)},
	{"one digit", "both", "xy", retype(otherDigit)},
	{"height: digits", "both", "z", retype(swapDigits)},
	{"height: one digit", "both", "z", retype(otherDigit)},
	{"height: point", "mm", "z", retype(losePoint)},
	{"height: 10 mm", "mm", "z", add(10)},
	{"height: an inch", "in", "z", add(25.4)},
	{"height: fraction", "in", "z", retype(otherFraction)},
	{"height: other face", "both", "z", otherFace},
}
