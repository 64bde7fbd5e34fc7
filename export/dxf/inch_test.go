package dxf_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/export/dxf"
	"panewright/export/dxf/lint"
)

// inches is the demo drawing in inches.
func inches() *dxf.Drawing {
	d := demo()
	d.Inches()
	return d
}

// TestInches: the same drawing in inches, length by length; what is no length
// stays.
func TestInches(t *testing.T) {
	const rounding = 3e-7 // mm: an inch in 8 decimals
	back := func(p r3.Vec) r3.Vec { return r3.Scale(25.4, p) }
	same := func(want, got []r3.Vec, what string) {
		require.Len(t, got, len(want), what)
		for i := range want {
			assert.InDelta(t, 0, r3.Norm(r3.Sub(want[i], back(got[i]))), 2*rounding, "mm: %s", what)
		}
	}
	for _, v := range versions {
		mm, in := read(t, demo(), v.write), read(t, inches(), v.write)
		require.Len(t, in.Entities, len(mm.Entities))
		for i, w := range mm.Entities {
			g := in.Entities[i]
			assert.Equal(t, []any{w.Type, w.Layer, w.Text, w.Closed, w.Planar, w.Knots}, []any{g.Type, g.Layer, g.Text, g.Closed, g.Planar, g.Knots})
			assert.InDelta(t, w.Height, 25.4*g.Height, rounding)
			assert.InDelta(t, w.Radius, 25.4*g.Radius, rounding)
			same(w.Points, g.Points, w.Type)
			same(w.Ctrl, g.Ctrl, w.Type)
		}
		same([]r3.Vec{mm.ExtMin, mm.ExtMax}, []r3.Vec{in.ExtMin, in.ExtMax}, "extents")
	}
	r := read(t, inches(), dxf.WriteR2000)
	assert.Equal(t, []int{1, 0}, []int{r.Units, r.Measurement}, "inches, said twice")
}

// TestInchesElsewhere: the reader that is not ours takes it for inches and finds
// nothing to mend.
func TestInchesElsewhere(t *testing.T) {
	path := filepath.Join(t.TempDir(), "inch.dxf")
	var file bytes.Buffer
	require.NoError(t, dxf.WriteR2000(&file, inches()))
	require.NoError(t, os.WriteFile(path, file.Bytes(), 0o600))
	assert.Equal(t, 1, lint.Audit(t, path).Units)
}
