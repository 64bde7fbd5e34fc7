package boardview

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/paint"
	"panewright/board"
)

const (
	known      = 5.0  // mm: standard deviation up to which an outline is drawn
	bandStep   = 12.0 // mm along the outline between places of the band, at most
	bandPixels = 3.0  // logical pixels between its places as drawn, at least
	widest     = 60.0 // logical pixels to either side; a magnified band is not drawn wider
)

// run is a stretch of the outline with how sure it is at each point.
type run struct {
	u       []float64 // parameters of the finished outline; none of a free one
	at, out []r2.Vec  // board, mm; the unit normal, outward
	sd      []float64 // mm, square to the outline
	closed  bool
}

// band is how sure the outline of a model is: the finished outline all round, or
// what is known of the free one where there is none. It is worked out once for
// each model.
type band struct {
	of   *board.Model
	runs []run
}

// newBand works out the band of a model.
func newBand(m *board.Model) *band {
	b := &band{of: m}
	switch {
	case m == nil:
	case m.Pane != nil:
		b.finished(m)
	case m.Free != nil && m.Free.Curve != nil:
		b.free(m)
	}
	return b
}

// finished takes the finished outline, laid back on the board.
func (b *band) finished(m *board.Model) {
	c := m.Pane.Outline
	r := run{closed: true}
	_, end := c.Period()
	places := spaced(append(c.Flatten(0.05), end), c.At)
	for _, u := range places[:len(places)-1] { // the end is the beginning
		at, out := laidBack(m, u)
		r.u, r.at, r.out = append(r.u, u), append(r.at, at), append(r.out, out)
		r.sd = append(r.sd, min(m.OutlineSD(c.At(u)), known))
	}
	b.runs = []run{r}
}

// free takes the parts of the free outline that were measured.
func (b *band) free(m *board.Model) {
	c := m.Free.Curve
	_, end := c.Period()
	var r run
	flush := func() {
		if len(r.at) > 1 {
			b.runs = append(b.runs, r)
		}
		r = run{}
	}
	for _, u := range spaced(append(c.Flatten(0.05), end), c.At) {
		sd := m.Free.SD(u)
		if !(sd <= known) {
			flush()
			continue
		}
		r.at, r.out, r.sd = append(r.at, c.At(u)), append(r.out, c.Normal(u)), append(r.sd, sd)
	}
	flush()
}

// spaced puts parameters between those that lie far apart.
func spaced(u []float64, at func(float64) r2.Vec) (out []float64) {
	for i, v := range u {
		out = append(out, v)
		if i+1 == len(u) {
			break
		}
		n := int(math.Ceil(r2.Norm(r2.Sub(at(u[i+1]), at(v))) / bandStep))
		for k := 1; k < n; k++ {
			out = append(out, v+(u[i+1]-v)*float64(k)/float64(n))
		}
	}
	return out
}

// lines are the runs themselves.
func (b *band) lines() (out [][]r2.Vec) {
	for _, r := range b.runs {
		out = append(out, r.at)
	}
	return out
}

// band paints two standard deviations to either side of the outline, magnified
// as the misses are.
func (f *frame) band(b *band, magnify, fade float64) {
	for _, r := range b.runs {
		var left, right []r2.Vec
		var last r2.Vec
		most := 0.0
		for i, p := range r.at {
			at := f.l.px(p)
			if i > 0 && i+1 < len(r.at) && r2.Norm(r2.Sub(at, last)) < bandPixels*f.k {
				continue
			}
			last = at
			w := min(2*r.sd[i]*max(magnify, 1)*f.l.s, widest*f.k)
			most = max(most, w)
			d := r2.Vec{X: w * r.out[i].X, Y: -w * r.out[i].Y}
			left, right = append(left, r2.Add(at, d)), append(right, r2.Sub(at, d))
		}
		if most < 0.6*f.col.Line*f.k { // the line itself hides it
			continue
		}
		if r.closed {
			left, right = append(left, left[0]), append(right, right[0])
		}
		f.c.Fill(paint.Fade(f.col.Band, fade), strips(left, right)...)
	}
}

// strips are the loops that fill what lies between two lines of as many points:
// long ones, and a piece of its own wherever the lines fold over in a tight
// corner, turned so that it leaves no hole. left is outside of a loop that runs
// counter-clockwise on the board.
func strips(left, right []r2.Vec) (loops [][]r2.Vec) {
	from := 0
	flush := func(to int) {
		if to > from {
			back := slices.Clone(right[from : to+1])
			slices.Reverse(back)
			loops = append(loops, append(slices.Clone(left[from:to+1]), back...))
		}
	}
	for i := range len(left) - 1 {
		a, b, c, d := left[i], left[i+1], right[i+1], right[i]
		if r2.Cross(r2.Sub(c, a), r2.Sub(d, b)) > 0 {
			flush(i)
			loops = append(loops, []r2.Vec{d, c, b, a})
			from = i + 1
		}
	}
	flush(len(left) - 1)
	return loops
}
