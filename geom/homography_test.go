package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// pinhole is where a camera at a height over the board, leaning back by an angle
// and looking at the point at, shows a point of the board: similar triangles.
func pinhole(p, at r2.Vec, height, lean, focal float64) r2.Vec {
	s, c := math.Sincos(lean)
	x, y := p.X-at.X, p.Y-at.Y
	depth := height/c + y*s
	return r2.Vec{X: focal * x / depth, Y: -focal * y * c / depth}
}

const homographyTol = 1e-7 // mm, and pixels

func TestHomographyIsThatOfAPinhole(t *testing.T) {
	for _, lean := range []float64{0, 0.2, 0.6} {
		at := r2.Vec{X: 150, Y: 420}
		show := func(p r2.Vec) r2.Vec { return pinhole(p, at, 2000, lean, 2400) }
		var board, pixel [4]r2.Vec
		for i, p := range []r2.Vec{{X: -600, Y: 0}, {X: 700, Y: 100}, {X: 600, Y: 800}, {X: -500, Y: 700}} {
			board[i], pixel[i] = p, show(p)
		}
		h, err := HomographyThrough(pixel, board)
		require.NoError(t, err)
		for _, p := range pixel {
			m := h.Rows()
			assert.Positive(t, m[2][0]*p.X+m[2][1]*p.Y+m[2][2], "on this side of the horizon")
		}
		back, ok := h.Inverse()
		require.True(t, ok)
		for x := -900.0; x <= 900; x += 100 {
			for y := 0.0; y <= 1100; y += 100 {
				p := r2.Vec{X: x, Y: y}
				got, ok := h.Apply(show(p))
				require.True(t, ok)
				assert.InDelta(t, 0, r2.Norm(r2.Sub(got, p)), homographyTol, "lean %v at %v", lean, p)
				pix, ok := back.Apply(p)
				require.True(t, ok)
				assert.InDelta(t, 0, r2.Norm(r2.Sub(pix, show(p))), homographyTol)
			}
		}
	}
}

func TestHomographyOfParallelograms(t *testing.T) {
	from := [4]r2.Vec{{X: 1, Y: 1}, {X: 3, Y: 2}, {X: 4, Y: 5}, {X: 2, Y: 4}}
	to := [4]r2.Vec{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 10}, {X: 0, Y: 10}}
	h, err := HomographyThrough(from, to)
	require.NoError(t, err)
	m := h.Rows()
	assert.InDelta(t, 0, m[2][0]/m[2][2], 1e-12, "an affine map has no horizon")
	assert.InDelta(t, 0, m[2][1]/m[2][2], 1e-12)
	q, _ := h.Apply(r2.Vec{X: 2.5, Y: 3})
	assert.InDelta(t, 5, q.X, 1e-12, "the middle stays the middle")
	assert.InDelta(t, 5, q.Y, 1e-12)
}

func TestHomographyIsRefused(t *testing.T) {
	square := [4]r2.Vec{{}, {X: 1}, {X: 1, Y: 1}, {Y: 1}}
	for name, bad := range map[string][4]r2.Vec{
		"three on a line":  {{}, {X: 1}, {X: 2}, {Y: 1}},
		"two the same":     {{}, {}, {X: 1, Y: 1}, {Y: 1}},
		"crossed over":     {{}, {X: 1, Y: 1}, {X: 1}, {Y: 1}},
		"no number":        {{X: math.NaN()}, {X: 1}, {X: 1, Y: 1}, {Y: 1}},
		"all at one place": {},
	} {
		_, err := HomographyThrough(square, bad)
		assert.Error(t, err, name)
		_, err = HomographyThrough(bad, square)
		assert.Error(t, err, name)
	}
	_, ok := Homography{}.Apply(r2.Vec{X: 1})
	assert.False(t, ok)
	_, ok = Homography{}.Inverse()
	assert.False(t, ok)
}
