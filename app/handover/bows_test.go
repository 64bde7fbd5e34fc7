package handover

import (
	"context"
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"panewright/board"
	"panewright/testdata/demo"
)

// TestSummaryTellsTheBows: demo A is one arch of 88.404 in across and one of
// 130.208 in up the pane.
func TestSummaryTellsTheBows(t *testing.T) {
	m, err := board.Solve(context.Background(), demo.A().Job, nil)
	require.NoError(t, err)
	s, err := Summarise(m, nil, nil)
	require.NoError(t, err)
	line, err := s.Line()
	require.NoError(t, err)
	var got struct {
		Crossbow   []map[string]float64 `json:"crossbow"`
		ForeAftBow map[string]float64   `json:"fore_aft_bow"`
	}
	require.NoError(t, json.Unmarshal(line, &got))
	require.GreaterOrEqual(t, len(got.Crossbow), 5)
	for _, c := range got.Crossbow {
		require.Len(t, c, 5)
		require.InDelta(t, 88.404*25.4, c["radius_mm"], 4*c["radius_u_mm"])
		require.Greater(t, c["sag_mm"], 50.0)
		require.Less(t, c["miss_mm"], 0.3)
	}
	require.InDelta(t, 130.208*25.4, got.ForeAftBow["radius_mm"], 4*got.ForeAftBow["radius_u_mm"])
}

// TestNoBows: straight sections have no radius, and a job without a pane an
// empty list.
func TestNoBows(t *testing.T) {
	b := newBow(board.Crossbow{Level: -100, Radius: math.Inf(1)})
	require.Nil(t, b.Radius)
	require.Nil(t, b.RadiusU)
	s, err := Summarise(&board.Model{Job: board.NewJob("nothing")}, nil, nil)
	require.NoError(t, err)
	line, err := s.Line()
	require.NoError(t, err)
	require.Contains(t, string(line), `"crossbow":[],"fore_aft_bow":null`)
}
