package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// turned is the rotation about the unit axis by the angle, moved by shift:
// Rodrigues' formula.
func turned(axis r3.Vec, angle float64, shift r3.Vec) Frame {
	s, c := math.Sincos(angle)
	a := [3]float64{axis.X, axis.Y, axis.Z}
	f := Frame{T: shift}
	for i := range 3 {
		for j := range 3 {
			f.R[i][j] = (1 - c) * a[i] * a[j]
		}
		f.R[i][i] += c
	}
	f.R[0][1] -= s * a[2]
	f.R[0][2] += s * a[1]
	f.R[1][2] -= s * a[0]
	f.R[1][0] += s * a[2]
	f.R[2][0] -= s * a[1]
	f.R[2][1] += s * a[0]
	return f
}

func isRotation(t *testing.T, f Frame) {
	t.Helper()
	for i := range 3 {
		for j := range 3 {
			dot := f.R[i][0]*f.R[j][0] + f.R[i][1]*f.R[j][1] + f.R[i][2]*f.R[j][2]
			want := 0.0
			if i == j {
				want = 1
			}
			assert.InDelta(t, want, dot, 1e-14)
		}
	}
	r := f.R
	det := r[0][0]*(r[1][1]*r[2][2]-r[1][2]*r[2][1]) - r[0][1]*(r[1][0]*r[2][2]-r[1][2]*r[2][0]) + r[0][2]*(r[1][0]*r[2][1]-r[1][1]*r[2][0])
	assert.InDelta(t, 1, det, 1e-14, "right-handed")
}

func TestFrameAlgebra(t *testing.T) {
	const tol = 1e-11 // mm at 1 m
	f := turned(r3.Unit(r3.Vec{X: 1, Y: 2, Z: -0.5}), 0.7, r3.Vec{X: 10, Y: -300, Z: 4})
	g := turned(r3.Unit(r3.Vec{X: -1, Y: 0.2, Z: 3}), -1.9, r3.Vec{X: 7, Y: 8, Z: 90})
	p := r3.Vec{X: 611, Y: -220, Z: 97}
	isRotation(t, f)
	isRotation(t, f.Then(g))
	near(t, p, Identity().Apply(p), 0)
	near(t, g.Apply(f.Apply(p)), f.Then(g).Apply(p), tol)
	near(t, p, f.Inverse().Apply(f.Apply(p)), tol)
	near(t, p, f.Then(f.Inverse()).Apply(p), tol)
	near(t, r3.Sub(f.Apply(p), f.Apply(r3.Vec{})), f.Rotate(p), tol)

	m := f.Matrix()
	v := [4]float64{p.X, p.Y, p.Z, 1}
	var q [4]float64
	for i := range 4 {
		for j := range 4 {
			q[i] += m[4*i+j] * v[j]
		}
	}
	near(t, f.Apply(p), r3.Vec{X: q[0], Y: q[1], Z: q[2]}, tol)
	assert.Equal(t, 1.0, q[3])
}

// mirroredEdge is an edge symmetric about x = 0: a rounded quadrangle on a
// doubly curved face that leans fore and aft.
func mirroredEdge() []r3.Vec {
	var pts []r3.Vec
	for i := range 45 {
		s, c := math.Sincos(math.Pi * (float64(i) + 0.5 - 22.5) / 45)
		x := 700 * math.Pow(c, 0.6)
		y := (380 + 40*s) * math.Copysign(math.Pow(math.Abs(s), 0.6), s)
		z := 130 - x*x/5800 - y*y/11000 + 0.11*y + 3e-7*x*x*y
		pts = append(pts, r3.Vec{X: x, Y: y, Z: z}, r3.Vec{X: -x, Y: y, Z: z})
	}
	return pts
}

func TestMirrorFrame(t *testing.T) {
	for _, c := range []struct {
		name       string
		skew, roll float64 // rad
		at         r3.Vec
	}{
		{"as it lies", 0, 0, r3.Vec{}},
		{"skewed", 0.15 * math.Pi / 180, 0, r3.Vec{X: 712, Y: 410}},
		{"turned far, rolled", 0.6, -0.02, r3.Vec{X: -300, Y: 90, Z: 12}},
	} {
		t.Run(c.name, func(t *testing.T) {
			// The pane's own mirror plane x = 0 becomes the given plane.
			plane := NewPlane(c.at, c.skew, c.roll)
			x := plane.Normal
			y := r3.Unit(r3.Cross(r3.Vec{Z: 1}, x))
			own := frameAt(c.at, x, y, r3.Cross(x, y)).Inverse()
			isRotation(t, own)
			var edge []r3.Vec
			for _, p := range mirroredEdge() {
				edge = append(edge, own.Apply(p))
			}
			f, err := MirrorFrame(plane, edge)
			require.NoError(t, err)
			isRotation(t, f)

			// Mirrored about the plane stays mirrored about X = 0.
			for i, p := range edge {
				q, twin := f.Apply(p), f.Apply(plane.Mirror(p))
				near(t, r3.Vec{X: -q.X, Y: q.Y, Z: q.Z}, twin, 1e-9, "point ", i)
			}
			near(t, r3.Vec{X: 1}, f.Rotate(plane.Normal), 1e-14)
			assert.Positive(t, f.R[2][2], "Z is off the board")

			// Levelled: no fore-aft lean, no lean at all where the edge is symmetric.
			var level []r3.Vec
			var mean r3.Vec
			for _, p := range edge {
				level = append(level, f.Apply(p))
				mean = r3.Add(mean, r3.Scale(1/float64(len(edge)), f.Apply(p)))
			}
			_, m, err := FitPlane(level)
			require.NoError(t, err)
			assert.InDelta(t, 0, m.Y, 1e-12, "fore-aft lean, rad")
			assert.InDelta(t, 0, m.X, 1e-12, "sideways lean, rad")
			near(t, r3.Vec{}, mean, 1e-9)
		})
	}
}

// A pane that is not quite symmetric: X stays the plane's normal, and the lean
// is taken out fore and aft only.
func TestMirrorFrameLeansSideways(t *testing.T) {
	plane := NewPlane(r3.Vec{}, 0, 0)
	edge := mirroredEdge()
	for i := range edge {
		edge[i].Z += 0.04 * edge[i].X
	}
	f, err := MirrorFrame(plane, edge)
	require.NoError(t, err)
	var level []r3.Vec
	for _, p := range edge {
		level = append(level, f.Apply(p))
	}
	_, m, err := FitPlane(level)
	require.NoError(t, err)
	assert.InDelta(t, 0, m.Y, 1e-12)
	assert.InDelta(t, -math.Sin(math.Atan(0.04)), m.X, 1e-3, "the sag weighs in a little")
	near(t, r3.Vec{X: 1}, r3.Vec{X: f.R[0][0], Y: f.R[0][1], Z: f.R[0][2]}, 0)
}

func TestPlainFrame(t *testing.T) {
	tilt := turned(r3.Unit(r3.Vec{X: 1, Y: 1}), 0.12, r3.Vec{X: 400, Y: 300, Z: 60})
	var edge []r3.Vec
	for i := range 60 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 60)
		edge = append(edge, tilt.Apply(r3.Vec{X: 300 * c, Y: 200 * s}))
	}
	f, err := PlainFrame(edge)
	require.NoError(t, err)
	isRotation(t, f)
	for _, p := range edge {
		assert.InDelta(t, 0, f.Apply(p).Z, 1e-10, "the edge's plane is level, mm")
	}
	near(t, r3.Vec{}, f.Apply(r3.Vec{X: 400, Y: 300, Z: 60}), 1e-10)
	y := f.Rotate(r3.Vec{Y: 1})
	assert.InDelta(t, 0, y.X, 1e-15, "the board's +y has no part along X")
	assert.Positive(t, y.Y)
}

func TestFrameRefusals(t *testing.T) {
	upright := []r3.Vec{{X: 0}, {X: 100}, {X: 100, Z: 50}, {X: 0, Z: 80}}
	_, err := PlainFrame(upright)
	assert.ErrorIs(t, err, errUpright)
	side := []r3.Vec{{Y: 0}, {Y: 100}, {Y: 100, Z: 50}, {Y: 0, Z: 80}}
	_, err = MirrorFrame(NewPlane(r3.Vec{}, 0, 0), side)
	assert.ErrorIs(t, err, errUpright)
	_, err = MirrorFrame(Plane{}, mirroredEdge())
	assert.ErrorContains(t, err, "centre plane")
	_, err = MirrorFrame(Plane{Normal: r3.Vec{X: math.NaN()}}, mirroredEdge())
	assert.ErrorContains(t, err, "centre plane")
	_, err = MirrorFrame(NewPlane(r3.Vec{}, 0, 0), upright[:2])
	assert.ErrorContains(t, err, "3 points")
	_, err = PlainFrame(nil)
	assert.ErrorContains(t, err, "3 points")
}

// Signs of offset, skew and roll, as said at NewPlane.
func TestPlaneSigns(t *testing.T) {
	right := NewPlane(r3.Vec{X: 5}, 0, 0)
	assert.Equal(t, 5.0, right.XAt(100, 3), "offset > 0 is to the right")
	assert.Negative(t, right.Dist(r3.Vec{}))

	skewed := NewPlane(r3.Vec{}, 0.01, 0)
	assert.Negative(t, skewed.XAt(100, 0), "counter-clockwise: the upper end goes left")
	assert.InDelta(t, -100*math.Tan(0.01), skewed.XAt(100, 0), 1e-12)

	rolled := NewPlane(r3.Vec{}, 0, 0.01)
	assert.Positive(t, rolled.Normal.Z, "roll > 0: the normal leans up")
	assert.InDelta(t, -100*math.Tan(0.01), rolled.XAt(0, 100), 1e-12)
}

func TestPlaneProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		at := r3.Vec{X: 1000 * rng.Float64(), Y: 800 * rng.Float64(), Z: 50 * rng.Float64()}
		skew, roll := 2*rng.Float64()-1, rng.Float64()-0.5
		p := NewPlane(at, skew, roll)
		assert.InDelta(t, skew, p.Skew(), 1e-15)
		assert.InDelta(t, roll, p.Roll(), 1e-15)
		assert.InDelta(t, 1, r3.Norm(p.Normal), 1e-15)
		q := r3.Vec{X: 900 * rng.Float64(), Y: -300 * rng.Float64(), Z: 77}
		m := p.Mirror(q)
		near(t, q, p.Mirror(m), 1e-10, "mirrored twice")
		assert.InDelta(t, -p.Dist(q), p.Dist(m), 1e-10)
		near(t, p.MirrorDir(r3.Sub(q, at)), r3.Sub(m, p.Mirror(at)), 1e-10)
		assert.InDelta(t, 0, p.Dist(r3.Vec{X: p.XAt(q.Y, q.Z), Y: q.Y, Z: q.Z}), 1e-10)
	}
}

// Points on z = 3 + 0.02x - 0.01y with ±d added in a checker pattern on a
// symmetric grid give the same plane back (closed form, by symmetry).
func TestFitPlaneChecker(t *testing.T) {
	var pts []r3.Vec
	n := r3.Unit(r3.Vec{X: -0.02, Y: 0.01, Z: 1})
	for i := -5; i < 5; i++ {
		for j := -5; j < 5; j++ {
			x, y := float64(2*i+1)*50, float64(2*j+1)*30
			d := 0.5 * float64(1-2*((i+j)&1))
			pts = append(pts, r3.Add(r3.Vec{X: x, Y: y, Z: 3 + 0.02*x - 0.01*y}, r3.Scale(d, n)))
		}
	}
	p, m, err := FitPlane(pts)
	require.NoError(t, err)
	near(t, r3.Vec{Z: 3}, p, 1e-10)
	near(t, n, m, 1e-5, "the checker's own slant is of that size")

	for i, q := range pts { // exactly on the plane
		q.Z = 3 + 0.02*q.X - 0.01*q.Y
		pts[i] = q
	}
	_, m, err = FitPlane(pts)
	require.NoError(t, err)
	near(t, n, m, 1e-13)
}

func TestFitPlaneRefuses(t *testing.T) {
	for name, pts := range map[string][]r3.Vec{
		"two points":    {{X: 1}, {X: 2}},
		"a line":        {{X: 1, Y: 2, Z: 3}, {X: 2, Y: 4, Z: 6}, {X: 3, Y: 6, Z: 9}, {X: -5, Y: -10, Z: -15}},
		"one place":     {{X: 1}, {X: 1}, {X: 1}},
		"not a number":  {{X: 1}, {X: math.NaN()}, {Y: 4}},
		"without bound": {{X: 1}, {X: math.Inf(1)}, {Y: 4}},
		"overflow":      {{X: 1e300}, {Y: 1e300}, {Z: 4}},
	} {
		_, _, err := FitPlane(pts)
		assert.Error(t, err, name)
	}
}

func TestEigen3(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range 100 {
		f := turned(r3.Unit(r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}), 3*rng.Float64(), r3.Vec{})
		want := [3]float64{rng.Float64(), 1 + rng.Float64(), 2 + 1000*rng.Float64()}
		var a [3][3]float64
		for i := range 3 {
			for j := range 3 {
				for k := range 3 {
					a[i][j] += f.R[k][i] * want[k] * f.R[k][j]
				}
			}
		}
		value, axis := eigen3(a)
		for k := range 3 {
			assert.InDelta(t, want[k], value[k], 1e-12*want[2])
			assert.InDelta(t, 1, math.Abs(r3.Dot(axis[k], r3.Vec{X: f.R[k][0], Y: f.R[k][1], Z: f.R[k][2]})), 1e-12)
		}
	}
}
