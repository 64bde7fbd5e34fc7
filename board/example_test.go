package board_test

import (
	"fmt"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
)

// inchGrid is a drawn grid of 2 in: lines -13 to 13 across, A to N up the board.
func inchGrid() board.Grid {
	j := board.NewJob("grid")
	j.Unit = board.Inch
	j.Grid = board.Grid{PitchX: j.Typed("2"), ColFirst: -13, ColLast: 13, Rows: 14}
	j.Evaluate()
	return j.Grid
}

func ExampleParse() {
	g := inchGrid()
	for _, text := range []string{"12 3/8", "7+3/8", "7 less 1/8", "314mm", "3' 11 1/2\"", "1 9/8"} {
		mm, echo, err := board.Parse(text, board.AxisX, board.Inch, false, g)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Printf("%.3f: %s\n", mm, echo)
	}
	// Output:
	// 314.325: 12.375 in = 314.325 mm
	// 365.125: line 7 + 3/8 = 14.375 in = 365.125 mm
	// 352.425: line 7 less 1/8 = 13.875 in = 352.425 mm
	// 314.000: 314 mm = 12.362 in, typed in mm
	// 1206.500: 47.5 in = 1206.5 mm
	// board: "1 9/8": 9/8 is one or more: write the whole number first, as in 12 3/8
}

func ExampleFormatFraction() {
	for _, denominator := range []int{16, 32, 64} {
		text, miss := board.FormatFraction(314, denominator)
		fmt.Printf("%s (%+.3f mm)\n", text, miss)
	}
	// Output:
	// 12 3/8 (-0.325 mm)
	// 12 3/8 (-0.325 mm)
	// 12 23/64 (+0.072 mm)
}

func ExampleGrid_Describe() {
	fmt.Println(inchGrid().Describe(r2.Vec{X: 365.125, Y: 98.425}, board.Inch))
	// Output: line 7 + 3/8, line C less 1/8
}

func ExampleHistory() {
	h := board.NewHistory(board.NewJob("rear screen"))
	_, err := h.Edit("Type station 1", func(j *board.Job) error {
		r := board.Reading{ID: j.NextID(board.Edge), X: j.Typed("7+12.5"), Y: j.Typed("C")}
		return j.Insert(len(j.Readings), r)
	})
	fmt.Println(err, len(h.Job().Readings), h.Job().Readings[0].X.MM, h.Job().Readings[0].Y.MM)
	fmt.Println("undo:", h.UndoName())
	h.Undo()
	fmt.Println(len(h.Job().Readings), "redo:", h.RedoName())
	// Output:
	// <nil> 1 712.5 200
	// undo: Type station 1
	// 0 redo: Type station 1
}

func ExampleReadReadings() {
	table := "kind;id;x;y;z\nedge;1;0;100,5;12\nedge;2;95,5;1O2;12\n"
	_, err := board.ReadReadings(strings.NewReader(table), "readings.csv", board.NewJob("demo"))
	fmt.Println(err)
	// Output: readings.csv, row 3, column y: "1O2": this is not a number: type digits, as in 314.5 or 12 3/8
}

func ExampleCheck() {
	j := board.NewJob("demo")
	j.Readings = []board.Reading{{ID: "1", X: j.Typed("1,234"), Y: j.Typed("100"), Z: j.Typed("12")}}
	j.Evaluate()
	for _, f := range board.Check(j)[:1] {
		fmt.Println(f)
	}
	// Output: edge: 0 stations with x and y, too few for an outline: read at least 6 all round, usually 40 to 60, five to a corner.
}
