package board

import (
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
)

// Pitch is the spacing of the lines across and up the board, in millimetres; 0
// where it is not known. An empty PitchY follows PitchX.
func (g Grid) Pitch() (x, y float64) {
	x, y = g.PitchX.MM, g.PitchY.MM
	if strings.TrimSpace(g.PitchY.Text) == "" {
		y = x
	}
	return x, y
}

// ColLabel is the label of the line across with number i: "-3", "0", "12".
func (g Grid) ColLabel(i int) string { return strconv.Itoa(i) }

// RowLabel is the label of the i-th lettered line, from 0: A … Z, AA, AB … ZZ;
// empty where i names no line.
func (g Grid) RowLabel(i int) string {
	switch {
	case i < 0 || i >= maxLines:
		return ""
	case i < 26:
		return string(rune('A' + i))
	}
	i -= 26
	return string(rune('A'+i/26)) + string(rune('A'+i%26))
}

// Bounds is the drawn grid, from the first to the last line each way, in
// millimetres; ok is false where the pitch is not known or no lines are drawn.
func (g Grid) Bounds() (box r2.Box, ok bool) {
	x, y := g.Pitch()
	if !(x > 0 && y > 0) || g.ColLast < g.ColFirst || g.Rows < 1 {
		return r2.Box{}, false
	}
	return r2.Box{
		Min: r2.Vec{X: float64(g.ColFirst) * x, Y: float64(g.RowA) * y},
		Max: r2.Vec{X: float64(g.ColLast) * x, Y: float64(g.RowA+g.Rows-1) * y},
	}, true
}

// Describe says where p (board frame, mm) lies in words of the board, from the
// nearest drawn lines: "line 7 + 3/8, line C less 1 1/4". Inches are rounded to
// 1/64, millimetres to 0.1. Without a grid it gives x and y.
func (g Grid) Describe(p r2.Vec, u Unit) string {
	if _, ok := g.Bounds(); !ok || math.IsNaN(p.X+p.Y) || math.IsInf(p.X+p.Y, 0) {
		return "x " + ruled(p.X, u) + ", y " + ruled(p.Y, u)
	}
	x, y := g.Pitch()
	col, dx := nearestLine(p.X, x, g.ColFirst, g.ColLast)
	row, dy := nearestLine(p.Y, y, g.RowA, g.RowA+g.Rows-1)
	return "line " + g.ColLabel(col) + beside(dx, u) + ", line " + g.RowLabel(row-g.RowA) + beside(dy, u)
}

// nearestLine is the drawn line nearest to v and what v lies beyond it.
func nearestLine(v, pitch float64, first, last int) (n int, off float64) {
	k := min(max(math.Round(v/pitch), float64(first)), float64(last))
	return int(k), v - k*pitch
}

// beside says a distance from a line: " + 3/8", " less 1 1/4", or nothing.
func beside(off float64, u Unit) string {
	s := ruled(math.Abs(off), u)
	switch {
	case s == "0":
		return ""
	case off < 0:
		return " less " + s
	}
	return " + " + s
}

// ruled shows a length as it is read off a rule: 1/64 in, 0.1 mm.
func ruled(mm float64, u Unit) string {
	if math.IsNaN(mm) || math.IsInf(mm, 0) {
		return "–"
	}
	if u == Inch {
		text, _ := FormatFraction(mm, 64)
		return text
	}
	return trimmed(mm, 1)
}
