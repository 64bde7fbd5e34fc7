package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// filleted returns the closed path along a counter-clockwise polygon whose
// corner i is rounded to radius radii[i], by arc length from the middle of the
// side from corner 0 to corner 1, and the places where lines and arcs join.
func filleted(corners []r2.Vec, radii []float64) (f func(s float64) r2.Vec, breaks []float64) {
	type part struct {
		start     r2.Vec
		heading   float64
		bend      float64 // curvature
		from, len float64
	}
	n := len(corners)
	heading := func(i int) float64 {
		d := r2.Sub(corners[(i+1)%n], corners[i%n])
		return math.Atan2(d.Y, d.X)
	}
	turn := func(i int) float64 { return math.Remainder(heading(i%n)-heading(i+n-1), 2*math.Pi) }
	cut := func(i int) float64 { return radii[i%n] * math.Tan(math.Abs(turn(i))/2) }

	var parts []part
	total := 0.0
	add := func(p part) {
		if p.len > 0 {
			p.from = total
			total += p.len
			parts = append(parts, p)
		}
	}
	side := func(i int, from, to float64) { // fractions of the way between the arcs
		a, b, h := corners[i%n], corners[(i+1)%n], heading(i%n)
		dir := r2.Vec{X: math.Cos(h), Y: math.Sin(h)}
		l := r2.Norm(r2.Sub(b, a)) - cut(i) - cut(i+1)
		add(part{start: r2.Add(a, r2.Scale(cut(i)+from*l, dir)), heading: h, len: (to - from) * l})
	}
	side(0, 0.5, 1)
	for i := 1; i <= n; i++ {
		h := heading(i + n - 1)
		start := r2.Sub(corners[i%n], r2.Scale(cut(i), r2.Vec{X: math.Cos(h), Y: math.Sin(h)}))
		add(part{start: start, heading: h, bend: math.Copysign(1/radii[i%n], turn(i)), len: radii[i%n] * math.Abs(turn(i))})
		if i < n {
			side(i, 0, 1)
		}
	}
	side(0, 0, 0.5)
	for _, p := range parts {
		breaks = append(breaks, p.from)
	}
	breaks = append(breaks, total)
	return func(s float64) r2.Vec {
		i := 0
		for i+1 < len(parts) && s >= parts[i+1].from {
			i++
		}
		p := parts[i]
		s -= p.from
		if p.bend == 0 {
			return r2.Add(p.start, r2.Scale(s, r2.Vec{X: math.Cos(p.heading), Y: math.Sin(p.heading)}))
		}
		a, b := p.heading, p.heading+s*p.bend
		return r2.Add(p.start, r2.Scale(1/p.bend, r2.Vec{X: math.Sin(b) - math.Sin(a), Y: math.Cos(a) - math.Cos(b)}))
	}, breaks
}

// fitted returns the curve within 5 µm of a filleted polygon.
func fitted(t testing.TB, corners []r2.Vec, radii ...float64) *Curve {
	t.Helper()
	if len(radii) == 1 {
		for len(radii) < len(corners) {
			radii = append(radii, radii[0])
		}
	}
	f, breaks := filleted(corners, radii)
	c, err := FitClosed(f, breaks, 0.005)
	require.NoError(t, err)
	return c
}

// rectangle returns the corners of a rectangle about the origin, the bottom
// side first.
func rectangle(w, h float64) []r2.Vec {
	return []r2.Vec{{X: -w / 2, Y: -h / 2}, {X: w / 2, Y: -h / 2}, {X: w / 2, Y: h / 2}, {X: -w / 2, Y: h / 2}}
}

// screen is a symmetric rear screen: 1400 mm wide, 700 mm high, sides bowed
// out, the bottom hollow, the corners from 30 to 60 mm.
func screen(t testing.TB) *Curve {
	return fitted(t, []r2.Vec{
		{X: -300, Y: -330}, {X: 300, Y: -330}, {X: 700, Y: -360}, {X: 640, Y: 0}, {X: 540, Y: 330},
		{X: 0, Y: 350}, {X: -540, Y: 330}, {X: -640, Y: 0}, {X: -700, Y: -360},
	}, 1500, 1500, 60, 2000, 30, 5000, 30, 2000, 60)
}

// randomOutline returns a pane of 400 to 1600 mm with four corners of 8 to
// 120 mm and sides that are bowed out or, some of them, hollow.
func randomOutline(t testing.TB, rng *rand.Rand) *Curve {
	between := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
	w, h := between(400, 1600), between(400, 900)
	base := rectangle(w, h)
	for i := range base {
		base[i] = r2.Add(base[i], r2.Vec{X: between(-0.06, 0.06) * w, Y: between(-0.06, 0.06) * h})
	}
	var corners []r2.Vec
	var radii []float64
	for i, a := range base {
		b := base[(i+1)%4]
		ab := r2.Sub(b, a)
		bow := between(-0.02, 0.06) * r2.Norm(ab)
		out := r2.Scale(bow/r2.Norm(ab), r2.Vec{X: ab.Y, Y: -ab.X})
		mid := r2.Add(r2.Add(a, r2.Scale(0.5, ab)), out)
		half := math.Atan2(math.Abs(bow), r2.Norm(ab)/2)
		corners = append(corners, a, mid)
		radii = append(radii, between(8, math.Min(120, 0.22*math.Min(w, h))), math.Min(0.15*r2.Norm(ab)/math.Tan(half), 20000))
	}
	return fitted(t, corners, radii...)
}

// ellipse returns the interpolant of an ellipse through n points.
func ellipse(t testing.TB, a, b float64, n int) *Curve {
	t.Helper()
	params, pts := make([]float64, n+1), make([]r2.Vec, n)
	for i := range params {
		params[i] = 2 * math.Pi * float64(i) / float64(n)
		if i < n {
			pts[i] = r2.Vec{X: a * math.Cos(params[i]), Y: b * math.Sin(params[i])}
		}
	}
	c, err := InterpolateClosed(params, pts)
	require.NoError(t, err)
	return c
}
