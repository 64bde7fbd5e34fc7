package fit_test

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
	"panewright/geom/fit"
)

const sigma = 0.5 // mm, sd of a reading on each axis

// reading is a mark on the board and what it was read of.
type reading struct {
	fit.Mark
	arc float64 // of an edge mark
	own r2.Vec  // the point read, own frame
	dir r3.Vec  // board frame: along the edge, or square to the face
}

// readings are all that was read of a pane, board frame.
type readings struct {
	edge, face []reading
	centre     []fit.Mark
	widths     []fit.Width
	whole      bool // both halves
}

func (p *specimen) read(rng *rand.Rand, q r2.Vec) reading {
	noise := r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}
	at := r3.Add(p.board.Apply(p.lift(q)), r3.Scale(sigma, noise))
	return reading{Mark: fit.Mark{P: at, SXY: sigma, SZ: sigma}, own: q}
}

// edgeMark reads the edge at arc position s.
func (p *specimen) edgeMark(rng *rand.Rand, s float64) reading {
	k := p.read(rng, p.place(s))
	k.arc = s
	k.dir = p.board.Rotate(r3.Unit(r3.Sub(p.lift(p.place(s+1)), p.lift(p.place(s-1)))))
	return k
}

func (p *specimen) edgeMarks(rng *rand.Rand, m int) []reading {
	var out []reading
	for _, s := range p.stations(rng, m) {
		out = append(out, p.edgeMark(rng, s))
	}
	return out
}

// faceMarks reads about m heights on a shaken lattice.
func (p *specimen) faceMarks(rng *rand.Rand, m int) []reading {
	var area geom.Polygon = p.at
	pitch := math.Sqrt(area.Area() / float64(m))
	var out []reading
	for _, q := range p.lattice(pitch, func(q r2.Vec) r2.Vec {
		return r2.Add(q, r2.Vec{X: pitch * uniform(rng, -0.2, 0.2), Y: pitch * uniform(rng, -0.2, 0.2)})
	}) {
		k := p.read(rng, q)
		k.dir = p.board.Rotate(p.normal(q))
		out = append(out, k)
	}
	return out
}

// allRound reads m edge marks and 40 heights.
func (p *specimen) allRound(rng *rand.Rand, m int) readings {
	return readings{edge: p.edgeMarks(rng, m), face: p.faceMarks(rng, 40), whole: true}
}

const overlap = 80.0 // mm read beyond the centre line

// half reads one half, +1 the right one, out of m marks all round.
func (p *specimen) half(rng *rand.Rand, m int, side float64) (out readings) {
	for _, k := range p.edgeMarks(rng, m) {
		if side*k.own.X > -overlap {
			out.edge = append(out.edge, k)
		}
	}
	for _, k := range p.faceMarks(rng, 60) {
		if side*k.own.X > -overlap {
			out.face = append(out.face, k)
		}
	}
	return out
}

// across is the arc position of the outline at the height y on one side, or of
// the top (v = 1) or bottom (v = -1) at x.
func (p *specimen) across(side, y float64) float64 { return p.arcOf(p.ray(r2.Vec{X: side}, y)) }
func (p *specimen) upright(x, v float64) float64   { return p.arcOf(p.ray(r2.Vec{Y: v}, x)) }

// ray is the outline's point farthest in direction d within a millimetre of the
// line at the given place across it.
func (p *specimen) ray(d r2.Vec, place float64) r2.Vec {
	cross := r2.Vec{X: math.Abs(d.Y), Y: math.Abs(d.X)}
	best, most := r2.Vec{}, math.Inf(-1)
	for _, q := range p.at {
		if math.Abs(r2.Dot(q, cross)-place) < 1 && r2.Dot(q, d) > most {
			best, most = q, r2.Dot(q, d)
		}
	}
	return best
}

// checked adds five check stations on the other half: three on the side, one
// each at bottom and top.
func (p *specimen) checked(rng *rand.Rand, in readings, side float64) readings {
	shake := func(v float64) float64 { return v + uniform(rng, -0.05, 0.05) }
	for _, f := range []float64{-0.45, 0, 0.45} {
		in.edge = append(in.edge, p.edgeMark(rng, p.across(-side, shake(f)*p.face.h)))
	}
	for _, v := range []float64{-1, 1} {
		in.edge = append(in.edge, p.edgeMark(rng, p.upright(-side*shake(0.45)*p.face.w, v)))
	}
	return in
}

// taped adds n full widths from marks spread over the side. The tape is good
// to 0.5 mm, the twin found to 3 mm along the edge.
func (p *specimen) taped(rng *rand.Rand, in readings, side float64, n int) readings {
	for j := range n {
		y := (2*(float64(j)+0.5)/float64(n) - 1) * 0.7 * p.face.h
		s := p.across(side, y)
		best, least := 0, math.Inf(1)
		for i, k := range in.edge {
			if d := math.Abs(math.Remainder(k.arc-s, p.girth())); d < least {
				best, least = i, d
			}
		}
		const along, tape = 3.0, 0.5
		a, b := in.edge[best].own, p.place(in.edge[best].arc+along*rng.NormFloat64())
		b.X = -b.X
		length := r3.Norm(r3.Sub(p.lift(a), p.lift(b))) + tape*rng.NormFloat64()
		in.widths = append(in.widths, fit.Width{Mark: best, Length: length, SD: tape, Along: along})
	}
	return in
}

// centred adds a mark near each end of the centre line, set to 1 mm.
func (p *specimen) centred(rng *rand.Rand, in readings) readings {
	const sd = 1.0
	for _, v := range []float64{-1, 1} {
		q := p.ray(r2.Vec{Y: v}, 0)
		at := p.board.Apply(p.lift(r2.Vec{X: 0, Y: q.Y - 10*v}))
		n := p.board.Rotate(r3.Vec{X: 1})
		at = r3.Add(at, r3.Scale(sd*rng.NormFloat64(), n))
		in.centre = append(in.centre, fit.Mark{P: at, SXY: sd, SZ: sigma})
	}
	return in
}

func marksOf(set ...[]reading) []fit.Mark {
	var out []fit.Mark
	for _, s := range set {
		for _, k := range s {
			out = append(out, k.Mark)
		}
	}
	return out
}

// guess is the frame about a first centre plane, levelled to the edge: through
// the middle of the pane where all of it was read, else the board's x = 0.
func (in readings) guess() (geom.Frame, error) {
	var loop geom.Polygon
	var pts []r3.Vec
	var mean r3.Vec
	for _, k := range in.edge {
		loop, pts = append(loop, r2.Vec{X: k.P.X, Y: k.P.Y}), append(pts, k.P)
		mean = r3.Add(mean, r3.Scale(1/float64(len(in.edge)), k.P))
	}
	mean.X = 0
	if in.whole {
		mean.X = loop.Centroid().X
	}
	return geom.MirrorFrame(geom.NewPlane(mean, 0, 0), pts)
}

// input is what the symmetric fit works from, in frame f.
func (in readings) input(f geom.Frame) fit.SymmetricInput {
	move := func(marks []fit.Mark) (out []fit.Mark) {
		for _, m := range marks {
			m.P = f.Apply(m.P)
			out = append(out, m)
		}
		return out
	}
	return fit.SymmetricInput{Edge: move(marksOf(in.edge)), Face: move(marksOf(in.face)), Centre: move(in.centre), Widths: in.widths}
}
