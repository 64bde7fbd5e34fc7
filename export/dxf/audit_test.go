package dxf_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/export/dxf/lint"
)

// TestOtherReader has the files read by a reader that is not ours.
func TestOtherReader(t *testing.T) {
	for _, v := range versions {
		t.Run(v.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "demo.dxf")
			file, err := os.Create(path)
			require.NoError(t, err)
			require.NoError(t, v.write(file, demo()))
			require.NoError(t, file.Close())
			got := lint.Audit(t, path)
			assert.Equal(t, v.name, got.Version)
			assert.Len(t, got.Entities, 10)
			report := read(t, demo(), v.write)
			for i, e := range report.Entities {
				assert.Equal(t, e.Type, got.Entities[i].Type)
				assert.Equal(t, e.Layer, got.Entities[i].Layer)
				assert.Equal(t, len(e.Points)+len(e.Ctrl), got.Entities[i].Points, "%s on %s", e.Type, e.Layer)
			}
			if v.name == lint.R2000 {
				assert.Equal(t, 4, got.Units)
			}
		})
	}
}
