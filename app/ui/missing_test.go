package ui

import (
	"errors"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/desk"
	"panewright/app/ui/sheet"
	"panewright/board"
)

func TestBoardMissing(t *testing.T) {
	none := boardMissing([]trouble{{list: listEdge, text: "x"}, {list: -1, field: "centre", text: "y"}, {list: -1, field: "unit", remark: true}})
	assert.Equal(t, markDone, none.mark, "what belongs elsewhere is told there")
	one := boardMissing([]trouble{{list: -1, field: "thickness", text: "the thickness is missing"}})
	assert.Equal(t, stepState{markAttention, "The thickness is missing."}, one)
	two := boardMissing([]trouble{{list: -1, field: "a", text: "One."}, {list: -1, field: "b", text: "Two."}, {list: -1, field: "c", text: "Three."}})
	assert.Equal(t, "One. And 2 more.", two.text)
}

func TestReadingsMissing(t *testing.T) {
	some := desk.State{Job: board.NewJob("x")}
	some.Job.Readings = []board.Reading{{ID: "1"}, {ID: "2"}}
	suspect, other := trouble{list: listEdge, suspect: true}, trouble{list: listTapes, text: "taped width 2 has no length"}
	for _, tt := range []struct {
		name string
		ts   []trouble
		mark mark
		says string
	}{
		{"nothing wrong", nil, markOpen, "stations read: 2. Not worked out yet."},
		{"a remark only", []trouble{{list: listEdge, remark: true}}, markOpen, "stations read: 2"},
		{"gaps belong to the fit check", []trouble{{list: listGaps}}, markOpen, "stations read: 2"},
		{"one suspect", []trouble{suspect}, markAttention, "1 reading looks wrong; F8"},
		{"two", []trouble{suspect, suspect}, markAttention, "2 readings look wrong"},
		{"another", []trouble{other}, markAttention, "Taped width 2 has no length."},
		{"others", []trouble{other, other}, markAttention, "And 1 more."},
		{"both", []trouble{suspect, other, other}, markAttention, "readings that look wrong: 1; more to look at: 2."},
	} {
		m := readingsMissing(some, tt.ts)
		assert.Equal(t, tt.mark, m.mark, tt.name)
		assert.Contains(t, m.text, tt.says, tt.name)
	}
}

func TestMissingOfAnEmptyJob(t *testing.T) {
	w, q := open(t)
	solvedOrNot(t, w, q)
	want := [stepCount]stepState{
		{markDone, "nothing is missing."},
		{markOpen, "no station read yet; begin at the bottom centre and go round clockwise."},
		{markOpen, "not looked for yet; the outline comes first."},
		{markOpen, w.missing[stepShape].text},
		{markOpen, "the shape comes first."},
		{markOpen, "no files yet; the shape comes first."},
	}
	assert.Equal(t, want, w.missing)
	assert.NotEmpty(t, w.missing[stepShape].text)
}

// solvedOrNot waits until the solve has ended, whether it gave a shape or not.
func solvedOrNot(t *testing.T, w *Window, q *queue) {
	t.Helper()
	require.Eventually(t, func() bool { q.run(); return !w.state.Solving }, 60*wait, wait/100)
}

func TestMissingOfADemo(t *testing.T) {
	w, q := openDemo(t, "a")
	settleFit(t, w, q)
	assert.Equal(t, stepState{markAttention, "4 readings look wrong; F8 goes to the next."}, w.missing[stepReadings])
	assert.Equal(t, markDone, w.missing[stepCentre].mark)
	assert.Contains(t, w.missing[stepCentre].text, "found from the check stations, ± 0.00")
	assert.Contains(t, w.missing[stepShape].text, "typical miss 0.0")
	assert.Equal(t, stepState{markOpen, "no cut yet; cut the pocket in foam and record it with Ctrl+Shift+G."}, w.missing[stepFit])
	assert.Equal(t, stepState{markOpen, "no files written in this sitting; export with Ctrl+E."}, w.missing[stepHandover])

	w.goToStep(stepHandover)
	w.exported = &exportResult{job: w.state.Job, dir: "/pack"}
	w.refresh()
	assert.Equal(t, stepState{markDone, "files written into /pack"}, w.missing[stepHandover])
	assert.Equal(t, "Hand-over: files written into /pack", w.status.text.Text, "what was said of it is said anew")
	require.NoError(t, w.Edit("no thickness", func(j *board.Job) error { j.Pane.Thickness = board.Cell{}; return nil }))
	assert.Contains(t, w.missing[stepHandover].text, "the job has changed")
	assert.Equal(t, markAttention, w.missing[stepBoard].mark)
	solved(t, w, q)
	assert.Contains(t, w.missing[stepFit].text, "thickness of the glass is missing")
	w.undo()

	require.NoError(t, w.Edit("no mirror", func(j *board.Job) error { j.Mirror = board.MirrorNone; return nil }))
	assert.Contains(t, w.missing[stepCentre].text, "not needed")
	w.undo()
	w.useTyped(t, "3 mm")
	solved(t, w, q)
	assert.Equal(t, stepState{markDone, "as it was typed."}, w.missing[stepCentre])
}

// useTyped types the offset of the centre line.
func (w *Window) useTyped(t *testing.T, offset string) {
	t.Helper()
	require.NoError(t, w.Edit("typed", func(j *board.Job) error {
		p := w.typedPlane(j)
		p.Offset = j.Typed(offset)
		j.Plane = &p
		return nil
	}))
}

func TestMissingAfterACut(t *testing.T) {
	w, q := openDemo(t, "c")
	settleFit(t, w, q)
	record(t, w, q)
	settleFit(t, w, q)
	assert.Equal(t, stepState{markOpen, "cut 1 is recorded; lay the glass in and note the gaps."}, w.missing[stepFit])
}

func TestMissingWhereTheSolveFails(t *testing.T) {
	s := desk.State{Job: board.NewJob("x"), Err: errors.New("board: the stations cross over")}
	assert.Equal(t, stepState{markOpen, "The stations cross over."}, shapeMissing(s))
	s.Err, s.Model = nil, &board.Model{Why: "six stations are too few"}
	assert.Equal(t, "Six stations are too few.", shapeMissing(s).text)
	s.Model.Why = ""
	assert.Equal(t, "More readings are needed.", shapeMissing(s).text)
}

func TestStepsTellWhatIsMissing(t *testing.T) {
	w, q := openDemo(t, "a")
	tab := w.steps.buttons[stepReadings]
	tab.MouseIn(&desktop.MouseEvent{})
	assert.False(t, w.tips.layer.Visible(), "not while the pointer only passes")
	settled(t, w, q, w.tips.layer.Visible)
	assert.Equal(t, "Readings: 4 readings look wrong; F8 goes to the next.", w.tips.text.Text)
	back, text := w.tips.back, w.tips.text
	assert.Equal(t, back.Position(), text.Position())
	assert.GreaterOrEqual(t, back.Size().Height, text.MinSize().Height)
	require.NoError(t, w.Edit("strike", func(j *board.Job) error { return j.Strike(11, "misread") }))
	solved(t, w, q)
	assert.Contains(t, text.Text, "3 readings", "the tip in view follows")
	tab.MouseOut()
	assert.False(t, w.tips.layer.Visible())

	w.goToStep(stepHandover)
	assert.Contains(t, w.status.text.Text, "Hand-over: no files written", "opening a step says it too")
	last := w.steps.buttons[stepHandover]
	last.MouseIn(&desktop.MouseEvent{})
	tab.MouseIn(&desktop.MouseEvent{})
	last.MouseOut()
	settled(t, w, q, w.tips.layer.Visible)
	assert.Contains(t, text.Text, "Readings:", "the one left does not take away the next")
	tab.MouseOut()
}

func TestALineThatIsCutIsShownWhole(t *testing.T) {
	w, q := open(t)
	l := w.status.text
	w.say("short", sheet.Plain)
	l.MouseIn(&desktop.MouseEvent{})
	l.MouseMoved(&desktop.MouseEvent{})
	w.tips.show()
	assert.False(t, w.tips.layer.Visible(), "there is room for it")
	long := "a long sentence that goes on"
	for l.Resize(fyne.NewSize(300, 30)); len(long) < 300; {
		long += " and on"
	}
	w.say(long, sheet.Plain)
	w.tips.show()
	assert.True(t, w.tips.layer.Visible())
	assert.Equal(t, long, w.tips.text.Text)
	assert.LessOrEqual(t, w.tips.back.Position().Y+w.tips.back.Size().Height, w.win.Canvas().Size().Height, "above where there is no room below")
	l.MouseOut()
	assert.False(t, w.tips.layer.Visible())
	q.run()
}

func TestOverview(t *testing.T) {
	w, _ := openDemo(t, "a")
	w.keys("<F3>")
	require.NotNil(t, w.top())
	assert.Equal(t, "overview", w.top().name)
	w.keys("<Down><Down><Return>")
	assert.Nil(t, w.top())
	assert.Equal(t, stepShape, w.step, "two below the readings")
	assert.Same(t, w.lists.sheet(), w.win.Canvas().Focused(), "the keys are where they were")

	w.keys("<F3><End><Up><Up><Up><Up><Up><Up><Return>")
	assert.Equal(t, stepBoard, w.step)
	w.keys("<F3><End><Return>")
	assert.Equal(t, stepHandover, w.step)
	w.keys("<F3><Home><Return>")
	assert.Equal(t, stepBoard, w.step)
	w.keys("<F3><3>")
	assert.Equal(t, stepCentre, w.step, "a step's number goes there")
	w.keys("<F3><9><Escape>")
	assert.Nil(t, w.top())
	assert.Equal(t, stepCentre, w.step)
}

// TestEveryHeadHasATip goes over the heads of all lists with the pointer.
func TestEveryHeadHasATip(t *testing.T) {
	w, q := open(t)
	require.NoError(t, w.Edit("two layings", func(j *board.Job) error {
		for i := range 2 {
			r := board.Reading{ID: "1", Kind: board.Edge}
			if i > 0 {
				r.Set = "2"
			}
			j.Readings = append(j.Readings, r)
		}
		return nil
	}))
	for list, s := range w.lists.sheets {
		s.Resize(fyne.NewSize(352, 600))
		s.Reload()
		for col := range w.lists.models[list].Columns() {
			name, at, size := s.Head(col)
			tip := headTip(list, name)
			assert.NotEmpty(t, tip, "%s, %s", listKeys[list], name)
			s.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at.AddXY(size.Width/2, size.Height/2)}})
			w.tips.show()
			assert.Equal(t, tip, w.tips.text.Text)
		}
		s.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(40, 200)}})
		assert.False(t, w.tips.layer.Visible(), "gone over the rows")
		s.MouseIn(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(4, 4)}})
		s.MouseOut()
		assert.Nil(t, w.tips.over, "%s", listKeys[list])
	}
	assert.Empty(t, headTip(listEdge, "such"))
	q.run()
}

// TestButtonsAndListsHaveTips holds the tips against the buttons that there are.
func TestButtonsAndListsHaveTips(t *testing.T) {
	w, _ := openDemo(t, "a")
	found := map[string]bool{}
	for step, p := range w.panels {
		w.openStep(step)
		walk(p.content(), func(o fyne.CanvasObject) {
			if b, ok := o.(*button); ok && buttonTips()[b.Text] != "" {
				found[b.Text] = true
				b.MouseIn(&desktop.MouseEvent{})
				w.tips.show()
				assert.Equal(t, buttonTips()[b.Text], w.tips.text.Text)
				assert.True(t, w.tips.layer.Visible(), b.Text)
				b.MouseOut()
				assert.False(t, w.tips.layer.Visible())
			}
		})
	}
	for word := range buttonTips() {
		assert.True(t, found[word], "no button says %q", word)
	}
	for i, b := range w.lists.strip.buttons {
		b.MouseIn(&desktop.MouseEvent{})
		w.tips.show()
		assert.Contains(t, w.tips.text.Text, "Alt+"+string(rune('1'+i)))
		b.MouseOut()
	}
}
