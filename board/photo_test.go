package board

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// tilted is where a camera that leans shows a point of the board, in pixels.
func tilted(p r2.Vec) r2.Vec {
	const lean, height, focal = 0.35, 2200.0, 1500.0
	s, c := math.Sincos(lean)
	x, y := p.X, p.Y-500
	depth := height/c + y*s
	return r2.Vec{X: 1000 + focal*x/depth, Y: 700 - focal*y*c/depth}
}

// photoOf is a photo whose points are where tilted shows them, to a part of a pixel.
func photoOf(g Grid, part float64, names ...[2]int) Photo {
	p := Photo{Path: "p.png", Size: [2]int{2000, 1400}}
	for i, n := range names {
		at, _ := g.Crossing(n[0], n[1])
		q := tilted(at)
		p.Points[i] = PhotoPoint{At: [2]float64{math.Round(q.X/part) * part, math.Round(q.Y/part) * part}, Across: n[0], Row: n[1]}
	}
	return p
}

func TestPhotoIsRectified(t *testing.T) {
	g := NewJob("a").Grid
	p := photoOf(g, 1.0/4, [2]int{-8, 1}, [2]int{8, 9}, [2]int{8, 1}, [2]int{-8, 9}) // in any order
	h, err := p.Homography(g)
	require.NoError(t, err)
	back, ok := h.Inverse()
	require.True(t, ok)
	worst := 0.0
	for across := g.ColFirst; across <= g.ColLast; across++ {
		for row := range g.Rows {
			at, _ := g.Crossing(across, row)
			got, ok := back.Apply(tilted(at))
			require.True(t, ok)
			worst = max(worst, r2.Norm(r2.Sub(got, at)))
		}
	}
	assert.Less(t, worst, 0.5, "mm, every crossing, of points clicked to a quarter of a pixel")
}

func TestPhotoPointsThatWillNotDo(t *testing.T) {
	g := NewJob("a").Grid
	good := [][2]int{{-8, 1}, {8, 1}, {8, 9}, {-8, 9}}
	for name, c := range map[string]struct {
		change func(p *Photo, g *Grid)
		says   string
	}{
		"named twice":     {func(p *Photo, _ *Grid) { p.Points[1].Across = -8 }, "points 1 and 2 are both named -8/B"},
		"names exchanged": {func(p *Photo, _ *Grid) { p.Points[0].At, p.Points[1].At = p.Points[1].At, p.Points[0].At }, "exchanged"},
		"on a line":       {func(p *Photo, _ *Grid) { p.Points[1].Row, p.Points[1].Across = 5, -8 }, "lie on a line"},
		"no grid":         {func(_ *Photo, g *Grid) { g.PitchX, g.PitchY = Cell{}, Cell{} }, "no pitch"},
	} {
		p, grid := photoOf(g, 1, good...), g
		c.change(&p, &grid)
		_, err := p.Homography(grid)
		require.ErrorContains(t, err, c.says, name)
	}
}

func TestCrossingsAreNamed(t *testing.T) {
	g := NewJob("a").Grid
	g.RowA = 1
	for text, want := range map[string][2]int{"7/C": {7, 2}, "-3 a": {-3, 0}, "0, L": {0, 11}, "−9/b": {-9, 1}} {
		across, row, err := g.ParseCrossing(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, [2]int{across, row}, text)
	}
	at, ok := g.Crossing(-3, 2)
	assert.True(t, ok)
	assert.Equal(t, r2.Vec{X: -300, Y: 300}, at)
	assert.Equal(t, "-3/C", PhotoPoint{Across: -3, Row: 2}.String())
	for _, text := range []string{"", "7", "C/7", "7/C/8", "12/C", "7/Z", "7.5/C", "7+1/C"} {
		_, _, err := g.ParseCrossing(text)
		assert.Error(t, err, text)
	}
}

func TestPhotoIsKeptInTheFile(t *testing.T) {
	j := NewJob("a")
	before, err := Encode(j)
	require.NoError(t, err)
	assert.NotContains(t, string(before), "photo", "left out where there is none")
	j.Photo = photoOf(j.Grid, 0.25, [2]int{-8, 1}, [2]int{8, 9}, [2]int{8, 1}, [2]int{-8, 9})
	data, err := Encode(j)
	require.NoError(t, err)
	got, notes, err := Decode("a.pane", data)
	require.NoError(t, err)
	assert.Empty(t, notes)
	assert.Equal(t, j.Photo, got.Photo)
	assert.False(t, j.Equal(NewJob("a")), "a photo is an edit")
	assert.Equal(t, Photo{}, OtherHand(j).Photo)

	p, err := difference("x", NewJob("a"), j) // as the journal holds it, there and back
	require.NoError(t, err)
	next, err := p.apply(NewJob("a"))
	require.NoError(t, err)
	assert.Equal(t, j.Photo, next.Photo)
	p, err = difference("x", j, NewJob("a"))
	require.NoError(t, err)
	next, err = p.apply(j)
	require.NoError(t, err)
	assert.Equal(t, Photo{}, next.Photo)
}

func TestPhotoCannotBeKept(t *testing.T) {
	good := photoOf(NewJob("a").Grid, 1, [2]int{-8, 1}, [2]int{8, 9}, [2]int{8, 1}, [2]int{-8, 9})
	for name, spoil := range map[string]func(p *Photo){
		"no path":    func(p *Photo) { p.Path = "" },
		"path":       func(p *Photo) { p.Path = "a\x00b\xff" },
		"size":       func(p *Photo) { p.Size[0] = 0 },
		"huge":       func(p *Photo) { p.Size[1] = 1 << 30 },
		"outside":    func(p *Photo) { p.Points[2].At[0] = 2001 },
		"no number":  func(p *Photo) { p.Points[2].At[1] = math.NaN() },
		"line":       func(p *Photo) { p.Points[3].Across = 100_000 },
		"row":        func(p *Photo) { p.Points[3].Row = -1 },
		"far letter": func(p *Photo) { p.Points[3].Row = 100_000 },
	} {
		j := NewJob("a")
		j.Photo = good
		require.NoError(t, j.Validate())
		spoil(&j.Photo)
		assert.Error(t, j.Validate(), name)
	}
}

// bomb is a PNG of a few bytes that says it has w by h pixels.
func bomb(w, h uint32) []byte {
	var b bytes.Buffer
	b.WriteString("\x89PNG\r\n\x1a\n")
	head := []byte("IHDR\x00\x00\x00\x00\x00\x00\x00\x00\x08\x02\x00\x00\x00")
	binary.BigEndian.PutUint32(head[4:], w)
	binary.BigEndian.PutUint32(head[8:], h)
	_ = binary.Write(&b, binary.BigEndian, uint32(13))
	b.Write(head)
	_ = binary.Write(&b, binary.BigEndian, crc32.ChecksumIEEE(head))
	return b.Bytes()
}

func TestLoadPhoto(t *testing.T) {
	dir := t.TempDir()
	put := func(name string, data []byte) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, data, 0o600))
		return path
	}
	img := image.NewRGBA(image.Rect(0, 0, 40, 30))
	img.Set(3, 4, color.White)
	var asPNG, asJPEG bytes.Buffer
	require.NoError(t, png.Encode(&asPNG, img))
	require.NoError(t, jpeg.Encode(&asJPEG, img, nil))
	for _, path := range []string{put("a.png", asPNG.Bytes()), put("a.jpg", asJPEG.Bytes())} {
		got, err := LoadPhoto(path)
		require.NoError(t, err)
		assert.Equal(t, image.Pt(40, 30), got.Bounds().Size())
	}
	for name, c := range map[string]struct {
		data []byte
		says string
	}{
		"wide":    {bomb(1_000_000, 2), "million"},
		"many":    {bomb(19_000, 19_000), "million"},
		"none":    {bomb(0, 5), "no photo"},
		"text":    {[]byte("not a photo"), "no photo"},
		"damaged": {asPNG.Bytes()[:asPNG.Len()/2], "damaged"},
	} {
		_, err := LoadPhoto(put(name, c.data))
		require.ErrorContains(t, err, c.says, name)
	}
	_, err := LoadPhoto(filepath.Join(dir, "missing.png"))
	assert.ErrorIs(t, err, os.ErrNotExist)
}

func TestFindPhoto(t *testing.T) {
	dir := t.TempDir()
	beside := filepath.Join(dir, "p.png")
	require.NoError(t, os.WriteFile(beside, nil, 0o600))
	job := filepath.Join(dir, "a.pane")
	assert.Equal(t, beside, FindPhoto("/gone/p.png", job), "moved with the job")
	assert.Equal(t, beside, FindPhoto("p.png", job))
	assert.Equal(t, "/gone/q.png", FindPhoto("/gone/q.png", job))
	assert.Equal(t, "/gone/p.png", FindPhoto("/gone/p.png", ""))
}
