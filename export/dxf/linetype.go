package dxf

import (
	"math"
	"slices"
)

// Line types a layer can have. The patterns are those of ISO 128-20 (lines 01,
// 10 and 02; lengths in line widths, from memory) for a line 1 mm wide.
const (
	Continuous = "CONTINUOUS" // visible edges
	Center     = "CENTER"     // centre lines: long dash, dot
	Dashed     = "DASHED"     // hidden edges
)

// Colour numbers of the format that every reader shows alike. White is black
// on white paper.
const (
	Red     = 1
	Yellow  = 2
	Green   = 3
	Cyan    = 4
	Blue    = 5
	Magenta = 6
	White   = 7
	Grey    = 8
)

// linetype is a row of the LTYPE table: dashes > 0, gaps < 0, in mm.
type linetype struct {
	name, about string
	dashes      []float64
}

var linetypes = []linetype{
	{Continuous, "Solid line", nil},
	{Center, "Long dash, dot", []float64{24, -3, 0.5, -3}},
	{Dashed, "Dashes", []float64{12, -3}},
}

// length returns the length in mm after which the pattern repeats.
func (l linetype) length() float64 {
	var sum float64
	for _, v := range l.dashes {
		sum += math.Abs(v)
	}
	return sum
}

func hasLinetype(name string) bool {
	return slices.ContainsFunc(linetypes, func(l linetype) bool { return l.name == name })
}
