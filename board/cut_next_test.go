package board

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/spatial/r2"
)

// TestFixTakesScaleAndShearOff: a place as it was read by a grid that is too
// large and out of square comes back to where it is; About stays.
func TestFixTakesScaleAndShearOff(t *testing.T) {
	const tol = 1e-9 // mm
	turn := 0.1
	f := CutFix{Scale: 0.002, Shear: 0.004, About: r2.Vec{X: 30, Y: 400}, Across: r2.Vec{X: math.Cos(turn), Y: math.Sin(turn)}}
	up := r2.Vec{X: -f.Across.Y, Y: f.Across.X}
	for _, q := range []r2.Vec{{}, {X: 500}, {Y: -300}, {X: -200, Y: 350}} {
		read := r2.Vec{X: q.X*(1+f.Scale) + f.Shear*q.Y*(1+f.Scale), Y: q.Y * (1 + f.Scale)}
		onBoard := func(p r2.Vec) r2.Vec {
			return r2.Add(f.About, r2.Add(r2.Scale(p.X, f.Across), r2.Scale(p.Y, up)))
		}
		got := f.plan(onBoard(read))
		want := onBoard(q)
		assert.InDelta(t, want.X, got.X, tol)
		assert.InDelta(t, want.Y, got.Y, tol)
	}
	assert.Equal(t, r2.Vec{X: 1, Y: 2}, (&CutFix{}).plan(r2.Vec{X: 1, Y: 2}))
}

// TestHowFarGapsSpeak: fully between neighbours, and 40 mm beyond the last.
func TestHowFarGapsSpeak(t *testing.T) {
	n := &next{along: ovalCut().Plan}
	assert.Zero(t, n.spoken(100))
	length := n.along.Length()
	n.noted = []float64{200, 200 + 0.14*length}
	for _, c := range []struct{ s, want float64 }{
		{200, 1}, {200 + 0.07*length, 1}, {165, 1}, {200 - 39, 1}, {200 - 90, 0.5}, {200 - 141, 0}, {200 + 0.6*length, 0},
	} {
		assert.InDelta(t, c.want, n.spoken(math.Mod(c.s+length, length)), 1e-3, "%g", c.s)
	}
}

// TestRunningMeanIsSmooth: no step where a place leaves or enters the reach, as
// an edge that is fitted to a few micrometres could not follow one.
func TestRunningMeanIsSmooth(t *testing.T) {
	const length, step = 2000.0, 1e-3 // mm
	var list []change
	for i := range 400 {
		list = append(list, change{s: 5 * float64(i), wall: math.Sin(float64(i) * 12.9898)})
	}
	r := newRunning(list, length)
	last, _ := r.at(0)
	for s := step; s < 400; s += step {
		wall, _ := r.at(s)
		assert.Less(t, math.Abs(wall-last), 2e-3*0.1, "at %g", s)
		last = wall
	}
}
