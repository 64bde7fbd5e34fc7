package geom

import (
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// slowNearest finds the least distance by dense sampling, and golden section
// about every sample that is nearer than its neighbours.
func slowNearest(c *Curve, p r2.Vec) float64 {
	m := 1 + 4000/c.N()
	far := func(u float64) float64 { return -r2.Norm(r2.Sub(c.At(u), p)) }
	var params, dist []float64
	eachSpan(c, m, func(u float64) { params, dist = append(params, u), append(dist, -far(u)) })
	least := math.Inf(1)
	lo, hi := c.Period()
	for i, d := range dist {
		n := len(dist)
		before, after := (i+n-1)%n, (i+1)%n
		if d > dist[before] || d > dist[after] {
			continue
		}
		a, b := params[before], params[after]
		if i == 0 {
			a -= hi - lo
		}
		if i == n-1 {
			b += hi - lo
		}
		_, v := goldenMax(far, a, b)
		least = math.Min(least, -v)
	}
	return least
}

// TestNearestAgainstSlow, inside, outside, near the curve and near its evolute.
func TestNearestAgainstSlow(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 1))
	for range 12 {
		c := blob(t, rng, 5+rng.IntN(20))
		lo, hi := c.Period()
		for range 60 {
			u0 := lo + (hi-lo)*rng.Float64()
			p := c.At(u0)
			switch rng.IntN(4) {
			case 0:
				p = r2.Vec{X: 800 * rng.NormFloat64(), Y: 800 * rng.NormFloat64()}
			case 1:
				p = r2.Add(p, r2.Scale(20*rng.NormFloat64(), c.Normal(u0)))
			case 2: // about the centre of curvature
				p = r2.Sub(p, r2.Scale((1+0.01*rng.NormFloat64())/c.Curvature(u0), c.Normal(u0)))
			}
			u, d := c.Nearest(p)
			assert.InDelta(t, math.Abs(d), r2.Norm(r2.Sub(p, c.At(u))), 1e-9)
			assert.InDelta(t, slowNearest(c, p), math.Abs(d), 1e-7)
		}
	}
}

// TestNearestFoot: a point set off along the normal by less than the radius of
// curvature and than half the way across comes back to where it was.
func TestNearestFoot(t *testing.T) {
	c := screen(t)
	eachSpan(c, 4, func(u float64) {
		for _, d := range []float64{-12, -1e-3, 1e-3, 1.5, 20} {
			v, got := c.Nearest(r2.Add(c.At(u), r2.Scale(d, c.Normal(u))))
			assert.InDelta(t, d, got, 1e-9)
			lo, hi := c.Period()
			assert.InDelta(t, 0, math.Remainder(v-u, hi-lo), 1e-6)
		}
	})
}

// TestNearestCircle: on a circle the answer is known, in the centre too.
func TestNearestCircle(t *testing.T) {
	c := roundCurve(t, 300)
	_, d := c.Nearest(r2.Vec{})
	assert.InDelta(t, -300, d, 1e-6)
	for a := 0.05; a < 6.2; a += 0.1 {
		u, d := c.Nearest(r2.Vec{X: 450 * math.Cos(a), Y: 450 * math.Sin(a)})
		assert.InDelta(t, 150, d, 1e-6)
		assert.InDelta(t, a, u, 1e-6)
	}
	_, d = c.Nearest(r2.Vec{X: 1e7})
	assert.InDelta(t, 1e7-300, d, 1e-6)
}

// TestNearestSign agrees with the even-odd rule.
func TestNearestSign(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 2))
	c := randomOutline(t, rng)
	var line Polygon
	for _, u := range c.Flatten(0.001) {
		line = append(line, c.At(u))
	}
	for range 2000 {
		p := r2.Vec{X: 900 * (2*rng.Float64() - 1), Y: 600 * (2*rng.Float64() - 1)}
		if _, d := c.Nearest(p); math.Abs(d) > 0.001 {
			assert.Equal(t, d < 0, line.Contains(p), "%v %g", p, d)
		}
	}
}

func TestNearestNoNumber(t *testing.T) {
	c := roundCurve(t, 300)
	for _, p := range []r2.Vec{{X: math.NaN()}, {Y: math.Inf(1)}, {X: math.Inf(-1), Y: math.NaN()}} {
		assert.NotPanics(t, func() { c.Nearest(p) })
	}
}

// TestCurveConcurrent: several goroutines share a curve from its first use on.
func TestCurveConcurrent(t *testing.T) {
	c := screen(t)
	var wg sync.WaitGroup
	got := make([][3]float64, 8)
	for i := range got {
		wg.Go(func() {
			u, d := c.Nearest(r2.Vec{X: 100, Y: 20})
			got[i] = [3]float64{u, d, c.ParamAt(c.Length() / 3)}
		})
	}
	wg.Wait()
	for _, g := range got {
		require.Equal(t, got[0], g)
	}
}

func BenchmarkNearest(b *testing.B) {
	c := screen(b)
	rng := rand.New(rand.NewPCG(6, 3))
	lo, hi := c.Period()
	near, deep := make([]r2.Vec, 1000), make([]r2.Vec, 1000)
	for i := range near {
		u := lo + (hi-lo)*rng.Float64()
		near[i] = r2.Add(c.At(u), r2.Scale(20*rng.NormFloat64(), c.Normal(u)))
		deep[i] = r2.Vec{X: 1400 * (rng.Float64() - 0.5), Y: 700 * (rng.Float64() - 0.5)}
	}
	for name, pts := range map[string][]r2.Vec{"near": near, "anywhere": deep} {
		b.Run(name, func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				c.Nearest(pts[i%len(pts)])
			}
		})
	}
}
