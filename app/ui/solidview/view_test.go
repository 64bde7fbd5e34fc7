package solidview

import (
	"image"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/desk"
)

func TestPartsAreMadeBesideTheWindow(t *testing.T) {
	s := state(dome(t))
	v, q := show(t, s)
	first := v.parts.solid
	require.NotNil(t, first)

	other, third := state(dome(t)), state(dome(t))
	v.Display(other)
	v.Display(third)
	assert.Same(t, first, v.parts.solid, "the pane before it stays until the new one is ready")
	assert.True(t, v.Busy())
	q.until(t, v.Shown)
	assert.Same(t, third.Model, v.parts.of)
	again := v.parts.solid
	v.Display(third)
	assert.False(t, v.Busy(), "the same model is not made twice")
	assert.Same(t, again, v.parts.solid)

	third.Job = third.Job.Clone()
	v.Display(third)
	assert.True(t, v.stale)
}

func TestMapsAreKept(t *testing.T) {
	v, q := show(t, state(dome(t)))
	v.SetMap(MeanBend)
	assert.True(t, v.Busy())
	q.until(t, v.Shown)
	mean := v.parts.fields[MeanBend]
	v.SetMap(GaussBend)
	q.until(t, v.Shown)
	v.SetMap(MeanBend)
	assert.True(t, v.Shown(), "at once")
	assert.Same(t, mean, v.parts.fields[MeanBend])
	v.SetMap(Unsure)
	v.SetMap(Plain)
	assert.False(t, v.Busy(), "what is no longer asked for is given up")
}

func TestWithoutAPaneItSaysWhy(t *testing.T) {
	s := state(nil)
	s.Model.Why = "The thickness is not known."
	v, _ := show(t, s)
	assert.Nil(t, v.parts.solid)
	assert.Equal(t, "The thickness is not known.", v.why)
	v.paint(320, 240)
	v.SetMap(Heights)
	v.SetCut(Across, 3)
	v.SetPocket(true)
	assert.Empty(t, v.under(fyne.NewPos(10, 10)))
	assert.False(t, v.onCut(fyne.NewPos(10, 10)))
	v.Display(desk.State{})
	assert.NotEmpty(t, v.why)
	v.paint(1, 1)
}

// TestFinePictureFollowsTheQuickOne: once all stands still the fine picture takes
// the place of the quick one, and gives way as soon as anything moves.
func TestFinePictureFollowsTheQuickOne(t *testing.T) {
	v, q := show(t, state(dome(t)))
	quick := v.paint(640, 480)
	assert.Same(t, v.quick.out.Image(), quick)
	q.until(t, func() bool { return v.image != nil && v.done == v.last })
	f := v.last
	assert.Same(t, v.image, v.paint(f.w, f.h), "the fine one is shown")
	assert.NotSame(t, v.quick.out.Image(), v.image)
	v.move(v.cam.turned(0.2, 0))
	assert.Same(t, v.quick.out.Image(), v.paint(f.w, f.h), "the quick one again")
	assert.Same(t, v.quick.out.Image(), v.paint(f.w, f.h), "which is not painted twice")
	was := v.quick.out.Image()
	q.until(t, func() bool { return v.image != nil && v.done == v.last })
	a, b := was.Pix, v.image.(*image.RGBA).Pix
	sum := 0.0
	for i := range a {
		sum += math.Abs(float64(a[i]) - float64(b[i]))
	}
	assert.Less(t, sum/float64(len(a)), 6.0, "they differ by their edges only")
}

func TestPointerTurnsAndMoves(t *testing.T) {
	v, _ := show(t, state(dome(t)))
	start := v.cam
	at := fyne.NewPos(100, 100)
	v.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}, Button: desktop.MouseButtonPrimary})
	v.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{Position: at}, Dragged: fyne.NewDelta(10, 5)})
	v.MouseUp(&desktop.MouseEvent{})
	assert.InDelta(t, start.turn-10*perPixel, v.cam.turn, 1e-12)
	assert.InDelta(t, start.rise+5*perPixel, v.cam.rise, 1e-12)
	assert.False(t, v.fitting)

	for _, b := range []desktop.MouseButton{desktop.MouseButtonSecondary, desktop.MouseButtonTertiary} {
		target := v.cam.target
		v.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}, Button: b})
		if b == desktop.MouseButtonSecondary { // which is not reported as a drag
			v.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at.AddXY(20, 0)}, Button: b})
		} else {
			v.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{Position: at.AddXY(20, 0)}})
		}
		v.MouseUp(&desktop.MouseEvent{})
		assert.NotEqual(t, target, v.cam.target)
		target = v.cam.target
		v.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}})
		assert.Equal(t, target, v.cam.target, "let go")
	}
	d := v.cam.span
	v.Scrolled(&fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, 25), PointEvent: fyne.PointEvent{Position: at}})
	assert.Less(t, v.cam.span, d)
}

func TestKeys(t *testing.T) {
	v, q := show(t, state(dome(t)))
	changes := 0
	v.OnChange = func() { changes++ }
	for i := range Directions {
		v.TypedRune(rune('1' + i))
		d, ok := v.Direction()
		assert.True(t, ok)
		assert.Equal(t, i, d)
		assert.True(t, v.fitting)
	}
	v.TypedRune('6')
	v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyDown})
	_, rise := v.Angles()
	assert.InDelta(t, 75, rise, 1e-9)
	for _, want := range []float64{2, 5, 1} {
		v.TypedRune('s')
		assert.Equal(t, want, v.Stretch())
	}
	span := v.cam.span
	v.TypedRune('+')
	assert.Less(t, v.cam.span, span)
	v.TypedRune('-')
	assert.InDelta(t, span, v.cam.span, 1e-9)
	v.TypedRune('f')
	assert.True(t, v.fitting)

	for want := Heights; want < Maps; want++ {
		v.TypedRune('m')
		assert.Equal(t, want, v.Map())
	}
	v.TypedRune('m')
	assert.Equal(t, Plain, v.Map())
	v.TypedRune('M')
	assert.Equal(t, LeastRound, v.Map())

	v.TypedRune('r')
	assert.True(t, v.Stripes().On)
	q.until(t, v.Shown)
	assert.NotNil(t, v.frame(640, 480).face)
	assert.Nil(t, v.frame(640, 480).field, "stripes come before the map")
	before := v.Stripes()
	for _, r := range ".nw" {
		v.TypedRune(r)
	}
	after := v.Stripes()
	assert.InDelta(t, before.Angle+15, after.Angle, 1e-9)
	assert.Greater(t, after.Count, before.Count)
	assert.Greater(t, after.Share, before.Share)
	for _, r := range ",NW" {
		v.TypedRune(r)
	}
	assert.InDelta(t, before.Angle, v.Stripes().Angle, 1e-9)
	assert.Equal(t, before.Count, v.Stripes().Count)
	v.TypedRune('m')
	assert.False(t, v.Stripes().On, "they give way to a map that is chosen")

	v.TypedRune('p')
	on, drawn := v.Pocket()
	assert.True(t, on)
	assert.False(t, drawn)
	lift := v.Lift()
	v.TypedRune('u')
	assert.Equal(t, lift+keyLift, v.Lift())
	for range 40 {
		v.TypedRune('d')
	}
	assert.Zero(t, v.Lift(), "not below its place")
	n := changes
	v.TypedRune('?')
	assert.Equal(t, n, changes)
	var handed fyne.KeyName
	v.OnKey = func(e *fyne.KeyEvent) bool { handed = e.Name; return true }
	v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyF8})
	assert.Equal(t, fyne.KeyF8, handed)
}

// TestSectionIsMoved by keys, by a typed level, and by the pointer.
func TestSectionIsMoved(t *testing.T) {
	v, _ := show(t, state(dome(t)))
	v.TypedRune('c')
	kind, level := v.Cut()
	assert.Equal(t, Across, kind)
	assert.Zero(t, level)
	v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyPageUp})
	_, level = v.Cut()
	assert.InDelta(t, keyLevel, level, 1e-9)
	f := v.frame(640, 480)
	require.NotNil(t, f.cut)
	assert.InDelta(t, keyLevel, f.cut.Level, 1e-9)
	assert.Contains(t, f.cut.title, "20.0 mm")
	assert.Contains(t, f.cut.sag, "sag")
	assert.Same(t, f.cut, v.frame(640, 480).cut, "it is not cut anew for every picture")
	v.SetCut(Across, 1e6)
	_, level = v.Cut()
	assert.InDelta(t, 198, level, 0.5, "the last that cuts the pane")

	v.Look(Top)
	v.SetCut(Across, 0)
	p := v.logical()
	on := p.shown(p.cut.Upper[40])
	at := fyne.NewPos(float32(on.X), float32(on.Y))
	assert.True(t, v.onCut(at))
	assert.False(t, v.onCut(at.AddXY(0, 40)))
	v.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}, Button: desktop.MouseButtonPrimary})
	assert.Equal(t, desktop.PointerCursor, v.Cursor())
	cam := v.cam
	v.Dragged(&fyne.DragEvent{Dragged: fyne.NewDelta(7, -30)})
	v.DragEnd()
	assert.Equal(t, cam, v.cam, "the pane stands still")
	_, level = v.Cut()
	assert.InDelta(t, 30*v.cam.span/480, level, 0.01, "the line follows the pointer")

	v.TypedRune('c')
	kind, _ = v.Cut()
	assert.Equal(t, Along, kind)
	v.SetMagnify(4)
	f = v.frame(640, 480)
	assert.Equal(t, 4.0, f.magnify)
	v.SetLonger(50)
	assert.Equal(t, 50.0, v.frame(640, 480).longer)
	v.paint(640, 480)
	v.TypedRune('c')
	assert.Nil(t, v.frame(640, 480).cut)
}

// TestInsetIsToScale: along the section s pixels a mm, up magnified, and nothing
// outside the box.
func TestInsetIsToScale(t *testing.T) {
	s := state(dome(t))
	c := newCut(s.Model, Across, 0)
	require.NotNil(t, c)
	assert.Nil(t, newCut(s.Model, Along, 5000))
	for _, magnify := range []float64{1, 2, 40} {
		box := r2.Box{Min: r2.Vec{X: 20, Y: 30}, Max: r2.Vec{X: 300, Y: 110}}
		in := c.in(box, magnify)
		for _, pts := range [][]r3.Vec{c.Upper, c.Lower} {
			for _, p := range pts {
				q := in.at(c.across(p), p.Z)
				require.GreaterOrEqual(t, q.X, box.Min.X-1e-9)
				require.LessOrEqual(t, q.X, box.Max.X+1e-9)
				require.GreaterOrEqual(t, q.Y, box.Min.Y-1e-9)
				require.LessOrEqual(t, q.Y, box.Max.Y+1e-9)
			}
		}
		a, b := in.at(0, 0), in.at(10, 5)
		assert.InDelta(t, (b.X-a.X)/2*magnify, a.Y-b.Y, 1e-9)
	}
	assert.InDelta(t, 0, c.heightAt(0), 0.01)
	assert.InDelta(t, sphere{1500}.Eval(150, 0).Z, c.heightAt(150), 0.05)
}

// TestHoverTellsThePlace: under the middle of the picture seen from above lies the
// top of the dome.
func TestHoverTellsThePlace(t *testing.T) {
	v, q := show(t, state(dome(t)))
	v.paint(640, 480)
	for at := fyne.NewPos(300, 200); at.X < 400; at = at.AddXY(11.3, 3.7) { // at a slant
		g, _, ok := v.pick(at)
		require.True(t, ok, "%v", at)
		p := v.logical()
		shown := p.shown(g)
		assert.InDelta(t, float64(at.X), shown.X, 0.6)
		assert.InDelta(t, float64(at.Y), shown.Y, 0.6)
	}
	v.Look(Top)
	v.paint(640, 480)
	p := v.logical()
	said := ""
	v.OnHover = func(s string) { said = s }
	for _, want := range []r3.Vec{{}, {X: 120, Y: -80}, {X: -250}} {
		want.Z = v.parts.solid.pane.Upper.At(want.X, want.Y)
		at := p.shown(want)
		g, h, ok := v.pick(fyne.NewPos(float32(at.X), float32(at.Y)))
		require.True(t, ok)
		assert.InDelta(t, 0, r3.Norm(r3.Sub(g, want)), 1.5, "mm: a pixel")
		assert.InDelta(t, sphere{1500}.Eval(g.X, g.Y).Slope(), h.Slope(), 1e-4)
		v.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(float32(at.X), float32(at.Y))}})
		assert.Contains(t, said, "least radius 15")
		assert.Contains(t, said, "mm")
	}
	v.SetMap(MeanBend)
	q.until(t, v.Shown)
	v.paint(640, 480)
	v.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(320, 240)}})
	assert.Contains(t, said, "0.67", "1/m of a sphere of 1500 mm")
	v.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(2, 2)}})
	assert.Empty(t, said, "beside the pane")
	v.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(320, 240)}})
	v.MouseOut()
	assert.Empty(t, said)
	v.move(v.cam.turned(0.1, 0))
	_, _, ok := v.pick(fyne.NewPos(320, 240))
	assert.False(t, ok, "not until it is drawn anew")

	v.Look(Bottom)
	v.paint(640, 480)
	p = v.logical()
	at := p.shown(r3.Vec{Z: -4})
	g, _, ok := v.pick(fyne.NewPos(float32(at.X), float32(at.Y)))
	require.True(t, ok)
	assert.InDelta(t, -4, g.Z, 0.1, "the lower face")
}
