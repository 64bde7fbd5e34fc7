package handover_test

import (
	"bytes"
	"context"
	"math"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/handover"
	"panewright/board"
	"panewright/export/dxf/lint"
	"panewright/geom"
)

// brokenPane is a solved pane with two round corners below and two that truly break
// above, on a face bent
// by so many parts of a rear screen's; the marks of those named are said to be breaks. Invented.
func brokenPane(t *testing.T, bend float64, mirror board.Mirror, breaks ...string) *board.Model {
	t.Helper()
	j := board.NewJob("broken")
	j.Mirror = mirror
	cell := func(v float64) board.Cell { return j.Typed(strconv.FormatFloat(v, 'f', 2, 64)) }
	height := func(x, y float64) float64 { return 120 - bend*(x*x/5000+(y-250)*(y-250)/8000) }
	add := func(id string, kind board.Kind, x, y float64) {
		j.Readings = append(j.Readings, board.Reading{ID: id, Kind: kind, X: cell(x), Y: cell(y), Z: cell(height(x, y)), Break: slices.Contains(breaks, id)})
	}
	side := func(from, to r2.Vec, n int) {
		for i := range n {
			q := r2.Add(from, r2.Scale((float64(i)+0.5)/float64(n), r2.Sub(to, from)))
			add("", board.Edge, q.X+0.3*math.Sin(float64(17*len(j.Readings))), q.Y+0.3*math.Sin(float64(23*len(j.Readings))))
		}
	}
	corner := func(mid r2.Vec, from, to float64) { // radius 70, degrees
		for i := range 7 {
			s, c := math.Sincos((from + (to-from)*float64(i)/6) * math.Pi / 180)
			add("", board.Edge, mid.X+70*c, mid.Y+70*s)
		}
	}
	side(r2.Vec{X: -350}, r2.Vec{X: 350}, 14)
	corner(r2.Vec{X: 350, Y: 70}, -85, -5)
	side(r2.Vec{X: 420, Y: 70}, r2.Vec{X: 420, Y: 500}, 10)
	add("R", board.Edge, 420, 500)
	side(r2.Vec{X: 420, Y: 500}, r2.Vec{X: -420, Y: 500}, 17)
	add("L", board.Edge, -420, 500)
	side(r2.Vec{X: -420, Y: 500}, r2.Vec{X: -420, Y: 70}, 10)
	corner(r2.Vec{X: -350, Y: 70}, 185, 265)
	for i := range j.Readings {
		if j.Readings[i].ID == "" {
			j.Readings[i].ID = strconv.Itoa(i + 1)
		}
	}
	for _, y := range []float64{60, 180, 320, 440} {
		for _, x := range []float64{-360, -180, 0, 180, 360} {
			add(j.NextID(board.Face), board.Face, x, y)
		}
	}
	j.Evaluate()
	m, err := board.Solve(context.Background(), j, nil)
	require.NoError(t, err)
	require.NotNil(t, m.Pane, m.Why)
	return m
}

// TestStretchesBetweenBreaks: the silhouette comes as one closed spline with one
// break, and as one open spline a stretch with more, head to tail;
// it is the model's, and turns at the ends alone. Its polyline twin stays one.
func TestStretchesBetweenBreaks(t *testing.T) {
	for _, c := range []struct {
		name   string
		bend   float64 // of the face, in parts of a rear screen's
		mirror board.Mirror
		breaks []string
		want   int // splines
	}{
		{"one", 1, board.MirrorNone, []string{"R"}, 1},
		{"two", 1, board.MirrorNone, []string{"R", "L"}, 2},
		{"one and its twin", 1, board.MirrorBoth, []string{"R"}, 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := brokenPane(t, c.bend, c.mirror, c.breaks...)
			files, _, err := handover.Build(context.Background(), m, nil)
			require.NoError(t, err)
			pack := map[string][]byte{}
			for _, f := range files {
				pack[f.Name] = f.Data
			}
			d, err := lint.Lint(bytes.NewReader(pack["outline.dxf"]))
			require.NoError(t, err)
			curves := d.On("outline")
			require.Len(t, curves, c.want)
			lint.Audit(t, saved(t, "outline.dxf", pack["outline.dxf"]))
			for i, s := range curves {
				assert.Equal(t, "SPLINE", s.Type)
				next := curves[(i+1)%len(curves)]
				assert.Equal(t, s.Ctrl[len(s.Ctrl)-1], next.Ctrl[0], "head to tail")
				if len(c.breaks) > 0 {
					at := geom.Polygon{{X: 420, Y: 500}, {X: -420, Y: 500}}
					q := m.BoardToGlass.Inverse().Apply(s.Ctrl[0])
					assert.Less(t, min(r2.Norm(r2.Sub(at[0], flatXY(q))), r2.Norm(r2.Sub(at[1], flatXY(q)))), 1.5, "mm: cut at the break, which is seamed a little, %v", q)
				}
			}
			worst := 0.0
			for _, s := range curves {
				for i := range 500 {
					p := splineAt(s, float64(i)/499)
					_, off := m.Pane.Outline.Nearest(flatXY(p))
					worst = max(worst, math.Abs(off))
				}
			}
			assert.Less(t, worst, 2e-6, "mm off the model")
			d, err = lint.Lint(bytes.NewReader(pack["outline-r12.dxf"]))
			require.NoError(t, err)
			require.Len(t, d.On("outline"), 1, "the polyline stays one closed line")
		})
	}
}

// splineAt is a point of a spline, at a part of its parameter.
func splineAt(s lint.Entity, part float64) (p r3.Vec) {
	lo, hi := s.Knots[0], s.Knots[len(s.Knots)-1]
	first, b, _, _, _ := geom.ClampedBasis(s.Knots, lo+part*(hi-lo))
	for k, w := range b {
		p = r3.Add(p, r3.Scale(w, s.Ctrl[first+k]))
	}
	return p
}

func flatXY(p r3.Vec) r2.Vec { return r2.Vec{X: p.X, Y: p.Y} }
