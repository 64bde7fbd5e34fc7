package lint

import (
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestAdmesh proves the account of admesh on a file with a hole.
func TestAdmesh(t *testing.T) {
	corners := [][3]int{{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}}
	points := [][3]float32{{}, {30}, {0, 30}, {0, 0, 30}}
	for n, good := range map[int]bool{4: true, 3: false} {
		data := append(make([]byte, 80), byte(n), 0, 0, 0)
		for _, t := range corners[:n] {
			data = append(data, make([]byte, 12)...)
			for _, k := range t {
				for _, x := range points[k] {
					data = binary.LittleEndian.AppendUint32(data, math.Float32bits(x))
				}
			}
			data = append(data, 0, 0)
		}
		path := filepath.Join(t.TempDir(), "mesh.stl")
		require.NoError(t, os.WriteFile(path, data, 0o644))
		faults := admesh(t, path)
		assert.Equal(t, good, len(faults) == 0, "%d facets: %v", n, faults)
	}
}
