package pdf

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Tiling spreads a drawing over sheets in rows and columns that overlap.
type Tiling struct {
	Window     r2.Box // of every page, that shows the drawing
	Overlap    float64
	Scale      r2.Vec // paper for one mm of the drawing, across the page and up
	Turned     bool   // the drawing lies on its side, as View says
	Cols, Rows int

	low r2.Vec // place of the drawing, in mm of paper, that the whole begins at
}

// NewTiling lays a box of a drawing on the fewest sheets that hold it with
// windows so, where neighbours share overlap mm of paper, and puts it in their
// middle.
func NewTiling(drawing, window r2.Box, overlap float64, scale r2.Vec, turned bool) (Tiling, error) {
	t := Tiling{Window: window, Overlap: overlap, Scale: scale, Turned: turned}
	size := r2.Sub(window.Max, window.Min)
	if !(scale.X > 0 && scale.Y > 0 && overlap >= 0 && size.X > 2*overlap && size.Y > 2*overlap) {
		return t, fmt.Errorf("pdf: tiling: no room on a sheet of %.0f x %.0f mm", size.X, size.Y)
	}
	v := View{Scale: scale, Turned: turned}
	a, b := v.On(drawing.Min), v.On(drawing.Max)
	lo := r2.Vec{X: math.Min(a.X, b.X), Y: math.Min(a.Y, b.Y)}
	want := r2.Vec{X: math.Abs(b.X - a.X), Y: math.Abs(b.Y - a.Y)}
	count := func(want, size float64) int { return max(1, int(math.Ceil((want-overlap)/(size-overlap)-1e-9))) }
	t.Cols, t.Rows = count(want.X, size.X), count(want.Y, size.Y)
	const most = 400
	if !(want.X < 1e6 && want.Y < 1e6) || t.Cols*t.Rows > most {
		return t, fmt.Errorf("pdf: tiling: more than %d sheets", most)
	}
	whole := r2.Vec{X: float64(t.Cols)*(size.X-overlap) + overlap, Y: float64(t.Rows)*(size.Y-overlap) + overlap}
	t.low = r2.Sub(lo, r2.Scale(0.5, r2.Sub(whole, want)))
	return t, nil
}

// Name is the name of a sheet: a letter for its row, from the bottom, and the
// number of its column, from the left, as the page lies.
func (t Tiling) Name(col, row int) string {
	name := string(rune('A' + row%26))
	if row >= 26 {
		name = string(rune('A'+row/26-1)) + name
	}
	return fmt.Sprintf("%s%d", name, col+1)
}

// step is the way from a sheet to the next, mm of paper.
func (t Tiling) step() r2.Vec {
	s := r2.Sub(t.Window.Max, t.Window.Min)
	return r2.Vec{X: s.X - t.Overlap, Y: s.Y - t.Overlap}
}

// corner is the low corner of a sheet's window in the drawing, mm of paper.
func (t Tiling) corner(col, row int) r2.Vec {
	s := t.step()
	return r2.Vec{X: t.low.X + float64(col)*s.X, Y: t.low.Y + float64(row)*s.Y}
}

// View is how the drawing lies on a sheet.
func (t Tiling) View(col, row int) View {
	return View{At: r2.Sub(t.Window.Min, t.corner(col, row)), Scale: t.Scale, Turned: t.Turned}
}

// Own is the sheet that a point of the drawing belongs to: sheets share their
// overlap half and half.
func (t Tiling) Own(p r2.Vec) (col, row int) {
	q := r2.Sub(View{Scale: t.Scale, Turned: t.Turned}.On(p), r2.Add(t.low, r2.Vec{X: t.Overlap / 2, Y: t.Overlap / 2}))
	s := t.step()
	at := func(v, step float64, n int) int { return min(max(int(math.Floor(v/step)), 0), n-1) }
	return at(q.X, s.X, t.Cols), at(q.Y, s.Y, t.Rows)
}

// Cell is the part of the drawing that belongs to a sheet: the corners of its
// share, half of every overlap with it.
func (t Tiling) Cell(col, row int) []r2.Vec {
	c := r2.Add(t.corner(col, row), r2.Vec{X: t.Overlap / 2, Y: t.Overlap / 2})
	flat := View{Scale: t.Scale, Turned: t.Turned}
	var out []r2.Vec
	for _, p := range corners(r2.Box{Min: c, Max: r2.Add(c, t.step())}) {
		out = append(out, flat.Back(p))
	}
	return out
}

// Crosses are the register crosses: in the middle of the overlaps, where four
// sheets meet and half-way between, as points of the drawing.
func (t Tiling) Crosses() []r2.Vec {
	s := t.step()
	flat := View{Scale: t.Scale, Turned: t.Turned}
	first := r2.Add(t.low, r2.Vec{X: t.Overlap / 2, Y: t.Overlap / 2})
	var out []r2.Vec
	for j := range 2*t.Rows + 1 {
		for i := range 2*t.Cols + 1 {
			if i%2 == 1 && j%2 == 1 {
				continue // the middle of a sheet
			}
			out = append(out, flat.Back(r2.Vec{X: first.X + float64(i)/2*s.X, Y: first.Y + float64(j)/2*s.Y}))
		}
	}
	return out
}
