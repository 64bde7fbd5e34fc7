package pdf

import (
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
)

// Colour is red, green and blue, 0 to 255.
type Colour struct{ R, G, B uint8 }

// Black is the colour of a pen that names none.
var Black = Colour{}

// Pen is a line: its width on paper in mm, its colour, and the lengths of its
// strokes and gaps, none for a continuous line.
type Pen struct {
	Width  float64
	Colour Colour
	Dash   []float64
}

// The line types of ISO 128-2: dashed, and long-dashed dotted, for a width of
// about a quarter of a millimetre.
var (
	Dashed  = []float64{3, 1.5}
	DashDot = []float64{8, 1.2, 0.6, 1.2}
)

// View lays a drawing on a page: the drawing's origin at a place of the page,
// and so many mm of paper for one mm of it, across the page and up. Turned, the
// drawing lies on its side: its x runs up the page and its y to the left.
type View struct {
	At     r2.Vec
	Scale  r2.Vec
	Turned bool
}

var one = r2.Vec{X: 1, Y: 1}

// On is where a point of the drawing lies on the page.
func (v View) On(p r2.Vec) r2.Vec {
	if v.Turned {
		p = r2.Vec{X: -p.Y, Y: p.X}
	}
	return r2.Vec{X: v.At.X + v.Scale.X*p.X, Y: v.At.Y + v.Scale.Y*p.Y}
}

// Back is the point of the drawing that lies at a place of the page.
func (v View) Back(q r2.Vec) r2.Vec {
	p := r2.Vec{X: (q.X - v.At.X) / v.Scale.X, Y: (q.Y - v.At.Y) / v.Scale.Y}
	if v.Turned {
		p = r2.Vec{X: p.Y, Y: -p.X}
	}
	return p
}

// Fit is the view that shows a box of a drawing as large as it goes, upright and
// in its middle, in a box of the page.
func Fit(drawing, page r2.Box) View {
	d, p := r2.Sub(drawing.Max, drawing.Min), r2.Sub(page.Max, page.Min)
	s := math.Min(p.X/math.Max(d.X, 1e-9), p.Y/math.Max(d.Y, 1e-9))
	mid := func(b r2.Box) r2.Vec { return r2.Scale(0.5, r2.Add(b.Min, b.Max)) }
	return View{At: r2.Sub(mid(page), r2.Scale(s, mid(drawing))), Scale: r2.Vec{X: s, Y: s}}
}

// Page is a page; what is drawn on it is in its own millimetres.
type Page struct {
	*Area
	Sheet  Sheet
	doc    *Document
	number int
}

// Number is the page's place in the file, from 1.
func (p *Page) Number() int { return p.number }

// Area is a part of a page that shows a drawing.
type Area struct {
	page *Page
	view View
	box  r2.Box // of the page, that is seen
}

// View is how the drawing lies.
func (a *Area) View() View { return a.view }

// Window draws on a part of the page through a view; nothing is seen outside.
func (p *Page) Window(part r2.Box, v View, draw func(a *Area)) {
	size := r2.Sub(part.Max, part.Min)
	p.raw("q " + pt(part.Min) + " " + num(size.X*points) + " " + num(size.Y*points) + " re W n")
	draw(&Area{page: p, view: v, box: part})
	p.raw("Q")
}

// Over draws on the page through a view, without bounds.
func (p *Page) Over(v View, draw func(a *Area)) {
	draw(&Area{page: p, view: v, box: p.box})
}

// Inside draws within a closed line of pieces; nothing is seen outside of it.
func (a *Area) Inside(edge []Piece, draw func()) {
	var b strings.Builder
	b.WriteString("q ")
	a.path(&b, edge, false)
	a.page.raw(b.String() + "h W n")
	draw()
	a.page.raw("Q")
}

// Line draws a straight line. Lines outside what is seen are left out of the file.
func (a *Area) Line(pen Pen, p, q r2.Vec) { a.Lines(pen, []r2.Vec{p, q}) }

// Lines draws open lines through points.
func (a *Area) Lines(pen Pen, lines ...[]r2.Vec) { a.lines(pen, lines, " S") }

// Loop draws a closed line through points.
func (a *Area) Loop(pen Pen, pts []r2.Vec) { a.lines(pen, [][]r2.Vec{pts}, " s") }

func (a *Area) lines(pen Pen, lines [][]r2.Vec, end string) {
	var b strings.Builder
	for _, l := range lines {
		on := make([]r2.Vec, len(l))
		for i, p := range l {
			on[i] = a.view.On(p)
		}
		if a.sees(on) {
			b.WriteString(through(on))
		}
	}
	if b.Len() > 0 {
		a.page.raw(pen.set() + b.String() + end)
	}
}

// through goes through points of the page.
func through(on []r2.Vec) string {
	var b strings.Builder
	for i, p := range on {
		b.WriteString(" " + pt(p) + [2]string{" l", " m"}[btoi(i == 0)])
	}
	return b.String()
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// Rect draws a box of the drawing.
func (a *Area) Rect(pen Pen, b r2.Box) { a.Loop(pen, corners(b)) }

// Fill fills a closed line through points.
func (a *Area) Fill(c Colour, pts ...r2.Vec) {
	on := make([]r2.Vec, len(pts))
	for i, p := range pts {
		on[i] = a.view.On(p)
	}
	a.page.raw(c.operands() + " rg" + through(on) + " f")
}

// Curve draws pieces one after the other. Those that lie outside what is seen
// are left out of the file.
func (a *Area) Curve(pen Pen, pieces []Piece) {
	var b strings.Builder
	a.path(&b, pieces, true)
	if b.Len() > 0 {
		a.page.raw(pen.set() + " " + b.String() + "S")
	}
}

// path writes pieces, moving to the start of each that does not begin where the
// one before ended.
func (a *Area) path(b *strings.Builder, pieces []Piece, seen bool) {
	var last r2.Vec
	open := false
	for _, piece := range pieces {
		var on Piece
		for i, p := range piece {
			on[i] = a.view.On(p)
		}
		if seen && !a.sees(on[:]) {
			open = false
			continue
		}
		if !open || on[0] != last {
			b.WriteString(pt(on[0]) + " m ")
		}
		b.WriteString(pt(on[1]) + " " + pt(on[2]) + " " + pt(on[3]) + " c ")
		open, last = true, on[3]
	}
}

// sees tells whether a line or a piece through points of the page may show; what
// is not a number is not left out.
func (a *Area) sees(on []r2.Vec) bool {
	const pen = 2 // mm, more than any pen is wide
	left, right, below, above := true, true, true, true
	for _, p := range on {
		left = left && p.X < a.box.Min.X-pen
		right = right && p.X > a.box.Max.X+pen
		below = below && p.Y < a.box.Min.Y-pen
		above = above && p.Y > a.box.Max.Y+pen
	}
	return len(on) > 0 && !left && !right && !below && !above
}

// Circle draws a circle of a radius on paper, filled or not.
func (a *Area) Circle(pen Pen, fill bool, centre r2.Vec, radius float64) {
	c := a.view.On(centre)
	if !a.sees([]r2.Vec{{X: c.X - radius, Y: c.Y - radius}, {X: c.X + radius, Y: c.Y + radius}}) {
		return
	}
	const k = 0.5522847498307936 // of a quarter circle: 4/3·(√2-1)
	at := func(x, y float64) string { return pt(r2.Vec{X: c.X + radius*x, Y: c.Y + radius*y}) }
	s := pen.set() + " " + pen.Colour.operands() + " rg " + at(1, 0) + " m " +
		at(1, k) + " " + at(k, 1) + " " + at(0, 1) + " c " + at(-k, 1) + " " + at(-1, k) + " " + at(-1, 0) + " c " +
		at(-1, -k) + " " + at(-k, -1) + " " + at(0, -1) + " c " + at(k, -1) + " " + at(1, -k) + " " + at(1, 0) + " c "
	a.page.raw(s + [2]string{"s", "b"}[btoi(fill)])
}

// Cross draws an upright cross with arms of a length on paper.
func (a *Area) Cross(pen Pen, centre r2.Vec, arm float64) {
	c := a.view.On(centre)
	x, y := r2.Vec{X: arm}, r2.Vec{Y: arm}
	if !a.sees([]r2.Vec{r2.Sub(c, r2.Add(x, y)), r2.Add(c, r2.Add(x, y))}) {
		return
	}
	a.page.Lines(pen, []r2.Vec{r2.Sub(c, x), r2.Add(c, x)}, []r2.Vec{r2.Sub(c, y), r2.Add(c, y)})
}

const points = 72 / 25.4 // of a mm

// raw writes operators into the page.
func (p *Page) raw(s string) {
	p.doc.out.SetPage(p.number) // what is open may be an earlier one
	p.doc.out.RawWriteStr(s)
	if strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
		p.doc.out.SetErrorf("a place on page %d is not a number", p.number)
	}
}

// num writes a number without zeros behind.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 4, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}

// pt writes a place of the page, given in mm, in points.
func pt(p r2.Vec) string { return num(p.X*points) + " " + num(p.Y*points) }

func (c Colour) operands() string {
	part := func(v uint8) string { return num(float64(v) / 255) }
	return part(c.R) + " " + part(c.G) + " " + part(c.B)
}

func (p Pen) set() string {
	dash := make([]string, len(p.Dash))
	for i, d := range p.Dash {
		dash[i] = num(d * points)
	}
	return num(p.Width*points) + " w " + p.Colour.operands() + " RG [" + strings.Join(dash, " ") + "] 0 d"
}

func box(x0, y0, x1, y1 float64) r2.Box {
	return r2.Box{Min: r2.Vec{X: x0, Y: y0}, Max: r2.Vec{X: x1, Y: y1}}
}

func corners(b r2.Box) []r2.Vec {
	return []r2.Vec{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}
}
