package boardview

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/ui/look"
	"panewright/board"
)

// shifted is a press of the first button with Shift held.
func shifted(v *View, p fyne.Position) {
	e := mouse(p, desktop.MouseButtonPrimary)
	e.Modifier = fyne.KeyModifierShift
	v.MouseDown(e)
}

func shiftClick(v *View, p fyne.Position) {
	shifted(v, p)
	release(v, p)
}

// frameRound draws a frame from a to b with Shift held.
func frameRound(v *View, a, b fyne.Position) {
	shifted(v, a)
	pull(v, fyne.NewPos((a.X+b.X)/2, (a.Y+b.Y)/2))
	pull(v, b)
	release(v, b)
	v.DragEnd()
}

// mixed is the job of four stations with two face points between them and a mark.
func mixed() *board.Job {
	j := fourStations(board.MM)
	for _, r := range []struct {
		id, x, y string
		kind     board.Kind
	}{{"F1", "-100", "300", board.Face}, {"F2", "100", "300", board.Face}, {"M1", "0", "700", board.Mark}} {
		j.Readings = append(j.Readings, board.Reading{ID: r.id, Kind: r.kind, X: board.Cell{Text: r.x}, Y: board.Cell{Text: r.y}})
	}
	j.Evaluate()
	return j
}

func TestShiftAndAClickSelectsMore(t *testing.T) {
	v, d := show(t, mixed(), nil)
	var told [][]int
	v.OnPick = func(i []int) { told = append(told, i) }
	click(v, at(v, -300, 500))
	shiftClick(v, at(v, -300, 100))
	assert.Equal(t, []int{0, 3}, v.Picked())
	assert.Equal(t, 0, v.Selected(), "the last one is looked at")
	shiftClick(v, at(v, 300, 100))
	assert.Equal(t, []int{0, 1, 3}, v.Picked())
	shiftClick(v, at(v, -300, 100))
	assert.Equal(t, []int{1, 3}, v.Picked(), "and taken out again")
	require.Len(t, told, 3)
	assert.Equal(t, []int{0, 3, 1}, told[1], "the last at the end")

	shiftClick(v, at(v, 100, 300))
	assert.Equal(t, []int{5}, v.Picked(), "a face point stands in another list")
	shiftClick(v, at(v, -100, 300))
	assert.Equal(t, []int{4, 5}, v.Picked())
	shiftClick(v, at(v, 600, 900))
	assert.Equal(t, []int{4, 5}, v.Picked(), "the bare board changes nothing")
	tap(v, fyne.KeyEscape)
	assert.Empty(t, v.Picked())
	assert.Equal(t, None, v.Selected())
	assert.Empty(t, d.edits)
}

func TestAFrameSelectsWhatLiesInIt(t *testing.T) {
	for _, tt := range []struct {
		name           string
		from           int // selected before
		x0, y0, x1, y1 float64
		want           []int
	}{
		{"the lower two", None, -500, 200, 500, 50, []int{0, 1}},
		{"drawn the other way", None, 500, 50, -500, 200, []int{0, 1}},
		{"stations before all else", None, -600, -50, 600, 800, []int{0, 1, 2, 3}},
		{"the list of the one selected", 4, -600, -50, 600, 800, []int{4, 5}},
		{"only face points", 1, -150, 250, 150, 350, []int{4, 5}},
		{"one mark", None, -50, 650, 50, 750, []int{6}},
		{"nothing", 1, 550, 600, 700, 800, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			v, d := show(t, mixed(), nil)
			v.Select(tt.from)
			lens := v.lens
			frameRound(v, at(v, tt.x0, tt.y0), at(v, tt.x1, tt.y1))
			assert.Equal(t, tt.want, v.Picked())
			assert.Equal(t, lens, v.lens, "the picture stays")
			assert.Empty(t, d.edits)
		})
	}
}

func TestAFrameIsDrawnAndGivenUp(t *testing.T) {
	for _, mode := range []look.Mode{look.Light, look.Dark} {
		v, _ := show(t, mixed(), nil)
		fyne.CurrentApp().Settings().SetTheme(look.Theme{Mode: mode})
		bare := coloursAt(v, 1, 430, 350, 2)
		shifted(v, at(v, -500, 50))
		pull(v, at(v, 550, 555))
		assert.NotEqual(t, bare, coloursAt(v, 1, 430, 350, 2), "tinted inside, mode %v", mode)
		assert.Equal(t, "4 stations", v.hint.lines[0].Text)
		tap(v, fyne.KeyEscape)
		assert.Equal(t, bare, coloursAt(v, 1, 430, 350, 2))
		release(v, at(v, 550, 555))
		assert.Empty(t, v.Picked())
	}
}

func TestAllThatAreSelectedAreDrawnSo(t *testing.T) {
	v, _ := show(t, mixed(), nil)
	v.Pick([]int{0, 2})
	col := look.Current()
	assert.Contains(t, coloursAt(v, 1, -300, 100, 2), col.Selected, "filled")
	assert.Contains(t, coloursAt(v, 1, 300, 500, 2), col.Selected)
	assert.NotContains(t, coloursAt(v, 1, 300, 100, 6), col.Selected)
	v.Pick(nil)
	assert.NotContains(t, coloursAt(v, 1, -300, 100, 6), col.Selected)
}

func TestSeveralAreMovedAsOneStep(t *testing.T) {
	v, d := show(t, mixed(), nil)
	v.Pick([]int{0, 1, 2, 3})
	drag(v, at(v, 300, 100), at(v, 351, 100))
	assert.Equal(t, []string{"Move 4 stations"}, d.edits)
	for i, want := range [][2]string{{"-250", "100"}, {"350", "100"}, {"350", "500"}, {"-250", "500"}} {
		r := d.job().Readings[i]
		assert.Equal(t, want, [2]string{r.X.Text, r.Y.Text}, "station %s", r.ID)
	}
	assert.Equal(t, []int{0, 1, 2, 3}, v.Picked(), "they stay selected")
	assert.Equal(t, "-100", d.job().Readings[4].X.Text, "the others stay")

	_, ok := d.history.Undo()
	require.True(t, ok, "one step")
	assert.Equal(t, "-300", d.job().Readings[0].X.Text)
}

func TestWhatDoesNotChangeStaysAsItWasTyped(t *testing.T) {
	j := mixed()
	j.Readings[0].Y, j.Readings[1].Y = board.Cell{Text: "100 mm"}, board.Cell{Text: "100.00"}
	j.Evaluate()
	require.Empty(t, j.Readings[0].Y.Fault)
	v, d := show(t, j, nil)
	v.Pick([]int{0, 1})
	tap(v, fyne.KeyRight)
	assert.Equal(t, "Move 2 stations", d.edits[0])
	assert.Equal(t, "100 mm", d.job().Readings[0].Y.Text)
	assert.Equal(t, "100.00", d.job().Readings[1].Y.Text)
	assert.Equal(t, "312.5", d.job().Readings[1].X.Text, "an eighth of 100 mm")
}

func TestArrowsNudgeSeveral(t *testing.T) {
	for _, tt := range []struct {
		key  fyne.KeyName
		x, y string
	}{{fyne.KeyLeft, "287.5", "500"}, {fyne.KeyRight, "312.5", "500"}, {fyne.KeyUp, "300", "512.5"}, {fyne.KeyDown, "300", "487.5"}} {
		v, d := show(t, mixed(), nil)
		lens := v.lens
		v.Pick([]int{2, 3})
		tap(v, tt.key)
		assert.Equal(t, lens, v.lens, "the picture stays")
		r := d.job().Readings[2]
		assert.Equal(t, []string{tt.x, tt.y}, []string{r.X.Text, r.Y.Text}, "%s", tt.key)
	}
	v, d := show(t, mixed(), nil)
	v.SetSnap(0)
	v.Pick([]int{4, 5})
	tap(v, fyne.KeyUp)
	assert.Equal(t, []string{"Move 2 face points"}, d.edits)
	assert.Equal(t, "300.1", d.job().Readings[4].Y.Text, "a tenth of a millimetre where nothing snaps")
}

func TestAClickOnOneOfSeveralSelectsIt(t *testing.T) {
	v, d := show(t, mixed(), nil)
	v.Pick([]int{0, 1, 2})
	var got []int
	v.OnSelect = func(i int) { got = append(got, i) }
	press(v, at(v, 300, 100))
	assert.Len(t, v.Picked(), 3, "until the button is let go: it may be a drag")
	release(v, at(v, 300, 100))
	assert.Equal(t, []int{1}, v.Picked())
	assert.Equal(t, []int{1}, got)
	assert.Empty(t, d.edits)
}

func TestAStationThatIsNotSelectedMovesAlone(t *testing.T) {
	v, d := show(t, mixed(), nil)
	v.Pick([]int{0, 2})
	drag(v, at(v, 300, 100), at(v, 351, 100))
	assert.Equal(t, []string{"Move station 2"}, d.edits)
	assert.Equal(t, "-300", d.job().Readings[0].X.Text)
}

func TestADragOfSeveralIsGivenUp(t *testing.T) {
	v, d := show(t, mixed(), nil)
	v.Pick([]int{0, 1})
	press(v, at(v, 300, 100))
	pull(v, at(v, 400, 200))
	assert.Equal(t, []string{"2 stations", "station 2"}, v.gesture.words(v)[:2])
	assert.Contains(t, coloursAt(v, 1, -200, 200, 8), look.Current().Selected, "where the other would go")
	tap(v, fyne.KeyEscape)
	release(v, at(v, 400, 200))
	assert.Empty(t, d.edits)
	assert.Len(t, v.Picked(), 2)
}

func TestSelectionOfSeveralFollowsAnEdit(t *testing.T) {
	v, d := show(t, mixed(), nil)
	v.Pick([]int{1, 3})
	require.NoError(t, d.Edit("insert", func(j *board.Job) error {
		return j.Insert(0, board.Reading{ID: "9", Kind: board.Edge, X: j.Typed("0"), Y: j.Typed("0")})
	}))
	assert.Equal(t, []int{2, 4}, v.Picked())
	require.NoError(t, d.Edit("delete", func(j *board.Job) error { return j.Delete(2) }))
	assert.Equal(t, []int{3}, v.Picked())
	v.Pick([]int{-1, 0, 99})
	assert.Equal(t, []int{0}, v.Picked(), "what there is")
}

func TestSeveralOfATurnedLayingMoveAsTheyLay(t *testing.T) {
	j, m := joined()
	v, d := show(t, j, m)
	v.Pick([]int{2, 3})
	tap(v, fyne.KeyUp)
	require.Equal(t, []string{"Move 2 stations"}, d.edits)
	first, turned := d.job().Readings[2], d.job().Readings[3]
	assert.InDelta(t, 512.5, first.Y.MM, 1e-9)
	assert.InDelta(t, -287.5, turned.X.MM, 1e-9, "up is right as it lay")
	assert.InDelta(t, 500, turned.Y.MM, 1e-9)
}

func TestShortcutsAreHandedOn(t *testing.T) {
	v, _ := show(t, mixed(), nil)
	v.TypedShortcut(&fyne.ShortcutSelectAll{})
	var got fyne.Shortcut
	v.OnShort = func(s fyne.Shortcut) { got = s }
	v.TypedShortcut(&fyne.ShortcutSelectAll{})
	assert.IsType(t, &fyne.ShortcutSelectAll{}, got)
	var key fyne.KeyName
	v.OnKey = func(e *fyne.KeyEvent) bool { key = e.Name; return true }
	tap(v, fyne.KeyDelete)
	assert.Equal(t, fyne.KeyDelete, key)
}
