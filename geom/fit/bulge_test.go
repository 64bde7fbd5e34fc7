package fit

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"panewright/geom"
)

// Legendre's polynomials at a half and at the ends (Abramowitz and Stegun, table
// 22.13 gives the coefficients).
func TestLegendre(t *testing.T) {
	require.Equal(t, [5]float64{1, 0.5, -0.125, -0.4375, -0.2890625}, legendre(0.5))
	require.Equal(t, [5]float64{1, 1, 1, 1, 1}, legendre(1))
	require.Equal(t, [5]float64{1, -1, 1, -1, 1}, legendre(-1))
}

// The splines along an axis are the polynomials, those to the third degree
// exactly, and exactly even or odd.
func TestAlongAxis(t *testing.T) {
	knots := evenKnots(-400, 500, 110)
	all := alongAxis(knots)
	n := len(knots) - 4
	for _, x := range []float64{-400, -123, 0, 50, 377, 500} {
		first, b, _, _, _ := geom.ClampedBasis(knots, x)
		p := legendre((x - 50) / 450)
		for d, c := range all {
			within := 1e-12
			if d == 4 {
				within = 0.004 // of a rise of one
			}
			require.InDelta(t, p[d], dot(c[first:first+4], b[:]), within, "degree %d at %g", d, x)
		}
	}
	for d, c := range all {
		sign := float64(1 - 2*(d%2))
		for i := range c {
			require.Equal(t, c[i], sign*c[n-1-i])
		}
	}
}

// A sheet holds the bulges beside its spline, an even one those even in x; row
// and face agree on them.
func TestSheetBulges(t *testing.T) {
	for even, want := range map[bool]int{false: 9, true: 5} {
		s := newSheet(sheetBox, 110, even)
		s.addBulges()
		require.Len(t, s.shapes, want)
		a := s.arrow(3)
		require.Equal(t, want, a.own)
		require.Equal(t, want+3, a.k)
		x := make([]float64, a.first())
		for i := range x {
			x[i] = float64(i%7) - 3
		}
		f, err := s.face(x)
		require.NoError(t, err)
		for _, q := range [][2]float64{{0, 0}, {-290, 240}, {123, -77}, {330, 260}} {
			require.InDelta(t, f.At(q[0], q[1]), s.at(q[0], q[1]).dot(x), 1e-9)
		}
		if even {
			require.InDelta(t, f.At(-200, 100), f.At(200, 100), 1e-12)
		}
	}
}

// A pane that tapers and has wings is better known by readings of 0.5 mm than a
// spline alone would know it, most of all at its edge.
func TestBulgesCarryTaperAndWings(t *testing.T) {
	shape := func(x, y float64) float64 {
		u, v := x/600, y/350
		return -60*u*u*(1+0.2*v) - 12*v*v - 6*u*u*u*u
	}
	edge := func(bulges bool) float64 {
		var miss stat
		for i := range 20 {
			rng := source(36, i)
			var marks []Mark
			add := func(x, y float64) {
				marks = append(marks, Mark{P: vec3(x, y, shape(x, y)+0.5*rng.NormFloat64()), SXY: 0.5, SZ: 0.5})
			}
			for _, m := range ellipse(40, 600, 350) {
				add(m.P.X, m.P.Y)
			}
			for x := -400.0; x <= 400; x += 200 {
				for y := -200.0; y <= 200; y += 100 {
					add(x, y)
				}
			}
			f := newSheetFit(newSheet(boxOf(marks, 50), facePitch, false), marks)
			if !bulges {
				f.shapes = nil
			}
			require.NoError(t, f.fit(context.Background(), true))
			for _, m := range ellipse(64, 590, 340) {
				miss = append(miss, f.face.At(m.P.X, m.P.Y)-shape(m.P.X, m.P.Y))
			}
		}
		return miss.rms()
	}
	with, without := edge(true), edge(false)
	t.Logf("at the edge %.3f mm, of a spline alone %.3f", with, without)
	require.Less(t, with, 0.95*without)
}
