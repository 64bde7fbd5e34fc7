package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// form says which parameters of a chain are free and how the others follow. A free chain has all of them, a symmetric one those of its right half.
type form struct {
	corners int
	twin    []int  // of each corner in x = 0; nil where the chain is free
	breaks  []bool // corners without a radius of their own
	cols    [][]entry
	most    float64 // mm, length of the way beyond which parameters make no chain; 0: any
}

// entry is a non-zero of one column.
type entry struct {
	param int
	value float64
}

// freeForm leaves all parameters free, but for the radii of breaks.
func freeForm(breaks []bool) *form {
	f := &form{corners: len(breaks), breaks: breaks}
	for i := range perCorner * f.corners {
		if i%perCorner != 2 || !breaks[i/perCorner] {
			f.cols = append(f.cols, []entry{{i, 1}})
		}
	}
	return f
}

// mirrorForm ties every corner to its twin, which may be itself, and every
// side to the side between the twins of its ends.
func mirrorForm(twin []int, breaks []bool) *form {
	n := len(twin)
	f := &form{corners: n, twin: twin, breaks: make([]bool, n)}
	for i, t := range twin {
		a, b := perCorner*i, perCorner*t
		f.breaks[i] = breaks[i] || breaks[t]
		switch {
		case t == i: // on the line: moves along it
			f.cols = append(f.cols, []entry{{a + 1, 1}})
			if !f.breaks[i] {
				f.cols = append(f.cols, []entry{{a + 2, 1}})
			}
		case i < t:
			f.cols = append(f.cols, []entry{{a, 1}, {b, -1}}, []entry{{a + 1, 1}, {b + 1, 1}})
			if !f.breaks[i] {
				f.cols = append(f.cols, []entry{{a + 2, 1}, {b + 2, 1}})
			}
		}
	}
	for i := range n {
		switch t := f.twinSide(i); {
		case t == i:
			f.cols = append(f.cols, []entry{{perCorner*i + 3, 1}})
		case i < t:
			f.cols = append(f.cols, []entry{{perCorner*i + 3, 1}, {perCorner*t + 3, 1}})
		}
	}
	return f
}

// twinSide is the side that mirrors side i.
func (f *form) twinSide(i int) int { return f.twin[(i+1)%f.corners] }

// breaksOf are the positions of the breaks along a chain.
func (f *form) breaksOf(c *chain) (out []float64) {
	for i, b := range f.breaks {
		if b {
			pos, _ := c.middle(i)
			out = append(out, pos)
		}
	}
	return out
}

// size is the number of free parameters.
func (f *form) size() int { return len(f.cols) }

// even makes parameters exactly symmetric.
func (f *form) even(x []float64) {
	if f.twin == nil {
		return
	}
	was := append([]float64(nil), x...)
	for i, t := range f.twin {
		a, b := perCorner*i, perCorner*t
		x[a] = (was[a] - was[b]) / 2
		x[a+1] = (was[a+1] + was[b+1]) / 2
		x[a+2] = (was[a+2] + was[b+2]) / 2
		x[a+3] = (was[a+3] + was[perCorner*f.twinSide(i)+3]) / 2
	}
}

// moved is x with the free parameters changed by y.
func (f *form) moved(x, y []float64) []float64 {
	out := append([]float64(nil), x...)
	for k, col := range f.cols {
		for _, e := range col {
			out[e.param] += e.value * y[k]
		}
	}
	return out
}

// chain makes the chain of parameters. A symmetric one has its origin where it
// crosses the line at the bottom.
func (f *form) chain(x []float64) (*chain, error) {
	c, err := newChain(x)
	if err == nil && f.most > 0 && c.length() > f.most {
		err = errChain
	}
	if err != nil || f.twin == nil {
		return c, err
	}
	low := math.Inf(1)
	for i, t := range f.twin {
		if t == i {
			if pos, _ := c.middle(i); y(c, pos) < low {
				low, c.origin = y(c, pos), pos
			}
		}
		if f.twinSide(i) == i {
			if pos := c.start[2*i+1] - c.first[i]; y(c, pos) < low {
				low, c.origin = y(c, pos), pos
			}
		}
	}
	return c, nil
}

// y of the point at a position from corner 0's start.
func y(c *chain, pos float64) float64 {
	p, _ := c.at(pos - c.origin)
	return p.Y
}

// shaken are a chain and its neighbours a little to either side of it in every
// free parameter.
type shaken struct {
	of     *chain
	lo, hi []*chain
}

const shake = 1e-4 // mm

// shake makes a chain's neighbours.
func (f *form) shake(c *chain) (*shaken, error) {
	s := &shaken{of: c}
	y := make([]float64, f.size())
	for k := range y {
		for _, to := range []struct {
			by  float64
			all *[]*chain
		}{{shake, &s.hi}, {-shake, &s.lo}} {
			y[k] = to.by
			n, err := newChain(f.moved(c.x, y))
			if err != nil {
				return nil, err
			}
			*to.all = append(*to.all, n)
		}
		y[k] = 0
	}
	return s, nil
}

// outward fills row with how far the chain moves outward at a point of the
// given part for each mm of a parameter.
func (s *shaken) outward(row []float64, part int, p r2.Vec) {
	for k := range s.lo {
		a, _ := s.hi[k].on(part, p)
		b, _ := s.lo[k].on(part, p)
		row[k] = (b.miss - a.miss) / (2 * shake)
	}
}
