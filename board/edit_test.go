package board

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// edgeAt is an edge reading with texts.
func edgeAt(j *Job, id, x, y, z string) Reading {
	return Reading{ID: id, X: j.Typed(x), Y: j.Typed(y), Z: j.Typed(z)}
}

func TestTypedCellsKeepTheirUnit(t *testing.T) {
	j := NewJob("demo")
	j.Unit = Inch
	require.NoError(t, j.Insert(0, Reading{ID: "1"}))
	require.NoError(t, j.SetCell(0, "x", "12 3/8"))
	j.Unit = MM
	require.NoError(t, j.SetCell(0, "y", "100"))
	j.Unit = Inch
	require.NoError(t, j.SetCell(0, "z", "abc"))
	j.Evaluate()
	r := j.Readings[0]
	assert.InDelta(t, 314.325, r.X.MM, readTol)
	assert.InDelta(t, 100, r.Y.MM, readTol, "a change of unit changes nothing already typed")
	assert.False(t, r.Z.Set)
	assert.Equal(t, "abc", r.Z.Text, "what is not understood is kept")
	assert.NotEmpty(t, r.Z.Fault)
	assert.Zero(t, r.Z.MM)
}

func TestGridLineCellsFollowThePitch(t *testing.T) {
	j := NewJob("demo")
	require.NoError(t, j.Insert(0, edgeAt(j, "1", "7+12.5", "C", "30")))
	j.Evaluate()
	assert.InDelta(t, 712.5, j.Readings[0].X.MM, readTol)
	assert.InDelta(t, 200, j.Readings[0].Y.MM, readTol)
	j.Grid.PitchX = Cell{Text: "2", Unit: Inch}
	j.Evaluate()
	assert.InDelta(t, 7*50.8+12.5, j.Readings[0].X.MM, readTol)
	assert.InDelta(t, 101.6, j.Readings[0].Y.MM, readTol)
	j.Grid.PitchX.Text = ""
	j.Evaluate()
	assert.Contains(t, j.Readings[0].X.Fault, "no pitch")
	assert.True(t, j.Readings[0].Z.Set)
}

func TestFieldsRefuseWhatTheyCannotBe(t *testing.T) {
	j := NewJob("demo")
	j.Pane.Thickness.Text, j.Pencil.Text, j.Grid.PitchX.Text = "-4", "-1", "0"
	j.Plane = &TypedPlane{Offset: j.Typed("-1.5"), Skew: j.Typed("1/8"), Roll: j.Typed("-0.1")}
	j.Tapes = []Tape{{Length: j.Typed("0")}}
	j.Readings = []Reading{{SD: j.Typed("0"), X: j.Typed("-3")}}
	j.Evaluate()
	for _, c := range []Cell{j.Pane.Thickness, j.Pencil, j.Grid.PitchX, j.Plane.Skew, j.Tapes[0].Length, j.Readings[0].SD} {
		assert.NotEmpty(t, c.Fault, c.Text)
		assert.False(t, c.Set, c.Text)
	}
	assert.InDelta(t, -1.5, j.Plane.Offset.MM, 0)
	assert.InDelta(t, -0.1, j.Plane.Roll.MM, 0)
	assert.InDelta(t, -3, j.Readings[0].X.MM, 0)
}

func TestSetComma(t *testing.T) {
	j := NewJob("demo")
	j.Readings = []Reading{edgeAt(j, "1", "1.234", "1,234", "12.5")}
	j.Evaluate()
	assert.NotEmpty(t, j.Readings[0].Y.Fault)
	j.SetComma(true)
	j.Evaluate()
	r := j.Readings[0]
	assert.InDelta(t, 1.234, r.X.MM, 0, "what was understood keeps its reading")
	assert.InDelta(t, 1.234, r.Y.MM, 0, "what was not is read again")
	assert.InDelta(t, 12.5, r.Z.MM, 0)
	assert.True(t, j.Typed("1").Comma)
}

func TestNextID(t *testing.T) {
	j := NewJob("demo")
	for k, want := range map[Kind]string{Edge: "1", Face: "F1", Centre: "C1", Mark: "M1", Kind(9): "", Kind(-1): ""} {
		assert.Equal(t, want, j.NextID(k))
	}
	add := func(k Kind, ids ...string) {
		for _, id := range ids {
			require.NoError(t, j.Insert(len(j.Readings), Reading{Kind: k, ID: id}))
		}
	}
	add(Edge, "1", "2", "12", "3")
	assert.Equal(t, "13", j.NextID(Edge), "past the greatest one used")
	add(Edge, "top")
	assert.Equal(t, "13", j.NextID(Edge), "a name without a number is passed over")
	add(Edge, "E7")
	assert.Equal(t, "E8", j.NextID(Edge), "the last reading's way of naming")
	add(Face, "F3")
	assert.Equal(t, "F4", j.NextID(Face))
	add(Mark, strings.Repeat("9", 30))
	assert.Equal(t, "M1", j.NextID(Mark))
}

func TestEdits(t *testing.T) {
	j := NewJob("demo")
	for _, id := range []string{"1", "2", "3"} {
		require.NoError(t, j.Insert(len(j.Readings), Reading{ID: id}))
	}
	require.NoError(t, j.Insert(1, Reading{ID: "F1", Kind: Face}))
	require.NoError(t, j.Insert(0, Reading{ID: "C1", Kind: Centre}))
	assert.Equal(t, []int{1, 3, 4}, j.Indices(Edge))
	assert.Equal(t, []int{0, 2}, j.Indices(Face, Centre))
	assert.Equal(t, Place{List: "edge", Row: 2}, j.Place(3))
	assert.Equal(t, Place{List: "face", Row: 1}, j.Place(2))

	require.NoError(t, j.Strike(3, " slipped "))
	assert.True(t, j.Readings[3].Struck)
	assert.Equal(t, "slipped", j.Readings[3].Reason)
	require.NoError(t, j.Unstrike(3))
	assert.False(t, j.Readings[3].Struck)
	require.NoError(t, j.Delete(0))
	assert.Equal(t, []int{0, 2, 3}, j.Indices(Edge))

	require.NoError(t, j.SetCell(0, "note", " by the wiper "))
	require.NoError(t, j.SetCell(0, "id", " 1a "))
	require.NoError(t, j.SetCell(0, "set", "B"))
	require.NoError(t, j.SetCell(0, "sd", "0.3"))
	assert.Equal(t, Reading{ID: "1a", Note: "by the wiper", Set: "B", SD: Cell{Text: "0.3"}}, j.Readings[0])

	j.Tapes = []Tape{{}}
	require.NoError(t, j.SetTape(0, "how", "Straight"))
	require.NoError(t, j.SetTape(0, "from", "1"))
	require.NoError(t, j.SetTape(0, "to", "3"))
	require.NoError(t, j.SetTape(0, "length", "314"))
	assert.Equal(t, Tape{How: Straight, From: "1", To: "3", Length: Cell{Text: "314"}}, j.Tapes[0])

	for name, err := range map[string]error{
		"no row":       j.SetCell(99, "x", "1"),
		"row -1":       j.SetCell(-1, "x", "1"),
		"no field":     j.SetCell(0, "w", "1"),
		"long":         j.SetCell(0, "x", strings.Repeat("1", 300)),
		"control":      j.SetCell(0, "x", "1\n2"),
		"bytes":        j.SetCell(0, "id", "\xff"),
		"insert":       j.Insert(9, Reading{}),
		"delete":       j.Delete(9),
		"strike":       j.Strike(-1, ""),
		"unstrike":     j.Unstrike(9),
		"tape row":     j.SetTape(1, "to", ""),
		"tape field":   j.SetTape(0, "x", ""),
		"tape how":     j.SetTape(0, "how", "round"),
		"tape control": j.SetTape(0, "to", "\t"),
	} {
		assert.ErrorContains(t, err, "board: ", name)
	}
}
