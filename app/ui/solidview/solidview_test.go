package solidview

import (
	"image"
	"image/color"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

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
	return desk.State{Job: j, Model: &board.Model{Job: j, Pane: p, Mirror: board.MirrorBoth}}
}

// show puts a pane into a window of 640 by 480 and waits for its mesh.
func show(t testing.TB, s desk.State) (*View, chan func()) {
	t.Helper()
	a := test.NewTempApp(t)
	a.Settings().SetTheme(look.Theme{Mode: look.Light})
	queue := make(chan func(), 8)
	v := New(func(f func()) { queue <- f })
	w := test.NewTempWindow(t, v)
	w.SetPadded(false)
	w.Resize(fyne.NewSize(640, 480))
	v.Display(s)
	if s.Model != nil && s.Model.Pane != nil {
		(<-queue)()
	}
	return v, queue
}

// covered is the box and the number of pixels that differ from the picture
// without a solid and without its grid.
func covered(v *View) (box image.Rectangle, n int) {
	img := v.paint(640, 480).(*image.RGBA)
	glass := func(c color.RGBA) bool { return int(c.B) > int(c.R)+12 } // the glass is blue, all else is not
	box = image.Rectangle{Min: image.Pt(640, 480)}
	for y := range 480 {
		for x := range 640 {
			if c := img.RGBAAt(x, y); glass(c) {
				n++
				box.Min = image.Pt(min(box.Min.X, x), min(box.Min.Y, y))
				box.Max = image.Pt(max(box.Max.X, x+1), max(box.Max.Y, y+1))
			}
		}
	}
	return box, n
}

func TestCameraAxes(t *testing.T) {
	for d := range angles {
		c := camera{distance: 100, target: r3.Vec{X: 1, Y: 2, Z: 3}}.look(d)
		right, up, back := c.axes()
		for _, a := range []r3.Vec{right, up, back} {
			assert.InDelta(t, 1, r3.Norm(a), 1e-12)
		}
		assert.InDelta(t, 0, r3.Norm(r3.Sub(r3.Cross(right, up), back)), 1e-12, "right-handed")
		assert.InDelta(t, 100, r3.Norm(r3.Sub(c.eye(), c.target)), 1e-9)
		x, y, _, ok := c.view(640, 480, 50).project(c.target)
		assert.True(t, ok)
		assert.InDelta(t, 320, x, 1e-9)
		assert.InDelta(t, 240, y, 1e-9)
	}
}

func TestDirections(t *testing.T) {
	project := func(d Direction, p r3.Vec) r2.Vec {
		x, y, _, _ := camera{distance: 1000}.look(d).view(640, 480, 200).project(p)
		return r2.Vec{X: x - 320, Y: 240 - y} // from the middle, y up
	}
	right, up, high := r3.Vec{X: 50}, r3.Vec{Y: 50}, r3.Vec{Z: 50}
	assert.Greater(t, project(Top, right).X, 10.0)
	assert.Greater(t, project(Top, up).Y, 10.0)
	assert.Greater(t, project(Front, right).X, 10.0)
	assert.Greater(t, project(Front, high).Y, 10.0)
	assert.Greater(t, project(Side, up).X, 10.0)
	assert.Greater(t, project(Side, high).Y, 10.0)
	assert.Greater(t, project(Below, right).X, 10.0, "seen from below, turned over about its length")
	assert.Less(t, project(Below, up).Y, -10.0)
	assert.Greater(t, project(ThreeQuarter, high).Y, 10.0)
}

func TestFittedFillsThePicture(t *testing.T) {
	box := r3.Box{Min: r3.Vec{X: -300, Y: -200, Z: -30}, Max: r3.Vec{X: 320, Y: 210, Z: 5}}
	for d := range angles {
		for _, aspect := range []float64{0.5, 1, 2.5} {
			c := camera{}.look(d).fitted(box, aspect)
			v := c.view(aspect*100, 100, 1000)
			most := 0.0
			for _, p := range box.Vertices() {
				x, y, _, ok := v.project(p)
				require.True(t, ok)
				most = max(most, math.Abs(x/(aspect*50)-1), math.Abs(y/50-1))
			}
			assert.InDelta(t, 0.92, most, 0.001, "%v at %v", d, aspect)
		}
	}
}

func TestPanMovesByPixels(t *testing.T) {
	c := camera{distance: 1000}.look(ThreeQuarter)
	at := func(c camera) r2.Vec {
		x, y, _, _ := c.view(640, 480, 200).project(r3.Vec{})
		return r2.Vec{X: x, Y: y}
	}
	a, b := at(c), at(c.panned(30, -20, 480))
	assert.InDelta(t, 30, b.X-a.X, 1) // exact but for perspective
	assert.InDelta(t, -20, b.Y-a.Y, 1)
}

func TestTurnedStopsAtTheTop(t *testing.T) {
	c := camera{}.turned(100, 9)
	assert.InDelta(t, math.Pi/2, c.rise, 1e-12)
	assert.LessOrEqual(t, math.Abs(c.turn), math.Pi)
}

func TestSolidOfAPane(t *testing.T) {
	s, err := paneSolid(dome(t), 40)
	require.NoError(t, err)
	count := map[part]int{}
	for i, n := range s.normal {
		count[s.part[i]]++
		for k, v := range n {
			require.InDelta(t, 1, r3.Norm(v), 1e-9)
			if s.part[i] == upperFace {
				p := s.mesh.V[s.mesh.T[i][k]]
				radial := r3.Unit(r3.Add(p, r3.Vec{Z: 1500}))
				require.Greater(t, r3.Dot(v, radial), math.Cos(0.02), "smooth to about a degree")
			}
		}
	}
	assert.Equal(t, count[upperFace], count[lowerFace])
	assert.Positive(t, count[edgeBand])
	assert.Len(t, s.edges, 2)
	for side, e := range s.edges {
		for _, r := range e {
			require.Greater(t, r3.Dot(r.face[1], r3.Vec{X: r.p.X, Y: r.p.Y}), 0.0, "the band faces outward")
			require.Equal(t, side == 0, r.face[0].Z > 0)
		}
	}
	assert.InDelta(t, 300, s.sides[1].X, 1)
	assert.InDelta(t, 200, s.sides[2].Y, 1)
}

func TestPaneIsDrawn(t *testing.T) {
	v, _ := show(t, state(dome(t)))
	v.Look(Top)
	box, n := covered(v)
	assert.InDelta(t, 1.5, float64(box.Dx())/float64(box.Dy()), 0.03, "600 by 400 mm seen from above")
	assert.InEpsilon(t, math.Pi/4*float64(box.Dx()*box.Dy()), n, 0.05, "an ellipse")
	v.Look(Front)
	box, _ = covered(v)
	assert.Greater(t, box.Dx(), 6*box.Dy())
	flat := box.Dy()
	v.SetStretch(5)
	box, _ = covered(v)
	assert.Greater(t, float64(box.Dy())/float64(box.Dx()), 3*float64(flat)/640, "a shallow curve shows")
}

func TestMeshIsMadeBesideTheWindow(t *testing.T) {
	s := state(dome(t))
	v, queue := show(t, s)
	require.NotNil(t, v.solid)
	first := v.solid

	other, third := state(dome(t)), state(dome(t))
	v.Display(other)
	v.Display(third)
	assert.Same(t, first, v.solid, "the pane before it stays until the new one is ready")
	runs := []func(){<-queue, <-queue}
	for _, f := range runs {
		f()
	}
	assert.NotSame(t, first, v.solid)
	again := v.solid
	v.Display(third)
	assert.Empty(t, queue, "the same model is not meshed twice")
	assert.Same(t, again, v.solid)

	third.Job = third.Job.Clone()
	v.Display(third)
	assert.True(t, v.stale)
}

func TestWithoutAPaneItSaysWhy(t *testing.T) {
	s := state(nil)
	s.Model.Why = "The thickness is not known."
	v, _ := show(t, s)
	assert.Nil(t, v.solid)
	assert.Equal(t, "The thickness is not known.", v.why)
	v.paint(320, 240)
	v.Display(desk.State{})
	assert.NotEmpty(t, v.why)
	v.paint(1, 1)
}

func TestPointerAndKeys(t *testing.T) {
	v, _ := show(t, state(dome(t)))
	start := v.cam
	at := fyne.NewPos(100, 100)
	v.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}, Button: desktop.MouseButtonPrimary})
	v.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{Position: at}, Dragged: fyne.NewDelta(10, 5)})
	v.MouseUp(&desktop.MouseEvent{})
	assert.InDelta(t, start.turn-10*perPixel, v.cam.turn, 1e-12)
	assert.InDelta(t, start.rise+5*perPixel, v.cam.rise, 1e-12)
	assert.False(t, v.fitting)

	target := v.cam.target
	v.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}, Button: desktop.MouseButtonSecondary})
	v.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at.AddXY(20, 0)}, Button: desktop.MouseButtonSecondary})
	v.MouseUp(&desktop.MouseEvent{})
	assert.NotEqual(t, target, v.cam.target)
	target = v.cam.target
	v.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}})
	assert.Equal(t, target, v.cam.target, "let go")

	d := v.cam.distance
	v.Scrolled(&fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, 25)})
	assert.Less(t, v.cam.distance, d)
	v.TypedRune('2')
	assert.InDelta(t, math.Pi/2, v.cam.rise, 1e-12)
	assert.True(t, v.fitting)
	v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyDown})
	assert.InDelta(t, math.Pi/2-keyTurn, v.cam.rise, 1e-12)
	for _, want := range []float64{2, 5, 1} {
		v.TypedRune('s')
		assert.Equal(t, want, v.Stretch())
	}
	v.TypedRune('f')
	assert.True(t, v.fitting)
}

func TestEven(t *testing.T) {
	assert.Equal(t, 100.0, even(60, 10))
	assert.Equal(t, 50.0, even(50, 10))
	assert.Equal(t, 25.4, even(3, 25.4))
	assert.Equal(t, 5*25.4, even(100, 25.4))
}

func BenchmarkPicture(b *testing.B) {
	v, _ := show(b, state(dome(b)))
	for b.Loop() {
		v.paint(900, 600)
	}
}

func BenchmarkMesh(b *testing.B) {
	p := dome(b)
	for b.Loop() {
		if _, err := paneSolid(p, meshSteps); err != nil {
			b.Fatal(err)
		}
	}
}
