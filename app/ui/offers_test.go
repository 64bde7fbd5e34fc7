package ui

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/desk"
	"panewright/app/ui/sheet"
	"panewright/board"
)

// readingAt puts the cursor on a reading by its name.
func readingAt(t *testing.T, w *Window, k board.Kind, id string) int {
	t.Helper()
	for i, r := range w.state.Job.Readings {
		if r.Kind == k && r.ID == id {
			w.lists.gotoReading(i, fieldX)
			return i
		}
	}
	t.Fatalf("there is no %v %s", k, id)
	return 0
}

// Station 12 of demo A was typed 21 3/8 for 12 3/8.
func TestKeyUsesTheCorrectionAndGoesOn(t *testing.T) {
	w, q := openDemo(t, "a")
	w.openStep(stepReadings)
	w.lists.focus()
	w.keys("<F8>")
	i := w.lists.current()
	require.Equal(t, "12", w.state.Job.Readings[i].ID)
	p := w.panels[stepReadings].(*readingsPanel)
	assert.Equal(t, "Use x 12 3/8   (Ctrl+Enter)", p.offers.rows[0].use.Text)
	assert.Contains(t, p.offers.rows[0].why.Text, "swapped")
	assert.NotEmpty(t, p.offers.good.Text)
	assert.True(t, p.offers.sure.Visible())

	w.lists.sheet().TypedShortcut(padEnter) // the number pad's Enter; the other one is the menu's
	assert.Equal(t, "12 3/8", w.state.Job.Readings[i].X.Text)
	assert.Equal(t, "Correct station 12 x", w.state.Undo)
	next := w.lists.current()
	assert.Equal(t, "19", w.state.Job.Readings[next].ID, "on to the next suspect, before it is solved")
	assert.Equal(t, w.lists.sheet(), w.win.Canvas().Focused())
	solved(t, w, q)
	assert.Equal(t, board.Kept, w.state.Model.Results[i].State)
	w.undo()
	solved(t, w, q)
	assert.Equal(t, "21 3/8", w.state.Job.Readings[i].X.Text)
	assert.Equal(t, board.Suspect, w.state.Model.Results[i].State)
}

func TestKeyCorrectsNothingThatIsNotSeen(t *testing.T) {
	w, _ := openDemo(t, "a")
	readingAt(t, w, board.Edge, "12")
	w.openStep(stepShape)
	before := w.state.Job
	w.useFirst()
	assert.Equal(t, before, w.state.Job, "first the panel shows what it would be")
	assert.Equal(t, stepReadings, w.step)
	readingAt(t, w, board.Edge, "11")
	w.useFirst()
	assert.Equal(t, before, w.state.Job)
	assert.Contains(t, w.status.text.Text, "no correction")
}

func TestSecondCorrectionChangesSomethingElse(t *testing.T) {
	x := func(to string, chance float64) board.Offer {
		return board.Offer{Field: "x", Instead: to, Chance: chance, Changes: []board.Change{{Field: "x", To: board.Cell{Text: to}}}}
	}
	res := &board.Result{State: board.Suspect, Offers: []board.Offer{x("34", 0.6), x("34", 0.3), x("35", 0.05), x("36", 0.04)}}
	offers, leads := offersOf(board.Reading{}, res)
	require.Len(t, offers, 2)
	assert.Equal(t, []string{"34", "35"}, []string{offers[0].Instead, offers[1].Instead})
	assert.False(t, leads, "the solve offers none")
	res.Offer, res.Offers[2].Chance, res.Offers[3].Chance = &res.Offers[0], 0.001, 0.001
	offers, leads = offersOf(board.Reading{}, res)
	assert.Len(t, offers, 1, "what is out of the question is not shown")
	assert.True(t, leads)
	offers, _ = offersOf(board.Reading{Struck: true}, res)
	assert.Empty(t, offers)
	offers, _ = offersOf(board.Reading{}, &board.Result{Offers: res.Offers})
	assert.Empty(t, offers, "a reading that fits and leads nowhere")
}

func TestCorrectionOfRowsShowsWhatItWouldChange(t *testing.T) {
	w, q := openDemo(t, "b")
	w.openStep(stepReadings)
	w.lists.focus()
	w.keys("<F8>")
	i := w.lists.current()
	require.Equal(t, "41", w.state.Job.Readings[i].ID, "rows that went wrong together are walked too")
	before := w.state.Job
	w.useFirst()
	require.NotNil(t, w.top())
	assert.Equal(t, "correct", w.top().name)
	assert.Equal(t, before, w.state.Job)
	w.keys("<Escape>")
	assert.Nil(t, w.top())
	assert.Equal(t, before, w.state.Job, "Escape changes nothing")

	offers, _ := w.offered()
	lines := changeLines(before, offers[0])
	require.Len(t, lines, 6)
	assert.Equal(t, [3]string{"41", "-123.5, 893.5, 133.5", "–, –, –"}, lines[0])
	assert.Equal(t, lines[0][1], lines[1][2], "each takes the values of the row before")
	w.useFirst()
	w.keys("<Return>")
	assert.Nil(t, w.top())
	assert.Empty(t, w.state.Job.Readings[i].X.Text)
	assert.Equal(t, "-123.5", w.state.Job.Readings[i+1].X.Text)
	assert.Equal(t, "Correct rows 41 to 46", w.state.Undo)
	solved(t, w, q)
	for _, tr := range w.troubles {
		assert.False(t, tr.block, tr.text)
	}
}

func TestVouchingForAReading(t *testing.T) {
	w, q := openDemo(t, "a")
	i := readingAt(t, w, board.Face, "F43")
	require.Equal(t, board.Suspect, w.state.Model.Results[i].State)
	w.vouchSelected()
	assert.True(t, w.state.Job.Readings[i].Sure)
	assert.Equal(t, "Vouch for reading F43", w.state.Undo)
	c := w.lists.models[listFace].Cell(42, 0)
	assert.Equal(t, signSure, c.Sign)
	assert.NotContains(t, c.Text, signSure, "the sign is no part of the name")
	assert.Contains(t, c.Note, "Vouched for")
	assert.Equal(t, sheet.Plain, c.Tint, "at once, before it is solved")
	solved(t, w, q)
	assert.Equal(t, board.Kept, w.state.Model.Results[i].State)
	p := w.panels[stepReadings].(*readingsPanel)
	assert.Contains(t, p.one.Text, "Vouched for")
	assert.Equal(t, "Not sure any more", p.offers.sure.Text)
	w.vouchSelected()
	assert.False(t, w.state.Job.Readings[i].Sure)
	w.undo()
	assert.True(t, w.state.Job.Readings[i].Sure)
	w.undo()
	solved(t, w, q)
	assert.Equal(t, board.Suspect, w.state.Model.Results[i].State)
}

func TestTrueBreakIsForStations(t *testing.T) {
	w, _ := openDemo(t, "c")
	i := readingAt(t, w, board.Edge, "20")
	w.breakSelected()
	assert.True(t, w.state.Job.Readings[i].Break)
	assert.Equal(t, "True break at reading 20", w.state.Undo)
	assert.Equal(t, signBreak, w.lists.models[listEdge].Cell(i, 0).Sign)
	assert.True(t, w.sayings(i)[2].Checked)
	w.breakSelected()
	assert.False(t, w.state.Job.Readings[i].Break)
	f := readingAt(t, w, board.Face, "F2")
	w.breakSelected()
	assert.False(t, w.state.Job.Readings[f].Break)
	assert.Contains(t, w.status.text.Text, "cannot be said")
	assert.Len(t, w.sayings(f), 3, "the menu does not name it either")
}

func TestPlacesToMeasureNext(t *testing.T) {
	w, _ := openDemo(t, "a")
	w.openStep(stepReadings)
	l := w.panels[stepReadings].(*readingsPanel).places
	next := w.state.Model.Next
	require.NotEmpty(t, next)
	for i, row := range l.rows {
		require.Equal(t, i < len(next), row.box.Visible())
		assert.Contains(t, row.text.Text, next[i].Text)
	}
	w.setSolid(true)
	l.rows[0].text.Tapped(nil)
	assert.False(t, w.solidShown)
	assert.InDelta(t, next[0].At.X, l.at[0].X, 1e-9)
	assert.True(t, w.drawn(prefPlaces) && w.drawn(prefBand), "both are drawn until they are switched off")
	w.setDrawn(prefBand, false)
	assert.False(t, w.drawn(prefBand))
	assert.False(t, w.menu.band.Checked)
	assert.True(t, w.menu.places.Checked)
}

// A place in a sentence is found again to what the sentence was rounded to.
func TestPlaceInASentence(t *testing.T) {
	for _, unit := range []board.Unit{board.MM, board.Inch} {
		j := board.NewJob("x")
		j.Unit = unit
		near := 0.051 // mm
		if unit == board.Inch {
			near = 25.4/128 + 1e-9
		}
		for _, p := range []r2.Vec{{X: -312.37, Y: 41.2}, {X: 700, Y: 900}, {X: 0, Y: 0}, {X: -899.96, Y: 1099.4}, {X: 12, Y: 333.33}} {
			for _, text := range []string{"The corner near %s was read at one station.", "Near %s the face stands at 55°: there", "near %s."} {
				got, ok := placeIn(strings.ReplaceAll(text, "%s", j.Grid.Describe(p, unit)), j)
				require.True(t, ok, text)
				assert.InDelta(t, 0, max(math.Abs(got.X-p.X), math.Abs(got.Y-p.Y)), near, "%v %s", p, text)
			}
		}
	}
	_, ok := placeIn("Station 12 lies 0.5 mm off the line of its neighbours, line up.", board.NewJob("x"))
	assert.False(t, ok)
}

func TestFindingsOfTheSolveGoToTheirPlaces(t *testing.T) {
	w, _ := open(t)
	j := w.state.Job
	s := desk.State{Job: j, Findings: []board.Finding{
		{List: "edge", Code: "corner-assumed", Text: "The corner near line 3 + 20, line B was read at one station: its radius is assumed."},
		{List: "job", Field: "sigma", Code: "sigma-small", Text: "The stations agree to 0.1 mm."},
		{List: "job", Field: "mirror", Code: "lopsided", Text: "The pane is really not symmetric."},
	}}
	ts := troubles(s)
	require.Len(t, ts, 3)
	assert.False(t, ts[0].remark)
	require.NotNil(t, ts[0].at)
	assert.Equal(t, r2.Vec{X: 320, Y: 100}, *ts[0].at)
	assert.True(t, ts[1].remark && ts[2].remark, "nothing has to be done about them")
	w.gotoTrouble(ts[1])
	assert.Equal(t, stepBoard, w.step)
	assert.Equal(t, w.panels[stepBoard].(*boardPanel).sigma, w.win.Canvas().Focused())
	w.gotoTrouble(ts[2])
	assert.Equal(t, stepBoard, w.step)
}

func TestOfferWords(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{goodWord(0), ""},
		{goodWord(370.4), "One good reading in 370 lies so far off."},
		{goodWord(12345), "One good reading in 12\u00a0000 lies so far off."},
		{goodWord(8.46e7), "One good reading in 85 million lies so far off."},
		{goodWord(board.MostOdds), "Fewer than one good reading in a million million lies so far off."},
		{useWord(board.Offer{Field: "xy"}), "Exchange x and y"},
		{useWord(board.Offer{Field: "row", Instead: "1, 2"}), "Use 1, 2"},
		{useWord(board.Offer{Field: "block", Typed: "z of 4 to 9"}), "Correct z of 4 to 9…"},
		{whyWord(board.Offer{Chance: 0.95, Why: "the digits are swapped"}), "Likely: the digits are swapped."},
		{whyWord(board.Offer{Chance: 0.5, Why: "w"}), "Possible: w."},
		{whyWord(board.Offer{Chance: 0.02, Why: "w"}), "Less likely: w."},
		{adviceWord(&board.Result{}), "Read it again, or strike it."},
		{adviceWord(&board.Result{Offer: &board.Offer{Field: "x", Instead: "12", Typed: "21"}}), "x 12 would fit (typed 21)."},
		{suspectWord(board.NewJob("a"), board.Reading{ID: "F1", Kind: board.Face}, &board.Result{BadHeight: true, HasHeight: true, HeightMiss: -3}),
			"The height of F1 lies 3.0 mm below the face that its neighbours make."},
		{suspectWord(board.NewJob("a"), board.Reading{ID: "7"}, &board.Result{HasMiss: true, Miss: -3}),
			"Station 7 lies 3.0 mm inside the edge that its neighbours make."},
	} {
		assert.Equal(t, c.want, c.got)
	}
}

func TestCrossbowTable(t *testing.T) {
	j := board.NewJob("x")
	none := func() (board.Crossbow, bool) { return board.Crossbow{}, false }
	text := bowText(j, []board.Crossbow{
		{Level: -100, Radius: 2850.1, RadiusU: 4.5, Sag: 97.5, Miss: 2.09},
		{Level: 100, Radius: math.Inf(1), Sag: 0, Miss: 0},
	}, none)
	lines := strings.Split(text, "\n")
	require.Len(t, lines, 3)
	assert.Contains(t, lines[1], "straight", "the upper level stands above")
	assert.Contains(t, lines[2], "2850.1 ± 9.0")
	for _, l := range lines {
		assert.Len(t, []rune(l), len([]rune(lines[0])), "columns stand still")
	}
	text = bowText(j, nil, func() (board.Crossbow, bool) { return board.Crossbow{Radius: 500, RadiusU: 400}, true })
	assert.Contains(t, text, "straight", "a radius that is hardly known is none")
}
