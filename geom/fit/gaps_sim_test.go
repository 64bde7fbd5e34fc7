package fit_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
	"panewright/geom/fit"
)

// trial is a test fit of an invented pane: the true glass, mirrored in x = 0
// of its own frame, in a pocket that was made wrong in a known way. All of it
// is laid out as polygons and curves; nothing of the model that explains the
// gaps is used.
type trial struct {
	pane     plan
	measured int // +1 the right half was measured, -1 the left, 0 both
	clear    float64

	// What is wrong.
	roll      float64                        // of the assumed plane, rad
	e, alpha  float64                        // assumed line minus true one, mm at y = 0 and rad
	uniform   float64                        // wall too far out all round, mm
	scale     float64                        // part of the size
	shear     float64                        // of the grid
	rough     func(s, girth float64) float64 // mm outward along the edge
	x, y, w   float64                        // how the glass lies in the pocket: mm, rad
	wall      *geom.Curve                    // the pocket's wall without its clearance, glass frame
	model     *geom.Curve                    // what was meant to be cut, glass frame
	glass     []r2.Vec                       // the pane as it lies, glass frame
	stationAt []float64
}

// turned is q turned by an angle about the origin.
func turned(q r2.Vec, angle float64) r2.Vec {
	s, c := math.Sincos(angle)
	return r2.Vec{X: c*q.X - s*q.Y, Y: s*q.X + c*q.Y}
}

// toGlass carries a point of the pane's own frame to the frame of the assumed
// centre line.
func (f *trial) toGlass(q r2.Vec) r2.Vec { return turned(r2.Sub(q, r2.Vec{X: f.e}), -f.alpha) }

// fromGlass is the way back.
func (f *trial) fromGlass(q r2.Vec) r2.Vec { return r2.Add(turned(q, f.alpha), r2.Vec{X: f.e}) }

// face is the height of the glass in its own frame, the same on both halves.
func face(q r2.Vec) float64 {
	return -q.X*q.X/(2*2900)*(1+q.Y/3000) - q.Y*q.Y/(2*5600)
}

// slope is how the face rises.
func slope(q r2.Vec) r2.Vec {
	const h = 1e-3
	return r2.Vec{X: (face(r2.Vec{X: q.X + h, Y: q.Y}) - face(r2.Vec{X: q.X - h, Y: q.Y})) / (2 * h),
		Y: (face(r2.Vec{X: q.X, Y: q.Y + h}) - face(r2.Vec{X: q.X, Y: q.Y - h})) / (2 * h)}
}

// level is the mean height of the edge.
func (f *trial) level() (z float64) {
	edge := f.pane.thinned(100)
	for _, q := range edge {
		z += face(q) / float64(len(edge))
	}
	return z
}

// ledgeGap is the true ledge gap at a station, square to the face, 10 mm in
// from the edge: the glass, lifted and tilted, above the face of the model,
// whose made half is the other one's mirror image in the assumed plane.
func (f *trial) ledgeGap(at fit.GapReading, lift, acrossTilt, foreTilt float64) float64 {
	p := r2.Sub(at.At, r2.Scale(10, at.Normal))
	q := f.fromGlass(p)
	ledge := face(q)
	if at.Made {
		plane := geom.NewPlane(r3.Vec{X: f.e, Z: f.level()}, f.alpha, f.roll)
		for range 8 {
			m := plane.Mirror(r3.Vec{X: q.X, Y: q.Y, Z: ledge})
			ledge += face(r2.Vec{X: m.X, Y: m.Y}) - m.Z
		}
	}
	own := f.fromGlass(turned(r2.Sub(p, r2.Vec{X: f.x, Y: f.y}), -f.w))
	glass := face(own) + lift + acrossTilt*p.X + foreTilt*p.Y
	g := slope(q)
	return (glass - ledge) / math.Sqrt(1+r2.Norm2(g))
}

// build lays out model, pocket and glass, and n stations all round.
func (f *trial) build(t testing.TB, n int) {
	t.Helper()
	grid := func(q r2.Vec) r2.Vec { return r2.Add(r2.Scale(1+f.scale, q), r2.Vec{X: f.shear * q.Y}) }
	var half, shape []r2.Vec
	for _, q := range f.pane.thinned(10) {
		q = f.toGlass(q)
		if q.X*float64(f.measured) > 0.5 {
			half = append(half, q)
		}
		shape = append(shape, q)
	}
	mirror := func(q r2.Vec) r2.Vec { return r2.Vec{X: -q.X, Y: q.Y} }
	if f.measured != 0 {
		slices.SortFunc(half, func(a, b r2.Vec) int { // counter-clockwise about the middle, from below
			turn := func(q r2.Vec) float64 { return math.Mod(math.Atan2(q.Y, q.X)+2.5*math.Pi, 2*math.Pi) }
			if turn(a) < turn(b) {
				return -1
			}
			return 1
		})
		shape = slices.Clone(half)
		for _, q := range half {
			shape = append(shape, mirror(q))
		}
		slices.SortFunc(shape, func(a, b r2.Vec) int {
			turn := func(q r2.Vec) float64 { return math.Mod(math.Atan2(q.Y, q.X)+2.5*math.Pi, 2*math.Pi) }
			if turn(a) < turn(b) {
				return -1
			}
			return 1
		})
	}
	f.model = through(t, shape)
	length := f.model.Length()
	wall := make([]r2.Vec, len(shape))
	for i, q := range shape {
		u, _ := f.model.Nearest(q)
		d := grid(q)
		if f.measured != 0 && q.X*float64(f.measured) < 0 {
			d = mirror(grid(mirror(q)))
		}
		if f.roll != 0 && q.X*float64(f.measured) < 0 { // the plane leans: what is higher lands farther left
			d.X -= 2 * f.roll * (face(f.fromGlass(q)) - f.level())
		}
		out := f.uniform
		if f.rough != nil {
			out += f.rough(f.model.LengthTo(u), length)
		}
		wall[i] = r2.Add(d, r2.Scale(out, f.model.Normal(u)))
	}
	f.wall = through(t, wall)
	f.lay()
	f.stationAt = nil
	for i := range n {
		f.stationAt = append(f.stationAt, length*(float64(i)+0.37)/float64(n))
	}
}

// lay puts the glass into the pocket.
func (f *trial) lay() {
	f.glass = f.glass[:0]
	for _, q := range f.pane.at {
		f.glass = append(f.glass, r2.Add(turned(f.toGlass(q), f.w), r2.Vec{X: f.x, Y: f.y}))
	}
}

func through(t testing.TB, p []r2.Vec) *geom.Curve {
	t.Helper()
	knots := make([]float64, len(p)+1)
	for i, q := range p {
		knots[i+1] = knots[i] + r2.Norm(r2.Sub(p[(i+1)%len(p)], q))
	}
	c, err := geom.InterpolateClosed(knots, p)
	require.NoError(t, err)
	return c
}

// station is the place of station i.
func (f *trial) station(i int) fit.GapReading {
	s := f.stationAt[i]
	u := f.model.ParamAt(s)
	p := f.model.At(u)
	q := f.fromGlass(p)
	return fit.GapReading{Height: face(q), Gradient: slope(q), ID: string(rune('A'+i/10)) + string(rune('0'+i%10)), At: p, Normal: f.model.Normal(u), S: s,
		Made: f.measured != 0 && p.X*float64(f.measured) < 0}
}

// gap is the true wall gap at a station: from the glass's edge, where the
// station's normal meets it, the shortest way to the wall, and the clearance.
func (f *trial) gap(at fit.GapReading) float64 {
	along := r2.Vec{X: -at.Normal.Y, Y: at.Normal.X}
	best, where := math.Inf(1), r2.Vec{}
	for i, a := range f.glass {
		if r2.Norm2(r2.Sub(a, at.At)) > 400 {
			continue
		}
		b := f.glass[(i+1)%len(f.glass)]
		ta, tb := r2.Dot(r2.Sub(a, at.At), along), r2.Dot(r2.Sub(b, at.At), along)
		if ta*tb > 0 || ta == tb {
			continue
		}
		q := r2.Add(a, r2.Scale(ta/(ta-tb), r2.Sub(b, a)))
		if d := r2.Norm2(r2.Sub(q, at.At)); d < best {
			best, where = d, q
		}
	}
	_, d := f.wall.Nearest(where)
	return f.clear - d
}

// gaps reads every station with noise of one sigma.
func (f *trial) gaps(rng *rand.Rand, sd float64) (out []fit.GapReading) {
	for i := range f.stationAt {
		r := f.station(i)
		v := f.gap(r)
		if rng != nil {
			v += sd * rng.NormFloat64()
		}
		r.Wall = fit.GapOf(v, sd)
		out = append(out, r)
	}
	return out
}

// in is what the gaps were measured in.
func (f *trial) in() fit.GapModel {
	return fit.GapModel{Clearance: f.clear, Girth: f.model.Length(), Measured: f.measured, Mirrored: true}
}

// found is the value of a cause, with its uncertainty.
func found(g *fit.Gaps, kind fit.CauseKind) (v, u float64, ok bool) {
	for _, c := range g.Causes {
		if c.Kind == kind {
			return c.Value, c.U, c.Accepted
		}
	}
	return 0, 0, false
}

// shareOf is a cause's share of the sum of squares.
func shareOf(g *fit.Gaps, kind fit.CauseKind) (s float64) {
	for _, e := range g.Explained {
		if e.Kind == kind {
			s += e.Share
		}
	}
	return s
}
