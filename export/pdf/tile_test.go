package pdf_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/export/pdf"
)

// inWindow tells whether a point of the drawing shows on a sheet.
func inWindow(t pdf.Tiling, col, row int, p r2.Vec) bool {
	q := t.View(col, row).On(p)
	const grain = 1e-9
	return q.X >= t.Window.Min.X-grain && q.X <= t.Window.Max.X+grain && q.Y >= t.Window.Min.Y-grain && q.Y <= t.Window.Max.Y+grain
}

// TestTilingCoversTheDrawing: every point shows on the sheet that it belongs to,
// lies true to size on each sheet that it shows on, and no row or column too
// many is used.
func TestTilingCoversTheDrawing(t *testing.T) {
	window := r2.Box{Min: v(19, 23), Max: v(200, 287)}
	rng := rand.New(rand.NewPCG(1, 2))
	for _, c := range []struct {
		w, h       float64
		scale      r2.Vec
		turned     bool
		cols, rows int
	}{
		{100, 100, v(1, 1), false, 1, 1},
		{1480, 790, v(1, 1), false, 9, 4},
		{1480, 790, v(1, 1), true, 5, 6},
		{1480, 790, v(1.01, 0.98), false, 9, 4},
		{181, 264, v(1, 1), false, 1, 1},
		{181.1, 264.1, v(1, 1), false, 2, 2},
	} {
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			drawing := r2.Box{Min: v(-c.w/2, -30), Max: v(c.w/2, c.h-30)}
			tiles, err := pdf.NewTiling(drawing, window, 10, c.scale, c.turned)
			require.NoError(t, err)
			require.Equal(t, c.cols, tiles.Cols)
			require.Equal(t, c.rows, tiles.Rows)
			for range 300 {
				p := v(drawing.Min.X+rng.Float64()*c.w, drawing.Min.Y+rng.Float64()*c.h)
				col, row := tiles.Own(p)
				require.True(t, inWindow(tiles, col, row, p))
				require.Less(t, r2.Norm(r2.Sub(p, tiles.View(col, row).Back(tiles.View(col, row).On(p)))), 1e-9)
			}
		})
	}
}

// TestCrossesJoinSheets: where four sheets meet, a cross shows on all four, and
// on each of two neighbours there are at least two that they share.
func TestCrossesJoinSheets(t *testing.T) {
	tiles, err := pdf.NewTiling(r2.Box{Max: v(500, 600)}, r2.Box{Min: v(19, 23), Max: v(200, 287)}, 10, v(1, 1), false)
	require.NoError(t, err)
	shared := func(c0, r0, c1, r1 int) (n int) {
		for _, x := range tiles.Crosses() {
			if inWindow(tiles, c0, r0, x) && inWindow(tiles, c1, r1, x) {
				n++
			}
		}
		return n
	}
	for row := range tiles.Rows {
		for col := range tiles.Cols {
			if col > 0 {
				require.GreaterOrEqual(t, shared(col-1, row, col, row), 3)
			}
			if row > 0 {
				require.GreaterOrEqual(t, shared(col, row-1, col, row), 3)
			}
			if col > 0 && row > 0 {
				require.Equal(t, 1, shared(col-1, row-1, col, row))
			}
		}
	}
	require.Equal(t, "A1", tiles.Name(0, 0))
	require.Equal(t, "C12", tiles.Name(11, 2))
}

func TestTilingRefuses(t *testing.T) {
	window := r2.Box{Max: v(181, 264)}
	for name, make := range map[string]func() error{
		"no scale": func() error { _, err := pdf.NewTiling(window, window, 10, v(0, 1), false); return err },
		"no room":  func() error { _, err := pdf.NewTiling(window, window, 100, v(1, 1), false); return err },
		"too large": func() error {
			_, err := pdf.NewTiling(r2.Box{Max: v(9e3, 9e3)}, window, 10, v(1, 1), false)
			return err
		},
		"past reason": func() error { _, err := pdf.NewTiling(r2.Box{Max: v(9e30, 1)}, window, 10, v(1, 1), false); return err },
	} {
		require.Error(t, make(), name)
	}
}
