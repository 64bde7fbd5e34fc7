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

// tooWide are gaps of 0.8 mm more than the usual clearance, all round.
func tooWide(r2.Vec, bool) float64 { return 2.3 }

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

func TestACutIsNotRecordedOfAnOlderJob(t *testing.T) {
	w, q := openDemo(t, "c")
	w.recordCut()
	r := w.top()
	require.NotNil(t, r)
	require.NoError(t, w.Edit("a note", func(j *board.Job) error { j.Name = "another"; return nil }))
	w.keys("<Return>")
	settled(t, w, q, func() bool { return r.buttons[0].Disabled() == false })
	assert.Same(t, r, w.top(), "the question stays with the reason")
	assert.Empty(t, w.state.Job.Cuts)
	w.keys("<Escape>")
	assert.Nil(t, w.top())
}

func TestCautionsBeforeACutIsRecorded(t *testing.T) {
	w, q := openDemo(t, "c")
	assert.Len(t, cutCautions(w, w.state), 1, "nothing was handed over")
	w.exported = &exportResult{job: w.state.Job}
	assert.Empty(t, cutCautions(w, w.state))
	record(t, w, q)
	noteGaps(t, w, q, 4, tooWide)
	w.exported = &exportResult{job: w.state.Job}
	require.Len(t, cutCautions(w, w.state), 1)
	assert.Contains(t, cutCautions(w, w.state)[0], "Nothing of what explains the gaps of cut 1 is put right")
	assert.Equal(t, "Record this as cut 2", recordTitle(w.state))
	assert.Empty(t, cutReason(w.state))
	w.putFoundRight()
	solved(t, w, q)
	w.exported = &exportResult{job: w.state.Job}
	assert.Empty(t, cutCautions(w, w.state))
	assert.Equal(t, "Make cut 2", recordTitle(w.state))
	assert.True(t, strings.HasPrefix(cutReason(w.state), "put right: all round"))
	w.putFoundRight()
	solved(t, w, q)
	assert.Empty(t, w.state.Job.LastCut().Accepted, "once more: nothing")
	assert.Equal(t, "Put nothing right", w.state.Undo)
}

func TestGapBars(t *testing.T) {
	w, q := openDemo(t, "c")
	record(t, w, q)
	noteGaps(t, w, q, 4, tooWide)
	cut := w.state.Job.LastCut()
	b := gapBars(w.state.Model)
	assert.Equal(t, []string{"wall gap of cut 1, less the clearance", "to expect in cut 2"}, []string{b.Now, b.Next})
	require.Len(t, b.Bars, len(w.state.Job.GapsOf(1)))
	for _, bar := range b.Bars {
		at, _, ok := cut.Shape.OnBoard(bar.ID)
		assert.True(t, ok)
		assert.Equal(t, at, bar.At)
		assert.InDelta(t, 0.8, bar.Now, 0.006, "mm, at %s: as it was typed", bar.ID)
		assert.True(t, bar.HasNow && bar.HasNext)
		assert.Contains(t, bar.Text, "to expect next")
	}
	for text, want := range map[string]float64{"tight": 0, "1.2": 1.2, "0.6..0.8": 0.7, "0.6..": 0.6, "..0.8": 0.8} {
		c := board.NewJob("x").ReadGap(text)
		got, ok := middleGap(&c)
		assert.True(t, ok)
		assert.InDelta(t, want, got, 1e-9, text)
	}
	_, ok := middleGap(&board.GapCell{})
	assert.False(t, ok)
}

func TestPictureBelongsToTheOpenPart(t *testing.T) {
	w, q := openDemo(t, "c")
	record(t, w, q)
	noteGaps(t, w, q, 4, tooWide)
	p := w.panels[stepFit].(*fitPanel).cuts
	first := p.bars(w.state)
	require.NotNil(t, first)
	assert.Same(t, first, p.bars(w.state), "made once for a model")
	p.compare.fold.word.OnTapped()
	assert.Nil(t, p.bars(w.state), "nothing until the two are laid over one another")
	settled(t, w, q, func() bool { return p.compare.found != nil })
	assert.Contains(t, p.bars(w.state).Now, "second outline")
	p.compare.fold.word.OnTapped()
	assert.Contains(t, p.bars(w.state).Now, "wall gap of cut 1")
	w.deleteCut()
	solved(t, w, q)
	assert.Nil(t, p.bars(w.state))
}

func TestPredictionPartSaysWhyThereIsNone(t *testing.T) {
	w, q := open(t)
	solved(t, w, q)
	w.openFitPart(partPrediction)
	p := w.panels[stepFit].(*fitPanel)
	assert.Equal(t, "No pocket yet", p.headline())
	assert.True(t, p.prediction.say.Visible())
	w.openFitPart(partPocket)
	assert.Equal(t, "No pocket yet", p.headline())
	w.openFitPart(partCuts)
	assert.Equal(t, "No cut is recorded yet", p.headline())
	assert.Equal(t, markNone, p.words.marks[partCuts])
}
