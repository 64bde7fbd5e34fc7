package geom

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

var unevenKnots = []float64{-740, -740, -740, -740, -600, -390, -200, 10, 130, 400, 610, 740, 740, 740, 740}

// paneBox is the plan of a large windscreen.
var paneBox = r2.Box{Min: r2.Vec{X: -740, Y: -395}, Max: r2.Vec{X: 740, Y: 395}}

func TestClampedBasisProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	g := Greville(unevenKnots)
	require.Len(t, g, len(unevenKnots)-4)
	for range 300 {
		x := -900 + 1800*rng.Float64() // beyond the ends too
		first, b, db, ddb, dddb := ClampedBasis(unevenKnots, x)
		require.True(t, first >= 0 && first+4 <= len(g))
		var one, x0, x1, x2 float64
		for k := range b {
			one += b[k]
			x0 += b[k] * g[first+k]
			x1 += db[k] * g[first+k]
			x2 += ddb[k] * g[first+k]
		}
		assert.InDelta(t, 1, one, 1e-13)
		assert.InDelta(t, x, x0, 1e-10, "Greville abscissae give x = u")
		assert.InDelta(t, 1, x1, 1e-12)
		assert.InDelta(t, 0, x2, 1e-12)

		const h = 1e-3 // one span holds x - h … x + h nearly always
		fa, a, da, dda, _ := ClampedBasis(unevenKnots, x-h)
		fb, c, dc, ddc, _ := ClampedBasis(unevenKnots, x+h)
		if fa != first || fb != first {
			continue
		}
		for k := range b {
			assert.InDelta(t, (c[k]-a[k])/(2*h), db[k], 1e-9)
			assert.InDelta(t, (dc[k]-da[k])/(2*h), ddb[k], 1e-11)
			if math.Abs(x) < 739 {
				assert.InDelta(t, (ddc[k]-dda[k])/(2*h), dddb[k], 1e-12)
			}
			if math.Abs(x) <= 740 {
				assert.GreaterOrEqual(t, b[k], 0.0)
			}
		}
	}
}

// Beyond the ends value and two derivatives join.
func TestClampedBasisContinuation(t *testing.T) {
	for _, end := range []float64{-740, 740} {
		f0, b0, d0, e0, _ := ClampedBasis(unevenKnots, end)
		f1, b1, d1, e1, j1 := ClampedBasis(unevenKnots, end+math.Copysign(1e-9, end))
		require.Equal(t, f0, f1)
		for k := range b0 {
			assert.InDelta(t, b0[k], b1[k], 1e-10)
			assert.InDelta(t, d0[k], d1[k], 1e-11)
			assert.InDelta(t, e0[k], e1[k], 1e-13)
		}
		assert.Equal(t, [4]float64{}, j1)
	}
	_, b, _, _, _ := ClampedBasis(unevenKnots, math.NaN())
	assert.True(t, math.IsNaN(b[0]))
}

// Quadratics come back exactly, and so do bicubics; inside the box and, for
// quadratics, far outside.
func TestFaceThroughReproduces(t *testing.T) {
	const tol = 2e-11 // mm, of heights up to 300
	q := quadric{97, 0.02, -0.3, -1. / 5800, 3e-5, -1. / 11000}
	f, err := FaceThrough(q, paneBox, 110)
	require.NoError(t, err)
	rng := rand.New(rand.NewPCG(7, 8))
	for range 200 {
		x, y := 1600*rng.Float64()-800, 900*rng.Float64()-450
		want, got := q.Eval(x, y), f.Eval(x, y)
		assert.InDelta(t, want.Z, got.Z, 5*tol)
		assert.InDelta(t, want.Zx, got.Zx, tol)
		assert.InDelta(t, want.Zy, got.Zy, tol)
		assert.InDelta(t, want.Zxx, got.Zxx, tol/10)
		assert.InDelta(t, want.Zxy, got.Zxy, tol/10)
		assert.InDelta(t, want.Zyy, got.Zyy, tol/10)
		assert.InDelta(t, got.Z, f.At(x, y), 1e-12)
	}
	cubic := numeric{func(x, y float64) float64 { return 5 + 1e-8*x*x*x - 2e-8*y*y*y + 1e-11*x*x*x*y*y - 1e-5*x*y }}
	f, err = FaceThrough(cubic, paneBox, 200)
	require.NoError(t, err)
	for range 100 {
		x, y := 1480*rng.Float64()-740, 790*rng.Float64()-395
		assert.InDelta(t, cubic.f(x, y), f.At(x, y), tol)
	}
}

// The error against a smooth face falls with the fourth power of the pitch.
func TestFaceThroughConverges(t *testing.T) {
	s := ball{r: 1400, up: 1}
	worst := func(pitch float64) float64 {
		f, err := FaceThrough(s, paneBox, pitch)
		require.NoError(t, err)
		e := 0.0
		for i := range 60 {
			for j := range 40 {
				x, y := -740+1480*(float64(i)+0.3)/60, -395+790*(float64(j)+0.6)/40
				e = max(e, math.Abs(f.At(x, y)-s.Eval(x, y).Z))
			}
		}
		return e
	}
	coarse, fine := worst(120), worst(30)
	assert.Less(t, fine, coarse/100)
	assert.Less(t, fine, 2e-4, "mm")
}

func TestFaceDerivatives(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 1))
	ky := []float64{-400, -400, -400, -400, -120, 60, 400, 400, 400, 400}
	c := make([]float64, 11*6)
	for i := range c {
		c[i] = 100 * rng.Float64()
	}
	f, err := NewFace(unevenKnots, ky, c)
	require.NoError(t, err)
	nx, ny := f.Size()
	assert.Equal(t, [2]int{11, 6}, [2]int{nx, ny})
	const h = 1e-3
	for range 200 {
		x, y := 1700*rng.Float64()-850, 960*rng.Float64()-480
		e := f.Eval(x, y)
		xm, xp, ym, yp := f.Eval(x-h, y), f.Eval(x+h, y), f.Eval(x, y-h), f.Eval(x, y+h)
		assert.InDelta(t, (xp.Z-xm.Z)/(2*h), e.Zx, 1e-6)
		assert.InDelta(t, (yp.Z-ym.Z)/(2*h), e.Zy, 1e-6)
		assert.InDelta(t, (xp.Zx-xm.Zx)/(2*h), e.Zxx, 1e-6)
		assert.InDelta(t, (yp.Zx-ym.Zx)/(2*h), e.Zxy, 1e-6)
		assert.InDelta(t, (xp.Zy-xm.Zy)/(2*h), e.Zxy, 1e-6)
		assert.InDelta(t, (yp.Zy-ym.Zy)/(2*h), e.Zyy, 1e-6)
		// Where the curvature jumps by rounding only: two continuous derivatives.
		assert.InDelta(t, xp.Zxx, xm.Zxx, 1e-4)
	}
}

// The corners are the corner control points, and the control net bounds the
// face (convex hull).
func TestFaceControlPoints(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 9))
	k := []float64{0, 0, 0, 0, 10, 25, 25.5, 40, 40, 40, 40}
	c := make([]float64, 49)
	for i := range c {
		c[i] = rng.NormFloat64()
	}
	f, err := NewFace(k, k, c)
	require.NoError(t, err)
	assert.Equal(t, r2.Box{Max: r2.Vec{X: 40, Y: 40}}, f.Box())
	assert.InDelta(t, c[0], f.At(0, 0), 1e-15)
	assert.InDelta(t, c[6], f.At(0, 40), 1e-15, "the second index runs along y")
	assert.InDelta(t, c[42], f.At(40, 0), 1e-15)
	assert.InDelta(t, c[48], f.At(40, 40), 1e-15)
}

func TestFaceIsNotShared(t *testing.T) {
	k := []float64{0, 0, 0, 0, 1, 1, 1, 1}
	c := make([]float64, 16)
	f, err := NewFace(k, k, c)
	require.NoError(t, err)
	c[0], k[0] = 9, 9
	f.Coeffs()[0] = 9
	f.XKnots()[0] = 9
	f.YKnots()[0] = 9
	assert.Equal(t, 0.0, f.At(0, 0))
}

func TestFaceShifted(t *testing.T) {
	f, err := FaceThrough(ball{r: 2900, up: 1}, paneBox, 110)
	require.NoError(t, err)
	g := f.Shifted(12, -30, 4)
	for _, q := range []r2.Vec{{}, {X: 700, Y: 300}, {X: -760, Y: 420}} {
		a, b := f.Eval(q.X, q.Y), g.Eval(q.X+12, q.Y-30)
		assert.InDelta(t, a.Z+4, b.Z, 1e-10)
		assert.InDelta(t, a.Zx, b.Zx, 1e-13)
		assert.InDelta(t, a.Zyy, b.Zyy, 1e-15)
	}
}

// A face even in x comes from knots and control points even in x.
func TestFaceThroughStaysMirrored(t *testing.T) {
	f, err := FaceThrough(quadric{3, 0, 0.2, -2e-4, 0, -1e-4}, paneBox, 97)
	require.NoError(t, err)
	k, c := f.XKnots(), f.Coeffs()
	nx, ny := f.Size()
	for i := range k {
		assert.Equal(t, -k[i], k[len(k)-1-i])
	}
	for i := range nx {
		for j := range ny {
			assert.InDelta(t, c[i*ny+j], c[(nx-1-i)*ny+j], 1e-11)
		}
	}
}

func TestNewFaceRefuses(t *testing.T) {
	k := []float64{0, 0, 0, 0, 1, 2, 2, 2, 2}
	good := make([]float64, 25)
	bad := func(i int, v float64) []float64 {
		c := make([]float64, 25)
		c[i] = v
		return c
	}
	for _, c := range []struct {
		name    string
		x, y, c []float64
		says    string
	}{
		{"no knots", nil, k, good, "x knots: 0"},
		{"too few knots", k, k[:7], good, "y knots: 7"},
		{"not clamped", []float64{0, 0, 0, 0.5, 1, 2, 2, 2, 2}, k, good, "clamped"},
		{"not clamped at the end", []float64{0, 0, 0, 0, 1, 2, 2, 2, 3}, k, good, "clamped"},
		{"falling", []float64{0, 0, 0, 0, -1, 2, 2, 2, 2}, k, good, "rise"},
		{"double inner knot", []float64{0, 0, 0, 0, 1, 1, 2, 2, 2, 2}, k, good, "rise"},
		{"no span", []float64{1, 1, 1, 1, 1, 1, 1, 1}, k, good, "rise"},
		{"knot not a number", k, []float64{0, 0, 0, 0, math.NaN(), 2, 2, 2, 2}, good, "y knot 4"},
		{"coefficients short", k, k, good[:24], "24 coefficients"},
		{"coefficient not a number", k, k, bad(7, math.NaN()), "coefficient 1,2"},
		{"coefficient without bound", k, k, bad(24, math.Inf(1)), "coefficient 4,4"},
	} {
		_, err := NewFace(c.x, c.y, c.c)
		assert.ErrorContains(t, err, c.says, c.name)
		assert.ErrorContains(t, err, "geom: ", c.name)
	}
}

func TestFaceThroughRefuses(t *testing.T) {
	flat := quadric{}
	for name, err := range map[string]error{
		"pitch 0":       second(FaceThrough(flat, paneBox, 0)),
		"pitch NaN":     second(FaceThrough(flat, paneBox, math.NaN())),
		"empty box":     second(FaceThrough(flat, r2.Box{}, 10)),
		"box NaN":       second(FaceThrough(flat, r2.Box{Max: r2.Vec{X: math.NaN(), Y: 1}}, 10)),
		"too fine":      second(FaceThrough(flat, paneBox, 1e-3)),
		"not all there": second(FaceThrough(ball{r: 500, up: 1}, paneBox, 100)),
	} {
		assert.Error(t, err, name)
	}
}

func second[T any](_ T, err error) error { return err }

// FuzzNewFace: whatever the numbers, NewFace refuses or gives a face that is
// finite in its box.
func FuzzNewFace(f *testing.F) {
	f.Add([]byte("seed"), uint8(8), uint8(8))
	f.Add(binary.LittleEndian.AppendUint64(nil, math.Float64bits(math.NaN())), uint8(9), uint8(8))
	f.Add(binary.LittleEndian.AppendUint64(nil, math.Float64bits(1e300)), uint8(12), uint8(10))
	f.Fuzz(func(t *testing.T, data []byte, nx, ny uint8) {
		rest := data
		number := func() float64 {
			if len(rest) < 8 {
				rest = append(rest, 0, 0, 0, 0, 0, 0, 0, 0)
			}
			v := math.Float64frombits(binary.LittleEndian.Uint64(rest))
			rest = rest[8:]
			return v
		}
		clamped := func(n uint8) []float64 {
			k := make([]float64, n%16)
			for i := range k {
				if i > 0 {
					k[i] = k[i-1]
				}
				if i == 0 || i >= 4 && i <= len(k)-4 {
					k[i] += number()
				}
			}
			return k
		}
		kx, ky := clamped(nx), clamped(ny)
		c := make([]float64, max(0, len(kx)-4)*max(0, len(ky)-4))
		for i := range c {
			c[i] = number()
		}
		face, err := NewFace(kx, ky, c)
		if err != nil {
			return
		}
		b := face.Box()
		for _, s := range []float64{0, 0.25, 0.5, 1} {
			h := face.Eval(b.Min.X+s*(b.Max.X-b.Min.X), b.Max.Y-s*(b.Max.Y-b.Min.Y))
			if !h.finite() {
				t.Fatalf("face is not finite in its box: %v", h)
			}
		}
	})
}

func BenchmarkFaceEval10000(b *testing.B) {
	f, err := FaceThrough(ball{r: 2900, up: 1}, paneBox, 110)
	require.NoError(b, err)
	sum := 0.0
	for b.Loop() {
		for i := range 100 {
			for j := range 100 {
				h := f.Eval(-700+14*float64(i), -390+7.8*float64(j))
				sum += h.Z + h.Zxy
			}
		}
	}
	_ = sum
}

func BenchmarkFaceAt10000(b *testing.B) {
	f, err := FaceThrough(ball{r: 2900, up: 1}, paneBox, 110)
	require.NoError(b, err)
	sum := 0.0
	for b.Loop() {
		for i := range 100 {
			for j := range 100 {
				sum += f.At(-700+14*float64(i), -390+7.8*float64(j))
			}
		}
	}
	_ = sum
}
