package ui

import (
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/storage"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
)

// seenBy is where a camera that leans shows a point of the board in a photo of 800
// by 600 pixels.
func seenBy(p r2.Vec) r2.Vec {
	s, c := math.Sincos(0.3)
	y := p.Y - 500
	depth := 2400/c + y*s
	return r2.Vec{X: 400 + 700*p.X/depth, Y: 300 - 700*y*c/depth}
}

// photoFile draws a photo of a job's grid: a dark dot at every crossing.
func photoFile(t *testing.T, g board.Grid) string {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 800, 600))
	for i := range img.Pix {
		img.Pix[i] = 240
	}
	for across := g.ColFirst; across <= g.ColLast; across++ {
		for row := range g.Rows {
			at, _ := g.Crossing(across, row)
			q := seenBy(at)
			for dy := -2; dy <= 2; dy++ {
				for dx := -2; dx <= 2; dx++ {
					img.Set(int(q.X)+dx, int(q.Y)+dy, color.Black)
				}
			}
		}
	}
	path := filepath.Join(t.TempDir(), "board.png")
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, png.Encode(f, img))
	require.NoError(t, f.Close())
	return path
}

// askCrossings opens a photo and gives back what asks for its crossings.
func askCrossings(t *testing.T, w *Window, q *queue, path string) *crossings {
	t.Helper()
	w.openPhoto(path)
	settled(t, w, q, func() bool { return w.photo.asked != nil || w.top() != nil })
	require.NotNil(t, w.photo.asked)
	return w.photo.asked
}

// pointAt points at the crossing that each field names.
func pointAt(t *testing.T, w *Window, c *crossings) {
	t.Helper()
	for i := range c.names {
		across, row, err := w.state.Job.Grid.ParseCrossing(c.names[i].Text)
		require.NoError(t, err)
		at, _ := w.state.Job.Grid.Crossing(across, row)
		q := seenBy(at)
		s := min(float64(c.view.Size().Width)/800, float64(c.view.Size().Height)/600)
		x := (float64(c.view.Size().Width)-800*s)/2 + q.X*s
		y := (float64(c.view.Size().Height)-600*s)/2 + q.Y*s
		c.view.Tapped(&fyne.PointEvent{Position: fyne.NewPos(float32(x), float32(y))})
	}
}

func TestPhotoIsLaidBehindTheGrid(t *testing.T) {
	w, q := open(t)
	g := w.state.Job.Grid
	path := photoFile(t, g)
	c := askCrossings(t, w, q, path)
	assert.True(t, c.m.buttons[0].Disabled(), "four crossings are needed")
	assert.Equal(t, "-8/B", c.names[0].Text, "corners of the grid are offered")
	pointAt(t, w, c)
	assert.False(t, c.m.buttons[0].Disabled())
	require.True(t, c.give())
	c.m.close()
	settled(t, w, q, func() bool { return w.photo.pixels.img != nil })

	p := w.state.Job.Photo
	assert.Equal(t, path, p.Path)
	h, err := p.Homography(g)
	require.NoError(t, err)
	back, _ := h.Inverse()
	for across := g.ColFirst; across <= g.ColLast; across++ {
		for row := range g.Rows {
			at, _ := g.Crossing(across, row)
			got, ok := back.Apply(seenBy(at))
			require.True(t, ok)
			assert.InDelta(t, 0, r2.Norm(r2.Sub(got, at)), 0.5, "mm, crossing %d/%d", across, row)
		}
	}
	text, wrong := w.photo.say(w.state)
	assert.Equal(t, "board.png lies under the readings.", text)
	assert.False(t, wrong)
	assert.Equal(t, "Lay a photo behind the grid", w.state.Undo)

	again := askCrossings(t, w, q, path)
	at, ok := again.view.Place(2)
	require.True(t, ok, "the points are known")
	assert.InDelta(t, p.Points[2].At[0], at.X, 1e-9)
	w.keys("<Escape>")
	assert.Nil(t, w.top(), "Escape gives it up")

	w.takePhotoAway()
	assert.Equal(t, board.Photo{}, w.state.Job.Photo)
	assert.FileExists(t, path)
	w.undo()
	assert.Equal(t, p, w.state.Job.Photo)
}

func TestCrossingsThatWillNotDoAreSaid(t *testing.T) {
	w, q := open(t)
	c := askCrossings(t, w, q, photoFile(t, w.state.Job.Grid))
	pointAt(t, w, c)
	c.names[1].SetText("C/7")
	assert.False(t, c.give())
	assert.Contains(t, c.fault.Text, "Point 2")
	c.names[1].SetText("-8/B")
	assert.False(t, c.give())
	assert.Contains(t, c.fault.Text, "both named -8/B")
	c.names[0].SetText("8/B")
	assert.False(t, c.give())
	assert.Contains(t, c.fault.Text, "exchanged")
	assert.Equal(t, board.Photo{}, w.state.Job.Photo)
	c.m.escape()
	assert.Nil(t, w.photo.asked)
}

func TestMissingPhotoTakesNothingAway(t *testing.T) {
	w, q := open(t)
	path := photoFile(t, w.state.Job.Grid)
	c := askCrossings(t, w, q, path)
	pointAt(t, w, c)
	require.True(t, c.give())
	c.m.close()
	settled(t, w, q, func() bool { return w.photo.pixels.img != nil })
	require.NoError(t, os.Remove(path))
	p := w.state.Job.Photo

	w.desk.OpenJob(board.NewJob("other"))
	assert.Empty(t, func() string { s, _ := w.photo.say(w.state); return s }())
	j := board.NewJob("back")
	j.Photo = p
	w.desk.OpenJob(j)
	settled(t, w, q, func() bool { return w.photo.fault != nil })
	text, wrong := w.photo.say(w.state)
	assert.True(t, wrong)
	assert.Contains(t, text, "is not there any more")
	assert.Equal(t, p, w.state.Job.Photo, "its points stay")
	w.openStep(stepBoard)
	assert.Equal(t, text, w.panels[stepBoard].(*boardPanel).photo.Text)
}

func TestPhotoOfAnotherSizeIsNotShown(t *testing.T) {
	w, q := open(t)
	j := board.NewJob("a")
	j.Photo = board.Photo{Path: photoFile(t, j.Grid), Size: [2]int{1600, 1200}}
	w.desk.OpenJob(j)
	settled(t, w, q, func() bool { return w.photo.fault != nil })
	text, _ := w.photo.say(w.state)
	assert.Contains(t, text, "another size")
}

func TestDroppedPhoto(t *testing.T) {
	w, q := open(t)
	w.dropped(fyne.Position{}, []fyne.URI{storage.NewFileURI(photoFile(t, w.state.Job.Grid))})
	settled(t, w, q, func() bool { return w.photo.asked != nil })
	w.top().close()
	bad := filepath.Join(t.TempDir(), "x.jpg")
	require.NoError(t, os.WriteFile(bad, []byte("no photo"), 0o600))
	w.dropped(fyne.Position{}, []fyne.URI{storage.NewFileURI(bad)})
	settled(t, w, q, func() bool { return w.top() != nil })
	assert.Equal(t, "cannot open", w.top().name)
}

func TestLargePhotoIsReduced(t *testing.T) {
	img := image.NewGray(image.Rect(0, 0, 4000, 30))
	path := filepath.Join(t.TempDir(), "wide.png")
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, png.Encode(f, img))
	require.NoError(t, f.Close())
	px, err := loadPixels(path)
	require.NoError(t, err)
	assert.Equal(t, image.Pt(4000, 30), px.full)
	assert.Equal(t, image.Pt(longestSide, 21), px.img.Size())
}
