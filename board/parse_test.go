package board

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// readTol is what a parsed length may differ from the exact one, mm: rounding only.
const readTol = 1e-9

// cellOf is a cell that was read, for grids in tests.
func cellOf(text string, u Unit) Cell {
	c := Cell{Text: text, Unit: u}
	c.evaluate(AxisLength, positive, Grid{})
	return c
}

// gridOf is a grid with a pitch, lines -20 to 20 across and A to Z up from y = 0.
func gridOf(pitch string, u Unit) Grid {
	return Grid{PitchX: cellOf(pitch, u), ColFirst: -20, ColLast: 20, Rows: 26}
}

func TestParseUnderstands(t *testing.T) {
	const (
		table  = "calculated for this project"
		boats  = "boat-building forum, 2-3-4 = 2' 3 1/2\""
		memory = "boat-builders' habit, from memory"
		rule   = "rule of the program"
	)
	two, hundred := gridOf("2", Inch), gridOf("100", MM)
	for _, c := range []struct {
		text   string
		axis   Axis
		unit   Unit
		comma  bool
		grid   Grid
		mm     float64
		source string
	}{
		// the table of readings as typed
		{"12 3/8", AxisLength, Inch, false, two, 314.325, table},
		{"12-3/8", AxisLength, Inch, false, two, 314.325, table},
		{`12 3/8"`, AxisLength, Inch, false, two, 314.325, table},
		{"12.375", AxisLength, Inch, false, two, 314.325, table},
		{"12,375", AxisLength, Inch, true, two, 314.325, table},
		{`3' 11 1/2"`, AxisLength, Inch, false, two, 1206.5, table},
		{"3ft 11.5", AxisLength, Inch, false, two, 1206.5, table},
		{"2-3-4", AxisLength, Inch, false, two, 698.5, boats},
		{"1-0-3+", AxisLength, Inch, false, two, 315.9125, memory},
		{"7+3/8", AxisX, Inch, false, two, 365.125, table},
		{"7 less 1/8", AxisX, Inch, false, two, 352.425, table},
		{"1,234.5", AxisLength, MM, false, hundred, 1234.5, rule},
		{"1.234,5", AxisLength, MM, false, hundred, 1234.5, rule},
		{"7-1/8", AxisLength, Inch, false, two, 180.975, rule},
		{"7-1/8", AxisX, Inch, false, two, 180.975, rule}, // never 7 minus 1/8

		// signs
		{"-12 3/8", AxisX, Inch, false, two, -314.325, rule},
		{"−12-3/8", AxisX, Inch, false, two, -314.325, rule},
		{"+12.5", AxisX, MM, false, hundred, 12.5, rule},
		{"- 3/8", AxisX, Inch, false, two, -9.525, rule},
		{"-3' 2\"", AxisX, Inch, false, two, -38 * 25.4, rule},
		{"-0", AxisX, MM, false, hundred, 0, rule},

		// decimals
		{".5", AxisZ, MM, false, hundred, 0.5, rule},
		{",5", AxisZ, MM, false, hundred, 0.5, rule},
		{"12.", AxisZ, MM, false, hundred, 12, rule},
		{"12,5", AxisZ, MM, false, hundred, 12.5, rule},
		{"12.5", AxisZ, MM, true, hundred, 12.5, rule},
		{"0,375", AxisZ, MM, false, hundred, 0.375, rule},
		{"1234.567", AxisZ, MM, true, hundred, 1234.567, rule}, // four digits before: no thousand
		{"12,345.25", AxisZ, MM, true, hundred, 12345.25, rule},
		{"1.25e2", AxisZ, MM, false, hundred, 125, rule},
		{"1E-3", AxisZ, MM, false, hundred, 0.001, rule},
		{" 314 ", AxisZ, MM, false, hundred, 314, rule},
		{"314\u00a0mm", AxisZ, MM, false, hundred, 314, rule},

		// fractions of every look
		{"3/8", AxisZ, Inch, false, two, 9.525, rule},
		{"12⅜", AxisZ, Inch, false, two, 314.325, rule},
		{"12 3 / 8", AxisZ, Inch, false, two, 314.325, rule},
		{"12 3⁄8″", AxisZ, Inch, false, two, 314.325, rule},
		{"12 1/2", AxisZ, MM, false, hundred, 12.5, rule},
		{"0/8", AxisZ, Inch, false, two, 0, rule},
		{"3' 11-1/2''", AxisZ, Inch, false, two, 1206.5, rule},
		{"3'-11 1/2\"", AxisZ, Inch, false, two, 1206.5, rule},
		{"4'", AxisZ, Inch, false, two, 1219.2, rule},
		{"3.5 ft", AxisZ, Inch, false, two, 1066.8, rule},

		// the unit named
		{"314mm", AxisX, Inch, false, two, 314, rule},
		{"31.4 cm", AxisX, Inch, false, two, 314, rule},
		{"1.2m", AxisX, Inch, false, two, 1200, rule},
		{"12in", AxisX, MM, false, hundred, 304.8, rule},
		{`12 3/8"`, AxisX, MM, false, hundred, 314.325, rule},
		{"2 inches", AxisY, MM, false, hundred, 50.8, rule},

		// lines of the grid
		{"7", AxisX, Inch, false, two, 7 * 25.4, rule}, // a plain number, not line 7
		{"7+12.5", AxisX, MM, false, hundred, 712.5, rule},
		{"-7+12.5", AxisX, MM, false, hundred, -687.5, rule},
		{"7+-12.5", AxisX, MM, false, hundred, 687.5, rule},
		{"0+3", AxisX, MM, false, hundred, 3, rule},
		{"7 + 3/8in", AxisX, MM, false, hundred, 709.525, rule},
		{"7 LESS 12,5", AxisX, MM, false, hundred, 687.5, rule},
		{"C+12", AxisY, MM, false, hundred, 212, rule},
		{"c + 1 1/4", AxisY, Inch, false, two, 4*25.4 + 31.75, rule},
		{"C less 1/8", AxisY, Inch, false, two, 4*25.4 - 3.175, rule},
		{"C", AxisY, MM, false, hundred, 200, rule},

		// angles
		{"0.15", AxisAngle, MM, false, hundred, 0.15, rule},
		{"-0.15°", AxisAngle, MM, false, hundred, -0.15, rule},
		{"0,15 deg", AxisAngle, Inch, true, two, 0.15, rule},
	} {
		t.Run(c.text, func(t *testing.T) {
			mm, echo, err := Parse(c.text, c.axis, c.unit, c.comma, c.grid)
			require.NoError(t, err, c.source)
			assert.InDelta(t, c.mm, mm, readTol, c.source)
			assert.NotEmpty(t, echo)
			assert.False(t, math.Signbit(mm) && mm == 0, "negative zero")
		})
	}
}

func TestParseRefuses(t *testing.T) {
	two := gridOf("2", Inch)
	for _, c := range []struct {
		text  string
		axis  Axis
		unit  Unit
		comma bool
		says  string // part of the reason
	}{
		// the table's rules
		{"1,234", AxisLength, MM, false, "could be 1.234 or 1234"},
		{"1.234", AxisLength, MM, true, "could be 1,234 or 1234"},
		{"12,375", AxisLength, Inch, false, "could be"},
		{"3/0", AxisLength, Inch, false, "cannot be 0"},
		{"3/8/2", AxisLength, Inch, false, "more than one slash"},
		{"1 9/8", AxisLength, Inch, false, "one or more"},
		{"--3", AxisLength, Inch, false, "two signs"},
		{"", AxisLength, Inch, false, "nothing"},
		{"   ", AxisLength, Inch, false, "nothing"},
		{"∞", AxisLength, Inch, false, "not a number"},

		{"NaN", AxisX, MM, false, "not a number"},
		{"-Inf", AxisX, MM, false, "not a number"},
		{"Infinity", AxisX, MM, false, "not a number"},
		{"1e300", AxisX, MM, false, "longer than any board"},
		{"-1e999", AxisX, MM, false, "longer than any board"},
		{"1e9999", AxisX, MM, false, "longer than any board"},
		{"100001", AxisX, MM, false, "longer than any board"},
		{"101 m", AxisX, MM, false, "longer than any board"},
		{"1,234,567", AxisX, MM, false, "longer than any board"},
		{"1e", AxisX, MM, false, "not a number"},
		{"abc", AxisX, MM, false, "not a number"},
		{"12a", AxisX, MM, false, "not a number"},
		{"0x10", AxisX, MM, false, "not a number"},
		{"1_000", AxisX, MM, false, "not a number"},
		{".", AxisX, MM, false, "not a number"},
		{"-", AxisX, MM, false, "not a number"},
		{"/", AxisX, MM, false, "not understood"},
		{"mm", AxisX, MM, false, "belong in y"}, // two letters name a line
		{"12 375", AxisX, MM, false, "two numbers"},
		{"1.2.3", AxisX, MM, false, "more than one decimal mark"},
		{"1,2,3", AxisX, MM, false, "more than one decimal mark"},
		{"1,23.5", AxisX, MM, false, "more than one decimal mark"},
		{"12-3", AxisX, Inch, false, "a dash can only join"},
		{"7 - 1/8", AxisX, Inch, false, "could mean minus"},
		{"123/8", AxisX, Inch, false, "one or more"}, // 12 3/8 with the blank lost
		{"1,000 3/8", AxisX, Inch, false, "not understood"},
		{"12 3.5/8", AxisX, Inch, false, "not understood"},
		{"2-3-4", AxisX, MM, false, "only where inches"},
		{"2-12-4", AxisX, Inch, false, "0 to 11"},
		{"2-3-8", AxisX, Inch, false, "0 to 7"},
		{"2-3-4-5", AxisX, Inch, false, "a dash can only join"},
		{"3' 12", AxisX, Inch, false, "less than 12"},
		{"3.5' 2", AxisX, Inch, false, "whole number"},
		{"3' 2 1", AxisX, Inch, false, "two numbers"},
		{"5 mm mm", AxisX, Inch, false, "not a number"},
		{strings.Repeat("1", 65), AxisX, MM, false, "too long"},
		{strings.Repeat("1 ", 65000), AxisX, MM, false, "too long"},

		// lines of the grid
		{"7+3/8", AxisZ, Inch, false, "only behind a grid line"},
		{"7 less 1/8", AxisLength, Inch, false, "only behind a grid line"},
		{"C", AxisZ, Inch, false, "not a number"},
		{"7+3/8", AxisY, Inch, false, "have letters"},
		{"C+3/8", AxisX, Inch, false, "have numbers"},
		{"7+", AxisX, Inch, false, "distance from the grid line is missing"},
		{"7 less", AxisX, Inch, false, "distance from the grid line is missing"},
		{"7+--1", AxisX, Inch, false, "two signs"},
		{"7+3+1", AxisX, Inch, false, "only behind a grid line"},
		{"21+1", AxisX, Inch, false, "from -20 to 20"},
		{"AA+1", AxisY, Inch, false, "from A to Z"},

		// angles
		{"1/8", AxisAngle, Inch, false, "plain decimal"},
		{"91", AxisAngle, MM, false, "right angle"},
		{"1e300", AxisAngle, MM, false, "right angle"},
		{"°", AxisAngle, MM, false, "not a number"},
	} {
		t.Run(c.text, func(t *testing.T) {
			mm, echo, err := Parse(c.text, c.axis, c.unit, c.comma, two)
			var pe *ParseError
			require.ErrorAs(t, err, &pe)
			assert.Contains(t, pe.Reason, c.says)
			assert.Equal(t, c.text, pe.Text)
			assert.NotContains(t, pe.Reason, "\n")
			assert.Zero(t, mm)
			assert.Empty(t, echo)
		})
	}
	_, _, err := Parse("7+3/8", AxisX, MM, false, Grid{ColLast: 9})
	assert.ErrorContains(t, err, "no pitch")
	_, _, err = Parse("C", AxisY, MM, false, Grid{Rows: 9})
	assert.ErrorContains(t, err, "no pitch")
}

func TestParseEchoesBothUnits(t *testing.T) {
	two, hundred := gridOf("2", Inch), gridOf("100", MM)
	for _, c := range []struct {
		text  string
		axis  Axis
		unit  Unit
		comma bool
		grid  Grid
		echo  string
	}{
		{"12 3/8", AxisX, Inch, false, two, "12.375 in = 314.325 mm"},
		{"7-1/8", AxisX, Inch, false, two, "7.125 in = 180.975 mm"},
		{"1-0-3+", AxisX, Inch, false, two, "12.4375 in = 315.912 mm"},
		{"314mm", AxisX, Inch, false, two, "314 mm = 12.362 in, typed in mm"},
		{"12in", AxisZ, MM, false, hundred, "12 in = 304.8 mm, typed in inches"},
		{"314", AxisX, MM, false, hundred, "314 mm = 12.362 in"},
		{"314", AxisX, MM, true, hundred, "314 mm = 12,362 in"},
		{"7+3/8", AxisX, Inch, false, two, "line 7 + 3/8 = 14.375 in = 365.125 mm"},
		{"7 less 1/8", AxisX, Inch, false, two, "line 7 less 1/8 = 13.875 in = 352.425 mm"},
		{"7+-1/8", AxisX, Inch, false, two, "line 7 less 1/8 = 13.875 in = 352.425 mm"},
		{"c", AxisY, Inch, false, two, "line C = 4 in = 101.6 mm"},
		{"0.15", AxisAngle, MM, false, hundred, "0.15° = 2.62 mm per m"},
		{"60", AxisAngle, MM, false, hundred, "60°"},
	} {
		_, echo, err := Parse(c.text, c.axis, c.unit, c.comma, c.grid)
		require.NoError(t, err, c.text)
		assert.Equal(t, c.echo, echo, c.text)
	}
}

// Every 64th of an inch up to six feet comes back exactly, shown as a fraction,
// as feet and inches, with a dash and as a decimal.
func TestParseRoundTripOf64ths(t *testing.T) {
	for k := 0; k <= 64*72; k++ {
		want := float64(k) / 64 * 25.4
		text, miss := FormatFraction(want, 64)
		require.Zero(t, miss, text)
		feet, rest := k/(12*64), k%(12*64)
		inches, _ := FormatFraction(float64(rest)/64*25.4, 64)
		for _, s := range []string{
			text, strings.Replace(text, " ", "-", 1), text + `"`,
			fmt.Sprintf("%d' %s\"", feet, inches), fmt.Sprintf("%g", float64(k)/64), Format(want, Inch),
		} {
			got, _, err := Parse(s, AxisLength, Inch, false, Grid{})
			require.NoError(t, err, s)
			require.Equal(t, want, got, s)
			got, _, err = Parse("-"+s, AxisX, Inch, false, Grid{})
			require.NoError(t, err, s)
			require.Equal(t, -want, got-0, s)
		}
	}
}

// No text means two different lengths under the two decimal marks.
func TestParseMarksNeverDisagree(t *testing.T) {
	alphabet := []byte("01.,")
	var try func(s string)
	count := 0
	try = func(s string) {
		a, _, errA := Parse(s, AxisZ, MM, false, Grid{})
		b, _, errB := Parse(s, AxisZ, MM, true, Grid{})
		if errA == nil && errB == nil {
			require.Equal(t, a, b, s)
			count++
		}
		if len(s) == 7 {
			return
		}
		for _, c := range alphabet {
			try(s + string(c))
		}
	}
	try("")
	assert.Greater(t, count, 1000)
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"12 3/8", "7+3/8", "C less 1/8", "2-3-4", "1,234.5", `3' 11 1/2"`, "314mm", "0.15°", "1e300", "−½", "1-0-3+"} {
		f.Add(s, 0, 1, false)
		f.Add(s, 1, 0, true)
	}
	g := gridOf("2", Inch)
	f.Fuzz(func(t *testing.T, s string, axis, unit int, comma bool) {
		a, u := Axis(axis&7%5), Unit(unit&1)
		mm, echo, err := Parse(s, a, u, comma, g)
		if err != nil {
			var pe *ParseError
			if !errors.As(err, &pe) || pe.Reason == "" || mm != 0 || echo != "" {
				t.Fatalf("%q: %v, %v, %q", s, err, mm, echo)
			}
			return
		}
		if !(math.Abs(mm) <= longest) || echo == "" {
			t.Fatalf("%q: %v, %q", s, mm, echo)
		}
		if again, _, err := Parse(s, a, u, !comma, g); err == nil && again != mm {
			t.Fatalf("%q: %v with one mark, %v with the other", s, mm, again)
		}
	})
}

func BenchmarkParse(b *testing.B) {
	g := gridOf("2", Inch)
	for _, s := range []string{"12 3/8", "314.5", "7+3/8"} {
		b.Run(s, func(b *testing.B) {
			for range b.N {
				if _, err := read(s, AxisX, Inch, false, g); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
