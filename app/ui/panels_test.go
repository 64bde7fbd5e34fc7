package ui

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/desk"
	"panewright/app/ui/sheet"
	"panewright/board"
)

func TestNextSuspectGoesRound(t *testing.T) {
	w, _ := openDemo(t, "a")
	var suspects []int
	for _, tr := range w.troubles {
		if tr.suspect {
			suspects = append(suspects, tr.reading)
		}
	}
	require.NotEmpty(t, suspects, "the demo has planted slips")
	assert.Equal(t, markAttention, w.steps.marks[stepReadings])
	seen := map[int]bool{}
	for range suspects {
		w.nextSuspect()
		i, ok := w.lists.reading()
		require.True(t, ok)
		seen[i] = true
		assert.Equal(t, sheet.Suspicious, w.status.tint)
	}
	for _, i := range suspects {
		assert.True(t, seen[i], "reading %d is visited", i)
	}
	w.nextSuspect()
	i, _ := w.lists.reading()
	assert.True(t, seen[i], "and round again")
}

func TestSuspectsAreTintedWithTheirReason(t *testing.T) {
	w, _ := openDemo(t, "a")
	for _, tr := range w.troubles {
		if !tr.suspect {
			continue
		}
		c := w.lists.models[tr.list].Cell(tr.row, 1)
		assert.Equal(t, sheet.Suspicious, c.Tint, tr.text)
		assert.NotEmpty(t, c.Note, tr.text)
	}
}

func TestStruckSuspectIsNoTrouble(t *testing.T) {
	w, q := openDemo(t, "a")
	w.nextSuspect()
	i, _ := w.lists.reading()
	w.strikeSelected()
	require.NotNil(t, w.top())
	reason := w.top().entry.Text
	assert.NotEmpty(t, reason, "the solve's reason is offered")
	w.keys("<Return>")
	solved(t, w, q)
	assert.True(t, w.state.Job.Readings[i].Struck)
	assert.Equal(t, reason, w.state.Job.Readings[i].Reason)
	for _, tr := range w.troubles {
		assert.False(t, tr.suspect && tr.reading == i)
	}
}

func TestCentrePanelNudgesAndGoesBack(t *testing.T) {
	w, q := openDemo(t, "b")
	w.openStep(stepCentre)
	p := w.panels[stepCentre].(*centrePanel)
	found := w.state.Model.Used
	require.NotNil(t, found)
	assert.Contains(t, p.head.Text, fine(w.state.Job, math.Abs(found.Offset)))
	assert.Contains(t, p.head.Text, "±")
	assert.True(t, p.keep.Visible())
	assert.False(t, p.use.Visible())

	w.nudge(1, 0, 0)
	solved(t, w, q)
	require.NotNil(t, w.state.Job.Plane)
	assert.InDelta(t, found.Offset+1, w.state.Model.Used.Offset, 0.01, "mm")
	assert.InDelta(t, found.Skew, w.state.Model.Used.Skew, 0.001, "degrees")
	assert.Contains(t, p.head.Text, "right of where the readings put it")
	assert.True(t, p.use.Visible())

	w.nudge(0, 0.1, 0)
	w.nudge(9, 0, 0)
	solved(t, w, q)
	assert.True(t, p.apart.Visible(), "far from what was found: %s", p.head.Text)
	assert.Contains(t, p.apart.Text, "less than 1 chance")

	w.useFound()
	solved(t, w, q)
	assert.Nil(t, w.state.Job.Plane)
	assert.InDelta(t, found.Offset, w.state.Model.Used.Offset, 1e-9)
	assert.False(t, p.apart.Visible())
}

func TestHoldingTheCentreLineTypesIt(t *testing.T) {
	w, q := openDemo(t, "b")
	found := w.state.Model.Used
	w.holdCentre()
	solved(t, w, q)
	require.NotNil(t, w.state.Job.Plane)
	assert.InDelta(t, found.Offset, w.state.Job.Plane.Offset.MM, 0.005, "mm, as typed")
	assert.InDelta(t, found.Skew, w.state.Job.Plane.Skew.MM, 0.0005, "degrees, as typed")
	assert.Equal(t, "Hold the centre line", w.state.Undo)
}

func TestPaneWithoutMirrorHasNoCentreLine(t *testing.T) {
	w, _ := openDemo(t, "c")
	w.openStep(stepCentre)
	p := w.panels[stepCentre].(*centrePanel)
	assert.Equal(t, "No mirror", p.head.Text)
	assert.False(t, p.hand.box.Visible())
	w.nudge(1, 0, 0)
	assert.Nil(t, w.state.Job.Plane)
	assert.Equal(t, sheet.Wrong, w.status.tint)
}

func TestShapePanelShowsTheFigures(t *testing.T) {
	w, _ := openDemo(t, "b")
	w.openStep(stepShape)
	p := w.panels[stepShape].(*shapePanel)
	f := w.state.Model.Figures
	assert.Equal(t, length(w.state.Job, f.Width)+" by "+length(w.state.Job, f.Length), p.head.Text)
	for _, v := range p.sizes.values {
		assert.NotEqual(t, "–", v.Text)
	}
	for i, u := range []float64{f.WidthU, f.LengthU, f.GirthU, f.LeastRadiusU} {
		require.Positive(t, u)
		assert.Contains(t, p.sizes.values[i].Text, " ± "+number(w.state.Job, 2*u, 1)+" mm", "twice the standard uncertainty")
	}
	assert.Contains(t, p.face.values[0].Text, "±")
	assert.Equal(t, fine(w.state.Job, f.LargestMiss), p.fit.values[1].Text)
	assert.Equal(t, "Readings scatter "+number(w.state.Job, f.SigmaFound, 2)+", expected 0.50 mm.", p.scatter.Text)
	require.Positive(t, w.state.Model.Lopsided, "the demo is wider at one corner")
	assert.True(t, p.lop.Visible())
	assert.Contains(t, p.lop.Text, fine(w.state.Job, w.state.Model.LopsidedMost))
}

func TestFitPanelTriesThePocket(t *testing.T) {
	w, q := openDemo(t, "b")
	w.openStep(stepFit)
	p := w.panels[stepFit].(*fitPanel)
	settle := func() {
		require.Eventually(t, func() bool {
			q.run()
			return !w.state.Solving && !p.trial.running && p.trial.of == w.state.Model
		}, 60*wait, wait/10)
	}
	settle()
	require.NoError(t, p.trial.err)
	assert.True(t, strings.HasPrefix(p.headline(), "Predicted: drops in with"), "%s", p.headline())
	w.openFitPart(partPocket)
	assert.Contains(t, p.headline(), "The pocket can be made")
	assert.Equal(t, markOpen, w.steps.marks[stepFit])
	assert.NotEqual(t, "–", p.pocket.facts.values[0].Text)

	require.NoError(t, w.Edit("seat", func(j *board.Job) error { j.Pocket.Seat = 500; return nil }))
	settle()
	require.Error(t, p.trial.err)
	assert.Equal(t, "No pocket", p.headline())
	assert.NotEmpty(t, p.pocket.say.Text)
	assert.Equal(t, markAttention, w.steps.marks[stepFit])
}

func TestExportWritesAndLists(t *testing.T) {
	w, q := openDemo(t, "c")
	dir := t.TempDir()
	exportTo(t, w, q, dir)
	require.Eventually(t, func() bool { q.run(); return w.exported != nil }, 90*wait, wait/10)
	assert.Contains(t, w.exported.files, "summary.json")
	assert.Equal(t, dir, w.exported.dir)
	w.keys("<Return>")
	assert.Nil(t, w.top(), "Enter closes the list")
	w.openStep(stepHandover)
	p := w.panels[stepHandover].(*handoverPanel)
	assert.Equal(t, "Handed over", p.head.Text)
	assert.Contains(t, p.files.Text, "summary.json")
	require.NoError(t, w.Edit("note", func(j *board.Job) error { j.Notes = "x"; return nil }))
	solved(t, w, q)
	assert.Equal(t, "Changed since the last export", p.head.Text)
}

func TestEveryStepOpensWithEveryDemo(t *testing.T) {
	for _, letter := range []string{"a", "b", "c"} {
		w, q := openDemo(t, letter)
		for step := range stepCount {
			w.openStep(step)
			q.run()
			assert.NotEmpty(t, w.headline(), "%s, %s", letter, stepKeys[step])
			assert.NotContains(t, w.headline(), "{{", "%s, %s", letter, stepKeys[step])
		}
		w.setSolid(true)
		w.setSolid(false)
	}
}

func TestTroublesAreInTheOrderOfTheLists(t *testing.T) {
	j := board.NewJob("x")
	j.Readings = []board.Reading{
		{ID: "F1", Kind: board.Face}, {ID: "1", Kind: board.Edge}, {ID: "2", Kind: board.Edge}, {ID: "C1", Kind: board.Centre},
	}
	m := &board.Model{Job: j, Results: make([]board.Result, len(j.Readings))}
	m.Results[2] = board.Result{State: board.Suspect, Reason: "is off"}
	s := desk.State{Job: j, Model: m, Findings: []board.Finding{
		{List: "job", Field: "thickness", Text: "thickness"},
		{List: "face", Row: 1, Field: "z", Text: "no height"},
		{List: "centre", Row: 1, Field: "x", Text: "far"},
		{List: "edge", Row: 2, Field: "x", Text: "2 is off", Code: codeSuspect},
		{List: "edge", Row: 1, Field: "x", Text: "a repeat", Remark: true},
		{List: "edge", Text: "too few"},
		{List: "tapes", Row: 3, Text: "no length"},
	}}
	ts := troubles(s)
	var texts []string
	for _, tr := range ts {
		texts = append(texts, tr.text)
	}
	assert.Equal(t, []string{"too few", "Station 2: is off Read it again, or strike it.", "Face point F1: no height", "Centre mark C1: far",
		"Taped width 3: no length", "thickness", "Station 1: a repeat"}, texts)
	assert.Equal(t, [listCount]bool{true, true, true, true, false}, attention(ts))
	next, ok := nextTrouble(ts, listTapes, 9)
	assert.True(t, ok)
	assert.True(t, next.suspect, "suspects before all others")
	assert.Equal(t, 2, next.reading)
}

func TestWords(t *testing.T) {
	mm, in := board.NewJob("a"), board.NewJob("b")
	in.Unit = board.Inch
	comma := board.NewJob("c")
	comma.Comma = true
	for _, c := range []struct{ got, want string }{
		{fine(mm, 1.234), "1.23 mm"},
		{fine(comma, 1.234), "1,23 mm"},
		{fine(in, 25.4), "1.000 in"},
		{signedFine(mm, -0.001), "+0.00 mm"},
		{fineBare(in, 25.4), "1.000"},
		{unsure(mm, 1184.8, 0.41), "1184.8 ± 0.8 mm"},
		{unsure(mm, 79.53, 0.02), "79.53 ± 0.04 mm"},
		{unsure(comma, 1.5, 0.5), "1,5 ± 1,0 mm"},
		{unsure(in, 254, 0.254), "10.000 ± 0.020 in"},
		{unsure(in, 254, 0.00254), "10.0000 ± 0.0002 in"},
		{unsure(mm, 12.34, 0), "12.3 mm"},
		{unsureArea(mm, 1.1e6, 200), "1.1000 ± 0.0004 m²"},
		{unsureArea(in, 25.4*25.4*10, 25.4*25.4), "10.0 ± 2.0 in²"},
		{typedLength(in, 25.4), "1"},
		{typedLength(mm, 12.50), "12.5"},
		{sizeText(in, 25.4*3/8), "3/8"},
		{sizeText(in, 1.5), "0.0591"},
		{area(mm, 1.1e6), "1.100 m²"},
		{mass(in, 5.5), "5.50 kg · 12.1 lb"},
		{number(mm, math.NaN(), 2), "–"},
		{fileName(`rear/screen: "A"`), "rear-screen- -A-"},
		{fileName("  "), "job"},
	} {
		assert.Equal(t, c.want, c.got)
	}
}
