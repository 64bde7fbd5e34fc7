package photoview

import (
	"image"
	"image/color"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/paint"
)

// shown is a view of a photo of 200 by 100 pixels, 400 by 400 in size.
func shown(t *testing.T, places [Places]*r2.Vec) *View {
	t.Helper()
	test.NewTempApp(t)
	img := image.NewRGBA(image.Rect(0, 0, 200, 100))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	img.SetRGBA(50, 40, color.RGBA{255, 0, 0, 255})
	v := New(paint.NewPicture(img), places)
	w := test.NewTempWindow(t, v)
	w.SetPadded(false)
	w.Resize(fyne.NewSize(400, 400))
	require.Equal(t, fyne.NewSize(400, 400), v.Size())
	return v
}

func click(v *View, x, y float32) { v.Tapped(&fyne.PointEvent{Position: fyne.NewPos(x, y)}) }

func TestClicksSetThePlacesInTurn(t *testing.T) {
	v := shown(t, [Places]*r2.Vec{})
	var told []int
	v.OnPlace = func(i int) { told = append(told, i) }
	assert.Equal(t, [4]float32{0, 100, 400, 200}, v.Shown())
	click(v, 100, 180) // the photo is shown from y = 100 on, twice its size
	p, ok := v.Place(0)
	require.True(t, ok)
	assert.Equal(t, r2.Vec{X: 50, Y: 40}, p)
	assert.Equal(t, 1, v.InHand())
	click(v, 100, 50)
	_, ok = v.Place(1)
	assert.False(t, ok, "outside of the photo is no place")
	click(v, 300, 120)
	click(v, 300, 280)
	click(v, 20, 280)
	assert.Equal(t, []int{0, 1, 2, 3}, told)
	assert.Equal(t, 3, v.InHand(), "all are set: the last stays in hand")
	v.TypedRune('2')
	click(v, 302, 120)
	p, _ = v.Place(1)
	assert.Equal(t, r2.Vec{X: 151, Y: 10}, p, "a place can be set again")
}

func TestArrowsMoveAPlaceByHalfAPixel(t *testing.T) {
	v := shown(t, [Places]*r2.Vec{{X: 50, Y: 40}})
	v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyRight})
	v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyUp})
	p, _ := v.Place(0)
	assert.Equal(t, r2.Vec{X: 50.5, Y: 39.5}, p)
	v.Take(1)
	v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyDown})
	_, ok := v.Place(1)
	assert.False(t, ok, "a place that is not set is not moved")
	var other fyne.KeyName
	v.OnKey = func(ev *fyne.KeyEvent) { other = ev.Name }
	v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	assert.Equal(t, fyne.KeyEscape, other, "other keys are handed on")
}

func TestZoomKeepsThePlaceUnderThePointer(t *testing.T) {
	v := shown(t, [Places]*r2.Vec{})
	at := fyne.NewPos(100, 180)
	before := v.at(at)
	v.Scrolled(&fyne.ScrollEvent{PointEvent: fyne.PointEvent{Position: at}, Scrolled: fyne.NewDelta(0, 100)})
	after := v.at(at)
	assert.InDelta(t, 0, r2.Norm(r2.Sub(after, before)), 1e-9, "pixels")
	assert.Greater(t, v.scale, 5.0)
	v.Dragged(&fyne.DragEvent{Dragged: fyne.NewDelta(30, -10)})
	v.DragEnd()
	moved := v.at(fyne.NewPos(130, 170))
	assert.InDelta(t, 0, r2.Norm(r2.Sub(moved, before)), 1e-9, "pixels")
	s := v.scale
	v.Resize(fyne.NewSize(500, 300))
	assert.Equal(t, s, v.scale, "a photo that was zoomed stays so")
	for range 40 {
		v.Scrolled(&fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, -100)})
	}
	assert.Equal(t, [4]float32{0, 25, 500, 250}, v.Shown(), "out, the whole photo is shown again")
}

func TestPhotoAndPlacesAreDrawn(t *testing.T) {
	v := shown(t, [Places]*r2.Vec{nil, {X: 150, Y: 60}})
	img := v.paint(400, 400).(*image.RGBA)
	assert.Equal(t, color.RGBA{255, 0, 0, 255}, img.RGBAAt(101, 181))
	assert.Equal(t, color.RGBA{255, 255, 255, 255}, img.RGBAAt(200, 150))
	assert.Equal(t, color.RGBA{40, 40, 40, 255}, img.RGBAAt(200, 50), "beside the photo")
	assert.NotEqual(t, color.RGBA{255, 255, 255, 255}, img.RGBAAt(300, 220), "a mark at the place")
	twice := v.paint(800, 800).(*image.RGBA)
	assert.Equal(t, color.RGBA{255, 0, 0, 255}, twice.RGBAAt(202, 362), "and on a fine screen")
}

func TestClickTakesTheKeys(t *testing.T) {
	v := shown(t, [Places]*r2.Vec{})
	v.MouseDown(&desktop.MouseEvent{})
	v.MouseUp(&desktop.MouseEvent{})
	assert.Same(t, v, fyne.CurrentApp().Driver().CanvasForObject(v).Focused())
}
