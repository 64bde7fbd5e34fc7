package ui

import (
	"testing"

	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/board"
	"panewright/geom/fixture"
)

// tilesIn opens the pocket part of demo C and waits for its tiles on a bed.
func tilesIn(t *testing.T, width, height float64) (*Window, *queue, *tilesBox) {
	t.Helper()
	w, q := openDemo(t, "c")
	w.openFitPart(partPocket)
	p := w.panels[stepFit].(*fitPanel)
	assert.False(t, p.pocket.tiles.rest.Visible(), "in one piece without a bed")
	require.NoError(t, w.Edit("bed", func(j *board.Job) error {
		j.Tiles.Bed = fixture.Bed{W: width, H: height}
		return nil
	}))
	settleTiles(t, w, q)
	return w, q, p.pocket.tiles
}

func settleTiles(t *testing.T, w *Window, q *queue) {
	t.Helper()
	p := w.panels[stepFit].(*fitPanel)
	settled(t, w, q, func() bool {
		return !p.trial.running && p.trial.of == w.state.Model && p.pocket.tiles.tiling.of == p.trial.pocket && !p.pocket.tiles.making.running()
	})
}

func TestTilesAreMadeInTheBackground(t *testing.T) {
	w, q, b := tilesIn(t, 400, 300)
	tiling := b.tiling
	require.NoError(t, tiling.err)
	require.Greater(t, len(tiling.tiles.Tiles), 1)
	assert.Equal(t, number(w.state.Job, float64(len(tiling.tiles.Tiles)), 0), b.facts.values[0].Text)
	for i, v := range b.facts.values {
		assert.NotEqual(t, "–", v.Text, "figure %d", i)
	}
	assert.False(t, b.stop.Visible())
	assert.False(t, b.say.Visible())

	require.NoError(t, w.Edit("trial", func(j *board.Job) error { j.Tiles.Trial = true; return nil }))
	settleTiles(t, w, q)
	assert.Contains(t, b.say.Text, "For the trial")

	require.NoError(t, w.Edit("bed", func(j *board.Job) error { j.Tiles.Bed.W = 60; return nil }))
	settleTiles(t, w, q)
	require.Error(t, b.tiling.err)
	assert.Equal(t, widget.DangerImportance, b.say.Importance)
	assert.NotEmpty(t, b.say.Text)
	assert.False(t, b.facts.box.Visible())

	require.NoError(t, w.Edit("none", func(j *board.Job) error { j.Tiles.Bed = fixture.Bed{}; return nil }))
	solved(t, w, q)
	assert.False(t, b.rest.Visible())
	assert.Nil(t, b.tiling.of)
}

func TestTilesAreGivenUp(t *testing.T) {
	w, q, b := tilesIn(t, 400, 300)
	b.make(b.tiling.of, b.tiling.spec)
	b.tell(w.state)
	assert.True(t, b.stop.Visible())
	assert.Equal(t, "Give up", b.stop.Text)
	assert.Contains(t, b.say.Text, "Cutting the pocket into tiles")
	b.stop.OnTapped()
	assert.False(t, b.making.running())
	assert.Equal(t, "Make the tiles", b.stop.Text)
	w.refresh()
	assert.False(t, b.making.running(), "until it is asked for again")
	b.stop.OnTapped()
	assert.True(t, b.making.running())
	settleTiles(t, w, q)
	assert.NotNil(t, b.tiling.tiles)
}

func TestTileSettingsAreTyped(t *testing.T) {
	w, q, b := tilesIn(t, 400, 300)
	var fields []*field
	for _, f := range []*form{b.main, b.more} {
		for i := 1; i < len(f.box.Objects); i += 2 {
			if e := fieldIn(f.box.Objects[i]); e != nil {
				fields = append(fields, e)
			}
		}
	}
	require.Len(t, fields, 6, "bed, boards, sheets; stock left, pin, saw cut")
	assert.Equal(t, "400", fields[0].Text)
	assert.Equal(t, "2440", fields[2].PlaceHolder, "the usual sheet stands there")
	for i, text := range []string{"380", "18", "2000", "5", "6", "3"} {
		fields[i].SetText(text)
		require.True(t, fields[i].commit(), text)
	}
	set := w.state.Job.Tiles
	assert.Equal(t, []float64{380, 18, 2000, 5, 6, 3}, []float64{set.Bed.W, set.Board, set.Sheet.W, set.Margin, set.Pin, set.Kerf})
	assert.Equal(t, "Change the tiles", w.state.Undo)
	fields[1].SetText("")
	require.True(t, fields[1].commit())
	assert.Zero(t, w.state.Job.Tiles.Board, "empty is solid stock")
	fields[1].SetText("thick")
	assert.False(t, fields[1].commit(), "refused in place")
	assert.NotEmpty(t, fields[1].fault.Text)
	assert.Zero(t, w.state.Job.Tiles.Board)
	solved(t, w, q)
}

func TestTileFacts(t *testing.T) {
	j := board.NewJob("x")
	in := board.NewJob("y")
	in.Unit = board.Inch
	assert.Equal(t, []string{"700", "27.559", "3/4"}, []string{tileText(j, 700), tileText(in, 700), tileText(in, 19.05)})
	til := &fixture.Tiling{Tiles: []fixture.Tile{{}, {Packer: 6}, {Packer: 9}}}
	til.Tiles[0].Size.X, til.Tiles[0].Size.Y = 300, 200
	til.Tiles[1].Size.X, til.Tiles[1].Size.Y = 250, 250
	assert.Equal(t, []string{"3", "250.0 mm × 250.0 mm", "under 2, up to 9.0 mm", ""}, tileFacts(j, til, nil))
	til.Tiles = til.Tiles[:1]
	assert.Equal(t, []string{"1", "300.0 mm × 200.0 mm", "none", "2, 5 boards"},
		tileFacts(j, til, &fixture.CutList{Count: 2, Boards: make([]fixture.Placed, 5)}))
}

func TestCheckDistancesOfTheTiles(t *testing.T) {
	w, q, _ := tilesIn(t, 400, 300)
	record(t, w, q)
	d := w.panels[stepFit].(*fitPanel).cuts.distances
	assert.True(t, d.box.Visible())
	settled(t, w, q, func() bool { return len(d.checks) > 0 })
	assert.Contains(t, d.rows[0].label.Text, d.checks[0].Name+", planned ")
	assert.False(t, d.say.box.Visible(), "nothing was taped yet")

	for i, c := range d.checks {
		d.rows[i].entry.SetText(typedLength(w.state.Job, 1.002*c.Length))
		require.True(t, d.rows[i].entry.commit())
	}
	assert.Equal(t, "Tape "+d.checks[len(d.checks)-1].Name, w.state.Undo)
	settled(t, w, q, func() bool { return d.assembly != nil })
	require.Empty(t, d.assembly.Why)
	assert.InDelta(t, 0.002, d.assembly.Scale.Value, 0.0005)
	assert.Contains(t, d.say.box.Objects[0].(*widget.Label).Text, "mm on a metre too large")

	d.rows[0].entry.SetText("1")
	d.rows[0].entry.commit()
	settled(t, w, q, func() bool { return d.assembly != nil })
	assert.NotEmpty(t, d.assembly.Why, "that is no distance between those marks")
	d.inside.open(true)
	w.win.Canvas().Focus(d.rows[0].entry)
	w.keys("<Return>")
	assert.Same(t, d.rows[1].entry, w.win.Canvas().Focused(), "Enter moves on")
	w.deleteCut()
	assert.False(t, d.box.Visible())
	assert.Empty(t, w.state.Job.Distances)
	solved(t, w, q)
}
