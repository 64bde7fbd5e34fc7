package ui

import (
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/ui/look"
)

// shownAs is a look that the window is shown in.
type shownAs struct {
	name string
	set  settings
}

var looks = []shownAs{
	{"light", settings{Mode: look.Light}},
	{"dark", settings{Mode: look.Dark}},
	{"high contrast", settings{Mode: look.Light, Contrast: true}},
	{"dark high contrast", settings{Mode: look.Dark, Contrast: true}},
	{"large type", settings{Mode: look.Light, Type: look.TypeLarge}},
	{"very large type", settings{Mode: look.Dark, Type: look.TypeVeryLarge}},
}

// shots is the folder that pictures of the window are written into; "": they are not.
var shots = os.Getenv("PANEWRIGHT_SHOTS")

// shoot paints the window as it is.
func shoot(t *testing.T, w *Window, q *queue) *image.NRGBA {
	t.Helper()
	q.run()
	from := w.win.Canvas().Capture()
	to := image.NewNRGBA(from.Bounds())
	draw.Draw(to, to.Rect, from, from.Bounds().Min, draw.Src)
	return to
}

// writePicture writes a picture as a PNG.
func writePicture(t *testing.T, path string, m image.Image) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, png.Encode(f, m))
	require.NoError(t, f.Close())
}

// sheetOf lays pictures of one size beside one another, rows of so many, each
// n times smaller.
func sheetOf(pictures []*image.NRGBA, columns, n int) *image.NRGBA {
	const gap = 6
	w, h := pictures[0].Rect.Dx()/n, pictures[0].Rect.Dy()/n
	rows := (len(pictures) + columns - 1) / columns
	out := image.NewNRGBA(image.Rect(0, 0, columns*(w+gap)+gap, rows*(h+gap)+gap))
	for i := range out.Pix {
		out.Pix[i] = 128
	}
	for i, p := range pictures {
		x0, y0 := gap+i%columns*(w+gap), gap+i/columns*(h+gap)
		for y := range h {
			for x := range w {
				var sum [4]int
				for dy := range n {
					for dx := range n {
						at := p.PixOffset(n*x+dx, n*y+dy)
						for c := range sum {
							sum[c] += int(p.Pix[at+c])
						}
					}
				}
				at := out.PixOffset(x0+x, y0+y)
				for c := range sum {
					out.Pix[at+c] = uint8(sum[c] / (n * n))
				}
			}
		}
	}
	return out
}

// TestContactSheet goes through every step in every look. Where pictures are asked
// for it writes each, and all of them on one sheet.
func TestContactSheet(t *testing.T) {
	w, q := openDemo(t, "a")
	settleFit(t, w, q)
	var all []*image.NRGBA
	for _, l := range looks {
		l.set.write(w.app.Preferences())
		w.retheme()
		for step := range stepCount {
			w.goToStep(step)
			settleFit(t, w, q)
			assert.NotEmpty(t, w.headline(), "%s, %s", l.name, stepKeys[step])
			if shots == "" {
				continue
			}
			all = append(all, shoot(t, w, q))
			writePicture(t, filepath.Join(shots, fmt.Sprintf("%s-%d-%s.png", l.name, step+1, stepKeys[step])), all[len(all)-1])
		}
	}
	if shots != "" {
		writePicture(t, filepath.Join(shots, "contact-sheet.png"), sheetOf(all, stepCount, 3))
	}
}

// settleFit waits until the pocket was tried.
func settleFit(t *testing.T, w *Window, q *queue) {
	t.Helper()
	p := w.panels[stepFit].(*fitPanel)
	settled(t, w, q, func() bool { return !w.state.Solving && !p.trial.running })
}

// TestSheetOf lays out small pictures.
func TestSheetOf(t *testing.T) {
	a := image.NewNRGBA(image.Rect(0, 0, 4, 2))
	for i := range a.Pix {
		a.Pix[i] = 200
	}
	s := sheetOf([]*image.NRGBA{a, a, a}, 2, 2)
	assert.Equal(t, image.Rect(0, 0, 2*8+6, 2*7+6), s.Rect)
	assert.EqualValues(t, 200, s.NRGBAAt(6, 6).R)
	assert.EqualValues(t, 128, s.NRGBAAt(0, 0).R)
	assert.EqualValues(t, 128, s.NRGBAAt(15, 14).R, "no fourth picture")
}
