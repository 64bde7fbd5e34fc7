package firstcut

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// round is a corner: the places of the edge from one on to another, which may
// lie beyond the last one.
type round struct{ from, to int }

// middle is the number of its middle place, of n.
func (r round) middle(n int) int { return (r.from + r.to) / 2 % n }

// corners are the stretches of the edge that bend by more than a radius of
// 200 mm does, and by 20° or more in all.
func (p *Pane) corners() (out []round) {
	const bent, apart, least = 1.0 / 200, 10.0, 20 * degree
	n := len(p.edge)
	pitch := p.edge[1].way
	turn := func(r round) (a float64) {
		for i := r.from; i <= r.to; i++ {
			a += p.edge[i%n].bend * pitch
		}
		return a
	}
	start := 0
	for start < n && p.edge[start].bend > bent {
		start++
	}
	for i := start; i < start+n; i++ {
		switch last := len(out) - 1; {
		case p.edge[i%n].bend <= bent:
		case last >= 0 && float64(i-out[last].to)*pitch < apart:
			out[last].to = i
		default:
			out = append(out, round{i, i})
		}
	}
	return slices.DeleteFunc(out, func(r round) bool { return turn(r) < least })
}

// cornerAt is the number of the corner that holds a place of the edge; -1 on a
// side.
func (p *Pane) cornerAt(i int) int {
	n := len(p.edge)
	return slices.IndexFunc(p.corners(), func(r round) bool { return r.from <= i && i <= r.to || r.from <= i+n && i+n <= r.to })
}

// place names a place of the edge: where it lies from the middle of the pane,
// and in which corner.
func (p *Pane) place(i int) string {
	at := p.fromMiddle(p.edge[i].upper)
	if k := p.cornerAt(i); k >= 0 {
		return fmt.Sprintf("%s in corner %d", at, k+1)
	}
	return at + " on a side"
}

func (p *Pane) fromMiddle(q r3.Vec) string {
	box := p.Solid.Outline.Bounds()
	return fmt.Sprintf("x %.0f y %.0f", q.X-(box.Min.X+box.Max.X)/2, q.Y-(box.Min.Y+box.Max.Y)/2)
}

// radii are the radii of the true silhouette and of the pocket, less the
// clearance, over the middle three fifths of a corner.
func (o *Outcome) radii(r round, clearance float64) (pane, cut float64) {
	n := len(o.Pane.edge)
	fifth := (r.to - r.from) / 5
	var v, w [3]r2.Vec
	for j, i := range []int{r.from + fifth, r.middle(n), r.to - fifth} {
		v[j] = o.Pane.silhouette(o.Verdict.Rest, i%n)
		w[j] = o.Wall.foot(v[j])
	}
	return throughThree(v), throughThree(w) - clearance
}

// throughThree is the radius of the circle through three points.
func throughThree(p [3]r2.Vec) float64 {
	a, b, c := r2.Norm(r2.Sub(p[1], p[0])), r2.Norm(r2.Sub(p[2], p[1])), r2.Norm(r2.Sub(p[2], p[0]))
	return a * b * c / (2 * math.Abs(r2.Cross(r2.Sub(p[1], p[0]), r2.Sub(p[2], p[0]))))
}

// foot is the place of the wall nearest to q.
func (w *Wall) foot(q r2.Vec) (at r2.Vec) {
	best := math.Inf(1)
	for i, a := range w.Line {
		b := w.Line[(i+1)%len(w.Line)]
		d := r2.Sub(b, a)
		f := r2.Add(a, r2.Scale(min(1, max(0, r2.Dot(r2.Sub(q, a), d)/r2.Norm2(d))), d))
		if e := r2.Norm2(r2.Sub(q, f)); e < best {
			best, at = e, f
		}
	}
	return at
}

// plane is by how much the centre plane that was found lies off the true one:
// offset in mm at the mean of the stations, skew and roll in degrees, on the
// board; not ok where none was found or there is none.
func (o *Outcome) plane() (off [3]float64, ok bool) {
	c := o.Summary.CentreLine
	if len(c.Point) != 3 || !o.Pane.Family.mirrored() {
		return off, false
	}
	at := o.Pane.Board.Inverse().Apply(r3.Vec{X: c.Point[0], Y: c.Point[1], Z: c.Point[2]})
	truth := geom.Plane{Normal: o.Pane.Board.Rotate(r3.Vec{X: 1})}
	return [3]float64{at.X, c.Skew - truth.Skew()/degree, c.Roll - truth.Roll()/degree}, true
}

// size is by how much the pocket is wider and longer than the true silhouette
// and both clearances, mm.
func (o *Outcome) size(clearance float64) (wide, long float64) {
	var lo, hi r2.Vec
	for i := range o.Pane.edge {
		q := o.Pane.silhouette(o.Verdict.Rest, i)
		if i == 0 {
			lo, hi = q, q
		}
		lo = r2.Vec{X: min(lo.X, q.X), Y: min(lo.Y, q.Y)}
		hi = r2.Vec{X: max(hi.X, q.X), Y: max(hi.Y, q.Y)}
	}
	a, b := o.Wall.Line[0], o.Wall.Line[0]
	for _, q := range o.Wall.Line {
		a = r2.Vec{X: min(a.X, q.X), Y: min(a.Y, q.Y)}
		b = r2.Vec{X: max(b.X, q.X), Y: max(b.Y, q.Y)}
	}
	return b.X - a.X - (hi.X - lo.X) - 2*clearance, b.Y - a.Y - (hi.Y - lo.Y) - 2*clearance
}

// bodyWithin is how far the wall of the drawing and that of the body may lie
// apart, mm: chords of 0.01 mm on the micron grid.
const bodyWithin = 0.0125

// Limit is what keeps a pane from sitting, in a word; empty where it sits.
func (o *Outcome) Limit() string {
	v := o.Verdict
	switch {
	case o.Refused != "":
		return "no pocket"
	case o.Apart > bodyWithin:
		return "drawing and body differ"
	case v.Sits:
		return ""
	case !v.DropsIn && o.Pane.cornerAt(v.LeastAt) >= 0:
		return "tight in a corner"
	case !v.DropsIn:
		return "tight on a side"
	case !v.Snug && o.Pane.cornerAt(v.LargestAt) >= 0:
		return "loose in a corner"
	case !v.Snug:
		return "loose on a side"
	case v.Trouble != "":
		return "does not come to rest"
	}
	return "ledge"
}

// Why tells in a few lines what went wrong with a pane, or all that was measured
// of one that sits.
func (o *Outcome) Why(clearance float64) string {
	var b strings.Builder
	p, v := o.Pane, o.Verdict
	lay := "dome"
	if p.Bowl {
		lay = "bowl"
	}
	fmt.Fprintf(&b, "%v, %s, %.1f mm thick", p.Family, lay, p.Solid.Thickness)
	if o.Refused != "" {
		fmt.Fprintf(&b, ": no pocket: %s\n", o.Refused)
		return b.String()
	}
	fmt.Fprintf(&b, ": %s\n", o.Limit())
	fmt.Fprintf(&b, "    wall gaps %.2f at %s … %.2f at %s\n", v.Least, p.place(v.LeastAt), v.Largest, p.place(v.LargestAt))
	fmt.Fprintf(&b, "    ledge gap %.2f at %s %s\n", v.Ledge, p.fromMiddle(v.LedgeAt), v.Trouble)
	b.WriteString("    corners, true and cut:")
	for _, r := range p.corners() {
		pane, cut := o.radii(r, clearance)
		fmt.Fprintf(&b, " %.0f %.0f;", pane, cut)
	}
	wide, long := o.size(clearance)
	fmt.Fprintf(&b, " pocket wider by %.2f, longer by %.2f\n", wide, long)
	c := o.Summary.CentreLine
	if off, ok := o.plane(); ok {
		fmt.Fprintf(&b, "    centre line (%s) off by %.2f mm, %.3f°, %.3f° (said: %.2f, %.3f, %.3f)\n", c.Source, off[0], off[1], off[2], c.OffsetU, c.SkewU, c.RollU)
	} else {
		fmt.Fprintf(&b, "    centre line: %s\n", c.Source)
	}
	if f := o.Summary.FitCheck; f != nil {
		fmt.Fprintf(&b, "    said before: drops in %.0f %%, snug %.0f %%, sits %.0f %%; 95 of 100 within %.2f at the wall, %.2f over the ledge\n",
			100*f.DropsIn, 100*f.Snug, 100*f.Sits, f.Largest, f.LedgeGap)
	}
	fmt.Fprintf(&b, "    stations agree to %.2f mm", o.Summary.SigmaFound)
	for _, s := range o.Summary.Suspects {
		fmt.Fprintf(&b, ", suspect %s %s", s.Kind, s.ID)
	}
	b.WriteString("\n")
	return b.String()
}
