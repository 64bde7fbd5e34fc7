package solidview

import (
	"math"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/desk"
	"panewright/app/ui/look"
	"panewright/board"
	"panewright/geom"
)

// dome is a pane of 600 by 400 mm on a sphere of 1500 mm, 4 mm thick.
func dome(t testing.TB) *geom.Pane {
	t.Helper()
	const n = 48
	params, pts := make([]float64, n+1), make([]r2.Vec, n)
	for i := range params {
		a := 2 * math.Pi * float64(i) / n
		params[i] = a
		if i < n {
			pts[i] = r2.Vec{X: 300 * math.Cos(a), Y: 200 * math.Sin(a)}
		}
	}
	plan, err := geom.InterpolateClosed(params, pts)
	require.NoError(t, err)
	box := r2.Box{Min: r2.Vec{X: -340, Y: -240}, Max: r2.Vec{X: 340, Y: 240}}
	face, err := geom.FaceThrough(sphere{1500}, box, 60)
	require.NoError(t, err)
	p, err := geom.NewPane(face, plan, 4, geom.SquareEdge)
	require.NoError(t, err)
	return p
}

type sphere struct{ r float64 }

func (s sphere) Eval(x, y float64) geom.Height {
	z := math.Sqrt(s.r*s.r - x*x - y*y)
	return geom.Height{
		Z: z - s.r, Zx: -x / z, Zy: -y / z,
		Zxx: -1/z - x*x/(z*z*z), Zxy: -x * y / (z * z * z), Zyy: -1/z - y*y/(z*z*z),
	}
}

// state is a solved state with that pane.
func state(p *geom.Pane) desk.State {
	j := board.NewJob("dome")
	return desk.State{Job: j, Model: &board.Model{Job: j, Pane: p, Mirror: board.MirrorBoth, BoardToGlass: geom.Identity()}}
}

// queue stands in for the window's goroutine.
type queue chan func()

// until does what is posted until something is so.
func (q queue) until(t testing.TB, ok func() bool) {
	t.Helper()
	limit := time.After(20 * time.Second)
	for !ok() {
		select {
		case f := <-q:
			f()
		case <-limit:
			t.Fatal("it did not come")
		}
	}
}

// show puts a pane into a window of 640 by 480 and waits until it is shown.
func show(t testing.TB, s desk.State) (*View, queue) {
	t.Helper()
	a := test.NewTempApp(t)
	a.Settings().SetTheme(look.Theme{Mode: look.Light})
	q := make(queue, 4096)
	v := New(func(f func()) { q <- f })
	w := test.NewTempWindow(t, v)
	w.SetPadded(false)
	w.Resize(fyne.NewSize(640, 480))
	v.Display(s)
	if s.Model != nil && s.Model.Pane != nil {
		q.until(t, func() bool { return v.Shown() })
	}
	return v, q
}
