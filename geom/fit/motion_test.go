package fit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

func TestMotionCarriesPlaneToNought(t *testing.T) {
	for _, m := range []motion{{}, {12, 0.03, -0.02}, {-400, -1.2, 0.7}} {
		f, pl := m.frame(), m.plane()
		for _, q := range []r3.Vec{{}, {X: 100, Y: -40, Z: 7}, {X: -3, Y: 900, Z: 120}} {
			require.InDelta(t, pl.Dist(q), f.Apply(q).X, 1e-10)
			back := f.Inverse().Apply(f.Apply(q))
			require.InDelta(t, 0, r3.Norm(r3.Sub(back, q)), 1e-10)
			image := f.Apply(pl.Mirror(q))
			require.InDelta(t, -f.Apply(q).X, image.X, 1e-9)
			require.InDelta(t, f.Apply(q).Y, image.Y, 1e-9)
			require.InDelta(t, f.Apply(q).Z, image.Z, 1e-9)
		}
		require.InDelta(t, m[1], pl.Skew(), 1e-12)
		require.InDelta(t, m[2], pl.Roll(), 1e-12)
	}
}

func TestMotionChangeIsTheDerivative(t *testing.T) {
	const step = 1e-6
	m := motion{12, 0.3, -0.2}
	for _, p := range []r3.Vec{{}, {X: 100, Y: -40, Z: 7}, {X: -3, Y: 900, Z: 120}} {
		change := m.change(m.frame().Apply(p))
		for k := range m {
			a, b := m, m
			a[k] -= step
			b[k] += step
			d := r3.Scale(1/(2*step), r3.Sub(b.frame().Apply(p), a.frame().Apply(p)))
			require.InDelta(t, 0, r3.Norm(r3.Sub(d, change[k])), 1e-6, "unknown %d", k)
		}
	}
}

func TestMotionLift(t *testing.T) {
	f := fitFace(t, lattice(func(x, y float64) float64 { return 60 - x*x/3000 }), true)
	m := motion{20, 0.02, 0.03}
	z := m.lift(340, -120, f.Face)
	q := m.frame().Apply(vec3(340, -120, z))
	require.InDelta(t, f.Face.At(q.X, q.Y), q.Z, 1e-6)
}

func TestFoldOnto(t *testing.T) {
	// a trapezium-like oval, symmetric about a line 25 mm and 2.5 degrees off
	truth := motion{25, 2.5 * math.Pi / 180}
	back := truth.frame().Inverse()
	var u []float64
	var pts []r2.Vec
	for i := range 48 {
		a := 2 * math.Pi * float64(i) / 48
		s, c := math.Sincos(a)
		q := back.Apply(r3.Vec{X: 600 * c * (1 - 0.15*s), Y: 350 * s})
		u, pts = append(u, a), append(pts, r2.Vec{X: q.X, Y: q.Y})
	}
	curve, err := geom.InterpolateClosed(append(u, 2*math.Pi), pts)
	require.NoError(t, err)
	m := foldOnto(curve, motion{})
	require.InDelta(t, truth[0], m[0], 1e-3, "mm")
	require.InDelta(t, truth[1], m[1], 1e-6, "rad")
}
