package board

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// Quantiles of chi-square with three degrees of freedom: 7.815 leaves 5 of 100,
// 11.345 one (Handbook of Mathematical Functions, table 26.8, from memory).
func TestBeyond(t *testing.T) {
	require.InDelta(t, 1, beyond(0), 1e-15)
	require.InDelta(t, 0.05, beyond(math.Sqrt(7.815)), 5e-5)
	require.InDelta(t, 0.01, beyond(math.Sqrt(11.345)), 5e-5)
}

func TestInverse3(t *testing.T) {
	a := [3][3]float64{{4, 1, 0.5}, {1, 3, -0.2}, {0.5, -0.2, 2}}
	b := inverse3(a)
	for i := range a {
		for j := range a {
			sum := 0.0
			for k := range a {
				sum += a[i][k] * b[k][j]
			}
			want := 0.0
			if i == j {
				want = 1
			}
			require.InDelta(t, want, sum, 1e-12)
		}
	}
	require.Zero(t, inverse3([3][3]float64{}))
}

// Diagonals of a rectangle of 1500 by 900 sheared by 2 mm differ by 3.429971 mm
// (computed: √(1502²+900²) − √(1498²+900²)).
func TestDiagonalsOfAShear(t *testing.T) {
	j := NewJob("")
	j.Grid = Grid{PitchX: j.Typed("100"), ColFirst: 0, ColLast: 15, Rows: 10}
	j.Evaluate()
	s := &solve{job: j}
	require.InDelta(t, -3.429971, s.diagonals(2.0/900), 1e-4, "x as read grows with y: the side leans left, and the rising diagonal is short")
}

// square is an upright rectangle of the given half sizes as an edge on the board.
func squareLoop(w, h, step float64) edgeLoop {
	l := edgeLoop{side: 1, t: 4}
	add := func(from, to, out r2.Vec) {
		n := int(r2.Norm(r2.Sub(to, from)) / step)
		for k := range n {
			p := r2.Add(from, r2.Scale(float64(k)/float64(n), r2.Sub(to, from)))
			l.nodes = append(l.nodes, edgeNode{sil: p, arris: r3.Vec{X: p.X, Y: p.Y}, out: out, n: r3.Vec{Z: 1}})
		}
	}
	a, b, c, d := r2.Vec{X: -w, Y: -h}, r2.Vec{X: w, Y: -h}, r2.Vec{X: w, Y: h}, r2.Vec{X: -w, Y: h}
	add(a, b, r2.Vec{Y: -1})
	add(b, c, r2.Vec{X: 1})
	add(c, d, r2.Vec{Y: 1})
	add(d, a, r2.Vec{X: -1})
	return l
}

func TestHalfOfARectangle(t *testing.T) {
	l := squareLoop(600, 300, 10)
	for _, side := range []float64{1, -1} {
		half, ok := l.cut(geom.NewPlane(r3.Vec{X: 3}, 0, 0), side)
		require.True(t, ok)
		first, last := half[0].sil, half[len(half)-1].sil
		require.InDelta(t, 0, r2.Norm(r2.Sub(first, r2.Vec{X: 3, Y: -300})), 1e-9)
		require.InDelta(t, 0, r2.Norm(r2.Sub(last, r2.Vec{X: 3, Y: 300})), 1e-9)
		require.InDelta(t, 2, offLine(half, r2.Vec{X: side * 602, Y: 40}), 1e-9, "outside")
		require.InDelta(t, -1.5, offLine(half, r2.Vec{X: side * 598.5, Y: -40}), 1e-9, "inside")
		nodes := every(half, 15)
		require.InDelta(t, 1800.0/15, float64(len(nodes)), 1)
	}
	_, ok := l.cut(geom.NewPlane(r3.Vec{X: 700}, 0, 0), 1)
	require.False(t, ok)
}

// The twin places of a rectangle's right half: three on its side at the quarters,
// one each half-way out at the top and at the bottom.
func TestCheckPlaces(t *testing.T) {
	l := squareLoop(600, 300, 10)
	plane := geom.NewPlane(r3.Vec{}, 0, 0)
	half, _ := l.cut(plane, 1)
	var got []r2.Vec
	for _, n := range checkPlaces(half, plane, 1) {
		got = append(got, n.sil)
	}
	for i, want := range []r2.Vec{{X: 600, Y: -150}, {X: 600}, {X: 600, Y: 150}, {X: 300, Y: 300}, {X: 300, Y: -300}} {
		require.InDelta(t, 0, r2.Norm(r2.Sub(want, got[i])), 10, "mm: %d", i)
	}
}

// A shear is taken off residuals for what it is; a bulge is not.
func TestUnsheared(t *testing.T) {
	var all []halfResidual
	for _, n := range squareLoop(600, 300, 20).nodes {
		r := halfResidual{sd: 0.7, pane: n.arris, out: n.out}
		r.off = 0.004 * (n.arris.Y*n.out.X + n.arris.X*n.out.Y)
		all = append(all, r)
	}
	_, ratio := spreadOf(all)
	require.Greater(t, ratio, 1.5)
	require.InDelta(t, 0, unsheared(all), 1e-9)
	good, bad := parted(append(all[:0:0], halfResidual{id: "a", off: 9, sd: 1}, halfResidual{id: "b", off: -12, sd: 1}, halfResidual{sd: 1}, halfResidual{sd: 1}))
	require.Len(t, good, 2)
	require.Equal(t, []string{"b", "a"}, []string{bad[0].id, bad[1].id})
}
