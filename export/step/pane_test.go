package step_test

import (
	"bytes"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/export/step"
	"panewright/geom"
)

// arch is a face that is nearly a torus over the origin: bent with the radius
// a across and b fore and aft, a dome for positive radii and a bowl for
// negative ones, leaning by lean.
type arch struct{ a, b, lean float64 }

func (s arch) Eval(x, y float64) geom.Height {
	bend := func(r, x float64) (z, d, dd float64) {
		w := math.Sqrt(r*r - x*x)
		sign := math.Copysign(1, r)
		return sign * (w - math.Abs(r)), -sign * x / w, -sign * r * r / (w * w * w)
	}
	zx, dx, ddx := bend(s.a, x)
	zy, dy, ddy := bend(s.b, y)
	return geom.Height{Z: zx + zy + s.lean*y, Zx: dx, Zy: dy + s.lean, Zxx: ddx, Zyy: ddy}
}

// flat is a level face.
type flat struct{}

func (flat) Eval(x, y float64) geom.Height { return geom.Height{} }

// oval is the plan of a super-ellipse of half width w and half height h,
// narrower at the top, symmetric about x = 0 and started on it.
func oval(t testing.TB, w, h, power float64) *geom.Curve {
	t.Helper()
	breaks := make([]float64, 25)
	for i := range breaks {
		breaks[i] = 2 * math.Pi * float64(i) / 24
	}
	c, err := geom.FitClosed(func(th float64) r2.Vec {
		s, c := math.Sincos(th)
		k := math.Pow(math.Pow(math.Abs(s), power)+math.Pow(math.Abs(c), power), -1/power)
		return r2.Vec{X: w * k * s * (1 + 0.06*k*c), Y: -h * k * c}
	}, breaks, 1e-3)
	require.NoError(t, err)
	return c
}

// faceOver is a face through s that reaches 20 mm beyond a plan.
func faceOver(t testing.TB, s geom.Surface, plan *geom.Curve, pitch float64) *geom.Face {
	t.Helper()
	b := plan.Bounds()
	m := r2.Vec{X: 20, Y: 20}
	f, err := geom.FaceThrough(s, r2.Box{Min: r2.Sub(b.Min, m), Max: r2.Add(b.Max, m)}, pitch)
	require.NoError(t, err)
	return f
}

func paneOf(t testing.TB, s geom.Surface, plan *geom.Curve, thick float64, p geom.Profile) *geom.Pane {
	t.Helper()
	pane, err := geom.NewPane(faceOver(t, s, plan, 100), plan, thick, p)
	require.NoError(t, err)
	return pane
}

// panes are windscreens of 1480 x 790 mm, dome and bowl, square and round.
func panes(t testing.TB) map[string]*geom.Pane {
	t.Helper()
	plan := oval(t, 740, 395, 5)
	all := map[string]*geom.Pane{}
	for _, p := range []geom.Profile{geom.SquareEdge, geom.RoundEdge} {
		all["dome, "+p.String()] = paneOf(t, arch{2900, 5600, 0}, plan, 4, p)
		all["bowl, "+p.String()] = paneOf(t, arch{-2900, -5600, 0}, plan, 4, p)
		all["dome, leaning, "+p.String()] = paneOf(t, arch{2900, 5600, -0.3}, plan, 4, p)
		all["level, "+p.String()] = paneOf(t, flat{}, oval(t, 200, 120, 2), 5, p)
	}
	return all
}

func write(t testing.TB, d step.Document) []byte {
	t.Helper()
	var file bytes.Buffer
	require.NoError(t, step.Write(&file, d))
	return file.Bytes()
}

func glass(p *geom.Pane) step.Document {
	return step.Document{Name: "glass", Solids: []step.Solid{{Name: "glass", Pane: p}}}
}

// hollow is the plan of a pane with a hollow top.
func hollow(t testing.TB, size float64) *geom.Curve {
	t.Helper()
	breaks := make([]float64, 25)
	for i := range breaks {
		breaks[i] = 2 * math.Pi * float64(i) / 24
	}
	c, err := geom.FitClosed(func(th float64) r2.Vec {
		s, c := math.Sincos(th)
		return r2.Vec{X: size * s, Y: size * (-0.55*c + 0.35*s*s)}
	}, breaks, 1e-3)
	require.NoError(t, err)
	return c
}

// roughPanes are panes whose faces are as uneven as fits to poor readings, with
// tight corners and with a hollow side, thin and thick.
func roughPanes(t testing.TB) map[string]*geom.Pane {
	t.Helper()
	all := map[string]*geom.Pane{}
	for name, plan := range map[string]*geom.Curve{"tight corners": oval(t, 600, 300, 14), "hollow": hollow(t, 400)} {
		rng := rand.New(rand.NewPCG(3, 4))
		smooth := faceOver(t, arch{-2500, -6000, 0.1}, plan, 100)
		c := smooth.Coeffs()
		for i := range c {
			c[i] += 0.3 * rng.NormFloat64()
		}
		face, err := geom.NewFace(smooth.XKnots(), smooth.YKnots(), c)
		require.NoError(t, err)
		for _, p := range []geom.Profile{geom.SquareEdge, geom.RoundEdge} {
			pane, err := geom.NewPane(face, plan, 3+3*float64(p), p)
			require.NoError(t, err)
			all[name+", "+p.String()] = pane
		}
	}
	return all
}
