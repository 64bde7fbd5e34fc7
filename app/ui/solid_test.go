package ui

import (
	"fmt"
	"image"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/ui/solidview"
	"panewright/board"
	"panewright/geom/fixture"
)

// openSolidOf shows a demo job as a solid.
func openSolidOf(t *testing.T, letter string) (*Window, *queue) {
	t.Helper()
	w, q := openDemo(t, letter)
	w.openSolid()
	settleSolid(t, w, q)
	return w, q
}

// settleSolid waits until all that is asked of the solid view is drawn.
func settleSolid(t *testing.T, w *Window, q *queue) {
	t.Helper()
	settled(t, w, q, func() bool { return w.dumpSolid().Ready && !w.solid.Busy() })
}

func TestSolidTakesTheKeys(t *testing.T) {
	w, q := openSolidOf(t, "c")
	assert.Same(t, w.solid, w.win.Canvas().Focused())
	assert.False(t, w.board.Visible())
	w.keys("2")
	assert.Equal(t, "front", w.dumpSolid().From)
	assert.Equal(t, int(solidview.Front), w.bar.from.SelectedIndex())
	w.keys("<Left>")
	assert.Empty(t, w.dumpSolid().From)
	assert.Equal(t, -1, w.bar.from.SelectedIndex(), "it is no standard direction any more")
	w.keys("2")
	assert.Equal(t, int(solidview.Front), w.bar.from.SelectedIndex())
	w.keys("m")
	settleSolid(t, w, q)
	assert.Equal(t, "height", w.dump().Solid.Map)
	assert.Equal(t, "height", w.bar.maps.Selected)
	w.keys("<F8>")
	assert.Equal(t, stepReadings, w.step, "keys of the window work from here")
	w.setSolid(false)
	assert.True(t, w.board.Visible())
	assert.Nil(t, w.dump().Solid)
}

// TestStripIsEnough: everything can be chosen without the keys of the picture.
func TestStripIsEnough(t *testing.T) {
	w, q := openSolidOf(t, "b")
	b := w.bar
	for i, key := range mapKeys {
		b.maps.SetSelectedIndex(i)
		settleSolid(t, w, q)
		assert.Equal(t, key, w.dumpSolid().Map)
	}
	for i, key := range dirKeys {
		b.from.SetSelectedIndex(i)
		assert.Equal(t, key, w.dumpSolid().From)
	}
	b.heights.SetSelectedIndex(2)
	assert.Equal(t, 5.0, w.solid.Stretch())

	assert.False(t, b.stripeRow.Visible())
	b.stripes.SetChecked(true)
	assert.True(t, w.solid.Stripes().On)
	assert.True(t, b.stripeRow.Visible())
	b.angle.SetValue(30)
	b.share.SetValue(0.3)
	b.count.SetValue(60)
	got := w.solid.Stripes()
	assert.Equal(t, 30.0, got.Angle)
	assert.InDelta(t, 0.3, got.Share, 1e-9)
	assert.Equal(t, 60, got.Count)
	settleSolid(t, w, q)
	b.stripes.SetChecked(false)
	assert.False(t, w.solid.Stripes().On)

	assert.False(t, b.cutRow.Visible())
	b.cut.SetSelectedIndex(1)
	assert.True(t, b.cutRow.Visible())
	w.win.Canvas().Focus(b.level)
	b.level.SetText("-12.5")
	w.keys("<Return>")
	kind, level := w.solid.Cut()
	assert.Equal(t, solidview.Across, kind)
	assert.InDelta(t, -12.5, level, 1e-9)
	b.level.SetText("9999")
	w.keys("<Return>")
	_, level = w.solid.Cut()
	assert.Less(t, level, 500.0, "the last that cuts the pane")
	assert.Equal(t, typedLength(w.state.Job, level), b.level.Text, "which is what the field says")
	b.level.SetText("twelve")
	w.keys("<Return>")
	assert.NotEmpty(t, b.level.fault.Text)
	w.keys("<Escape>")
	b.magnify.SetSelectedIndex(3)
	b.cut.SetSelectedIndex(0)
	assert.False(t, b.cutRow.Visible())
}

// TestPocketUnderTheSolid: it is made in the background when it is asked for, one
// piece or tiles, and given up when it is no longer asked for.
func TestPocketUnderTheSolid(t *testing.T) {
	w, q := openSolidOf(t, "c")
	p := w.panels[stepFit].(*fitPanel)
	require.Nil(t, p.trial.of, "nobody has asked for a pocket yet")
	w.keys("p")
	assert.True(t, p.trial.running)
	assert.False(t, w.dumpSolid().Pocket)
	w.keys("p")
	assert.False(t, p.trial.running, "given up")
	assert.Nil(t, p.trial.of)

	w.bar.pocket.SetChecked(true)
	settleSolid(t, w, q)
	assert.True(t, w.dumpSolid().Pocket)
	assert.True(t, w.bar.pocketRow.Visible())
	assert.Empty(t, w.dumpSolid().Tiles)
	w.bar.lift.SetValue(0)
	assert.Zero(t, w.solid.Lift())
	w.solid.TypedRune('u')
	assert.Positive(t, w.bar.lift.Value, "the strip follows the keys")
	assert.Equal(t, length(w.state.Job, w.solid.Lift()), w.bar.lifted.Text)

	require.NoError(t, w.Edit("bed", func(j *board.Job) error {
		j.Tiles.Bed = fixture.Bed{W: 400, H: 300}
		return nil
	}))
	drawn := true
	settled(t, w, q, func() bool {
		drawn = drawn && w.dumpSolid().Pocket
		return len(w.solid.Pieces()) > 1
	})
	assert.True(t, drawn, "the pocket before stays until then")
	assert.Contains(t, w.dumpSolid().Tiles, "A1")
	w.setSolid(false)
	assert.Nil(t, w.dump().Solid)
}

// TestPocketThatCannotBeMade: the picture says why, and what to do.
func TestPocketThatCannotBeMade(t *testing.T) {
	w, q := openSolidOf(t, "c")
	require.NoError(t, w.Edit("seat", func(j *board.Job) error { j.Pocket.Seat = 240; return nil }))
	solved(t, w, q)
	w.keys("p")
	p := w.panels[stepFit].(*fitPanel)
	settled(t, w, q, func() bool { return !p.trial.running && p.trial.err != nil })
	_, _, say := p.forSolid(w.state)
	assert.Contains(t, say, "seat")
	_, drawn := w.solid.Pocket()
	assert.False(t, drawn)
}

func TestHoverStandsInTheStatusBar(t *testing.T) {
	w, q := openSolidOf(t, "b")
	w.solid.Look(solidview.Top)
	shoot(t, w, q)
	at := placeOf(w.solid)
	test.MoveMouse(w.win.Canvas(), fyne.NewPos(at[0]+at[2]/2, at[1]+at[3]/2))
	for _, part := range []string{"mm", "height", "slope", "least radius"} {
		assert.Contains(t, w.status.text.Text, part)
	}
}

// TestSolidMenuDoesWhatTheKeysDo runs every command of the submenu.
func TestSolidMenuDoesWhatTheKeysDo(t *testing.T) {
	w, q := openDemo(t, "c")
	sub := w.menu.solidView().ChildMenu.Items
	sub[0].ChildMenu.Items[int(solidview.Back)].Action()
	assert.True(t, w.solidShown)
	assert.Equal(t, "back", w.dumpSolid().From)
	sub[1].ChildMenu.Items[int(solidview.Unsure)].Action()
	assert.Equal(t, "unsure", w.dumpSolid().Map)
	sub[2].ChildMenu.Items[int(solidview.Along)].Action()
	assert.Equal(t, "along", w.dumpSolid().Section)
	for _, i := range sub[3:] {
		i.Action()
	}
	d := w.dumpSolid()
	assert.True(t, d.Stripes.On)
	assert.Equal(t, 2.0, d.Stretch)
	on, _ := w.solid.Pocket()
	assert.True(t, on)
	settleSolid(t, w, q)
	words := 0
	for _, g := range w.keymap() {
		for _, r := range g.rows {
			if r.key == "M" || r.key == "7" || r.key == "P" {
				words++
			}
		}
	}
	assert.Equal(t, 3, words, "the help lists them")
}

// TestSolidInEveryLook draws the solid view's forms in every look. Where pictures
// are asked for it writes them, and all of them on one sheet.
func TestSolidInEveryLook(t *testing.T) {
	w, q := openSolidOf(t, "b")
	require.NoError(t, w.Edit("bed", func(j *board.Job) error {
		j.Tiles.Bed = fixture.Bed{W: 800, H: 700}
		return nil
	}))
	solved(t, w, q)
	forms := []struct {
		name string
		do   func()
	}{
		{"plain", func() { w.setMap(solidview.Plain) }},
		{"height", func() { w.setMap(solidview.Heights) }},
		{"misses", func() { w.setMap(solidview.Misses) }},
		{"curvature", func() { w.setMap(solidview.MeanBend) }},
		{"stripes", w.turnStripes},
		{"section", func() { w.setMap(solidview.Plain); w.setCut(solidview.Across) }},
		{"pocket", func() { w.setCut(solidview.NoCut); w.turnPocket() }},
	}
	var all []*image.NRGBA
	for _, l := range looks {
		l.set.write(w.app.Preferences())
		w.retheme()
		for _, f := range forms {
			f.do()
			settleSolid(t, w, q)
			if shots == "" {
				continue
			}
			shoot(t, w, q)
			settled(t, w, q, w.solid.Fine)
			all = append(all, shoot(t, w, q))
			writePicture(t, filepath.Join(shots, fmt.Sprintf("solid %s-%s.png", l.name, f.name)), all[len(all)-1])
		}
		settled(t, w, q, func() bool { return len(w.solid.Pieces()) > 1 })
		w.turnPocket()
	}
	if shots != "" {
		writePicture(t, filepath.Join(shots, "solid-sheet.png"), sheetOf(all, len(forms), 3))
	}
}

// TestStripFlows: what finds no room beside the others begins a new row; nothing
// stands outside the strip or on anything else.
func TestStripFlows(t *testing.T) {
	w, _ := openSolidOf(t, "c")
	b := w.bar
	b.cut.SetSelectedIndex(1)
	b.stripes.SetChecked(true)
	rows := b.box.Layout.(flow)
	var last float32
	for _, width := range []float32{1200, 628, 400, 300} {
		var at []image.Rectangle
		h := rows.place(b.box.Objects, width, func(_ fyne.CanvasObject, p fyne.Position, s fyne.Size) {
			at = append(at, image.Rect(int(p.X), int(p.Y), int(p.X+s.Width), int(p.Y+s.Height)))
		})
		assert.GreaterOrEqual(t, h, last, "narrower is higher")
		last = h
		for i, r := range at {
			assert.LessOrEqual(t, r.Max.X, int(width))
			assert.LessOrEqual(t, r.Max.Y, int(h)+1)
			for _, other := range at[:i] {
				assert.True(t, r.Intersect(other).Empty(), "%v on %v at %v", r, other, width)
			}
		}
	}
	assert.InDelta(t, b.over.Size().Height, b.box.Size().Height+w.solid.Size().Height, 1, "the picture has the rest")
	assert.Greater(t, w.solid.Position().Y, float32(50))
}
