package boardview

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/look"
	"panewright/app/ui/paint"
	"panewright/board"
)

// Distances of the drawn board, logical pixels.
const (
	labelSize   = 11.0
	boardBorder = 26.0 // of bare board round the lines
	lineOver    = 4.0  // how far a grid line is drawn past the last one it crosses
	finestLines = 5.0  // lines nearer to each other than this are left out
	finestSnap  = 9.0
	roomySquare = 80.0
)

// grid paints the table, the board, its lines and their labels; part is the
// fraction of a square that points snap to while placing, 0: none.
func (f *frame) grid(g board.Grid, part float64) {
	f.c.Clear(f.col.Table)
	lines, ok := g.Bounds()
	if !ok {
		f.c.Clear(f.col.Board)
		return
	}
	px, py := g.Pitch()
	f.roomy = px*f.l.s > roomySquare*f.k
	lo, hi := f.l.px(r2.Vec{X: lines.Min.X, Y: lines.Max.Y}), f.l.px(r2.Vec{X: lines.Max.X, Y: lines.Min.Y})
	f.sheet(lo, hi)
	over := lineOver * f.k
	y0, y1 := pixel(lo.Y-over), pixel(hi.Y+over)
	x0, x1 := pixel(lo.X-over), pixel(hi.X+over)
	if part > 0 && part < 1 {
		f.parts(lines, px*part, py*part, [4]int{pixel(lo.X), pixel(lo.Y), pixel(hi.X), pixel(hi.Y)})
	}
	every := stride(px*f.l.s, finestLines*f.k)
	for i := g.ColFirst; i <= g.ColLast; i++ {
		if i%every == 0 {
			f.vertical(float64(i)*px, y0, y1, f.lineColour(i))
		}
	}
	every = stride(py*f.l.s, finestLines*f.k)
	for r := range g.Rows {
		if r%every == 0 {
			f.horizontal(float64(g.RowA+r)*py, x0, x1, f.lineColour(r))
		}
	}
	f.columnLabels(g, lo.Y, hi.Y)
	f.rowLabels(g, lo.X, hi.X)
}

// lineColour is stronger for every fifth line.
func (f *frame) lineColour(i int) colour {
	if i%5 == 0 {
		return f.col.GridFifth
	}
	return f.col.Grid
}

// sheet paints the board lying on the table, round its lines from lo to hi.
func (f *frame) sheet(lo, hi r2.Vec) {
	m := boardBorder * f.k
	x0, y0, x1, y1 := pixel(lo.X-m), pixel(lo.Y-m), pixel(hi.X+m), pixel(hi.Y+m)
	t := f.hair()
	f.c.Rect(x0-t, y0-t, x1+t, y1+t, f.col.GridFifth)
	f.c.Rect(x0, y0, x1, y1, f.col.Board)
}

// parts paints the faint lines between the grid's own that points snap to.
func (f *frame) parts(lines r2.Box, dx, dy float64, ends [4]int) {
	faint := paint.Fade(f.col.Grid, 0.45)
	if dx*f.l.s >= finestSnap*f.k {
		for x := lines.Min.X; x <= lines.Max.X+dx/2; x += dx {
			f.vertical(x, ends[1], ends[3], faint)
		}
	}
	if dy*f.l.s >= finestSnap*f.k {
		for y := lines.Min.Y; y <= lines.Max.Y+dy/2; y += dy {
			f.horizontal(y, ends[0], ends[2], faint)
		}
	}
}

// hair is the width of a grid line in device pixels: whole, so that it is crisp.
func (f *frame) hair() int { return max(1, int(f.k+0.5)) }

func (f *frame) vertical(x float64, y0, y1 int, col colour) {
	i := pixel(f.l.px(r2.Vec{X: x}).X)
	f.c.Rect(i, y0, i+f.hair(), y1, col)
}

func (f *frame) horizontal(y float64, x0, x1 int, col colour) {
	i := pixel(f.l.px(r2.Vec{Y: y}).Y)
	f.c.Rect(x0, i, x1, i+f.hair(), col)
}

// pixel is the pixel at a device coordinate, kept within what an int can hold.
func pixel(v float64) int { return int(math.Floor(min(max(v, -1e6), 1e6))) }

// stride is how many steps of a given size make up the least distance wanted:
// 1, 2, 5, 10, 20 …
func stride(step, least float64) int {
	for n := 1; n < 1000; n *= 10 {
		for _, m := range []int{1, 2, 5} {
			if float64(n*m)*step >= least {
				return n * m
			}
		}
	}
	return 1000
}

// columnLabels writes the numbers at both ends of the lines across, held inside
// the picture where an end lies outside.
func (f *frame) columnLabels(g board.Grid, top, bottom float64) {
	px, _ := g.Pitch()
	widest := max(len(g.ColLabel(g.ColFirst)), len(g.ColLabel(g.ColLast)))
	every := stride(px*f.l.s, (float64(widest)*7+8)*f.k)
	ends := f.labelEnds(top, bottom, f.h)
	for i := g.ColFirst; i <= g.ColLast; i++ {
		if i%every != 0 {
			continue
		}
		x := f.l.px(r2.Vec{X: float64(i) * px}).X
		if x < 2*f.labelBand() || x > f.w-2*f.labelBand() {
			continue
		}
		for _, y := range ends {
			f.gridLabel(g.ColLabel(i), r2.Vec{X: x + 0.5*f.k, Y: y})
		}
	}
}

// rowLabels writes the letters at both ends of the lines up.
func (f *frame) rowLabels(g board.Grid, left, right float64) {
	_, py := g.Pitch()
	every := stride(py*f.l.s, 16*f.k)
	ends := f.labelEnds(left, right, f.w)
	for r := range g.Rows {
		if r%every != 0 {
			continue
		}
		y := f.l.px(r2.Vec{Y: float64(g.RowA+r) * py}).Y
		if y < 2*f.labelBand() || y > f.h-2*f.labelBand() {
			continue
		}
		for _, x := range ends {
			f.gridLabel(g.RowLabel(r), r2.Vec{X: x, Y: y + 0.5*f.k})
		}
	}
}

// labelBand is how far the middle of a label is from the end of its line or from
// the picture's side, device pixels.
func (f *frame) labelBand() float64 { return 12 * f.k * float64(look.Scale()) }

// labelEnds are where labels lie beyond the ends lo and hi of their lines, held
// inside a picture of the given size.
func (f *frame) labelEnds(lo, hi, size float64) []float64 {
	band := f.labelBand() + lineOver*f.k
	least := f.labelBand()
	lo, hi = max(lo-band, least), min(hi+band, size-least)
	if hi-lo < 3*f.labelBand() || lo > size || hi < 0 {
		return nil
	}
	return []float64{lo, hi}
}

// gridLabel writes a label of the grid, the lines under it cleared away.
func (f *frame) gridLabel(s string, at r2.Vec) {
	middle := r2.Vec{X: 0.5, Y: 0.5}
	b := f.textBox(f.fonts.text, labelSize, s, at, middle)
	pad := 2 * f.k
	if !f.claim(b) {
		return
	}
	f.c.Rect(pixel(b.Min.X-pad), pixel(b.Min.Y-pad), pixel(b.Max.X+pad)+1, pixel(b.Max.Y+pad)+1, paint.Fade(f.col.Board, 0.85))
	f.text(f.fonts.text, labelSize, s, at, middle, f.col.GridLabel)
}
