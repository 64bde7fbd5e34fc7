package fit

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

func fitFace(t testing.TB, marks []Mark, mirror bool) *Face {
	t.Helper()
	f, err := FitFace(context.Background(), marks, boxOf(marks, 50), FaceOptions{Mirror: mirror})
	require.NoError(t, err)
	return f
}

// faceErrors takes fit minus truth on a 25 mm lattice inside the outline, and
// the same over the stated sd.
func (p *pane) faceErrors(f *Face) (d, z stat) {
	for y := -p.h / 2; y < p.h/2; y += 25 {
		for x := -p.w / 2; x < p.w/2; x += 25 {
			if inside(p.plan, r2.Vec{X: x, Y: y}) {
				b := p.toBoard(vec3(x, y, p.face(x, y)))
				e := f.Face.At(b.X, b.Y) - b.Z
				d, z = append(d, e), append(z, e/f.SD(b.X, b.Y))
			}
		}
	}
	return d, z
}

// The accuracy that the documentation states, in mm at sigma 0.5, 80 edge and
// about 40 inner heights.
func TestFaceMeasured(t *testing.T) {
	for _, c := range []struct {
		name          string
		maker         maker
		mirror        bool
		rms, p95, rim float64
	}{
		{"any pose", maker{}, false, 0.225, 0.35, 0.25},
		{"level", maker{level: true}, false, 0.225, 0.35, 0.25},
		{"level, even", maker{level: true}, true, 0.185, 0.35, 0.20},
		{"wrap-around", maker{level: true, wrap: true}, false, 0.5, 0.6, 0.4},
		{"wrap-around, even", maker{level: true, wrap: true}, true, 0.37, 0.45, 0.3},
	} {
		var rms, rim, sigma, honest stat
		alarms, marked := 0, 0
		for i := range *panes {
			rng := source(30, i)
			p := newPane(rng, c.maker)
			marks := append(p.edgeMarks(rng, 80, 0.5), p.faceMarks(rng, 40, 0.5)...)
			f := fitFace(t, marks, c.mirror)
			d, z := p.faceErrors(f)
			var r stat
			for k := 0; k < len(p.rim); k += 10 {
				r = append(r, f.Face.At(p.rim[k].X, p.rim[k].Y)-p.rim[k].Z)
			}
			rms, rim, honest = append(rms, d.rms()), append(rim, r.rms()), append(honest, z.rms())
			sigma = append(sigma, f.Sigma)
			alarms, marked = alarms+len(suspects(f.Suspect)), marked+len(marks)
		}
		t.Logf("%-18s RMS %.3f p95 of panes %.3f, at the edge %.3f, sigma found %.2f, true over stated sd %.2f, false alarms %d of %d",
			c.name, rms.rms(), rms.quantile(0.95), rim.rms(), sigma.quantile(0.5), honest.rms(), alarms, marked)
		require.Less(t, rms.rms(), c.rms, c.name)
		require.Less(t, rms.quantile(0.95), c.p95, c.name)
		require.Less(t, rim.rms(), c.rim, c.name)
		require.InDelta(t, 0.5, sigma.quantile(0.5), 0.04, c.name)
		require.InDelta(t, 1, honest.rms(), 0.25, "%s: the stated sd is not honest", c.name)
		require.LessOrEqual(t, float64(alarms), 1.0*float64(marked)/1000, c.name)
	}
}

// Five slips in height a pane, 3 to 100 mm.
func TestFaceSlipsMeasured(t *testing.T) {
	var slips, found, clean, alarms int
	var rms stat
	for i := range *panes {
		rng := source(31, i)
		p := newPane(rng, maker{})
		marks := append(p.edgeMarks(rng, 80, 0.5), p.faceMarks(rng, 40, 0.5)...)
		bad := map[int]bool{}
		for range 5 {
			k := rng.IntN(len(marks))
			marks[k].P.Z += math.Copysign(math.Exp(uniform(rng, math.Log(4), math.Log(100))), rng.Float64()-0.5)
			bad[k] = true
		}
		f := fitFace(t, marks, false)
		d, _ := p.faceErrors(f)
		rms = append(rms, d.rms())
		for k, s := range f.Suspect {
			if bad[k] {
				slips++
				if s {
					found++
				}
			} else {
				clean++
				if s {
					alarms++
				}
			}
		}
	}
	t.Logf("slips %d of %d found, false alarms %d of %d, RMS %.3f", found, slips, alarms, clean, rms.rms())
	require.GreaterOrEqual(t, float64(found), 0.98*float64(slips))
	require.LessOrEqual(t, float64(alarms), 1.0*float64(clean)/1000)
	require.Less(t, rms.rms(), 0.26)
}

// lattice reads a height field without noise.
func lattice(z func(x, y float64) float64) (out []Mark) {
	for x := -700.0; x <= 700; x += 100 {
		for y := -400.0; y <= 400; y += 100 {
			out = append(out, Mark{P: vec3(x, y, z(x, y)), SXY: 0.5, SZ: 0.5})
		}
	}
	return out
}

// The penalty leaves quadratics alone, so they come back exactly, and go on
// exactly beyond the box.
func TestFaceQuadraticExactly(t *testing.T) {
	z := func(x, y float64) float64 { return 80 - x*x/3000 - y*y/6000 + 0.02*x - 0.05*y + x*y/50000 }
	f := fitFace(t, lattice(z), false)
	const slack = 1e-5 // mm
	for _, q := range [][2]float64{{0, 0}, {650, -380}, {-749, 449}, {-800, 500}} {
		require.InDelta(t, z(q[0], q[1]), f.Face.At(q[0], q[1]), slack)
	}
	for _, d := range f.Miss {
		require.InDelta(t, 0, d, slack)
	}
}

func TestFaceMirrorIsExactlyEven(t *testing.T) {
	rng := source(32, 0)
	p := newPane(rng, maker{level: true})
	f := fitFace(t, append(p.edgeMarks(rng, 80, 0.5), p.faceMarks(rng, 40, 0.5)...), true)
	kx, c := f.Face.XKnots(), f.Face.Coeffs()
	nx, ny := f.Face.Size()
	for i := range kx {
		require.Equal(t, -kx[i], kx[len(kx)-1-i])
	}
	for i := range nx {
		require.Equal(t, c[i*ny:(i+1)*ny], c[(nx-1-i)*ny:(nx-i)*ny])
	}
	h := f.Face.Eval(0, 100)
	require.InDelta(t, 0, h.Zx, 1e-12)
}

// Fifty mm beyond the outermost marks the face is still near the truth, and
// its stated doubt has grown as its error has.
func TestFaceBeyondTheEdge(t *testing.T) {
	var inside, beyond, doubt stat
	for i := range 20 {
		rng := source(33, i)
		p := newPane(rng, maker{level: true})
		f := fitFace(t, append(p.edgeMarks(rng, 80, 0.5), p.faceMarks(rng, 40, 0.5)...), false)
		for _, y := range []float64{-0.3, 0, 0.3} {
			x := 0.5*p.w + 40
			beyond = append(beyond, f.Face.At(x, y*p.h)-p.face(x, y*p.h))
			inside = append(inside, f.Face.At(x/2, y*p.h)-p.face(x/2, y*p.h))
			doubt = append(doubt, f.SD(x, y*p.h)/f.SD(x/2, y*p.h))
		}
	}
	t.Logf("RMS inside %.2f, some 50 mm beyond the edge %.2f mm", inside.rms(), beyond.rms())
	require.Less(t, beyond.rms(), 0.5)
	require.InEpsilon(t, beyond.rms()/inside.rms(), doubt.quantile(0.5), 0.25)
}

func TestFaceFewHeights(t *testing.T) {
	plane := func(x, y float64) float64 { return 50 + 0.03*x - 0.02*y }
	at := func(xy ...float64) (out []Mark) {
		for i := 0; i < len(xy); i += 2 {
			out = append(out, Mark{P: vec3(xy[i], xy[i+1], plane(xy[i], xy[i+1])), SXY: 0.5, SZ: 0.5})
		}
		return out
	}
	box := r2.Box{Min: r2.Vec{X: -500, Y: -300}, Max: r2.Vec{X: 500, Y: 300}}
	for name, marks := range map[string][]Mark{
		"three": at(0, 0, 400, 0, 0, 200),
		"four":  at(-400, -200, 400, -200, 400, 200, -400, 200),
		"five":  at(-400, -200, 400, -200, 400, 200, -400, 200, 10, 20),
	} {
		f, err := FitFace(context.Background(), marks, box, FaceOptions{})
		require.NoError(t, err, name)
		require.InDelta(t, plane(300, 100), f.Face.At(300, 100), 1e-3, name)
		require.InDelta(t, plane(-500, -300), f.Face.At(-500, -300), 1e-3, name)
		require.Greater(t, f.SD(-500, 300), 0.2, name)
	}
	var e *MarkError
	_, err := FitFace(context.Background(), at(0, 0, 400, 0), box, FaceOptions{})
	require.ErrorAs(t, err, &e)
	_, err = FitFace(context.Background(), at(0, 0, 100, 0, 200, 0, 300, 0, 400, 0, 450, 0, 480, 0), box, FaceOptions{})
	require.ErrorAs(t, err, &e)
	none := at(0, 0, 400, 0, 0, 200)
	for i := range none {
		none[i].P.Z = math.NaN()
	}
	_, err = FitFace(context.Background(), none, box, FaceOptions{})
	require.ErrorIs(t, err, ErrNoHeights)
	_, err = FitFace(context.Background(), nil, box, FaceOptions{})
	require.ErrorIs(t, err, ErrNoHeights)
	var round []Mark // on a conic, which a quadratic may follow at any height
	for _, m := range ellipse(60, 450, 250) {
		m.P.Z, m.SZ = 10, 0.5
		round = append(round, m)
	}
	_, err = FitFace(context.Background(), round, box, FaceOptions{})
	require.ErrorAs(t, err, &e)
	require.ErrorContains(t, err, "bulges")
	_, err = FitFace(context.Background(), at(0, 0, 400, 0, 0, 200), r2.Box{}, FaceOptions{})
	require.Error(t, err)
}

// Six to twenty heights: more than a plane, and nothing wild.
func TestFaceSparse(t *testing.T) {
	for _, m := range []int{6, 7, 8, 10, 14, 20} {
		rng := source(34, m)
		p := newPane(rng, maker{level: true})
		marks := p.probeMarks(rng, m, 0.5)
		f := fitFace(t, marks, false)
		for _, k := range marks {
			require.Less(t, math.Abs(f.Face.At(k.P.X, k.P.Y)-k.P.Z), 8.0, "%d heights", m)
		}
	}
}

// Marks without a height do not count and keep their place.
func TestFaceSkipsMarksWithoutHeight(t *testing.T) {
	marks := lattice(func(x, y float64) float64 { return x * x / 4000 })
	marks[3].P.Z, marks[50].P.Z = math.NaN(), math.NaN()
	f := fitFace(t, marks, true)
	require.Len(t, f.Miss, len(marks))
	require.True(t, math.IsNaN(f.Miss[3]) && math.IsNaN(f.Miss[50]))
	require.False(t, math.IsNaN(f.Miss[4]))
}

// A height on a steep face is worth less: its x and y are uncertain too.
func TestFaceWeightsCountSlope(t *testing.T) {
	s := newSheetFit(newSheet(r2.Box{Min: r2.Vec{X: -1, Y: -1}, Max: r2.Vec{X: 1, Y: 1}}, 1, false),
		[]Mark{{P: r3.Vec{}, SXY: 0.5, SZ: 0.3}})
	s.weigh(slope{})
	require.InDelta(t, 0.3*0.3+0.5*0.5*(1.2*1.2+0.5*0.5), s.variance[0], 1e-12)
}

type slope struct{}

func (slope) Eval(x, y float64) geom.Height { return geom.Height{Zx: 1.2, Zy: -0.5} }

func TestFaceKeepAll(t *testing.T) {
	marks := lattice(func(x, y float64) float64 { return x*x/4000 + y*y/7000 })
	marks[40].P.Z += 25
	f := fitFace(t, marks, false)
	require.Equal(t, []int{40}, suspects(f.Suspect))
	require.InDelta(t, 25, f.Miss[40], 0.1)
	f, err := FitFace(context.Background(), marks, boxOf(marks, 50), FaceOptions{KeepAll: true})
	require.NoError(t, err)
	require.Empty(t, suspects(f.Suspect))
}

func TestFaceDeterministicAndCancelled(t *testing.T) {
	rng := source(35, 0)
	p := newPane(rng, maker{})
	marks := append(p.edgeMarks(rng, 80, 0.5), p.faceMarks(rng, 40, 0.5)...)
	a, b := fitFace(t, marks, false), fitFace(t, slices.Clone(marks), false)
	require.Equal(t, a.Face.Coeffs(), b.Face.Coeffs())
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := FitFace(ctx, marks, boxOf(marks, 50), FaceOptions{})
	require.ErrorIs(t, err, context.Canceled)
}

func BenchmarkFitFace160(b *testing.B) {
	rng := source(36, 0)
	p := newPane(rng, maker{})
	marks := append(p.edgeMarks(rng, 100, 0.5), p.faceMarks(rng, 60, 0.5)...)
	for b.Loop() {
		fitFace(b, marks, false)
	}
}
