package handover

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	stepfile "panewright/export/step"
	"panewright/geom"
)

// ball is a face of a sphere, a dome over the origin for r > 0 and a bowl for r <
// 0, leaning.
type ball struct{ r, lean float64 }

func (s ball) Eval(x, y float64) geom.Height {
	k := math.Copysign(1, s.r)
	w := math.Sqrt(s.r*s.r - x*x - y*y)
	w3 := w * w * w
	return geom.Height{
		Z: k*w - s.r + s.lean*x, Zx: -k*x/w + s.lean, Zy: -k * y / w,
		Zxx: -k * (w*w + x*x) / w3, Zxy: -k * x * y / w3, Zyy: -k * (w*w + y*y) / w3,
	}
}

// quarterPane is a pane of three sides with round corners of the given radius, 400 mm
// across, on a face.
func quarterPane(t testing.TB, s geom.Surface, corner float64, profile geom.Profile) *geom.Pane {
	t.Helper()
	ends := []r2.Vec{{X: -200, Y: -110}, {X: 200, Y: -110}, {X: 120, Y: 130}}
	var core []r2.Vec // centres of the corners, by moving the sides in
	for i := range ends {
		a, b, c := ends[(i+2)%3], ends[i], ends[(i+1)%3]
		u, v := r2.Unit(r2.Sub(a, b)), r2.Unit(r2.Sub(c, b))
		half := math.Acos(r2.Dot(u, v)) / 2
		core = append(core, r2.Add(b, r2.Scale(corner/math.Sin(half), r2.Unit(r2.Add(u, v)))))
	}
	type piece struct {
		length float64
		at     func(s float64) r2.Vec
	}
	var pieces []piece
	for i := range core {
		a, b, c := core[i], core[(i+1)%3], core[(i+2)%3]
		way, next := r2.Unit(r2.Sub(b, a)), r2.Unit(r2.Sub(c, b))
		out := r2.Vec{X: way.Y, Y: -way.X}
		pieces = append(pieces, piece{r2.Norm(r2.Sub(b, a)), func(s float64) r2.Vec {
			return r2.Add(a, r2.Add(r2.Scale(corner, out), r2.Scale(s, way)))
		}})
		turn := math.Acos(r2.Dot(way, next))
		pieces = append(pieces, piece{turn * corner, func(s float64) r2.Vec {
			sin, cos := math.Sincos(s / corner)
			return r2.Add(b, r2.Scale(corner, r2.Vec{X: out.X*cos - out.Y*sin, Y: out.X*sin + out.Y*cos}))
		}})
	}
	breaks := []float64{0}
	for _, p := range pieces {
		for k := 1; k <= 4; k++ {
			breaks = append(breaks, breaks[len(breaks)-1]+p.length/4)
		}
	}
	plan, err := geom.FitClosed(func(u float64) r2.Vec {
		for _, p := range pieces {
			if u <= p.length {
				return p.at(u)
			}
			u -= p.length
		}
		return pieces[0].at(u)
	}, breaks, 2e-3)
	require.NoError(t, err)
	face, err := geom.FaceThrough(s, grown(plan.Bounds(), 20), 60)
	require.NoError(t, err)
	pane, err := geom.NewPane(face, plan, 4, profile)
	require.NoError(t, err)
	return pane
}

// lying is the pack of a pane that lies as told.
func lying(p *geom.Pane, lay board.Lay) *pack {
	j := board.NewJob("pane")
	j.Pane.Lay = lay
	return &pack{m: &board.Model{Job: j, Pane: p}}
}

// lays are a dome and a bowl, each leaning, with outer and inner skin.
func lays(t testing.TB, corner float64) map[string][2]skin {
	t.Helper()
	out := map[string][2]skin{}
	for _, r := range []float64{1800, -1800} {
		lay := board.Dome
		if r < 0 {
			lay = board.Bowl
		}
		p := quarterPane(t, ball{r, 0.08}, corner, geom.SquareEdge)
		out[lay.String()] = lying(p, lay).skins(p)
	}
	return out
}

// inPlan are places inside a closed curve.
func inPlan(t testing.TB, c *geom.SpaceCurve) (in []r2.Vec) {
	t.Helper()
	plan, err := c.Plan()
	require.NoError(t, err)
	shape, b := loop(plan), plan.Bounds()
	rng := rand.New(rand.NewPCG(1, 2))
	for len(in) < 400 {
		q := r2.Vec{X: b.Min.X + (b.Max.X-b.Min.X)*rng.Float64(), Y: b.Min.Y + (b.Max.Y-b.Min.Y)*rng.Float64()}
		if shape.Contains(q) {
			in = append(in, q)
		}
	}
	return in
}

// TestGlueLineIsParallel: every place of the face at the glue line lies the glue
// off the inner face, square to it and away from the glass, and its edge lies so
// off the inner edge.
func TestGlueLineIsParallel(t *testing.T) {
	for name, s := range lays(t, 30) {
		for _, glue := range []float64{3, 6, 25} {
			inner, outer := s[1], s[0]
			face, edge, err := inner.parallel(inner.away * glue)
			require.NoError(t, err)
			for _, q := range inPlan(t, edge) {
				p := r3.Vec{X: q.X, Y: q.Y, Z: face.At(q.X, q.Y)}
				foot := inner.foot(p)
				assert.InDelta(t, glue, r3.Norm(r3.Sub(p, foot)), bodyMiss, "mm: %s", name)
				assert.InDelta(t, 1, r3.Dot(face.Eval(q.X, q.Y).Normal(), inner.normal(foot)), 1e-9, "parallel")
				assert.Greater(t, r3.Norm(r3.Sub(p, outer.foot(p))), glue+3.9, "away from the glass: %s", name)
			}
			lo, hi := edge.Period()
			for i := range 300 {
				u := lo + (hi-lo)*float64(i)/300
				assert.InDelta(t, glue, r3.Norm(r3.Sub(edge.At(u), inner.edge.At(u))), bodyMiss, "mm: %s", name)
			}
		}
	}
}

// TestExtendedIsTheSameFace: the extended face is the outer one inside its edge and
// across it, and reaches as far past it as asked for.
func TestExtendedIsTheSameFace(t *testing.T) {
	for name, s := range lays(t, 30) {
		for _, by := range []float64{5, 30, 50} {
			outer := s[0]
			e, err := outer.extended(by)
			require.NoError(t, err)
			assert.Equal(t, "extended", e.Name)
			lo, hi := outer.edge.Period()
			for i := range 500 {
				q := outer.edge.At(lo + (hi-lo)*float64(i)/500)
				assert.InDelta(t, q.Z, e.Face.At(q.X, q.Y), 2e-4, "mm: %s", name)
				angle := math.Acos(min(1, r3.Dot(e.Face.Eval(q.X, q.Y).Normal(), outer.normal(q))))
				assert.Less(t, angle*180/math.Pi, 1e-3, "degrees: %s", name)
			}
			for _, q := range inPlan(t, outer.edge) {
				assert.InDelta(t, outer.face.At(q.X, q.Y), e.Face.At(q.X, q.Y), 1e-9, "mm: %s", name)
			}
			plan, err := outer.edge.Plan()
			require.NoError(t, err)
			lo, hi = e.Edge.Period()
			for i := range 300 {
				q := e.Edge.At(lo + (hi-lo)*float64(i)/300)
				_, d := plan.Nearest(r2.Vec{X: q.X, Y: q.Y})
				assert.InDelta(t, by, d, 3e-3, "mm: %s", name)
			}
		}
	}
}

// TestContinued: any face, continued any way: the same inside its box, with two
// derivatives that run on across its border, and a parabola outward.
func TestContinued(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	rising := func(n int) []float64 {
		k := []float64{-40, -40, -40, -40}
		for range n {
			k = append(k, k[len(k)-1]+5+40*rng.Float64())
		}
		return append(k, k[len(k)-1], k[len(k)-1], k[len(k)-1])
	}
	for range 60 {
		kx, ky := rising(1+rng.IntN(5)), rising(1+rng.IntN(5))
		c := make([]float64, (len(kx)-4)*(len(ky)-4))
		for i := range c {
			c[i] = 5 * rng.NormFloat64()
		}
		f, err := geom.NewFace(kx, ky, c)
		require.NoError(t, err)
		b := f.Box()
		over := r2.Box{
			Min: r2.Vec{X: b.Min.X - 30*rng.Float64() + 10, Y: b.Min.Y - 30*rng.Float64() + 10},
			Max: r2.Vec{X: b.Max.X + 30*rng.Float64() - 10, Y: b.Max.Y + 30*rng.Float64() - 10},
		}
		g, err := continued(f, over)
		require.NoError(t, err)
		have := g.Box()
		assert.Equal(t, min(b.Min.X, over.Min.X), have.Min.X)
		assert.Equal(t, max(b.Max.Y, over.Max.Y), have.Max.Y)
		for range 200 {
			x := have.Min.X + (have.Max.X-have.Min.X)*rng.Float64()
			y := have.Min.Y + (have.Max.Y-have.Min.Y)*rng.Float64()
			assert.InDelta(t, f.At(x, y), g.At(x, y), 1e-6, "the face's own continuation is the same parabola")
		}
	}
}

// dense are places along an edge.
func dense(c *geom.SpaceCurve) (pts []r3.Vec) {
	lo, hi := c.Period()
	for i := range 5000 {
		pts = append(pts, c.At(lo+(hi-lo)*float64(i)/5000))
	}
	return pts
}

// placesOf are places of a spline.
func placesOf(s stepfile.Spline) (pts []r3.Vec) {
	for i := range 60 {
		lo, hi := s.Knots[0], s.Knots[len(s.Knots)-1]
		u := lo + (hi-lo)*float64(i)/59
		k := 3
		for k < len(s.Ctrl)-1 && u >= s.Knots[k+1] {
			k++
		}
		var d [4]r3.Vec
		copy(d[:], s.Ctrl[k-3:k+1])
		for r := 1; r <= 3; r++ {
			for j := 3; j >= r; j-- {
				i := j + k - 3
				a := (u - s.Knots[i]) / (s.Knots[i+4-r] - s.Knots[i])
				d[j] = r3.Add(r3.Scale(1-a, d[j-1]), r3.Scale(a, d[j]))
			}
		}
		pts = append(pts, d[3])
	}
	return pts
}

// TestFlangeIsAsWide: the inner line lies the width inside the edge everywhere,
// round corners and, where they are tighter than the flange is wide, at the sharp
// corners of the line.
func TestFlangeIsAsWide(t *testing.T) {
	const width = 20.0
	for _, corner := range []float64{45, 19.5, 6} {
		for name, s := range lays(t, corner) {
			inner := s[1]
			sheet, err := inner.flange(width)
			require.NoError(t, err, "%s, corner of %g mm", name, corner)
			if corner > width {
				assert.Len(t, sheet.Hole, 4, "a smooth line")
			} else {
				assert.Len(t, sheet.Hole, 3, "three sharp corners: %s, %g mm", name, corner)
			}
			edge := dense(inner.edge)
			for _, piece := range sheet.Hole {
				for _, q := range placesOf(piece) {
					assert.InDelta(t, inner.face.At(q.X, q.Y), q.Z, 1e-3, "mm, on the face")
					least := math.Inf(1)
					for _, e := range edge {
						least = min(least, r3.Norm(r3.Sub(q, e)))
					}
					assert.InDelta(t, width, least, 0.02, "mm: %s, corner of %g mm", name, corner)
				}
			}
		}
	}
	_, err := lays(t, 30)["dome"][1].flange(100)
	assert.Error(t, err, "wider than the pane has room for")
}

// TestShapesThatCannotBe are left out, with a warning that says why and where, once,
// and the rest is there.
func TestShapesThatCannotBe(t *testing.T) {
	p := quarterPane(t, ball{1800, 0}, 30, geom.SquareEdge)
	k := lying(p, board.Dome)
	k.ctx, k.sum, k.body = t.Context(), &Summary{}, board.BodyFiles{Flange: 100, PanelGap: 5}
	for range 2 {
		d, err := k.facesOf(p)
		require.NoError(t, err)
		assert.Len(t, d.Sheets, 2, "no flange 100 mm wide on a pane 240 mm high")
		assert.True(t, slices.ContainsFunc(d.Curves, func(c stepfile.Curve) bool { return c.Name == "aperture line" }))
	}
	require.Len(t, k.sum.Warnings, 1)
	assert.Equal(t, "no-shape", k.sum.Warnings[0].Code)
	assert.Contains(t, k.sum.Warnings[0].Text, "There is no flange in faces.step: ")
	assert.NotContains(t, k.sum.Warnings[0].Text, "geom:")
}

// TestAperture: it lies the gap off the edge, in the tangent plane of the outer
// face; off the widest place of a round edge.
func TestAperture(t *testing.T) {
	const gap = 5.0
	for _, profile := range []geom.Profile{geom.SquareEdge, geom.RoundEdge} {
		p := quarterPane(t, ball{1800, 0.08}, 30, profile)
		outer := lying(p, board.Dome).skins(p)[0]
		line, err := outer.aperture(gap, p)
		require.NoError(t, err)
		lo, hi := line.Period()
		for i := range 500 {
			u := lo + (hi-lo)*float64(i)/500
			e, _, _, _ := outer.edge.Derivs(u)
			off := r3.Sub(line.At(u), e)
			assert.InDelta(t, 0, r3.Dot(off, outer.normal(e)), 1e-3, "mm, in the tangent plane")
			want := gap
			if profile == geom.RoundEdge {
				want += p.Thickness / 2
			}
			assert.InDelta(t, want, r3.Norm(off), 1e-3, "mm")
		}
	}
}

// TestSections: each lies on the face, at its level, from edge to edge, one for
// each level that the face reaches.
func TestSections(t *testing.T) {
	for name, s := range lays(t, 30) {
		outer := s[0]
		cuts, err := outer.sections(50)
		require.NoError(t, err)
		assert.Len(t, cuts, 5+6, "across at -100 … 100, down at -100 … 150: %s", name)
		edge := dense(outer.edge)
		for _, c := range cuts {
			pts := placesOf(c.Spline)
			for _, q := range pts {
				assert.InDelta(t, outer.face.At(q.X, q.Y), q.Z, 1e-9, "mm: %s", c.Name)
			}
			for _, end := range []r3.Vec{pts[0], pts[len(pts)-1]} {
				least := slices.MinFunc(edge, func(a, b r3.Vec) int {
					return int(math.Copysign(1, r3.Norm(r3.Sub(a, end))-r3.Norm(r3.Sub(b, end))))
				})
				assert.Less(t, r3.Norm(r3.Sub(least, end)), 0.2, "mm: %s, %s", name, c.Name)
			}
		}
	}
	_, err := lays(t, 30)["dome"][0].sections(0.5)
	assert.ErrorContains(t, err, "sections every")
}

// TestThicker keeps the outer face where it is, whichever way the pane lies.
func TestThicker(t *testing.T) {
	for _, r := range []float64{1800, -1800} {
		lay := board.Dome
		if r < 0 {
			lay = board.Bowl
		}
		p := quarterPane(t, ball{r, 0.05}, 30, geom.SquareEdge)
		outer := lying(p, lay).skins(p)[0]
		thick, err := thicker(outer, p, 5)
		require.NoError(t, err)
		assert.Equal(t, 20.0, thick.Thickness)
		same := lying(thick, lay).skins(thick)[0]
		for _, q := range inPlan(t, outer.edge) {
			assert.InDelta(t, outer.face.At(q.X, q.Y), same.face.At(q.X, q.Y), 2*bodyMiss, "mm: %s", lay)
		}
		a, b := dense(outer.edge), dense(same.edge)
		for i := range a {
			assert.InDelta(t, 0, r3.Norm(r3.Sub(a[i], b[i])), 2*bodyMiss, "mm: %s", lay)
		}
	}
}

// TestCarAxes: the top of a windscreen leans to the rear, its outer face looks
// ahead and up, its right, seen from outside, is the driver's left; and so on for
// the other sides, and for a bowl.
func TestCarAxes(t *testing.T) {
	const rake = 58.0
	s, c := math.Sincos(rake * math.Pi / 180)
	up := r3.Vec{Z: 1}
	for facing, out := range map[board.Facing]r3.Vec{board.Front: {X: -1}, board.Rear: {X: 1}, board.Left: {Y: -1}, board.Right: {Y: 1}} {
		for _, lay := range []board.Lay{board.Dome, board.Bowl} {
			at := r3.Vec{X: 10, Y: 20, Z: 30}
			f, err := carFrame(&board.Car{By: board.ByRake, Facing: facing, Rake: rake, At: at}, lying(nil, lay).m)
			require.NoError(t, err)
			outer := r3.Vec{Z: 1}
			if lay == board.Bowl {
				outer.Z = -1
			}
			near := func(want, got r3.Vec, what string) {
				assert.InDelta(t, 0, r3.Norm(r3.Sub(want, got)), 1e-12, "%s, %v, %s", what, facing, lay)
			}
			near(r3.Add(r3.Scale(c, out), r3.Scale(s, up)), f.Rotate(outer), "outer face")
			near(r3.Sub(r3.Scale(c, up), r3.Scale(s, out)), f.Rotate(r3.Vec{Y: 1}), "up the pane")
			near(f.Rotate(r3.Vec{X: 1}), r3.Cross(f.Rotate(r3.Vec{Y: 1}), f.Rotate(r3.Vec{Z: 1})), "right-handed")
			assert.Equal(t, at, f.Apply(r3.Vec{}))
			if facing == board.Front && lay == board.Dome {
				near(r3.Vec{Y: -1}, f.Rotate(r3.Vec{X: 1}), "the driver's left")
			}
		}
	}
}

// BenchmarkFaces makes everything that faces.step may hold, of a windscreen-like
// pane.
func BenchmarkFaces(b *testing.B) {
	p := quarterPane(b, ball{1800, 0}, 30, geom.SquareEdge)
	k := lying(p, board.Dome)
	k.sum = &Summary{}
	k.body = board.BodyFiles{Glue: 5, Extend: 40, Flange: 20, PanelGap: 5, Sections: 50}
	k.ctx = b.Context()
	for b.Loop() {
		if _, err := k.facesOf(p); err != nil {
			b.Fatal(err)
		}
	}
}
