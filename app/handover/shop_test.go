package handover_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/handover"
	"panewright/board"
	stllint "panewright/export/stl/lint"
	"panewright/geom"
	"panewright/geom/fixture"
)

func meshOf(t *testing.T, data []byte) *geom.Mesh {
	t.Helper()
	r, err := stllint.Lint(bytes.NewReader(data))
	require.NoError(t, err)
	return r.Mesh
}

// TestShopFiles: every tile, and the whole pocket, lies in its stock as the cut list
// tells it: nothing reaches out of the stock, the underside on its bottom, and the
// shift printed takes the piece there from its place in the pocket.
func TestShopFiles(t *testing.T) {
	anyTurned := 0
	for origin, bed := range map[board.ShopOrigin]fixture.Bed{board.ShopTop: {W: 420, H: 300}, board.ShopBottom: {W: 280, H: 600}} {
		m := wanting(solved()[2], board.PackSettings{Shop: origin}) // turned on the one bed, not on the other
		m.Job.Tiles = board.TileSettings{Bed: bed, Margin: 10, Board: 18}
		files, sum, err := handover.Build(context.Background(), m, nil)
		require.NoError(t, err)
		pack := map[string][]byte{}
		for _, f := range files {
			pack[f.Name] = f.Data
		}
		readme := string(pack["README.txt"])
		require.NotNil(t, sum.Shop)
		assert.Equal(t, origin.String(), sum.Shop.Origin)
		check := func(name, from, file string, turned bool, shift, stock []float64, margin float64) {
			was, is := meshOf(t, pack[from]), meshOf(t, pack[file])
			require.Len(t, is.V, len(was.V))
			for i, q := range was.V {
				if turned {
					q.X, q.Y = -q.Y, q.X
				}
				want := r3.Add(q, r3.Vec{X: shift[0], Y: shift[1], Z: shift[2]})
				require.Less(t, r3.Norm(r3.Sub(want, is.V[i])), 0.001, "mm: %s, float of 32 bits", name)
			}
			if turned {
				stock = []float64{stock[1], stock[0], stock[2]}
			}
			low := 0.0
			if origin == board.ShopTop {
				low = -stock[2]
			}
			box := is.Box()
			assert.InDelta(t, margin, box.Min.X, 0.001, name)
			assert.InDelta(t, margin, box.Min.Y, 0.001, name)
			assert.InDelta(t, stock[0]-margin, box.Max.X, 0.001, name)
			assert.InDelta(t, stock[1]-margin, box.Max.Y, 0.001, name)
			assert.InDelta(t, low, box.Min.Z, 0.001, name)
			assert.LessOrEqual(t, box.Max.Z, low+stock[2]+0.001, name)
			assert.Contains(t, readme, fmt.Sprintf("add %.3f, %.3f, %.3f", shift[0], shift[1], shift[2]), name)
			assert.Contains(t, readme, "\n"+file+" ")
			assert.Contains(t, sum.Files, file)
		}
		check("whole", "pocket.stl", sum.Shop.File, false, sum.Shop.Shift, sum.Stock, 0)
		require.NotEmpty(t, sum.Tiles)
		turned := 0
		for _, tile := range sum.Tiles {
			check(tile.Name, *tile.File, *tile.ShopFile, tile.Turned, tile.ShopShift, tile.Stock, 10)
			if tile.Turned {
				turned++
			}
		}
		t.Logf("%v: %d tiles, %d turned", origin, len(sum.Tiles), turned)
		anyTurned += turned
		assert.Contains(t, readme, "z 0 on its "+origin.String())
	}
	assert.Positive(t, anyTurned)
	assert.NotContains(t, string(built()[1]["README.txt"]), "MACHINE'S FRAME")
}

// TestShopFolder: the folder is the pack's own: replaced with it, gone when it is
// no longer wanted, and what a person keeps in it stops the export.
func TestShopFolder(t *testing.T) {
	ctx := context.Background()
	m := wanting(solved()[2], board.PackSettings{Shop: board.ShopBottom})
	dir := filepath.Join(t.TempDir(), "pack")
	for range 2 {
		_, err := handover.Export(ctx, m, dir, handover.Options{})
		require.NoError(t, err)
	}
	require.FileExists(t, filepath.Join(dir, "shop", "pocket.stl"))
	mine := filepath.Join(dir, "shop", "mine.nc")
	require.NoError(t, os.WriteFile(mine, nil, 0o600))
	_, err := handover.Export(ctx, m, dir, handover.Options{})
	require.ErrorIs(t, err, handover.ErrOccupied)
	require.ErrorContains(t, err, "shop/mine.nc")
	_, err = handover.Export(ctx, solved()[2], dir, handover.Options{Force: true})
	require.NoError(t, err)
	require.FileExists(t, mine)
	require.NoFileExists(t, filepath.Join(dir, "shop", "pocket.stl"))
	require.NoError(t, os.Remove(mine))
	_, err = handover.Export(ctx, solved()[2], dir, handover.Options{})
	require.NoError(t, err)
	require.NoDirExists(t, filepath.Join(dir, "shop"))
}

// TestEarlierPacksAreKept: where an earlier pack is to be kept, one of another cut,
// or of another state of the job, is not written over; the same one is.
func TestEarlierPacksAreKept(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	first := solved()[2]
	_, err := handover.Export(ctx, first, dir, handover.Options{Keep: true})
	require.NoError(t, err)
	_, err = handover.Export(ctx, first, dir, handover.Options{Keep: true})
	require.NoError(t, err, "the same job gives the same bytes")
	before := read(t, dir, "summary.json")

	for _, c := range []struct {
		cut  int
		note string
		same bool
	}{{2, "", false}, {1, "changed", true}} {
		m := *first
		m.Job = first.Job.Clone()
		m.Job.Cut, m.Job.Notes = c.cut, c.note
		_, err = handover.Export(ctx, &m, dir, handover.Options{Keep: true})
		var kept *handover.EarlierError
		require.True(t, errors.As(err, &kept), "%v", err)
		assert.Equal(t, &handover.EarlierError{Dir: dir, Cut: 1, Same: c.same}, kept)
		assert.Contains(t, err.Error(), "the pack of cut 1")
		assert.Equal(t, c.same, strings.Contains(err.Error(), "earlier state"))
		require.Equal(t, before, read(t, dir, "summary.json"))
	}
	m := *first
	m.Job = first.Job.Clone()
	m.Job.Cut = 2
	_, err = handover.Export(ctx, &m, dir, handover.Options{})
	require.NoError(t, err)
	require.NotEqual(t, before, read(t, dir, "summary.json"))
}
