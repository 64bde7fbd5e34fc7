package ui

import (
	"fmt"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/board"
)

// typeOffset types a centre line d mm to the right of the one found.
func typeOffset(t *testing.T, w *Window, q *queue, d float64) {
	t.Helper()
	u := w.state.Model.Found
	require.NotNil(t, u)
	require.NoError(t, w.Edit("centre", func(j *board.Job) error {
		p := planeTyped(j, u.Offset+d, u.Skew, u.Roll)
		j.Plane = &p
		return nil
	}))
	solved(t, w, q)
}

func TestPredictionOfAWrongCentreLine(t *testing.T) {
	w, q := openDemo(t, "a")
	w.openStep(stepFit)
	p := w.panels[stepFit].(*fitPanel).prediction
	assert.True(t, strings.HasPrefix(p.head.Text, "Predicted: drops in with"), "%s", p.head.Text)
	assert.Equal(t, widget.SuccessImportance, p.head.Importance)
	assert.False(t, p.fit.why.Visible())
	assert.False(t, p.fit.wall.Visible(), "the clearance does")
	assert.True(t, p.fit.contacts.Visible())

	typeOffset(t, w, q, 2)
	assert.Equal(t, "Predicted: does not drop in", p.head.Text)
	assert.Equal(t, widget.DangerImportance, p.head.Importance)
	assert.True(t, p.fit.why.Visible())
	assert.Contains(t, p.fit.why.Text, "too narrow", "the right half was read")
	assert.Equal(t, markAttention, w.steps.marks[stepFit])
	assert.Contains(t, p.fit.places[0].text.Text, "Binds at ")
	assert.True(t, p.fit.wall.Visible())
	id := p.fit.at[0]
	p.fit.places[0].text.Tapped(nil)
	i, ok := w.lists.reading()
	require.True(t, ok)
	assert.Equal(t, id, w.state.Job.Readings[i].ID, "a click goes there")

	p.fit.wall.OnTapped()
	solved(t, w, q)
	assert.Greater(t, w.state.Job.Pocket.Wall, 2.0)
	assert.GreaterOrEqual(t, w.state.Model.Fit.Snug, 0.9, "about 95 of 100")
	w.undo()
	w.undo()

	typeOffset(t, w, q, -2)
	assert.Equal(t, "Predicted: drops in, but loose", p.head.Text)
	assert.Contains(t, p.fit.why.Text, "too wide")
	p.fit.found.OnTapped()
	solved(t, w, q)
	assert.Nil(t, w.state.Job.Plane)
	assert.False(t, p.fit.why.Visible())
}

func TestFitWords(t *testing.T) {
	j := board.NewJob("x")
	for _, c := range []struct {
		in, snug, sits float64
		want           string
	}{
		{1, 1, 1, "Predicted: drops in with 0.60 mm to spare"},
		{0.97, 0.96, 0.95, "Predicted: drops in with 0.60 mm to spare"},
		{0.97, 0.96, 0.6, "Predicted: drops in, may not lie down"},
		{0.97, 0.96, 0.4, "Predicted: drops in, but does not lie down"},
		{0.97, 0.6, 0.6, "Predicted: drops in, may be loose"},
		{0.97, 0.4, 0.4, "Predicted: drops in, but loose"},
		{0.9, 0.4, 0.4, "Predicted: may bind"},
		{0.1, 0, 0, "Predicted: does not drop in"},
	} {
		word, _ := fitWord(j, &board.FitCheck{DropsIn: c.in, Snug: c.snug, Sits: c.sits, LeastGap: 0.6})
		assert.Equal(t, c.want, word)
	}
	assert.Contains(t, chancesWord(&board.FitCheck{DropsIn: 0.995, Snug: 0.95, Sits: 0.949}),
		"99 drop in, 95 are snug and 94 sit", "never rounded up")
	assert.NotContains(t, chancesWord(&board.FitCheck{}), "0")
}

func TestClearanceThatWouldDo(t *testing.T) {
	mm, in := board.NewJob("x"), board.NewJob("y")
	in.Unit = board.Inch
	for _, c := range []struct {
		j          *board.Job
		want, got  float64
		ok         bool
		because    string
		enoughWall float64
	}{
		{j: mm, enoughWall: 2.01, want: 2.1, ok: true, because: "to a tenth, up"},
		{j: mm, enoughWall: 2.1, want: 2.1, ok: true},
		{j: in, enoughWall: 2, want: 6 * 25.4 / 64, ok: true, because: "to a 64th, up"},
		{j: mm, enoughWall: 12, want: 12, because: "no pocket has so much"},
		{j: mm, because: "not known"},
	} {
		got, ok := enoughWall(c.j, &board.FitCheck{Enough: c.enoughWall})
		assert.InDelta(t, c.want, got, 1e-9, c.because)
		assert.Equal(t, c.ok, ok, c.because)
	}
}

func TestGapTableGoesToTheLineThatIsClicked(t *testing.T) {
	var got []int
	text := newTapText(func(line int) { got = append(got, line) })
	var lines []string
	for i := range 100 {
		lines = append(lines, fmt.Sprint(i))
	}
	text.SetText(strings.Join(lines, "\n"))
	text.Resize(text.MinSize())
	high := text.MinSize().Height - 2*theme.InnerPadding()
	for _, line := range []int{0, 1, 57, 99} {
		text.Tapped(&fyne.PointEvent{Position: fyne.NewPos(10, theme.InnerPadding()+high*(float32(line)+0.5)/100)})
	}
	assert.Equal(t, []int{0, 1, 57, 99}, got)
}

func TestGapPlaces(t *testing.T) {
	j := board.NewJob("x")
	f := &board.FitCheck{Wall: 1.5, DropsIn: 0.3, BindsAt: []string{"2", "2'", "3"}, Stations: []board.StationGap{
		{ID: "1", Low: 0.5, Mid: 1, High: 3.5}, {ID: "2", Low: -0.5, Mid: -0.1, High: 0.2}, {ID: "2'", Low: -0.5, Mid: -0.1, High: 0.2}, {ID: "3", Low: -0.1, Mid: 0.2, High: 0.4},
	}}
	var texts []string
	for _, p := range gapPlaces(j, f) {
		texts = append(texts, p.text)
	}
	assert.Equal(t, []string{
		"Binds at 2 and opposite: gap -0.50 to 0.20 mm", "Binds at 3: gap -0.10 to 0.40 mm", "Loose at 1: gap 0.50 to 3.50 mm",
	}, texts)
	f.DropsIn = 0.9
	assert.Equal(t, "May bind at 3: gap -0.10 to 0.40 mm", gapPlaces(j, f)[1].text)
	f.DropsIn, f.Snug, f.BindsAt = 1, 1, nil
	assert.Equal(t, "Tightest at 2: gap -0.50 to 0.20 mm", gapPlaces(j, f)[0].text)
	assert.Equal(t, [][]string{{"station", "5", "50", "95", ""}, {"1", "0.50", "1.00", "3.50", "="}, {"2", "-0.50", "-0.10", "0.20", "✕"}}, gapRows(j, f)[:3])
}
