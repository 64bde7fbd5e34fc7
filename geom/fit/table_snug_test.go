package fit_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
)

const (
	clearance = 1.5 // mm between pane and pocket
	slack     = 3.0 // mm, greatest gap of a snug pocket
)

// place shifts and turns the true edge to where its least gap in the pocket,
// the curve and the clearance, is greatest, and tells the least and the
// greatest gap there. Gauss-Newton in the distances; in each round the least
// of the linear gaps is raised by Newton's method on its smooth bound,
// -log(sum exp(-b*gap))/b, with b rising to 1000 a mm, which leaves less than
// 0.01 mm on the table.
func place(c *geom.Curve, edge []r2.Vec) (least, most float64) {
	var mid r2.Vec
	for _, q := range edge {
		mid = r2.Add(mid, r2.Scale(1/float64(len(edge)), q))
	}
	at := edge
	gap, change := make([]float64, len(edge)), make([][3]float64, len(edge))
	const (
		rounds = 4
		arm    = 500.0 // mm, makes a turn comparable with a shift
	)
	for range rounds {
		for i, q := range at {
			u, d := c.Nearest(q)
			n := c.Normal(u)
			r := r2.Sub(q, mid)
			gap[i], change[i] = clearance-d, [3]float64{-n.X, -n.Y, -(n.Y*r.X - n.X*r.Y) / arm}
		}
		p := raise(gap, change)
		s, co := math.Sincos(p[2] / arm)
		moved := make([]r2.Vec, len(at))
		for i, q := range at {
			r := r2.Sub(q, mid)
			moved[i] = r2.Add(mid, r2.Vec{X: co*r.X - s*r.Y + p[0], Y: s*r.X + co*r.Y + p[1]})
		}
		at = moved
		mid = r2.Add(mid, r2.Vec{X: p[0], Y: p[1]})
	}
	least, most = math.Inf(1), math.Inf(-1)
	for _, q := range at {
		_, d := c.Nearest(q)
		least, most = math.Min(least, clearance-d), math.Max(most, clearance-d)
	}
	return least, most
}

// raise is the step p with the greatest least gap + change·p.
func raise(gap []float64, change [][3]float64) (p [3]float64) {
	for b := 1.0; b <= 1000; b *= 10 {
		for range 12 {
			v, g, h := bound(gap, change, p, b)
			d := solve3(h, g)
			part := 1.0
			for part > 1e-3 {
				q := [3]float64{p[0] - part*d[0], p[1] - part*d[1], p[2] - part*d[2]}
				if w, _, _ := bound(gap, change, q, b); w <= v {
					p = q
					break
				}
				part /= 2
			}
			if part <= 1e-3 || math.Abs(d[0])+math.Abs(d[1])+math.Abs(d[2]) < 1e-4 {
				break
			}
		}
	}
	return p
}

// bound is log(sum exp(-b*gap))/b, an upper bound of the negative least gap,
// with its gradient and Hessian.
func bound(gap []float64, change [][3]float64, p [3]float64, b float64) (v float64, g [3]float64, h [3][3]float64) {
	at := make([]float64, len(gap))
	low := math.Inf(1)
	for i, c := range change {
		at[i] = gap[i] + c[0]*p[0] + c[1]*p[1] + c[2]*p[2]
		low = math.Min(low, at[i])
	}
	var sum float64
	for i, c := range change {
		if b*(at[i]-low) > 30 {
			continue
		}
		w := math.Exp(-b * (at[i] - low))
		sum += w
		for j := range c {
			g[j] -= w * c[j]
			for k := range c {
				h[j][k] += w * c[j] * c[k]
			}
		}
	}
	for j := range g {
		g[j] /= sum
	}
	for j := range g {
		for k := range g {
			h[j][k] = b * (h[j][k]/sum - g[j]*g[k])
		}
		h[j][j] += 1e-4 // flat where few gaps are near the least
	}
	return -low + math.Log(sum)/b, g, h
}

// solve3 solves h·x = g by Cramer's rule.
func solve3(h [3][3]float64, g [3]float64) (x [3]float64) {
	det := func(a [3][3]float64) float64 {
		return a[0][0]*(a[1][1]*a[2][2]-a[1][2]*a[2][1]) - a[0][1]*(a[1][0]*a[2][2]-a[1][2]*a[2][0]) + a[0][2]*(a[1][0]*a[2][1]-a[1][1]*a[2][0])
	}
	d := det(h)
	for j := range x {
		a := h
		for i := range g {
			a[i][j] = g[i]
		}
		x[j] = det(a) / d
	}
	return x
}

// wavy is an ellipse out of true by depth, five times round.
func wavy(t *testing.T, depth float64) *geom.Curve {
	t.Helper()
	const a, b = 600.0, 350.0
	var knots []float64
	for k := range 81 {
		knots = append(knots, 2*math.Pi*float64(k)/80)
	}
	c, err := geom.FitClosed(func(u float64) r2.Vec {
		s, co := math.Sincos(u)
		r := 1 + depth/b*math.Cos(5*u+1)
		return r2.Vec{X: a * r * co, Y: b * r * s}
	}, knots, 0.001)
	require.NoError(t, err)
	return c
}

// A pane in its own exact pocket has the clearance all round. In a pocket out
// of true the least gap is the same wherever the pane starts, as it must be if
// it is the greatest there is, and no start has a greater.
func TestTablePlacement(t *testing.T) {
	lay := func(x, y, turn float64) (edge []r2.Vec) {
		c := wavy(t, 0)
		lo, hi := c.Period()
		st, ct := math.Sincos(turn)
		for k := range 1500 {
			q := c.At(lo + (hi-lo)*float64(k)/1500)
			edge = append(edge, r2.Vec{X: ct*q.X - st*q.Y + x, Y: st*q.X + ct*q.Y + y})
		}
		return edge
	}
	least, most := place(wavy(t, 0), lay(3, -2, 0.004))
	require.InDelta(t, clearance, least, 0.02, "mm")
	require.InDelta(t, clearance, most, 0.02, "mm")
	pocket := wavy(t, 0.8)
	want, _ := place(pocket, lay(0, 0, 0))
	require.Less(t, want, clearance-0.2, "mm")
	for _, at := range [][3]float64{{1, 0, 0}, {-0.7, 0.9, 0}, {0, -1, 0.001}, {0.3, 0.2, -0.002}, {0.05, 0, 0}, {0, 0, 0.0002}} {
		edge := lay(at[0], at[1], at[2])
		got, _ := place(pocket, edge)
		require.InDelta(t, want, got, 0.015, "mm from %v", at)
		start := math.Inf(1)
		for _, q := range edge {
			_, d := pocket.Nearest(q)
			start = math.Min(start, clearance-d)
		}
		require.Less(t, start, got+0.015)
	}
}
