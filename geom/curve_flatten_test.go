package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// TestFlattenSag: no point is further from its chord than asked, and not many
// more parameters are used than needed.
func TestFlattenSag(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	curves := []*Curve{screen(t), ellipse(t, 700, 400, 12), randomOutline(t, rng), blob(t, rng, 8)}
	for _, c := range curves {
		lo, hi := c.Period()
		for _, sag := range []float64{1, 0.05, 0.002} {
			params := c.Flatten(sag)
			require.Equal(t, lo, params[0])
			worst := 0.0
			for i, u := range params {
				v := hi
				if i+1 < len(params) {
					v = params[i+1]
				}
				require.Greater(t, v, u)
				for k := 1; k < 8; k++ {
					worst = math.Max(worst, toSegment(c.At(u+(v-u)*float64(k)/8), c.At(u), c.At(v)))
				}
			}
			assert.LessOrEqual(t, worst, sag*(1+1e-6))
			if sag < 0.01 {
				assert.Greater(t, worst, 0.5*sag)
			}
		}
	}
}

// TestFlattenChord: radius 40 and sag 0.05 allow chords of 3.99875 mm.
func TestFlattenChord(t *testing.T) {
	const most = 3.99875
	c, err := FitClosed(func(u float64) r2.Vec {
		return r2.Vec{X: 40 * math.Cos(u), Y: 40 * math.Sin(u)}
	}, []float64{0, 2 * math.Pi}, 0.01)
	require.NoError(t, err)
	params := c.Flatten(0.05)
	for i, u := range params[1:] {
		assert.LessOrEqual(t, r2.Norm(r2.Sub(c.At(u), c.At(params[i]))), most*1.01)
	}
	assert.LessOrEqual(t, float64(len(params)), 1.3*2*math.Pi*40/most)
}

func TestFlattenSymmetric(t *testing.T) {
	c := screen(t)
	lo, hi := c.Period()
	for sag := 1.0; sag > 1e-3; sag /= 1.7 {
		params := c.Flatten(sag)
		n := len(params)
		for i := 1; i < n; i++ {
			assert.InDelta(t, params[i]-lo, hi-params[n-i], 1e-9, "sag %g", sag)
		}
	}
}

func TestFlattenNoSag(t *testing.T) {
	for _, sag := range []float64{0, -1, math.NaN()} {
		assert.Nil(t, roundCurve(t, 10).Flatten(sag))
	}
	assert.NotEmpty(t, roundCurve(t, 10).Flatten(math.Inf(1)))
}

func TestCurveIsSimple(t *testing.T) {
	assert.NoError(t, screen(t).IsSimple())
	assert.NoError(t, ellipse(t, 700, 400, 30).IsSimple())

	// A limaçon crosses itself in the origin and encloses a positive area.
	params, pts := make([]float64, 41), make([]r2.Vec, 40)
	for i := range params {
		a := 2 * math.Pi * float64(i) / 40
		params[i] = a
		if i < 40 {
			r := 100 * (1 + 2*math.Cos(a))
			pts[i] = r2.Vec{X: r * math.Cos(a), Y: r * math.Sin(a)}
		}
	}
	c, err := InterpolateClosed(params, pts)
	require.NoError(t, err)
	var crossing *CrossingError
	require.ErrorAs(t, c.IsSimple(), &crossing)
	assertVec(t, r2.Vec{}, crossing.At, 0.1)
	for _, span := range crossing.Edges {
		assertVec(t, r2.Vec{}, c.At(c.u[span]), 40, "the span is named")
	}
}

func BenchmarkFlatten(b *testing.B) {
	c := screen(b)
	for b.Loop() {
		c.Flatten(0.01)
	}
}

func BenchmarkIsSimple(b *testing.B) {
	c := screen(b)
	for b.Loop() {
		if err := c.IsSimple(); err != nil {
			b.Fatal(err)
		}
	}
}
