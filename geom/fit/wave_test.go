package fit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// The Fourier series has Matérn's covariance of smoothness 5/2 (Rasmussen and
// Williams, eq. 4.17, from memory), wrapped round the way.
func TestWanderCovariance(t *testing.T) {
	const length, amp, reach = 3000.0, 1.3, 150.0
	w := wander{amp, reach}
	n := turns(length, reach)
	spectrum := w.spectrum(length, n)
	covariance := func(d float64) (v float64) {
		for k, s := range spectrum {
			v += s * math.Cos(2*math.Pi*float64(k)*d/length)
		}
		return v
	}
	matern := func(d float64) float64 {
		r := math.Sqrt(5) * d / reach
		return amp * amp * (1 + r + r*r/3) * math.Exp(-r)
	}
	for _, d := range []float64{0, 20, 75, 150, 300, 600, 1500} {
		require.InDelta(t, matern(d), covariance(d), 0.003*amp*amp, "%g mm apart", d)
	}
}

// Even waves are even, odd ones odd, and the sum is the scalar product.
func TestWaves(t *testing.T) {
	const length = 2000.0
	amp := []float64{0.3, -0.2, 0.5, 0.1, 0.7, -0.4, 0.2}
	for _, sines := range []bool{false, true} {
		for _, pos := range []float64{0, 13, 700, 1999} {
			row, back := make([]float64, len(amp)), make([]float64, len(amp))
			waves(row, pos, length, sines)
			waves(back, length-pos, length, sines)
			require.InDelta(t, dot(row, amp), waveSum(amp, pos, length, sines), 1e-12)
			for k := range row {
				sign := 1.0
				if sines && k > 0 && k%2 == 0 {
					sign = -1
				}
				require.InDelta(t, row[k], sign*back[k], 1e-9)
			}
		}
	}
	row := make([]float64, 5)
	waves(row, length/8, length, true)
	require.InDeltaSlice(t, []float64{1, math.Sqrt(0.5), math.Sqrt(0.5), 0, 1}, row, 1e-12)
}

func TestBump(t *testing.T) {
	require.Equal(t, 1.0, bump(0, 30))
	require.Equal(t, 0.0, bump(30, 30))
	require.Equal(t, 0.0, bump(1e4, 30))
	require.InDelta(t, 0.5625, bump(15, 30), 1e-12)
}
