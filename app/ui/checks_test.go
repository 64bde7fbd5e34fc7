package ui

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/ui/sheet"
	"panewright/board"
)

// group is the correction group of that switch.
func (b *checksBox) group(name string) *correctionGroup {
	for _, g := range b.groups {
		if g.name == name {
			return g
		}
	}
	return nil
}

func TestGridIsCorrectedAsMeasured(t *testing.T) {
	w, q := openDemo(t, "c")
	w.openStep(stepBoard)
	b := w.panels[stepBoard].(*boardPanel).checks
	assert.False(t, b.group(board.CorrectGrid).box.Visible())
	width := w.state.Model.Figures.Width
	for _, c := range [][2]string{{"base_drawn", "1600"}, {"base_measured", "1603.2"}} {
		e := b.fields[c[0]]
		e.SetText(c[1])
		require.True(t, e.commit())
	}
	solved(t, w, q)
	assert.Equal(t, "Measure the board", w.state.Undo)
	g := b.group(board.CorrectGrid)
	assert.True(t, g.box.Visible())
	assert.True(t, g.check.Checked)
	assert.Contains(t, g.values.Text, "pitch across  +2.00 ± ")
	assert.Contains(t, g.values.Text, "mm/m")
	assert.Contains(t, g.texts.Text, "1603.2 mm")
	assert.InDelta(t, 1.002*width, w.state.Model.Figures.Width, 0.4, "mm")

	g.check.SetChecked(false)
	solved(t, w, q)
	assert.False(t, w.state.Job.Corrects(board.CorrectGrid))
	assert.Equal(t, "Correct for the grid: no", w.state.Undo)
	assert.InDelta(t, width, w.state.Model.Figures.Width, 0.01, "mm")
	w.undo()
	assert.True(t, g.check.Checked, "shown, not pressed")
	assert.True(t, w.state.Job.Corrects(board.CorrectGrid))

	e := b.fields["side_drawn"]
	e.SetText("8..0")
	e.commit()
	assert.True(t, e.fault.Visible(), "kept, with its fault")
	w.panels[stepBoard].(*boardPanel).gotoField("diagonal_rising")
	assert.Same(t, b.fields["diagonal_rising"], w.win.Canvas().Focused())
}

func TestEmptyBoardIsTyped(t *testing.T) {
	w, q := openDemo(t, "c")
	w.openStep(stepBoard)
	b := w.panels[stepBoard].(*boardPanel).checks
	assert.False(t, w.lists.strip.buttons[listZero].Visible(), "no one asked for it")
	b.empty.OnTapped()
	assert.Equal(t, listZero, w.lists.open)
	assert.True(t, w.lists.strip.buttons[listZero].Visible())
	w.keys("0<Return>100<Return>0.5<Return>500<Return>100<Return>0.7<Return>0<Return>600<Return>0.6<Return>")
	solved(t, w, q)
	require.Len(t, w.state.Job.Checks.Zero.Points, 3)
	assert.Equal(t, "600", w.state.Job.Checks.Zero.Points[2].Y.Text)
	assert.Equal(t, "Read the empty board", w.state.Undo)
	assert.Equal(t, "read at 3 places", b.empty.Text)
	assert.Contains(t, b.group(board.CorrectZero).values.Text, "at most  +0.")

	w.insertRow()
	solved(t, w, q)
	require.Len(t, w.state.Job.Checks.Zero.Points, 4)
	w.strikeSelected()
	assert.Nil(t, w.top(), "a point is not struck")
	w.lists.sheet().Goto(0, 1)
	w.deleteSelected()
	assert.Len(t, w.state.Job.Checks.Zero.Points, 3)
	assert.Equal(t, "500", w.state.Job.Checks.Zero.Points[0].X.Text)
	require.NoError(t, w.state.Job.Clone().SetZero(0, "x", "1"))
	require.NoError(t, w.Edit("a hole", func(j *board.Job) error { return j.SetZero(1, "z", "") }))
	c := w.lists.models[listZero].Cell(1, 3)
	assert.Equal(t, sheet.Suspicious, c.Tint)
	assert.NotEmpty(t, c.Note)
	assert.Equal(t, markAttention, w.lists.strip.marks[listZero])
	for _, tr := range w.troubles {
		if tr.list == listZero && tr.row == 1 && !tr.remark {
			w.gotoTrouble(tr)
			row, col := w.lists.sheet().Cursor()
			assert.Equal(t, []int{1, 3}, []int{row, col})
		}
	}
}

func TestNewLaying(t *testing.T) {
	w, q := openDemo(t, "c")
	w.openStep(stepReadings)
	edge := w.lists.models[listEdge]
	columns := len(edge.Columns())
	w.askLaying()
	require.NotNil(t, w.top())
	assert.Equal(t, "laying", w.top().name)
	assert.GreaterOrEqual(t, len(strings.Fields(w.top().entry.Text)), fewestAgain)
	entry := w.top().entry
	for _, bad := range []string{"1 2 3", "1 2 3 none", "1 2 3 3"} {
		entry.SetText(bad)
		w.keys("<Return>")
		require.NotNil(t, w.top(), bad)
		assert.NotEmpty(t, entry.fault.Text, bad)
	}
	entry.SetText("1, 12 23 34")
	w.keys("<Return>")
	require.Nil(t, w.top())
	assert.Equal(t, "Begin laying 2", w.state.Undo)
	rs := w.state.Job.Readings
	n := len(rs)
	for k, id := range []string{"1", "12", "23", "34"} {
		assert.Equal(t, []any{id, "2", board.Edge}, []any{rs[n-4+k].ID, rs[n-4+k].Set, rs[n-4+k].Kind})
	}
	cols := edge.Columns()
	require.Len(t, cols, columns+1, "the laying has a column")
	row, _ := w.lists.sheet().Cursor()
	assert.Equal(t, edge.Rows()-4, row, "on the first of them")
	assert.Equal(t, "2", edge.Cell(row, columns).Text)

	// read them 30 mm to the right of where they were
	old := map[string]board.Reading{}
	for _, r := range rs[:n-4] {
		if _, ok := old[r.ID]; r.Kind == board.Edge && !ok {
			old[r.ID] = r
		}
	}
	require.NoError(t, w.Edit("read again", func(j *board.Job) error {
		for i := n - 4; i < n; i++ {
			was := old[j.Readings[i].ID]
			j.Readings[i].X = j.Typed(number(j, was.X.MM+30, 1))
			j.Readings[i].Y, j.Readings[i].Z = was.Y, was.Z
		}
		return nil
	}))
	solved(t, w, q)
	joins := w.state.Model.Joins
	require.Len(t, joins, 1)
	assert.True(t, joins[0].Joined, joins[0].Text)
	w.openStep(stepBoard)
	b := w.panels[stepBoard].(*boardPanel).checks
	assert.True(t, b.layings.Visible())
	assert.Contains(t, b.layings.Objects[1].(*widget.Label).Text, "Laying 2: misfit 0.0")
	assert.Contains(t, b.layings.Objects[2].(*widget.Label).Text, "joined by 4 places")

	// what is typed behind them belongs to the laying, on every list
	w.openList(listFace)
	require.NoError(t, w.lists.models[listFace].Set(w.lists.models[listFace].Rows(), 1, "100"))
	assert.Equal(t, "2", w.state.Job.Readings[len(w.state.Job.Readings)-1].Set)
	w.undo()
	w.undo()
	w.undo()
	assert.False(t, severalLayings(w.state.Job))
	assert.Len(t, edge.Columns(), columns)
}

func TestNewLayingNeedsStations(t *testing.T) {
	w, _ := open(t)
	w.askLaying()
	assert.Nil(t, w.top())
	assert.Equal(t, sheet.Wrong, w.status.tint)
}

func TestCorrectionValues(t *testing.T) {
	mm, in := board.NewJob("x"), board.NewJob("y")
	in.Unit = board.Inch
	for _, c := range []struct {
		j    *board.Job
		c    board.Correction
		want string
	}{
		{mm, board.Correction{Value: 0.5, U: 0.1, Unit: "mm/m"}, "+0.50 ± 0.20 mm/m"},
		{in, board.Correction{Value: -0.5, U: 0.1, Unit: "mm/m"}, "-0.50 ± 0.20 mm/m"},
		{mm, board.Correction{Value: -0.04, U: 0.02, Unit: "deg"}, "-0.040 ± 0.040°"},
		{in, board.Correction{Value: 25.4, Unit: "mm"}, "+1.000 in"},
		{mm, board.Correction{Value: 0.001, Unit: "mm"}, "0.00 mm"},
	} {
		assert.Equal(t, c.want, correctionValue(c.j, c.c))
	}
	assert.Equal(t, "a    1\nbbb  2", namedValues([]string{"a", "bbb"}, []string{"1", "2"}))
}

// TestTheListsFitTheirColumn: with every list filled and in need of attention
// the words still fit at the smallest width.
func TestTheListsFitTheirColumn(t *testing.T) {
	w, q := open(t)
	require.NoError(t, w.Edit("all", func(j *board.Job) error {
		for i := range 12 {
			j.Tapes = append(j.Tapes, board.Tape{})
			for k := board.Edge; k <= board.Mark; k++ {
				j.Readings = append(j.Readings, board.Reading{ID: "?", Kind: k})
			}
			require.NoError(t, j.InsertZero(i))
		}
		return nil
	}))
	require.Eventually(t, func() bool { q.run(); return !w.state.Solving }, 60*wait, wait/100)
	w.lists.show(w.state, [listCount]bool{true, true, true, true, true})
	assert.LessOrEqual(t, w.lists.strip.row.MinSize().Width, float32(leftMin))
}
