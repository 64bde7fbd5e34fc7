package look

import (
	"image/color"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestLab: values of the sRGB primaries under D65 as published in many tables
// (B. Lindbloom's calculator); two decimals.
func TestLab(t *testing.T) {
	for _, c := range []struct {
		hex  uint32
		want lab
	}{
		{0xFFFFFF, lab{100, 0, 0}}, {0x000000, lab{0, 0, 0}},
		{0xFF0000, lab{53.24, 80.09, 67.20}}, {0x00FF00, lab{87.73, -86.18, 83.18}}, {0x0000FF, lab{32.30, 79.19, -107.86}},
	} {
		got := labOf(rgb(c.hex))
		assert.Less(t, got.from(c.want), 0.05, "%06X: %v", c.hex, got)
		assert.Equal(t, rgb(c.hex), got.colour(), "and back")
	}
}

// steps are the distances between colours 16 apart along a scale.
func steps(s []color.NRGBA) (out []float64) {
	for i := 16; i < len(s); i += 16 {
		out = append(out, labOf(s[i]).from(labOf(s[i-16])))
	}
	return out
}

func TestRisingIsEvenAndGetsLighter(t *testing.T) {
	s := Rising()
	d := steps(s[:])
	for _, v := range d {
		assert.InEpsilon(t, d[0], v, 0.12, "equal steps to the eye; the chord over a bend of the path is shorter")
	}
	for i := 1; i < len(s); i++ {
		require.GreaterOrEqual(t, labOf(s[i]).l, labOf(s[i-1]).l-0.3, "told by lightness alone")
	}
	assert.Greater(t, labOf(s[255]).l-labOf(s[0]).l, 60.0)
	assert.Equal(t, s[0], s.At(-1))
	assert.Equal(t, s[0], s.At(math.NaN()))
	assert.Equal(t, s[255], s.At(2))
	assert.Equal(t, s[128], s.At(0.5))
}

// dichromat is how a colour looks without red-sensitive (protan) or
// green-sensitive (deutan) cones, in linear light; matrices of G. M. Machado et
// al., A Physiologically-based Model for Simulation of Color Vision Deficiency,
// IEEE TVCG 15 (2009), severity 1 (from memory).
func dichromat(c color.NRGBA, m [3][3]float64) color.NRGBA {
	line := func(v uint8) float64 { return math.Pow(float64(v)/255, 2.2) }
	in := [3]float64{line(c.R), line(c.G), line(c.B)}
	var out [3]uint8
	for i, r := range m {
		v := r[0]*in[0] + r[1]*in[1] + r[2]*in[2]
		out[i] = uint8(math.Pow(min(max(v, 0), 1), 1/2.2)*255 + 0.5)
	}
	return color.NRGBA{out[0], out[1], out[2], 255}
}

var dichromats = map[string][3][3]float64{
	"protan": {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deutan": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
}

// TestSignedIsEvenAndColourBlindSafe: nought has the colour of the board, both
// sides run evenly, and above is told from below without red or green cones.
func TestSignedIsEvenAndColourBlindSafe(t *testing.T) {
	for _, v := range []fyne.ThemeVariant{theme.VariantLight, theme.VariantDark} {
		c := ColoursFor(v, false)
		s := c.Signed()
		assert.Equal(t, c.Board, s[127])
		assert.Equal(t, c.Board, s[128])
		assert.Equal(t, c.Inside, s[0])
		assert.Equal(t, c.Outside, s[255])
		for _, half := range [][]color.NRGBA{s[:128], s[128:]} {
			d := steps(half)
			for _, step := range d {
				assert.InEpsilon(t, d[0], step, 0.1)
			}
		}
		for name, m := range dichromats {
			for _, i := range []int{0, 32, 64, 90} {
				below, above := dichromat(s[i], m), dichromat(s[255-i], m)
				assert.Greater(t, labOf(below).from(labOf(above)), 25.0, "%s, %d steps from the end, theme %d", name, i, v)
			}
		}
	}
}
