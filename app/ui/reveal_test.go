package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestTurnPanel goes by a key into every step's panel and back again, and from there
// into the fields below.
func TestTurnPanel(t *testing.T) {
	w, q := openDemo(t, "a")
	settleFit(t, w, q)
	c := w.win.Canvas()
	for step := range stepCount {
		w.openStep(step)
		w.lists.focus()
		w.keys("<F6>")
		in := c.Focused()
		assert.True(t, holds(w.panels[step].content(), in.(fyne.CanvasObject)), "%s: %T", stepKeys[step], in)
		c.FocusNext()
		w.keys("<F6>")
		assert.True(t, c.Focused() == w.lists.sheet(), "%s: back in the table", stepKeys[step])
	}

	w.openStep(stepBoard)
	w.keys("<F6>")
	assert.True(t, c.Focused() == w.panels[stepBoard].(*boardPanel).name, "the first field")
	w.setFolded(true)
	w.keys("<F6>")
	assert.True(t, c.Focused() == w.lists.sheet(), "the table comes out again")
	assert.True(t, w.lists.content.Visible())
}

// TestTurnPanelTakesTheCellOver: what is being typed is not lost, and no dialog is left.
func TestTurnPanelTakesTheCellOver(t *testing.T) {
	w, _ := open(t)
	w.keys("12<F6>")
	require.Len(t, w.state.Job.Readings, 1)
	assert.Equal(t, "12", w.state.Job.Readings[0].X.Text)
	w.keys("<F6><F1><F6>")
	require.NotNil(t, w.top(), "not from under a dialog")
	w.top().close()
}

// TestReveal tabs down every panel: what has the keys is in view.
func TestReveal(t *testing.T) {
	w, q := openDemo(t, "a")
	settleFit(t, w, q)
	d, c := fyne.CurrentApp().Driver(), w.win.Canvas()
	scrolled := 0
	for step := range stepCount {
		w.openStep(step)
		walk(w.panels[step].content(), func(o fyne.CanvasObject) {
			s, ok := o.(*container.Scroll)
			if !ok || !inView(s) {
				return
			}
			var places []fyne.Focusable
			walk(s.Content, func(o fyne.CanvasObject) {
				if f, ok := o.(fyne.Focusable); ok && inView(o) {
					places = append(places, f)
				}
			})
			for i := range 2 * len(places) { // down, and up again
				f := places[min(i, 2*len(places)-1-i)]
				c.Focus(f)
				o := f.(fyne.CanvasObject)
				top := d.AbsolutePositionForObject(o).Y - d.AbsolutePositionForObject(s).Y
				assert.GreaterOrEqual(t, top, float32(-0.5), "%s: %T", stepKeys[step], f)
				assert.LessOrEqual(t, top+o.Size().Height, s.Size().Height+0.5, "%s: %T", stepKeys[step], f)
				if s.Offset.Y > 0 {
					scrolled++
				}
			}
		})
	}
	assert.Positive(t, scrolled, "some panel is longer than the window")
}
