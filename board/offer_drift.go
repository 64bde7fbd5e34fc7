package board

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

const (
	driftPairs = 3   // second readings that it takes to speak of a drift
	driftLimit = 0.5 // mm, below which nothing has moved (as the closing reading)
	driftSD    = 4.0 // in the scatter of second readings
)

// drift tells where the second readings of stations lie to one side of the first
// ones: the board sagged or the pane slid between. It is a remark; no reading is
// to blame.
func (s *solve) drift() {
	first := map[string]int{}
	var dx, dy []float64
	for k, i := range s.edge {
		if !s.kept(k) {
			continue
		}
		id := strings.TrimRight(s.job.Readings[i].ID, "abcdefghijklmnopqrstuvwxyz'")
		f, again := first[id]
		if !again {
			first[id] = k
			continue
		}
		a, b := s.marks[f].P, s.marks[k].P
		dx, dy = append(dx, b.X-a.X), append(dy, b.Y-a.Y)
	}
	if len(dx) < driftPairs {
		return
	}
	slices.Sort(dx)
	slices.Sort(dy)
	x, y := dx[len(dx)/2], dy[len(dy)/2] // medians: a pair may hold a slip
	sxy, _ := s.job.sigmas()
	off := math.Hypot(x, y)
	if off < driftLimit || off < driftSD*sxy*math.Sqrt(2/float64(len(dx))) {
		return
	}
	s.m.Findings = append(s.m.Findings, Finding{List: "edge", Code: "drift", Remark: true,
		Text: fmt.Sprintf("The %d second readings lie %s to one side of the first ones (x %s, y %s): the pane or the board moved between. Read the first stations again before you trust the corners between them.",
			len(dx), s.job.length(off), s.job.length(x), s.job.length(y))})
}
