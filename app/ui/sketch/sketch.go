// Package sketch holds the drawings of the help: what is done with the pane, the
// board and the tape in each step, drawn in code so that they follow the theme.
package sketch

import (
	"image"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/look"
	"panewright/app/ui/paint"
)

// Size of every drawing in its own units, y up. In normal type a unit is a logical
// pixel where there is room.
const (
	Width  = 680.0
	Height = 230.0
)

// Drawing draws itself with a pen.
type Drawing func(p *Pen)

// Sketch shows a drawing as wide as there is room.
type Sketch struct {
	widget.BaseWidget
	drawing Drawing
	raster  *canvas.Raster
	out     *paint.Canvas
}

// New is a sketch of a drawing.
func New(d Drawing) *Sketch {
	s := &Sketch{drawing: d, out: paint.New(1, 1)}
	s.raster = canvas.NewRaster(s.draw)
	s.raster.ScaleMode = canvas.ImageScalePixels
	s.ExtendBaseWidget(s)
	return s
}

// MinSize grows with the type, so that words keep their room.
func (s *Sketch) MinSize() fyne.Size {
	s.ExtendBaseWidget(s)
	return fyne.NewSize(Width/2, Height*look.Scale())
}

// CreateRenderer implements fyne.Widget.
func (s *Sketch) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(s.raster) }

// draw paints the sketch into w by h device pixels.
func (s *Sketch) draw(w, h int) image.Image {
	s.out.Resize(w, h)
	k := 1.0
	if width := s.Size().Width; width > 0 {
		k = float64(w) / float64(width)
	}
	Paint(s.out, s.drawing, k)
	return s.out.Image()
}

// Paint paints a drawing over the whole of a canvas; k device pixels make a logical
// one.
func Paint(c *paint.Canvas, d Drawing, k float64) {
	w, h := c.Size()
	p := &Pen{c: c, col: look.Current(), k: k}
	p.u = min(float64(w)/Width, float64(h)/Height)
	p.at = r2.Vec{X: (float64(w) - p.u*Width) / 2, Y: (float64(h) + p.u*Height) / 2}
	if f, err := paint.NewFont(theme.DefaultTextFont().Content()); err == nil {
		if face, err := f.Face(look.Small * k * float64(look.Scale())); err == nil {
			p.face = face
		}
	}
	c.Clear(p.col.Board)
	d(p)
}

// Pen draws in the units of a drawing.
type Pen struct {
	c    *paint.Canvas
	col  look.Colours
	face *paint.Face
	u, k float64 // device pixels in a unit, and in a logical pixel
	at   r2.Vec  // of the drawing's origin
}

// xy is a point.
func xy(x, y float64) r2.Vec { return r2.Vec{X: x, Y: y} }

func (p *Pen) px(v r2.Vec) r2.Vec { return r2.Vec{X: p.at.X + p.u*v.X, Y: p.at.Y - p.u*v.Y} }

func (p *Pen) all(pts []r2.Vec) []r2.Vec {
	out := make([]r2.Vec, len(pts))
	for i, v := range pts {
		out[i] = p.px(v)
	}
	return out
}

// ink is how a line is drawn.
type ink int

const (
	wide   ink = iota // outlines of glass and wood
	thin              // dimensions, tools
	grid              // the board's lines
	hidden            // what is made, not measured
	middle            // centre lines
	mark              // what is wrong or sought
)

func (p *Pen) stroke(i ink) paint.Stroke {
	s := paint.Stroke{Width: p.col.Thin * p.k, Color: p.col.Outline}
	switch i {
	case wide:
		s.Width = p.col.Line * p.k
	case grid:
		s.Width, s.Color = p.k, p.col.GridFifth
	case hidden:
		s.Dash = paint.HiddenDash(1.2 * p.k)
	case middle:
		s.Color, s.Dash = p.col.Centre, paint.CentreDash(p.k)
	case mark:
		s.Color, s.Width = p.col.Suspect, p.col.Line*p.k
	}
	return s
}

// line draws through points.
func (p *Pen) line(i ink, pts ...r2.Vec) { p.c.Polyline(p.all(pts), false, p.stroke(i)) }

// loop draws a closed line.
func (p *Pen) loop(i ink, pts []r2.Vec) { p.c.Polyline(p.all(pts), true, p.stroke(i)) }

// fill fills a loop faintly.
func (p *Pen) fill(pts []r2.Vec, part float64) {
	p.c.Fill(paint.Fade(p.col.Glass, part), p.all(pts))
}

// wood fills a loop with the colour of the fixture.
func (p *Pen) wood(pts []r2.Vec) {
	p.c.Fill(paint.Fade(p.col.Fixture, 0.6), p.all(pts))
	p.loop(thin, pts)
}

// dot is a station.
func (p *Pen) dot(v r2.Vec) { p.c.Disc(p.px(v), 3.5*p.k, p.col.Station) }

// square is a check station.
func (p *Pen) square(v r2.Vec) {
	p.c.Shape(paint.Square, p.px(v), 5*p.k, p.col.Board, paint.Stroke{Width: 1.5 * p.k, Color: p.col.Station})
}

// cross is a face point.
func (p *Pen) cross(v r2.Vec) {
	p.c.Cross(p.px(v), 4*p.k, paint.Stroke{Width: 1.5 * p.k, Color: p.col.Face})
}

// words writes a text; anchor 0 begins at v, 1 ends there, 0.5 is in its middle.
func (p *Pen) words(v r2.Vec, anchor float64, s string) {
	if p.face != nil {
		p.c.Text(p.face, s, p.px(v), r2.Vec{X: anchor, Y: 0.5}, p.col.Label)
	}
}

// arrow draws a line with a head at its end.
func (p *Pen) arrow(i ink, pts ...r2.Vec) {
	p.line(i, pts...)
	p.head(i, pts[len(pts)-2], pts[len(pts)-1])
}

// head is the head of an arrow that comes from a and ends at b.
func (p *Pen) head(i ink, a, b r2.Vec) {
	d := r2.Scale(7, r2.Unit(r2.Sub(a, b)))
	n := r2.Scale(0.4, r2.Vec{X: -d.Y, Y: d.X})
	p.line(i, r2.Add(r2.Add(b, d), n), b, r2.Sub(r2.Add(b, d), n))
}

// measure is a length with a head at both ends and a word in its middle, off to the
// side.
func (p *Pen) measure(a, b r2.Vec, side r2.Vec, anchor float64, s string) {
	p.arrow(thin, a, b)
	p.head(thin, b, a)
	p.words(r2.Add(r2.Scale(0.5, r2.Add(a, b)), side), anchor, s)
}

// arc are points of an arch over a chord from a to b, with a sag upwards.
func arc(a, b r2.Vec, sag float64) []r2.Vec {
	const n = 24
	out := make([]r2.Vec, n+1)
	for i := range out {
		t := float64(i) / n
		out[i] = r2.Add(r2.Add(a, r2.Scale(t, r2.Sub(b, a))), r2.Vec{Y: 4 * sag * t * (1 - t)})
	}
	return out
}

// pane is the outline of a pane about its middle, clockwise from the bottom centre:
// rounded corners, narrower at the top.
func pane(middle r2.Vec, half, high float64) []r2.Vec {
	const n = 96
	out := make([]r2.Vec, n)
	for i := range out {
		t := -math.Pi/2 - 2*math.Pi*float64(i)/n
		c, s := math.Cos(t), math.Sin(t)
		r := math.Pow(math.Pow(math.Abs(c), 4)+math.Pow(math.Abs(s), 4), -0.25)
		x, y := half*r*c*(1-0.12*r*s), high*r*s
		out[i] = r2.Add(middle, r2.Vec{X: x, Y: y + high*0.14*(1-c*c*r*r)})
	}
	return out
}

// lines draws the grid of a board.
func (p *Pen) lines(lo, hi r2.Vec, step float64) {
	for x := lo.X; x <= hi.X+1e-9; x += step {
		p.line(grid, xy(x, lo.Y), xy(x, hi.Y))
	}
	for y := lo.Y; y <= hi.Y+1e-9; y += step {
		p.line(grid, xy(lo.X, y), xy(hi.X, y))
	}
}
