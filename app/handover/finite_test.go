package handover_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"panewright/app/handover"
	"panewright/board"
	"panewright/testdata/demo"
)

// odd are jobs that carry little or nonsense.
func odd() map[string]*board.Job {
	jobs := map[string]*board.Job{"empty": board.NewJob("empty")}
	make := func(name string, n int, at func(i int) (x, y, z string)) *board.Job {
		j := board.NewJob(name)
		for i := range n {
			x, y, z := at(i)
			j.Readings = append(j.Readings, board.Reading{ID: j.NextID(board.Edge), X: j.Typed(x), Y: j.Typed(y), Z: j.Typed(z)})
		}
		j.Evaluate()
		jobs[name] = j
		return j
	}
	make("one", 1, func(int) (string, string, string) { return "1", "2", "3" })
	make("all in one place", 12, func(int) (string, string, string) { return "100", "200", "5" })
	make("in a row", 12, func(i int) (string, string, string) { return fmt.Sprint(100 * i), "0", "0" })
	circle := func(r float64) func(i int) (string, string, string) {
		return func(i int) (string, string, string) {
			s, c := math.Sincos(2 * math.Pi * float64(i) / 24)
			return fmt.Sprint(math.Round(r * c)), fmt.Sprint(math.Round(r * s)), ""
		}
	}
	make("no heights", 24, circle(300))
	make("as large as can be", 24, circle(99_999))
	make("hardly there", 24, circle(2))
	j := make("sure to nothing", 24, circle(300))
	j.Sigma = 0
	j = make("typed plane askew", 24, circle(300))
	j.Plane = &board.TypedPlane{Offset: j.Typed("90000"), Skew: j.Typed("89.9"), Roll: j.Typed("-89.9")}
	j.Evaluate()
	return jobs
}

// none is what a number that is none looks like in any of the files.
var none = regexp.MustCompile(`(?i)(^|[\s,;:(\[])[-+]?(nan|inf|infinity)($|[\s,;:)\]])`)

// TestEveryFigureIsFinite: whatever the readings, the summary can be written (JSON
// knows no other numbers), and no file of text holds a number that is none.
func TestEveryFigureIsFinite(t *testing.T) {
	figures := 0
	look := func(name string, files map[string][]byte) {
		var v any
		require.NoError(t, json.Unmarshal(files["summary.json"], &v), name)
		eachNumber(v, func(x float64) {
			figures++
			require.False(t, math.IsNaN(x) || math.IsInf(x, 0), name)
		})
		for file, data := range files {
			if !strings.HasSuffix(file, ".pdf") && !strings.HasSuffix(file, ".zip") && !strings.HasSuffix(file, ".stl") {
				require.NotRegexp(t, none, string(data), "%s of %s", file, name)
			}
		}
	}
	for i, pack := range built() {
		look(demo.All()[i].File, pack)
	}
	for name, j := range odd() {
		m, err := board.Solve(context.Background(), j, nil)
		if err != nil {
			continue // refused, in words
		}
		files, _, err := handover.Build(context.Background(), m, nil)
		require.NoError(t, err, name)
		pack := map[string][]byte{}
		for _, f := range files {
			pack[f.Name] = f.Data
		}
		look(name, pack)
	}
	t.Logf("%d figures, all finite", figures)
}

// eachNumber visits every number of decoded JSON.
func eachNumber(v any, visit func(float64)) {
	switch v := v.(type) {
	case float64:
		visit(v)
	case []any:
		for _, w := range v {
			eachNumber(w, visit)
		}
	case map[string]any:
		for _, w := range v {
			eachNumber(w, visit)
		}
	}
}

// TestSameBytesSideBySide builds a pack several times at once: the exporters share
// nothing that changes.
func TestSameBytesSideBySide(t *testing.T) {
	m := solved()[2]
	var all sync.WaitGroup
	packs := make([][]handover.File, 3)
	for i := range packs {
		all.Go(func() { packs[i], _, _ = handover.Build(context.Background(), m, nil) })
	}
	all.Wait()
	for _, files := range packs {
		require.Len(t, files, len(built()[2]))
		for _, f := range files {
			require.True(t, bytes.Equal(f.Data, built()[2][f.Name]), f.Name)
		}
	}
}
