package boardview

import (
	"errors"
	"image"
	"image/color"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/desk"
	"panewright/app/ui/look"
	"panewright/board"
)

func TestTheWholeBoardIsShownUntilThePersonMovesIt(t *testing.T) {
	v, _ := show(t, fourStations(board.MM), nil)
	inside := func() {
		t.Helper()
		for _, p := range []r2.Vec{{X: -900, Y: 0}, {X: 900, Y: 1100}} { // the grid's corners, NewJob
			q := v.lens.px(p)
			assert.True(t, q.X > 20 && q.X < float64(v.size.Width)-20 && q.Y > 20 && q.Y < float64(v.size.Height)-20, "%v at %v", p, q)
		}
	}
	inside()
	v.resized(fyne.NewSize(300, 700))
	inside()

	before := v.lens
	v.Scrolled(&fyne.ScrollEvent{PointEvent: fyne.PointEvent{Position: at(v, 100, 100)}, Scrolled: fyne.NewDelta(0, 25)})
	assert.Greater(t, v.lens.s, before.s)
	kept := v.lens.s
	v.resized(fyne.NewSize(500, 500))
	assert.Equal(t, kept, v.lens.s, "a zoomed picture keeps its scale")
	v.Fit()
	inside()
}

func TestKeysMoveAndZoom(t *testing.T) {
	v, _ := show(t, fourStations(board.MM), nil)
	o := v.lens.o
	tap(v, fyne.KeyRight)
	assert.Equal(t, o.X-keyStep, v.lens.o.X)
	tap(v, fyne.KeyLeft)
	tap(v, fyne.KeyDown)
	assert.Equal(t, o.Y-keyStep, v.lens.o.Y)
	tap(v, fyne.KeyUp)
	assert.Equal(t, o, v.lens.o)
	s := v.lens.s
	v.TypedRune('+')
	assert.InEpsilon(t, s*keyZoom, v.lens.s, 1e-12)
	v.TypedRune('-')
	assert.InEpsilon(t, s, v.lens.s, 1e-12)
	v.TypedRune('-')
	v.TypedRune('f')
	assert.InEpsilon(t, s, v.lens.s, 1e-12)
}

func TestClickSelects(t *testing.T) {
	v, d := show(t, fourStations(board.MM), nil)
	got := []int{}
	v.OnSelect = func(i int) { got = append(got, i) }
	click(v, at(v, 300, 100).AddXY(4, -3))
	click(v, at(v, 300, 100)) // again: nothing new
	click(v, at(v, -300, 500))
	click(v, at(v, 600, 900))
	assert.Equal(t, []int{1, 3, None}, got)
	assert.Empty(t, d.edits)
	v.Select(2)
	assert.Equal(t, 2, v.Selected())
	v.Select(99)
	assert.Equal(t, None, v.Selected())
	assert.Len(t, got, 3, "Select does not call back")
}

func TestSelectionFollowsItsReading(t *testing.T) {
	v, d := show(t, fourStations(board.MM), nil)
	v.Select(2)
	require.NoError(t, d.Edit("insert", func(j *board.Job) error {
		return j.Insert(0, board.Reading{ID: "9", Kind: board.Edge, X: j.Typed("0"), Y: j.Typed("0")})
	}))
	assert.Equal(t, 3, v.Selected())
	require.NoError(t, d.Edit("delete", func(j *board.Job) error { return j.Delete(3) }))
	assert.Equal(t, None, v.Selected())
}

func TestDragMovesAStationOnce(t *testing.T) {
	v, d := show(t, fourStations(board.MM), nil)
	drag(v, at(v, 300, 100), at(v, 338, 88))
	assert.Equal(t, []string{"Move station 2"}, d.edits)
	r := d.job().Readings[1]
	assert.Equal(t, "337.5", r.X.Text, "an eighth of 100 mm")
	assert.Equal(t, "87.5", r.Y.Text)
	assert.Equal(t, 337.5, r.X.MM)

	drag(v, at(v, 337.5, 87.5), at(v, 400, 88))
	assert.Equal(t, "87.5", d.job().Readings[1].Y.Text)
	assert.Equal(t, "400", d.job().Readings[1].X.Text)

	drag(v, at(v, 400, 87.5), at(v, 400, 87.5).AddXY(2, 2))
	assert.Len(t, d.edits, 2, "a shaky click is no drag")
}

func TestDragInInchesTypesFractions(t *testing.T) {
	j := fourStations(board.Inch)
	j.Grid.PitchX = board.Cell{Text: "2", Unit: board.Inch}
	j.Grid.ColFirst, j.Grid.ColLast, j.Grid.Rows = -14, 14, 12
	j.Evaluate()
	v, d := show(t, j, nil)
	drag(v, at(v, 300, 100), at(v, 12.26*25.4, 4.5*25.4))
	assert.Equal(t, "12 1/4", d.job().Readings[1].X.Text)
	assert.Equal(t, "4 1/2", d.job().Readings[1].Y.Text)
}

func TestEscapeLetsGo(t *testing.T) {
	v, d := show(t, fourStations(board.MM), nil)
	press(v, at(v, 300, 100))
	pull(v, at(v, 400, 200))
	tap(v, fyne.KeyEscape)
	release(v, at(v, 400, 200))
	assert.Empty(t, d.edits)
}

func TestDragOnTheEmptyBoardMovesThePicture(t *testing.T) {
	for _, button := range []desktop.MouseButton{desktop.MouseButtonPrimary, desktop.MouseButtonTertiary} {
		v, d := show(t, fourStations(board.MM), nil)
		a := at(v, 600, 900)
		if button == desktop.MouseButtonTertiary {
			a = at(v, 300, 100) // even over a station
		}
		v.MouseDown(mouse(a, button))
		o := v.lens.o
		pull(v, a.AddXY(30, -20))
		near(t, r2.Add(o, r2.Vec{X: 30, Y: -20}), v.lens.o, 1e-4)
		v.MouseUp(mouse(a.AddXY(30, -20), button))
		assert.Empty(t, d.edits)
		assert.False(t, v.fitting)
	}
}

func TestCentreLineDrag(t *testing.T) {
	v, d := show(t, fourStations(board.MM), nil)
	require.NotNil(t, v.scene.line)
	assert.True(t, v.scene.guessed, "nothing is known of it yet")
	var told []*board.Consequence
	v.OnDrag = func(c *board.Consequence) { told = append(told, c) }

	drag(v, at(v, 0, 333), at(v, 12, 250))
	require.Equal(t, []string{"Move centre line"}, d.edits)
	p := d.job().Plane
	require.NotNil(t, p)
	assert.InDelta(t, 12, p.Offset.MM, 1) // a pixel is 2.5 mm
	assert.Zero(t, p.Skew.MM)
	assert.True(t, p.Roll.Set)
	assert.Greater(t, len(told), 2)
	assert.Nil(t, told[len(told)-1], "told that it was let go")
	assert.Equal(t, "3", told[0].WidestAt)
	assert.Len(t, d.asked, len(told)-1)

	// the upper handle turns it about the lower one
	lower := v.scene.line.at(v.scene.lineEnds[0])
	upper := v.scene.line.at(v.scene.lineEnds[1])
	drag(v, at(v, upper.X, upper.Y), at(v, upper.X-20, upper.Y))
	require.Len(t, d.edits, 2)
	assert.Greater(t, d.job().Plane.Skew.MM, 1.0, "the upper end to the left is counter-clockwise")
	assert.InDelta(t, lower.X, v.scene.line.x(lower.Y), 0.2, "the lower handle stays, mm")
}

func TestCentreLineIsNotThereWithoutAMirror(t *testing.T) {
	j := fourStations(board.MM)
	j.Mirror = board.MirrorNone
	v, d := show(t, j, nil)
	assert.Nil(t, v.scene.line)
	drag(v, at(v, 0, 333), at(v, 12, 333))
	assert.Empty(t, d.edits)
}

func TestSecondButtonAsksForTheMenu(t *testing.T) {
	v, _ := show(t, fourStations(board.MM), nil)
	var got []int
	v.OnMenu = func(i int, _ fyne.Position) { got = append(got, i) }
	v.MouseDown(mouse(at(v, 300, 500), desktop.MouseButtonSecondary))
	v.MouseDown(mouse(at(v, 700, 900), desktop.MouseButtonSecondary))
	assert.Equal(t, []int{2, None}, got)
}

func TestHoverSaysWhereAndWhat(t *testing.T) {
	v, _ := show(t, fourStations(board.MM), nil)
	var said string
	v.OnHover = func(s string) { said = s }
	move(v, at(v, 612.5, 812.5))
	p := v.lens.mm(v.pointer)
	assert.Equal(t, place(p, v.scene.job), said)
	assert.Contains(t, said, "line 6")
	assert.False(t, v.hint.back.Visible(), "the empty board needs no label")
	move(v, at(v, 300, 100))
	assert.Equal(t, "station 2 · line 3, line B · 300.0, 100.0 mm", said)
	assert.True(t, v.hint.back.Visible())
	assert.Equal(t, "station 2", v.hint.lines[0].Text)
	assert.Equal(t, desktop.PointerCursor, v.Cursor())
	v.MouseOut()
	assert.Empty(t, said)
	assert.False(t, v.hint.back.Visible())
}

func TestCentreOnMovesOnlyWhatCannotBeSeen(t *testing.T) {
	v, _ := show(t, fourStations(board.MM), nil)
	l := v.lens
	v.CentreOn(1)
	assert.Equal(t, l, v.lens)
	assert.Equal(t, 1, v.Selected())
	v.zoomAt(v.lens.px(r2.Vec{X: -300, Y: 500}), 20)
	v.CentreOn(1)
	near(t, r2.Vec{X: 400, Y: 300}, v.lens.px(r2.Vec{X: 300, Y: 100}), 1e-3)
}

func TestRefusalsAreSaid(t *testing.T) {
	v, d := show(t, fourStations(board.MM), nil)
	var got error
	v.OnRefused = func(err error) { got = err }
	no := errors.New("no")
	assert.False(t, v.edit("try", func(*board.Job) error { return no }))
	assert.ErrorIs(t, got, no)
	assert.Empty(t, d.edits)
}

// TestSavedElsewhere: a job that was given a file, or another one, is seen as before.
func TestSavedElsewhere(t *testing.T) {
	v, d := show(t, fourStations(board.MM), nil)
	v.Zoom(5)
	v.Select(1)
	lens := v.lens
	s := d.State()
	s.Path = "other.pane"
	v.Display(s)
	assert.Equal(t, 1, v.Selected())
	assert.Equal(t, lens, v.lens)
	assert.False(t, v.fitting)
}

func TestEmptyStateIsDrawn(t *testing.T) {
	v, _ := show(t, board.NewJob("empty"), nil)
	v.Display(desk.State{Job: board.NewJob("x")})
	v.paint(300, 200)
	v.Display(desk.State{})
	v.paint(300, 200)
	move(v, fyne.NewPos(10, 10))
	press(v, fyne.NewPos(10, 10))
	v.TypedRune('3')
	tap(v, fyne.KeyEscape)
}

// colours near a board point in a picture with k device pixels to a logical one.
func coloursAt(v *View, k int, x, y float64, reach int) map[color.NRGBA]int {
	img := v.paint(800*k, 600*k).(*image.RGBA)
	p := v.lens.times(float64(k)).px(r2.Vec{X: x, Y: y})
	seen := map[color.NRGBA]int{}
	for dy := -reach * k; dy <= reach*k; dy++ {
		for dx := -reach * k; dx <= reach*k; dx++ {
			c := img.RGBAAt(int(p.X)+dx, int(p.Y)+dy)
			seen[color.NRGBA(c)]++ // opaque: the two agree
		}
	}
	return seen
}

func TestPixels(t *testing.T) {
	v, _ := show(t, fourStations(board.MM), nil)
	col := look.Current()
	for _, k := range []int{1, 2} { // plain and high-density screens
		assert.Equal(t, 1, len(coloursAt(v, k, 650, 850, 2)), "bare board is one colour")
		assert.Contains(t, coloursAt(v, k, 650, 850, 2), col.Board)
		line := coloursAt(v, k, 650, 900, 3)
		assert.Equal(t, 7*k*k-(k*k-k), line[col.Grid], "a grid line is k pixels thick, k = %d: %v", k, line)
		assert.Contains(t, coloursAt(v, k, 500, 850, 2), col.GridFifth, "every fifth is stronger")
		assert.Contains(t, coloursAt(v, k, 300, 100, 6), col.Station)
		assert.NotContains(t, coloursAt(v, k, 300, 100, 6), col.Selected)
	}
	v.Select(1)
	assert.Contains(t, coloursAt(v, 1, 300, 100, 6), col.Selected)
	v.Select(None)
	move(v, at(v, 300, 100))
	assert.Greater(t, len(coloursAt(v, 1, 300, 100, 8)), 8, "lit up under the pointer")

	fyne.CurrentApp().Settings().SetTheme(look.Theme{Mode: look.Dark})
	assert.Contains(t, coloursAt(v, 1, 650, 850, 2), look.ColoursFor(0, false).Board)
}

func TestStruckReadingsStayVisible(t *testing.T) {
	v, d := show(t, fourStations(board.MM), nil)
	require.NoError(t, d.Edit("strike", func(j *board.Job) error { return j.Strike(1, "slip") }))
	p, ok := v.scene.find(1)
	require.True(t, ok)
	assert.Equal(t, board.StruckOut, p.state)
	assert.NotContains(t, coloursAt(v, 1, 300, 100, 6), look.Current().Station)
	assert.Greater(t, len(coloursAt(v, 1, 300, 100, 6)), 5)
}

func TestWidgetIsLaidOutByItsRenderer(t *testing.T) {
	v, _ := show(t, fourStations(board.MM), nil)
	r := test.WidgetRenderer(v)
	r.Layout(fyne.NewSize(500, 400))
	assert.Equal(t, fyne.NewSize(500, 400), v.raster.Size())
	r.Refresh()
	assert.NotEmpty(t, r.Objects())
	assert.Positive(t, r.MinSize().Width)
}
