package geom

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// A body is a pane in closed form: the upper face with its unit normal at the
// place θ of the upper arris, and the arris itself, before any motion. The
// faces are parallel, so the whole solid follows from it without a line of the
// package's own.
type body struct {
	name   string
	upper  func(th float64) r3.Vec // upper arris
	normal func(th float64) r3.Vec // upper face's unit normal there
	face   Surface                 // the same face as a height field, after motion
	motion Frame
}

// ballBody is the part of a sphere of the radius r inside a circle of the
// radius a about the crown, tilted about the y axis.
func ballBody(name string, r, a, up, tilt float64) body {
	h := math.Sqrt(r*r - a*a)
	m := turned(r3.Vec{Y: 1}, tilt, r3.Vec{X: 30, Y: -12, Z: 50})
	return body{
		name: name,
		upper: func(th float64) r3.Vec {
			s, c := math.Sincos(th)
			return r3.Vec{X: a * c, Y: a * s, Z: up * h}
		},
		normal: func(th float64) r3.Vec {
			s, c := math.Sincos(th)
			return r3.Vec{X: up * a * c / r, Y: up * a * s / r, Z: h / r}
		},
		face:   ball{c: m.T, r: r, up: up},
		motion: m,
	}
}

// rollBody is the part of a cylinder with its axis along y inside a circle of
// the radius a in plan, turned about z, then about its own axis.
func rollBody(name string, r, a, up, turn, tip float64) body {
	tipped := turned(r3.Vec{Y: 1}, tip, r3.Vec{})
	m := tipped.Then(turned(r3.Vec{Z: 1}, turn, r3.Vec{}))
	return body{
		name: name,
		upper: func(th float64) r3.Vec {
			s, c := math.Sincos(th)
			return r3.Vec{X: a * c, Y: a * s, Z: up * math.Sqrt(r*r-a*a*c*c)}
		},
		normal: func(th float64) r3.Vec {
			c := math.Cos(th)
			return r3.Vec{X: up * a * c / r, Z: math.Sqrt(r*r-a*a*c*c) / r}
		},
		face:   roll{r: r, turn: turn, up: up},
		motion: m,
	}
}

// discBody is a flat round pane of the radius a, tilted by an angle about a
// level axis.
func discBody(name string, a, tilt, axis float64) body {
	s, c := math.Sincos(axis)
	m := turned(r3.Vec{X: c, Y: s}, tilt, r3.Vec{X: 5, Y: 8, Z: 200})
	n := m.Rotate(r3.Vec{Z: 1})
	gx, gy := -n.X/n.Z, -n.Y/n.Z
	return body{
		name: name,
		upper: func(th float64) r3.Vec {
			s, c := math.Sincos(th)
			return r3.Vec{X: a * c, Y: a * s}
		},
		normal: func(float64) r3.Vec { return r3.Vec{Z: 1} },
		face:   quadric{m.T.Z - gx*m.T.X - gy*m.T.Y, gx, gy},
		motion: m,
	}
}

func bodies() []body {
	const deg = math.Pi / 180
	return []body{
		ballBody("sphere, dome", 1500, 500, 1, 0),
		ballBody("sphere, bowl", 1500, 500, -1, 0),
		ballBody("sphere, dome, tilted", 1500, 500, 1, 8*deg),
		ballBody("sphere, bowl, tilted", 1500, 500, -1, 8*deg),
		ballBody("sphere, dome, tilted past its own slope", 1500, 300, 1, 25*deg),
		ballBody("sphere, bowl, tilted past its own slope", 1500, 300, -1, -25*deg),
		rollBody("cylinder, dome", 1850, 400, 1, 0, 0),
		rollBody("cylinder, bowl", 1850, 400, -1, 0, 0),
		rollBody("cylinder, dome, turned 12° and tipped", 1850, 400, 1, 12*deg, 5*deg),
		rollBody("cylinder, bowl, turned 12° and tipped", 1850, 400, -1, 12*deg, 15*deg),
		discBody("level plane", 300, 0, 0),
		discBody("tilted plane", 300, 20*deg, 0.4),
	}
}

// place is one place of a body's edge, moved: the two arrises, the normal and,
// by the closed form of its profile, the silhouette with its outward normal.
type place struct {
	upper, lower, n r3.Vec
	silhouette, out r2.Vec
}

// at returns the place θ. The outward normals are those of the plan curves,
// whose tangents are taken by central differences of the closed form (step
// 1e-3 rad, fourth order: 1e-12).
func (b body) at(th, t float64, p Profile) place {
	moved := func(th, down float64) r3.Vec {
		return b.motion.Apply(r3.Sub(b.upper(th), r3.Scale(down, b.normal(th))))
	}
	outward := func(down float64) r2.Vec {
		const h = 1e-3
		d := r3.Sub(r3.Scale(8, r3.Sub(moved(th+h, down), moved(th-h, down))), r3.Sub(moved(th+2*h, down), moved(th-2*h, down)))
		return r2.Unit(r2.Vec{X: d.Y, Y: -d.X})
	}
	q := place{upper: moved(th, 0), lower: moved(th, t), n: b.motion.Rotate(b.normal(th))}
	if p == RoundEdge {
		q.out = outward(t / 2)
		q.silhouette = r2.Add(planOf(moved(th, t/2)), r2.Scale(t/2, q.out))
		return q
	}
	q.out, q.silhouette = outward(0), planOf(q.upper)
	if r2.Dot(planOf(q.n), q.out) < 0 {
		q.out, q.silhouette = outward(t), planOf(q.lower)
	}
	return q
}

// Every lay and profile in closed form: from the silhouette to both arrises,
// the thickness between them, and back.
func TestEdgeClosedForm(t *testing.T) {
	const (
		tol   = 1e-9 // mm
		thick = 4.0
	)
	for _, b := range bodies() {
		for _, p := range []Profile{SquareEdge, RoundEdge} {
			t.Run(b.name+", "+p.String(), func(t *testing.T) {
				for i := range 72 {
					th := 2 * math.Pi * (float64(i) + 0.37) / 72
					q := b.at(th, thick, p)

					u2, l2 := Arrises(q.silhouette, q.out, q.n, thick, p)
					near2(t, planOf(q.upper), u2, tol, "upper arris at ", th)
					near2(t, planOf(q.lower), l2, tol, "lower arris at ", th)

					u, l, err := EdgeOn(b.face, q.silhouette, r2.Scale(3, q.out), thick, p)
					require.NoError(t, err)
					near(t, q.upper, u, tol, "upper arris on the face at ", th)
					near(t, q.lower, l, tol, "lower arris at ", th)
					assert.InDelta(t, thick, r3.Norm(r3.Sub(u, l)), tol, "thickness")
					near(t, q.n, r3.Scale(1/thick, r3.Sub(u, l)), tol, "square to the face")

					near2(t, q.silhouette, Silhouette(u, q.out, q.n, thick, p), tol, "back to the silhouette")
				}
			})
		}
	}
}

// The parts along ν that a square touches: upper = silhouette - (t/2)(1 - n·ν),
// lower = silhouette - (t/2)(1 + n·ν) for a round edge; and the size of what
// is lost by taking both arrises of a square edge as one point, t·sin·tan of
// the slope in height: 0.50 mm at 20°, t = 4.
func TestArrisesAlongTheNormal(t *testing.T) {
	nu := r2.Vec{X: 0.6, Y: 0.8}
	along := r2.Vec{X: -0.8, Y: 0.6}
	for _, lean := range []float64{-0.4, -0.1, 0, 0.2, 0.5} {
		h := r2.Add(r2.Scale(lean, nu), r2.Scale(0.15, along))
		n := r3.Vec{X: h.X, Y: h.Y, Z: math.Sqrt(1 - r2.Norm2(h))}
		u, l := Arrises(r2.Vec{X: 10, Y: 20}, nu, n, 4, RoundEdge)
		at := r2.Dot(r2.Vec{X: 10, Y: 20}, nu)
		assert.InDelta(t, at-2*(1-lean), r2.Dot(u, nu), 1e-13)
		assert.InDelta(t, at-2*(1+lean), r2.Dot(l, nu), 1e-13)
		near2(t, r2.Scale(4, h), r2.Sub(u, l), 1e-13)

		u, l = Arrises(r2.Vec{X: 10, Y: 20}, nu, n, 4, SquareEdge)
		near2(t, r2.Scale(4, h), r2.Sub(u, l), 1e-13)
		assert.InDelta(t, at, max(r2.Dot(u, nu), r2.Dot(l, nu)), 1e-13, "nothing stands out beyond the silhouette")
	}
	s, c := math.Sincos(20 * math.Pi / 180)
	u, l := Arrises(r2.Vec{}, r2.Vec{X: 1}, r3.Vec{X: -s, Z: c}, 4, SquareEdge)
	assert.InDelta(t, 0.50, (l.X-u.X)*s/c, 0.005, "bias in height at 20°")
}

func TestEdgeOnRefuses(t *testing.T) {
	steep := quadric{0, math.Tan(61 * math.Pi / 180)}
	_, _, err := EdgeOn(steep, r2.Vec{X: 3, Y: 4}, r2.Vec{X: -1}, 4, SquareEdge)
	var se *SteepError
	require.True(t, errors.As(err, &se))
	assert.InDelta(t, 61, se.Slope*180/math.Pi, 1e-9)
	near2(t, r2.Vec{X: 3, Y: 4}, se.At, 1e-9)
	assert.ErrorContains(t, err, "steeper than 60°")

	_, _, err = EdgeOn(quadric{0, math.Tan(59.9 * math.Pi / 180)}, r2.Vec{}, r2.Vec{X: -1}, 4, RoundEdge)
	assert.NoError(t, err)
	for name, f := range map[string]func() error{
		"no direction":  func() error { _, _, err := EdgeOn(quadric{}, r2.Vec{}, r2.Vec{}, 4, SquareEdge); return err },
		"thickness < 0": func() error { _, _, err := EdgeOn(quadric{}, r2.Vec{}, r2.Vec{X: 1}, -1, SquareEdge); return err },
		"thickness NaN": func() error {
			_, _, err := EdgeOn(quadric{}, r2.Vec{}, r2.Vec{X: 1}, math.NaN(), SquareEdge)
			return err
		},
		"place NaN": func() error {
			_, _, err := EdgeOn(quadric{}, r2.Vec{X: math.NaN()}, r2.Vec{X: 1}, 1, SquareEdge)
			return err
		},
		"beyond the face": func() error {
			_, _, err := EdgeOn(ball{r: 10, up: 1}, r2.Vec{X: 11}, r2.Vec{X: 1}, 1, SquareEdge)
			return err
		},
		"at its own limit": func() error {
			_, _, err := EdgeOn(ball{r: 10, up: 1}, r2.Vec{X: 10}, r2.Vec{X: 1}, 1, SquareEdge)
			return err
		},
	} {
		assert.Error(t, f(), name)
	}
}

func TestProfileNames(t *testing.T) {
	assert.Equal(t, "square", SquareEdge.String())
	assert.Equal(t, "round", RoundEdge.String())
	assert.Equal(t, "Profile(7)", Profile(7).String())
}
