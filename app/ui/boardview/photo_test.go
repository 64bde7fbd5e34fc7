package boardview

import (
	"image"
	"image/color"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/paint"
	"panewright/board"
	"panewright/geom"
)

func TestPhotoLiesUnderTheReadings(t *testing.T) {
	v, _ := show(t, fourStations(board.MM), nil)
	img := image.NewRGBA(image.Rect(0, 0, 100, 100)) // a red spot round (300, 500) mm
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for y := 38; y < 62; y++ {
		for x := 68; x < 92; x++ {
			img.SetRGBA(x, y, color.RGBA{255, 0, 0, 255})
		}
	}
	h, err := geom.HomographyThrough(
		[4]r2.Vec{{X: -500, Y: 0}, {X: 500, Y: 0}, {X: 500, Y: 1000}, {X: -500, Y: 1000}},
		[4]r2.Vec{{X: 0, Y: 100}, {X: 100, Y: 100}, {X: 100, Y: 0}, {X: 0, Y: 0}})
	require.NoError(t, err)
	red := func(at r2.Vec) int {
		c := v.paint(int(v.size.Width), int(v.size.Height)).(*image.RGBA)
		q := v.lens.px(at)
		p := c.RGBAAt(int(q.X), int(q.Y))
		return int(p.R) - int(p.G)
	}
	spot := r2.Vec{X: 320, Y: 480} // between the lines
	plain := red(spot)
	v.SetPhoto(&Photo{Pixels: paint.NewPicture(img), To: h})
	assert.Greater(t, red(spot), plain+60, "the photo shines through")
	assert.InDelta(t, plain, red(r2.Vec{X: -320, Y: 480}), 12, "only where it is red")
	v.lens = v.lens.zoomed(v.lens.px(spot), 1.7).moved(r2.Vec{X: 37, Y: -21})
	assert.Greater(t, red(spot), plain+60, "and moves with the board")
	v.SetPhoto(nil)
	assert.InDelta(t, plain, red(spot), 12)
}
