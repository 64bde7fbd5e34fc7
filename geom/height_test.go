package geom

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// The closed-form surfaces that the tests hold the package against.

// ball is the sphere of the radius r about c; its upper half for up = +1 (a
// dome), its lower half for up = -1 (a bowl).
type ball struct {
	c     r3.Vec
	r, up float64
}

func (s ball) Eval(x, y float64) Height {
	dx, dy := x-s.c.X, y-s.c.Y
	q := s.up * math.Sqrt(s.r*s.r-dx*dx-dy*dy) // height above the centre
	return Height{
		Z:  s.c.Z + q,
		Zx: -dx / q, Zy: -dy / q,
		Zxx: -(q*q + dx*dx) / (q * q * q),
		Zxy: -dx * dy / (q * q * q),
		Zyy: -(q*q + dy*dy) / (q * q * q),
	}
}

// roll is the cylinder of the radius r with a level axis at the height zc,
// turned by turn from the y axis; a dome for up = +1, a bowl for up = -1.
type roll struct{ r, zc, turn, up float64 }

func (s roll) Eval(x, y float64) Height {
	sin, cos := math.Sincos(s.turn)
	d := x*cos + y*sin // distance from the axis in plan
	q := s.up * math.Sqrt(s.r*s.r-d*d)
	g, k := -d/q, -s.r*s.r/(q*q*q)
	return Height{Z: s.zc + q, Zx: g * cos, Zy: g * sin, Zxx: k * cos * cos, Zxy: k * cos * sin, Zyy: k * sin * sin}
}

// tyre is the upper half of the torus of the radius big round the y axis and
// the tube radius small.
type tyre struct{ big, small float64 }

func (s tyre) Eval(x, y float64) Height {
	// z² + x² = (big + √(small² - y²))²
	return numeric{func(x, y float64) float64 {
		rho := s.big + math.Sqrt(s.small*s.small-y*y)
		return math.Sqrt(rho*rho - x*x)
	}}.Eval(x, y)
}

// quadric is z = a + bx + cy + dx² + exy + fy².
type quadric [6]float64

func (q quadric) Eval(x, y float64) Height {
	return Height{
		Z:  q[0] + q[1]*x + q[2]*y + q[3]*x*x + q[4]*x*y + q[5]*y*y,
		Zx: q[1] + 2*q[3]*x + q[4]*y, Zy: q[2] + q[4]*x + 2*q[5]*y,
		Zxx: 2 * q[3], Zxy: q[4], Zyy: 2 * q[5],
	}
}

// numeric is any height field, its derivatives by central differences of the
// fourth order.
type numeric struct{ f func(x, y float64) float64 }

func (s numeric) Eval(x, y float64) Height {
	const h = 2.0
	first := func(g func(t float64) float64) float64 {
		return (8*(g(h)-g(-h)) - (g(2*h) - g(-2*h))) / (12 * h)
	}
	second := func(g func(t float64) float64) float64 {
		return (16*(g(h)+g(-h)) - (g(2*h) + g(-2*h)) - 30*g(0)) / (12 * h * h)
	}
	return Height{
		Z:   s.f(x, y),
		Zx:  first(func(t float64) float64 { return s.f(x+t, y) }),
		Zy:  first(func(t float64) float64 { return s.f(x, y+t) }),
		Zxx: second(func(t float64) float64 { return s.f(x+t, y) }),
		Zyy: second(func(t float64) float64 { return s.f(x, y+t) }),
		Zxy: first(func(t float64) float64 {
			return first(func(u float64) float64 { return s.f(x+t, y+u) })
		}),
	}
}

// near asserts that two points are within tol millimetres.
func near(t *testing.T, want, got r3.Vec, tol float64, what ...any) {
	t.Helper()
	if d := r3.Norm(r3.Sub(want, got)); !(d <= tol) {
		require.Failf(t, "points differ", "by %g mm (tolerance %g): want %v, got %v: %v", d, tol, want, got, fmt.Sprint(what...))
	}
}

// near2 is near in plan.
func near2(t *testing.T, want, got r2.Vec, tol float64, what ...any) {
	t.Helper()
	near(t, r3.Vec{X: want.X, Y: want.Y}, r3.Vec{X: got.X, Y: got.Y}, tol, what...)
}

// Published curvatures: "Monge patch", encyclopaedia of mathematics after
// A. Gray 1997, and the closed forms of the sphere, cylinder, torus and
// paraboloid; numbers calculated independently (the paraboloid's to 30 digits).
func TestCurvaturePublished(t *testing.T) {
	const rel = 1e-9
	for _, c := range []struct {
		name        string
		s           Surface
		x, y        float64
		gauss, mean float64
	}{
		{"sphere 2900, dome", ball{r: 2900, up: 1}, 400, 300, 1.189060642e-7, -3.448275862e-4},
		{"sphere 2900, bowl", ball{r: 2900, up: -1}, 400, 300, 1.189060642e-7, 3.448275862e-4},
		{"sphere 2900, crown", ball{r: 2900, up: 1}, 0, 0, 1. / 2900 / 2900, -1. / 2900},
		{"cylinder 1850, dome", roll{r: 1850, up: 1, turn: 0.3}, 300, -200, 0, -1. / 3700},
		{"cylinder 1850, bowl", roll{r: 1850, up: -1}, 300, 20, 0, 1. / 3700},
		{"paraboloid, crown", quadric{0, 0, 0, 1. / 5800, 0, 1. / 11158}, 0, 0, 6.180813519e-8, 2.620355891e-4},
		{"paraboloid, on the side", quadric{0, 0, 0, 1. / 5800, 0, 1. / 11158}, 500, 200, 5.814581982e-8, 2.530588513e-4},
		{"saddle xy", quadric{4: 1}, 0, 0, -1, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			mean, gauss, k1, k2 := c.s.Eval(c.x, c.y).Curvature()
			assert.InDelta(t, c.mean, mean, rel*math.Abs(c.mean)+1e-15)
			assert.InDelta(t, c.gauss, gauss, rel*math.Abs(c.gauss)+1e-18)
			assert.GreaterOrEqual(t, k1, k2)
			assert.InDelta(t, 2*mean, k1+k2, 1e-15)
			assert.InDelta(t, gauss, k1*k2, rel*math.Abs(gauss)+2e-12) // k1 = k2 costs half the digits
		})
	}
}

// Torus R 3000, r 1000 seen as a height field: its outer equator has
// K = 1/(r(R+r)) = 2.5e-7, H = (R+2r)/(2r(R+r)) = 6.25e-4; its top circle
// K = 0, H = 1/(2r) = 5e-4 (encyclopaedia of mathematics, "Torus").
func TestCurvatureTorus(t *testing.T) {
	mean, gauss, k1, k2 := tyre{3000, 1000}.Eval(0, 0).Curvature()
	assert.InDelta(t, -6.25e-4, mean, 1e-10)
	assert.InDelta(t, 2.5e-7, gauss, 1e-13)
	assert.InDelta(t, -1./4000, k1, 1e-10)
	assert.InDelta(t, -1./1000, k2, 1e-10)

	lying := numeric{func(x, y float64) float64 {
		d := math.Hypot(x, y) - 3000
		return math.Sqrt(1000*1000 - d*d)
	}}
	mean, gauss, _, _ = lying.Eval(3000, 0).Curvature()
	assert.InDelta(t, -5e-4, mean, 1e-10)
	assert.InDelta(t, 0, gauss, 1e-13)
}

func TestSlopePublished(t *testing.T) {
	// The same paraboloid: 9.98745552°, calculated independently.
	h := quadric{0, 0, 0, 1. / 5800, 0, 1. / 11158}.Eval(500, 200)
	assert.InDelta(t, 9.98745552, h.Slope()*180/math.Pi, 1e-8)
	assert.InDelta(t, math.Cos(h.Slope()), h.Normal().Z, 1e-15)
	assert.InDelta(t, 1, r3.Norm(h.Normal()), 1e-15)
}

// The surface parallel to a sphere is the sphere with the radius changed by d.
func TestParallelSurfaceOfSphere(t *testing.T) {
	for _, up := range []float64{1, -1} {
		s := ball{c: r3.Vec{X: 10, Y: -20, Z: 5}, r: 900, up: up}
		for _, d := range []float64{-6, -4, 0.5, 4} {
			want := ball{c: s.c, r: s.r + up*d, up: up}
			for _, q := range []r2.Vec{{}, {X: 310, Y: 120}, {X: -500, Y: 480}} {
				got := Offset{Of: s, D: d}.Eval(q.X, q.Y)
				w := want.Eval(q.X, q.Y)
				assert.InDelta(t, w.Z, got.Z, 1e-10, "height, mm")
				assert.InDelta(t, w.Zx, got.Zx, 1e-12)
				assert.InDelta(t, w.Zy, got.Zy, 1e-12)
				assert.InDelta(t, w.Zxx, got.Zxx, 1e-14)
				assert.InDelta(t, w.Zxy, got.Zxy, 1e-14)
				assert.InDelta(t, w.Zyy, got.Zyy, 1e-14)
			}
		}
	}
}

// Parallel surface at the distance d: K' = K/(1-2Hd+Kd²),
// H' = (H-Kd)/(1-2Hd+Kd²) (from memory).
func TestParallelSurfaceCurvature(t *testing.T) {
	s := quadric{3, 0.1, -0.05, 1. / 5800, 2e-5, -1. / 9000}
	for _, d := range []float64{-5, 3} {
		foot := OffsetPoint(s, 120, -310, d)
		mean, gauss, _, _ := s.Eval(120, -310).Curvature()
		area := 1 - 2*mean*d + gauss*d*d
		h := Offset{Of: s, D: d}.Eval(foot.X, foot.Y)
		m2, g2, _, _ := h.Curvature()
		assert.InDelta(t, foot.Z, h.Z, 1e-10)
		assert.InDelta(t, gauss/area, g2, 1e-9*math.Abs(gauss))
		assert.InDelta(t, (mean-gauss*d)/area, m2, 1e-9*math.Abs(mean))
	}
}

// There and back is the same surface.
func TestParallelSurfaceOutAndIn(t *testing.T) {
	s := quadric{0, 0.2, 0.3, -2e-4, 5e-5, -3e-4}
	back := Offset{Of: Offset{Of: s, D: -4}, D: 4}
	for _, q := range []r2.Vec{{}, {X: 400, Y: 300}, {X: -700, Y: 350}} {
		assert.InDelta(t, s.Eval(q.X, q.Y).Z, back.Eval(q.X, q.Y).Z, 1e-10)
	}
}

func TestParallelSurfaceFolds(t *testing.T) {
	bowl := ball{r: 50, up: -1}
	assert.True(t, math.IsNaN(Offset{Of: bowl, D: 60}.Eval(3, 4).Z), "a folded surface has no height")
	assert.InDelta(t, -10, Offset{Of: bowl, D: 40}.Eval(0, 0).Z, 1e-10)
}

func TestNormalChange(t *testing.T) {
	s := ball{r: 700, up: 1}
	const dt = 1e-3
	a, b := s.Eval(200-dt*0.6, 100-dt*0.8).Normal(), s.Eval(200+dt*0.6, 100+dt*0.8).Normal()
	near(t, r3.Scale(1/(2*dt), r3.Sub(b, a)), s.Eval(200, 100).normalChange(0.6, 0.8), 1e-11)
}
