package solidview

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// at is where a camera of a picture of 640 by 480 shows a point, from the
// middle, y up.
func (c camera) at(p r3.Vec) r2.Vec {
	v := c.view(640, 480)
	x, y, _ := v.project(p)
	return r2.Vec{X: x - 320, Y: 240 - y}
}

func TestCameraAxes(t *testing.T) {
	for d := range Directions {
		c := camera{span: 100, target: r3.Vec{X: 1, Y: 2, Z: 3}}.look(d)
		right, up, back := c.axes()
		for _, a := range []r3.Vec{right, up, back} {
			assert.InDelta(t, 1, r3.Norm(a), 1e-12)
		}
		assert.InDelta(t, 0, r3.Norm(r3.Sub(r3.Cross(right, up), back)), 1e-12, "right-handed")
		assert.InDelta(t, 0, r2.Norm(c.at(c.target)), 1e-9)
		got, ok := c.direction()
		assert.True(t, ok)
		assert.Equal(t, d, got)
	}
	_, ok := camera{turn: 0.1}.direction()
	assert.False(t, ok)
}

func TestDirections(t *testing.T) {
	at := func(d Direction, p r3.Vec) r2.Vec { return camera{span: 480}.look(d).at(p) }
	right, up, high := r3.Vec{X: 50}, r3.Vec{Y: 50}, r3.Vec{Z: 50}
	for _, c := range []struct {
		from Direction
		of   r3.Vec
		want r2.Vec // pixels: one a mm
	}{
		{Top, right, r2.Vec{X: 50}}, {Top, up, r2.Vec{Y: 50}}, {Top, high, r2.Vec{}},
		{Front, right, r2.Vec{X: 50}}, {Front, high, r2.Vec{Y: 50}}, {Front, up, r2.Vec{}},
		{Back, right, r2.Vec{X: -50}}, {Back, high, r2.Vec{Y: 50}},
		{Right, up, r2.Vec{X: 50}}, {Right, high, r2.Vec{Y: 50}},
		{Left, up, r2.Vec{X: -50}}, {Left, high, r2.Vec{Y: 50}},
		{Bottom, right, r2.Vec{X: 50}}, {Bottom, up, r2.Vec{Y: -50}},
	} {
		assert.InDelta(t, 0, r2.Norm(r2.Sub(at(c.from, c.of), c.want)), 1e-9, "%v of %v", c.from, c.of)
	}
	assert.Greater(t, at(ThreeQuarter, high).Y, 10.0)
	assert.Greater(t, at(ThreeQuarter, up).Y, 10.0)
}

// TestParallelLinesStayParallel: near and far are drawn equally long.
func TestParallelLinesStayParallel(t *testing.T) {
	c := camera{span: 480}.look(ThreeQuarter)
	d := r3.Vec{X: 30, Y: 10, Z: 5}
	for _, from := range []r3.Vec{{}, {X: 300, Y: -900}, {Y: 2000}} {
		way := r2.Sub(c.at(r3.Add(from, d)), c.at(from))
		assert.InDelta(t, 0, r2.Norm(r2.Sub(way, r2.Sub(c.at(d), c.at(r3.Vec{})))), 1e-9)
	}
}

func TestFittedFillsThePicture(t *testing.T) {
	box := r3.Box{Min: r3.Vec{X: -300, Y: -200, Z: -30}, Max: r3.Vec{X: 320, Y: 210, Z: 5}}
	for d := range Directions {
		for _, aspect := range []float64{0.5, 1, 2.5} {
			v := camera{}.look(d).fitted(box, aspect).view(aspect*100, 100)
			most := 0.0
			for _, p := range box.Vertices() {
				x, y, _ := v.project(p)
				most = max(most, math.Abs(x/(aspect*50)-1), math.Abs(y/50-1))
			}
			assert.InDelta(t, 0.92, most, 0.001, "%v at %v", d, aspect)
		}
	}
}

func TestPanMovesByPixels(t *testing.T) {
	c := camera{span: 1000}.look(ThreeQuarter)
	moved := r2.Sub(c.panned(30, -20, 480).at(r3.Vec{}), c.at(r3.Vec{}))
	assert.InDelta(t, 30, moved.X, 1e-9)
	assert.InDelta(t, 20, moved.Y, 1e-9, "down is minus")
}

// TestZoomKeepsThePlace: what lies under the pointer stays there.
func TestZoomKeepsThePlace(t *testing.T) {
	c := camera{span: 1000}.look(ThreeQuarter)
	p := r3.Vec{X: 200, Y: -100, Z: 20}
	q := c.at(p)
	z := c.zoomed(2.5, q.X, -q.Y, 480)
	assert.InDelta(t, 400, z.span, 1e-9)
	assert.InDelta(t, 0, r2.Norm(r2.Sub(z.at(p), q)), 1e-9)
	assert.Equal(t, leastSpan, c.zoomed(1e9, 0, 0, 480).span)
	assert.Equal(t, greatestSpan, c.zoomed(1e-9, 0, 0, 480).span)
}

// TestPointIsBackAgain: what is shown at a place and depth is the point.
func TestPointIsBackAgain(t *testing.T) {
	v := camera{span: 700, target: r3.Vec{X: 10, Y: 20, Z: 30}}.look(ThreeQuarter).view(640, 480)
	p := r3.Vec{X: 123, Y: -45, Z: 67}
	x, y, z := v.project(p)
	assert.InDelta(t, 0, r3.Norm(r3.Sub(v.point(x, y, z), p)), 1e-9)
	_, _, nearer := v.project(r3.Add(p, r3.Scale(10, func() r3.Vec { _, _, b := camera{}.look(ThreeQuarter).axes(); return b }())))
	assert.InDelta(t, z-10, nearer, 1e-9, "depth is in mm")
}

func TestTurnedStopsAtTheTop(t *testing.T) {
	c := camera{}.turned(100, 9)
	assert.InDelta(t, math.Pi/2, c.rise, 1e-12)
	assert.LessOrEqual(t, math.Abs(c.turn), math.Pi)
	require.InDelta(t, 100-32*math.Pi, c.turn, 1e-9)
}
