package sketch

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/look"
	"panewright/app/ui/paint"
)

var drawings = map[string]Drawing{"board": Board, "readings": Readings, "centre": Centre, "shape": Shape, "fit": Fit, "hand-over": Handover}

// painted is a drawing at so many device pixels to a unit.
func painted(d Drawing, k float64) *image.RGBA {
	c := paint.New(int(Width*k), int(Height*k))
	Paint(c, d, k)
	return c.Image()
}

// inked is the share of an area of a picture that is not bare.
func inked(m *image.RGBA, r image.Rectangle) float64 {
	bare, n := m.RGBAAt(0, 0), 0
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			if m.RGBAAt(x, y) != bare {
				n++
			}
		}
	}
	return float64(n) / float64(r.Dx()*r.Dy())
}

// TestDrawings paints every drawing in every look: both halves have something in
// them, and nothing touches the border.
func TestDrawings(t *testing.T) {
	a := test.NewTempApp(t)
	for _, th := range []look.Theme{{Mode: look.Light}, {Mode: look.Dark}, {Mode: look.Light, Contrast: true}, {Mode: look.Dark, Contrast: true}} {
		a.Settings().SetTheme(th)
		for name, d := range drawings {
			for _, k := range []float64{1, 2} {
				what := fmt.Sprintf("%s, %+v, %v", name, th, k)
				m := painted(d, k)
				w, h := m.Rect.Dx(), m.Rect.Dy()
				assert.Equal(t, look.Current().Board, color.NRGBA(m.RGBAAt(0, 0)), what)
				assert.Greater(t, inked(m, image.Rect(0, 0, w/2, h)), 0.02, "%s: left half", what)
				assert.Greater(t, inked(m, image.Rect(w/2, 0, w, h)), 0.02, "%s: right half", what)
				for _, side := range []image.Rectangle{{Max: image.Pt(w, 1)}, {Min: image.Pt(0, h-1), Max: image.Pt(w, h)}, {Max: image.Pt(1, h)}} {
					assert.Zero(t, inked(m, side), "%s: drawn over the border", what)
				}
			}
		}
	}
}

// TestWordsStayInside repeats that in every size of type, in the room that a sketch
// asks for.
func TestWordsStayInside(t *testing.T) {
	a := test.NewTempApp(t)
	for _, ty := range []look.Type{look.TypeSmall, look.TypeNormal, look.TypeLarge, look.TypeVeryLarge} {
		a.Settings().SetTheme(look.Theme{Mode: look.Light, Type: ty})
		for name, d := range drawings {
			s := float64(look.Scale())
			c := paint.New(int(Width*s), int(Height*s))
			Paint(c, d, 1)
			w, h := c.Size()
			for _, side := range []image.Rectangle{{Max: image.Pt(w, 1)}, {Min: image.Pt(0, h-1), Max: image.Pt(w, h)}, {Max: image.Pt(1, h)}} {
				assert.Zero(t, inked(c.Image(), side), "%s, type %d", name, ty)
			}
		}
	}
}

func TestSketchWidget(t *testing.T) {
	a := test.NewTempApp(t)
	a.Settings().SetTheme(look.Theme{})
	s := New(Centre)
	least := s.MinSize()
	assert.EqualValues(t, Height, least.Height)
	a.Settings().SetTheme(look.Theme{Type: look.TypeVeryLarge})
	assert.Greater(t, s.MinSize().Height, least.Height, "it grows with the type")
	w := test.NewTempWindow(t, s)
	w.Resize(fyne.NewSize(800, 400))
	m := s.draw(400, 115).(*image.RGBA)
	assert.Equal(t, image.Rect(0, 0, 400, 115), m.Rect)
	assert.Positive(t, inked(m, m.Rect))
	assert.NotPanics(t, func() { s.draw(1, 1) }, "no room at all")
}

func TestShapesOfSketches(t *testing.T) {
	a := arc(xy(0, 0), xy(100, 0), 20)
	assert.Equal(t, xy(0, 0), a[0])
	assert.InDelta(t, 20, a[len(a)/2].Y, 1e-9, "the sag in the middle")
	assert.InDelta(t, 100, a[len(a)-1].X, 1e-9)
	p := pane(xy(10, 20), 100, 50)
	area := 0.0
	for i, v := range p {
		n := p[(i+1)%len(p)]
		area += r2.Cross(v, n) / 2
		mirror := p[(len(p)-i)%len(p)]
		assert.InDelta(t, 20-v.X, mirror.X, 1e-9, "symmetric")
	}
	assert.Negative(t, area, "clockwise, as stations go")
	assert.InDelta(t, 10, p[0].X, 1e-9, "from the bottom centre")
	assert.Less(t, math.Abs(at(p, 30).Y-30), 5.0)
}
