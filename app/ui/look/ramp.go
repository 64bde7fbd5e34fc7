package look

import (
	"image/color"
	"math"
)

// Ramp is the colours of a map from its least to its greatest value, in steps
// that look equally large: equal distances in CIE L*a*b* (1976).
type Ramp [256]color.NRGBA

// At is the colour a share f of the way up the scale, 0 to 1.
func (s *Ramp) At(f float64) color.NRGBA {
	if !(f > 0) {
		return s[0]
	}
	return s[min(int(f*float64(len(s))), len(s)-1)]
}

// Rising is the scale of what has no sign: dark to light throughout, so that it
// is told without seeing its hues.
func Rising() *Ramp { return rising }

// Signed is the scale of what has a sign: blue below, orange above, the colour of
// the board at nought in the middle.
func (c Colours) Signed() *Ramp {
	var s Ramp
	half := len(s) / 2
	copy(s[:half], even(half, c.Inside, paler(c.Inside, c.Board), c.Board))
	copy(s[half:], even(half, c.Board, paler(c.Outside, c.Board), c.Outside))
	return &s
}

var rising = func() *Ramp {
	var s Ramp
	copy(s[:], even(len(s), rgb(0x1B2C5E), rgb(0x2C6C8C), rgb(0x7DAA8A), rgb(0xF2E6B6)))
	return &s
}()

// paler is half-way between two colours as the eye has it.
func paler(a, b color.NRGBA) color.NRGBA { return mixLab(labOf(a), labOf(b), 0.5).colour() }

// even is n colours from the first to the last through those between, equally far
// from one another to the eye.
func even(n int, through ...color.NRGBA) []color.NRGBA {
	const parts = 64 // of a stretch between two colours
	at := []lab{labOf(through[0])}
	far := []float64{0}
	for k := range through[1:] {
		a, b := labOf(through[k]), labOf(through[k+1])
		for i := 1; i <= parts; i++ {
			p := mixLab(a, b, float64(i)/parts)
			far = append(far, far[len(far)-1]+p.from(at[len(at)-1]))
			at = append(at, p)
		}
	}
	out := make([]color.NRGBA, n)
	k := 0
	for i := range out {
		d := far[len(far)-1] * float64(i) / float64(n-1)
		for k < len(far)-2 && far[k+1] < d {
			k++
		}
		out[i] = mixLab(at[k], at[k+1], (d-far[k])/math.Max(far[k+1]-far[k], 1e-12)).colour()
	}
	return out
}

// lab is a colour in CIE L*a*b* for daylight D65; sRGB as IEC 61966-2-1 has it.
type lab struct{ l, a, b float64 }

// white is the white of D65, CIE 1931 2°.
var white = [3]float64{0.95047, 1, 1.08883}

func labOf(c color.NRGBA) lab {
	line := func(v uint8) float64 {
		f := float64(v) / 255
		if f <= 0.04045 {
			return f / 12.92
		}
		return math.Pow((f+0.055)/1.055, 2.4)
	}
	r, g, b := line(c.R), line(c.G), line(c.B)
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((0.4124564*r + 0.3575761*g + 0.1804375*b) / white[0])
	y := f((0.2126729*r + 0.7151522*g + 0.0721750*b) / white[1])
	z := f((0.0193339*r + 0.1191920*g + 0.9503041*b) / white[2])
	return lab{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

func (p lab) colour() color.NRGBA {
	f := func(t float64) float64 {
		if t3 := t * t * t; t3 > 216.0/24389 {
			return t3
		}
		return (116*t - 16) * 27 / 24389
	}
	fy := (p.l + 16) / 116
	x, y, z := white[0]*f(fy+p.a/500), white[1]*f(fy), white[2]*f(fy-p.b/200)
	byteOf := func(v float64) uint8 {
		if v <= 0.0031308 {
			v *= 12.92
		} else {
			v = 1.055*math.Pow(v, 1/2.4) - 0.055
		}
		return uint8(math.Min(math.Max(v, 0), 1)*255 + 0.5)
	}
	return color.NRGBA{
		byteOf(3.2404542*x - 1.5371385*y - 0.4985314*z),
		byteOf(-0.9692660*x + 1.8760108*y + 0.0415560*z),
		byteOf(0.0556434*x - 0.2040259*y + 1.0572252*z), 255,
	}
}

// from is how far two colours lie apart to the eye.
func (p lab) from(q lab) float64 {
	return math.Sqrt((p.l-q.l)*(p.l-q.l) + (p.a-q.a)*(p.a-q.a) + (p.b-q.b)*(p.b-q.b))
}

func mixLab(p, q lab, f float64) lab {
	return lab{p.l + f*(q.l-p.l), p.a + f*(q.a-p.a), p.b + f*(q.b-p.b)}
}
