package geom

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// planThrough is the closed plan curve of f over 0 … 2π, within 1e-5 mm.
func planThrough(t testing.TB, f func(th float64) r2.Vec) *Curve {
	t.Helper()
	breaks := make([]float64, 25)
	for i := range breaks {
		breaks[i] = 2 * math.Pi * float64(i) / 24
	}
	c, err := FitClosed(f, breaks, 1e-5)
	require.NoError(t, err)
	return c
}

// circle is the plan of the radius a, from the bottom.
func circle(a float64) func(th float64) r2.Vec {
	return func(th float64) r2.Vec {
		s, c := math.Sincos(th)
		return r2.Vec{X: a * s, Y: -a * c}
	}
}

// screenPlan is a windscreen's plan, symmetric about x = 0 and started on it:
// a super-ellipse, narrower at the top.
func screenPlan(t testing.TB, w, h float64) *Curve {
	return planThrough(t, func(th float64) r2.Vec {
		s, c := math.Sincos(th)
		k := math.Pow(math.Pow(math.Abs(s), 5)+math.Pow(math.Abs(c), 5), -0.2)
		return r2.Vec{X: w * k * s * (1 + 0.06*k*c), Y: -h * k * c}
	})
}

// kidneyPlan is a plan with a hollow side.
func kidneyPlan(t testing.TB, size float64) *Curve {
	return planThrough(t, func(th float64) r2.Vec {
		s, c := math.Sincos(th)
		return r2.Vec{X: size * s, Y: size * (-0.55*c + 0.35*s*s)}
	})
}

// faceOver is the bicubic face through s, fine enough to stand for it within
// 2e-6 mm here.
func faceOver(t testing.TB, s Surface, plan *Curve, pitch float64) *Face {
	t.Helper()
	b := plan.Bounds()
	b.Min, b.Max = r2.Sub(b.Min, r2.Vec{X: 15, Y: 15}), r2.Add(b.Max, r2.Vec{X: 15, Y: 15})
	f, err := FaceThrough(s, b, pitch)
	require.NoError(t, err)
	return f
}

// paneOf is the pane of a body in its moved place.
func paneOf(t testing.TB, b body, thick float64, p Profile) *Pane {
	t.Helper()
	plan := planThrough(t, func(th float64) r2.Vec { return planOf(b.motion.Apply(b.upper(th))) })
	pane, err := NewPane(faceOver(t, b.face, plan, 15), plan, thick, p)
	require.NoError(t, err)
	return pane
}

// The whole pane against the closed form, on every body and profile: both
// arrises, the lower face, the thickness, and the outline by its support: how
// far the true solid reaches in every plan direction.
func TestPaneClosedForm(t *testing.T) {
	const thick = 4.0
	for _, b := range bodies() {
		for _, p := range []Profile{SquareEdge, RoundEdge} {
			t.Run(b.name+", "+p.String(), func(t *testing.T) {
				pane := paneOf(t, b, thick, p)
				var upper, lower, middle []r2.Vec
				for i := range 5000 {
					th := 2 * math.Pi * (float64(i) + 0.5) / 5000
					u := b.motion.Apply(b.upper(th))
					n := b.motion.Rotate(b.normal(th))
					l := r3.Sub(u, r3.Scale(thick, n))
					upper, lower = append(upper, planOf(u)), append(lower, planOf(l))
					middle = append(middle, r2.Scale(0.5, r2.Add(planOf(u), planOf(l))))
					if i%40 == 0 {
						near(t, u, pane.UpperEdge.At(th), 1e-4, "upper arris")
						near(t, l, pane.LowerEdge.At(th), 1e-4, "lower arris")
						assert.InDelta(t, l.Z, pane.Lower.At(l.X, l.Y), 1e-5, "lower face at its edge, mm")
					}
				}
				assert.Equal(t, pane.UpperEdge.Knots(), pane.LowerEdge.Knots())

				reach := func(pts []r2.Vec, dir r2.Vec) float64 {
					r := math.Inf(-1)
					for _, q := range pts {
						r = max(r, r2.Dot(q, dir))
					}
					return r
				}
				var outline []r2.Vec
				for _, u := range pane.Outline.Flatten(2e-4) {
					outline = append(outline, pane.Outline.At(u))
				}
				for i := range 90 {
					s, c := math.Sincos(2 * math.Pi * (float64(i) + 0.21) / 90)
					dir := r2.Vec{X: c, Y: s}
					want := max(reach(upper, dir), reach(lower, dir))
					if p == RoundEdge {
						want = reach(middle, dir) + thick/2
					}
					assert.InDelta(t, want, reach(outline, dir), 5e-3, "reach, mm")
				}
			})
		}
	}
}

func screenPane(t testing.TB, lean float64, p Profile) *Pane {
	plan := screenPlan(t, 740, 395)
	s := quadric{20, 0, lean, -1. / 5800, 0, -1. / 11158}
	pane, err := NewPane(faceOver(t, s, plan, 110), plan, 4, p)
	require.NoError(t, err)
	return pane
}

// Symmetric in, symmetric out, and started on the line.
func TestPaneStaysMirrored(t *testing.T) {
	const tol = 1e-9                                // mm
	for _, lean := range []float64{0, 0.15, -0.3} { // the last with switches
		for _, p := range []Profile{SquareEdge, RoundEdge} {
			pane := screenPane(t, lean, p)
			lo, hi := pane.Outline.Period()
			assert.InDelta(t, 0, pane.Outline.At(lo).X, tol)
			assert.Negative(t, pane.Outline.At(lo).Y)
			k := pane.Outline.Knots()
			for i := range k {
				assert.InDelta(t, k[i]-lo, hi-k[len(k)-1-i], tol)
			}
			for i := range 300 {
				s := (hi - lo) * (float64(i) + 0.3) / 300
				a, b := pane.Outline.At(lo+s), pane.Outline.At(hi-s)
				near2(t, r2.Vec{X: -a.X, Y: a.Y}, b, tol, "outline")
				for _, c := range []*SpaceCurve{pane.UpperEdge, pane.LowerEdge} {
					a, b := c.At(lo+s), c.At(hi-s)
					near(t, r3.Vec{X: -a.X, Y: a.Y, Z: a.Z}, b, tol, "arris")
				}
				assert.InDelta(t, pane.Lower.At(a.X, a.Y), pane.Lower.At(-a.X, a.Y), tol)
			}
		}
	}
}

// An uneven face, but even in x: its lower face and edge are even too.
func TestPaneOfUnevenMirroredFace(t *testing.T) {
	const tol = 1e-9 // mm
	rng := rand.New(rand.NewPCG(31, 32))
	plan := screenPlan(t, 740, 395)
	smooth := faceOver(t, quadric{20, 0, -0.2, -1. / 5800, 0, -1. / 11158}, plan, 110)
	c := smooth.Coeffs()
	nx, ny := smooth.Size()
	for i := range (nx + 1) / 2 {
		for j := range ny {
			d := 0.2 * rng.NormFloat64()
			c[i*ny+j] += d
			c[(nx-1-i)*ny+j] = c[i*ny+j]
		}
	}
	face, err := NewFace(smooth.XKnots(), smooth.YKnots(), c)
	require.NoError(t, err)
	for _, p := range []Profile{SquareEdge, RoundEdge} {
		pane, err := NewPane(face, plan, 4, p)
		require.NoError(t, err)
		k := pane.Lower.XKnots()
		for i := range k {
			assert.InDelta(t, -k[i], k[len(k)-1-i], tol)
		}
		lo, hi := pane.Outline.Period()
		for i := range 300 {
			s := (hi - lo) * (float64(i) + 0.3) / 300
			a, b := pane.Outline.At(lo+s), pane.Outline.At(hi-s)
			near2(t, r2.Vec{X: -a.X, Y: a.Y}, b, tol, "outline")
			assert.InDelta(t, pane.Lower.At(a.X, a.Y), pane.Lower.At(-a.X, a.Y), tol)
		}
	}
}

// A flat round pane, 400 mm across and 4 mm thick, with a square edge.
func ExampleNewPane() {
	plan, _ := FitClosed(func(u float64) r2.Vec {
		s, c := math.Sincos(u)
		return r2.Vec{X: 200 * s, Y: -200 * c}
	}, []float64{0, math.Pi, 2 * math.Pi}, 1e-6)
	level, _ := FaceThrough(quadric{}, r2.Box{Min: r2.Vec{X: -210, Y: -210}, Max: r2.Vec{X: 210, Y: 210}}, 100)
	pane, err := NewPane(level, plan, 4, SquareEdge)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("girth %.2f mm, face %.0f mm², glass %.0f mm³\n", pane.Outline.Length(), pane.FaceArea(), pane.Volume())
	// Output: girth 1256.64 mm, face 125664 mm², glass 502655 mm³
}

// On a free face: the lower face is parallel within 1e-5 mm, and the arrises
// lie on both faces, the thickness apart and square.
func TestPaneFacesAreParallel(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	plan := screenPlan(t, 740, 395)
	rough := numeric{func(x, y float64) float64 { // third derivatives of 1e-7 that come and go
		return -x*x/5000 - y*y/9000 + 8*math.Sin(x/210)*math.Cos(y/170)
	}}
	face := faceOver(t, rough, plan, 110)
	pane, err := NewPane(face, plan, 4, SquareEdge)
	require.NoError(t, err)
	var poly Polygon
	for _, u := range plan.Flatten(0.01) {
		poly = append(poly, plan.At(u))
	}
	for range 2000 {
		q := r2.Vec{X: 1480*rng.Float64() - 740, Y: 790*rng.Float64() - 395}
		if !poly.Contains(q) {
			continue
		}
		foot := OffsetPoint(face, q.X, q.Y, -4)
		assert.InDelta(t, foot.Z, pane.Lower.At(foot.X, foot.Y), 1e-5, "mm")
	}
	lo, hi := plan.Period()
	for i := range 500 {
		u := lo + (hi-lo)*(float64(i)+0.5)/500
		a, b := pane.UpperEdge.At(u), pane.LowerEdge.At(u)
		near2(t, plan.At(u), planOf(a), 1e-9, "the plan is the one given")
		assert.InDelta(t, face.At(a.X, a.Y), a.Z, 1e-4)
		assert.InDelta(t, 4, r3.Norm(r3.Sub(a, b)), 1e-4)
		near(t, OffsetPoint(face, a.X, a.Y, -4), b, 1e-4)
	}
}

// roundedPlan is a rectangle of the half sides w and h with corner arcs of the
// radius r: a plan whose curvature jumps.
func roundedPlan(t testing.TB, w, h, r float64) *Curve {
	t.Helper()
	var length []float64
	var piece []func(s float64) r2.Vec
	line := func(from, to r2.Vec) {
		d := r2.Sub(to, from)
		length = append(length, r2.Norm(d))
		piece = append(piece, func(s float64) r2.Vec { return r2.Add(from, r2.Scale(s/r2.Norm(d), d)) })
	}
	arc := func(x, y, from float64) {
		length = append(length, math.Pi/2*r)
		piece = append(piece, func(s float64) r2.Vec {
			sin, cos := math.Sincos(from + s/r)
			return r2.Vec{X: x + r*cos, Y: y + r*sin}
		})
	}
	a, b := w-r, h-r
	line(r2.Vec{Y: -h}, r2.Vec{X: a, Y: -h})
	arc(a, -b, -math.Pi/2)
	line(r2.Vec{X: w, Y: -b}, r2.Vec{X: w, Y: b})
	arc(a, b, 0)
	line(r2.Vec{X: a, Y: h}, r2.Vec{X: -a, Y: h})
	arc(-a, b, math.Pi/2)
	line(r2.Vec{X: -w, Y: b}, r2.Vec{X: -w, Y: -b})
	arc(-a, -b, math.Pi)
	line(r2.Vec{X: -a, Y: -h}, r2.Vec{Y: -h})

	breaks := []float64{0}
	for _, l := range length {
		from, n := breaks[len(breaks)-1], math.Ceil(l/60)+1
		for k := 1.0; k <= n; k++ {
			breaks = append(breaks, from+l*k/n)
		}
	}
	c, err := FitClosed(func(u float64) r2.Vec {
		k := 0
		for k < len(length)-1 && u > length[k] {
			u -= length[k]
			k++
		}
		return piece[k](min(u, length[k]))
	}, breaks, 2e-3)
	require.NoError(t, err)
	return c
}

// Faces with the unevenness of a fit to poor readings, corners down to 18 mm,
// leaning either way: everything that is promised, on every one.
func TestPaneOfRoughFaces(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 22))
	for trial := range 8 {
		up := float64(1 - 2*(trial%2))
		w, h, r := 450+300*rng.Float64(), 225+170*rng.Float64(), 18+80*rng.Float64()
		plan := roundedPlan(t, w, h, r)
		smooth := faceOver(t, quadric{0, 0.15 * rng.NormFloat64(), 0.1 * rng.NormFloat64(), -up / 4000, 3e-5, -up / 12000}, plan, 110)
		c := smooth.Coeffs()
		for i := range c {
			c[i] += 0.3 * rng.NormFloat64()
		}
		face, err := NewFace(smooth.XKnots(), smooth.YKnots(), c)
		require.NoError(t, err)
		thick := 3 + 3*rng.Float64()
		profile := Profile(trial / 2 % 2)
		pane, err := NewPane(face, plan, thick, profile)
		require.NoError(t, err)
		nx, ny := pane.Lower.Size()
		assert.Less(t, nx*ny, 6000, "control points of the lower face")

		poly := Polygon{}
		for _, u := range plan.Flatten(0.01) {
			poly = append(poly, plan.At(u))
		}
		for range 2000 {
			q := r2.Vec{X: w * (2*rng.Float64() - 1), Y: h * (2*rng.Float64() - 1)}
			if poly.Contains(q) {
				foot := OffsetPoint(face, q.X, q.Y, -thick)
				assert.InDelta(t, foot.Z, pane.Lower.At(foot.X, foot.Y), 1e-5, "lower face, mm")
			}
		}
		b := band{face: face, plan: plan, t: thick, profile: profile}
		lo, hi := plan.Period()
		for range 300 {
			u := lo + (hi-lo)*rng.Float64()
			l, _ := b.at(u).down(thick)
			near(t, b.at(u).upper, pane.UpperEdge.At(u), 1e-4)
			near(t, l, pane.LowerEdge.At(u), 1e-4)
			_, d := pane.Outline.Nearest(b.shadow(u))
			assert.InDelta(t, 0, d, 5e-3, "outline, mm")
			for _, arris := range []r3.Vec{l, b.at(u).upper} {
				_, d := pane.Outline.Nearest(planOf(arris))
				assert.Less(t, d, 5e-3, "nothing stands out of the shadow, mm")
			}
		}
		m, err := pane.Mesh(15)
		require.NoError(t, err)
		require.NoError(t, m.Validate())
		assert.InEpsilon(t, pane.Volume(), m.Volume(), 1e-4)
	}
}

func TestPaneShifted(t *testing.T) {
	pane := screenPane(t, 0.1, RoundEdge)
	v := r3.Vec{X: 3, Y: -40, Z: 12.5}
	moved, err := pane.Shifted(v)
	require.NoError(t, err)
	lo, hi := pane.Outline.Period()
	for i := range 100 {
		u := lo + (hi-lo)*float64(i)/100
		near(t, r3.Add(v, pane.UpperEdge.At(u)), moved.UpperEdge.At(u), 1e-10)
		near(t, r3.Add(v, pane.LowerEdge.At(u)), moved.LowerEdge.At(u), 1e-10)
		near2(t, r2.Add(planOf(v), pane.Outline.At(u)), moved.Outline.At(u), 1e-10)
		q := pane.Outline.At(u)
		assert.InDelta(t, pane.Lower.At(q.X, q.Y)+v.Z, moved.Lower.At(q.X+v.X, q.Y+v.Y), 1e-10)
	}
	assert.InEpsilon(t, pane.Volume(), moved.Volume(), 1e-9)
	m, err := moved.Mesh(40)
	require.NoError(t, err)
	require.NoError(t, m.Validate())
	_, err = pane.Shifted(r3.Vec{X: math.NaN()})
	assert.Error(t, err)
}

func TestNewPaneRefuses(t *testing.T) {
	plan := planThrough(t, circle(200))
	face := faceOver(t, quadric{}, plan, 50)
	steep := faceOver(t, quadric{0, 0, 0, 0.0045}, plan, 50) // slope 1.8 at x = 200
	_, err := NewPane(steep, plan, 4, SquareEdge)
	var se *SteepError
	require.True(t, errors.As(err, &se))
	assert.InDelta(t, 200, math.Abs(se.At.X), 1)
	assert.InDelta(t, math.Atan(1.8), se.Slope, 1e-2)

	small, err := FaceThrough(quadric{}, r2.Box{Min: r2.Vec{X: -150, Y: -300}, Max: r2.Vec{X: 300, Y: 300}}, 50)
	require.NoError(t, err)
	eight := planThrough(t, func(th float64) r2.Vec { // a loop inside a loop
		s, c := math.Sincos(th)
		return r2.Vec{X: (40 + 90*c) * c, Y: (40 + 90*c) * s}
	})
	// A ridge of 20 mm radius in a pane of 30 mm: the parallel face folds.
	ridge := faceOver(t, numeric{func(x, y float64) float64 { return -math.Hypot(x, 20) }}, plan, 8)
	for name, f := range map[string]func() (*Pane, error){
		"no face":         func() (*Pane, error) { return NewPane(nil, plan, 4, SquareEdge) },
		"no edge":         func() (*Pane, error) { return NewPane(face, nil, 4, SquareEdge) },
		"no thickness":    func() (*Pane, error) { return NewPane(face, plan, 0, SquareEdge) },
		"thickness NaN":   func() (*Pane, error) { return NewPane(face, plan, math.NaN(), SquareEdge) },
		"too thick":       func() (*Pane, error) { return NewPane(face, plan, 1e4, SquareEdge) },
		"no such profile": func() (*Pane, error) { return NewPane(face, plan, 4, 5) },
		"face too small":  func() (*Pane, error) { return NewPane(small, plan, 4, SquareEdge) },
		"crosses itself":  func() (*Pane, error) { return NewPane(face, eight, 4, SquareEdge) },
		"bent too far inside": func() (*Pane, error) {
			hill := faceOver(t, numeric{func(x, y float64) float64 { return -math.Sqrt(x*x + y*y + 400) }}, plan, 8)
			return NewPane(hill, plan, 30, SquareEdge)
		},
		"bent too far": func() (*Pane, error) { return NewPane(ridge, plan, 30, SquareEdge) },
	} {
		_, err := f()
		assert.Error(t, err, name)
		if err != nil {
			assert.Contains(t, err.Error(), "geom: ", name)
		}
	}
}

func BenchmarkNewPane(b *testing.B) {
	plan := screenPlan(b, 740, 395)
	face := faceOver(b, quadric{20, 0, -0.3, -1. / 5800, 0, -1. / 11158}, plan, 110)
	for _, p := range []Profile{SquareEdge, RoundEdge} {
		b.Run(p.String(), func(b *testing.B) {
			for b.Loop() {
				if _, err := NewPane(face, plan, 4, p); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
