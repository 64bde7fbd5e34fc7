package handover_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"panewright/app/handover"
	"panewright/board"
)

// The summary says what carries the line, how symmetric the pane is, and what may
// be wrong: keys that scripts may rely on.
func TestSummaryOfTheCentreLine(t *testing.T) {
	eachDemo(t, func(t *testing.T, m *board.Model, _ map[string][]byte) {
		s, err := handover.Summarise(m, nil, nil)
		require.NoError(t, err)
		line, err := s.Line()
		require.NoError(t, err)
		var read map[string]any
		require.NoError(t, json.Unmarshal(line, &read))
		for _, key := range []string{"evidence", "symmetry", "links"} {
			require.Contains(t, read, key)
		}
		require.NotEmpty(t, s.Links)
		if m.Found == nil {
			require.Nil(t, s.Evidence)
			require.Nil(t, s.Symmetry)
			return
		}
		var offset, skew float64
		for _, k := range s.Evidence.Kinds {
			offset, skew = offset+k.Offset, skew+k.Skew
			require.NotEmpty(t, k.PullsID)
			require.Positive(t, k.Count)
		}
		require.InDelta(t, 1, offset, 1e-5)
		require.InDelta(t, 1, skew, 1e-5)
		require.NotEmpty(t, s.Symmetry.Text)
		require.NotNil(t, s.Symmetry.Ratio)
		require.Equal(t, s.Symmetry.Code == "asymmetric", s.Symmetry.Most != nil)
	})
}
