package fit

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// shapes are fits of every kind whose uncertainty is looked at: the model of
// sides and corners, the spline, both with and without a plane.
func shapes(t *testing.T) map[string]*Symmetric {
	t.Helper()
	out := map[string]*Symmetric{}
	rng := source(90, 1)
	p := newPane(rng, maker{})
	marks := p.edgeMarks(rng, 80, 0.5)
	heights := p.faceMarks(rng, 40, 0.5)
	free := fitOutline(t, marks)
	require.NotEmpty(t, free.Corners)
	f, err := FitFace(context.Background(), append(marks, heights...), boxOf(marks, 60), FaceOptions{})
	require.NoError(t, err)
	out["free"] = &Symmetric{Outline: free, Face: f}

	egg := ellipse(40, 500, 300)
	for i := range egg {
		egg[i].P.X, egg[i].P.Y = egg[i].P.X+0.5*rng.NormFloat64(), egg[i].P.Y+0.5*rng.NormFloat64()
		egg[i].P.Z, egg[i].SZ = 0.5*rng.NormFloat64(), 0.5
	}
	f, err = FitFace(context.Background(), egg, boxOf(egg, 60), FaceOptions{})
	require.NoError(t, err)
	out["spline"] = &Symmetric{Outline: fitOutline(t, egg), Face: f}

	out["mirrored"] = fitSymmetric(t, p.allRound(rng))
	in := p.halfRead(rng)
	in.Edge = append(in.Edge, p.checkMarks(rng, 0.5)...)
	out["half"] = fitSymmetric(t, in)
	in.Fixed = true
	out["plane given"] = fitSymmetric(t, in)
	return out
}

// A draw scatters as the stated sd says, and a figure of one place has the sd
// of that place.
func TestDrawsScatterAsStated(t *testing.T) {
	const draws = 400
	for name, s := range shapes(t) {
		rng := source(91, 0)
		lo, hi := s.Outline.Curve.Period()
		for k := range 5 {
			u := lo + (hi-lo)*(0.13+0.2*float64(k))
			at := s.Outline.Curve.Centroid()
			at.X += 40 * float64(k-2)
			var edge, face stat
			edges, faces := s.Outline.Draws([]float64{u}, rng.NormFloat64), s.Face.Draws([]r2.Vec{at}, rng.NormFloat64)
			for range draws {
				edge, face = append(edge, edges()...), append(face, faces()...)
			}
			require.InEpsilon(t, s.Outline.SD(u), edge.rms(), 0.15, "%s, edge", name)
			require.InEpsilon(t, s.Face.SD(at.X, at.Y), face.rms(), 0.15, "%s, face", name)
			require.InEpsilon(t, s.Outline.SD(u), s.Outline.Spread([]float64{u}, []float64{1}), 1e-9)
			require.InEpsilon(t, s.Face.SD(at.X, at.Y), s.Face.Spread([]r2.Vec{at}, []float64{1}), 1e-6)
		}
	}
}

// A symmetric outline is as wide left as right, so its width is twice as unsure
// as either side.
func TestWidthOfSymmetricOutline(t *testing.T) {
	o := shapes(t)["mirrored"].Outline
	_, hi := o.Curve.Period()
	u := hi * 0.25
	require.InEpsilon(t, 2*together(2)*o.SD(u), o.Spread([]float64{u, hi - u}, []float64{1, 1}), 0.01)
}

// What a reading is said to buy is what it buys.
func TestAdviceHolds(t *testing.T) {
	rng := source(92, 3)
	p := newPane(rng, maker{})
	in := p.halfRead(rng)
	in.Edge = append(in.Edge, p.checkMarks(rng, 0.5)...)
	s := fitSymmetric(t, in)
	mean := func(s *Symmetric) (v float64) {
		for i := range edgePlaces {
			u := s.Outline.Curve.ParamAt(s.Outline.Curve.Length() * float64(i) / edgePlaces)
			v += square(s.Outline.SD(u)) / edgePlaces
		}
		return v
	}
	advice := Next(s.Outline, s.Face, 0.5, 0.5, 5)
	require.Len(t, advice, 5)
	edge := 0
	before := mean(s)
	var told float64
	for _, a := range advice {
		require.Less(t, a.After, a.Before)
		if !a.Edge {
			continue
		}
		if edge == 0 {
			require.InEpsilon(t, before, a.Before, 1e-6)
		}
		edge++
		told = a.After
		q := r3.Vec{X: a.At.X, Y: a.At.Y, Z: s.Face.Face.At(a.At.X, a.At.Y)}
		m := read(rng, s.Motion.Inverse().Apply(q), 0.5)
		in.Edge = append(in.Edge, m)
	}
	require.Positive(t, edge)
	require.InEpsilon(t, told, mean(fitSymmetric(t, in)), 0.3, "of the variance; the strengths of the fit are chosen anew")
}

// With nothing but two widths on one half, the advice is to read the other.
func TestAdviceCrossesTheLine(t *testing.T) {
	rng := source(93, 2)
	p := newPane(rng, maker{})
	s := fitSymmetric(t, p.tapes(rng, p.halfRead(rng), 2))
	require.True(t, s.Determined)
	first := Next(s.Outline, nil, 0.5, 0.5, 1)[0]
	require.True(t, first.Edge)
	require.Less(t, first.At.X, -50.0, "mm: the half that was not read")
	require.False(t, math.IsNaN(first.After))
}
