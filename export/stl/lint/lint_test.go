package lint_test

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/export/stl/lint"
	"panewright/geom"
)

type facet [4][3]float32 // normal, corners

// tetrahedron returns the four facets of a corner of a cube of edge a, volume a³/6.
func tetrahedron(a float32) []facet {
	o, x, y, z := [3]float32{}, [3]float32{a}, [3]float32{0, a}, [3]float32{0, 0, a}
	d := float32(1 / math.Sqrt(3))
	return []facet{{{0, 0, -1}, o, y, x}, {{0, -1, 0}, o, x, z}, {{-1, 0, 0}, o, z, y}, {{d, d, d}, x, y, z}}
}

// file writes facets by hand.
func file(header string, facets []facet) []byte {
	data := []byte(header)
	for len(data) < 80 {
		data = append(data, ' ')
	}
	data = binary.LittleEndian.AppendUint32(data, uint32(len(facets)))
	for _, f := range facets {
		for _, v := range f {
			for _, x := range v {
				data = binary.LittleEndian.AppendUint32(data, math.Float32bits(x))
			}
		}
		data = append(data, 0, 0)
	}
	return data
}

func TestGood(t *testing.T) {
	r, err := lint.Lint(bytes.NewReader(file("corner, mm", tetrahedron(30))))
	require.NoError(t, err)
	assert.Equal(t, "corner, mm", r.Header)
	assert.Equal(t, 4, r.Facets)
	assert.Len(t, r.Mesh.V, 4)
	assert.InDelta(t, 4500, r.Mesh.Volume(), 1e-9)
}

// flip turns a facet inside out, its normal too.
func flip(f facet) facet {
	for i := range f[0] {
		f[0][i] = 0 - f[0][i]
	}
	f[2], f[3] = f[3], f[2]
	return f
}

func TestForm(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	good := file("corner", tetrahedron(30))
	edit := func(at int, b ...byte) []byte {
		return append(append(append([]byte(nil), good[:at]...), b...), good[at+len(b):]...)
	}
	with := func(corner int, x float32) []byte {
		f := tetrahedron(30)
		f[2][corner][1] = x
		return file("corner", f)
	}
	for name, data := range map[string][]byte{
		"empty":                 nil,
		"header alone":          good[:83],
		"text form":             file("solid corner", tetrahedron(30)),
		"header with a zero":    edit(79, 0),
		"count one too many":    edit(80, 5),
		"count one too few":     edit(80, 3),
		"count huge":            edit(80, 255, 255, 255, 255),
		"cut short":             good[:len(good)-1],
		"more at the end":       append(good[:len(good):len(good)], 0),
		"not a number":          with(1, nan),
		"infinite":              with(2, inf),
		"minus zero":            with(1, float32(math.Copysign(0, -1))),
		"normal not a number":   with(0, nan),
		"normal tilted":         with(0, 1e-5),
		"normal of a flipped":   with(0, 1),
		"unused bytes set":      edit(len(good)-1, 1),
		"normal where no plane": file("", []facet{{{1}, {0}, {1}, {2}}}),
	} {
		_, err := lint.Read(bytes.NewReader(data))
		assert.Error(t, err, name)
	}
}

// damage is a solid spoilt so that its form is still good.
func damage() map[string][]facet {
	tet := tetrahedron(30)
	alter := func(f func(s []facet) []facet) []facet { return f(append([]facet(nil), tet...)) }
	return map[string][]facet{
		"facet missing": tet[1:],
		"facet doubled": append(tet[:4:4], tet[3]),
		"facet flipped": alter(func(s []facet) []facet { s[0] = flip(s[0]); return s }),
		"inside out": alter(func(s []facet) []facet {
			for i := range s {
				s[i] = flip(s[i])
			}
			return s
		}),
		"crack of 4 µm": alter(func(s []facet) []facet { s[0][3] = [3]float32{30.004}; return s }),
		"T-junction": alter(func(s []facet) []facet {
			lower, upper := s[0], s[0]
			lower[3], upper[1] = [3]float32{15}, [3]float32{15}
			return append(s[1:], lower, upper)
		}),
	}
}

func TestNotSolid(t *testing.T) {
	for name, facets := range damage() {
		t.Run(name, func(t *testing.T) {
			data := file("corner", facets)
			_, err := lint.Read(bytes.NewReader(data))
			require.NoError(t, err, "the form is good")
			_, err = lint.Lint(bytes.NewReader(data))
			var fault *geom.MeshError
			assert.ErrorAs(t, err, &fault)
		})
	}
}

func save(t *testing.T, facets []facet) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "mesh.stl")
	require.NoError(t, os.WriteFile(path, file("", facets), 0o644))
	return path
}

// TestExamine proves the reader by CGAL on damaged files, among them the one
// that only it can tell: a closed mesh that passes through itself.
func TestExamine(t *testing.T) {
	for name, facets := range damage() {
		got := lint.Examine(t, save(t, facets))
		assert.False(t, got.Mesh && got.Closed && !got.Crossing && got.Outward, "%s: %+v", name, got)
	}
	two := tetrahedron(30)
	for _, f := range tetrahedron(30) {
		for i := range f[1:] {
			for j := range f[1+i] {
				f[1+i][j] += 5
			}
		}
		two = append(two, f)
	}
	_, err := lint.Lint(bytes.NewReader(file("", two)))
	require.NoError(t, err, "edge by edge nothing is wrong")
	got := lint.Examine(t, save(t, two))
	assert.Equal(t, []bool{true, true, true, false}, []bool{got.Mesh, got.Closed, got.Crossing, got.Outward})
	assert.Equal(t, 2, got.Parts)
}

// FuzzLint: any bytes are read without a panic.
func FuzzLint(f *testing.F) {
	f.Add(file("corner", tetrahedron(30)))
	f.Add(file("corner", tetrahedron(30)[1:]))
	f.Add([]byte("solid\nendsolid\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := lint.Lint(bytes.NewReader(data))
		if err == nil && (len(data) != 84+50*r.Facets || !(r.Mesh.Volume() > 0)) {
			t.Fatalf("%d facets in %d bytes, volume %v", r.Facets, len(data), r.Mesh.Volume())
		}
	})
}
