package fit

import "math"

// wander is a Gaussian process along a closed way of a given length: how a
// true edge strays from bowed sides and round corners. Its covariance is
// Matérn's of smoothness 5/2 wrapped round the way, written as a Fourier
// series: cosines and sines of k turns whose amplitudes are independent and
// have the variance of the process's spectrum at k (Rasmussen and Williams,
// Gaussian Processes for Machine Learning, 2006, eq. 4.15, from memory). An
// even process has the cosines only, with twice the variance, an odd one the
// sines.
type wander struct {
	amp, reach float64 // mm: sd, and the length over which it forgets
}

// turns is the number of turns beyond which a process of this reach has less
// than a thousandth of its variance; no more than a way of six metres needs.
func turns(length, reach float64) int {
	const (
		last = 4.0 // of the frequency in units of √5/reach
		most = 110
	)
	return int(min(most, math.Ceil(last*math.Sqrt(5)/reach*length/(2*math.Pi))))
}

// spectrum is the variance of the amplitudes of 0, 1, … n turns; those of the
// cosines and the sines of a free process sum up to amp².
func (w wander) spectrum(length float64, n int) []float64 {
	s := make([]float64, n+1)
	var sum float64
	for k := range s {
		omega := 2 * math.Pi * float64(k) / length * w.reach
		s[k] = math.Pow(5+omega*omega, -3)
		if k == 0 {
			s[k] /= 2 // of the two sides of the spectrum
		}
		sum += s[k]
	}
	for k := range s {
		s[k] *= w.amp * w.amp / sum
	}
	return s
}

// waves fills row with one and the cosines of 1, 2, … turns at a position, with
// sines each followed by the sine.
func waves(row []float64, pos, length float64, sines bool) {
	row[0] = 1
	s1, c1 := math.Sincos(2 * math.Pi * pos / length)
	s, c := 0.0, 1.0
	for k := 1; k < len(row); k++ {
		s, c = s*c1+c*s1, c*c1-s*s1
		row[k] = c
		if sines && k+1 < len(row) {
			k++
			row[k] = s
		}
	}
}

// waveSum is the scalar product of amplitudes and waves.
func waveSum(amp []float64, pos, length float64, sines bool) float64 {
	sum := amp[0]
	s1, c1 := math.Sincos(2 * math.Pi * pos / length)
	s, c := 0.0, 1.0
	for k := 1; k < len(amp); k++ {
		s, c = s*c1+c*s1, c*c1-s*s1
		sum += c * amp[k]
		if sines && k+1 < len(amp) {
			k++
			sum += s * amp[k]
		}
	}
	return sum
}

// bump is the swelling of a corner whose arc's middle lies d away along the
// way: one in the middle, none from the ends of the arc on.
func bump(d, half float64) float64 {
	t := d / half
	if t = 1 - t*t; t > 0 {
		return t * t
	}
	return 0
}
