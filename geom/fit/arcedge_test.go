package fit

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// sharp is a pane of four straight sides that meet in sharp corners, all marked
// as breaks.
func sharp(i int) (marks []Mark, corners [4]r2.Vec) {
	rng := source(70, i)
	corners = [4]r2.Vec{{X: -400, Y: -250}, {X: 400, Y: -250}, {X: 330, Y: 250}, {X: -330, Y: 250}}
	const n = 18
	for c, from := range corners {
		to := corners[(c+1)%4]
		for k := range n {
			q := r2.Add(from, r2.Scale(float64(k)/n, r2.Sub(to, from)))
			marks = append(marks, Mark{P: vec3(q.X+0.5*rng.NormFloat64(), q.Y+0.5*rng.NormFloat64(), 0), SXY: 0.5, Break: k == 0})
		}
	}
	return marks, corners
}

// Sharp corners do not curl whatever the sides stray by, come as near the true
// ones as the sides are known, and are rounded to what was asked.
func TestSharpCornersDoNotCurl(t *testing.T) {
	for i := range 12 {
		marks, corners := sharp(i)
		for _, least := range []float64{0, 1.5} {
			o, err := FitOutline(context.Background(), marks, OutlineOptions{LeastRadius: least})
			require.NoError(t, err)
			require.Len(t, o.Breaks, 4)
			for _, c := range corners {
				_, off := o.Curve.Nearest(c)
				require.Less(t, math.Abs(off), 1.0+0.45*least, "mm, pane %d", i)
			}
			lo, hi := o.Curve.Period()
			const n = 40000
			turned, back := 0.0, 0.0
			for k := range n {
				u := lo + (hi-lo)*float64(k)/n
				a, b := o.Curve.Tangent(u), o.Curve.Tangent(u+(hi-lo)/n)
				turn := math.Atan2(r2.Cross(a, b), r2.Dot(a, b))
				turned += turn
				for _, c := range corners {
					if r2.Norm(r2.Sub(o.Curve.At(u), c)) < 10 {
						back += math.Max(0, -turn)
					}
				}
			}
			require.InDelta(t, 2*math.Pi, turned, 1e-6)
			require.Less(t, back, 1.0, "rad, of all four: a curl alone turns back by more than a right angle, pane %d", i)
		}
	}
}

// Where no corner is tight the edge is the chain moved square to itself; the
// moved edge has no step anywhere.
func TestFittedEdge(t *testing.T) {
	marks, _ := sharp(3)
	o, err := FitOutline(context.Background(), marks, OutlineOptions{})
	require.NoError(t, err)
	f, ok := o.model.(*arcFit)
	require.True(t, ok)
	for _, least := range []float64{0, 2, 20} {
		e := f.edge(least)
		for _, r := range e.rounded.rounds {
			require.GreaterOrEqual(t, math.Abs(r.r), least-1e-9)
		}
		length := f.chain.length()
		const step = 0.01
		for pos := 0.0; pos < length; pos += step {
			require.Less(t, r2.Norm(r2.Sub(e.at(pos+step), e.at(pos))), 1.2*step, "mm, at %g", pos)
		}
		for i := range f.chain.rounds {
			pos, half := f.chain.middle(i)
			far := f.chain.wrap(pos + half + 2*slides)
			p, out := e.rounded.at(far * e.scale)
			require.InDelta(t, 0, r2.Norm(r2.Sub(e.at(far), r2.Add(p, r2.Scale(f.stray(far), out)))), 1e-9)
		}
	}
}
