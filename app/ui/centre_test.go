package ui

import (
	"math"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/desk"
	"panewright/board"
)

// centreOf opens the step of the centre line.
func centreOf(w *Window) *centrePanel {
	w.openStep(stepCentre)
	return w.panels[stepCentre].(*centrePanel)
}

// named is the value that stands beside a name of a table of figures, where the
// row is shown.
func named(f *figures, name string) (string, bool) {
	for i, l := range f.names {
		if l.Visible() && strings.HasPrefix(l.Text, name) {
			return f.values[i].Text, true
		}
	}
	return "", false
}

// changed lays a changed demo job on the desk and solves it.
func changed(t *testing.T, w *Window, q *queue, change func(j *board.Job)) {
	t.Helper()
	require.NoError(t, w.Edit("change", func(j *board.Job) error {
		change(j)
		return nil
	}))
	solved(t, w, q)
}

// While the line is dragged the panel says all that would follow, and when it is
// let go without a move all is as it was.
func TestCentrePanelFollowsTheDrag(t *testing.T) {
	w, _ := openDemo(t, "a")
	j, m := w.state.Job, w.state.Model
	w.openStep(stepReadings)
	c, ok := w.Consequence(m.Found.Offset+2, m.Found.Skew+0.1, m.Found.Roll)
	require.True(t, ok)
	w.centreDragged(&c)
	assert.Equal(t, stepCentre, w.step, "a drag opens the step")
	p := w.panels[stepCentre].(*centrePanel)
	assert.Contains(t, p.head.Text, "right of where the readings put it")
	assert.Contains(t, p.apart.Text, fine(j, math.Abs(c.Off))+" from what the readings say, turned 0.10° against it, ")
	assert.Contains(t, p.apart.Text, "times its uncertainty: less than 1 chance in 10 000.")
	assert.Equal(t, widget.WarningImportance, p.apart.Importance)
	assert.Contains(t, p.say.Text, "Esc")
	f := p.follows.facts
	for name, want := range map[string]string{
		"Off station " + c.WidestAt + ", the most": signedBare(j, c.WidestDifference),
		"Width over all":      fineBare(j, c.Width),
		"Change of width":     signedBare(j, c.WidthChange),
		"Bend, top · bottom":  degrees(j, c.KinkTop) + " · " + degrees(j, c.KinkBottom),
		"Step, top · bottom":  signedBare(j, c.StepTop.Out) + " · " + signedBare(j, c.StepBottom.Out),
		"Far corners move":    fineBare(j, c.Corners[1].By) + " · " + fineBare(j, c.Corners[0].By),
		"Left over · at most": fineBare(j, c.AsymmetryRMS) + " · " + fineBare(j, c.AsymmetryMost),
	} {
		got, shown := named(f, name)
		assert.True(t, shown, name)
		assert.Equal(t, want, got, name)
	}
	_, shown := named(f, "Off the tape")
	assert.False(t, shown, "no width was taped")
	assert.Equal(t, "What follows (in)", p.follows.head.Text)
	d := w.dump()
	assert.Equal(t, c.Off, d.Outcome.Off)
	assert.Equal(t, p.apart.Text, d.Warning)
	assert.Equal(t, "symmetric", d.Verdict.Code)
	assert.NotEmpty(t, d.Links)

	w.centreDragged(nil)
	assert.Contains(t, p.head.Text, "of x = 0")
	assert.False(t, p.apart.Visible())
	_, shown = named(f, "Change of width")
	assert.False(t, shown, "the line found changes nothing")
	assert.Empty(t, w.dump().Warning)
}

// A typed line is held against the one found, a taped width against the pane, and
// the key takes what was found again.
func TestCentrePanelOfATypedLine(t *testing.T) {
	w, q := openDemo(t, "a")
	found := w.state.Model.Found
	p := centreOf(w)
	assert.Contains(t, p.use.Text, "(Ctrl+U)")
	assert.Contains(t, p.keep.Text, "(Ctrl+H)")
	changed(t, w, q, func(j *board.Job) {
		plane := planeTyped(j, found.Offset+5, found.Skew, found.Roll)
		j.Plane = &plane
		j.Tapes = append(j.Tapes, board.Tape{How: board.Twin, From: "25", Length: j.Typed("45")})
	})
	j := w.state.Job
	c, ok := w.Consequence(w.planeNumbers(w.state))
	require.True(t, ok)
	got, shown := named(p.follows.facts, "Off the tape from 25")
	assert.True(t, shown)
	assert.Equal(t, signedBare(j, c.Widths[0].Difference), got)
	got, shown = named(p.follows.facts, "Change of width")
	assert.True(t, shown, "against the line found, though another is in use")
	assert.NotEqual(t, "+0.000", got)
	assert.Equal(t, "Yours is used.", p.say.Text)
	assert.True(t, p.use.Visible())
	assert.False(t, p.keep.Visible())
	p.use.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	solved(t, w, q)
	assert.Nil(t, w.state.Job.Plane)
}

func TestApartWords(t *testing.T) {
	mm := board.NewJob("")
	for _, c := range []struct {
		off, skew, lean, odds, chance float64
		want                          string
	}{
		{1.93, 0, 0, 6, 1e-6, "1.93 mm from what the readings say, 6.0 times its uncertainty: less than 1 chance in 10 000."},
		{-1.93, 0, 0, 39.4, 0, "1.93 mm from what the readings say, 39 times its uncertainty: less than 1 chance in 10 000."},
		{0.1, -0.02, 0.3, 2.8, 0.05, "0.10 mm from what the readings say, turned 0.02° against it, leaning 0.30° more, 2.8 times its uncertainty: about 1 chance in 20."},
		{0.1, 0, 0, 1, 0.8, "0.10 mm from what the readings say, 1.0 times its uncertainty: the readings allow it."},
	} {
		assert.Equal(t, c.want, apartWord(mm, board.Consequence{Known: true, Off: c.off, SkewOff: c.skew, Odds: c.odds, Chance: c.chance}, c.lean))
	}
	assert.Equal(t, "about 1 chance in 100", oddsWord(0.01))
}

func TestVerdictInALine(t *testing.T) {
	mm := board.NewJob("")
	for _, c := range []struct {
		v    board.Verdict
		want string
		imp  widget.Importance
	}{
		{board.Verdict{Code: "symmetric"}, "Symmetric, as far as the readings tell", widget.SuccessImportance},
		{board.Verdict{Code: "mark", Stations: []string{"31"}}, "Symmetric, but for station 31", widget.WarningImportance},
		{board.Verdict{Code: "mark", Stations: []string{"31", "7"}}, "Symmetric, but for stations 31 and 7", widget.WarningImportance},
		{board.Verdict{Code: "grid"}, "The grid looks out of square", widget.WarningImportance},
		{board.Verdict{Code: "asymmetric", Most: -2.4}, "Really not symmetric: 2.4 mm apart", widget.WarningImportance},
		{board.Verdict{Code: "asymmetric", Residual: 1.2}, "Really not symmetric: 1.2 mm apart", widget.WarningImportance},
		{board.Verdict{Code: "unknown"}, "Whether it is symmetric is not known", widget.LowImportance},
		{board.Verdict{}, "", widget.MediumImportance},
	} {
		word, imp := verdictWord(mm, c.v)
		assert.Equal(t, c.want, word)
		assert.Equal(t, c.imp, imp, word)
	}
}

// What carries the line is listed by kind, and a click, or Enter, on the reading
// that pulls most selects it.
func TestWhatCarriesTheLineIsListed(t *testing.T) {
	w, _ := openDemo(t, "a")
	p := centreOf(w)
	first := w.state.Model.Carries[0]
	share, shown := named(p.carries.kinds, "Check stations: 4")
	assert.True(t, shown)
	assert.Equal(t, percent(w.state.Job, first.Offset), share)
	require.NotEmpty(t, p.carries.pulls)
	for i, q := range p.carries.pulls {
		if i > 0 {
			assert.LessOrEqual(t, math.Abs(q.Moves), math.Abs(p.carries.pulls[i-1].Moves))
		}
	}
	most := p.carries.pulls[0]
	assert.Contains(t, p.carries.most.text.Text, "tation "+most.ID+" pulls most: without it the line would lie "+fine(w.state.Job, math.Abs(most.Moves)))
	test.Tap(p.carries.most.text)
	i, ok := w.lists.reading()
	require.True(t, ok)
	assert.Equal(t, most.Row, i)
	assert.Equal(t, most.Row, w.board.Selected())

	other := p.carries.pulls[1]
	for _, o := range p.carries.rows[1].box.Objects {
		if b, ok := o.(*button); ok {
			b.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
		}
	}
	i, _ = w.lists.reading()
	assert.Equal(t, other.Row, i, "Enter on its sign")
}

func TestATapedWidthThatCarriesTheLineIsSelected(t *testing.T) {
	w, _ := openDemo(t, "a")
	w.choosePull(pull{board.Pull{ID: "25", Row: 0}, "tapes"})
	assert.Equal(t, listTapes, w.lists.open)
	w.choosePull(pull{board.Pull{ID: "none", Row: 3}, "right"})
	assert.Equal(t, listTapes, w.lists.open, "a reading that is not there any more is not gone to")
	names := []string{}
	for _, code := range []string{"tapes", "marks", "heights", "checks", "left"} {
		names = append(names, pullName(pull{board.Pull{ID: "7"}, code}))
	}
	assert.Equal(t, []string{"Tape from 7", "Centre mark 7", "Height 7", "Check station 7", "Station 7"}, names)
}

// The links that may be wrong are ranked with their evidence, the first of them
// open; without any there is no list.
func TestWhichLinkIsWrong(t *testing.T) {
	w, q := openDemo(t, "a")
	p := centreOf(w)
	links := w.state.Model.Links
	assert.True(t, p.links.box.Visible())
	for i, row := range p.links.rows {
		assert.Equal(t, i < len(links), row.box.Visible())
		assert.Equal(t, i == 0, row.inside.Visible(), "the first is open")
	}
	assert.Equal(t, "1. Stations misread: over 99 ×", p.links.rows[0].word.Text)
	assert.Contains(t, p.links.text[0].Text, "12, 19 and 42")
	last := len(links) - 1
	assert.Contains(t, p.links.rows[last].word.Text, "Pitch of the grid: not proved")
	p.links.rows[0].open(false)
	changed(t, w, q, func(j *board.Job) { j.Notes = "x" })
	assert.False(t, p.links.rows[0].inside.Visible(), "closed by the person, it stays closed")

	p.links.show(desk.State{Job: w.state.Job})
	assert.False(t, p.links.box.Visible())
	p.links.show(desk.State{Job: w.state.Job, Model: &board.Model{Links: []board.Link{{Code: "pitch", Text: "x"}}}})
	assert.False(t, p.links.box.Visible(), "what is but not proved is no fault")
	for _, code := range []string{"reading", "height", "moved", "pitch", "square", "board", "face", "gauge", "line", "roll", "pane"} {
		assert.False(t, strings.EqualFold(linkWord(code), code), code)
	}
	for weight, want := range map[float64]string{0: "not proved", 3.14: "3.1 ×", 14.2: "14 ×", 99: "over 99 ×"} {
		assert.Equal(t, want, weightWord(w.state.Job, weight))
	}
}

// A pane that is really not symmetric can be had as it was read, with the figure
// that says so on the button.
func TestNoMirrorIsOffered(t *testing.T) {
	w, q := openDemo(t, "c")
	changed(t, w, q, func(j *board.Job) { j.Mirror = board.MirrorBoth })
	p := centreOf(w)
	v := w.state.Model.Verdict
	require.Equal(t, "asymmetric", v.Code)
	assert.Equal(t, "Not a mirrored pane", p.head.Text)
	assert.True(t, p.verdict.Visible())
	assert.True(t, p.none.Visible())
	assert.Equal(t, "Choose no mirror: "+length(w.state.Job, math.Abs(v.Most))+" apart", p.none.Text)
	i := slices.IndexFunc(w.state.Model.Links, func(l board.Link) bool { return l.Code == "pane" })
	require.GreaterOrEqual(t, i, 0)
	assert.Equal(t, "As said above.", p.links.text[i].Text, "no sentence stands there twice")
	test.Tap(p.none)
	solved(t, w, q)
	assert.Equal(t, board.MirrorNone, w.state.Job.Mirror)
	assert.Equal(t, "Choose no mirror", w.state.Undo)
	assert.Equal(t, "No mirror", p.head.Text)
	assert.False(t, p.none.Visible())
	require.NotNil(t, w.state.Model.Pane)
	w.undo()
	solved(t, w, q)
	assert.Equal(t, board.MirrorBoth, w.state.Job.Mirror)

	changed(t, w, q, func(j *board.Job) { j.Mirror = board.MirrorAuto })
	assert.Equal(t, "Not mirrored", p.head.Text, "left to the program, it is not mirrored")
	assert.True(t, p.none.Visible(), "and that can be said for good")
}

// With half a pane and the overlap alone there is no figure, but what to read.
func TestHalfAloneIsRefused(t *testing.T) {
	w, q := openDemo(t, "a")
	p := centreOf(w)
	w.setFold(true)
	changed(t, w, q, func(j *board.Job) {
		j.Readings = slices.DeleteFunc(j.Readings, func(r board.Reading) bool { return r.Note == "check" })
	})
	assert.Equal(t, "Not determined", p.head.Text)
	assert.Contains(t, p.say.Text, "five check stations")
	assert.False(t, p.verdict.Visible())
	assert.False(t, p.follows.box.Visible())
	assert.False(t, p.carries.box.Visible())
	assert.True(t, p.fold.why.Visible())
	assert.Equal(t, "There is no centre line to fold over yet.", p.fold.why.Text)
}

// Where the halves differ is shown on the board.
func TestVerdictShowsItsPlace(t *testing.T) {
	w, _ := openDemo(t, "b")
	p := centreOf(w)
	v := w.state.Model.Verdict
	require.Equal(t, "asymmetric", v.Code)
	assert.Contains(t, p.why.text.Text, v.Where)
	assert.True(t, p.why.sign.Visible())
	assert.Equal(t, v.At, p.at)
	w.setSolid(true)
	test.Tap(p.why.text)
	assert.False(t, w.solidShown, "on the board")
	w, _ = openDemo(t, "a")
	p = centreOf(w)
	assert.False(t, p.why.sign.Visible(), "symmetric: there is no place to show")
}

// The switch of the panel and that of the menu are one.
func TestFoldSwitch(t *testing.T) {
	w, _ := openDemo(t, "b")
	p := centreOf(w)
	assert.False(t, p.fold.on.Checked)
	assert.False(t, p.fold.scale.Visible())
	w.setSolid(true)
	test.Tap(p.fold.on)
	assert.True(t, w.foldShown)
	assert.False(t, w.solidShown, "it is drawn on the board")
	assert.True(t, w.menu.halves.Checked)
	assert.True(t, p.fold.scale.Visible())
	assert.True(t, w.dump().Folded)
	p.fold.scale.SetSelectedIndex(4)
	assert.Equal(t, 20.0, foldScales[w.foldScale])
	w.menu.halves.Action()
	assert.False(t, w.foldShown)
	assert.False(t, p.fold.on.Checked)
	assert.Empty(t, foldRefused(w.state))
	c, _ := openDemo(t, "c")
	assert.Contains(t, foldRefused(c.state), "Not mirrored")
}

// Nudges go by the job's unit, by button and by key alike.
func TestNudgesAreOfTheUnit(t *testing.T) {
	for _, c := range []struct {
		demo, name string
		words      []string
		step       float64
	}{
		{"a", "Shift, in", []string{"−.05", "−.005", "+.005", "+.05"}, 0.005 * 25.4},
		{"b", "Shift, mm", []string{"−1.0", "−0.1", "+0.1", "+1.0"}, 0.1},
	} {
		w, q := openDemo(t, c.demo)
		p := centreOf(w)
		assert.Equal(t, c.name, p.shiftBy.Text)
		for i, b := range p.shift {
			assert.Equal(t, c.words[i], b.Text)
		}
		from := w.state.Model.Used.Offset
		p.shift[3].OnTapped()
		assert.Contains(t, p.apart.Text, fine(w.state.Job, 10*c.step)+" from what the readings say", "at once, before it is solved")
		solved(t, w, q)
		assert.InDelta(t, from+10*c.step, w.state.Job.Plane.Offset.MM, 0.01, "mm")
		for _, i := range w.menu.main.Items[3].Items {
			if i.Label == "A step to the left" {
				i.Action()
			}
		}
		assert.InDelta(t, from+9*c.step, w.state.Job.Plane.Offset.MM, 0.01, "mm")
	}
}

// The figures of the line are typed under a word that opens, and by itself where
// one of them is not understood.
func TestTypingTheLineIsFolded(t *testing.T) {
	w, _ := openDemo(t, "b")
	p := centreOf(w)
	assert.False(t, p.hand.inside.Visible())
	assert.Zero(t, w.dump().Offset0, "not in view")
	test.Tap(p.hand.word)
	assert.True(t, p.hand.inside.Visible())
	p.hand.open(false)
	require.NoError(t, w.Edit("type", func(j *board.Job) error {
		j.Plane = &board.TypedPlane{Offset: j.Typed("1..2"), Skew: j.Typed("0"), Roll: j.Typed("0")}
		return nil
	}))
	assert.True(t, p.hand.inside.Visible())
	assert.True(t, p.offset.fault.Visible())
}

// A station that stands out is worth knowing, and nothing that has to be done.
func TestAStationThatStandsOutIsARemark(t *testing.T) {
	j := board.NewJob("")
	assert.True(t, findingPlace(j, board.Finding{List: "edge", Code: "stands-out", Text: "x"}).remark)
	assert.False(t, findingPlace(j, board.Finding{List: "edge", Code: "other", Text: "x"}).remark)
}

// Nothing in the panel is wider than the narrowest panel, so that nothing is cut
// off at the smallest window.
func TestCentrePanelIsNarrow(t *testing.T) {
	for _, letter := range []string{"a", "b", "c"} {
		w, q := openDemo(t, letter)
		p := centreOf(w)
		w.setFold(true)
		if letter != "c" {
			w.nudge(12.5, -0.3, 0.2)
			solved(t, w, q)
		}
		for _, f := range []*folding{p.hand, p.links.rows[0], p.links.rows[1]} {
			f.open(true)
		}
		wide := p.box.(*container.Scroll).Content.MinSize().Width
		assert.LessOrEqual(t, wide, float32(rightMin-2), "demo %s", letter)
	}
}
