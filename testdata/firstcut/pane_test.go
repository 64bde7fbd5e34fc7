package firstcut

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// The invented panes are what the table takes them for, and the same again.
func TestPanes(t *testing.T) {
	t.Parallel()
	for _, f := range []Family{Round, Soft, Superellipse, Three, ThreeFree} {
		for n := range 2 {
			p := invented(t, f, n > 0, n)
			box := p.Solid.Outline.Bounds()
			w, h := box.Max.X-box.Min.X, box.Max.Y-box.Min.Y
			if f < Three {
				require.True(t, 880 < w && w < 1630 && 440 < h && h < 1030, "%v: %.0f × %.0f mm", f, w, h)
			} else {
				require.True(t, 330 < w && w < 950, "%v: %.0f mm wide", f, w)
			}
			require.True(t, 3 <= p.Solid.Thickness && p.Solid.Thickness <= 6)
			sag := p.Solid.Upper.At(0, 0) - p.Solid.Upper.At(box.Max.X-1, 0)
			require.True(t, n > 0 != (sag > 5), "%v: sag %.1f mm", f, sag)

			off := 0.0
			for i := 0; i < len(p.edge); i += 31 {
				q := p.silhouette(geom.Identity(), i)
				_, d := p.Solid.Outline.Nearest(q)
				require.Less(t, math.Abs(d), 0.01, "%v: mm, the silhouette is the solid's shadow", f)
				_, d = p.Solid.Outline.Nearest(r2.Vec{X: -q.X, Y: q.Y})
				off = math.Max(off, math.Abs(d))
			}
			require.Equal(t, f.mirrored(), off < 0.02, "%v: %.3f mm from its own image", f, off)
			if f == Soft {
				require.Equal(t, p.edge, invented(t, f, n > 0, n).edge, "the same again")
			}
		}
	}
}

// The silhouette of a pane that leans is the farthest of all its points, by the
// definition of a shadow: no point of either arris lies outside it.
func TestSilhouetteHoldsTheShadow(t *testing.T) {
	t.Parallel()
	for n, bowl := range []bool{false, true} {
		p := invented(t, Round, bowl, n)
		lay := turned(0, 5*degree).Then(turned(1, 1*degree))
		var loop geom.Polygon
		for i := range p.edge {
			loop = append(loop, p.silhouette(lay, i))
		}
		w := newWall(loop)
		for i := range p.edge {
			for _, q := range []r3.Vec{p.edge[i].upper, p.edge[i].lower} {
				require.Greater(t, w.Gap(planOf(lay.Apply(q))), -0.002, "mm, bowl %v, place %d", bowl, i)
			}
		}
	}
}

// A careful person reads at least four stations in a corner, six in a tight one,
// and writes tenths of a millimetre.
func TestReadings(t *testing.T) {
	t.Parallel()
	for _, r := range Rows() {
		p, err := r.Pane(0)
		require.NoError(t, err)
		in := r.Read(p, 0)
		require.Equal(t, in.Table, r.Read(p, 0).Table, "the same again")
		edges, faces := strings.Count(in.Table, "\nedge,"), strings.Count(in.Table, "\nface,")
		require.Equal(t, len(in.at), edges)
		require.True(t, 20 <= faces && faces <= 55, "%s: %d heights", r.Name, faces)
		switch r.Name {
		case "half and 5 check stations":
			require.Equal(t, 49, edges)
		default:
			require.Equal(t, 80, edges)
		}
		require.Equal(t, strings.Contains(r.Name, "4 widths"), strings.Count(in.Tapes, "\ntwin,") == 4)
		for _, line := range strings.Split(strings.TrimSpace(in.Table), "\n")[1:] {
			for _, cell := range strings.Split(line, ",")[2:] {
				require.Equal(t, 2, len(cell)-strings.Index(cell, "."), "%s: a tenth", cell)
			}
		}
		if r.Half {
			continue
		}
		for k, c := range p.corners() {
			in := count(in.at, func(i int) bool { return p.cornerAt(i) == k })
			want := 4
			if p.edge[c.middle(len(p.edge))].bend > 1.0/40 {
				want = 6
			}
			require.GreaterOrEqual(t, in, want, "%s: stations in corner %d", r.Name, k+1)
		}
	}
}

func count(of []int, is func(int) bool) (n int) {
	for _, i := range of {
		n += one(is(i))
	}
	return n
}

// Half a pane is read from just beyond the centre line to just beyond it.
func TestHalf(t *testing.T) {
	t.Parallel()
	p := invented(t, Round, false, 1)
	for _, side := range []float64{-1, 1} {
		in := p.Half(source("half", 1), 44, side)
		least, most := math.Inf(1), math.Inf(-1)
		for _, i := range in.at {
			least, most = math.Min(least, side*p.edge[i].upper.X), math.Max(most, side*p.edge[i].upper.X)
		}
		require.InDelta(t, -overlap, least, 25, "mm, side %g", side)
		require.Greater(t, most, 400.0, "mm")
		bottom := count(in.at, func(i int) bool { return p.edge[i].upper.Y < 0 && side*p.edge[i].upper.X < 0 })
		top := count(in.at, func(i int) bool { return p.edge[i].upper.Y > 0 && side*p.edge[i].upper.X < 0 })
		require.Positive(t, bottom)
		require.Positive(t, top)
	}
}
