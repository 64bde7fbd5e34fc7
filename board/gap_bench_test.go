package board_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"panewright/board"
)

// BenchmarkNextCut solves a job with a cut and gaps at 24 stations, beside the
// same job without them.
func BenchmarkNextCut(b *testing.B) {
	f, j, _, names, gaps := trial(b, 3, 0.5, 0)
	noted(b, j, table(names, gaps, "0.2"))
	require.NoError(b, j.AcceptCause(1, board.FoundCauses, true))
	j.Evaluate()
	for name, job := range map[string]*board.Job{"readings alone": f.job, "next cut": j} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := board.Solve(context.Background(), job, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
