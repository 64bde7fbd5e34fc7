package main

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/board"
)

// spot is a place on the board, mm, or in a photo, pixels.
type spot struct{ x, y float64 }

// photographed is where a camera that leans, 2.4 m over the board, shows a point of
// it in a photo of 2000 by 1500 pixels.
func photographed(p spot) spot {
	s, c := math.Sincos(0.3)
	y := p.y - 520
	depth := 2400/c + y*s
	return spot{1000 + 2050*p.x/depth, 750 - 2050*y*c/depth}
}

// underPixel is the point of the board that the camera shows at a pixel.
func underPixel(q spot) spot {
	s, c := math.Sincos(0.3)
	v := (750 - q.y) / 2050
	y := v * 2400 / c / (c - v*s)
	return spot{(q.x - 1000) / 2050 * (2400/c + y*s), y + 520}
}

// boardPhoto draws the photo: dark lines of a grid of 100 mm on a pale board, and the
// pane that end-to-end tests type, greenish.
func boardPhoto(t *testing.T, g board.Grid) string {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 2000, 1500))
	lo, hi := spot{100 * float64(g.ColFirst), 0}, spot{100 * float64(g.ColLast), 100 * float64(g.Rows-1)}
	for py := range 1500 {
		for px := range 2000 {
			p := underPixel(spot{float64(px) + 0.5, float64(py) + 0.5})
			c := color.RGBA{225, 215, 190, 255}
			u, v := (p.x-trueOffset)/halfWidth, (p.y-middle)/halfHeight
			switch {
			case p.x < lo.x-60 || p.x > hi.x+60 || p.y < lo.y-60 || p.y > hi.y+60:
				c = color.RGBA{90, 80, 70, 255}
			case math.Abs(math.Remainder(p.x, 100)) < 1 && p.y >= lo.y && p.y <= hi.y, math.Abs(math.Remainder(p.y, 100)) < 1 && p.x >= lo.x && p.x <= hi.x:
				c = color.RGBA{40, 40, 40, 255}
			case math.Pow(math.Abs(u/(1-0.12*v)), 3)+math.Pow(math.Abs(v), 3) < 1:
				c = color.RGBA{150, 195, 170, 255}
			}
			img.SetRGBA(px, py, c)
		}
	}
	path := filepath.Join(t.TempDir(), "board.png")
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, png.Encode(f, img))
	require.NoError(t, f.Close())
	return path
}

// TestEndToEndPhoto lays a photo behind the grid by clicks, zoomed in at each
// crossing, and finds every crossing of the grid within 0.5 mm. The job file keeps
// where it lies; once the photo is gone that is said, and nothing else is.
func TestEndToEndPhoto(t *testing.T) {
	g := board.NewJob("a").Grid
	photo := boardPhoto(t, g)
	file := filepath.Join(t.TempDir(), "rear.pane")
	s := newScreen(t, 1920, 1080)
	w := s.open("light", file)
	w.resize(1280, 800)
	w.text(enter(stations(40)))
	w.keys("ctrl+shift+i")
	w.wait("the question", func(s state) bool { return s.Dialog == "photo" })
	w.keys("ctrl+a")
	w.text(photo + "\n")
	w.wait("the photo", func(s state) bool { return s.Dialog == "crossings" && s.PhotoAt[2] > 0 })
	time.Sleep(500 * time.Millisecond) // its layout
	for _, at := range [][2]int{{-8, 1}, {8, 1}, {8, 10}, {-8, 10}} {
		p, _ := g.Crossing(at[0], at[1])
		w.pointAt(photographed(spot{p.X, p.Y}))
	}
	w.shot("photo-light-crossings")
	w.keys("Return")
	lies := func(s state) bool { return s.Photo == "board.png lies under the readings." && s.Current }
	w.wait("the photo under the readings", lies)
	w.shot("photo-light-1280")
	w.keys("ctrl+s")
	w.wait("the saving", func(s state) bool { return s.Saved })
	assert.Less(t, offCrossings(t, file), 0.5, "mm")
	w.kill()

	w = s.open("dark", file)
	w.wait("the photo of the file", lies)
	for _, width := range []int{1280, 1920} {
		w.resize(width, width*9/16)
		w.keys("ctrl+1")
		time.Sleep(300 * time.Millisecond)
		w.shot(fmt.Sprintf("photo-dark-%d", width))
	}
	w.kill()

	require.NoError(t, os.Remove(photo))
	w = s.open("light", file)
	st := w.wait("what is missing", func(s state) bool { return strings.Contains(s.Photo, "not there any more") })
	assert.Len(t, st.rows("edge"), 40)
	w.kill()
}

// offCrossings is how far the photo of a job shows crossings of the grid off their
// places at most, mm.
func offCrossings(t *testing.T, file string) float64 {
	t.Helper()
	j, _, err := board.Load(file)
	require.NoError(t, err)
	h, err := j.Photo.Homography(j.Grid)
	require.NoError(t, err)
	back, _ := h.Inverse()
	worst := 0.0
	for across := j.Grid.ColFirst; across <= j.Grid.ColLast; across++ {
		for row := range j.Grid.Rows {
			at, _ := j.Grid.Crossing(across, row)
			q, shown := at, photographed(spot{at.X, at.Y})
			q.X, q.Y = shown.x, shown.y
			got, _ := back.Apply(q)
			worst = max(worst, math.Hypot(got.X-at.X, got.Y-at.Y))
		}
	}
	t.Logf("crossings off by at most %.2f mm", worst)
	return worst
}

// pointAt clicks a pixel of the photo that is asked for its crossings, zoomed in
// there, and zooms out again.
func (w *window) pointAt(q spot) {
	w.t.Helper()
	place := func() spot {
		at := w.wait("the photo", func(s state) bool { return s.PhotoAt[2] > 0 }).PhotoAt
		return spot{at[0] + q.x*at[2]/2000, at[1] + q.y*at[3]/1500}
	}
	wheel := func(button string, notches int) {
		p := place()
		w.move(p.x, p.y)
		w.state() // the pointer has arrived
		for range notches {
			w.tool("click", button)
			time.Sleep(60 * time.Millisecond)
		}
		time.Sleep(200 * time.Millisecond)
	}
	wheel("4", 6)
	p := place()
	w.move(p.x, p.y)
	w.tool("click", "1")
	time.Sleep(400 * time.Millisecond)
	wheel("5", 10)
}
