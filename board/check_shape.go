package board

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// places tells readings at one and the same place and readings far off the grid.
func (c *checker) places() {
	c.samePlace()
	box, ok := c.job.Grid.Bounds()
	if !ok {
		return
	}
	reach := r2.Scale(0.5, r2.Sub(box.Max, box.Min))
	box = r2.Box{Min: r2.Sub(box.Min, reach), Max: r2.Add(box.Max, reach)}
	var far []int
	count := 0
	for i := range c.job.Readings {
		r := &c.job.Readings[i]
		if r.Struck || !r.located() {
			continue
		}
		count++
		if offBox(box, r.X.MM, r.Y.MM) != "" {
			far = append(far, i)
		}
	}
	if 4*len(far) > count && count > 4 {
		c.remark(jobPlace, "pitch_x", "off-grid", "%d of %d readings lie far off the grid as it is drawn: check the grid's pitch and lines, or the unit the readings were typed in.", len(far), count)
		return
	}
	for _, i := range far {
		r := &c.job.Readings[i]
		c.add(c.place[i], offBox(box, r.X.MM, r.Y.MM), "off-grid", "%s lies far off the grid as it is drawn, at x %s and y %s: check the decimal mark, the sign and the unit.",
			c.name(i), c.length(r.X.MM), c.length(r.Y.MM))
	}
}

// offBox names the field that takes (x, y) out of the box, empty where none does.
func offBox(box r2.Box, x, y float64) string {
	switch {
	case x < box.Min.X || x > box.Max.X:
		return "x"
	case y < box.Min.Y || y > box.Max.Y:
		return "y"
	}
	return ""
}

// samePlace tells stations of different names at one place: a row typed twice.
func (c *checker) samePlace() {
	type spot struct {
		kind Kind
		set  string
		x, y int64 // 0.001 mm
	}
	first := map[spot]int{}
	for i := range c.job.Readings {
		r := &c.job.Readings[i]
		if r.Struck || !r.located() {
			continue
		}
		s := spot{r.Kind, r.Set, int64(math.Round(1000 * r.X.MM)), int64(math.Round(1000 * r.Y.MM))}
		k, again := first[s]
		if !again {
			first[s] = i
		} else if c.job.Readings[k].ID != r.ID {
			c.add(c.place[i], "x", "same-place", "%s lies exactly where %s in row %d lies: was one row typed twice? Strike one, or read it again.", c.name(i), c.job.Readings[k].ID, c.place[k].Row)
		}
	}
}

// amounts tells where there is too little to work with.
func (c *checker) amounts() {
	located := map[string]bool{}
	heights, lacking, firstLacking := 0, 0, -1
	c.each(Edge, func(i int, r *Reading) {
		if !r.located() {
			return
		}
		located[r.Set+"\x00"+r.ID] = true
		switch {
		case r.Z.Set:
			heights++
		case r.Z.Fault == "":
			lacking++
			if firstLacking < 0 {
				firstLacking = i
			}
		}
	})
	face := 0
	c.each(Face, func(_ int, r *Reading) {
		if r.located() && r.Z.Set {
			face++
		}
	})
	switch n := len(located); {
	case len(c.job.Readings) == 0:
		c.add(Place{List: "edge", Row: 1}, "x", "no-readings", "There are no readings yet: type x, y and height of the first station.")
		return
	case n < leastStations:
		c.add(Place{List: "edge"}, "", "few-stations", "%s with x and y, too few for an outline: read at least %d all round, usually 40 to 60, five to a corner.", stations(n), leastStations)
	}
	switch {
	case heights+face == 0:
		c.add(Place{List: "face"}, "z", "no-heights", "There are no heights, so no face can be fitted: read the height at the stations and at the grid crossings under the glass.")
	case lacking > 0:
		c.remark(c.place[firstLacking], "z", "missing-height", "%s without a height, the first in this row: the face is fitted without them; read them where you can reach.", stations(lacking))
	}
	if face < usualFace && heights+face > 0 {
		c.remark(Place{List: "face"}, "", "few-face-heights", "%d heights on the face are few, %d and more are usual: read the grid crossings under the glass, the middle first.", face, usualFace)
	}
}

// stations counts stations in words.
func stations(n int) string {
	if n == 1 {
		return "1 station"
	}
	return fmt.Sprintf("%d stations", n)
}

// shape tells stations in a line, face readings off the glass, and a half that
// nothing proves. Only the first laying is looked at: others lie elsewhere.
func (c *checker) shape() {
	var edge []r2.Vec
	c.each(Edge, func(_ int, r *Reading) {
		if r.located() && len(edge) == 0 {
			c.set = r.Set
		}
		if r.located() && r.Set == c.set {
			edge = append(edge, r2.Vec{X: r.X.MM, Y: r.Y.MM})
		}
	})
	if len(edge) < leastStations {
		return
	}
	if inLine(edge) {
		c.add(Place{List: "edge"}, "", "stations-in-line", "The stations all lie on one line, so they enclose nothing: read the edge all round, and check that x and y were not typed into one column.")
		return
	}
	x0 := 0.0
	if c.job.Plane != nil {
		x0 = c.job.Plane.Offset.MM
	}
	made := c.madeHalf(edge, x0)
	c.faceInside(edge, x0, made != 0)
	if made != 0 && !c.proved(edge, x0, made) {
		c.remark(jobPlace, "mirror", "half-unproved", "One half was measured and nothing proves the centre line: tape two full widths or more, or read %d stations on the far side and one each at top and bottom.", checkStations)
	}
}

// inLine says whether points spread along one direction only.
func inLine(p []r2.Vec) bool {
	var mean r2.Vec
	for _, q := range p {
		mean = r2.Add(mean, r2.Scale(1/float64(len(p)), q))
	}
	var xx, xy, yy float64
	for _, q := range p {
		d := r2.Sub(q, mean)
		xx, xy, yy = xx+d.X*d.X, xy+d.X*d.Y, yy+d.Y*d.Y
	}
	half, turn := (xx+yy)/2, math.Hypot((xx-yy)/2, xy)
	return half-turn <= lineRatio*lineRatio*(half+turn)
}

// madeHalf is the side that is made by mirroring: -1 left, +1 right, 0 none.
func (c *checker) madeHalf(edge []r2.Vec, x0 float64) int {
	left, right := 0, 0
	for _, p := range edge {
		if p.X < x0 {
			left++
		} else {
			right++
		}
	}
	few := halfShare * float64(len(edge))
	switch m := c.job.Mirror; {
	case m == MirrorLeft, m == MirrorAuto && float64(right) < few:
		return 1
	case m == MirrorRight, m == MirrorAuto && float64(left) < few:
		return -1
	}
	return 0
}

// faceInside tells face readings outside the stations' hull, with its mirror
// image where a half was measured.
func (c *checker) faceInside(edge []r2.Vec, x0 float64, half bool) {
	all := slices.Clone(edge)
	if half {
		for _, p := range edge {
			all = append(all, r2.Vec{X: 2*x0 - p.X, Y: p.Y})
		}
	}
	loop := hull(all)
	c.each(Face, func(i int, r *Reading) {
		if r.Set != c.set || !r.located() {
			return
		}
		if d := outside(loop, r2.Vec{X: r.X.MM, Y: r.Y.MM}); d > hullMargin {
			c.add(c.place[i], "x", "face-outside", "%s lies %s outside the stations, off the glass: check x, y and their signs.", c.name(i), c.length(d))
		}
	})
}

// proved says whether something besides the measured half speaks for the centre
// line: full widths, centre marks, or check stations well on the made half.
func (c *checker) proved(edge []r2.Vec, x0 float64, made int) bool {
	widths, marks, checks, reach := 0, 0, 0, 0.0
	for _, t := range c.job.Tapes {
		if !t.Struck && t.Length.Set && t.How != Straight {
			widths++
		}
	}
	c.each(Centre, func(_ int, r *Reading) {
		if r.located() {
			marks++
		}
	})
	for _, p := range edge {
		reach = max(reach, math.Abs(p.X-x0))
	}
	for _, p := range edge {
		if float64(made)*(p.X-x0) > reach/10 {
			checks++
		}
	}
	return widths >= 2 || marks >= 2 || checks >= checkStations
}

// hull is the convex hull of points, counter-clockwise (monotone chain), O(n log n).
func hull(p []r2.Vec) []r2.Vec {
	q := slices.Clone(p)
	slices.SortFunc(q, func(a, b r2.Vec) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	half := func() []r2.Vec {
		var h []r2.Vec
		for _, v := range q {
			for len(h) >= 2 && r2.Cross(r2.Sub(h[len(h)-1], h[len(h)-2]), r2.Sub(v, h[len(h)-2])) <= 0 {
				h = h[:len(h)-1]
			}
			h = append(h, v)
		}
		return h[:len(h)-1]
	}
	lower := half()
	slices.Reverse(q)
	return append(lower, half()...)
}

// outside is how far p lies beyond the farthest side of a convex loop, mm; at
// most its distance, negative inside.
func outside(loop []r2.Vec, p r2.Vec) float64 {
	d := math.Inf(-1)
	for i, a := range loop {
		side := r2.Sub(loop[(i+1)%len(loop)], a)
		d = max(d, r2.Cross(r2.Sub(p, a), side)/r2.Norm(side))
	}
	return d
}

// tapes tells taped widths that cannot be used.
func (c *checker) tapes() {
	known := map[string]bool{}
	c.each(Edge, func(_ int, r *Reading) { known[r.ID] = true })
	for i, t := range c.job.Tapes {
		if t.Struck {
			continue
		}
		at := Place{List: "tapes", Row: i + 1, Field: "length"}
		c.unread(at, &t.Length)
		if !t.Length.Set && t.Length.Fault == "" {
			c.add(at, "length", "missing-length", "This taped width has no length: type it, or strike the row.")
		}
		c.tapeEnd(at, "from", t.From, known)
		switch {
		case t.How == Straight && t.From == t.To:
			c.add(at, "to", "tape-ends", "A straight width needs two different stations: type the other end.")
		case t.How == Straight:
			c.tapeEnd(at, "to", t.To, known)
		case t.To != "":
			c.remark(at, "to", "tape-ends", "Only a straight width has a second station; %q is not used.", t.To)
		}
	}
}

// tapeEnd tells an end of a taped width that is no station.
func (c *checker) tapeEnd(at Place, field, id string, known map[string]bool) {
	switch {
	case id == "":
		c.add(at, field, "tape-ends", "The station of this width is missing: type its name.")
	case !known[id]:
		c.add(at, field, "unknown-station", "There is no station %s in use on the edge, so this width cannot be placed: check the name.", id)
	}
}
