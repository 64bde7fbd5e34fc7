package board

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func testJob(u Unit, comma bool) *Job {
	j := NewJob("texts")
	j.Unit, j.Comma = u, comma
	j.Grid = Grid{PitchX: j.Typed("100"), ColFirst: -9, ColLast: 9, Rows: 12}
	if u == Inch {
		j.Grid.PitchX = j.Typed("2")
	}
	j.Evaluate()
	return j
}

// cellIn is a text typed into a field of a job.
func cellIn(j *Job, text string, a Axis) Cell {
	c := j.Typed(text)
	c.evaluate(a, anyValue, j.Grid)
	return c
}

// TestMeant: what was meant is among what is tried, for the slips of the trade's
// own list, and is explained in words.
func TestMeant(t *testing.T) {
	for _, c := range []struct {
		typed, meant string
		unit         Unit
		axis         Axis
		why          string
	}{
		{"21 3/8", "12 3/8", Inch, AxisX, "the digits are swapped"},
		{"341.5", "314.5", MM, AxisX, "the digits are swapped"},
		{"12.38", "12.83", Inch, AxisX, "the digits are swapped"},
		{"10.5", "1.5", MM, AxisX, "the digits are swapped"},
		{"15.5", "105.5", MM, AxisX, "a digit is missing"},
		{"214.5", "-214.5", MM, AxisX, "the minus is missing"},
		{"-214.5", "214.5", MM, AxisX, "the sign is wrong"},
		{"214.5", "314.5", MM, AxisX, "off"},
		{"7+3/8", "8+3/8", Inch, AxisX, "counted from the wrong grid line"},
		{"7+3/8", "7 less 3/8", Inch, AxisX, "the wrong side of the grid line"},
		{"C+12", "D+12", MM, AxisY, "counted from the wrong grid line"},
		{"C", "B", MM, AxisY, "counted from the wrong grid line"},
		{"12 3/8", "11 3/8", Inch, AxisX, "an inch off"},
		{"1 1/8", "1/8", Inch, AxisZ, "an inch off"},
		{"4 5/8", "4 3/8", Inch, AxisZ, "5/8 was typed for 3/8"},
		{"4 1/4", "4 3/4", Inch, AxisZ, "1/4 was typed for 3/4"},
		{"7/16", "9/16", Inch, AxisZ, "7/16 was typed for 9/16"},
		{"3 15/16", "4", Inch, AxisZ, "a sixteenth off"},
		{"314.5", "314.5 mm", Inch, AxisX, "typed in millimetres"},
		{"12 3/8", "12 3/8 in", MM, AxisX, "typed in inches"},
		{"8.6", "86", MM, AxisZ, "typed in cm"},
		{"3145", "314.5", MM, AxisX, "the decimal point"},
		{"186", "186.5", MM, AxisZ, ""}, // nothing leads there
		{"396", "366", MM, AxisX, "a 9 was typed for a 6"},
	} {
		j := testJob(c.unit, false)
		var found *variant
		for _, v := range j.meant(cellIn(j, c.typed, c.axis), c.axis) {
			if v.text == c.meant {
				found = &v
			}
		}
		if c.why == "" {
			require.Nil(t, found, c.typed)
			continue
		}
		require.NotNil(t, found, "%s for %s", c.typed, c.meant)
		require.Contains(t, found.why, c.why, c.typed)
	}
}

// TestMeantUnderAnotherMark: the cell was typed with a point, commas are in force.
func TestMeantUnderAnotherMark(t *testing.T) {
	j := testJob(MM, false)
	c := cellIn(j, "341.5", AxisX)
	j.Comma = true
	texts := map[string]float64{}
	for _, v := range j.meant(c, AxisX) {
		texts[v.text] = v.mm
	}
	require.Equal(t, 314.5, texts["314,5"])
}

func TestOnRule(t *testing.T) {
	for body, want := range map[string]bool{"12 3/8": true, "12 6/16": false, "12 01/32": false, "314.5": true, "5/8": true, "0/8": false} {
		require.Equal(t, want, onRule(body), body)
	}
}

// FuzzMeant: whatever was typed, every text that is tried means what it says when
// it is typed now, and something else than what stands there.
func FuzzMeant(f *testing.F) {
	for _, s := range []string{"12 3/8", "-7 less 1/8", "C+12", "1,234.5", "31.4cm", "2-3-4", "3' 11 1/2\"", "⅜", ".5", "0", "7+-1/8"} {
		f.Add(s, true, false, false, uint8(0))
		f.Add(s, false, true, true, uint8(1))
	}
	f.Fuzz(func(t *testing.T, text string, inch, comma, commaNow bool, axis uint8) {
		u := MM
		if inch {
			u = Inch
		}
		j := testJob(u, comma)
		a := Axis(axis % 3)
		c := cellIn(j, text, a)
		j.Comma = commaNow
		j.Unit = MM
		for _, v := range j.meant(c, a) {
			now := cellIn(j, v.text, a)
			require.True(t, now.Set, "%q from %q: %s", v.text, text, now.Fault)
			require.InDelta(t, v.mm, now.MM, 1e-5)
			require.Greater(t, math.Abs(v.mm-c.MM), 1e-7)
			require.Greater(t, v.weight, 0.0)
			require.NotEmpty(t, v.why)
		}
	})
}
