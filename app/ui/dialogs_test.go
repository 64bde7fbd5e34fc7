package ui

import (
	"fmt"
	"image"
	"os"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/ui/paint"
	"panewright/board"
)

// dialogs are all dialogs that a person can bring up without a file.
func dialogs(w *Window) map[string]func() {
	d := map[string]func(){
		"overview": w.showOverview, "preferences": w.showSettings, "history": w.showHistory, "cautions": w.cautions, "about": w.about,
		"export": w.export, "open": w.askOpen, "save as": w.saveAs, "laying": w.askLaying, "record cut": w.recordCut, "other hand": w.otherHand,
		"strike":    func() { w.lists.gotoCell(listEdge, 11, 1); w.strikeSelected() },
		"ticks":     func() { w.askTicks(cutTicks(w.state), func() {}) },
		"at risk":   func() { w.atRisk("The disk is full; what is typed stays in this window.") },
		"unsaved":   func() { w.leaving(func() {}) },
		"not saved": func() { w.notSaved(fmt.Errorf("the disk is full"), nil) },
		"changed":   func() { w.notSaved(fmt.Errorf("x: %w", board.ErrChanged), nil) },
		"find":      w.askFind, "table": w.askColumns, "photo": w.askPhoto,
		"crossings": func() {
			newCrossings(w, "board.jpg", pixels{paint.NewPicture(image.NewRGBA(image.Rect(0, 0, 400, 300))), image.Pt(400, 300)})
		},
		"columns": func() { w.lookAtPasted("no\tx\ty\tz\n1\t10\t20\t30\n2\t11\t21\tabout 31\n") },
	}
	for page := range stepCount + 1 {
		d[fmt.Sprintf("help %d", page)] = func() { w.showHelp(page) }
	}
	return d
}

// dialogJob is a job that every dialog has something to say of.
func dialogJob(t *testing.T) (*Window, *queue) {
	t.Helper()
	w, q := openDemo(t, "a")
	settleFit(t, w, q)
	require.NoError(t, w.Edit("Note it", func(j *board.Job) error { j.Notes = "chip at the top"; return nil }))
	settleFit(t, w, q)
	return w, q
}

// bring brings a dialog up; asking to open or to leave asks about edits first.
func bring(t *testing.T, w *Window, name string, show func()) *modal {
	t.Helper()
	show()
	require.NotNil(t, w.top(), name)
	return w.top()
}

// TestEveryDialogClosesWithEscape and gives the keys back to where they were.
func TestEveryDialogClosesWithEscape(t *testing.T) {
	w, q := dialogJob(t)
	for name, show := range dialogs(w) {
		bring(t, w, name, show)
		require.NotNil(t, w.win.Canvas().Focused(), "%s has the keys", name)
		w.keys("<Escape>")
		assert.True(t, w.top() == nil, "%s closes with Escape", name)
		q.run()
		assert.True(t, w.top() == nil, name)
		assert.True(t, w.lists.sheet() == w.win.Canvas().Focused(), "%s: the keys are where they were", name)
	}
}

// TestEscapeFromWhereverTheFocusIs goes through every dialog by Tab: each place has
// Escape close it.
func TestEscapeFromWhereverTheFocusIs(t *testing.T) {
	w, q := dialogJob(t)
	c := w.win.Canvas()
	for name, show := range dialogs(w) {
		for steps := 1; ; steps++ {
			bring(t, w, name, show)
			first := c.Focused()
			for range steps {
				c.FocusNext()
			}
			at := c.Focused()
			require.NotNil(t, at, "%s, %d on", name, steps)
			at.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
			require.True(t, w.top() == nil, "%s, %d on: Escape in %T", name, steps, at)
			q.run()
			if at == first || steps > 40 || fmt.Sprintf("%T", at) == fmt.Sprintf("%T", first) && steps > 12 {
				break
			}
		}
	}
}

// TestDialogsAnswerEnter presses Enter where a dialog begins.
func TestDialogsAnswerEnter(t *testing.T) {
	w, q := dialogJob(t)
	for _, name := range []string{"cautions", "about", "help 0", "help 6", "overview", "preferences", "history"} {
		bring(t, w, name, dialogs(w)[name])
		if name == "preferences" {
			w.win.Canvas().Focus(w.top().keys)
		}
		w.keys("<Return>")
		assert.True(t, w.top() == nil, "%s closes with Enter", name)
		assert.True(t, w.lists.sheet() == w.win.Canvas().Focused(), name)
	}
	for _, name := range []string{"strike", "laying"} {
		settleFit(t, w, q)
		before := w.state.Job
		bring(t, w, name, dialogs(w)[name])
		w.keys("<Return>")
		assert.True(t, w.top() == nil, name)
		assert.False(t, before == w.state.Job, "%s does it", name)
	}
}

// TestNoCommandUnderADialog: what lies under a dialog stays as it is.
func TestNoCommandUnderADialog(t *testing.T) {
	w, _ := dialogJob(t)
	before, step := w.state.Job, w.step
	w.about()
	top := w.top()
	for _, do := range []func(){
		w.undo, w.strikeSelected, w.deleteSelected, w.insertRow, w.help, w.showOverview, w.showSettings, w.showHistory, w.newJob, w.reopen,
		func() { w.pressStep(stepFit) }, func() { w.dropped(fyne.Position{}, nil) },
	} {
		do()
		assert.True(t, top == w.top())
		assert.True(t, before == w.state.Job, "the job is as it was")
		assert.Equal(t, step, w.step)
	}
}

// TestKeysAreNotLostWithAPanel: a field of a panel that is closed gives them up.
func TestKeysAreNotLostWithAPanel(t *testing.T) {
	w, _ := openDemo(t, "a")
	w.openStep(stepBoard)
	p := w.panels[stepBoard].(*boardPanel)
	w.win.Canvas().Focus(p.name)
	w.pressStep(stepShape)
	assert.True(t, w.lists.sheet() == w.win.Canvas().Focused())
	w.win.Canvas().Focus(w.board)
	w.setSolid(true)
	assert.True(t, w.lists.sheet() == w.win.Canvas().Focused(), "the board is not in view")
	w.setSolid(false)
	w.openStep(stepBoard)
	w.win.Canvas().Focus(p.name)
	w.refresh()
	assert.True(t, p.name == w.win.Canvas().Focused(), "what is in view keeps them")
}

// TestKeysReachTheWindowFromEveryWidget tries F8 and F1 wherever Tab leads in every
// panel.
func TestKeysReachTheWindowFromEveryWidget(t *testing.T) {
	w, q := openDemo(t, "a")
	settleFit(t, w, q)
	for step := range stepCount {
		w.openStep(step)
		var places []fyne.Focusable
		walk(w.panels[step].content(), func(o fyne.CanvasObject) {
			if f, ok := o.(fyne.Focusable); ok && o.Visible() && inView(o) {
				places = append(places, f)
			}
		})
		require.NotEmpty(t, places, stepKeys[step])
		for _, f := range places {
			w.win.Canvas().Focus(f)
			f.TypedKey(&fyne.KeyEvent{Name: fyne.KeyF1})
			if assert.NotNil(t, w.top(), "%s: F1 in %T", stepKeys[step], f) {
				w.top().close()
			}
		}
	}
}

func TestRecentJobs(t *testing.T) {
	w, q := open(t)
	dir := t.TempDir()
	assert.True(t, w.menu.recent.Disabled, "none yet")
	var paths []string
	for i := range mostRecent + 2 {
		path := filepath.Join(dir, fmt.Sprintf("%d.pane", i))
		require.NoError(t, board.Save(path, board.NewJob(fmt.Sprint(i))))
		require.NoError(t, w.open(path))
		paths = append(paths, path)
	}
	require.NoError(t, w.open(paths[5]))
	list := recentJobs(w.app.Preferences())
	require.Len(t, list, mostRecent)
	assert.Equal(t, []string{paths[5], paths[10], paths[9]}, list[:3], "the latest first, each once")
	items := w.menu.recent.ChildMenu.Items
	require.Len(t, items, mostRecent)
	assert.Contains(t, items[1].Label, "10.pane")

	w.reopen()
	assert.Equal(t, "10", w.state.Job.Name, "the one before")
	w.reopen()
	assert.Equal(t, "5", w.state.Job.Name, "and back")

	require.NoError(t, os.Remove(paths[9]))
	w.lookForRecent()
	settled(t, w, q, func() bool { return !w.looking.running() })
	var gone []string
	for _, i := range w.menu.recent.ChildMenu.Items {
		if i.Disabled {
			gone = append(gone, i.Label)
		}
	}
	require.Len(t, gone, 1)
	assert.Contains(t, gone[0], "9.pane  –  not there any more, in "+dir)
	w.openRecent(paths[9])
	require.NotNil(t, w.top(), "it says so")
	assert.Equal(t, "cannot open", w.top().name)
	w.keys("<Escape>")
	w.menu.recent.ChildMenu.Items[2].Action()
	assert.Equal(t, recentJobs(w.app.Preferences())[0], w.state.Path)

	w.app.Preferences().SetStringList(prefRecent, nil)
	w.reopen()
	assert.Contains(t, w.status.text.Text, "No other job")
}

func TestHistory(t *testing.T) {
	w, _ := open(t)
	w.showHistory()
	assert.True(t, w.top() == nil, "nothing to go back to")
	assert.Contains(t, w.status.text.Text, "Nothing has been changed")
	w.keys("1<Return>2<Return>3<Return>")
	w.undo()
	names, done := w.desk.Steps()
	assert.Equal(t, []string{"Add a reading", "Station 1 y", "Station 1 z"}, names)
	want := []string{"Station 1 z – undone", "Station 1 y – now", "Add a reading", "as the job was opened"}
	for row, text := range want {
		assert.Equal(t, text, historyWord(names, done, row))
	}
	w.showHistory()
	require.NotNil(t, w.top())
	assert.Equal(t, "history", w.top().name)
	w.keys("<Down><Down><Return>")
	assert.Nil(t, w.top())
	assert.Empty(t, w.state.Job.Readings, "two below now is the beginning")
	assert.Equal(t, "Add a reading", w.state.Redo)
	w.showHistory()
	w.keys("<Up><Up><Up><Return>")
	require.Len(t, w.state.Job.Readings, 1)
	assert.True(t, w.state.Job.Readings[0].Z.Set, "and on again to the end")
	w.showHistory()
	w.keys("<Return>")
	assert.True(t, w.state.Job.Readings[0].Z.Set, "where it is already")
	w.showHistory()
	l := w.win.Canvas().Focused().(*stepList)
	l.Select(2)
	assert.True(t, w.top() == nil, "a click does it too")
	assert.False(t, w.state.Job.Readings[0].Y.Set)
}

// tabOrder is where the places that Tab leads to stand, from where the keys are to
// where they come round again.
func tabOrder(w *Window) (at []fyne.Position, what []fyne.Focusable) {
	c := w.win.Canvas()
	first := c.Focused()
	for f := first; len(what) == 0 || f != first && len(what) < 200; {
		what = append(what, f)
		at = append(at, fyne.CurrentApp().Driver().AbsolutePositionForObject(f.(fyne.CanvasObject)))
		c.FocusNext()
		f = c.Focused()
	}
	return at, what
}

// rowHigh is by how much places of one row may differ in height.
const rowHigh = 24

// TestTabGoesDownThePage: in every dialog and every panel Tab leads down, and along a
// row to the right.
func TestTabGoesDownThePage(t *testing.T) {
	w, q := dialogJob(t)
	down := func(name string, at []fyne.Position, what []fyne.Focusable) {
		for i := 1; i < len(at); i++ {
			dy := at[i].Y - at[i-1].Y
			ok := dy > -rowHigh && (dy > 0 || at[i].X > at[i-1].X)
			assert.True(t, ok, "%s: from %T at %v to %T at %v", name, what[i-1], at[i-1], what[i], at[i])
		}
	}
	for name, show := range dialogs(w) {
		m := bring(t, w, name, show)
		w.win.Canvas().Focus(m.keys)
		at, what := tabOrder(w)
		assert.Greater(t, len(what), 1, name)
		down(name, at[1:], what[1:]) // the first takes the keys of the dialog as a whole
		m.close()
	}
	for step := range stepCount {
		w.openStep(step)
		settleFit(t, w, q)
		var at []fyne.Position
		var what []fyne.Focusable
		_, all := tabOrder(w)
		for _, f := range all {
			if inside(w.panels[step].content(), f) {
				what = append(what, f)
				at = append(at, fyne.CurrentApp().Driver().AbsolutePositionForObject(f.(fyne.CanvasObject)))
			}
		}
		require.NotEmpty(t, what, stepKeys[step])
		down(stepKeys[step], at, what)
	}
}

// inside says whether a widget is one of a panel's.
func inside(o fyne.CanvasObject, f fyne.Focusable) (found bool) {
	walk(o, func(i fyne.CanvasObject) {
		if g, ok := i.(fyne.Focusable); ok && g == f {
			found = true
		}
	})
	return found
}

// TestListsOfChoicesInADialog: Space opens one, Escape closes it and not the dialog.
func TestListsOfChoicesInADialog(t *testing.T) {
	w, _ := open(t)
	w.showSettings()
	c := w.win.Canvas()
	first := c.Focused()
	require.IsType(t, &choice{}, first)
	w.keys("<Space>")
	require.False(t, c.Focused() == first, "the list has the keys")
	w.keys("<Escape>")
	require.NotNil(t, w.top())
	assert.True(t, c.Focused() == first)
	w.keys("<Space><Down><Down><Return>")
	assert.Equal(t, board.Inch, readSettings(w.app.Preferences()).Unit)
	assert.True(t, c.Focused() == first)
	w.keys("<Escape>")
	assert.True(t, w.top() == nil)
}

// TestMenusGiveTheKeysBack: those that a second button brings up.
func TestMenusGiveTheKeysBack(t *testing.T) {
	w, _ := openDemo(t, "a")
	c := w.win.Canvas()
	for name, show := range map[string]func(){
		"list":  func() { w.listMenu(fyne.NewPos(100, 300)) },
		"board": func() { w.boardMenu(-1, fyne.NewPos(600, 400)) },
	} {
		show()
		require.NotNil(t, c.Overlays().Top(), name)
		w.keys("<Escape>")
		assert.Nil(t, c.Overlays().Top(), "%s closes with Escape", name)
		assert.True(t, c.Focused() == w.lists.sheet(), name)
	}
}
