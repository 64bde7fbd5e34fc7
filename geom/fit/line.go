package fit

import (
	"errors"
	"fmt"
	"math"
)

// Line is the straight line y = A + B·x fitted to points.
type Line struct {
	A, B   float64 // intercept and slope
	UA, UB float64 // their standard uncertainties
	R      float64 // correlation of A and B, -1 … 1
	S      float64 // residual standard deviation: in units of y where no sd was given, else in units of sd
}

// FitLine fits a straight line to the points (x, y) by least squares in y,
// each point weighted with 1/sd². With sd nil all points count alike and the
// uncertainties come from the scatter, S; otherwise they come from sd, and S
// near 1 says that scatter and sd agree.
//
// It needs two different x, and three points where sd is nil. The sums are
// taken about the weighted mean, so the result is good to about 1e-13 of its
// size. Source: JCGM 100:2008 (GUM), example H.3.
func FitLine(x, y, sd []float64) (Line, error) {
	n := len(x)
	if len(y) != n || (sd != nil && len(sd) != n) {
		return Line{}, fmt.Errorf("fit: line: %d x, %d y and %d sd do not match", n, len(y), len(sd))
	}
	if n < 2 || (sd == nil && n < 3) {
		return Line{}, errors.New("fit: line: too few points")
	}
	w := make([]float64, n)
	var sw, mx, my float64
	for i := range x {
		w[i] = 1
		if sd != nil {
			if !(sd[i] > 0) || math.IsInf(sd[i], 0) {
				return Line{}, fmt.Errorf("fit: line: point %d: its sd must be above zero", i)
			}
			w[i] = 1 / (sd[i] * sd[i])
		}
		if !finite(x[i]) || !finite(y[i]) {
			return Line{}, fmt.Errorf("fit: line: point %d is not a number", i)
		}
		sw += w[i]
		mx += w[i] * x[i]
		my += w[i] * y[i]
	}
	mx, my = mx/sw, my/sw
	var sxx, sxy, spread float64
	for i := range x {
		sxx += w[i] * (x[i] - mx) * (x[i] - mx)
		sxy += w[i] * (x[i] - mx) * (y[i] - my)
		spread = max(spread, math.Abs(x[i]-mx))
	}
	if spread <= 1e-12*math.Abs(mx) || sxx == 0 {
		return Line{}, errors.New("fit: line: all points have one x")
	}
	l := Line{B: sxy / sxx}
	l.A = my - l.B*mx
	var rss float64
	for i := range x {
		r := y[i] - my - l.B*(x[i]-mx)
		rss += w[i] * r * r
	}
	if n > 2 {
		l.S = math.Sqrt(rss / float64(n-2))
	}
	s := 1.0
	if sd == nil {
		s = l.S
	}
	l.UA = s * math.Sqrt(1/sw+mx*mx/sxx)
	l.UB = s / math.Sqrt(sxx)
	l.R = -mx / math.Sqrt(sxx/sw+mx*mx)
	if !finite(l.A) || !finite(l.B) || !finite(l.UA) {
		return Line{}, errors.New("fit: line: points too far apart for a line")
	}
	return l, nil
}

// At is the line's height at x and its standard uncertainty.
func (l Line) At(x float64) (y, u float64) {
	v := l.UA*l.UA + 2*x*l.R*l.UA*l.UB + x*x*l.UB*l.UB
	return l.A + l.B*x, math.Sqrt(max(0, v))
}

// finite reports whether v is neither infinite nor NaN.
func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
