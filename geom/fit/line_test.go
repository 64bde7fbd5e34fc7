package fit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// JCGM 100:2008 (GUM) example H.3, calibration of a thermometer: data and
// results from memory, recomputed with scipy 1.10.1 to the digits given here.
func TestFitLineGUMH3(t *testing.T) {
	x := []float64{21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511}
	y := []float64{-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160}
	for i := range x {
		x[i] -= 20
	}
	l, err := FitLine(x, y, nil)
	require.NoError(t, err)
	const digits = 1e-9 // of the values below
	require.InDelta(t, -0.171203790, l.A, digits)
	require.InDelta(t, 0.00218269774, l.B, digits)
	require.InDelta(t, 0.002877597835, l.UA, digits)
	require.InDelta(t, 0.000667938773, l.UB, digits)
	require.InDelta(t, -0.930429603, l.R, digits)
	require.InDelta(t, 0.003497563964, l.S, digits)
	b, u := l.At(10) // 30 °C
	require.InDelta(t, -0.149376813, b, digits)
	require.InDelta(t, 0.004138595753, u, digits)
}

// NIST StRD "Norris", linear, lower difficulty: data and certified values as
// carried by several public test suites that cite the NIST page.
func TestFitLineNorris(t *testing.T) {
	data := [][2]float64{{0.2, 0.1}, {337.4, 338.8}, {118.2, 118.1}, {884.6, 888.0}, {10.1, 9.2}, {226.5, 228.1},
		{666.3, 668.5}, {996.3, 998.5}, {448.6, 449.1}, {777.0, 778.9}, {558.2, 559.2}, {0.4, 0.3}, {0.6, 0.1},
		{775.5, 778.1}, {666.9, 668.8}, {338.0, 339.3}, {447.5, 448.9}, {11.6, 10.8}, {556.0, 557.7}, {228.1, 228.3},
		{995.8, 998.0}, {887.6, 888.8}, {120.2, 119.6}, {0.3, 0.3}, {0.3, 0.6}, {556.8, 557.6}, {339.1, 339.3},
		{887.2, 888.0}, {999.0, 998.5}, {779.0, 778.9}, {11.1, 10.2}, {118.3, 117.6}, {229.2, 228.9}, {669.1, 668.4},
		{448.9, 449.2}, {0.5, 0.2}}
	var x, y []float64
	for _, p := range data {
		x, y = append(x, p[0]), append(y, p[1])
	}
	l, err := FitLine(x, y, nil)
	require.NoError(t, err)
	const relative = 1e-12
	require.InEpsilon(t, -0.262323073774029, l.A, relative)
	require.InEpsilon(t, 1.00211681802045, l.B, relative)
	require.InEpsilon(t, 0.884796396144373, l.S, relative)
	require.InEpsilon(t, 0.232818234301152, l.UA, relative)
	require.InEpsilon(t, 0.000429796848199937, l.UB, relative)
}

// Weights: a point with half the sd counts as four points.
func TestFitLineWeights(t *testing.T) {
	l, err := FitLine([]float64{0, 1, 2}, []float64{0, 1, 5}, []float64{1, 1, 0.5})
	require.NoError(t, err)
	m, err := FitLine([]float64{0, 1, 2, 2, 2, 2}, []float64{0, 1, 5, 5, 5, 5}, []float64{1, 1, 1, 1, 1, 1})
	require.NoError(t, err)
	require.InDelta(t, m.A, l.A, 1e-13)
	require.InDelta(t, m.B, l.B, 1e-13)
	require.InDelta(t, m.UA, l.UA, 1e-13)
	require.InDelta(t, m.R, l.R, 1e-13)
	_, u0 := l.At(0)
	require.InDelta(t, l.UA, u0, 1e-15)
}

func TestFitLineRefuses(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct{ x, y, sd []float64 }{
		"one point":        {[]float64{1}, []float64{1}, []float64{1}},
		"two without sd":   {[]float64{1, 2}, []float64{1, 2}, nil},
		"lengths":          {[]float64{1, 2}, []float64{1}, nil},
		"one x":            {[]float64{2, 2, 2}, []float64{1, 2, 3}, nil},
		"not a number":     {[]float64{1, 2, 3}, []float64{1, nan, 3}, nil},
		"sd zero":          {[]float64{1, 2}, []float64{1, 2}, []float64{1, 0}},
		"beyond all range": {[]float64{0, 1e200, 2e200}, []float64{1, 2, 1e300}, nil},
	} {
		_, err := FitLine(c.x, c.y, c.sd)
		require.Error(t, err, name)
	}
}
