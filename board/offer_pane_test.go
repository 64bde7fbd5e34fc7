package board_test

import (
	"math"
	"math/rand/v2"
	"strconv"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/geom"
)

// bend is a piece of a circle, run counter-clockwise.
type bend struct {
	centre      r2.Vec
	radius      float64
	start, span float64 // rad
}

// madePane is an invented pane on a board: bowed sides, round corners, one
// arched face.
type madePane struct {
	bends []bend // side, corner, side, corner …
	r1,
	r2v float64 // radii of the arch across and up
	mid   float64 // y of the crown
	frame geom.Frame
}

// newMadePane draws a pane of 900×450 to 1500×900 mm, corners of 25 to 120 mm,
// sag of 20 to 220 mm, and lays it anyhow on the board.
func newMadePane(rng *rand.Rand) *madePane {
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
	w, h := between(900, 1500), between(450, 900)
	top := w * between(0.8, 0.98)
	at := []r2.Vec{{X: -w / 2}, {X: w / 2}, {X: top / 2, Y: h}, {X: -top / 2, Y: h}}
	bows := []float64{between(15, 60), between(4, 20), between(15, 60), between(4, 20)}
	bows[3] = bows[1]
	lower, upper := between(25, 120), between(25, 120)
	radii := []float64{lower, lower, upper, upper}
	p := &madePane{mid: h / 2}
	centre, radius := make([]r2.Vec, 4), make([]float64, 4)
	for i, a := range at {
		b := at[(i+1)%4]
		d := r2.Sub(b, a)
		l := r2.Norm(d)
		radius[i] = (l*l/4 + bows[i]*bows[i]) / (2 * bows[i])
		in := r2.Scale((radius[i]-bows[i])/l, r2.Vec{X: -d.Y, Y: d.X})
		centre[i] = r2.Add(r2.Scale(0.5, r2.Add(a, b)), in)
	}
	fillet := make([]r2.Vec, 4)
	for i := range at {
		k := (i + 3) % 4
		fillet[i] = crossing(centre[k], radius[k]-radii[i], centre[i], radius[i]-radii[i], at[i])
	}
	angle := func(from, to r2.Vec) float64 { return math.Atan2(to.Y-from.Y, to.X-from.X) }
	span := func(a, b float64) float64 { return math.Mod(b-a+4*math.Pi, 2*math.Pi) }
	for i := range at {
		k := (i + 1) % 4
		a, b, c := angle(centre[i], fillet[i]), angle(centre[i], fillet[k]), angle(centre[k], fillet[k])
		p.bends = append(p.bends, bend{centre[i], radius[i], a, span(a, b)}, bend{fillet[k], radii[k], b, span(b, c)})
	}
	sag := between(20, math.Min(220, 0.2*w))
	p.r1 = (w*w/4 + sag*sag) / (2 * sag)
	s2 := 0.15 * sag
	p.r2v = (h*h/4 + s2*s2) / (2 * s2)
	turn, lean, roll := between(-0.07, 0.07), between(-0.02, 0.02), between(-0.02, 0.02)
	ct, st := math.Cos(turn), math.Sin(turn)
	z := r3.Unit(r3.Vec{X: roll, Y: lean, Z: 1})
	x := r3.Vec{X: ct, Y: st}
	x = r3.Unit(r3.Sub(x, r3.Scale(r3.Dot(x, z), z)))
	y := r3.Cross(z, x)
	p.frame = geom.Frame{R: [3][3]float64{{x.X, y.X, z.X}, {x.Y, y.Y, z.Y}, {x.Z, y.Z, z.Z}}}
	p.frame.T = r3.Vec{X: between(-40, 40), Y: between(90, 180), Z: sag*1.3 + 40}
	return p
}

// crossing is the point where two circles meet that is nearer to p.
func crossing(a r2.Vec, ra float64, b r2.Vec, rb float64, p r2.Vec) r2.Vec {
	d := r2.Sub(b, a)
	l := r2.Norm(d)
	x := (l*l + ra*ra - rb*rb) / (2 * l)
	y := math.Sqrt(math.Max(ra*ra-x*x, 0))
	u := r2.Scale(1/l, d)
	base, off := r2.Add(a, r2.Scale(x, u)), r2.Scale(y, r2.Vec{X: -u.Y, Y: u.X})
	q1, q2 := r2.Add(base, off), r2.Sub(base, off)
	if r2.Norm(r2.Sub(q1, p)) < r2.Norm(r2.Sub(q2, p)) {
		return q1
	}
	return q2
}

// Eval is the upper face in the pane's own frame.
func (p *madePane) Eval(x, y float64) geom.Height {
	fall := func(r, d float64) (f, df, ddf float64) {
		w := math.Sqrt(r*r - d*d)
		return r - w, d / w, r * r / (w * w * w)
	}
	f, fx, fxx := fall(p.r1, x)
	g, gy, gyy := fall(p.r2v, y-p.mid)
	return geom.Height{Z: -f - g, Zx: -fx, Zy: -gy, Zxx: -fxx, Zyy: -gyy}
}

// off is the distance of a point of the board from the edge, in plan.
func (p *madePane) off(x, y float64) float64 {
	best := math.Inf(1)
	for _, b := range p.bends {
		for k := range 80 {
			q := p.onBoard(b.at(float64(k) / 80))
			best = math.Min(best, math.Hypot(q.X-x, q.Y-y))
		}
	}
	return best
}

func (b bend) at(f float64) r2.Vec {
	t := b.start + f*b.span
	return r2.Add(b.centre, r2.Vec{X: b.radius * math.Cos(t), Y: b.radius * math.Sin(t)})
}

func (p *madePane) onBoard(q r2.Vec) r3.Vec {
	return p.frame.Apply(r3.Vec{X: q.X, Y: q.Y, Z: p.Eval(q.X, q.Y).Z})
}

// marks are n places round the edge from the middle of the bottom, five in each
// corner, the rest on the sides, not quite evenly.
func (p *madePane) marks(rng *rand.Rand, n int) (out []r3.Vec) {
	sides := 0.0
	for i := 0; i < len(p.bends); i += 2 {
		sides += p.bends[i].radius * p.bends[i].span
	}
	total, run, used := n-20, 0.0, 0
	half := 0
	for i, b := range p.bends {
		if i%2 == 1 {
			for k := range 5 {
				out = append(out, p.onBoard(b.at((float64(k)+0.3*(rng.Float64()-0.5)+0.1)/4.2)))
			}
			continue
		}
		run += b.radius * b.span
		m := int(math.Round(float64(total)*run/sides)) - used
		used += m
		if i == 0 {
			half = m / 2
		}
		for k := range m {
			out = append(out, p.onBoard(b.at((float64(k)+0.5+0.2*(rng.Float64()-0.5))/float64(m))))
		}
	}
	return append(out[half:], out[:half]...)
}

// read is a job as a person with 0.5 mm of noise reads the pane: every station
// numbered in order, some forty heights on the face.
func (p *madePane) read(rng *rand.Rand, stations int, unit board.Unit) *board.Job {
	j := board.NewJob("made")
	j.Unit = unit
	pitch := "100"
	typed := func(mm float64) string { return strconv.FormatFloat(math.Round(2*mm)/2, 'f', -1, 64) }
	if unit == board.Inch {
		pitch = "2"
		typed = func(mm float64) string { s, _ := board.FormatFraction(mm, 32); return s }
	}
	j.Pane.Thickness = board.Cell{Text: "4"}
	j.Grid = board.Grid{PitchX: j.Typed(pitch), ColFirst: -20, ColLast: 20, Rows: 30}
	noisy := func(v float64) board.Cell { return j.Typed(typed(v + 0.5*rng.NormFloat64())) }
	for k, q := range p.marks(rng, stations) {
		j.Readings = append(j.Readings, board.Reading{ID: strconv.Itoa(k + 1), X: noisy(q.X), Y: noisy(q.Y), Z: noisy(q.Z)})
	}
	back := p.frame.Inverse()
	area := 0.0
	for i := 0; i < len(p.bends); i += 2 {
		a, b := p.bends[i].at(0), p.bends[i].at(1)
		area += (a.X*b.Y - b.X*a.Y) / 2
	}
	step := math.Round(math.Sqrt(area/40)/25.4) * 25.4
	if unit == board.MM {
		step = math.Round(step/25) * 25
	}
	id := 0
	for y := -5 * step; y < 1400; y += step {
		for x := -10 * step; x < 10*step; x += step {
			q := r3.Vec{X: x, Y: y}
			for range 5 {
				o := back.Apply(q)
				q.Z = p.frame.Apply(r3.Vec{X: o.X, Y: o.Y, Z: p.Eval(o.X, o.Y).Z}).Z
			}
			if o := back.Apply(q); math.IsNaN(q.Z) || !p.inside(o.X, o.Y) {
				continue
			}
			id++
			j.Readings = append(j.Readings, board.Reading{ID: "F" + strconv.Itoa(id), Kind: board.Face,
				X: j.Typed(typed(x)), Y: j.Typed(typed(y)), Z: noisy(q.Z)})
		}
	}
	j.Evaluate()
	return j
}

// inside says whether a point of the pane's own plan lies well on the glass.
func (p *madePane) inside(x, y float64) bool {
	for i := 0; i < len(p.bends); i += 2 {
		b := p.bends[i]
		if math.Hypot(x-b.centre.X, y-b.centre.Y) > b.radius-25 {
			return false
		}
	}
	return true
}
