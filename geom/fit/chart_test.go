package fit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

func evenCircle(n int) []float64 {
	k := make([]float64, n+1)
	for i := range k {
		k[i] = 10 * float64(i)
	}
	return k
}

// A row of the chart is the same point as the curve made of the same unknowns.
func TestChartRowsAgreeWithCurve(t *testing.T) {
	for _, mirror := range []bool{false, true} {
		c, err := newChart(evenCircle(14), mirror)
		require.NoError(t, err)
		size, _ := c.unknowns()
		require.Equal(t, c.arrow(0).size(), size)
		x := make([]float64, size)
		for j := range c.n() {
			s, co := math.Sincos(2*math.Pi*float64(j)/float64(c.n()) - math.Pi/2)
			if i, sign := c.unknown(j, 0); sign != 0 {
				x[i] = sign * 300 * co
			}
			i, _ := c.unknown(j, 1)
			x[i] = 200 * s
		}
		curve, err := c.curve(x)
		require.NoError(t, err)
		for u := 0.5; u < 140; u += 3 {
			p := curve.At(u)
			require.InDelta(t, p.X, c.at(u, r2.Vec{X: 1}).dot(x), 1e-10)
			require.InDelta(t, p.Y, c.at(u, r2.Vec{Y: 1}).dot(x), 1e-10)
			if mirror {
				q := curve.At(140 - u)
				require.InDelta(t, p.X, -q.X, 1e-10)
				require.InDelta(t, p.Y, q.Y, 1e-10)
			}
		}
		if mirror {
			require.InDelta(t, 0, curve.At(0).X, 1e-12)
			require.InDelta(t, 0, curve.Tangent(0).Y, 1e-12, "square to the line at the bottom")
			require.InDelta(t, 0, curve.Tangent(70).Y, 1e-12, "and at the top")
		}
	}
}

// Every row of a span reaches only cells that the matrix has.
func TestChartRowsFitTheBand(t *testing.T) {
	for _, mirror := range []bool{false, true} {
		for _, n := range []int{12, 14, 40} {
			c, err := newChart(evenCircle(n), mirror)
			require.NoError(t, err)
			a := c.arrow(3)
			for i, s := range c.spans {
				r := c.at(s.mid, r2.Vec{X: 1, Y: 2})
				for _, p := range r.idx {
					for _, q := range r.idx {
						if p < a.n && q < a.n {
							require.LessOrEqual(t, p-q, a.w, "span %d of %d", i, n)
						}
					}
				}
			}
		}
	}
}

func TestSpreadKnots(t *testing.T) {
	k := spreadKnots([]float64{0, 100, 200, 300, 400}, 8)
	for i, u := range k {
		require.InDelta(t, 50*float64(i), u, 1e-9, "even stations get even knots")
	}
	k = spreadKnots([]float64{0, 1, 2, 3, 4, 5, 6, 1000}, 40)
	for i := range k[1:] {
		require.Greater(t, k[i+1]-k[i], 1.0, "marks on top of each other draw no knots together")
		require.Less(t, k[i+1]-k[i], 60.0, "a gap is not left without")
	}
	require.Equal(t, 1000.0, k[40])
}
