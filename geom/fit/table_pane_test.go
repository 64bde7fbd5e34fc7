package fit_test

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

const degree = math.Pi / 180

// specimen is an invented pane of which everything is known: outline and face
// in its own frame, where it is mirrored in x = 0 (if it is), and its pose.
type specimen struct {
	plan
	face  curved
	board geom.Frame // own frame to board
	rim   []r3.Vec   // the outline in space, own frame
}

// curved is a true upper face over the own frame.
type curved struct {
	w, h       float64 // mm, greatest |x| and |y|
	sagX, sagY float64 // mm at w and h; negative: bowl up
	q, taper   float64 // share of the fourth power, change of the sag with y
	wing       float64 // slope that the wings add at w
	twist      float64 // mm, at the corners; zero where mirrored
}

// at is the height.
func (f curved) at(x, y float64) float64 {
	u, v := x/f.w, y/f.h
	z := -f.sagX*((1-f.q)*u*u*(1+f.taper*v)+f.q*u*u*u*u) - f.sagY*v*v + f.twist*u*v
	z += 0.2 * math.Cos(math.Pi*u) * math.Cos(0.8*math.Pi*v)
	const from = 0.55 // where wings begin
	if a := math.Abs(u) - from; a > 0 && f.wing != 0 {
		z -= f.wing * f.w * a * a * a / (3 * (1 - from) * (1 - from))
	}
	return z
}

// slope is the gradient.
func (f curved) slope(x, y float64) (zx, zy float64) {
	const d = 0.01
	return (f.at(x+d, y) - f.at(x-d, y)) / (2 * d), (f.at(x, y+d) - f.at(x, y-d)) / (2 * d)
}

// source is the random source of one pane, or of one set of readings of it.
func source(kind string, pane int) *rand.Rand {
	h := uint64(14695981039346656037)
	for _, b := range []byte(kind) {
		h = (h ^ uint64(b)) * 1099511628211
	}
	return rand.New(rand.NewPCG(h, uint64(pane)))
}

// specimen invents pane number i of the family.
func (f family) specimen(i int, mirrored bool) *specimen {
	rng := source(f.name, i)
	p := &specimen{plan: f.outline(rng, mirrored)}
	p.bulgeFace(rng, f, mirrored)
	for _, q := range p.at {
		p.rim = append(p.rim, p.lift(q))
	}
	p.pose(rng, f)
	return p
}

func (p *specimen) bulgeFace(rng *rand.Rand, f family, mirrored bool) {
	c := &p.face
	for _, q := range p.at {
		c.w, c.h = math.Max(c.w, math.Abs(q.X)), math.Max(c.h, math.Abs(q.Y))
	}
	c.sagX, c.sagY = uniform(rng, 20, math.Min(220, 0.32*c.w)), uniform(rng, 5, math.Min(60, 0.1*c.w))
	c.q, c.taper = uniform(rng, 0, 0.3), uniform(rng, -0.3, 0.3)
	if f.wrap {
		c.sagX, c.wing = uniform(rng, 20, 50), uniform(rng, 0.7, 1)
	}
	if !mirrored {
		c.twist = uniform(rng, -0.01, 0.01) * c.w
	}
	if bowl := rng.Float64() < 0.3; bowl || f.bowl {
		c.sagX, c.sagY, c.wing = -c.sagX, -c.sagY, -c.wing
	}
}

// pose lays the pane on the board: leaning fore and aft, rolled, skewed and
// shifted.
func (p *specimen) pose(rng *rand.Rand, f family) {
	lean, roll, skew := uniform(rng, 0, 6), uniform(rng, -1.5, 1.5), uniform(rng, -3, 3)
	if f.bowl {
		lean = 5
	}
	if rng.Float64() < 0.5 {
		lean = -lean
	}
	p.board = turn(0, lean*degree).Then(turn(1, -roll*degree)).Then(turn(2, skew*degree))
	p.board.T = r3.Vec{X: uniform(rng, -50, 50), Y: uniform(rng, -300, 300), Z: uniform(rng, 80, 120)}
}

// turn is a rotation about one of the axes x, y, z, counter-clockwise seen from
// its tip.
func turn(axis int, angle float64) geom.Frame {
	f := geom.Identity()
	s, c := math.Sincos(angle)
	i, j := (axis+1)%3, (axis+2)%3
	f.R[i][i], f.R[i][j], f.R[j][i], f.R[j][j] = c, -s, s, c
	return f
}

// lift is the point of the face over q, own frame.
func (p *specimen) lift(q r2.Vec) r3.Vec { return r3.Vec{X: q.X, Y: q.Y, Z: p.face.at(q.X, q.Y)} }

// normal is the face's unit normal over q, own frame.
func (p *specimen) normal(q r2.Vec) r3.Vec {
	zx, zy := p.face.slope(q.X, q.Y)
	return r3.Unit(r3.Vec{X: -zx, Y: -zy, Z: 1})
}

// plane is the true centre plane in the frame that to leads to from the board.
func (p *specimen) plane(to geom.Frame) geom.Plane {
	whole := p.board.Then(to)
	return geom.Plane{Point: whole.T, Normal: whole.Rotate(r3.Vec{X: 1})}
}

// edgeIn is every n-th point of the true edge, seen from above in the frame
// that whole leads to from the own one.
func (p *specimen) edgeIn(whole geom.Frame, n int) []r2.Vec {
	var out []r2.Vec
	for i := 0; i < len(p.rim); i += n {
		q := whole.Apply(p.rim[i])
		out = append(out, r2.Vec{X: q.X, Y: q.Y})
	}
	return out
}

// faceIn is a lattice of true points of the face inside the outline.
func (p *specimen) faceIn(whole geom.Frame) []r3.Vec {
	const pitch = 30.0
	var out []r3.Vec
	for _, q := range p.lattice(pitch, func(q r2.Vec) r2.Vec { return q }) {
		out = append(out, whole.Apply(p.lift(q)))
	}
	return out
}

// lattice is the points of a square lattice, each as shaken, inside the outline.
func (p *specimen) lattice(pitch float64, shaken func(r2.Vec) r2.Vec) []r2.Vec {
	var loop geom.Polygon = p.thinned(10)
	var out []r2.Vec
	for y := -p.face.h + pitch/2; y < p.face.h; y += pitch {
		for x := -p.face.w + pitch/2; x < p.face.w; x += pitch {
			if q := shaken(r2.Vec{X: x, Y: y}); loop.Contains(q) {
				out = append(out, q)
			}
		}
	}
	return out
}

// over is the true height over (x, y) of the frame that whole leads to.
func (p *specimen) over(whole geom.Frame, x, y float64) float64 {
	back := whole.Inverse()
	z := whole.Apply(p.lift(r2.Vec{})).Z
	for range 12 { // the frames are nearly level to each other
		q := back.Apply(r3.Vec{X: x, Y: y, Z: z})
		z -= q.Z - p.face.at(q.X, q.Y)
	}
	return z
}
