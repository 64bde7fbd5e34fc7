package boardview

import (
	"context"
	"image"
	"os"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/desk"
	"panewright/app/ui/look"
	"panewright/board"
)

// fakeDesk is a Door over a bare history: edits are kept and shown at once, and
// nothing is solved.
type fakeDesk struct {
	history *board.History
	model   *board.Model
	edits   []string
	asked   [][3]float64 // offset, skew and roll of each consequence asked for
	view    *View
}

func (d *fakeDesk) State() desk.State { return desk.State{Job: d.history.Job(), Model: d.model} }

func (d *fakeDesk) Edit(name string, f func(*board.Job) error) error {
	if _, err := d.history.Edit(name, f); err != nil {
		return err
	}
	d.edits = append(d.edits, name)
	d.view.Display(d.State())
	return nil
}

func (d *fakeDesk) Consequence(offset, skew, roll float64) (board.Consequence, bool) {
	d.asked = append(d.asked, [3]float64{offset, skew, roll})
	if d.model == nil {
		return board.Consequence{Ghost: []r2.Vec{{X: -300, Y: 0}, {X: -300, Y: 400}}, WidestAt: "3", WidestDifference: 2}, true
	}
	return d.model.Consequence(offset, skew, roll)
}

func (d *fakeDesk) job() *board.Job { return d.history.Job() }

// fourStations is a job on the usual board, 100 mm squares, with a station on
// each side of x = 0 and the centre line left to the program.
func fourStations(unit board.Unit) *board.Job {
	j := board.NewJob("test")
	j.Unit = unit
	for i, xy := range [][2]string{{"-300", "100"}, {"300", "100"}, {"300", "500"}, {"-300", "500"}} {
		r := board.Reading{ID: string(rune('1' + i)), Kind: board.Edge}
		r.X, r.Y = board.Cell{Text: xy[0]}, board.Cell{Text: xy[1]}
		j.Readings = append(j.Readings, r)
	}
	j.Evaluate()
	return j
}

// show puts a job and its model into a window of 800 by 600.
func show(t testing.TB, j *board.Job, m *board.Model) (*View, *fakeDesk) {
	t.Helper()
	a := test.NewTempApp(t)
	a.Settings().SetTheme(look.Theme{Mode: look.Light})
	d := &fakeDesk{history: board.NewHistory(j), model: m}
	v := New(d)
	d.view = v
	w := test.NewTempWindow(t, v)
	w.SetPadded(false)
	w.Resize(fyne.NewSize(800, 600))
	return v, d
}

// demo is a demo job, solved.
func demo(t testing.TB, name string) (*board.Job, *board.Model) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "..", "assets", "jobs", name+".pane"))
	require.NoError(t, err)
	j, _, err := board.Decode(name, data)
	require.NoError(t, err)
	m, err := board.Solve(context.Background(), j, func(string, float64) {})
	require.NoError(t, err)
	return j, m
}

// at is the position of a board point.
func at(v *View, x, y float64) fyne.Position {
	p := v.lens.px(r2.Vec{X: x, Y: y})
	return fyne.NewPos(float32(p.X), float32(p.Y))
}

func mouse(p fyne.Position, b desktop.MouseButton) *desktop.MouseEvent {
	return &desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: p, AbsolutePosition: p}, Button: b}
}

func press(v *View, p fyne.Position)   { v.MouseDown(mouse(p, desktop.MouseButtonPrimary)) }
func release(v *View, p fyne.Position) { v.MouseUp(mouse(p, desktop.MouseButtonPrimary)) }
func move(v *View, p fyne.Position)    { v.MouseMoved(mouse(p, 0)) }

func pull(v *View, p fyne.Position) {
	v.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{Position: p, AbsolutePosition: p}})
}

func click(v *View, p fyne.Position) {
	move(v, p)
	press(v, p)
	release(v, p)
}

// drag presses at a, pulls to b in steps as a window would tell it, and lets go.
func drag(v *View, a, b fyne.Position) {
	move(v, a)
	press(v, a)
	for i := range 5 {
		f := float32(i+1) / 5
		pull(v, fyne.NewPos(a.X+f*(b.X-a.X), a.Y+f*(b.Y-a.Y)))
	}
	release(v, b)
	v.DragEnd()
}

func tap(v *View, n fyne.KeyName) { v.TypedKey(&fyne.KeyEvent{Name: n}) }

func fyneSize(p image.Point) fyne.Size { return fyne.NewSize(float32(p.X), float32(p.Y)) }
