package fit

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// broken is a pane of three round corners and one without a radius, the last:
// its outline and 64 marks, the last of them at the break.
func broken(t *testing.T, seed int) (*chain, []Mark) {
	t.Helper()
	c, err := newChain([]float64{-450, -250, 60, 20, 430, -230, 45, 10, 380, 240, 70, 15, -400, 200, breakRadius, 12})
	require.NoError(t, err)
	rng := source(95, seed)
	var marks []Mark
	at, _ := c.middle(3)
	for i := range 64 {
		p, _ := c.at(at + c.length()*float64(i+1)/64)
		marks = append(marks, Mark{P: r3.Vec{X: p.X + 0.5*rng.NormFloat64(), Y: p.Y + 0.5*rng.NormFloat64(), Z: math.NaN()}, SXY: 0.5})
	}
	return c, marks
}

// A break that the person marks is kept sharp and found to the readings' noise;
// without the word the edge is rounded off there.
func TestTrueBreak(t *testing.T) {
	for seed := range 8 {
		c, marks := broken(t, seed)
		pos, _ := c.middle(3)
		vertex, _ := c.at(pos)
		marks[63].Break = true
		o, err := FitOutline(context.Background(), marks, OutlineOptions{})
		require.NoError(t, err)
		require.Len(t, o.Breaks, 1)
		require.Len(t, o.Corners, 3)
		require.Zero(t, count(o.Suspect))
		require.InDelta(t, 0, r2.Norm(r2.Sub(o.Curve.At(o.Breaks[0]), vertex)), 1.2, "mm")
		before, after := o.Curve.Tangent(o.Breaks[0]-1), o.Curve.Tangent(o.Breaks[0]+1)
		require.InDelta(t, c.rounds[3].turn, math.Acos(r2.Dot(before, after)), 0.05, "rad: it turns within two millimetres")
		for i := range 400 {
			p, _ := c.at(c.length() * float64(i) / 400)
			_, d := o.Curve.Nearest(p)
			require.Less(t, math.Abs(d), 1.6, "mm")
		}
	}
}

// Both corners of a mirrored pane that break: one mark says it for both.
func TestTrueBreakMirrored(t *testing.T) {
	c, err := newChain([]float64{-400, -200, 60, 20, 400, -200, 60, 20, 350, 200, breakRadius, 15, -350, 200, breakRadius, 20})
	require.NoError(t, err)
	rng := source(96, 0)
	var marks []Mark
	right, _ := c.middle(2)
	for i := range 72 {
		p, _ := c.at(right + c.length()*float64(i)/72)
		marks = append(marks, Mark{P: r3.Vec{X: p.X + 0.3*rng.NormFloat64(), Y: p.Y + 0.3*rng.NormFloat64(), Z: 0.3 * rng.NormFloat64()}, SXY: 0.3, SZ: 0.3})
	}
	marks[0].Break = true
	s := fitSymmetric(t, SymmetricInput{Edge: marks})
	require.Len(t, s.Outline.Breaks, 2)
	var corners []r2.Vec
	for _, u := range s.Outline.Breaks {
		corners = append(corners, s.Outline.Curve.At(u))
	}
	require.InDelta(t, 0, corners[0].X+corners[1].X, 1e-6)
	require.InDelta(t, 350, math.Abs(corners[0].X), 1)
}

// A reading that the person vouches for is never set aside.
func TestSureIsSure(t *testing.T) {
	rng := source(97, 0)
	p := newPane(rng, maker{})
	marks := p.edgeMarks(rng, 80, 0.5)
	marks[20].P.X += 9
	marks[20].P.Y += 9
	loose := fitOutline(t, marks)
	require.True(t, loose.Suspect[20])
	marks[20].Sure = true
	held := fitOutline(t, marks)
	require.False(t, held.Suspect[20])
	require.Less(t, math.Abs(held.Miss[20]), math.Abs(loose.Miss[20]))

	heights := p.faceMarks(rng, 40, 0.5)
	heights[7].P.Z += 6
	heights[7].Sure = true
	all := append(p.edgeMarks(rng, 80, 0.5), heights...)
	f, err := FitFace(context.Background(), all, boxOf(all, 60), FaceOptions{})
	require.NoError(t, err)
	require.False(t, f.Suspect[87])
}
