package paint

import (
	"cmp"
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// subRows is the number of samples down a pixel; across it coverage is exact.
const subRows = 5

// side is one side of a loop, from its upper to its lower end.
type side struct {
	top, bottom r2.Vec
	dir         int // +1 where the loop runs down it, -1 up
}

// crossing is where a side crosses a row.
type crossing struct {
	x   float64
	dir int
}

// Fill paints the inside of the closed loops (non-zero winding: a loop that
// turns the other way inside another is a hole). Edges are anti-aliased.
func (c *Canvas) Fill(col color.NRGBA, loops ...[]r2.Vec) {
	if col.A == 0 {
		return
	}
	c.gather(loops)
	if len(c.sides) == 0 {
		return
	}
	bottom := math.Inf(-1)
	for _, s := range c.sides {
		bottom = max(bottom, s.bottom.Y)
	}
	y0, y1, ok := pixelRange(c.sides[0].top.Y, bottom, c.h)
	if !ok {
		return
	}
	c.active = c.active[:0]
	next := 0
	for y := y0; y < y1; y++ {
		for next < len(c.sides) && c.sides[next].top.Y < float64(y+1) {
			c.active = append(c.active, c.sides[next])
			next++
		}
		c.active = slices.DeleteFunc(c.active, func(s side) bool { return s.bottom.Y <= float64(y) })
		lo, hi := c.w, 0
		for k := range subRows {
			c.crossings(float64(y) + (float64(k)+0.5)/subRows)
			l, h := c.spans()
			lo, hi = min(lo, l), max(hi, h)
		}
		c.fillRow(y, lo, hi, col)
	}
}

// gather lists the sides of the loops that are not level, by their upper ends.
func (c *Canvas) gather(loops [][]r2.Vec) {
	c.sides = c.sides[:0]
	for _, l := range loops {
		for i, b := range l {
			a := l[(i+len(l)-1)%len(l)]
			switch {
			case !(math.Abs(a.X)+math.Abs(b.X)+math.Abs(a.Y)+math.Abs(b.Y) < 1e12):
			case a.Y < b.Y:
				c.sides = append(c.sides, side{a, b, 1})
			case a.Y > b.Y:
				c.sides = append(c.sides, side{b, a, -1})
			}
		}
	}
	slices.SortFunc(c.sides, func(p, q side) int { return cmp.Compare(p.top.Y, q.top.Y) })
}

// crossings gathers where the active sides cross the level y, from left to right.
func (c *Canvas) crossings(y float64) {
	c.cross = c.cross[:0]
	for _, s := range c.active {
		if s.top.Y <= y && y < s.bottom.Y {
			x := s.top.X + (y-s.top.Y)/(s.bottom.Y-s.top.Y)*(s.bottom.X-s.top.X)
			c.cross = append(c.cross, crossing{x, s.dir})
		}
	}
	slices.SortFunc(c.cross, func(p, q crossing) int { return cmp.Compare(p.x, q.x) })
}

// spans adds the inside of one sample row to the row's coverage, kept as
// differences from pixel to pixel, and returns the pixels touched.
func (c *Canvas) spans() (lo, hi int) {
	lo, hi = c.w, 0
	winding, from := 0, 0.0
	for _, k := range c.cross {
		if winding == 0 {
			from = k.x
		}
		winding += k.dir
		if winding != 0 {
			continue
		}
		a, b := min(max(from, 0), float64(c.w)), min(max(k.x, 0), float64(c.w))
		if !(a < b) {
			continue
		}
		c.ramp(a, 1.0/subRows)
		c.ramp(b, -1.0/subRows)
		lo, hi = min(lo, int(a)), max(hi, min(int(b)+1, c.w))
	}
	return lo, hi
}

// ramp adds a step of height v at x to the coverage differences.
func (c *Canvas) ramp(x float64, v float32) {
	i := int(x)
	f := float32(x - float64(i))
	c.cover[i] += v * (1 - f)
	c.cover[i+1] += v * f
}

// fillRow lays the row's coverage over the picture and clears it.
func (c *Canvas) fillRow(y, lo, hi int, col color.NRGBA) {
	sum := float32(0)
	for x := lo; x < hi; x++ {
		if d := c.cover[x]; d != 0 {
			sum += d
			c.cover[x] = 0
		}
		if sum < 1e-3 { // less than what shows, and what rounding leaves in a hole
			continue
		}
		c.blend(y*c.w+x, col, uint32(min(max(sum, 0), 1)*float32(col.A)+0.5))
	}
	if lo < hi {
		c.cover[hi], c.cover[min(hi+1, c.w+1)] = 0, 0
	}
}
