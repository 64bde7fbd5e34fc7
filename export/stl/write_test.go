package stl_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/export/stl"
	"panewright/export/stl/lint"
	"panewright/geom"
)

// box returns a box of the given size with its lower corner at p.
func box(p, size r3.Vec) *geom.Mesh {
	m := &geom.Mesh{T: [][3]int32{
		{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, // bottom, top
		{0, 1, 4}, {1, 5, 4}, {2, 6, 3}, {3, 6, 7}, // front, back
		{0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}, // left, right
	}}
	for i := range 8 {
		at := r3.Vec{X: float64(i & 1), Y: float64(i >> 1 & 1), Z: float64(i >> 2)}
		m.V = append(m.V, r3.Add(p, r3.Vec{X: at.X * size.X, Y: at.Y * size.Y, Z: at.Z * size.Z}))
	}
	return m
}

// torus returns a torus of radii a and b mm in n x k quadrangles, halved.
func torus(a, b float64, n, k int) *geom.Mesh {
	m := &geom.Mesh{}
	at := func(i, j int) int32 { return int32(i%n*k + j%k) }
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		for j := range k {
			sj, cj := math.Sincos(2 * math.Pi * float64(j) / float64(k))
			m.V = append(m.V, r3.Vec{X: (a + b*cj) * c, Y: (a + b*cj) * s, Z: b * sj})
			m.T = append(m.T, [3]int32{at(i, j), at(i+1, j), at(i+1, j+1)}, [3]int32{at(i, j), at(i+1, j+1), at(i, j+1)})
		}
	}
	return m
}

// glass stands for what is really written: 1.4 m wide, off the origin.
func glass() *geom.Mesh { return torus(500, 200, 90, 40) }

func write(t testing.TB, m *geom.Mesh) []byte {
	t.Helper()
	var file bytes.Buffer
	require.NoError(t, stl.Write(&file, m, "panewright, mm"))
	return file.Bytes()
}

func TestRoundTrip(t *testing.T) {
	for name, m := range map[string]*geom.Mesh{
		"box":   box(r3.Vec{X: -700.1, Y: 0.3, Z: -20}, r3.Vec{X: 1400, Y: 700, Z: 50}),
		"torus": glass(),
	} {
		t.Run(name, func(t *testing.T) {
			require.NoError(t, m.Validate())
			r, err := lint.Lint(bytes.NewReader(write(t, m)))
			require.NoError(t, err)
			assert.Equal(t, "panewright, mm", r.Header)
			assert.Equal(t, len(m.T), r.Facets)
			assert.Len(t, r.Mesh.V, len(m.V), "points welded")
			const half = 3.1e-5 // mm: half a unit in the last place of 32 bits at 700 mm
			for i, tri := range m.T {
				for j := range tri {
					got, want := r.Mesh.V[r.Mesh.T[i][j]], m.V[tri[j]]
					require.InDelta(t, 0, r3.Norm(r3.Sub(got, want)), 2*half, "facet %d", i)
				}
			}
			assert.InEpsilon(t, m.Volume(), r.Mesh.Volume(), 1e-6)
		})
	}
}

// TestBytes spells out one facet.
func TestBytes(t *testing.T) {
	m := &geom.Mesh{V: []r3.Vec{{}, {X: 2}, {Y: math.Copysign(0, -1) + 3, Z: math.Copysign(0, -1)}}, T: [][3]int32{{0, 1, 2}}}
	got := write(t, m)
	require.Len(t, got, 84+50)
	assert.Equal(t, "panewright, mm"+strings.Repeat(" ", 66), string(got[:80]))
	assert.Equal(t, uint32(1), binary.LittleEndian.Uint32(got[80:]))
	var floats [12]float32
	require.NoError(t, binary.Read(bytes.NewReader(got[84:]), binary.LittleEndian, &floats))
	assert.Equal(t, [12]float32{0, 0, 1, 0, 0, 0, 2, 0, 0, 0, 3, 0}, floats)
	assert.False(t, math.Signbit(float64(floats[11])), "minus zero")
	assert.Equal(t, []byte{0, 0}, got[132:])
	assert.Equal(t, got, write(t, m), "same bytes again")
}

// TestNoArea: three corners in a line have no normal; no NaN is written.
func TestNoArea(t *testing.T) {
	m := &geom.Mesh{V: []r3.Vec{{}, {X: 1}, {X: 2}}, T: [][3]int32{{0, 1, 2}}}
	assert.Equal(t, make([]byte, 12), write(t, m)[84:96])
}

func TestRefused(t *testing.T) {
	good := func() *geom.Mesh { return box(r3.Vec{}, r3.Vec{X: 1, Y: 1, Z: 1}) }
	with := func(f func(m *geom.Mesh)) *geom.Mesh { m := good(); f(m); return m }
	for name, c := range map[string]struct {
		mesh   *geom.Mesh
		header string
	}{
		"header too long":      {good(), strings.Repeat("a", 81)},
		"header of text form":  {good(), " Solid glass"},
		"header not ASCII":     {good(), "Größe in mm"},
		"header of two lines":  {good(), "a\nb"},
		"no facets":            {&geom.Mesh{}, ""},
		"point not there":      {with(func(m *geom.Mesh) { m.T[3][1] = 8 }), ""},
		"point negative":       {with(func(m *geom.Mesh) { m.T[3][1] = -1 }), ""},
		"point not a number":   {with(func(m *geom.Mesh) { m.V[2].Y = math.NaN() }), ""},
		"point infinite":       {with(func(m *geom.Mesh) { m.V[2].Y = math.Inf(-1) }), ""},
		"too large in 32 bits": {with(func(m *geom.Mesh) { m.V[2].Y = 1e39 }), ""},
		"corners fall together": {with(func(m *geom.Mesh) {
			m.V[0], m.V[1] = r3.Vec{X: 1000, Y: 5}, r3.Vec{X: 1000.00001, Y: 5}
		}), ""},
	} {
		t.Run(name, func(t *testing.T) {
			var file bytes.Buffer
			err := stl.Write(&file, c.mesh, c.header)
			require.Error(t, err)
			assert.True(t, strings.HasPrefix(err.Error(), "stl: "), "%v", err)
			assert.Zero(t, file.Len())
		})
	}
}

// full is a disk with room for so many bytes.
type full struct{ room int }

var errFull = errors.New("disk full")

func (f *full) Write(p []byte) (int, error) {
	if f.room -= len(p); f.room < 0 {
		return max(0, len(p)+f.room), errFull
	}
	return len(p), nil
}

// short takes less than it is given and does not say so.
type short struct{}

func (short) Write(p []byte) (int, error) { return len(p) / 2, nil }

func TestDiskFull(t *testing.T) {
	m := glass()
	size := 84 + 50*len(m.T)
	for _, room := range []int{0, 83, 70_000, size - 1} {
		assert.ErrorIs(t, stl.Write(&full{room}, m, ""), errFull, "room for %d bytes", room)
	}
	assert.NoError(t, stl.Write(&full{size}, m, ""))
	assert.ErrorIs(t, stl.Write(short{}, m, ""), io.ErrShortWrite)
}

// save writes bytes to a file of the test.
func save(t testing.TB, data []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "mesh.stl")
	require.NoError(t, os.WriteFile(path, data, 0o644))
	return path
}

// TestOtherReaders has two readers that are not ours look at good files.
func TestOtherReaders(t *testing.T) {
	block := box(r3.Vec{X: -30, Y: 5, Z: -2}, r3.Vec{X: 60, Y: 20, Z: 10})
	ring := glass()
	t.Run("admesh", func(t *testing.T) {
		lint.Exact(t, save(t, write(t, block)), save(t, write(t, ring)))
	})
	t.Run("CGAL", func(t *testing.T) {
		got := lint.Examine(t, save(t, write(t, block)))
		assert.Equal(t, lint.Solid{Facets: 12, Mesh: true, Closed: true, Outward: true, Volume: 12000, Parts: 1}, got)
		got = lint.Examine(t, save(t, write(t, ring)))
		assert.InEpsilon(t, ring.Volume(), got.Volume, 1e-6)
		got.Volume = 0
		assert.Equal(t, lint.Solid{Facets: 7200, Mesh: true, Closed: true, Outward: true, Parts: 1}, got)
	})
}

// BenchmarkWrite writes a million facets.
func BenchmarkWrite(b *testing.B) {
	m := torus(500, 200, 1000, 500)
	b.SetBytes(int64(84 + 50*len(m.T)))
	for b.Loop() {
		if err := stl.Write(io.Discard, m, ""); err != nil {
			b.Fatal(err)
		}
	}
}
