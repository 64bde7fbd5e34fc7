package board_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/testdata/demo"
)

// TestRollOpenAsksForHeights: a half and its widths say where the centre line is,
// and little of the roll; three heights on the other half do.
func TestRollOpenAsksForHeights(t *testing.T) {
	require.Nil(t, finding(solved(t, demo.A()), "roll-open"), "check stations were read on the other half")

	j := halfAlone()
	j.Unit = board.MM
	whole := solved(t, demo.A())
	for _, id := range []string{"22", "24", "26", "28"} {
		width := 2 * whole.Found.Plane.Dist(result(whole, board.Edge, id).Foot)
		j.Tapes = append(j.Tapes, board.Tape{How: board.Twin, From: id, Length: j.Typed(trim(width))})
	}
	j.Evaluate()
	m := solve(t, j)
	require.NotNil(t, m.Pane, m.Why)
	f := finding(m, "roll-open")
	require.NotNil(t, f)
	require.Contains(t, f.Text, "Read three heights on the left half, near ")
	require.False(t, f.Remark, "a pocket is not to be cut past it unseen")
	t.Log(f.Text)

	back := whole.BoardToGlass.Inverse()
	box := whole.Pane.Outline.Bounds()
	for _, y := range []float64{0.5, 0, -0.5} {
		p := back.Apply(r3.Vec{X: 0.8 * box.Min.X, Y: y * box.Max.Y, Z: whole.Pane.Upper.At(0.8*box.Min.X, y*box.Max.Y)})
		j.Readings = append(j.Readings, board.Reading{Kind: board.Face, ID: "X" + trim(y), X: j.Typed(trim(p.X)), Y: j.Typed(trim(p.Y)), Z: j.Typed(trim(p.Z))})
	}
	j.Evaluate()
	after := solve(t, j)
	require.Nil(t, finding(after, "roll-open"))
	require.Less(t, after.Found.RollU, 0.4*m.Found.RollU)
}
