package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// boxMesh is the box a × b × c with its lowest corner at o.
func boxMesh(o r3.Vec, a, b, c float64) *Mesh {
	m := &Mesh{}
	for i := range 8 {
		m.V = append(m.V, r3.Add(o, r3.Vec{X: a * float64(i&1), Y: b * float64(i>>1&1), Z: c * float64(i>>2)}))
	}
	for _, q := range [][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.T = append(m.T, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
	}
	return m
}

func TestMeshMeasures(t *testing.T) {
	// A metre off the origin the digits must not go.
	m := boxMesh(r3.Vec{X: 1000, Y: -1000, Z: 1000}, 3, 4, 5)
	require.NoError(t, m.Validate())
	assert.InDelta(t, 60, m.Volume(), 1e-11)
	assert.InDelta(t, 94, m.Area(), 1e-11)
	assert.Equal(t, r3.Box{Min: r3.Vec{X: 1000, Y: -1000, Z: 1000}, Max: r3.Vec{X: 1003, Y: -996, Z: 1005}}, m.Box())
	assert.Equal(t, r3.Box{}, (&Mesh{}).Box())
	assert.Zero(t, (&Mesh{}).Volume())
}

func TestMeshValidateCatches(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(m *Mesh)
		want  string
	}{
		{"no triangles", func(m *Mesh) { m.T = nil }, "no triangles"},
		{"NaN", func(m *Mesh) { m.V[3].Y = math.NaN() }, "point 3 is not finite"},
		{"infinite", func(m *Mesh) { m.V[3].Z = math.Inf(1) }, "point 3 is not finite"},
		{"opposite infinities", func(m *Mesh) { m.V[3].X, m.V[3].Z = math.Inf(1), math.Inf(-1) }, "point 3 is not finite"},
		{"index too large", func(m *Mesh) { m.T[4][1] = 8 }, "triangle 4: names point 8"},
		{"negative index", func(m *Mesh) { m.T[4][1] = -1 }, "triangle 4: names point -1"},
		{"point used twice in a triangle", func(m *Mesh) { m.T[5][2] = m.T[5][0] }, "triangle 5: has no area"},
		{"three points on a line", func(m *Mesh) { m.V[0] = r3.Vec{X: 1, Y: 4} }, "has no area"},
		{"unused point", func(m *Mesh) { m.V = append(m.V, r3.Vec{X: 9}) }, "point 8 is not used"},
		{"facet missing", func(m *Mesh) { m.T = m.T[1:] }, "is open"},
		{"facet flipped", func(m *Mesh) { t := &m.T[7]; t[0], t[1] = t[1], t[0] }, "uses the edge"},
		{"facet twice", func(m *Mesh) { m.T = append(m.T, m.T[2]) }, "triangle 12: uses the edge"},
		{"facet twice, turned round", func(m *Mesh) { t := m.T[2]; m.T = append(m.T, [3]int32{t[1], t[2], t[0]}) }, "triangle 12: uses the edge"},
		{"all flipped", func(m *Mesh) {
			for i, t := range m.T {
				m.T[i] = [3]int32{t[1], t[0], t[2]}
			}
		}, "turned inside out"},
		{"T-junction", func(m *Mesh) { // the long edge 0-1 of one face is split, not of the other
			m.V = append(m.V, r3.Vec{X: 1.5})
			m.T[4] = [3]int32{0, 8, 5}
			m.T = append(m.T, [3]int32{8, 1, 5})
		}, "is open"},
		{"crack of 4 microns", func(m *Mesh) {
			m.V = append(m.V, r3.Add(m.V[7], r3.Vec{Z: 0.004}))
			m.T[3] = [3]int32{4, 8, 6}
		}, "is open"},
		{"two bodies with one edge in common", func(m *Mesh) {
			o := boxMesh(r3.Vec{X: 3, Y: 4}, 1, 1, 5) // shares the upright edge 3-7
			index := map[int32]int32{0: 3, 4: 7}
			for i, v := range o.V {
				if _, ok := index[int32(i)]; !ok {
					index[int32(i)] = int32(len(m.V))
					m.V = append(m.V, v)
				}
			}
			for _, t := range o.T {
				m.T = append(m.T, [3]int32{index[t[0]], index[t[1]], index[t[2]]})
			}
		}, "uses the edge 3-7"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := boxMesh(r3.Vec{}, 3, 4, 5)
			c.spoil(m)
			err := m.Validate()
			var fault *MeshError
			require.ErrorAs(t, err, &fault)
			assert.ErrorContains(t, err, c.want)
		})
	}
}

func BenchmarkMeshValidate(b *testing.B) {
	const n = 180 // a lattice of boxes, 12 n² / 4 triangles
	m := &Mesh{}
	for i := range n / 2 {
		for j := range n / 2 {
			o := boxMesh(r3.Vec{X: float64(2 * i), Y: float64(2 * j)}, 1, 1, 1)
			first := int32(len(m.V))
			m.V = append(m.V, o.V...)
			for _, t := range o.T {
				m.T = append(m.T, [3]int32{t[0] + first, t[1] + first, t[2] + first})
			}
		}
	}
	for b.Loop() {
		if err := m.Validate(); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(m.T)), "triangles")
}
