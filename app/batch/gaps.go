package batch

import (
	"context"
	"os"

	"panewright/board"
)

// solve is the model of a job: of its next cut where gaps are given.
func (s *settings) solve(ctx context.Context, j *board.Job) (*board.Model, error) {
	m, err := board.Solve(ctx, j, nil)
	if err != nil || s.gaps == "" || m.Pane == nil && j.LastCut() == nil {
		return m, err
	}
	return s.nextCut(ctx, m)
}

// nextCut is the model of the next cut: the gaps of the table are noted in the
// job's last cut, or, where it has none, in the pocket that m gives, and what
// explains them is put right.
func (s *settings) nextCut(ctx context.Context, m *board.Model) (*board.Model, error) {
	j := m.Job.Clone()
	if j.LastCut() == nil {
		cut, err := board.NewCut(ctx, m, j.Date, "")
		if err != nil {
			return nil, err
		}
		if err := j.AddCut(cut); err != nil {
			return nil, err
		}
	}
	last := &j.Cuts[len(j.Cuts)-1]
	if s.cutWall != nil {
		last.Wall = millimetres(*s.cutWall)
	}
	if err := s.readGaps(j, last.Number); err != nil {
		return nil, err
	}
	if err := j.AcceptCause(last.Number, board.FoundCauses, true); err != nil {
		return nil, err
	}
	j.Evaluate()
	if err := j.Validate(); err != nil {
		return nil, err
	}
	return board.Solve(ctx, j, nil)
}

// readGaps puts the table's gaps in the place of those of a cut.
func (s *settings) readGaps(j *board.Job, cut int) error {
	f, err := os.Open(s.gaps)
	if err != nil {
		return err
	}
	defer f.Close()
	gaps, err := board.ReadGaps(f, s.gaps, j)
	if err != nil {
		return err
	}
	for _, g := range j.Gaps {
		if g.Cut != cut {
			gaps = append(gaps, g)
		}
	}
	j.Gaps = gaps
	return nil
}
