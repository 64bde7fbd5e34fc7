package geom

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Spherical caps and flat discs in closed form: a shell between spheres of the
// radii r and r ∓ t inside the half angle α holds 2π(1-cos α)(R³-R'³)/3; a
// round edge adds the half circle's area times its centroid's way round
// (Pappus; centroid of a half disc 4r/3π from its diameter).
func TestVolumeClosedForm(t *testing.T) {
	const (
		a, r, thick = 400.0, 1500.0, 4.0
		rel         = 1e-7
	)
	h := math.Sqrt(r*r - a*a)
	sinA, cosA := a/r, h/r
	half := math.Pi * (thick / 2) * (thick / 2) / 2
	bulge := func(middle, lean float64) float64 {
		return half * 2 * math.Pi * (middle + 4*thick/2/(3*math.Pi)*lean)
	}
	shell := func(inner, outer float64) float64 {
		return 2 * math.Pi * (1 - cosA) * (outer*outer*outer - inner*inner*inner) / 3
	}
	cap := 2 * math.Pi * r * r * (1 - cosA)
	for _, c := range []struct {
		b          body
		p          Profile
		vol, upper float64
	}{
		{ballBody("dome", r, a, 1, 0), SquareEdge, shell(r-thick, r), cap},
		{ballBody("bowl", r, a, -1, 0), SquareEdge, shell(r, r+thick), cap},
		{ballBody("dome", r, a, 1, 0), RoundEdge, shell(r-thick, r) + bulge((r-thick/2)*sinA, cosA), cap},
		{ballBody("bowl", r, a, -1, 0), RoundEdge, shell(r, r+thick) + bulge((r+thick/2)*sinA, cosA), cap},
		{ballBody("dome, tilted", r, a, 1, 0.1), RoundEdge, shell(r-thick, r) + bulge((r-thick/2)*sinA, cosA), cap},
		{discBody("disc", a, 0, 0), SquareEdge, math.Pi * a * a * thick, math.Pi * a * a},
		{discBody("disc", a, 0, 0), RoundEdge, math.Pi*a*a*thick + bulge(a, 1), math.Pi * a * a},
		{discBody("disc, tilted", a, 0.35, 1), RoundEdge, math.Pi*a*a*thick + bulge(a, 1), math.Pi * a * a},
	} {
		t.Run(c.b.name+", "+c.p.String(), func(t *testing.T) {
			pane := paneOf(t, c.b, thick, c.p)
			assert.InEpsilon(t, c.vol, pane.Volume(), rel)
			assert.InEpsilon(t, c.upper, pane.FaceArea(), rel)
		})
	}
}

// A free face: the same integral with x and y exchanged, -∮ ∫g dy dx, by finer
// rules.
func TestVolumeHasConverged(t *testing.T) {
	const rel = 1e-7
	plan := screenPlan(t, 740, 395)
	s := numeric{func(x, y float64) float64 {
		return -x*x/5000 - y*y/9000 + 0.05*y + 4*math.Sin(x/310)*math.Cos(y/270)
	}}
	pane, err := NewPane(faceOver(t, s, plan, 113), plan, 4, SquareEdge)
	require.NoError(t, err)
	f := pane.Upper
	other := func(g func(Height) float64) float64 {
		sum := 0.0
		lo, hi := plan.Period()
		const pieces = 1500
		for i := range pieces {
			a, b := lo+(hi-lo)*float64(i)/pieces, lo+(hi-lo)*float64(i+1)/pieces
			sum -= integrate8(func(u float64) float64 {
				q, d, _, _ := plan.Derivs(u)
				inner := integrateAcross(breaksOf(f.ky), 0, q.Y, func(y float64) float64 { return g(f.Eval(q.X, y)) })
				return inner * d.X
			}, a, b)
		}
		return sum
	}
	assert.InEpsilon(t, other(Height.stretch), pane.FaceArea(), rel)
	assert.InEpsilon(t, other(func(h Height) float64 { return parallelColumn(h, 4) }), pane.Volume(), rel)
}

// Every body and profile: closed, turned outward, the right volume, its points
// on the faces and its twins the thickness apart.
func TestPaneMesh(t *testing.T) {
	const thick = 4.0
	for _, b := range bodies() {
		for _, p := range []Profile{SquareEdge, RoundEdge} {
			t.Run(b.name+", "+p.String(), func(t *testing.T) {
				pane := paneOf(t, b, thick, p)
				m, err := pane.Mesh(10)
				require.NoError(t, err)
				require.NoError(t, m.Validate())
				tol := 1e-4
				if p == SquareEdge {
					tol = 3e-5
				}
				assert.InEpsilon(t, pane.Volume(), m.Volume(), tol)
				edge, plan := meshCounts(m, pane, 10)
				for i := range plan {
					u, l := m.V[i], m.V[i+plan]
					assert.InDelta(t, pane.Upper.At(u.X, u.Y), u.Z, 1e-12)
					assert.InDelta(t, thick, r3.Norm(r3.Sub(u, l)), 1e-12)
					near(t, OffsetPoint(pane.Upper, u.X, u.Y, -thick), l, 1e-12)
				}
				for _, v := range m.V[:edge] {
					_, d := pane.plan.Nearest(planOf(v))
					assert.InDelta(t, 0, d, 1e-3, "edge points on the edge, mm")
				}
				box, want := m.Box(), pane.Outline.Bounds()
				for _, d := range []float64{box.Min.X - want.Min.X, box.Min.Y - want.Min.Y, box.Max.X - want.Max.X, box.Max.Y - want.Max.Y} {
					assert.InDelta(t, 0, d, 0.02, "mm")
				}
			})
		}
	}
}

// meshCounts returns how many of a mesh's points are on the upper edge and on
// the upper face.
func meshCounts(m *Mesh, p *Pane, step float64) (edge, plan int) {
	params, _, _ := p.meshEdge(step)
	edge, plan = len(params), len(m.V)
	if p.Profile == RoundEdge {
		plan -= (int(p.roundStrips()) - 1) * edge
	}
	return edge, plan / 2
}

// A finer mesh comes nearer to the integral.
func TestPaneMeshConverges(t *testing.T) {
	pane := screenPane(t, 0.1, SquareEdge)
	miss := func(step float64) float64 {
		m, err := pane.Mesh(step)
		require.NoError(t, err)
		return math.Abs(m.Volume()/pane.Volume() - 1)
	}
	assert.Less(t, miss(10), 1.2e-5)
	assert.Less(t, miss(5), 1.2e-5)
}

// A plan with a hollow: the triangles that the hull adds there are left out.
func TestPaneMeshHollow(t *testing.T) {
	plan := kidneyPlan(t, 200)
	for _, p := range []Profile{SquareEdge, RoundEdge} {
		pane, err := NewPane(faceOver(t, quadric{0, 0.1, 0.05, -2e-4, 0, 1e-4}, plan, 40), plan, 5, p)
		require.NoError(t, err)
		for _, step := range []float64{4, 15, 60, 500} {
			m, err := pane.Mesh(step)
			require.NoError(t, err, step)
			require.NoError(t, m.Validate(), step)
			tol := 1e-4
			if step > 20 {
				tol = 3e-4
			}
			assert.InEpsilon(t, pane.Volume(), m.Volume(), tol, "step %g", step)
		}
	}
}

// Symmetric pane, symmetric points.
func TestPaneMeshIsMirrored(t *testing.T) {
	m, err := screenPane(t, -0.2, SquareEdge).Mesh(20)
	require.NoError(t, err)
	there := map[string]bool{}
	key := func(v r3.Vec, side float64) string { return fmt.Sprintf("%.4f %.4f %.4f", side*v.X+0, v.Y, v.Z) }
	for _, v := range m.V {
		there[key(v, 1)] = true
	}
	for _, v := range m.V {
		if math.Abs(v.X) > 1e-9 {
			assert.True(t, there[key(v, -1)], "no twin of %v", v)
		}
	}
}

// No point of the lattice is nearer to the edge than half a step, no two
// points nearer to one another, and no triangle is much larger than a step.
func TestPaneMeshSpacing(t *testing.T) {
	const step = 18.0
	pane := screenPane(t, 0, SquareEdge)
	m, err := pane.Mesh(step)
	require.NoError(t, err)
	edge, plan := meshCounts(m, pane, step)
	poly := Polygon{}
	for _, v := range m.V[:edge] {
		poly = append(poly, planOf(v))
	}
	for _, v := range m.V[edge:plan] {
		assert.GreaterOrEqual(t, poly.Distance(planOf(v)), step/2-1e-3)
		assert.True(t, poly.Contains(planOf(v)))
	}
	for _, tri := range m.T {
		if int(max(tri[0], tri[1], tri[2])) >= plan {
			continue
		}
		for k := range tri {
			side := r2.Norm(r2.Sub(planOf(m.V[tri[k]]), planOf(m.V[tri[(k+1)%3]])))
			assert.Less(t, side, 2.2*step)
		}
	}
}

func TestPaneMeshRefuses(t *testing.T) {
	pane := paneOf(t, discBody("", 100, 0, 0), 4, SquareEdge)
	for _, step := range []float64{0, -1, math.NaN(), math.Inf(1), 1e-3, 1e-9} {
		_, err := pane.Mesh(step)
		assert.ErrorContains(t, err, "geom: mesh of a pane", "step %g", step)
	}
}

func TestOutsideEdge(t *testing.T) {
	for _, c := range []struct {
		t    [3]int32
		want bool
	}{
		{[3]int32{0, 1, 2}, false},
		{[3]int32{7, 0, 3}, false},
		{[3]int32{3, 7, 0}, false},
		{[3]int32{2, 1, 0}, true},
		{[3]int32{0, 7, 3}, true},
		{[3]int32{0, 7, 12}, false}, // a corner inside
	} {
		assert.Equal(t, c.want, outsideEdge(c.t, 10), c.t)
	}
}

func TestCrossings(t *testing.T) {
	p := Polygon{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 4}, {X: 2, Y: 1}, {X: 0, Y: 4}}
	assert.Equal(t, []float64{0, 4}, p.crossings(0.5))
	assert.Len(t, p.crossings(2), 4)
	assert.Empty(t, p.crossings(4.5))
	for _, y := range []float64{0, 1, 4} { // through corners
		assert.Zero(t, len(p.crossings(y))%2, y)
	}
}

// The four-point rule is exact up to degree 7 and no further.
func TestIntegrate4(t *testing.T) {
	for k := range 9 {
		got := integrate4(func(x float64) float64 { return math.Pow(x, float64(k)) }, 1, 3)
		want := (math.Pow(3, float64(k+1)) - 1) / float64(k+1)
		if k < 8 {
			assert.InEpsilon(t, want, got, 1e-14, "degree %d", k)
		} else {
			assert.Greater(t, math.Abs(got/want-1), 1e-7)
		}
	}
}

func BenchmarkPaneMesh10(b *testing.B) {
	for _, p := range []Profile{SquareEdge, RoundEdge} {
		pane := screenPane(b, 0.1, p)
		b.Run(p.String(), func(b *testing.B) {
			for b.Loop() {
				if _, err := pane.Mesh(10); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkPaneVolume(b *testing.B) {
	pane := screenPane(b, 0.1, RoundEdge)
	for b.Loop() {
		_ = pane.Volume()
	}
}
