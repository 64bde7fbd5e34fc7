package fit

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

const degree = math.Pi / 180

func fitSymmetric(t testing.TB, in SymmetricInput) *Symmetric {
	t.Helper()
	s, err := FitSymmetric(context.Background(), in)
	require.NoError(t, err)
	return s
}

func (p *pane) motion() motion { return motion{p.shift, p.skew, p.roll} }

// allRound reads both halves.
func (p *pane) allRound(rng *rand.Rand) SymmetricInput {
	return SymmetricInput{Edge: p.edgeMarks(rng, 80, 0.5), Face: p.faceMarks(rng, 40, 0.5)}
}

// half reads the right half and 80 mm more.
func (p *pane) halfRead(rng *rand.Rand) SymmetricInput {
	in := SymmetricInput{Edge: p.halfMarks(rng, 80, 0.5)}
	for _, m := range p.faceMarks(rng, 60, 0.5) {
		if m.P.X > -80 {
			in.Face = append(in.Face, m)
		}
	}
	return in
}

// tapes adds n full widths, the twins found to 3 mm along the edge.
func (p *pane) tapes(rng *rand.Rand, in SymmetricInput, n int) SymmetricInput {
	var side []int
	for i, m := range in.Edge {
		if m.P.X > 0.35*p.w {
			side = append(side, i)
		}
	}
	for j := range n {
		i := side[(2*j+1)*len(side)/(2*n)]
		k, least := 0, math.Inf(1)
		for c, q := range p.rim {
			if d := r3.Norm(r3.Sub(q, in.Edge[i].P)); d < least {
				k, least = c, d
			}
		}
		off := k + int(math.Round(3*rng.NormFloat64())) // the twin, 1 mm a step
		twin := p.plan[(off+len(p.plan))%len(p.plan)]
		twin.X = -twin.X
		a, b := p.plan[k], twin
		l := r3.Norm(vec3(a.X-b.X, a.Y-b.Y, p.face(a.X, a.Y)-p.face(b.X, b.Y)))
		in.Widths = append(in.Widths, Width{Mark: i, Length: l + 0.5*rng.NormFloat64(), SD: 0.5, Along: 3})
	}
	return in
}

// centreMarks adds a mark near the top and one near the bottom of the line.
func (p *pane) centreMarks(rng *rand.Rand, in SymmetricInput) SymmetricInput {
	for _, y := range []float64{-0.45, 0.45} {
		q := p.toBoard(vec3(0, y*p.h, p.face(0, y*p.h)))
		q.X += rng.NormFloat64()
		in.Centre = append(in.Centre, Mark{P: q, SXY: 1})
	}
	return in
}

// planeErrors takes found minus true offset at the mean edge mark, skew and
// roll, and the stated sd of each.
func (p *pane) planeErrors(in SymmetricInput, s *Symmetric) (e, u [3]float64) {
	var c r3.Vec
	for _, m := range in.Edge {
		c = r3.Add(c, r3.Scale(1/float64(len(in.Edge)), m.P))
	}
	m := motion{s.Shift, s.Skew, s.Roll}
	change := m.change(s.Motion.Apply(c))
	for i := range change {
		for j := range change {
			u[0] += change[i].X * change[j].X * s.Cov[i][j]
		}
	}
	u = [3]float64{math.Sqrt(u[0]), math.Sqrt(s.Cov[1][1]), math.Sqrt(s.Cov[2][2])}
	return [3]float64{s.Plane().Dist(c) - p.motion().plane().Dist(c), s.Skew - p.skew, s.Roll - p.roll}, u
}

// The accuracy that the documentation states: mm and degrees at sigma 0.5.
func TestSymmetricMeasured(t *testing.T) {
	for _, c := range []struct {
		name               string
		panes              int
		read               func(*pane, *rand.Rand) SymmetricInput
		source             string
		offset, skew, roll float64 // p95 bars
		rms                float64 // median bar of the outline
	}{
		{"all round", *panes, (*pane).allRound, "outline", 0.22, 0.038, 0.020, 0.33},
		{"half, five check stations", *panes, func(p *pane, rng *rand.Rand) SymmetricInput {
			in := p.halfRead(rng)
			in.Edge = append(in.Edge, p.checkMarks(rng, 0.5)...)
			return in
		}, "stations", 0.5, 0.12, 0.05, 0.45},
		{"half, four widths", *panes, func(p *pane, rng *rand.Rand) SymmetricInput {
			return p.tapes(rng, p.halfRead(rng), 4)
		}, "tapes", 0.9, 0.3, 0.5, 0.6},
		{"half, widths and centre marks", *panes, func(p *pane, rng *rand.Rand) SymmetricInput {
			return p.centreMarks(rng, p.tapes(rng, p.halfRead(rng), 2))
		}, "mixed", 0.95, 0.25, 0.5, 0.6},
	} {
		var offset, skew, roll, rms, honest stat
		var held, asked int
		for i := range c.panes {
			rng := source(40, i)
			p := newPane(rng, kinds[i%2].maker)
			in := c.read(p, rng)
			s := fitSymmetric(t, in)
			require.True(t, s.Determined, "%s, pane %d: %s", c.name, i, s.Why)
			require.Equal(t, c.source, s.Source)
			e, u := p.planeErrors(in, s)
			for k := range e {
				asked++
				if math.Abs(e[k]) <= 1.96*u[k] {
					held++
				}
				honest = append(honest, e[k]/u[k])
			}
			offset, skew, roll = append(offset, math.Abs(e[0])), append(skew, math.Abs(e[1])/degree), append(roll, math.Abs(e[2])/degree)
			d, _ := p.missesOf(s.Outline, p.motion().frame(), 5)
			rms = append(rms, d.rms())
		}
		t.Logf("%-30s offset p95 %.2f mm, skew p95 %.3f°, roll p95 %.3f°, outline RMS median %.3f p95 %.3f, 95 %% intervals held %d of %d, true over stated sd %.2f",
			c.name, offset.quantile(0.95), skew.quantile(0.95), roll.quantile(0.95), rms.quantile(0.5), rms.quantile(0.95), held, asked, honest.rms())
		require.Less(t, offset.quantile(0.95), c.offset, c.name)
		require.Less(t, skew.quantile(0.95), c.skew, c.name)
		require.Less(t, roll.quantile(0.95), c.roll, c.name)
		require.Less(t, rms.quantile(0.5), c.rms, c.name)
		require.GreaterOrEqual(t, float64(held), 0.9*float64(asked), c.name)
	}
}

// From all round the guess may be 30 mm, 3 degrees and 1 degree of roll off.
func TestSymmetricFarGuess(t *testing.T) {
	for i := range 10 {
		rng := source(41, i)
		p := newPane(rng, maker{})
		in := p.allRound(rng)
		near := fitSymmetric(t, in)
		away := motion{30 * math.Copysign(1, rng.NormFloat64()), 3 * degree * math.Copysign(1, rng.NormFloat64()), uniform(rng, -1, 1) * degree}.frame()
		far := in
		far.Edge, far.Face = slices.Clone(in.Edge), slices.Clone(in.Face)
		for _, set := range [][]Mark{far.Edge, far.Face} {
			for k := range set {
				set[k].P = away.Apply(set[k].P)
			}
		}
		s := fitSymmetric(t, far)
		require.True(t, s.Determined)
		back := away.Inverse()
		a, b := near.Plane(), s.Plane()
		n := back.Rotate(b.Normal)
		require.InDelta(t, 0, r3.Norm(r3.Sub(n, a.Normal))/degree, 0.02, "degrees from the near guess, pane %d", i)
		mean := vec3(0, p.dy, p.dz)
		require.InDelta(t, a.Dist(mean), b.Dist(away.Apply(mean)), 0.1, "mm from the near guess, pane %d", i)
	}
}

// The left half measured is the mirror image of the right half measured.
func TestSymmetricLeftHalf(t *testing.T) {
	rng := source(42, 0)
	p := newPane(rng, maker{})
	in := p.halfRead(rng)
	in.Edge = append(in.Edge, p.checkMarks(rng, 0.5)...)
	right := fitSymmetric(t, in)
	for _, set := range [][]Mark{in.Edge, in.Face} {
		for k := range set {
			set[k].P.X = -set[k].P.X
		}
	}
	slices.Reverse(in.Edge)
	left := fitSymmetric(t, in)
	require.InDelta(t, -right.Shift, left.Shift, 0.05, "mm")
	require.InDelta(t, -right.Skew, left.Skew, 0.01*degree)
	require.InDelta(t, -right.Roll, left.Roll, 0.01*degree)
	require.Less(t, apart(right.Outline.Curve, left.Outline.Curve), 0.2)
}

// Half a pane and nothing else says nothing about the line; one kind of help
// is enough, too little of it is not.
func TestSymmetricUndetermined(t *testing.T) {
	rng := source(43, 0)
	p := newPane(rng, maker{})
	in := p.halfRead(rng)
	check := p.checkMarks(rng, 0.5)
	with := func(f func(*SymmetricInput)) SymmetricInput {
		out := in
		out.Edge = slices.Clone(in.Edge)
		f(&out)
		return out
	}
	for name, c := range map[string]struct {
		in   SymmetricInput
		want bool
	}{
		"nothing":            {in, false},
		"two check stations": {with(func(s *SymmetricInput) { s.Edge = append(s.Edge, check[:2]...) }), false},
		"one centre mark":    {with(func(s *SymmetricInput) { s.Centre = []Mark{{P: p.toBoard(r3.Vec{}), SXY: 1, SZ: 1}} }), false},
		"five stations":      {with(func(s *SymmetricInput) { s.Edge = append(s.Edge, check...) }), true},
		"four widths":        {p.tapes(rng, in, 4), true},
		"two centre marks":   {p.centreMarks(rng, in), true},
	} {
		s := fitSymmetric(t, c.in)
		require.Equal(t, c.want, s.Determined, name)
		require.NotNil(t, s.Outline, name)
		require.NotNil(t, s.Face, name)
		if !c.want {
			require.NotEmpty(t, s.Why, name)
			require.Equal(t, "none", s.Source, name)
			require.Zero(t, s.Shift, name)
			require.Zero(t, s.Cov, name)
			require.Equal(t, geom.Identity(), s.Motion, name)
		} else {
			require.Empty(t, s.Why, name)
		}
	}
}

func TestSymmetricFixed(t *testing.T) {
	rng := source(44, 0)
	p := newPane(rng, maker{})
	in := p.allRound(rng)
	in.Fixed = true
	s := fitSymmetric(t, in)
	require.True(t, s.Determined)
	require.Equal(t, "typed", s.Source)
	require.Equal(t, geom.Identity(), s.Motion)
	require.Zero(t, s.Cov)
	require.Greater(t, s.Outline.Sigma, 1.0, "a pane folded at the wrong line misses its readings")
}

// Outline and face are their own mirror images to the last digit or nearly.
func TestSymmetricIsSymmetric(t *testing.T) {
	rng := source(45, 0)
	p := newPane(rng, maker{})
	s := fitSymmetric(t, p.allRound(rng))
	c := s.Outline.Curve
	k, ctrl := c.Knots(), c.Ctrl()
	n := c.N()
	for j := range n {
		require.InDelta(t, k[j]-k[0], k[n]-k[n-j], 1e-9, "mm, knots")
		require.Equal(t, r2.Vec{X: -ctrl[j].X, Y: ctrl[j].Y}, ctrl[(n-j)%n])
	}
	require.Zero(t, ctrl[0].X)
	start := c.At(k[0])
	require.InDelta(t, 0, start.X, 1e-9)
	require.Less(t, start.Y, c.At((k[0]+k[n])/2).Y, "starts at the bottom")
	require.InDelta(t, 1, c.Tangent(k[0]).X, 1e-12, "square to the line")
	for _, q := range []r2.Vec{{X: 300, Y: 100}, {X: 10, Y: -200}} {
		require.InDelta(t, s.Face.Face.At(q.X, q.Y), s.Face.Face.At(-q.X, q.Y), 1e-10)
	}
	require.InDelta(t, 0, s.Motion.Apply(s.Plane().Point).X, 1e-9)
	require.InDelta(t, 1, s.Motion.Rotate(s.Plane().Normal).X, 1e-12)
	require.Len(t, s.Outline.Miss, 80)
}

func TestSymmetricWithoutHeights(t *testing.T) {
	rng := source(46, 0)
	p := newPane(rng, maker{level: true})
	in := SymmetricInput{Edge: p.edgeMarks(rng, 80, 0.5)}
	for i := range in.Edge {
		in.Edge[i].P.Z = math.NaN()
	}
	s := fitSymmetric(t, in)
	require.Nil(t, s.Face)
	require.True(t, s.Determined)
	require.InDelta(t, 0, s.Shift, 0.5)
	require.InDelta(t, 0, s.Roll, 1e-6, "nothing tells the roll")
	require.Greater(t, s.Cov[2][2], 1e-4, "and it says so")

	// heights on half of the marks only: the others lie on the face
	rng = source(46, 1)
	p = newPane(rng, maker{})
	in = p.allRound(rng)
	for i := range in.Edge {
		if i%2 == 0 {
			in.Edge[i].P.Z = math.NaN()
		}
	}
	s = fitSymmetric(t, in)
	e, _ := p.planeErrors(SymmetricInput{Edge: in.Edge[1:2]}, s)
	require.InDelta(t, 0, e[0], 0.6, "mm")
	require.InDelta(t, 0, e[2]/degree, 0.04)
	require.True(t, math.IsNaN(s.Face.Miss[0]))
}

// A slip that came through loses its pull.
func TestSymmetricShrugsOffSlips(t *testing.T) {
	rng := source(47, 0)
	p := newPane(rng, maker{})
	in := p.allRound(rng)
	want := fitSymmetric(t, in)
	in.Edge[30].P.X += 15
	in.Edge[60].P.Z += 20
	got := fitSymmetric(t, in)
	require.InDelta(t, want.Shift, got.Shift, 0.3, "mm")
	require.InDelta(t, want.Skew, got.Skew, 0.03*degree)
	require.InDelta(t, want.Roll, got.Roll, 0.02*degree)
	require.Contains(t, suspects(got.Face.Suspect), 60)
}

func TestSymmetricRefuses(t *testing.T) {
	rng := source(48, 0)
	p := newPane(rng, maker{})
	good := p.allRound(rng)
	var e *MarkError
	_, err := FitSymmetric(context.Background(), SymmetricInput{Edge: good.Edge[:5]})
	require.ErrorAs(t, err, &e)
	bad := good
	bad.Centre = []Mark{{P: r3.Vec{X: math.NaN()}, SXY: 1, SZ: 1}}
	_, err = FitSymmetric(context.Background(), bad)
	require.ErrorAs(t, err, &e)
	for name, w := range map[string]Width{
		"mark":   {Mark: 80, Length: 900, SD: 1},
		"length": {Mark: 3, Length: math.NaN(), SD: 1},
		"sd":     {Mark: 3, Length: 900},
		"along":  {Mark: 3, Length: 900, SD: 1, Along: -1},
	} {
		bad = good
		bad.Widths = []Width{w}
		_, err = FitSymmetric(context.Background(), bad)
		require.Error(t, err, name)
	}
	bad = SymmetricInput{Edge: slices.Clone(good.Edge), Fixed: true}
	for i := range bad.Edge { // the guess lies clear of the pane
		bad.Edge[i].P.X += 5000
	}
	_, err = FitSymmetric(context.Background(), bad)
	require.Error(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = FitSymmetric(ctx, good)
	require.ErrorIs(t, err, context.Canceled)
}

// Readings without noise give the plane and the shape all but exactly.
func TestSymmetricExactReadings(t *testing.T) {
	truth := motion{3.175, 0.15 * degree, 0.05 * degree}
	back := truth.frame().Inverse()
	z := func(x, y float64) float64 { return 100 - x*x/5800 - y*y/9000 }
	in := SymmetricInput{Face: lattice(z), Edge: ellipse(80, 650, 380)}
	for i, m := range in.Edge {
		in.Edge[i].P.Z, in.Edge[i].SZ = z(m.P.X, m.P.Y), 0.5
	}
	for _, set := range [][]Mark{in.Edge, in.Face} {
		for i := range set {
			set[i].P = back.Apply(set[i].P)
		}
	}
	s := fitSymmetric(t, in)
	require.InDelta(t, truth[0], s.Shift, 0.02, "mm")
	require.InDelta(t, truth[1], s.Skew, 0.002*degree)
	require.InDelta(t, truth[2], s.Roll, 0.001*degree)
	require.InDelta(t, z(400, 100), s.Face.Face.At(400, 100), 0.01)
	require.Less(t, s.Outline.Sigma, 0.05)
}

// Thousands of sharp readings from a touch probe: while the plane is still off
// they contradict an even face badly, which must not lead it astray.
func TestSymmetricManySharpReadings(t *testing.T) {
	rng := source(50, 2)
	p := newPane(rng, maker{})
	in := SymmetricInput{Edge: p.probeMarks(rng, 2000, 0.05)}
	s := fitSymmetric(t, in)
	e, _ := p.planeErrors(in, s)
	require.InDelta(t, 0, e[0], 0.02, "mm")
	require.InDelta(t, 0, e[1], 0.002*degree)
	require.InDelta(t, 0, e[2], 0.002*degree)
	require.InDelta(t, 0.05, s.Outline.Sigma, 0.005)
	require.InDelta(t, 0.05, s.Face.Sigma, 0.005)
}

func TestSymmetricDeterministic(t *testing.T) {
	rng := source(49, 0)
	in := newPane(rng, soft).allRound(rng)
	a, b := fitSymmetric(t, in), fitSymmetric(t, in)
	require.Equal(t, a.Cov, b.Cov)
	require.Equal(t, a.Outline.Curve.Ctrl(), b.Outline.Curve.Ctrl())
	require.Equal(t, a.Face.Face.Coeffs(), b.Face.Face.Coeffs())
}

// The distance between outline and mirror image is twice the error of the
// line where the edge is square to it.
func TestAsymmetry(t *testing.T) {
	o := fitOutline(t, ellipse(80, 600, 350))
	rms, most := Asymmetry(o, nil, motion{}.plane())
	require.InDelta(t, 0, rms, 0.05)
	require.InDelta(t, 0, most, 0.1)
	_, most = Asymmetry(o, nil, motion{1.5875}.plane())
	require.InDelta(t, 2*1.5875, most, 0.1)
	// on a level face at height 100 a roll moves the image by 2·roll·100
	f := fitFace(t, lattice(func(x, y float64) float64 { return 100 }), false)
	_, most = Asymmetry(o, f, motion{0, 0, 0.01}.plane())
	require.InDelta(t, 2*0.01*100, most, 0.2)
}

// A straight cylinder z = −x²/(2R) rolled by rho looks, in its heights
// alone, like one moved sideways by R·rho: without the outline nothing can
// tell, so half an outline and heights leave the plane undetermined.
func TestSymmetricRollHidesOffset(t *testing.T) {
	const r, rho = 2900.0, 0.001
	z := func(x float64) float64 { return -x * x / (2 * r) }
	for x := -600.0; x <= 600; x += 50 {
		moved := z(x-r*rho) + r*rho*rho/2
		require.InDelta(t, moved, z(x)+rho*x, 1e-3, "the two are one reading")
	}
	var in SymmetricInput
	for y := -300.0; y <= 300; y += 100 {
		for x := -80.0; x <= 700; x += 65 {
			in.Face = append(in.Face, Mark{P: vec3(x, y, z(x)+rho*x), SXY: 0.5, SZ: 0.5})
		}
	}
	for _, m := range ellipse(80, 700, 350) {
		if m.P.X > -80 {
			m.P.Z, m.SZ = z(m.P.X)+rho*m.P.X, 0.5
			in.Edge = append(in.Edge, m)
		}
	}
	require.False(t, fitSymmetric(t, in).Determined)
}

func BenchmarkFitSymmetric160(b *testing.B) {
	rng := source(50, 0)
	p := newPane(rng, maker{})
	in := SymmetricInput{Edge: p.edgeMarks(rng, 100, 0.5), Face: p.faceMarks(rng, 60, 0.5)}
	for b.Loop() {
		fitSymmetric(b, in)
	}
}

func BenchmarkFitSymmetric20000(b *testing.B) {
	rng := source(50, 1)
	in := SymmetricInput{Edge: newPane(rng, maker{}).probeMarks(rng, 20000, 0.05)}
	for b.Loop() {
		fitSymmetric(b, in)
	}
}
