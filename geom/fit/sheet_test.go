package fit

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
)

var sheetBox = r2.Box{Min: r2.Vec{X: -300, Y: -200}, Max: r2.Vec{X: 300, Y: 250}}

// through is the unknowns of the face that interpolates f, for polynomials of
// third degree the face itself.
func (s *sheet) through(t *testing.T, f func(x, y float64) float64) []float64 {
	size, _ := s.unknowns()
	a := newArrow(size, size-1, 0)
	rhs := make([]float64, size)
	for i := range 4 * s.nx {
		for j := range 4 * s.ny {
			x := s.kx[0] + (s.kx[len(s.kx)-1]-s.kx[0])*(float64(i)+0.5)/float64(4*s.nx)
			y := s.ky[0] + (s.ky[len(s.ky)-1]-s.ky[0])*(float64(j)+0.5)/float64(4*s.ny)
			r := s.at(x, y)
			a.addRow(r, 1)
			for k, p := range r.idx {
				rhs[p] += r.val[k] * f(x, y)
			}
		}
	}
	require.NoError(t, a.factor())
	a.solve(rhs)
	return rhs
}

// The penalty of polynomials in closed form.
func TestSheetBending(t *testing.T) {
	area := 600.0 * 450.0
	for _, c := range []struct {
		name  string
		f     func(x, y float64) float64
		order int
		g     float64
		want  float64
		even  bool
	}{
		{"quadratic", func(x, y float64) float64 { return x*x + x*y - 3*y*y + x + 5 }, 3, 2, 0, false},
		{"x cubed", func(x, y float64) float64 { return x * x * x }, 3, 2, 8 * 36 * area, false},
		{"x squared y", func(x, y float64) float64 { return x * x * y }, 3, 2, 3 * 4 * 4 * area, true},
		{"x y squared", func(x, y float64) float64 { return x * y * y }, 3, 2, 3 * 2 * 4 * area, false},
		{"y cubed", func(x, y float64) float64 { return y * y * y }, 3, 2, 36 * area, true},
		{"plane", func(x, y float64) float64 { return 3*x - y + 7 }, 2, 1, 0, false},
		{"saddle", func(x, y float64) float64 { return x * y }, 2, 1, 2 * area, false},
	} {
		s := newSheet(sheetBox, 110, c.even)
		x := s.through(t, c.f)
		require.InDelta(t, c.want, s.bending(c.order, c.g).quad(x), 1e-6*area*36*8, c.name)
	}
}

func TestSheetRowsAgreeWithFace(t *testing.T) {
	for _, even := range []bool{false, true} {
		s := newSheet(sheetBox, 110, even)
		x := s.through(t, func(x, y float64) float64 { return x*x/1000 + y*y*y/1e5 })
		f, err := s.face(x)
		require.NoError(t, err)
		for _, q := range [][2]float64{{0, 0}, {-290, 240}, {123, -77}, {330, 260}} {
			require.InDelta(t, f.At(q[0], q[1]), s.at(q[0], q[1]).dot(x), 1e-9)
		}
		a := s.arrow(3)
		for _, q := range [][2]float64{{0, 0}, {-1, 0}, {-290, 240}, {123, -77}} {
			r := s.at(q[0], q[1])
			for _, i := range r.idx {
				for _, j := range r.idx {
					require.LessOrEqual(t, i-j, a.w)
				}
			}
		}
	}
}

// NIST StRD Wampler1 and Wampler2: y = Σ xᵏ and y = Σ (x/10)ᵏ, k = 0…5, for
// x = 0…20; certified coefficients 1 and 0.1ᵏ, evident by construction. The
// spline holds such a quintic only piecewise, so the coefficients are found
// from its core by ten degree-5 unknowns on a scaled basis.
func TestLeastSquaresWampler(t *testing.T) {
	for name, scale := range map[string]float64{"Wampler1": 1, "Wampler2": 0.1} {
		// in v = x/20 − 1/2, which is what polynomial does with its marks
		terms := [][2]int{{0, 0}, {1, 0}, {2, 0}, {3, 0}, {4, 0}, {5, 0}}
		q := &polynomial{terms: terms, x: 10, half: 10}
		var marks []Mark
		w := make([]float64, 21)
		for i := range w {
			var y, p float64 = 0, 1
			for range 6 {
				y += p
				p *= scale * float64(i)
			}
			marks = append(marks, Mark{P: vec3(float64(i), 0, y)})
			w[i] = 1
		}
		f := newSheetFit(newSheet(sheetBox, 110, false), marks)
		require.NoError(t, q.fit(f.p, w))
		// back to powers of x: Taylor at 0 of Σ c·((x−10)/10)ᵏ
		want := 1.0
		for k := range 6 {
			var c float64
			for n := k; n < 6; n++ {
				b := 1.0 // n over k
				for j := range k {
					b = b * float64(n-j) / float64(j+1)
				}
				c += q.c[n] * b * power(-1, n-k) / power(10, k)
			}
			require.InEpsilon(t, want, c, 1e-8, "%s, coefficient %d", name, k)
			want *= scale
		}
	}
}

// Weights are read at the slopes of any surface.
var _ geom.Surface = (*polynomial)(nil)
