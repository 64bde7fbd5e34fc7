package paint

import (
	"image/color"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fyne.io/fyne/v2/theme"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

var (
	white = color.NRGBA{255, 255, 255, 255}
	black = color.NRGBA{0, 0, 0, 255}
	red   = color.NRGBA{255, 0, 0, 255}
)

func v(x, y float64) r2.Vec { return r2.Vec{X: x, Y: y} }

func blank(w, h int) *Canvas {
	c := New(w, h)
	c.Clear(white)
	return c
}

// ink is how much black lies on a white canvas, in whole pixels.
func ink(c *Canvas) float64 {
	sum := 0.0
	for i := 0; i < len(c.img.Pix); i += 4 {
		sum += float64(255-c.img.Pix[i]) / 255
	}
	return sum
}

func grey(c *Canvas, x, y int) uint8 { return c.img.RGBAAt(x, y).R }

func TestGridLinesAreOnePixel(t *testing.T) {
	c := blank(20, 10)
	c.HLine(-5, 50, 3, black)
	c.VLine(7, -5, 50, black)
	assert.InDelta(t, 20+10-1, ink(c), 0)
	c.HLine(0, 20, -1, black)
	c.VLine(20, 0, 10, black)
	assert.InDelta(t, 20+10-1, ink(c), 0, "outside is left out")
}

// The area of a stroke is length times width plus its round ends, of a disc
// pi r², wherever it lies between the pixels.
func TestAreas(t *testing.T) {
	const tol = 0.02 // of the area
	tests := []struct {
		name string
		draw func(c *Canvas, o r2.Vec)
		want float64
	}{
		{"line", func(c *Canvas, o r2.Vec) { c.Line(o, r2.Add(o, v(30, 17)), Stroke{Width: 3, Color: black}) }, math.Hypot(30, 17)*3 + math.Pi*1.5*1.5},
		{"thin line", func(c *Canvas, o r2.Vec) { c.Line(o, r2.Add(o, v(40, 0)), Stroke{Width: 0.5, Color: black}) }, 40*0.5 + 0.5*math.Pi/4},
		{"disc", func(c *Canvas, o r2.Vec) { c.Disc(r2.Add(o, v(20, 20)), 9, black) }, math.Pi * 81},
		{"ring", func(c *Canvas, o r2.Vec) { c.Ring(r2.Add(o, v(20, 20)), 9, 2, black) }, math.Pi * (100 - 64)},
		{"square", func(c *Canvas, o r2.Vec) { c.Shape(Square, r2.Add(o, v(20, 20)), 10, black, Stroke{}) }, 17 * 17},
		{"diamond", func(c *Canvas, o r2.Vec) { c.Shape(Diamond, r2.Add(o, v(20, 20)), 10, black, Stroke{}) }, 2 * 12 * 12},
		{"triangle", func(c *Canvas, o r2.Vec) { c.Shape(Triangle, r2.Add(o, v(20, 20)), 10, black, Stroke{}) }, 0.5 * 22 * 20},
		{"polygon", func(c *Canvas, o r2.Vec) { c.Fill(black, []r2.Vec{o, r2.Add(o, v(40, 3)), r2.Add(o, v(35, 30))}) }, 0.5 * (40*30 - 3*35)},
		{"polygon with a hole", func(c *Canvas, o r2.Vec) {
			c.Fill(black, []r2.Vec{o, r2.Add(o, v(40, 0)), r2.Add(o, v(40, 40)), r2.Add(o, v(0, 40))},
				[]r2.Vec{r2.Add(o, v(10, 10)), r2.Add(o, v(10, 30)), r2.Add(o, v(30, 30)), r2.Add(o, v(30, 10))})
		}, 1600 - 400},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for _, o := range []r2.Vec{v(10, 10), v(10.5, 10.25), v(11.37, 9.81)} {
				c := blank(64, 64)
				tt.draw(c, o)
				assert.InEpsilon(t, tt.want, ink(c), tol, "at %v", o)
			}
		})
	}
}

func TestTranslucentStrokeDoesNotDarkenAtItsJoins(t *testing.T) {
	c := blank(60, 60)
	half := Fade(black, 0.5)
	c.Polyline([]r2.Vec{v(5, 5), v(50, 5), v(50, 50), v(5, 50), v(50, 5)}, true, Stroke{Width: 5, Color: half})
	least := uint8(255)
	for y := range 60 {
		for x := range 60 {
			least = min(least, grey(c, x, y))
		}
	}
	assert.InDelta(t, 127, float64(least), 2)
	for _, m := range c.mask {
		require.Zero(t, m, "the mask is left clean")
	}
}

func TestDashes(t *testing.T) {
	c := blank(200, 9)
	s := Stroke{Width: 2, Color: black, Dash: []float64{20, 20}}
	c.Line(v(0, 4), v(200, 4), s)
	assert.InEpsilon(t, 5*20*2.0, ink(c), 0.1)
	assert.Zero(t, grey(c, 10, 4))
	assert.Equal(t, uint8(255), grey(c, 30, 4))
	assert.Zero(t, grey(c, 50, 4))
}

// A dashed line that starts far outside shows the same dashes as one walked
// all the way.
func TestDashesKeepStepOutsideThePicture(t *testing.T) {
	dash := CentreDash(1.5)
	far := blank(200, 9)
	far.Line(v(-1e6, 4), v(1e6, 4), Stroke{Width: 1.5, Color: black, Dash: dash})
	d := newDasher(dash)
	d.advance(1e6)
	for x := range 200 {
		l, on := d.next()
		if mid := l > 0.5 && l < 1e9; mid && l > 1.5 { // away from the changes
			back := newDasher(dash)
			back.advance(math.Mod(1e6+float64(x)+2, back.period))
			_, later := back.next()
			if on == later {
				assert.Equal(t, on, grey(far, x, 4) < 200 || grey(far, x+1, 4) < 200, "x = %d", x)
			}
		}
		d.advance(1)
	}
}

func TestWildCoordinatesAreLeftOut(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, p := range []r2.Vec{v(nan, 5), v(5, nan), v(inf, inf), v(-inf, 5), v(1e300, -1e300), v(-1e9, 3e9)} {
		c := blank(20, 20)
		for _, dash := range [][]float64{nil, {5, 5}} {
			c.Polyline([]r2.Vec{v(5, 5), p, v(9, 9)}, true, Stroke{Width: 2, Color: black, Dash: dash})
		}
		c.Disc(p, 4, black)
		c.Ring(p, 4, 1, black)
		c.Cross(p, 4, Stroke{Width: 1, Color: black})
		c.Shape(Diamond, p, 4, black, Stroke{Width: 1, Color: black})
		c.Fill(black, []r2.Vec{v(1, 1), p, v(9, 9)})
		var s Scene
		s.Resize(20, 20, 2)
		s.Clear(white, white)
		s.Triangle(Vertex{X: 1, Y: 1}, Vertex{X: p.X, Y: p.Y}, Vertex{X: 9, Y: 9}, black)
		s.Line(Vertex{X: 1, Y: 1}, Vertex{X: p.X, Y: p.Y}, 2, 0, black, color.NRGBA{})
	}
}

func TestBlendEnds(t *testing.T) {
	c := blank(1, 1)
	c.blend(0, red, 255)
	assert.Equal(t, color.RGBA{255, 0, 0, 255}, c.img.RGBAAt(0, 0))
	c.blend(0, black, 0)
	assert.Equal(t, color.RGBA{255, 0, 0, 255}, c.img.RGBAAt(0, 0))
	assert.Equal(t, color.NRGBA{128, 0, 0, 255}, Mix(black, red, 0.5))
	assert.Equal(t, uint8(64), Fade(red, 0.25).A)
}

func face(t testing.TB, size float64) *Face {
	t.Helper()
	f, err := NewFont(theme.DefaultTextFont().Content())
	require.NoError(t, err)
	face, err := f.Face(size)
	require.NoError(t, err)
	return face
}

func TestText(t *testing.T) {
	f := face(t, 20)
	assert.InDelta(t, 20*0.714, f.Cap(), 0.5) // the capital height of the bundled face, read off its tables
	assert.Greater(t, f.Width("12 3/8"), f.Width("12"))

	box := func(anchor r2.Vec) (x0, y0, x1, y1 int) {
		c := blank(200, 60)
		c.Text(f, "HEIGHT", v(100, 30), anchor, black)
		x0, y0 = 200, 60
		for y := range 60 {
			for x := range 200 {
				if grey(c, x, y) < 128 {
					x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x+1), max(y1, y+1)
				}
			}
		}
		return
	}
	w := f.Width("HEIGHT")
	x0, _, _, y1 := box(v(0, 1))
	assert.InDelta(t, 100, x0, 3)
	assert.InDelta(t, 30, y1, 1)
	_, y0, x1, _ := box(v(1, 0))
	assert.InDelta(t, 100, x1, 3)
	assert.InDelta(t, 30, y0, 1)
	x0, y0, x1, y1 = box(v(0.5, 0.5))
	assert.InDelta(t, 100-w/2, x0, 3)
	assert.InDelta(t, 100+w/2, x1, 3)
	assert.InDelta(t, 30, float64(y0+y1)/2, 1.1)
}

func TestWrap(t *testing.T) {
	f := face(t, 12)
	const s = "misses, and the band, drawn fifty times"
	for _, width := range []float64{1, 60, 100, 1000} {
		lines := f.Wrap(s, width)
		assert.Equal(t, s, strings.Join(lines, " "), "nothing is lost")
		for _, l := range lines {
			assert.True(t, f.Width(l) <= width || !strings.Contains(l, " "), "%q in %v", l, width)
		}
	}
	assert.Len(t, f.Wrap(s, 1000), 1)
	assert.Len(t, f.Wrap(s, 1), 7)
	assert.Equal(t, []string{""}, f.Wrap("", 10))
}

func TestFontRefusesNonsense(t *testing.T) {
	_, err := NewFont([]byte("not a font"))
	assert.ErrorContains(t, err, "paint: font")
}

func TestNearerTriangleWins(t *testing.T) {
	for _, nearFirst := range []bool{true, false} {
		var s Scene
		s.Resize(40, 40, 2)
		s.Clear(white, white)
		draw := func(z float64, col color.NRGBA) {
			s.Triangle(Vertex{X: 0, Y: 0, Z: z, L: 1}, Vertex{X: 40, Y: 0, Z: z, L: 1}, Vertex{X: 0, Y: 40, Z: z, L: 1}, col)
		}
		if nearFirst {
			draw(1, red)
			draw(2, black)
		} else {
			draw(2, black)
			draw(1, red)
		}
		s.Line(Vertex{X: 0, Y: 5.5, Z: 1.5}, Vertex{X: 40, Y: 5.5, Z: 1.5}, 1, 0, black, color.NRGBA{})
		assert.True(t, s.Hidden(Vertex{X: 5, Y: 5, Z: 1.5}))
		assert.False(t, s.Hidden(Vertex{X: 5, Y: 5, Z: 0.5}))
		assert.False(t, s.Hidden(Vertex{X: 35, Y: 35, Z: 9}))
		assert.True(t, s.Hidden(Vertex{X: -1, Y: 35, Z: 0}))
		c := New(40, 40)
		s.Resolve(c.Image())
		assert.Equal(t, color.RGBA{255, 0, 0, 255}, c.img.RGBAAt(5, 5), "hidden line")
		assert.Equal(t, color.RGBA{0, 0, 0, 255}, c.img.RGBAAt(38, 5), "the same line past the triangle")
		assert.Equal(t, color.RGBA{255, 255, 255, 255}, c.img.RGBAAt(30, 30))
	}
}

// Neighbouring triangles leave no gap and do not overlap: a fan round a point
// covers its polygon exactly once.
func TestTrianglesShareTheirSides(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		var s Scene
		s.Resize(64, 64, 1)
		s.Clear(black, black)
		m := v(20+24*rng.Float64(), 20+24*rng.Float64())
		hits := make([]int, 64*64)
		for i := range 7 {
			p := func(k int) Vertex {
				a := float64(k%7) / 7 * 2 * math.Pi
				return Vertex{X: 32 + 28*math.Cos(a), Y: 32 + 28*math.Sin(a), L: 1}
			}
			s.Clear(black, black)
			s.Triangle(Vertex{X: m.X, Y: m.Y, L: 1}, p(i), p(i+1), white)
			for k := range hits {
				if s.pix[k] == pack(255, 255, 255) {
					hits[k]++
				}
			}
		}
		inside := 0
		for _, n := range hits {
			require.LessOrEqual(t, n, 1)
			inside += n
		}
		require.InEpsilon(t, 0.5*7*28*28*math.Sin(2*math.Pi/7), inside, 0.02)
		require.Equal(t, 1, hits[32*64+32])
	}
}

func TestResolveIsTheMean(t *testing.T) {
	for _, fine := range []int{1, 2, 3, 4} {
		var s Scene
		s.Resize(3, 2, fine)
		rng := rand.New(rand.NewPCG(3, 4))
		var want [3][3 * 2]float64
		for i := range s.pix {
			s.pix[i] = rng.Uint32() & 0xffffff
			r, g, b := unpack(s.pix[i])
			at := i/(3*fine)/fine*3 + i%(3*fine)/fine
			for k, v := range []uint8{r, g, b} {
				want[k][at] += float64(v) / float64(fine*fine)
			}
		}
		c := New(3, 2)
		s.Resolve(c.Image())
		for i := range 6 {
			for k := range 3 {
				assert.InDelta(t, want[k][i], float64(c.img.Pix[4*i+k]), 0.5001)
			}
		}
	}
}

func TestLightness(t *testing.T) {
	assert.Equal(t, uint8(100), lit(100, 1))
	assert.Equal(t, uint8(50), lit(100, 0.5))
	assert.Equal(t, uint8(255), lit(100, 2))
	assert.Equal(t, uint8(0), lit(100, -1))
}

func BenchmarkBoard(b *testing.B) {
	c := New(1200, 720)
	f := face(b, 11)
	rng := rand.New(rand.NewPCG(1, 1))
	var marks, curve []r2.Vec
	for range 500 {
		marks = append(marks, v(1200*rng.Float64(), 720*rng.Float64()))
	}
	for i := range 1000 {
		a := float64(i) / 1000 * 2 * math.Pi
		curve = append(curve, v(600+550*math.Cos(a), 360+320*math.Sin(a)))
	}
	b.ReportAllocs()
	for b.Loop() {
		c.Clear(white)
		for i := range 24 {
			c.VLine(50*i, 0, 720, black)
			c.HLine(0, 1200, 30*i, black)
		}
		c.Polyline(curve, true, Stroke{Width: 2, Color: black})
		for _, p := range marks {
			c.Disc(p, 4, white)
			c.Ring(p, 4, 1.5, black)
			c.Text(f, "128", r2.Add(p, v(6, -6)), v(0, 1), black)
		}
	}
}

func BenchmarkFill(b *testing.B) {
	c := New(1200, 720)
	var outer, inner []r2.Vec
	for i := range 1000 {
		a := float64(i) / 1000 * 2 * math.Pi
		outer = append(outer, v(600+550*math.Cos(a), 360+320*math.Sin(a)))
		inner = append(inner, v(600+540*math.Cos(-a), 360+310*math.Sin(-a)))
	}
	for b.Loop() {
		c.Fill(Fade(black, 0.15), outer, inner)
	}
}

func BenchmarkShade(b *testing.B) {
	var s Scene
	s.Resize(900, 600, 2)
	c := New(900, 600)
	at := func(i, j int) Vertex {
		x, y := float64(i)/100, float64(j)/60
		return Vertex{X: 50 + 800*x, Y: 50 + 500*y, Z: x * y, L: x}
	}
	for b.Loop() {
		s.Clear(white, white)
		for i := range 100 {
			for j := range 60 {
				s.Triangle(at(i, j), at(i+1, j), at(i+1, j+1), red)
				s.Triangle(at(i, j), at(i+1, j+1), at(i, j+1), red)
			}
		}
		s.Resolve(c.Image())
	}
}
