package boardview

import (
	"math"
	"slices"
	"strconv"

	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/ui/look"
	"panewright/app/ui/paint"
	"panewright/board"
	"panewright/geom"
)

// heights is the height of a model's face over its levelled edge as it is drawn on
// the board: coloured stripes of it, lines of equal height and what they are. It is
// worked out once for each model, when it is first drawn.
type heights struct {
	of     *board.Model
	step   float64     // mm, from line to line
	first  int         // the least stripe, in steps
	bands  int         // stripes of colour
	runs   []heightRun // a row after the other
	levels []heightLevel
}

// heightRun is a piece of a row that lies within one stripe: board, mm.
type heightRun struct {
	box  r2.Box
	band int
}

// heightLevel is a line of equal height, in pieces.
type heightLevel struct {
	value float64 // mm
	lines [][2]r2.Vec
}

const (
	heightSteps  = 160   // of the lattice along the pane's longer side
	heightLines  = 12.0  // lines at most
	heightFaded  = 0.55  // of the colour: the readings stand out from it
	heightFigure = 190.0 // logical pixels from one figure of a height to the next
)

// newHeights works out the heights of a model; nil without a pane.
func newHeights(m *board.Model, outline []r2.Vec, unit board.Unit) *heights {
	if m == nil || m.Pane == nil || len(outline) < 3 {
		return nil
	}
	box := r2.Box{Min: outline[0], Max: outline[0]}
	for _, p := range outline {
		box.Min = r2.Vec{X: min(box.Min.X, p.X), Y: min(box.Min.Y, p.Y)}
		box.Max = r2.Vec{X: max(box.Max.X, p.X), Y: max(box.Max.Y, p.Y)}
	}
	lat, err := geom.NewLattice(box, heightSteps)
	if err != nil {
		return nil
	}
	over := heightOver(m)
	inside := make([]bool, len(lat.Z))
	low, high := math.Inf(1), math.Inf(-1)
	for j := range lat.NY {
		crossed := crossings(outline, lat.Min.Y+float64(j)*lat.Step)
		for i := range lat.NX {
			p := lat.Point(i, j)
			z := over(p)
			k, _ := slices.BinarySearch(crossed, p.X)
			lat.Z[j*lat.NX+i] = z
			if k%2 == 1 {
				inside[j*lat.NX+i] = true
				low, high = min(low, z), max(high, z)
			}
		}
	}
	if !(high > low) {
		return nil
	}
	h := &heights{of: m, step: heightStep(high-low, unit)}
	h.first = int(math.Floor(low / h.step))
	h.bands = int(math.Floor(high/h.step)) - h.first + 1
	h.stripe(lat, inside)
	var area geom.Polygon = outline
	for k := range h.bands - 1 {
		l := heightLevel{value: float64(h.first+k+1) * h.step}
		for _, s := range lat.LevelLines(l.value) {
			if area.Contains(r2.Scale(0.5, r2.Add(s[0], s[1]))) {
				l.lines = append(l.lines, s)
			}
		}
		h.levels = append(h.levels, l)
	}
	return h
}

// heightOver is the height of the upper face in the glass frame over a place on
// the board.
func heightOver(m *board.Model) func(r2.Vec) float64 {
	const rounds = 3 // the frame is nearly level
	to := m.BoardToGlass
	start := m.BoardToGlass.Inverse().T.Z
	return func(p r2.Vec) float64 {
		at := r3.Vec{X: p.X, Y: p.Y, Z: start}
		var q r3.Vec
		for range rounds {
			q = to.Apply(at)
			at.Z += (m.Pane.Upper.At(q.X, q.Y) - q.Z) / to.R[2][2]
		}
		return to.Apply(at).Z
	}
}

// crossings are where a level line crosses a closed outline, from left to right.
func crossings(outline []r2.Vec, y float64) (x []float64) {
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		if (a.Y > y) != (b.Y > y) {
			x = append(x, a.X+(y-a.Y)/(b.Y-a.Y)*(b.X-a.X))
		}
	}
	slices.Sort(x)
	return x
}

// heightStep is a round distance from line to line in the job's unit.
func heightStep(span float64, unit board.Unit) float64 {
	steps := []float64{0.5, 1, 2, 5, 10, 20, 50, 100, 200}
	if unit == board.Inch {
		steps = []float64{25.4 / 32, 25.4 / 16, 25.4 / 8, 25.4 / 4, 25.4 / 2, 25.4, 50.8, 101.6}
	}
	for _, s := range steps {
		if span <= heightLines*s {
			return s
		}
	}
	return steps[len(steps)-1]
}

// stripe gathers the rows' pieces of one stripe.
func (h *heights) stripe(lat *geom.Lattice, inside []bool) {
	half := lat.Step / 2
	for j := range lat.NY {
		from, band := -1, 0
		flush := func(to int) {
			if from >= 0 {
				a, b := lat.Point(from, j), lat.Point(to, j)
				h.runs = append(h.runs, heightRun{r2.Box{Min: r2.Vec{X: a.X - half, Y: a.Y - half}, Max: r2.Vec{X: b.X + half, Y: b.Y + half}}, band})
			}
			from = -1
		}
		for i := range lat.NX {
			k := j*lat.NX + i
			now := int(math.Floor(lat.Z[k]/h.step)) - h.first
			if !inside[k] || from >= 0 && now != band {
				flush(i - 1)
			}
			if inside[k] && from < 0 {
				from, band = i, now
			}
		}
		flush(lat.NX - 1)
	}
}

// heights paints the stripes and the lines with their figures.
func (f *frame) heights(h *heights, fade float64) {
	if h == nil {
		return
	}
	ramp := look.Rising()
	for _, r := range h.runs {
		a, b := f.l.px(r2.Vec{X: r.box.Min.X, Y: r.box.Max.Y}), f.l.px(r2.Vec{X: r.box.Max.X, Y: r.box.Min.Y})
		col := ramp.At((float64(r.band) + 0.5) / float64(h.bands))
		f.c.Rect(pixel(a.X), pixel(a.Y), pixel(b.X), pixel(b.Y), paint.Fade(col, heightFaded*fade))
	}
	thin := f.stroke(1, paint.Fade(f.col.Outline, 0.7*fade))
	for _, l := range h.levels {
		for _, s := range l.lines {
			f.c.Line(f.l.px(s[0]), f.l.px(s[1]), thin)
		}
	}
}

// heightFigures writes what the lines are, where there is room.
func (f *frame) heightFigures(h *heights, j *board.Job, fade float64) {
	if h == nil {
		return
	}
	for _, l := range h.levels {
		var written []r2.Vec
		for _, s := range l.lines {
			at := f.l.px(r2.Scale(0.5, r2.Add(s[0], s[1])))
			near := func(p r2.Vec) bool { return r2.Norm(r2.Sub(at, p)) < heightFigure*f.k }
			if !f.seen(at, 0) || slices.ContainsFunc(written, near) {
				continue
			}
			word := j.Format(l.value)
			if f.claim(f.textBox(f.fonts.number, labelSize, word, at, r2.Vec{X: 0.5, Y: 0.5})) {
				b := f.textBox(f.fonts.number, labelSize, word, at, r2.Vec{X: 0.5, Y: 0.5})
				f.c.Rect(pixel(b.Min.X-2*f.k), pixel(b.Min.Y), pixel(b.Max.X+2*f.k), pixel(b.Max.Y), paint.Fade(f.col.Board, 0.8))
				f.text(f.fonts.number, labelSize, word, at, r2.Vec{X: 0.5, Y: 0.5}, paint.Fade(f.col.Outline, fade))
				written = append(written, at)
			}
		}
	}
}

// heightLegend says what the stripes are, and how large the misses are drawn.
func (f *frame) heightLegend(h *heights, j *board.Job, magnify float64) {
	ramp := look.Rising()
	unit := " " + j.Unit.String()
	sample := func(part float64) func(r2.Vec) {
		return func(at r2.Vec) {
			f.c.Rect(pixel(at.X-9*f.k), pixel(at.Y-5*f.k), pixel(at.X+9*f.k), pixel(at.Y+5*f.k), ramp.At(part))
		}
	}
	lines := []legendLine{
		{word: lang.L("height of the face from its crown")},
		{sample: sample(1), word: lang.L("above {{.Z}}", map[string]any{"Z": j.Format(float64(h.first+h.bands-1)*h.step) + unit})},
		{sample: sample(0), word: lang.L("below {{.Z}}", map[string]any{"Z": j.Format(float64(h.first+1)*h.step) + unit})},
		{word: lang.L("a line every {{.Z}}", map[string]any{"Z": j.Format(h.step) + unit})},
	}
	if magnify > 0 {
		lines = append(lines, legendLine{word: lang.L("misses drawn {{.N}} times", map[string]any{"N": strconv.FormatFloat(magnify, 'g', 3, 64)})})
	}
	f.legendBox(lines)
}
