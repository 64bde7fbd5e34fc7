package fit_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
)

// The invented panes are what the tables take them for.
func TestTablePanes(t *testing.T) {
	for _, f := range []family{round, soft, super, three, nose, five, lop, wings, ovals, notch, bowled, plain} {
		for i := range 3 {
			mirrored := i > 0
			p := f.specimen(i, mirrored)
			require.Equal(t, p.rim, f.specimen(i, mirrored).rim, "%s: the same pane again", f.name)
			var loop geom.Polygon = p.at
			require.Positive(t, loop.Area(), "%s: counter-clockwise", f.name)
			var thinned geom.Polygon = p.thinned(10)
			require.NoError(t, thinned.IsSimple(), f.name)
			most, steepest := 0.0, 0.0
			for k, q := range p.at {
				most = math.Max(most, p.arc[k+1]-p.arc[k])
				zx, zy := p.face.slope(q.X, q.Y)
				steepest = math.Max(steepest, math.Hypot(zx, zy))
			}
			require.Less(t, most, 0.5, "%s: mm between points", f.name)
			require.Less(t, steepest, 1.4, f.name)
			if f.wrap {
				require.Greater(t, steepest, 0.8, f.name)
			}
			require.GreaterOrEqual(t, 2*p.face.w, 330.0, "%s: mm, of 400 between sharp corners", f.name)
			require.LessOrEqual(t, 2*p.face.w, 1640.0, f.name)

			lopsided := 0.0
			for k := 0; k < len(p.at); k += 297 {
				q := p.at[k]
				lopsided = math.Max(lopsided, math.Abs(loop.Distance(r2.Vec{X: -q.X, Y: q.Y})))
			}
			switch {
			case f.name == lop.name:
				require.Greater(t, lopsided, 0.9, "mm")
				require.Less(t, lopsided, 4.1, "mm")
			case mirrored:
				require.Less(t, lopsided, 0.01, "%s: mm from its own image", f.name)
				require.InDelta(t, p.face.at(200, 40), p.face.at(-200, 40), 1e-9, f.name)
			}
		}
	}
}

// A careful person reads at least four marks in each corner, six in a tight
// one, and leaves no side out.
func TestTableStations(t *testing.T) {
	for _, f := range []family{round, soft, three, nose, five, notch} {
		for i := range 6 {
			p := f.specimen(i, false)
			for _, m := range []int{40, 80, 120} {
				s := p.stations(source("stations", i), m)
				require.Len(t, s, m)
				for k := range s {
					gap := s[(k+1)%m] - s[k]
					if k == m-1 {
						gap += p.girth()
					}
					require.Positive(t, gap, "%s: mm, stations rise", f.name)
					require.Less(t, gap, 4*p.girth()/float64(m), f.name)
				}
				for _, b := range p.bends {
					if m < 80 {
						break // too few to be careful with
					}
					in := 0
					for _, v := range s {
						if math.Abs(math.Remainder(v-p.arcOf(b.at), p.girth())) < b.half {
							in++
						}
					}
					require.GreaterOrEqual(t, in, min(b.marks, 8)-1, "%s: marks in a corner, of %d", f.name, m)
				}
			}
		}
	}
}
