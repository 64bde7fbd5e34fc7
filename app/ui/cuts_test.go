package ui

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/sheet"
	"panewright/board"
)

// settled waits until no solve runs, and what an errand is about has come.
func settled(t *testing.T, w *Window, q *queue, what func() bool) {
	t.Helper()
	require.Eventually(t, func() bool {
		q.run()
		return !w.state.Solving && what()
	}, 60*wait, wait/100)
	require.NoError(t, w.state.Err)
}

// record records the next cut by keys only.
func record(t *testing.T, w *Window, q *queue) {
	t.Helper()
	n := len(w.state.Job.Cuts)
	w.recordCut()
	require.NotNil(t, w.top(), w.status.text.Text)
	w.keys("<Return>")
	settled(t, w, q, func() bool { return w.top() == nil })
	require.Len(t, w.state.Job.Cuts, n+1)
}

// noteGaps notes wall gaps at every few stations of the last cut: of makes them,
// mm, by the way outward there and whether the station lies left of the line.
func noteGaps(t *testing.T, w *Window, q *queue, every int, of func(out r2.Vec, left bool) float64) {
	t.Helper()
	cut := w.state.Job.LastCut()
	require.NoError(t, w.Edit("gaps", func(j *board.Job) error {
		for i, id := range gapNames(j) {
			if i%every != 0 {
				continue
			}
			at, out, ok := cut.Shape.OnBoard(id)
			require.True(t, ok, id)
			text := strconv.FormatFloat(of(out, at.X < cut.Offset), 'f', 2, 64) + " mm"
			if err := j.SetGap(cut.Number, id, "wall", text); err != nil {
				return err
			}
		}
		return nil
	}))
	solved(t, w, q)
}

// asPlanned are gaps of the usual clearance.
func asPlanned(r2.Vec, bool) float64 { return 1.5 }

// lineOff are the gaps of a pane in a cut of which the line was taken 1 mm too far
// to the right, the right half measured, as it lies against the right wall.
func lineOff(out r2.Vec, left bool) float64 {
	if left {
		return 1.5 - 2*math.Abs(out.X)
	}
	return 1.5
}

func TestRecordingACut(t *testing.T) {
	w, q := openDemo(t, "c")
	w.openCuts()
	p := w.panels[stepFit].(*fitPanel)
	assert.Equal(t, "No cut is recorded yet", p.headline())
	assert.Equal(t, "Record this as cut 1…", p.cuts.act.Text)
	assert.False(t, p.cuts.causes.box.Visible())
	assert.False(t, w.lists.strip.buttons[listGaps].Visible())
	w.openList(listGaps)
	assert.Equal(t, listEdge, w.lists.open, "there is no gap sheet without a cut")

	p.cuts.act.OnTapped()
	require.NotNil(t, w.top())
	assert.Equal(t, "first trial", w.top().entry.Text)
	w.keys("<Escape>")
	assert.Nil(t, w.top())
	assert.Empty(t, w.state.Job.Cuts, "given up")

	record(t, w, q)
	cut := w.state.Job.LastCut()
	assert.Equal(t, []any{1, "first trial", 2}, []any{cut.Number, cut.Reason, w.state.Job.Cut})
	assert.Len(t, cut.Date, len("2031-01-02"))
	assert.Equal(t, "Record this as cut 1", w.state.Undo)
	assert.Equal(t, listGaps, w.lists.open, "its gap sheet is opened")
	assert.Same(t, w.lists.sheets[listGaps], w.win.Canvas().Focused())
	assert.Equal(t, "Cut 1: note its gaps", p.headline())
	assert.Contains(t, p.cuts.list.rows[0].line.Text, "Gaps missing")

	w.undo()
	assert.Empty(t, w.state.Job.Cuts)
	assert.Equal(t, listEdge, w.lists.open, "no cut, no gap sheet")
	w.redo()
	assert.Len(t, w.state.Job.Cuts, 1)
	w.deleteCut()
	assert.Empty(t, w.state.Job.Cuts)
	assert.Equal(t, "Delete cut 1", w.state.Undo)
}

func TestNoCutOfWhatIsNotKnown(t *testing.T) {
	w, q := open(t)
	solved(t, w, q)
	w.recordCut()
	assert.Nil(t, w.top())
	assert.Contains(t, w.status.text.Text, "no pane to cut a pocket for")
	for _, f := range []func(){w.deleteCut, w.turnRocks, w.putFoundRight, func() { w.putNthRight(0) }, func() { w.putRight("scale", true) }} {
		f()
		assert.Empty(t, w.state.Undo)
	}
}

func TestGapsAreTyped(t *testing.T) {
	w, q := openDemo(t, "c")
	record(t, w, q)
	names := gapNames(w.state.Job)
	l := w.lists.models[listGaps].(*gapList)
	assert.Equal(t, len(names), l.Rows())
	w.keys("1.4<Return>0.1<Return>tight<Return><Return>0.6..0.7<Return>")
	gap := func(i int) board.GapNote {
		for _, g := range w.state.Job.Gaps {
			if g.Station == names[i] {
				return g
			}
		}
		return board.GapNote{}
	}
	assert.Equal(t, []string{"1.4", "0.1"}, []string{gap(0).Wall.Text, gap(0).Ledge.Text}, "Enter moves on as in the readings")
	assert.True(t, gap(1).Wall.Tight)
	assert.Equal(t, []float64{0.6, 0.7}, []float64{gap(2).Wall.Lo, gap(2).Wall.Hi})
	assert.Equal(t, "Gap at "+names[2]+", wall", w.state.Undo)
	assert.Contains(t, w.lists.strip.buttons[listGaps].Text, "3", "those noted are counted")
	row, col := w.lists.sheet().Cursor()
	assert.Equal(t, []int{2, gapLedge}, []int{row, col})
	at, _, _ := w.state.Job.LastCut().Shape.OnBoard(names[2])
	require.NotNil(t, at)

	w.keys("0..7..<Return><Left>")
	c := l.Cell(2, gapLedge)
	assert.Equal(t, sheet.Wrong, c.Tint, "kept, and said why")
	assert.Contains(t, c.Note, "tight, or 0.6..0.7")
	assert.Equal(t, markAttention, w.lists.strip.marks[listGaps])
	w.keys("<Right>")
	w.undo()
	require.NoError(t, l.SetBlock(len(names)-1, gapWall, [][]string{{"1.5", "0", "chalk", "9"}, {"2"}}), "what has no place is passed over")
	assert.Equal(t, "chalk", gap(len(names)-1).Note)
	require.Error(t, l.Set(len(names), gapWall, "1"))

	w.lists.sheet().Goto(0, gapWall)
	w.strikeSelected()
	assert.Nil(t, w.top(), "a gap is not struck")
	w.insertRow()
	assert.Contains(t, w.status.text.Text, "the stations of the cut")
	w.deleteSelected()
	assert.Empty(t, gap(0).Wall.Text)
	solved(t, w, q)
}

func TestGapSheetAndBoardPointAtOneAnother(t *testing.T) {
	w, q := openDemo(t, "a")
	record(t, w, q)
	l := w.lists.models[listGaps].(*gapList)
	names := gapNames(w.state.Job)
	twin := len(names) - 1
	require.True(t, strings.HasSuffix(names[twin], "'"), "the half that was made has its stations")
	c := l.Cell(twin, gapStation)
	assert.Contains(t, c.Note, "the twin of ")
	own := strings.TrimSuffix(names[twin], "'")
	for i, r := range w.state.Job.Readings {
		if r.ID == own && r.Kind == board.Edge {
			w.boardSelected(i)
		}
	}
	id, ok := w.lists.gapUnderCursor()
	assert.True(t, ok, "the gap sheet stays in view")
	assert.Equal(t, own, id)
	assert.False(t, w.lists.gotoGap("none"))
}

func TestGapEcho(t *testing.T) {
	mm, in := board.NewJob("x"), board.NewJob("y")
	in.Unit = board.Inch
	for _, c := range []struct {
		j          *board.Job
		text, want string
	}{
		{mm, "1.27", "1.27 mm = 0.050 in"},
		{in, "0.05", "0.050 in = 1.27 mm"},
		{in, "1.5 mm", "0.059 in = 1.50 mm"},
		{mm, "tight", "the glass touches"},
		{mm, "0", "the glass touches"},
		{mm, "0.6..0.7", "a strip of 0.60 mm = 0.024 in goes, one of 0.70 mm = 0.028 in does not"},
		{mm, "0.6..", "0.60 mm = 0.024 in or more"},
		{mm, "..0.7", "less than 0.70 mm = 0.028 in"},
	} {
		g := c.j.ReadGap(c.text)
		require.Empty(t, g.Fault, c.text)
		assert.Equal(t, c.want, gapWords(c.j, &g))
	}
	w, q := openDemo(t, "c")
	record(t, w, q)
	l := w.lists.models[listGaps].(*gapList)
	text, tint := l.Echo(0, gapWall, "0.7..0.6")
	assert.Equal(t, sheet.Wrong, tint)
	assert.Contains(t, text, "thinner")
	text, _ = l.Echo(0, gapRemark, "0.7")
	assert.Empty(t, text)
}

func TestCausesArePutRightInTheNextCut(t *testing.T) {
	w, q := openDemo(t, "a")
	record(t, w, q)
	noteGaps(t, w, q, 4, lineOff)
	p := w.panels[stepFit].(*fitPanel)
	g := w.state.Model.Gaps
	require.NotNil(t, g)
	require.Empty(t, g.Why)
	assert.True(t, p.cuts.causes.box.Visible())
	assert.Contains(t, p.headline(), "Centre line, sideways: ")
	assert.Equal(t, "Put right what was found", p.cuts.act.Text)
	assert.Contains(t, p.cuts.list.rows[0].line.Text, "Not proved")
	assert.Equal(t, markAttention, p.words.marks[partCuts])
	assert.Equal(t, markAttention, w.steps.marks[stepFit])
	names := correctable(w.state)
	require.Equal(t, "centre_offset", names[0], "what explains most has the first key")
	row := causeRowOf(p, "centre_offset")
	require.NotNil(t, row)
	assert.Contains(t, row.check.Text, "1  Centre line, sideways")
	assert.Contains(t, row.figures.Text, "±")
	assert.Contains(t, row.text.Text, "too far to the right")
	assert.True(t, p.cuts.causes.unsure.Visible())
	assert.Contains(t, p.cuts.causes.doubts.box.Objects[0].(*widget.Label).Text, ": ")
	require.NotNil(t, p.cuts.drawn, "the gaps are drawn on the board")
	assert.NotEmpty(t, p.cuts.drawn.Bars)

	row.check.SetChecked(true)
	solved(t, w, q)
	assert.Equal(t, []string{"centre_offset"}, w.state.Job.LastCut().Accepted)
	assert.Equal(t, "Put right: centre line, sideways", w.state.Undo)
	assert.Equal(t, "Put right in cut 2: centre line, sideways", p.headline())
	assert.Equal(t, "Make cut 2…", p.cuts.act.Text)
	w.putNthRight(0)
	solved(t, w, q)
	assert.Empty(t, w.state.Job.LastCut().Accepted)
	assert.Equal(t, "Leave as it is: centre line, sideways", w.state.Undo)
	assert.False(t, causeRowOf(p, "centre_offset").check.Checked)
	w.putNthRight(99)
	assert.Equal(t, "There is no cause 100.", w.status.text.Text)

	w.putFoundRight()
	solved(t, w, q)
	assert.Equal(t, []string{board.FoundCauses}, w.state.Job.LastCut().Accepted)
	assert.True(t, isAccepted(w.state, board.RestCause))
	assert.True(t, isAccepted(w.state, "centre_offset"))
	cell := w.lists.models[listGaps].Cell(0, gapNext)
	next, err := strconv.ParseFloat(cell.Text, 64)
	require.NoError(t, err)
	assert.InDelta(t, 1.5/25.4, next, 0.25/25.4, "the gap to expect is as planned, in")
	assert.Contains(t, cell.Note, "To expect in cut 2 at ")
	w.putRight(board.RestCause, false)
	solved(t, w, q)
	assert.NotContains(t, w.state.Job.LastCut().Accepted, board.FoundCauses, "from now on each by its name")
	assert.Contains(t, w.state.Job.LastCut().Accepted, "centre_offset")
	assert.NotContains(t, w.state.Job.LastCut().Accepted, board.RestCause)

	before := w.state.Job.LastCut().Offset
	record(t, w, q)
	cut := w.state.Job.LastCut()
	assert.Equal(t, 2, cut.Number)
	assert.Equal(t, "Make cut 2", w.state.Undo, "one step")
	assert.Contains(t, cut.Reason, "put right: centre line, sideways")
	assert.InDelta(t, before-1, cut.Offset, 0.3, "mm")
	assert.Contains(t, p.cuts.list.rows[0].right.Text, "Put right in it: centre line, sideways")
	settled(t, w, q, func() bool { return strings.Contains(p.cuts.list.rows[1].line.Text, "Not proved") })

	noteGaps(t, w, q, 4, asPlanned)
	assert.Equal(t, "Proved by cut 2, wall gaps only", p.headline())
	assert.Equal(t, widget.SuccessImportance, p.cuts.head.Importance)
	assert.Equal(t, markDone, p.words.marks[partCuts])
	assert.Equal(t, markDone, w.steps.marks[stepFit])
	w.turnRocks()
	solved(t, w, q)
	assert.True(t, p.cuts.rocks.Checked)
	assert.NotContains(t, p.headline(), "Proved")
	p.cuts.rocks.SetChecked(false)
	solved(t, w, q)
	assert.False(t, w.state.Job.LastCut().Rocks)
	assert.Contains(t, p.headline(), "Proved")
}

// causeRowOf is the row of a cause; nil where it is not shown.
func causeRowOf(p *fitPanel, name string) *causeRow {
	for _, rows := range []*causeRows{p.cuts.causes.clear, p.cuts.causes.others} {
		for _, r := range rows.rows {
			if r.name == name && r.box.Visible() {
				return r
			}
		}
	}
	return nil
}

func TestPressingTheStepAgainGoesOn(t *testing.T) {
	w, _ := openDemo(t, "c")
	w.pressStep(stepFit)
	p := w.panels[stepFit].(*fitPanel)
	for _, want := range []int{partPrediction, partPocket, partCuts, partPrediction} {
		assert.Equal(t, []int{stepFit, want}, []int{w.step, p.open})
		w.pressStep(stepFit)
	}
	w.pressStep(stepShape)
	assert.Equal(t, stepShape, w.step)
	w.pressStep(stepFit)
	assert.Equal(t, partPocket, p.open, "where it was left")
}

func TestGapsThatSayTooLittle(t *testing.T) {
	w, q := openDemo(t, "c")
	record(t, w, q)
	require.NoError(t, w.Edit("gap", func(j *board.Job) error { return j.SetGap(1, "nowhere", "wall", "1.4") }))
	solved(t, w, q)
	names := gapNames(w.state.Job)
	assert.Equal(t, "nowhere", names[len(names)-1], "shown all the same")
	p := w.panels[stepFit].(*fitPanel)
	require.NotEmpty(t, w.state.Model.Gaps.Why)
	assert.Equal(t, "Cut 1: nothing explained yet", p.headline())
	assert.False(t, p.cuts.causes.box.Visible())
	assert.False(t, p.cuts.act.Visible())
	w.putFoundRight()
	assert.Equal(t, "No gaps are explained yet.", w.status.text.Text)
	for _, tr := range w.troubles {
		if tr.field == fieldCuts {
			w.openStep(stepBoard)
			w.gotoTrouble(tr)
			assert.Equal(t, []int{stepFit, partCuts}, []int{w.step, p.open})
			return
		}
	}
	t.Error("it is said nowhere that nothing is explained")
}

func TestWhatIsSaidOfACutIsTyped(t *testing.T) {
	w, q := openDemo(t, "c")
	record(t, w, q)
	row := w.panels[stepFit].(*fitPanel).cuts.list.rows[0]
	fields := map[string]*field{}
	for i := 0; i+1 < len(row.form.box.Objects); i += 2 {
		name := row.form.box.Objects[i].(*widget.Label).Text
		fields[name] = fieldIn(row.form.box.Objects[i+1])
	}
	for name, text := range map[string]string{"Reason": "foam", "Date": "2031-01-02", "Clearance as cut": "1.6"} {
		require.NotNil(t, fields[name], name)
		fields[name].SetText(text)
		require.True(t, fields[name].commit())
	}
	cut := w.state.Job.LastCut()
	assert.Equal(t, []any{"foam", "2031-01-02", 1.6}, []any{cut.Reason, cut.Date, cut.Wall.MM})
	assert.Equal(t, []string{"Cut 1 · 2031-01-02", "Gaps missing · foam"}, []string{row.fold.word.Text, row.line.Text})
	fields["Clearance as cut"].SetText("1..6")
	fields["Clearance as cut"].commit()
	assert.NotEmpty(t, fields["Clearance as cut"].fault.Text)
	solved(t, w, q)
}

func TestCompareTwoCuts(t *testing.T) {
	w, q := openDemo(t, "a")
	record(t, w, q)
	p := w.panels[stepFit].(*fitPanel)
	b := p.cuts.compare
	b.fold.word.OnTapped()
	settled(t, w, q, func() bool { return b.found != nil })
	assert.InDelta(t, 0, b.found.Greatest, 0.01, "mm: nothing has changed")
	noteGaps(t, w, q, 4, lineOff)
	w.putRight("centre_offset", true)
	settled(t, w, q, func() bool { return b.found != nil && b.found.Greatest > 0.1 })
	assert.InDelta(t, 2, b.found.Greatest, 0.5, "mm: the made half moves by twice the error")
	assert.Contains(t, b.list.Text, "station")
	assert.Equal(t, fine(w.state.Job, b.found.Greatest), b.facts.values[0].Text)
	require.NotNil(t, p.cuts.drawn)
	assert.Contains(t, p.cuts.drawn.Now, "second outline")
	assert.Len(t, p.cuts.drawn.Bars, len(b.found.Stations))
	b.list.tapped(1)
	b.list.tapped(0)

	record(t, w, q)
	b.then.SetSelectedIndex(1)
	assert.Equal(t, []int{1, 2}, []int{b.a, b.b})
	settled(t, w, q, func() bool { return b.found != nil })
	w.deleteCut()
	assert.Equal(t, 0, b.b, "what is gone cannot be chosen")
	b.fold.word.OnTapped()
	solved(t, w, q)
	w.openFitPart(partPrediction)
	assert.Equal(t, "prediction", w.dump().Part)
}

func TestDumpTellsTheCuts(t *testing.T) {
	w, q := openDemo(t, "c")
	record(t, w, q)
	noteGaps(t, w, q, 5, func(r2.Vec, bool) float64 { return 1.9 })
	w.putFoundRight()
	solved(t, w, q)
	d := w.dump()
	require.Len(t, d.Cuts, 1)
	assert.Equal(t, []any{"cuts", 1, "first trial", []string{"found"}, "proved, wall gaps only"},
		[]any{d.Part, d.Cuts[0].Number, d.Cuts[0].Reason, d.Cuts[0].Accepted, d.Cuts[0].Verdict}, "all within half a millimetre")
	assert.Equal(t, "1.90 mm", d.Gaps[0].Wall)
	require.NotEmpty(t, d.Causes)
	for _, c := range d.Causes {
		if c.Name == "pencil_or_cutter" {
			assert.InDelta(t, 0.4, c.Value, 0.1, "mm")
			assert.True(t, c.Accepted)
			return
		}
	}
	t.Error(fmt.Sprint(d.Causes))
}

// fieldIn is the first field in an object.
func fieldIn(o fyne.CanvasObject) *field {
	switch o := o.(type) {
	case *field:
		return o
	case *fyne.Container:
		for _, c := range o.Objects {
			if f := fieldIn(c); f != nil {
				return f
			}
		}
	}
	return nil
}
