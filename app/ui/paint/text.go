package paint

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strings"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"gonum.org/v1/gonum/spatial/r2"
)

// Font is a parsed outline font with its faces at the sizes used so far.
// Not safe for concurrent use.
type Font struct {
	sfnt  *opentype.Font
	faces map[int]*Face // by size in quarter pixels
}

// NewFont reads a TrueType or OpenType font.
func NewFont(data []byte) (*Font, error) {
	f, err := opentype.Parse(data)
	if err != nil {
		return nil, fmt.Errorf("paint: font: %w", err)
	}
	return &Font{sfnt: f, faces: map[int]*Face{}}, nil
}

// Face is the font at a size in pixels, rounded to a quarter, at least 4.
func (f *Font) Face(size float64) (*Face, error) {
	q := max(int(size*4+0.5), 16)
	if face := f.faces[q]; face != nil {
		return face, nil
	}
	of, err := opentype.NewFace(f.sfnt, &opentype.FaceOptions{Size: float64(q) / 4, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		return nil, fmt.Errorf("paint: font: %w", err)
	}
	face := &Face{face: of, glyphs: map[glyphKey]glyph{}}
	m := of.Metrics()
	face.height, face.cap = fromFixed(m.Height), fromFixed(m.CapHeight)
	if face.cap <= 0 {
		face.cap = 0.7 * float64(q) / 4
	}
	f.faces[q] = face
	return face, nil
}

// Face is a font at one size; its glyphs are kept as they are drawn.
type Face struct {
	face        font.Face
	height, cap float64
	glyphs      map[glyphKey]glyph
}

type glyphKey struct {
	r       rune
	quarter uint8 // place of the pen within its pixel, in quarters
}

// glyph is a drawn letter: its coverage, and where that lies from the pen's pixel.
type glyph struct {
	at      image.Point
	w, h    int
	alpha   []uint8
	advance float64
}

// Height is the distance from line to line, pixels.
func (f *Face) Height() float64 { return f.height }

// Cap is the height of a capital or a digit, pixels.
func (f *Face) Cap() float64 { return f.cap }

// Width is the length of the text, pixels.
func (f *Face) Width(s string) float64 {
	w := 0.0
	for _, r := range s {
		w += f.glyph(r, 0).advance
	}
	return w
}

// Wrap breaks the text at blanks into lines of at most a width in pixels; a word that
// is longer stands alone.
func (f *Face) Wrap(s string, width float64) (lines []string) {
	line := ""
	for _, word := range strings.Fields(s) {
		switch {
		case line == "":
			line = word
		case f.Width(line+" "+word) <= width:
			line += " " + word
		default:
			lines = append(lines, line)
			line = word
		}
	}
	return append(lines, line)
}

// glyph draws the letter once for each quarter pixel; a letter that the font
// has not is drawn as the font's sign for that.
func (f *Face) glyph(r rune, quarter uint8) glyph {
	key := glyphKey{r, quarter}
	if g, ok := f.glyphs[key]; ok {
		return g
	}
	dr, mask, mp, adv, ok := f.face.Glyph(fixed.Point26_6{X: fixed.Int26_6(quarter) * 16}, r)
	g := glyph{advance: fromFixed(adv)}
	if ok {
		g.at, g.w, g.h = dr.Min, dr.Dx(), dr.Dy()
		g.alpha = make([]uint8, g.w*g.h)
		for y := range g.h {
			for x := range g.w {
				_, _, _, a := mask.At(mp.X+x, mp.Y+y).RGBA()
				g.alpha[y*g.w+x] = uint8(a >> 8)
			}
		}
	}
	f.glyphs[key] = g
	return g
}

func fromFixed(v fixed.Int26_6) float64 { return float64(v) / 64 }

// Text draws s at p. The anchor says which point of the text lies there: X from
// 0 (left end) to 1 (right end), Y from 0 (top of a capital) to 1 (base line).
// The base line is put on a whole pixel.
func (c *Canvas) Text(f *Face, s string, p, anchor r2.Vec, col color.NRGBA) {
	x := p.X
	if anchor.X != 0 {
		x -= anchor.X * f.Width(s)
	}
	base := math.Round(p.Y + (1-anchor.Y)*f.cap)
	if !(math.Abs(x) < 1e6 && math.Abs(base) < 1e6) {
		return
	}
	for _, r := range s {
		q := math.Floor(x*4+0.5) / 4
		px := math.Floor(q)
		g := f.glyph(r, uint8((q-px)*4))
		c.stamp(g, int(px), int(base), col)
		x += g.advance
	}
}

// stamp lays a drawn letter over the picture.
func (c *Canvas) stamp(g glyph, px, py int, col color.NRGBA) {
	x0, y0 := px+g.at.X, py+g.at.Y
	for y := max(y0, 0); y < min(y0+g.h, c.h); y++ {
		for x := max(x0, 0); x < min(x0+g.w, c.w); x++ {
			if a := g.alpha[(y-y0)*g.w+x-x0]; a != 0 {
				c.blend(y*c.w+x, col, opacity(a, col))
			}
		}
	}
}
