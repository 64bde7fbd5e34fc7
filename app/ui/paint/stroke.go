package paint

import (
	"image/color"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Stroke says how a line is drawn.
type Stroke struct {
	Width float64     // pixels
	Color color.NRGBA // its opacity holds for the whole line: overlapping parts do not darken
	Dash  []float64   // lengths in pixels, drawn and left out by turns; nil: continuous
}

// CentreDash is the long-dash-dot pattern of a centre line (ISO 128), for a
// line of the given width in pixels.
func CentreDash(width float64) []float64 {
	u := max(width, 1)
	return []float64{18 * u, 3 * u, 1.5 * u, 3 * u}
}

// HiddenDash is the dashed pattern (ISO 128), for a line of the given width.
func HiddenDash(width float64) []float64 {
	u := max(width, 1)
	return []float64{5 * u, 3 * u}
}

// Line strokes the segment from a to b, with round ends.
func (c *Canvas) Line(a, b r2.Vec, s Stroke) { c.Polyline([]r2.Vec{a, b}, false, s) }

// Polyline strokes the points in order, closed where asked, with round joins.
// Dashes run through the corners.
func (c *Canvas) Polyline(pts []r2.Vec, closed bool, s Stroke) {
	if len(pts) < 2 || s.Color.A == 0 || !(s.Width > 0) {
		return
	}
	n := len(pts)
	if !closed {
		n--
	}
	d := newDasher(s.Dash)
	for i := range n {
		a, b := pts[i], pts[(i+1)%len(pts)]
		if s.Dash == nil {
			c.capsule(a, b, s.Width)
			continue
		}
		c.dashed(a, b, s.Width, d)
	}
	c.flush(s.Color)
}

// flush lays the coverage gathered in the mask over the picture and clears it.
func (c *Canvas) flush(col color.NRGBA) {
	for _, i := range c.touched {
		c.blend(int(i), col, opacity(c.mask[i], col))
		c.mask[i] = 0
	}
	c.touched = c.touched[:0]
}

// capsule adds the coverage of all points within width/2 of the segment to the mask.
func (c *Canvas) capsule(a, b r2.Vec, width float64) {
	half, gain := width/2, 255.0
	if width < 1 { // thinner than a pixel: one pixel, fainter
		half, gain = 0.5, 255*width
	}
	reach := half + 0.5
	y0, y1, ok := pixelRange(min(a.Y, b.Y)-reach, max(a.Y, b.Y)+reach, c.h)
	if !ok {
		return
	}
	lo, hi := min(a.X, b.X)-reach, max(a.X, b.X)+reach
	dx, dy := b.X-a.X, b.Y-a.Y
	l2 := dx*dx + dy*dy
	inv, side := 0.0, math.Inf(1)
	if l2 > 0 {
		inv = 1 / l2
	}
	if dy != 0 { // how far the stroke reaches sideways from the line, along a row
		side = reach * math.Sqrt(l2) / math.Abs(dy)
	}
	for y := y0; y < y1; y++ {
		py := float64(y) + 0.5 - a.Y
		xl, xr := lo, hi
		if !math.IsInf(side, 1) {
			m := a.X + py*dx/dy
			xl, xr = max(xl, m-side), min(xr, m+side)
		}
		x0, x1, ok := pixelRange(xl, xr, c.w)
		if !ok {
			continue
		}
		row := y * c.w
		for x := x0; x < x1; x++ {
			px := float64(x) + 0.5 - a.X
			t := min(max((px*dx+py*dy)*inv, 0), 1)
			ex, ey := px-t*dx, py-t*dy
			d2 := ex*ex + ey*ey
			if d2 >= reach*reach {
				continue
			}
			c.touch(row+x, uint8(min(reach-math.Sqrt(d2), 1)*gain+0.5))
		}
	}
}

// touch raises the mask of pixel i to v.
func (c *Canvas) touch(i int, v uint8) {
	old := c.mask[i]
	if v <= old {
		return
	}
	if old == 0 {
		c.touched = append(c.touched, int32(i))
	}
	c.mask[i] = v
}

// pixelRange is the range of whole pixels, within 0..n, that touch lo..hi.
func pixelRange(lo, hi float64, n int) (from, to int, ok bool) {
	if !(hi > 0 && lo < float64(n)) { // NaN is out too
		return 0, 0, false
	}
	from, to = int(max(lo, 0)), int(math.Ceil(min(hi, float64(n))))
	return from, to, from < to
}

// dasher walks along a dash pattern.
type dasher struct {
	dash   []float64
	period float64
	at     float64 // how far into the period
}

func newDasher(dash []float64) *dasher {
	d := &dasher{dash: dash}
	for _, l := range dash {
		d.period += l
	}
	return d
}

// next is the length to the next change and whether the pattern draws until then.
func (d *dasher) next() (l float64, on bool) {
	end := 0.0
	for i, l := range d.dash {
		end += l
		if d.at < end {
			return end - d.at, i%2 == 0
		}
	}
	return d.dash[0], true
}

// advance moves on by l.
func (d *dasher) advance(l float64) { d.at = math.Mod(d.at+l, d.period) }

// dashed adds the drawn parts of the segment to the mask, and moves the pattern
// on by its whole length. Only what can be seen is walked.
func (c *Canvas) dashed(a, b r2.Vec, width float64, d *dasher) {
	length := r2.Norm(r2.Sub(b, a))
	if !(length > 0) || math.IsInf(length, 1) || !(d.period > 0) {
		return
	}
	t0, t1, ok := clip(a, b, -width-1, -width-1, float64(c.w)+width+1, float64(c.h)+width+1)
	if !ok {
		d.advance(length)
		return
	}
	s, end := t0*length, t1*length
	d.advance(s)
	at := func(s float64) r2.Vec { return r2.Add(a, r2.Scale(s/length, r2.Sub(b, a))) }
	for s < end {
		l, on := d.next()
		l = min(l, end-s)
		if on { // round ends reach half a width further; take them off again
			trim := min(width/2, l/2)
			c.capsule(at(s+trim), at(s+l-trim), width)
		}
		d.advance(l)
		s += l
		if l <= 1e-9 { // rounding at the very end of a dash
			d.advance(1e-6)
			s += 1e-6
		}
	}
	d.advance(length - end)
}

// clip is the part t0..t1 of the segment a, b inside a rectangle.
func clip(a, b r2.Vec, x0, y0, x1, y1 float64) (t0, t1 float64, ok bool) {
	t0, t1 = 0, 1
	cut := func(p, d, lo, hi float64) bool {
		if d == 0 {
			return p >= lo && p <= hi
		}
		u, v := (lo-p)/d, (hi-p)/d
		t0, t1 = max(t0, min(u, v)), min(t1, max(u, v))
		return t0 < t1
	}
	ok = cut(a.X, b.X-a.X, x0, x1) && cut(a.Y, b.Y-a.Y, y0, y1)
	return t0, t1, ok
}
