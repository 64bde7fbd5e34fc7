//go:build linux

package tone

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// part is the share of the energy of samples that lies at a pitch in Hz: 1 for a
// pure tone of many periods (Fourier's sum at that one pitch).
func part(samples []int16, pitch float64) float64 {
	var re, im, all float64
	for i, v := range samples {
		a := 2 * math.Pi * pitch * float64(i) / rate
		re += float64(v) * math.Cos(a)
		im += float64(v) * math.Sin(a)
		all += float64(v) * float64(v)
	}
	return 2 * (re*re + im*im) / (all * float64(len(samples)))
}

func TestWaveInClosedForm(t *testing.T) {
	for k, want := range map[Kind]shape{
		Good:       {1320, 1, 120 * time.Millisecond, 0},
		Suspicious: {330, 2, 150 * time.Millisecond, 80 * time.Millisecond},
	} {
		w := wave(k)
		n, gap, edge := samplesIn(want.length), samplesIn(want.pause), samplesIn(fade)
		require.Len(t, w, want.times*(n+gap))
		for i := range want.times {
			one := w[i*(n+gap):][:n]
			full := func(i int) float64 {
				return loudness * math.MaxInt16 * math.Sin(2*math.Pi*want.pitch*float64(i)/rate)
			}
			assert.Zero(t, one[0])
			assert.Zero(t, one[n-1])
			assert.InDelta(t, full(n/2), one[n/2], 0.5, "past the fades it is a plain sine, to half a step")
			assert.InDelta(t, full(edge/2)*(1-math.Cos(math.Pi*float64(edge/2)/float64(edge)))/2, one[edge/2], 0.5, "half way up the fade")
			held := one[edge : n-edge]
			assert.InDelta(t, 1, part(held, want.pitch), 0.01)
			assert.Less(t, part(held, 2*want.pitch), 0.001)
			for _, v := range w[i*(n+gap)+n:][:gap] {
				assert.Zero(t, v, "quiet between")
			}
		}
	}
}

// TestWaveDoesNotClick: no step from one sample to the next is larger than that of
// the full sine where it is steepest, with one step of rounding, and the first
// millisecond is all but silent.
func TestWaveDoesNotClick(t *testing.T) {
	for k, s := range shapes {
		w := wave(k)
		steepest := loudness * math.MaxInt16 * 2 * math.Pi * s.pitch / rate
		before := int16(0)
		for i, v := range append(w, 0) {
			assert.LessOrEqual(t, math.Abs(float64(v)-float64(before)), steepest+1, "sample %d", i)
			assert.LessOrEqual(t, math.Abs(float64(v)), loudness*math.MaxInt16+0.5)
			before = v
		}
		for _, v := range w[:samplesIn(time.Millisecond)] {
			assert.Less(t, math.Abs(float64(v)), 0.03*loudness*math.MaxInt16)
		}
	}
}
