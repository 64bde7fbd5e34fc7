//go:build linux

package tone

import (
	"math"
	"time"
)

const (
	rate     = 44100 // samples a second
	loudness = 0.3   // of the loudest there is
	fade     = 10 * time.Millisecond
)

// shape is how a tone sounds: so many of one pitch, with a pause after each.
type shape struct {
	pitch         float64 // Hz
	times         int
	length, pause time.Duration
}

var shapes = map[Kind]shape{
	Good:       {pitch: 1320, times: 1, length: 120 * time.Millisecond},
	Suspicious: {pitch: 330, times: 2, length: 150 * time.Millisecond, pause: 80 * time.Millisecond},
}

// samplesIn is the number of samples in a time.
func samplesIn(d time.Duration) int { return int(d.Seconds() * rate) }

// wave are the samples of a tone, 16 bits each: a sine that swells and dies away
// over the fade, so that nothing clicks. The last sample is 0.
func wave(k Kind) []int16 {
	s := shapes[k]
	n, edge := samplesIn(s.length), float64(samplesIn(fade))
	var out []int16
	for range s.times {
		for i := range n {
			near := math.Min(float64(min(i, n-1-i))/edge, 1) // 0 at both ends, 1 past the fades
			swell := (1 - math.Cos(math.Pi*near)) / 2
			v := loudness * swell * math.Sin(2*math.Pi*s.pitch*float64(i)/rate)
			out = append(out, int16(math.Round(v*math.MaxInt16)))
		}
		out = append(out, make([]int16, samplesIn(s.pause))...)
	}
	return out
}
