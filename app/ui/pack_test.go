package ui

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
)

// setting is what stands beside a name in a form.
func setting(t *testing.T, f *form, name string) fyne.CanvasObject {
	t.Helper()
	for i := 0; i+1 < len(f.box.Objects); i += 2 {
		if l, ok := f.box.Objects[i].(*widget.Label); ok && l.Text == name {
			o := f.box.Objects[i+1]
			if c, ok := o.(*fyne.Container); ok {
				o = c.Objects[0]
			}
			return o
		}
	}
	require.Fail(t, "there is no setting "+name)
	return nil
}

// typeIn types into a named field and leaves it.
func typeIn(t *testing.T, w *Window, f *form, name, text string) *field {
	t.Helper()
	e := setting(t, f, name).(*field)
	w.win.Canvas().Focus(e)
	e.SetText(text)
	e.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	return e
}

func choose(t *testing.T, f *form, name, word string) {
	t.Helper()
	setting(t, f, name).(*choice).SetSelected(word)
}

// TestPackSettings: every setting of the hand-over step is an edit of the job that
// undo takes back, in the job's unit.
func TestPackSettings(t *testing.T) {
	w, _ := openDemo(t, "a")
	w.openStep(stepHandover)
	p := w.panels[stepHandover].(*handoverPanel).pack
	choose(t, p.main, "Paper", "Tabloid")
	choose(t, p.main, "Inches too", "yes")
	choose(t, p.main, "Board's frame too", "yes")
	choose(t, p.main, "Machine's frame too", "z 0 on top")
	assert.False(t, p.thick.value.Visible())
	typeIn(t, w, p.main, "Model to scale", "1:4")
	assert.True(t, p.thick.value.Visible(), "a model to scale says what becomes of its thickness")
	choose(t, p.main, "Its glass is", "as thick as it is")
	typeIn(t, w, p.shape, "Glue line", "3/16")
	typeIn(t, w, p.shape, "Extended face", "1 1/2")
	typeIn(t, w, p.shape, "Flange", "3/4")
	typeIn(t, w, p.shape, "Panel gap", "5 mm")
	typeIn(t, w, p.shape, "Sections every", "4")
	typeIn(t, w, p.print, "Bar across measures", "7 31/32")
	typeIn(t, w, p.print, "Bar up measures", "14 in")
	got := w.state.Job.Pack
	b, q := &got.Body, &got.Paper
	for i, v := range []*float64{&b.Glue, &b.Extend, &b.Flange, &b.PanelGap, &b.Sections, &q.Across, &q.Up} {
		assert.InDelta(t, []float64{25.4 * 3 / 16, 38.1, 25.4 * 3 / 4, 5, 101.6, 7.96875 / 8, 1}[i], *v, 1e-9)
		*v = 0
	}
	assert.Equal(t, board.PackSettings{
		Body:  board.BodyFiles{Inch: true, Scale: 4, TrueThickness: true, OnBoard: true},
		Paper: board.Paper{Sheet: "Tabloid"}, Shop: board.ShopTop,
	}, got)
	assert.Equal(t, "7 31/32", setting(t, p.print, "Bar across measures").(*field).Text)
	assert.Equal(t, "Change what the pack holds", w.state.Undo)

	e := typeIn(t, w, p.shape, "Glue line", "9")
	assert.Contains(t, e.fault.Text, "glue line", "refused, with the reason under it")
	assert.InDelta(t, 4.7625, w.state.Job.Pack.Body.Glue, 1e-9)
	typeIn(t, w, p.shape, "Glue line", "")
	assert.Zero(t, w.state.Job.Pack.Body.Glue)
	e = typeIn(t, w, p.main, "Model to scale", "quarter")
	assert.Equal(t, "Type a scale as 1:4", said(e.fault.Text))
	e = typeIn(t, w, p.print, "Bar up measures", "2")
	assert.Contains(t, e.fault.Text, "print at 100 %")
	w.lists.focus() // a field undoes its own typing
	for range 30 {
		w.undo()
	}
	assert.Equal(t, board.PackSettings{}, w.state.Job.Pack)
	assert.Equal(t, "", setting(t, p.shape, "Flange").(*field).Text)
}

// TestCarSettings: the place in the car by an angle and a place, or by three points;
// only the rows that count are shown.
func TestCarSettings(t *testing.T) {
	w, q := openDemo(t, "b")
	w.openStep(stepHandover)
	p := w.panels[stepHandover].(*handoverPanel).pack
	shown := func() (n int) {
		for _, r := range append(p.rake[:len(p.rake):len(p.rake)], p.three...) {
			n += oneIf(r.value.Visible())
		}
		return n
	}
	assert.Zero(t, shown())
	choose(t, p.car, "Told by", "rake and place")
	assert.Equal(t, 3, shown())
	choose(t, p.car, "The pane faces", "the driver's left")
	typeIn(t, w, p.car, "Rake from upright", "58.5")
	typeIn(t, w, p.car, "Glass origin at", "1450; -12.5; 900")
	assert.Equal(t, board.Car{By: board.ByRake, Facing: board.Left, Rake: 58.5, At: r3.Vec{X: 1450, Y: -12.5, Z: 900}}, w.state.Job.Pack.Body.Car)
	e := typeIn(t, w, p.car, "Glass origin at", "1450, 0")
	assert.Contains(t, e.fault.Text, "three lengths")
	e = typeIn(t, w, p.car, "Rake from upright", "120")
	assert.Contains(t, e.fault.Text, "right angle")

	choose(t, p.car, "Told by", "three points")
	assert.Equal(t, 6, shown())
	typeIn(t, w, p.car, "Point 1", "1")
	typeIn(t, w, p.car, "Point 3", "40")
	c := w.state.Job.Pack.Body.Car
	assert.Equal(t, []string{"1", "", "40"}, []string{c.Points[0].ID, c.Points[1].ID, c.Points[2].ID}, "one after the other")
	typeIn(t, w, p.shape, "Flange", "18")
	assert.InDelta(t, 18, w.state.Job.Pack.Body.Flange, 1e-9, "other settings do not wait for it")
	solved(t, w, q)
	panel := w.panels[stepHandover].(*handoverPanel)
	assert.Equal(t, "The pack is not told in full", panel.head.Text)
	assert.Contains(t, panel.say.Text, "point 2 has no station")
	typeIn(t, w, p.car, "Point 2", "20")
	solved(t, w, q)
	assert.Equal(t, "Ready to hand over", panel.head.Text)
}

// TestTicks: before the pocket of a cut is written every box has to be ticked, by
// keys alone; once a cut, and again where one of its figures has changed.
func TestTicks(t *testing.T) {
	w, q := openDemo(t, "a")
	went := 0
	ask := func() { w.ticked(func() { went++ }); q.run() }
	ask()
	m := w.top()
	require.NotNil(t, m)
	assert.Equal(t, "ticks", m.name)
	assert.True(t, m.buttons[0].Disabled())
	l := func() *tick { return w.win.Canvas().Focused().(*tick) }
	assert.Equal(t, "Wall clearance 0.059 in (1.5 mm), seat 0.630 in (16.0 mm).", l().Text)
	w.keys(" <Down>")
	assert.Equal(t, "Dome up, heights read on the upper face, glass "+length(w.state.Job, w.state.Model.Pane.Thickness)+".", l().Text)
	w.keys("<Return><Return><Return>")
	assert.Contains(t, l().Text, " cross sag.")
	w.keys("<Up><Up>")
	assert.Contains(t, l().Text, "inches")
	w.keys("  <Down><Down><Return>") // off and on again
	assert.True(t, m.buttons[0].Disabled())
	assert.Equal(t, "This is cut 1, the first.", l().Text)
	w.keys("<Return>")
	assert.False(t, m.buttons[0].Disabled())
	assert.Zero(t, went)
	w.keys("<Return>")
	q.run()
	assert.Equal(t, 1, went)
	assert.Nil(t, w.top())

	ask()
	assert.Equal(t, 2, went, "asked once a cut")
	require.NoError(t, w.Edit("wall", func(j *board.Job) error { j.Pocket.Wall = 2.5; return nil }))
	solved(t, w, q)
	ask()
	require.NotNil(t, w.top(), "a figure has changed")
	w.keys("<Escape>")
	q.run()
	assert.Nil(t, w.top())
	assert.Equal(t, 2, went, "given up")

	require.NoError(t, w.Edit("no thickness", func(j *board.Job) error { j.Pane.Thickness = board.Cell{}; return nil }))
	solved(t, w, q)
	ask()
	assert.Equal(t, 3, went, "no pocket, nothing to ask")
}

// exportTo exports into a folder, ticking what is asked for.
func exportTo(t *testing.T, w *Window, q *queue, dir string) {
	t.Helper()
	w.export()
	w.top().entry.SetText(dir)
	w.keys("<Return>")
	q.run()
	for i := 0; w.top() != nil && w.top().name == "ticks"; i++ {
		require.Less(t, i, 20)
		w.keys("<Return>")
		q.run()
	}
}

// TestEarlierPackIsAskedAbout: a folder with the pack of another state of the job is
// replaced when the button that says so is pressed, and not before; another folder
// is another matter.
func TestEarlierPackIsAskedAbout(t *testing.T) {
	w, q := openDemo(t, "c")
	dir := filepath.Join(t.TempDir(), "pack")
	done := func() {
		t.Helper()
		require.Eventually(t, func() bool { q.run(); return w.exported != nil && w.exported.job == w.state.Job }, 90*wait, wait/10)
	}
	exportTo(t, w, q, dir)
	done()
	w.keys("<Return>")
	first, err := os.ReadFile(filepath.Join(dir, "summary.json"))
	require.NoError(t, err)

	require.NoError(t, w.Edit("cut", func(j *board.Job) error { j.Cut = 2; return nil }))
	solved(t, w, q)
	assert.True(t, strings.HasSuffix(w.packDir(), "cut 2"), "another folder is offered for another cut: %s", w.packDir())
	exportTo(t, w, q, dir)
	require.Eventually(t, func() bool { q.run(); return w.top().buttons[0].Text != "Export" }, 20*wait, wait/10)
	assert.Equal(t, "Replace the pack of cut 1", w.top().buttons[0].Text)
	assert.Contains(t, w.top().entry.fault.Text, "holds the pack of cut 1")
	now, err := os.ReadFile(filepath.Join(dir, "summary.json"))
	require.NoError(t, err)
	assert.Equal(t, first, now)
	w.top().entry.SetText(dir + "-2")
	assert.Equal(t, "Export", w.top().buttons[0].Text, "nothing is agreed to for another folder")
	w.top().entry.SetText(dir)
	w.keys("<Return>")
	q.run()
	require.Eventually(t, func() bool { q.run(); return w.top().buttons[0].Text != "Export" }, 20*wait, wait/10)
	w.keys("<Return>")
	done()
	now, err = os.ReadFile(filepath.Join(dir, "summary.json"))
	require.NoError(t, err)
	assert.NotEqual(t, first, now)
}

// TestOtherHandJob: the mirror image becomes a job of its own, where the person says.
func TestOtherHandJob(t *testing.T) {
	w, q := openDemo(t, "b")
	first := w.state.Job
	path := filepath.Join(t.TempDir(), "left")
	w.otherHand()
	require.Equal(t, "other hand", w.top().name)
	assert.Contains(t, w.top().entry.Text, "other hand.pane")
	taken := filepath.Join(t.TempDir(), "taken.pane")
	require.NoError(t, os.WriteFile(taken, []byte("mine"), 0o600))
	w.top().entry.SetText(taken)
	w.keys("<Return>")
	require.NotNil(t, w.top(), "no file is written over")
	assert.Contains(t, w.top().entry.fault.Text, "choose another")
	assert.Equal(t, first, w.state.Job)
	w.top().entry.SetText(path)
	w.keys("<Return>")
	q.run()
	assert.Nil(t, w.top())
	assert.Equal(t, path+".pane", w.state.Path)
	assert.True(t, w.state.Saved)
	assert.Equal(t, board.OtherHandName(first.Name), w.state.Job.Name)
	assert.InDelta(t, -first.Readings[3].X.MM, w.state.Job.Readings[3].X.MM, 1e-9)
}

// TestDateIsADay: what is no date is refused where it is typed.
func TestDateIsADay(t *testing.T) {
	w, _ := open(t)
	w.openStep(stepBoard)
	p := w.panels[stepBoard].(*boardPanel)
	e := typeIn(t, w, p.more, "Date", "last Tuesday")
	assert.Contains(t, e.fault.Text, "2031-05-20")
	assert.Empty(t, w.state.Job.Date)
	typeIn(t, w, p.more, "Date", "2031-02-29")
	assert.Empty(t, w.state.Job.Date)
	typeIn(t, w, p.more, "Date", "2032-02-29")
	assert.Equal(t, "2032-02-29", w.state.Job.Date)
	require.NoError(t, w.Edit("date", func(j *board.Job) error { j.Date = "soon"; return nil }))
	p.gotoField("date")
	assert.Same(t, p.date, w.win.Canvas().Focused())
	assert.True(t, p.seldom.inside.Visible())
}
