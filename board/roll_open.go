package board

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// rollAllowed is by how much the far edge of a made half may be too high or too
// low, one standard uncertainty, before heights are asked for: the glass would
// stand off the ledge by as much and no longer sit (1 mm at two of them).
const rollAllowed = 0.5

// rollOpen is the finding that a made half's heights hang on a roll that the
// readings hardly know: a tape and the edge in plan say nothing of it, and heights
// of one half alone tell it poorly from the face's own arch. It says where three
// heights would settle it.
func (s *solve) rollOpen(add func(list string, row int, field, code, text string)) {
	c := s.m.Found
	if c == nil || s.m.Mirror != MirrorLeft && s.m.Mirror != MirrorRight {
		return
	}
	side, far := -1.0, "left"
	if s.m.Mirror == MirrorLeft {
		side, far = 1, "right"
	}
	box := s.m.Pane.Outline.Bounds()
	off := 2 * c.RollU * math.Pi / 180 * box.Max.X // at the far edge
	if !(off > rollAllowed) {
		return
	}
	var near []string
	back := s.m.BoardToGlass.Inverse()
	for _, f := range []float64{-0.5, 0, 0.5} {
		q := r2.Vec{X: side * 0.8 * box.Max.X, Y: (box.Min.Y + box.Max.Y + f*(box.Max.Y-box.Min.Y)) / 2}
		p := back.Apply(r3.Vec{X: q.X, Y: q.Y, Z: s.m.Pane.Upper.At(q.X, q.Y)})
		near = append(near, s.job.Grid.Describe(roundly(r2.Vec{X: p.X, Y: p.Y}, s.job.Unit), s.job.Unit))
	}
	add("face", 0, "", "roll-open", fmt.Sprintf("How far the pane is rolled is known to ± %.2f° only: the far edge of the half that is made may come out %s too high or too low, and the glass would not sit. Read three heights on the %s half, near %s.",
		c.RollU, fineLength(s.job, off), far, strings.Join(near, "; ")))
}
