package solidview

import (
	"context"
	"image"
	"image/color"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom/fixture"
)

// covered is the box and the number of pixels that are blue, as the glass is and
// all else is not.
func covered(v *View) (box image.Rectangle, n int) {
	img := v.paint(640, 480).(*image.RGBA)
	glass := func(c color.RGBA) bool { return int(c.B) > int(c.R)+12 }
	box = image.Rectangle{Min: image.Pt(640, 480)}
	for y := range 480 {
		for x := range 640 {
			if c := img.RGBAAt(x, y); glass(c) {
				n++
				box.Min = image.Pt(min(box.Min.X, x), min(box.Min.Y, y))
				box.Max = image.Pt(max(box.Max.X, x+1), max(box.Max.Y, y+1))
			}
		}
	}
	return box, n
}

// TestSolidOfAPane: the normals of the faces are those of the sphere, not of the
// triangles, and every corner of a face knows its plan point.
func TestSolidOfAPane(t *testing.T) {
	s, err := newSolid(dome(t), 40)
	require.NoError(t, err)
	count := map[part]int{}
	middle := r3.Vec{Z: -1500}
	for i, tri := range s.tri {
		count[s.part[i]]++
		for _, c := range tri {
			at, n := s.at[c], s.normal[c]
			require.InDelta(t, 1, r3.Norm(n), 1e-9)
			radial := r3.Unit(r3.Sub(at, middle))
			switch s.part[i] {
			case upperFace:
				require.InDelta(t, 1, r3.Dot(n, radial), 1e-8)
				require.Equal(t, r2.Vec{X: at.X, Y: at.Y}, s.plan[c])
			case lowerFace:
				require.InDelta(t, -1, r3.Dot(n, radial), 1e-8)
				above := r3.Add(middle, r3.Scale(1500, radial))
				require.InDelta(t, 0, r2.Norm(r2.Sub(s.plan[c], r2.Vec{X: above.X, Y: above.Y})), 1e-3)
			default:
				require.Greater(t, r3.Dot(n, r3.Vec{X: at.X, Y: at.Y}), 0.0, "the band faces outward")
			}
		}
	}
	assert.Equal(t, count[upperFace], count[lowerFace])
	assert.Positive(t, count[edgeBand])
	assert.InDelta(t, 300, s.sides[1].X, 1)
	assert.InDelta(t, 200, s.sides[2].Y, 1)
	assert.InDelta(t, -200, s.centre[0].Y, 0.1)
	assert.InDelta(t, 200, s.centre[len(s.centre)-1].Y, 0.1)
}

func TestBodyIsSmoothButForCreases(t *testing.T) {
	p, err := fixture.New(context.Background(), dome(t), fixture.DefaultSpec())
	require.NoError(t, err)
	b := newBody(p.Mesh)
	require.Len(t, b.tri, len(p.Mesh.T))
	for i, tri := range b.tri {
		for k, c := range tri {
			require.Equal(t, p.Mesh.V[p.Mesh.T[i][k]], b.at[c])
			require.InDelta(t, 1, r3.Norm(b.normal[c]), 1e-9)
		}
	}
	assert.Greater(t, len(b.at), len(p.Mesh.V), "corners are parted at creases")
}

func TestPaneIsDrawn(t *testing.T) {
	v, _ := show(t, state(dome(t)))
	v.Look(Top)
	box, n := covered(v)
	assert.InDelta(t, 1.5, float64(box.Dx())/float64(box.Dy()), 0.03, "600 by 400 mm seen from above")
	assert.InEpsilon(t, math.Pi/4*float64(box.Dx()*box.Dy()), n, 0.05, "an ellipse")
	v.Look(Front)
	box, _ = covered(v)
	assert.Greater(t, box.Dx(), 6*box.Dy())
	flat := box.Dy()
	v.SetStretch(5)
	box, _ = covered(v)
	assert.Greater(t, float64(box.Dy())/float64(box.Dx()), 3*float64(flat)/640, "a shallow curve shows")
}

func TestEvenSquares(t *testing.T) {
	assert.InDelta(t, 100, evenly(60, 10), 1e-9)
	assert.InDelta(t, 50, evenly(50, 10), 1e-9)
	assert.InDelta(t, 25.4, evenly(3, 25.4), 1e-9)
	assert.InDelta(t, 5*25.4, evenly(100, 25.4), 1e-9)
}

// TestHiddenEdgesAreFaint: from above the lower arris lies behind the glass; its
// line is there, but faint.
func TestHiddenEdgesAreFaint(t *testing.T) {
	v, _ := show(t, state(dome(t)))
	v.Look(Front) // the far edge lies behind the dome
	with := v.quick.paint(v.frame(640, 480), 1).(*image.RGBA)
	a := append([]uint8(nil), with.Pix...)
	f := v.frame(640, 480)
	f.solid = &solid{body: f.solid.body, pane: f.solid.pane, sides: f.solid.sides, edges: [2][]r3.Vec{f.solid.edges[0][:1], f.solid.edges[1][:1]}}
	without := v.quick.paint(f, 1).(*image.RGBA)
	changed, strong := 0, 0
	for i := 0; i < len(a); i += 4 {
		if d := math.Abs(float64(a[i]) - float64(without.Pix[i])); d > 4 {
			changed++
			if d > 60 {
				strong++
			}
		}
	}
	assert.Greater(t, strong, 300, "the near edge")
	assert.Greater(t, changed-strong, 200, "and the far one, fainter")
}

// TestPocketIsDrawnWithThePaneInIt: lifted out, the pane is seen above the
// pocket; in its place it lies inside it.
func TestPocketIsDrawnWithThePaneInIt(t *testing.T) {
	s := state(dome(t))
	v, q := show(t, s)
	p, err := fixture.New(context.Background(), s.Model.Pane, fixture.DefaultSpec())
	require.NoError(t, err)
	tiles, err := p.Tiles(context.Background(), fixture.Bed{W: 400, H: 400}, fixture.DefaultTileSpec())
	require.NoError(t, err)
	v.SetPocket(true)
	v.ShowPocket(nil, nil, "still at it")
	assert.Equal(t, "still at it", v.note())
	_, drawn := v.Pocket()
	assert.False(t, drawn)
	v.ShowPocket(p, nil, "")
	assert.True(t, v.Busy())
	q.until(t, func() bool { return !v.Busy() })
	_, drawn = v.Pocket()
	assert.True(t, drawn)
	assert.Empty(t, v.Pieces(), "in one piece")

	v.Look(Front)
	lifted := v.frame(640, 480)
	v.SetLift(0)
	down := v.frame(640, 480)
	assert.Greater(t, lifted.box().Max.Z, down.box().Max.Z+70)
	assert.InDelta(t, max(p.Top, v.parts.solid.box.Max.Z), down.box().Max.Z, 1e-9)
	v.Look(Top)
	_, seen := covered(v)
	assert.Greater(t, seen, 10000, "the face is not under the pocket")

	v.ShowPocket(p, tiles, "")
	q.until(t, func() bool { return len(v.Pieces()) > 0 })
	require.Len(t, v.Pieces(), len(tiles.Tiles))
	assert.Equal(t, tiles.Tiles[0].Name, v.Pieces()[0])
	for i, b := range v.pocket.bodies {
		assert.Equal(t, tiles.Tiles[i].Mesh.Box(), b.box)
	}
	v.paint(640, 480)
	v.SetPocket(false)
	assert.Nil(t, v.frame(640, 480).pocket)
	v.ShowPocket(nil, nil, "")
	assert.Nil(t, v.pocket)
}
