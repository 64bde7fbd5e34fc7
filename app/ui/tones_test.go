package ui

import (
	"errors"
	"sync"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/ui/tone"
	"panewright/board"
)

// heard is a speaker that writes down what it should play.
type heard struct {
	mu      sync.Mutex // Check runs beside the window
	trouble error
	tones   []tone.Kind
}

func (h *heard) Check() error {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.trouble
}

func (h *heard) Play(k tone.Kind) { h.tones = append(h.tones, k) }

// take is what was played since it was asked last.
func (h *heard) take() []tone.Kind {
	out := h.tones
	h.tones = nil
	return out
}

// listen gives the window a speaker that is heard by the test, and no tone yet.
func listen(w *Window, on bool) *heard {
	h := &heard{}
	w.tones.speaker = h
	w.change(func(s *settings) { s.Tones = on })
	return h
}

// answered waits until it is known whether there is sound.
func answered(t *testing.T, w *Window, q *queue) {
	t.Helper()
	require.Eventually(t, func() bool { q.run(); return !w.tones.asking.running() }, 10*wait, wait/100)
}

// typeHeight types a height over that of a station, of which the whole row is there.
func typeHeight(t *testing.T, w *Window, i int, text string) {
	t.Helper()
	w.lists.gotoReading(i, fieldZ)
	w.lists.focus()
	w.keys(text + "<Return>")
}

// TestTonesOfTypedRows: of a demo job nothing is heard when it is opened; then each
// row once, by what the solve makes of it.
func TestTonesOfTypedRows(t *testing.T) {
	w, q := open(t)
	h := listen(w, true)
	require.NoError(t, w.openDemo("b"))
	solved(t, w, q)
	assert.Empty(t, h.take(), "rows that were loaded")

	i := readingAt(t, w, board.Edge, "5")
	line, _ := benchLine(w.state, i)
	require.True(t, line.Good, "of all that is known")
	right := w.state.Job.Readings[i].X.Text
	w.lists.gotoReading(i, fieldX)
	w.lists.focus()
	w.keys(right + "0<Return>") // ten times as far
	assert.Empty(t, h.take(), "nothing is known yet")
	solved(t, w, q)
	require.True(t, setAside(w.state.Job.Readings[i], result(w.state, i)))
	assert.Equal(t, []tone.Kind{tone.Suspicious}, h.take())
	w.refresh()
	require.NoError(t, w.Edit("another", func(j *board.Job) error { j.Name = "other"; return nil }))
	solved(t, w, q)
	assert.Empty(t, h.take(), "once for each row")

	w.lists.gotoReading(i, fieldX)
	w.lists.focus()
	w.keys(right + "<Return>")
	solved(t, w, q)
	assert.Equal(t, []tone.Kind{tone.Good}, h.take(), "typed again it is heard again")

	w.undo()
	solved(t, w, q)
	assert.Empty(t, h.take(), "undo is not typing")
	require.NoError(t, w.openDemo("a"))
	solved(t, w, q)
	assert.Empty(t, h.take())
}

// TestTonesInBenchView: the keys of the bench view type in the table.
func TestTonesInBenchView(t *testing.T) {
	w, q := openDemo(t, "b")
	h := listen(w, true)
	i := readingAt(t, w, board.Edge, "5")
	r := w.state.Job.Readings[i]
	w.lists.gotoReading(i, fieldZ)
	openBench(t, w)
	w.keys("999<KP_Enter>")
	w.lists.gotoReading(i, fieldZ)
	w.keys(r.Z.Text + "<KP_Enter>")
	solved(t, w, q)
	assert.Equal(t, []tone.Kind{tone.Good}, h.take(), "what was typed over is not heard")
}

func TestNoTones(t *testing.T) {
	w, q := openDemo(t, "b")
	h := listen(w, false)
	i := readingAt(t, w, board.Edge, "5")
	text := w.state.Job.Readings[i].Z.Text
	typeHeight(t, w, i, "999")
	solved(t, w, q)
	assert.Empty(t, h.take(), "off")
	h = listen(w, true)
	typeHeight(t, w, i, "12..5")
	w.lists.gotoReading(i, fieldNote)
	solved(t, w, q)
	assert.Empty(t, h.take(), "a row that is not understood")
	typeHeight(t, w, i, text)
	w.undo()
	solved(t, w, q)
	assert.Empty(t, h.take(), "taken back before the solve was through")
	typeHeight(t, w, i, text)
	w.setTones(false, nil)
	solved(t, w, q)
	assert.Empty(t, h.take(), "switched off meanwhile")
}

// TestRowHalfTyped: a row is waited for once it is whole, and given up where the
// solve has nothing to say of it.
func TestRowHalfTyped(t *testing.T) {
	w, q := open(t)
	h := listen(w, true)
	w.keys("10<Return>20<Return>")
	assert.Empty(t, w.tones.rows)
	w.keys("30<Return>")
	assert.Len(t, w.tones.rows, 1)
	require.Eventually(t, func() bool { q.run(); return !w.state.Solving && len(w.tones.rows) == 0 }, 60*wait, wait/100)
	assert.Empty(t, h.take(), "one station is no outline")
}

// TestSwitchOfTones: under View and among the preferences, kept, and honest where
// there is no sound.
func TestSwitchOfTones(t *testing.T) {
	w, q := open(t)
	h := listen(w, false)
	flip := w.menu.tones
	flip.Action()
	answered(t, w, q)
	assert.True(t, w.tonesOn() && flip.Checked)
	assert.Equal(t, []tone.Kind{tone.Good}, h.take(), "so sounds what was switched on")
	flip.Action()
	answered(t, w, q)
	assert.False(t, w.tonesOn() || flip.Checked)
	assert.Empty(t, h.take())

	h.trouble = errors.New("tone: no sound server is running")
	flip.Action()
	answered(t, w, q)
	assert.True(t, w.tonesOn(), "it may come yet")
	assert.Equal(t, "No sound here: no sound server is running", w.status.text.Text)
	assert.Empty(t, h.take())
	flip.Action()

	w.showSettings()
	var box *tick
	said := ""
	look := func() {
		said = ""
		walk(w.top().pop.Content, func(o fyne.CanvasObject) {
			switch x := o.(type) {
			case *tick:
				if x.Text == tonesWord() {
					box = x
				}
			case *widget.Label:
				if x.Visible() {
					said += x.Text + "\n"
				}
			}
		})
	}
	look()
	require.NotNil(t, box)
	require.False(t, box.Checked)
	box.SetChecked(true)
	answered(t, w, q)
	assert.True(t, w.tonesOn())
	look()
	assert.Contains(t, said, "No sound here: no sound server is running")
	box.SetChecked(false)
	look()
	assert.NotContains(t, said, "No sound here: no sound server is running")
	box.SetChecked(true)
	w.keys("<Escape>")
	require.Nil(t, w.top())
	answered(t, w, q)
	assert.Nil(t, w.top(), "an answer that comes late opens nothing")
}
