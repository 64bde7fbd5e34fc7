package board

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestNearestFraction(t *testing.T) {
	const missTol = 1e-4 / 2 // mm, the digits of the table
	for _, c := range []struct {
		mm     float64
		den    int
		text   string
		miss   float64
		source string
	}{
		{314, 16, "12 3/8", -0.325, "calculated for this project"},
		{314, 32, "12 3/8", -0.325, "calculated for this project"},
		{314, 64, "12 23/64", 0.0719, "calculated for this project"},
		{500, 16, "19 11/16", -0.0625, "woodworkers' thread: 500 mm is 19 11/16"},
		{500, 32, "19 11/16", -0.0625, "woodworkers' thread: 500 mm is 19 11/16"},
		{500, 64, "19 11/16", -0.0625, "woodworkers' thread: 500 mm is 19 11/16"},
		{100, 16, "3 15/16", -0.0125, "calculated for this project"},
		{1206.5, 16, "47 1/2", 0, "calculated for this project"},
		{3.2, 16, "1/8", 0.025, "calculated for this project"},
		{4.382 * 25.4, 8, "4 3/8", 0.007 * 25.4, "published: 4.382 in is about 4 3/8"},

		// sizes of the fractions, exact: NIST Handbook 44 App. C, 1 in = 25.4 mm
		{0.396875, 64, "1/64", 0, "chart of fractions"},
		{0.79375, 64, "1/32", 0, "chart of fractions"},
		{1.5875, 64, "1/16", 0, "chart of fractions"},
		{3.175, 64, "1/8", 0, "chart of fractions"},
		{1.190625, 64, "3/64", 0, "chart of fractions"},

		{-314, 16, "-12 3/8", 0.325, "sign"},
		{-0.1, 16, "0", -0.1, "no negative zero"},
		{25.3, 16, "1", -0.1, "carries"},
		{0, 64, "0", 0, ""},
		{25.4, 0, "1", 0, "a denominator below one counts as one"},
		{1e12, 64, "1000000000000.0", 0, "past a thousand kilometres"},
	} {
		text, miss := FormatFraction(c.mm, c.den)
		assert.Equal(t, c.text, text, "%v mm in 1/%d: %s", c.mm, c.den, c.source)
		assert.InDelta(t, c.miss, miss, missTol, "%v mm in 1/%d: %s", c.mm, c.den, c.source)
	}
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		mm   float64
		unit Unit
		text string
	}{
		{314.325, MM, "314.3"},
		{314, MM, "314.0"},
		{-0.04, MM, "0.0"},
		{314.325, Inch, "12 3/8"},
		{314, Inch, "12.362"},
		{-9.525, Inch, "-3/8"},
		{0, Inch, "0"},
		{-1e-9, Inch, "0"},
		{math.NaN(), Inch, "–"},
		{math.Inf(-1), MM, "–"},
	} {
		assert.Equal(t, c.text, Format(c.mm, c.unit), "%v in %v", c.mm, c.unit)
	}
	j := NewJob("demo")
	j.Comma = true
	assert.Equal(t, "314,3", j.Format(314.325))
}
