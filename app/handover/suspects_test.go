package handover

import (
	"context"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"panewright/board"
	"panewright/testdata/demo"
)

// TestSuspectsOfTheDemos holds the key "suspects" to its fixed form and to what
// was planted.
func TestSuspectsOfTheDemos(t *testing.T) {
	type offer struct{ Field, Typed, Instead, Why string }
	type suspect struct {
		Kind, ID string
		ToID     *string `json:"to_id"`
		Miss     float64 `json:"miss_mm"`
		Offer    *offer
	}
	for _, c := range []struct {
		d    demo.Demo
		want map[string]offer
		to   string
	}{
		{demo.A(), map[string]offer{"12": {"x", "21 3/8", "12 3/8", ""}, "19": {"y", "1", "3", ""}, "42": {"x", "21 3/4", "-21 3/4", ""}, "F43": {"z", "4 5/8", "4 3/8", ""}}, ""},
		{demo.B(), map[string]offer{"41": {"block", "41 to 46", "42 to 47", ""}, "F40": {"z", "11.9", "119", ""}}, "46"},
		{demo.C(), map[string]offer{"15": {"xy", "183, 487", "487, 183", ""}, "24": {"block", "24 to 25", "25 to 24", ""}, "F9": {"z", "31", "34", ""}}, "25"},
	} {
		m, err := board.Solve(context.Background(), c.d.Job, nil)
		require.NoError(t, err)
		s, err := Summarise(m, nil, nil)
		require.NoError(t, err)
		line, err := s.Line()
		require.NoError(t, err)
		var got struct{ Suspects []suspect }
		require.NoError(t, json.Unmarshal(line, &got))
		require.Len(t, got.Suspects, len(c.want), c.d.File)
		for _, s := range got.Suspects {
			require.NotNil(t, s.Offer, s.ID)
			require.NotEmpty(t, s.Offer.Why)
			s.Offer.Why = ""
			require.Equal(t, c.want[s.ID], *s.Offer, s.ID)
			require.Equal(t, s.Offer.Field == "block", s.ToID != nil)
			if s.ToID != nil {
				require.Equal(t, c.to, *s.ToID)
			}
		}
	}
}

func TestReasonOf(t *testing.T) {
	o := &board.Offer{Field: "x", Instead: "12 3/8"}
	require.Equal(t, "off the edge; did you mean 12 3/8?", reasonOf("off the edge", o))
	require.Equal(t, "did you mean 12 3/8?", reasonOf("", o))
	require.Equal(t, "off the edge", reasonOf("off the edge", nil))
}
