package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// TestIntegrate8 is exact up to degree 15 and not beyond.
func TestIntegrate8(t *testing.T) {
	for d := range 17 {
		got := integrate8(func(x float64) float64 { return math.Pow(x, float64(d)) }, 0, 2)
		want := math.Pow(2, float64(d+1)) / float64(d+1)
		if d <= 15 {
			assert.InEpsilon(t, want, got, 1e-14, "degree %d", d)
		} else {
			assert.Greater(t, math.Abs(got-want), 1e-10*want, "degree %d", d)
		}
	}
}

// TestEllipsePerimeter: half axes 700 and 400, the published value.
func TestEllipsePerimeter(t *testing.T) {
	c := ellipse(t, 700, 400, 720)
	assert.InEpsilon(t, 3520.316219729, c.Length(), 1e-9)
	assert.InEpsilon(t, 879645.943005, c.Area(), 1e-9)
}

// TestLengthAgainstChords: a fine polygon's perimeter approaches the length
// from below.
func TestLengthAgainstChords(t *testing.T) {
	for seed := range uint64(5) {
		c := blob(t, rand.New(rand.NewPCG(4, seed)), 15)
		var line Polygon
		eachSpan(c, 4000, func(u float64) { line = append(line, c.At(u)) })
		sum := line.Perimeter()
		assert.LessOrEqual(t, sum, c.Length())
		assert.InEpsilon(t, sum, c.Length(), 1e-7)
	}
}

// TestParamAtInverse, also before the start and over several turns.
func TestParamAtInverse(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 10))
	for range 20 {
		c := blob(t, rng, 6+rng.IntN(20))
		l := c.Length()
		last := math.Inf(-1)
		for s := -1.5 * l; s < 2.5*l; s += 0.0311 * l {
			u := c.ParamAt(s)
			assert.Greater(t, u, last)
			assert.InDelta(t, s, c.LengthTo(u), 1e-9*l)
			last = u
		}
	}
}

func TestLengthEnds(t *testing.T) {
	c := screen(t)
	lo, hi := c.Period()
	assert.Zero(t, c.LengthTo(lo))
	assert.InDelta(t, c.Length(), c.LengthTo(hi), 1e-9)
	assert.InDelta(t, lo, c.ParamAt(0), 1e-12)
	assert.InDelta(t, hi, c.ParamAt(c.Length()), 1e-9)
	assert.InDelta(t, -10, c.LengthTo(c.ParamAt(-10)), 1e-9)
}

// TestLengthThroughCusp: where the curve stands still the integrand is not
// smooth; the halving sees to it.
func TestLengthThroughCusp(t *testing.T) {
	p := r2.Vec{X: 500, Y: 0}
	c, err := NewCurve([]float64{0, 1, 2, 3, 4, 5, 6}, []r2.Vec{{X: 0, Y: -300}, p, p, p, {X: 0, Y: 300}, {X: -400}})
	require.NoError(t, err)
	var line Polygon
	eachSpan(c, 50000, func(u float64) { line = append(line, c.At(u)) })
	assert.InEpsilon(t, line.Perimeter(), c.Length(), 1e-8)
}

// TestCircleSegment: chord 21 and rise 6 belong to radius 12.1875 and arc
// 25.308373 (published worked example, a mathematics program's help page
// "Circular sections").
func TestCircleSegment(t *testing.T) {
	const r = 12.1875
	c := roundCurve(t, r)
	assert.InEpsilon(t, 466.63696, c.Area(), 1e-7)
	a, b := c.At(c.ParamAt(0)), c.At(c.ParamAt(25.308373))
	top := c.At(c.ParamAt(25.308373 / 2))
	assert.InDelta(t, 21, r2.Norm(r2.Sub(b, a)), 1e-5)
	assert.InDelta(t, 6, toSegment(top, a, b), 1e-5)

	segment := Polygon{a}
	for s := 0.0; s < 25.308373; s += 0.001 {
		segment = append(segment, c.At(c.ParamAt(s)))
	}
	assert.InEpsilon(t, 89.254148, append(segment, b).Area(), 1e-6)
}

// roundCurve returns a circle about the origin to 1e-8 mm.
func roundCurve(t testing.TB, r float64) *Curve {
	t.Helper()
	c, err := FitClosed(func(u float64) r2.Vec {
		return r2.Vec{X: r * math.Cos(u), Y: r * math.Sin(u)}
	}, []float64{0, math.Pi / 2, math.Pi, 3 * math.Pi / 2, 2 * math.Pi}, 1e-8)
	require.NoError(t, err)
	return c
}

func BenchmarkParamAt(b *testing.B) {
	c := screen(b)
	l := c.Length()
	for i := 0; b.Loop(); i++ {
		c.ParamAt(l * float64(i%97) / 97)
	}
}
