package board

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"image"
	_ "image/jpeg" // the formats that a photo may have
	_ "image/png"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
)

// Photo is a picture of the board with the pane on it, laid behind the grid as a
// check. Only where it lies and four crossings of the grid in it are kept, never
// its pixels. The zero value is none.
type Photo struct {
	Path   string
	Size   [2]int // width and height that the points were taken in, pixels
	Points [4]PhotoPoint
}

// PhotoPoint is a crossing of the grid in a photo.
type PhotoPoint struct {
	At          [2]float64 // pixels from the upper left corner, y down
	Across, Row int        // number of the line across; lettered line, from 0 for A
}

// String is the crossing's name: "7/C".
func (p PhotoPoint) String() string { return fmt.Sprintf("%d/%s", p.Across, Grid{}.RowLabel(p.Row)) }

// ParseCrossing reads the name of a crossing of the grid, by its two lines: "7/C"
// or "7 C".
func (g Grid) ParseCrossing(text string) (across, row int, err error) {
	refused := errors.New("board: name the crossing by its two lines, as in 7/C")
	part := strings.FieldsFunc(text, func(r rune) bool { return r == '/' || r == ' ' || r == ',' || r == ';' })
	if len(part) != 2 || !isLineNumber(strings.ReplaceAll(part[0], "−", "-")) || !isLineLetters(strings.ToLower(part[1])) {
		return 0, 0, refused
	}
	x, err := g.line(strings.ReplaceAll(part[0], "−", "-"), AxisX)
	if err != nil {
		return 0, 0, fmt.Errorf("board: %w", err)
	}
	y, err := g.line(strings.ToLower(part[1]), AxisY)
	if err != nil {
		return 0, 0, fmt.Errorf("board: %w", err)
	}
	px, py := g.Pitch()
	return int(math.Round(x / px)), int(math.Round(y/py)) - g.RowA, nil
}

// Crossing is where two lines of the grid cross, in mm; false without a pitch.
func (g Grid) Crossing(across, row int) (r2.Vec, bool) {
	px, py := g.Pitch()
	return r2.Vec{X: float64(across) * px, Y: float64(g.RowA+row) * py}, px > 0 && py > 0
}

// Homography takes the board (mm) to the photo's pixels, of the size that the points
// were taken in. The error says which points will not do.
func (p *Photo) Homography(g Grid) (geom.Homography, error) {
	var on [4]r2.Vec
	var order [4]int
	var middle r2.Vec
	for i, c := range p.Points {
		at, ok := g.Crossing(c.Across, c.Row)
		if !ok {
			return geom.Homography{}, errors.New("board: the grid has no pitch yet, so no crossing has a place")
		}
		for k, o := range p.Points[:i] {
			if o.Across == c.Across && o.Row == c.Row {
				return geom.Homography{}, fmt.Errorf("board: points %d and %d are both named %s", k+1, i+1, c)
			}
		}
		on[i], order[i] = at, i
		middle = r2.Add(middle, r2.Scale(0.25, at))
	}
	slices.SortFunc(order[:], func(a, b int) int {
		angle := func(i int) float64 { return math.Atan2(on[i].Y-middle.Y, on[i].X-middle.X) }
		return cmp.Compare(angle(a), angle(b))
	})
	var from, to [4]r2.Vec
	for k, i := range order {
		from[k], to[k] = on[i], r2.Vec{X: p.Points[i].At[0], Y: p.Points[i].At[1]}
	}
	h, err := geom.HomographyThrough(from, to)
	if err != nil {
		return h, errors.New("board: no photo shows these crossings so: three of them lie on a line, or two names are exchanged")
	}
	return h, nil
}

// validate refuses what no photo can be.
func (p *Photo) validate() error {
	if *p == (Photo{}) {
		return nil
	}
	if err := checkText("photo", p.Path, maxNote); err != nil {
		return err
	}
	w, h := p.Size[0], p.Size[1]
	if p.Path == "" || w < 1 || h < 1 || w > maxSide || h > maxSide {
		return fmt.Errorf("board: a photo of %d by %d pixels is none", w, h)
	}
	for _, c := range p.Points {
		if !between(c.At[0], 0, float64(w)) || !between(c.At[1], 0, float64(h)) {
			return errors.New("board: a point of the photo lies outside of it")
		}
		if c.Across < -maxLines || c.Across > maxLines || c.Row < 0 || c.Row > maxLines {
			return errors.New("board: a point of the photo is at a line that no grid has")
		}
	}
	return nil
}

// FindPhoto is where a job's photo lies: at its path, or beside the job's file.
func FindPhoto(photo, job string) string {
	if job != "" {
		if !filepath.IsAbs(photo) {
			photo = filepath.Join(filepath.Dir(job), photo)
		}
		if _, err := os.Stat(photo); err != nil {
			if beside := filepath.Join(filepath.Dir(job), filepath.Base(photo)); beside != photo {
				if _, err := os.Stat(beside); err == nil {
					return beside
				}
			}
		}
	}
	return photo
}

// LoadPhoto reads a JPEG or PNG of at most maxPixels pixels; how many it has is
// looked at before any is made room for. The error is in words.
func LoadPhoto(path string) (image.Image, error) {
	data, err := Store{}.read(path, maxPhoto)
	switch {
	case err != nil:
		return nil, err
	case len(data) > maxPhoto:
		return nil, fmt.Errorf("board: the photo is larger than %d MB", maxPhoto>>20)
	}
	c, _, err := image.DecodeConfig(bytes.NewReader(data))
	switch {
	case err != nil:
		return nil, errors.New("board: this is no photo that can be read: a JPEG or a PNG is")
	case c.Width < 1 || c.Height < 1 || c.Width > maxSide || c.Height > maxSide || c.Width*c.Height > maxPixels:
		return nil, fmt.Errorf("board: the photo has %d by %d pixels; more than %d million are not read: save it smaller", c.Width, c.Height, maxPixels/1_000_000)
	}
	img, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("board: the photo is damaged: %w", err)
	}
	return img, nil
}
