package firstcut

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every row of the table runs, and no pane of it is refused. Which share sits is
// the business of the table (go run ./testdata/firstcut/run), not of one pane.
func TestEveryRow(t *testing.T) {
	t.Parallel()
	for _, r := range Rows() {
		out, err := r.Outcomes(context.Background(), t.TempDir(), 0, 1, Clearance)
		require.NoError(t, err)
		o := out[0]
		require.Empty(t, o.Refused, r.Name)
		require.NotNil(t, o.Summary.FitCheck, r.Name)
		require.Less(t, o.Apart, bodyWithin, "%s: mm between drawing and body", r.Name)
		require.Less(t, o.Verdict.Through, 0.05, "%s: mm of glass below the ledge", r.Name)
		require.Less(t, o.Verdict.Largest, 5.0, "%s: mm at the wall", r.Name)
		require.Less(t, o.Verdict.Ledge, 4.0, "%s: mm over the ledge", r.Name)
		require.NotEmpty(t, o.Why(Clearance))
	}
}

func TestTallyAndLine(t *testing.T) {
	t.Parallel()
	sits := &Verdict{DropsIn: true, Snug: true, Sits: true, Largest: 2, Ledge: 0.5}
	high := &Verdict{DropsIn: true, Snug: true, Largest: 2.5, Ledge: 1.5}
	tally := Sum([]*Outcome{{Verdict: sits}, {Verdict: high}, {Refused: "why"}, {Verdict: sits}})
	require.Equal(t, 4, tally.Panes)
	require.Equal(t, 3, tally.Pocket)
	require.Equal(t, 3, tally.Snug)
	require.Equal(t, 2, tally.Sits)
	require.Equal(t, map[string]int{"no pocket": 1, "ledge": 1}, tally.Limits)
	var b strings.Builder
	(&Row{Name: "x", Bar: 0.7}).Print(&b, tally)
	require.Contains(t, b.String(), "75.0   75.0   50.0    70 held  below")
	require.Contains(t, b.String(), "ledge 1, no pocket 1")
}
