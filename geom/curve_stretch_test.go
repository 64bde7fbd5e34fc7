package geom

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// clampedAt evaluates an open B-spline.
func clampedAt(knots []float64, ctrl []r2.Vec, u float64) (p r2.Vec) {
	first, b, _, _, _ := ClampedBasis(knots, u)
	for k, w := range b {
		p = r2.Add(p, r2.Scale(w, ctrl[first+k]))
	}
	return p
}

// TestStretch: the curve cut in two anywhere, at knots too, is the curve: point by
// point, and its pieces share their ends exactly.
func TestStretch(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	for range 40 {
		c := blob(t, rng, 5+rng.IntN(30))
		lo, hi := c.Period()
		period := hi - lo
		cuts := []float64{lo + period*rng.Float64(), lo + period*rng.Float64()}
		switch rng.IntN(4) {
		case 0:
			cuts[0] = c.Knots()[rng.IntN(c.N())]
		case 1:
			cuts[1] = cuts[0] + 3*period // once round
		case 2:
			cuts[0] = lo
		}
		for i := range cuts {
			from, to := cuts[i], cuts[1-i]
			knots, ctrl := c.Stretch(from, to)
			require.Len(t, knots, len(ctrl)+4)
			a, b := knots[0], knots[len(knots)-1]
			assert.Equal(t, from, a)
			assert.Equal(t, c.At(from), ctrl[0])
			assert.Equal(t, c.At(b), ctrl[len(ctrl)-1])
			assert.InDelta(t, 0, r2.Norm(r2.Sub(c.At(to), ctrl[len(ctrl)-1])), 1e-9)
			for k := 4; k < len(knots)-3; k++ {
				assert.Greater(t, knots[k], knots[k-1], "single inner knots")
			}
			for range 50 {
				u := a + (b-a)*rng.Float64()
				assert.InDelta(t, 0, r2.Norm(r2.Sub(c.At(u), clampedAt(knots, ctrl, u))), 1e-9, "mm")
			}
		}
	}
}

// TestStretchOnceRound is the clamped form where it begins at the first knot.
func TestStretchOnceRound(t *testing.T) {
	c := roundCurve(t, 300)
	lo, hi := c.Period()
	knots, ctrl := c.Stretch(lo, hi)
	wantKnots, wantCtrl := c.Clamped()
	assert.InDeltaSlice(t, wantKnots, knots, 1e-12)
	require.Len(t, ctrl, len(wantCtrl))
	for i := range ctrl {
		assert.InDelta(t, 0, r2.Norm(r2.Sub(wantCtrl[i], ctrl[i])), 1e-9)
	}
}
