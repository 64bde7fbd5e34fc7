package firstcut

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/export/dxf"
	"panewright/export/stl"
	"panewright/geom"
	"panewright/geom/fixture"
)

// perfect writes the pocket that is made for a pane itself, as an export does.
func perfect(t *testing.T, p *Pane, clearance float64) *Pocket {
	t.Helper()
	spec := fixture.DefaultSpec()
	spec.Wall = clearance
	k, err := fixture.New(context.Background(), p.Solid, spec)
	require.NoError(t, err)
	dir := t.TempDir()
	d := dxf.New()
	d.Layer("wall", dxf.White, dxf.Continuous)
	knots, ctrl := k.Wall.Clamped()
	var flat []r3.Vec
	for _, q := range ctrl {
		flat = append(flat, r3.Vec{X: q.X, Y: q.Y})
	}
	d.Spline("wall", knots, flat, true, true)
	d.Layer("notches", dxf.Yellow, dxf.Continuous)
	for _, n := range k.Notches {
		var loop []r3.Vec
		for _, q := range n.Loop {
			loop = append(loop, r3.Vec{X: q.X, Y: q.Y})
		}
		d.Polyline("notches", loop, true)
	}
	write := func(name string, to func(*os.File) error) {
		f, err := os.Create(filepath.Join(dir, name))
		require.NoError(t, err)
		require.NoError(t, to(f))
		require.NoError(t, f.Close())
	}
	write("pocket.dxf", func(f *os.File) error { return dxf.WriteR2000(f, d) })
	write("pocket.stl", func(f *os.File) error { return stl.Write(f, k.Mesh, "pocket") })
	read, err := ReadPocket(dir)
	require.NoError(t, err)
	return read
}

func invented(t *testing.T, f Family, bowl bool, n int) *Pane {
	t.Helper()
	p, err := NewPane(source("test", n), f, bowl, false, 2*degree)
	require.NoError(t, err)
	return p
}

// askew is how a pane may lie before it is placed: a few millimetres and some
// tenths of a degree off.
func askew() geom.Frame {
	f := turned(2, 0.3*degree).Then(turned(0, 0.2*degree)).Then(turned(1, -0.2*degree))
	f.T = r3.Vec{X: 3, Y: -2, Z: 5}
	return f
}

// A pane lies in the pocket that was made for it, from wherever it starts: the
// clearance all round, and on the facets as on the smooth ledge. This holds everything that measures:
// both readers, placing, settling, gaps.
func TestPerfectPocket(t *testing.T) {
	t.Parallel()
	for n, bowl := range []bool{false, true} {
		p := invented(t, []Family{Round, ThreeFree}[n], bowl, n)
		k := perfect(t, p, 1.5)
		v, err := Judge(p, k, askew(), 1.5)
		require.NoError(t, err)
		require.Less(t, k.Apart, bodyWithin, "mm: the body's chords lie within 0.01 of the wall, on the micron grid")
		const tol = 0.03 // mm: chords 0.01, ledge 0.02
		require.InDelta(t, 1.5, v.Least, tol)
		require.InDelta(t, 1.5, v.Largest, tol)
		glass, err := fixture.GlassOf(p.Solid, 150, 6.5, 14)
		require.NoError(t, err)
		socket, err := fixture.NewSocket(k.Wall.Line)
		require.NoError(t, err)
		smooth, err := fixture.Settle(glass, fixture.Pose{}, p.Solid.Lower, socket)
		require.NoError(t, err)
		require.InDelta(t, smooth.Largest, v.Ledge, 0.05, "mm, of which the facets are 0.02; one that is not level slides a little")
		require.Less(t, v.Through, 0.025, "mm: what the facets may stand above the corners between them")
		require.True(t, v.DropsIn && v.Snug && v.Sits, "bowl %v", bowl)

		v, err = Judge(p, k, askew(), 0.7)
		require.NoError(t, err)
		require.True(t, v.DropsIn)
		require.False(t, v.Snug || v.Sits, "the gaps are above twice 0.7 mm")
	}
}

// What does not fit is not passed: a pane that is too wide by more than the
// clearance, one with a dent, and one whose face is another.
func TestWhatDoesNotFit(t *testing.T) {
	t.Parallel()
	p := invented(t, Round, false, 3)
	k := perfect(t, p, 0.8)
	swollen := *p
	swollen.edge = append([]edgePoint(nil), p.edge...)
	for i := range swollen.edge {
		e := &swollen.edge[i]
		e.upper.X, e.lower.X = e.upper.X*1.002, e.lower.X*1.002 // 1.8 mm or more
	}
	v, err := Judge(&swollen, k, geom.Identity(), 0.8)
	require.NoError(t, err)
	require.False(t, v.DropsIn || v.Snug || v.Sits)
	require.Equal(t, "tight", (&Outcome{Pane: p, Verdict: v}).Limit()[:5])

	dented := *p
	dented.edge = append([]edgePoint(nil), p.edge...)
	for i := range dented.edge {
		if e := &dented.edge[i]; e.upper.Y > 0 && math.Abs(e.upper.X) < 50 {
			e.upper.Y, e.lower.Y = e.upper.Y-1.5, e.lower.Y-1.5
		}
	}
	v, err = Judge(&dented, k, geom.Identity(), 0.8)
	require.NoError(t, err)
	require.True(t, v.DropsIn)
	require.False(t, v.Snug || v.Sits)

	other := invented(t, Round, false, 3)
	bulged, err := geom.FaceThrough(bulge{p.Solid.Lower}, p.Solid.Lower.Box(), 25)
	require.NoError(t, err)
	solid := *p.Solid
	solid.Lower = bulged
	other.Solid = &solid
	v, err = Judge(other, k, geom.Identity(), 0.8)
	require.NoError(t, err)
	require.True(t, v.Snug)
	require.False(t, v.Sits)
	require.Equal(t, "ledge", (&Outcome{Pane: p, Verdict: v}).Limit())
}

// bulge is a face that twists by 2 mm at the corners of a 500 mm square.
type bulge struct{ geom.Surface }

func (b bulge) Eval(x, y float64) geom.Height {
	h := b.Surface.Eval(x, y)
	h.Z += 2 * x * y / (250 * 250)
	return h
}

// The placing is the best there is: a lattice of shifts and turns, made finer
// about its best place again and again, with distances of its own, finds no
// larger least gap.
func TestPlacingAgainstSearch(t *testing.T) {
	t.Parallel()
	for n, f := range []Family{Soft, ThreeFree} {
		p, like := invented(t, f, false, n), invented(t, f, false, n)
		wall := uneven(t, like)
		socket, err := fixture.NewSocket(wall.Line)
		require.NoError(t, err)
		at, err := placed(p, socket, geom.Identity())
		require.NoError(t, err)
		var edge, lies []r2.Vec
		for _, i := range p.places(150) {
			edge, lies = append(edge, p.silhouette(geom.Identity(), i)), append(lies, p.silhouette(at, i))
		}
		best := search(wall, edge)
		const tol = 0.005 // mm
		require.InDelta(t, best, leastGap(wall, lies, pose{}), tol, "%v", f)
		require.Less(t, best, 1.45, "the wall is uneven")
	}
}

// uneven is a wall about a pane that is up to half a millimetre nearer or
// farther than 1.5 mm, a little off to the side.
func uneven(t *testing.T, p *Pane) *Wall {
	t.Helper()
	o := geom.Polygon{}
	n := len(p.edge)
	for i := 0; i < n; i += 4 {
		q, ahead := p.silhouette(geom.Identity(), i), p.silhouette(geom.Identity(), (i+1)%n)
		d := r2.Unit(r2.Sub(ahead, q))
		off := 1.5 + 0.5*math.Cos(2*math.Pi*3.3*float64(i)/float64(n)+1)*math.Sin(2*math.Pi*float64(i)/float64(n))
		o = append(o, r2.Add(r2.Add(q, r2.Vec{X: 0.7, Y: -0.4}), r2.Scale(off, r2.Vec{X: d.Y, Y: -d.X})))
	}
	require.NoError(t, o.IsSimple())
	return newWall(o)
}

type pose struct{ x, y, turn float64 }

func leastGap(w *Wall, edge []r2.Vec, at pose) float64 {
	s, c := math.Sincos(at.turn)
	least := math.Inf(1)
	for _, q := range edge {
		least = math.Min(least, w.Gap(r2.Vec{X: c*q.X - s*q.Y + at.x, Y: s*q.X + c*q.Y + at.y}))
	}
	return least
}

func search(w *Wall, edge []r2.Vec) float64 {
	var at pose
	best := leastGap(w, edge, at)
	const arm = 500.0 // mm
	for reach := 2.0; reach > 0.002; reach *= 0.7 {
		from := at
		for k := range 125 {
			d := func(k int) float64 { return reach * float64(k%5-2) / 2 }
			try := pose{from.x + d(k), from.y + d(k/5), from.turn + d(k/25)/arm}
			if g := leastGap(w, edge, try); g > best {
				best, at = g, try
			}
		}
	}
	return best
}

// Gap is the distance with its sign, near the wall and far from it.
func TestWallGap(t *testing.T) {
	t.Parallel()
	w := newWall(geom.Polygon{{X: 0, Y: 0}, {X: 400, Y: 0}, {X: 400, Y: 200}, {X: 0, Y: 200}})
	for _, c := range []struct{ x, y, want float64 }{
		{200, 1, 1}, {200, -1, -1}, {399, 100, 1}, {403, 204, -5}, {-3, -4, -5},
		{200, 100, 100}, {200, -300, -300}, {3, 3, 3}, {700, 600, -500},
	} {
		require.InDelta(t, c.want, w.Gap(r2.Vec{X: c.x, Y: c.y}), 1e-9, "%g %g", c.x, c.y)
	}
}
