package demo

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// arc is a piece of a circle, run counter-clockwise for span > 0.
type arc struct {
	centre      r2.Vec
	radius      float64
	start, span float64 // rad
}

func (a arc) length() float64 { return a.radius * a.span }

func (a arc) at(f float64) (p, outward r2.Vec) {
	t := a.start + f*a.span
	n := r2.Vec{X: math.Cos(t), Y: math.Sin(t)}
	return r2.Add(a.centre, r2.Scale(a.radius, n)), n
}

// Outline is a closed chain of bowed sides and corner arcs that meet in a
// common tangent, counter-clockwise, in the pane's own plan.
type Outline struct {
	arcs []arc // side 0, corner 1, side 1, corner 2, …, corner 0
	bump func(p r2.Vec) float64
}

// corner is where two sides would meet were the corner sharp.
type corner struct {
	at     r2.Vec
	radius float64
	bow    float64 // of the side that begins here: greatest distance outside its chord
}

// newOutline joins the corners, given counter-clockwise, by bowed sides and
// rounds the corners off.
func newOutline(cs []corner) *Outline {
	n := len(cs)
	type side struct {
		centre r2.Vec
		radius float64
	}
	sides := make([]side, n)
	for i, c := range cs {
		p, q := c.at, cs[(i+1)%n].at
		d := r2.Sub(q, p)
		l := r2.Norm(d)
		r := (l*l/4 + c.bow*c.bow) / (2 * c.bow)
		in := r2.Scale(1/l, r2.Vec{X: -d.Y, Y: d.X})
		mid := r2.Scale(0.5, r2.Add(p, q))
		sides[i] = side{r2.Add(mid, r2.Scale(r-c.bow, in)), r}
	}
	angle := func(v r2.Vec) float64 { return math.Atan2(v.Y, v.X) }
	span := func(from, to float64) float64 { return math.Mod(to-from+4*math.Pi, 2*math.Pi) }
	fillets := make([]r2.Vec, n) // centre of the arc at corner i
	for i, c := range cs {
		a, b := sides[(i+n-1)%n], sides[i]
		fillets[i] = meet(a.centre, a.radius-c.radius, b.centre, b.radius-c.radius, c.at)
	}
	o := &Outline{bump: func(r2.Vec) float64 { return 0 }}
	for i, s := range sides {
		k := (i + 1) % n
		from := angle(r2.Sub(fillets[i], s.centre))
		to := angle(r2.Sub(fillets[k], s.centre))
		o.arcs = append(o.arcs, arc{s.centre, s.radius, from, span(from, to)})
		next := angle(r2.Sub(fillets[k], sides[k].centre))
		o.arcs = append(o.arcs, arc{fillets[k], cs[k].radius, to, span(to, next)})
	}
	return o
}

// meet is the intersection of two circles that is nearer to p.
func meet(a r2.Vec, ra float64, b r2.Vec, rb float64, p r2.Vec) r2.Vec {
	d := r2.Sub(b, a)
	l := r2.Norm(d)
	x := (l*l + ra*ra - rb*rb) / (2 * l)
	y := math.Sqrt(ra*ra - x*x)
	u := r2.Scale(1/l, d)
	v := r2.Vec{X: -u.Y, Y: u.X}
	base := r2.Add(a, r2.Scale(x, u))
	q1, q2 := r2.Add(base, r2.Scale(y, v)), r2.Sub(base, r2.Scale(y, v))
	if r2.Norm(r2.Sub(q1, p)) < r2.Norm(r2.Sub(q2, p)) {
		return q1
	}
	return q2
}

// Length is the way round.
func (o *Outline) Length() float64 {
	l := 0.0
	for _, a := range o.arcs {
		l += a.length()
	}
	return l
}

// At is the point at s mm along the outline from the start of side 0, and the
// outward normal there.
func (o *Outline) At(s float64) (p, outward r2.Vec) {
	s = math.Mod(s, o.Length())
	if s < 0 {
		s += o.Length()
	}
	for i, a := range o.arcs {
		if s <= a.length() || i == len(o.arcs)-1 {
			return o.pushed(a.at(s / a.length()))
		}
		s -= a.length()
	}
	panic("demo: unreachable")
}

// on is the point a fraction f along one arc: 2i is side i, 2i+1 the corner
// after it.
func (o *Outline) on(i int, f float64) (p, outward r2.Vec) { return o.pushed(o.arcs[i].at(f)) }

func (o *Outline) pushed(p, n r2.Vec) (r2.Vec, r2.Vec) {
	return r2.Add(p, r2.Scale(o.bump(p), n)), n
}

// Distance is the distance of p from the outline, + outside, to a few
// micrometres (dense samples, straight between them).
func (o *Outline) Distance(p r2.Vec) float64 {
	best, sign := math.Inf(1), 1.0
	for i := range o.arcs {
		n := max(8, int(o.arcs[i].length()/0.5))
		prev, _ := o.on(i, 0)
		for k := 1; k <= n; k++ {
			q, _ := o.on(i, float64(k)/float64(n))
			d := r2.Sub(q, prev)
			f := min(1, max(0, r2.Dot(r2.Sub(p, prev), d)/r2.Norm2(d)))
			foot := r2.Add(prev, r2.Scale(f, d))
			if e := r2.Norm(r2.Sub(p, foot)); e < best {
				best, sign = e, 1
				if r2.Cross(d, r2.Sub(p, prev)) > 0 {
					sign = -1
				}
			}
			prev = q
		}
	}
	return sign * best
}
