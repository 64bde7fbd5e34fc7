package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// latticeOf is f over a box.
func latticeOf(t *testing.T, box r2.Box, steps int, f func(r2.Vec) float64) *Lattice {
	t.Helper()
	l, err := NewLattice(box, steps)
	require.NoError(t, err)
	for j := range l.NY {
		for i := range l.NX {
			l.Z[j*l.NX+i] = f(l.Point(i, j))
		}
	}
	return l
}

var latticeBox = r2.Box{Min: r2.Vec{X: -300, Y: -200}, Max: r2.Vec{X: 310, Y: 210}}

func TestLatticeCoversItsBox(t *testing.T) {
	l, err := NewLattice(latticeBox, 61)
	require.NoError(t, err)
	assert.Equal(t, []int{62, 42}, []int{l.NX, l.NY})
	assert.InDelta(t, 10, l.Step, 1e-12)
	last := l.Point(l.NX-1, l.NY-1)
	assert.InDelta(t, 310, last.X, 1e-9)
	assert.GreaterOrEqual(t, last.Y, 210.0-1e-9)
	for _, b := range []r2.Box{{}, {Max: r2.Vec{X: 1}}, {Max: r2.Vec{X: math.Inf(1), Y: 1}}, {Max: r2.Vec{X: math.NaN(), Y: 1}}} {
		_, err := NewLattice(b, 10)
		assert.Error(t, err, "%v", b)
	}
	_, err = NewLattice(latticeBox, 1e9)
	assert.Error(t, err)
	_, err = NewLattice(latticeBox, 0)
	assert.Error(t, err)
}

// TestLevelLinesOfABowl: the level lines of x² + y² are circles; their length is
// the circle's and every end lies on it within the promised error.
func TestLevelLinesOfABowl(t *testing.T) {
	l := latticeOf(t, latticeBox, 200, func(p r2.Vec) float64 { return r2.Norm2(p) })
	for _, r := range []float64{50, 120, 190} {
		length, off := 0.0, 0.0
		for _, s := range l.LevelLines(r * r) {
			length += r2.Norm(r2.Sub(s[1], s[0]))
			off = max(off, math.Abs(r2.Norm(s[0])-r), math.Abs(r2.Norm(s[1])-r))
		}
		assert.InEpsilon(t, 2*math.Pi*r, length, 1e-3)
		assert.Less(t, off, 1.001*2*l.Step*l.Step/(8*2*r), "c = 2, g = 2r; to first order")
	}
	assert.Empty(t, l.LevelLines(-1))
	assert.Empty(t, l.LevelLines(1e9))
}

// TestLevelLinesAreClosed: inside the box every end is that of two pieces.
func TestLevelLinesAreClosed(t *testing.T) {
	l := latticeOf(t, r2.Box{Min: r2.Vec{X: -20, Y: -20}, Max: r2.Vec{X: 20, Y: 20}}, 40,
		func(p r2.Vec) float64 { return 0.01*p.X*p.X + 0.02*p.Y*p.Y + 0.1*p.X })
	lines := l.LevelLines(1)
	require.Greater(t, len(lines), 40)
	ends := map[r2.Vec]int{}
	for _, s := range lines {
		for _, q := range s {
			ends[r2.Vec{X: math.Round(q.X * 1e6), Y: math.Round(q.Y * 1e6)}]++
		}
	}
	for q, times := range ends {
		require.Equal(t, 2, times, "the line goes on at %v", q)
	}
}

// TestLevelLinesPartInASaddle: in the one cell of a saddle two lines pass and do
// not cross.
func TestLevelLinesPartInASaddle(t *testing.T) {
	for _, z := range [][]float64{{1, -1, -1, 1.2}, {1, -1, -1, 0.8}, {-1, 1, 1, -0.8}} {
		l := &Lattice{Step: 1, NX: 2, NY: 2, Z: z}
		lines := l.LevelLines(0)
		require.Len(t, lines, 2)
		_, meet := segmentsMeet(lines[0][0], lines[0][1], lines[1][0], lines[1][1])
		assert.False(t, meet)
	}
}

func BenchmarkLevelLines(b *testing.B) {
	l, err := NewLattice(latticeBox, 400)
	require.NoError(b, err)
	for j := range l.NY {
		for i := range l.NX {
			l.Z[j*l.NX+i] = r2.Norm(l.Point(i, j))
		}
	}
	for b.Loop() {
		l.LevelLines(100)
	}
}
