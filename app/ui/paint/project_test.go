package paint

import (
	"image"
	"image/color"
	"testing"

	"github.com/stretchr/testify/assert"
)

// chequered is a picture whose pixels tell where they are.
func chequered(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.SetRGBA(x, y, color.RGBA{uint8(10 * x), uint8(10 * y), 77, 255})
		}
	}
	return img
}

func TestProject(t *testing.T) {
	src := NewPicture(chequered(8, 8))
	at := func(c *Canvas, x, y int) color.RGBA { return c.Image().RGBAAt(x, y) }
	c := New(20, 20)
	ground := color.NRGBA{200, 200, 200, 255}
	c.Clear(ground)
	c.Project(src, [3][3]float64{{0.5, 0, -2}, {0, 0.5, -2}, {0, 0, 1}}, 255) // twice the size, from (4, 4) on
	assert.Equal(t, color.RGBA{0, 0, 77, 255}, at(c, 4, 4))
	assert.Equal(t, color.RGBA{30, 50, 77, 255}, at(c, 10, 14))
	assert.Equal(t, color.RGBA{70, 70, 77, 255}, at(c, 19, 19))
	assert.Equal(t, color.RGBA{200, 200, 200, 255}, at(c, 3, 10), "nothing outside of it")

	c.Clear(ground)
	c.Project(src, [3][3]float64{{0.5, 0, -2}, {0, 0.5, -2}, {0, 0, 1}}, 128)
	assert.InDelta(t, 115, float64(at(c, 10, 14).R), 2, "half of it")

	c.Clear(ground)
	c.Project(src, [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0.2, 0, -1}}, 255) // the horizon at x = 5
	assert.Equal(t, color.RGBA{200, 200, 200, 255}, at(c, 2, 0), "nothing behind the horizon")
	assert.NotEqual(t, color.RGBA{200, 200, 200, 255}, at(c, 19, 0))

	c.Clear(ground)
	c.Project(src, [3][3]float64{}, 255)
	assert.Equal(t, color.RGBA{200, 200, 200, 255}, at(c, 9, 9))
}

func BenchmarkProject(b *testing.B) {
	src, c := NewPicture(chequered(8, 8)), New(1200, 720)
	for b.Loop() {
		c.Project(src, [3][3]float64{{0.005, 0, 0}, {0, 0.005, 0}, {0.00001, 0, 1}}, 100)
	}
}

func TestPictureIsShownSmaller(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 1024, 512)) // black and white by turns, pixel for pixel
	for y := range 512 {
		for x := range 1024 {
			img.SetRGBA(x, y, color.RGBA{uint8(255 * ((x + y) % 2)), uint8(255 * (x / 512)), 0, 255})
		}
	}
	p := NewPicture(img)
	assert.Equal(t, image.Pt(1024, 512), p.Size())
	c := New(128, 64)
	c.Project(p, [3][3]float64{{8, 0, 0}, {0, 8, 0}, {0, 0, 1}}, 255)
	for _, x := range []int{1, 40, 63, 64, 100, 127} {
		q := c.Image().RGBAAt(x, 30)
		assert.InDelta(t, 128, float64(q.R), 2, "the mean of black and white at %d", x)
		assert.Equal(t, uint8(255*(x/64)), q.G, "each at its place")
	}
	c = New(1024, 512)
	c.Clear(color.NRGBA{1, 2, 3, 255})
	c.Project(p, [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, 255)
	assert.Equal(t, img.Pix, c.Image().Pix, "at its own size it is itself")
}
