package ui

import (
	"errors"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/desk"
	"panewright/board"
)

// queue stands in for the window's goroutine.
type queue struct {
	mu    sync.Mutex
	funcs []func()
}

func (q *queue) post(f func()) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.funcs = append(q.funcs, f)
}

// run does what was posted, and what that posts.
func (q *queue) run() {
	for {
		q.mu.Lock()
		if len(q.funcs) == 0 {
			q.mu.Unlock()
			return
		}
		f := q.funcs[0]
		q.funcs = q.funcs[1:]
		q.mu.Unlock()
		f()
	}
}

// open builds the window over an empty job in millimetres.
func open(t *testing.T) (*Window, *queue) {
	t.Helper()
	a := test.NewTempApp(t)
	q := &queue{}
	w := newWindow(a, q.post)
	t.Cleanup(func() { require.NoError(t, w.desk.Close()) })
	w.win.Resize(fyne.NewSize(1280, 800))
	w.win.Show()
	w.lists.focus()
	return w, q
}

// wait is the unit of the limits on waiting for work in the background.
const wait = time.Second

// solved waits until the model belongs to the job.
func solved(t *testing.T, w *Window, q *queue) {
	t.Helper()
	require.Eventually(t, func() bool {
		q.run()
		return !w.state.Solving
	}, 60*wait, wait/100)
	require.NoError(t, w.state.Err)
}

// keys types into whatever has the focus; «Return» is a key.
func (w *Window) keys(text string) {
	f := w.win.Canvas().Focused()
	for len(text) > 0 {
		if text[0] == '<' {
			end := 1
			for text[end] != '>' {
				end++
			}
			f.TypedKey(&fyne.KeyEvent{Name: fyne.KeyName(text[1:end])})
			text = text[end+1:]
			f = w.win.Canvas().Focused()
			continue
		}
		f.TypedRune(rune(text[0]))
		text = text[1:]
	}
}

// demo lays a demo job on the desk and solves it.
func openDemo(t *testing.T, letter string) (*Window, *queue) {
	t.Helper()
	w, q := open(t)
	require.NoError(t, w.openDemo(letter))
	solved(t, w, q)
	return w, q
}

func TestTypedRowsBecomeReadings(t *testing.T) {
	w, _ := open(t)
	w.keys("10<Return>20<Return>30<Return>40.5<Return>-5<Return>1/2 in<Return>")
	rs := w.state.Job.Readings
	require.Len(t, rs, 2)
	assert.Equal(t, []string{"1", "10", "20", "30"}, []string{rs[0].ID, rs[0].X.Text, rs[0].Y.Text, rs[0].Z.Text})
	assert.Equal(t, []string{"2", "40.5", "-5", "1/2 in"}, []string{rs[1].ID, rs[1].X.Text, rs[1].Y.Text, rs[1].Z.Text})
	assert.InDelta(t, 12.7, rs[1].Z.MM, 1e-9)
	assert.Equal(t, "Station 2 z", w.state.Undo)
	w.undo()
	assert.False(t, w.state.Job.Readings[1].Z.Set)
	assert.Equal(t, "Station 2 z", w.state.Redo)
	w.redo()
	assert.True(t, w.state.Job.Readings[1].Z.Set)
}

func TestTextThatIsNotUnderstoodIsKept(t *testing.T) {
	w, _ := open(t)
	w.keys("12..5<Return><Left>")
	r := w.state.Job.Readings[0]
	assert.Equal(t, "12..5", r.X.Text)
	assert.NotEmpty(t, r.X.Fault)
	assert.Equal(t, capital(r.X.Fault), w.status.text.Text, "the reason stands in the status line")
	assert.Nil(t, w.top(), "and no dialog comes up")
}

func TestEchoInBothUnits(t *testing.T) {
	w, _ := open(t)
	w.keys("314")
	assert.Contains(t, w.status.text.Text, "314 mm")
	assert.Contains(t, w.status.text.Text, "in")
}

func TestUnitStaysWithWhatWasTyped(t *testing.T) {
	w, _ := open(t)
	w.keys("314<Return>")
	require.NoError(t, w.Edit("unit", func(j *board.Job) error { j.Unit = board.Inch; return nil }))
	assert.Equal(t, "314 mm", w.lists.models[listEdge].Cell(0, 1).Text)
	assert.InDelta(t, 314, w.state.Job.Readings[0].X.MM, 1e-9)
}

func TestListsOfOthersAndTapes(t *testing.T) {
	w, _ := open(t)
	w.openList(listOthers)
	w.keys("0<Return>50<Return>20<Return>3<Return>90<Return>21<Return>")
	others := w.lists.models[listOthers]
	require.Equal(t, 2, others.Rows())
	assert.Equal(t, "centre", others.Cell(0, 1).Text)
	require.NoError(t, others.Set(1, 1, "m"))
	assert.Equal(t, board.Mark, w.state.Job.Readings[1].Kind)
	assert.Error(t, others.Set(1, 1, "hole"))
	require.NoError(t, others.Set(0, 5, "2"))
	assert.InDelta(t, 2, w.state.Job.Readings[0].SD.MM, 1e-9)

	w.openList(listTapes)
	w.keys("12<Return>1206.5<Return>13<Return>1190<Return>")
	require.Len(t, w.state.Job.Tapes, 2)
	assert.Equal(t, "13", w.state.Job.Tapes[1].From)
	assert.InDelta(t, 1190, w.state.Job.Tapes[1].Length.MM, 1e-9)
	tapes := w.lists.models[listTapes]
	require.NoError(t, tapes.Set(1, tapeTo, "20"))
	assert.Equal(t, board.Straight, w.state.Job.Tapes[1].How)
	require.NoError(t, tapes.Set(0, tapeHow, "gre"))
	assert.Equal(t, board.Greatest, w.state.Job.Tapes[0].How)
	assert.Error(t, tapes.Set(0, tapeHow, "about"))
}

func TestStrikeDeleteInsert(t *testing.T) {
	w, _ := open(t)
	w.keys("1<Return>2<Return>3<Return>4<Return>5<Return>6<Return>")
	w.lists.sheet().Goto(1, 1)
	w.strikeSelected()
	require.NotNil(t, w.top())
	w.keys("<Return>")
	assert.Nil(t, w.top())
	assert.True(t, w.state.Job.Readings[1].Struck)
	assert.Equal(t, "misread", w.state.Job.Readings[1].Reason)
	assert.True(t, w.lists.models[listEdge].Cell(1, 1).Struck)
	w.strikeSelected()
	assert.False(t, w.state.Job.Readings[1].Struck, "a second time takes it into use again")

	w.insertRow()
	require.Len(t, w.state.Job.Readings, 3)
	assert.Empty(t, w.state.Job.Readings[1].X.Text)
	w.deleteSelected()
	require.Len(t, w.state.Job.Readings, 2)
	assert.Equal(t, "4", w.state.Job.Readings[1].X.Text)
	assert.Equal(t, "Delete reading 3", w.state.Undo)
}

func TestEscapeAndEnterInDialogs(t *testing.T) {
	w, _ := open(t)
	w.keys("1<Return>2<Return>3<Return>")
	w.lists.sheet().Goto(0, 1)
	w.strikeSelected()
	w.keys("<Escape><Escape>")
	assert.Nil(t, w.top())
	assert.False(t, w.state.Job.Readings[0].Struck, "Escape strikes nothing")
	for name, show := range map[string]func(){"help": w.help, "cautions": w.cautions, "about": w.about, "export": w.export} {
		show()
		require.NotNil(t, w.top(), name)
		w.keys("<Escape>")
		assert.Nil(t, w.top(), "%s closes with Escape", name)
	}
	w.help()
	w.keys("<Return>")
	assert.Nil(t, w.top(), "Enter closes help")
}

func TestClosingAsksAboutUnsavedEdits(t *testing.T) {
	w, q := open(t)
	w.keys("1<Return>")
	w.quit()
	require.NotNil(t, w.top())
	assert.Equal(t, "unsaved", w.top().name)
	w.keys("<Escape>")
	assert.Nil(t, w.top(), "Escape keeps the job open")
	assert.Len(t, w.state.Job.Readings, 1)

	w.quit()
	w.keys("<Return>")
	q.run()
	require.NotNil(t, w.top())
	assert.Equal(t, "save as", w.top().name, "a job without a file asks where")
	path := filepath.Join(t.TempDir(), "a")
	w.top().entry.SetText(path)
	w.keys("<Return>")
	j, _, err := board.Load(path + ".pane")
	require.NoError(t, err)
	assert.Len(t, j.Readings, 1)
}

func TestSaveAsAsksBeforeWritingOver(t *testing.T) {
	w, _ := open(t)
	path := filepath.Join(t.TempDir(), "a.pane")
	require.NoError(t, board.Save(path, board.NewJob("there before")))
	w.keys("1<Return>")
	w.saveAs()
	w.top().entry.SetText(path)
	w.keys("<Return>")
	require.NotNil(t, w.top(), "it asks first")
	j, _, err := board.Load(path)
	require.NoError(t, err)
	assert.Equal(t, "there before", j.Name)
	w.keys("<Return>")
	assert.Nil(t, w.top())
	assert.True(t, w.state.Saved)
	assert.Equal(t, path, w.state.Path)
	assert.Contains(t, w.win.Title(), "a.pane")
	assert.Contains(t, w.win.Title(), "panewright")
	assert.Equal(t, 0, w.board.Selected(), "still marked in the picture")
}

func TestAnotherJobHasItsOwnReadingMarked(t *testing.T) {
	w, _ := openDemo(t, "a")
	w.lists.gotoReading(8, fieldX)
	assert.Equal(t, 8, w.board.Selected())
	require.NoError(t, w.openDemo("b"))
	assert.Equal(t, w.lists.current(), w.board.Selected())
	assert.Equal(t, 0, w.board.Selected())
}

func TestOpenSaysWhatWasBroughtBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	w, _ := open(t)
	require.NoError(t, w.openPath(path))
	w.keys("1<Return>2<Return>")
	require.NoError(t, w.desk.Close()) // as a kill leaves it: the journal is there, no file

	w, _ = open(t)
	require.NoError(t, w.openPath(path))
	require.NotNil(t, w.top())
	assert.Equal(t, "recovered", w.top().name)
	w.keys("<Return>")
	assert.Nil(t, w.top())
	require.Len(t, w.state.Job.Readings, 1)
	assert.Equal(t, "2", w.state.Job.Readings[0].Y.Text)
	assert.False(t, w.state.Saved)
}

func TestBoardPanelSetsTheJob(t *testing.T) {
	w, _ := open(t)
	w.openStep(stepBoard)
	p := w.panels[stepBoard].(*boardPanel)
	w.win.Canvas().Focus(p.name)
	p.name.SetText("Quarter window")
	w.keys("<Return>")
	assert.Equal(t, "Quarter window", w.state.Job.Name)
	assert.Equal(t, "Quarter window", w.name.Text)
	assert.Contains(t, p.head.Text, "4 mm glass")
	require.NoError(t, w.Edit("thickness", func(j *board.Job) error { j.Pane.Thickness = board.Cell{}; return nil }))
	assert.Equal(t, "Thickness not known", p.head.Text)
	assert.Equal(t, markAttention, w.steps.marks[stepBoard])
}

func TestFieldGoesBackOnEscape(t *testing.T) {
	w, _ := open(t)
	w.openStep(stepBoard)
	p := w.panels[stepBoard].(*boardPanel)
	w.win.Canvas().Focus(p.name)
	before := p.name.Text
	p.name.SetText("typed over")
	w.keys("<Escape>")
	assert.Equal(t, before, p.name.Text)
	assert.Equal(t, before, w.state.Job.Name)
}

func TestKeysOfTheWholeWindow(t *testing.T) {
	w, _ := openDemo(t, "a")
	w.keys("<F1>")
	require.NotNil(t, w.top())
	assert.Equal(t, "help", w.top().name)
	w.keys("<Escape><F8>")
	assert.Nil(t, w.top())
	_, suspect := w.lists.reading()
	assert.True(t, suspect)
	assert.Equal(t, stepReadings, w.step)
	p := w.panels[stepBoard].(*boardPanel)
	w.openStep(stepBoard)
	w.win.Canvas().Focus(p.name)
	w.keys("<F8>")
	assert.Equal(t, stepReadings, w.step, "F8 works from a field too")
}

func TestNoteOfTheReadingUnderTheCursor(t *testing.T) {
	w, _ := open(t)
	w.keys("1<Return>2<Return>3<Return>4<Return>5<Return>6<Return>")
	w.lists.sheet().Goto(0, 1)
	p := w.panels[stepReadings].(*readingsPanel)
	w.win.Canvas().Focus(p.note)
	w.keys("chip here")
	w.lists.focus() // leaving commits
	assert.Equal(t, "chip here", w.state.Job.Readings[0].Note)
	w.lists.sheet().Goto(1, 1)
	assert.Empty(t, p.note.Text, "the next reading has its own")
	w.lists.sheet().Goto(0, 0)
	assert.Equal(t, "chip here", p.note.Text)
	assert.Equal(t, "chip here", w.status.text.Text)
	assert.Equal(t, "Note of Station 1", w.state.Undo)
}

func TestMenuNamesTheSteps(t *testing.T) {
	w, q := open(t)
	assert.True(t, w.menu.undo.Disabled)
	w.keys("1<Return>2<Return>")
	assert.Equal(t, "Undo: Station 1 y", w.menu.undo.Label)
	assert.False(t, w.menu.undo.Disabled)
	w.undo()
	assert.Equal(t, "Redo: Station 1 y", w.menu.redo.Label)
	require.Eventually(t, func() bool { q.run(); return !w.menu.stale }, 5*wait, wait/50, "the menu on screen follows")
}

func TestProgressAloneRedrawsNothing(t *testing.T) {
	j, m := board.NewJob("x"), &board.Model{}
	a := desk.State{Job: j, Model: m, Solving: true, Stage: "outline", Done: 0.2}
	b := a
	b.Stage, b.Done = "face", 0.6
	assert.True(t, onlyProgress(a, b))
	for name, change := range map[string]func(*desk.State){
		"another job":   func(s *desk.State) { s.Job = board.NewJob("y") },
		"another model": func(s *desk.State) { s.Model = &board.Model{} },
		"done":          func(s *desk.State) { s.Solving = false },
		"failed":        func(s *desk.State) { s.Err = errors.New("x") },
		"saved":         func(s *desk.State) { s.Saved = true },
		"at risk":       func(s *desk.State) { s.Risk = "x" },
		"a file":        func(s *desk.State) { s.Path = "x" },
	} {
		c := b
		change(&c)
		assert.False(t, onlyProgress(a, c), name)
		assert.False(t, onlyProgress(c, a), name)
	}
	w, _ := openDemo(t, "a")
	missing := w.missing
	s := w.state
	s.Solving = true
	w.watch(s)
	w.missing = [stepCount]stepState{}
	s.Done = 0.5
	w.watch(s)
	assert.Equal(t, [stepCount]stepState{}, w.missing, "not worked out again")
	assert.Equal(t, "working…", w.status.solve.Text)
	s.Solving = false
	w.watch(s)
	assert.Equal(t, missing, w.missing)
}
