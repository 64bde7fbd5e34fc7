package board_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/board"
)

// cutOf solves a job, keeps the cut and returns both.
func cutOf(t testing.TB, j *board.Job) (*board.Job, *board.Model) {
	t.Helper()
	m, err := board.Solve(context.Background(), j, nil)
	require.NoError(t, err)
	require.NotNil(t, m.Pane, m.Why)
	cut, err := board.NewCut(context.Background(), m, "2031-01-02", "first trial")
	require.NoError(t, err)
	next := j.Clone()
	require.NoError(t, next.AddCut(cut))
	return next, m
}

func solveAgain(t testing.TB, j *board.Job) *board.Model {
	t.Helper()
	j.Evaluate()
	require.NoError(t, j.Validate())
	m, err := board.Solve(context.Background(), j, nil)
	require.NoError(t, err)
	require.NotNil(t, m.Pane, m.Why)
	return m
}

// noted puts a table of gaps into a job.
func noted(t testing.TB, j *board.Job, table string) {
	t.Helper()
	var err error
	j.Gaps, err = board.ReadGaps(strings.NewReader(table), "gaps.csv", j)
	require.NoError(t, err)
}

// trial is a pane of exact readings with its first cut and the gaps in it.
func trial(t testing.TB, seed uint64, e, alpha float64) (f *trialFit, j *board.Job, m *board.Model, names []string, gaps []float64) {
	rng := rand.New(rand.NewPCG(seed, 515))
	f = newTrialFit(rng, 0, e, alpha)
	j, m = cutOf(t, f.job)
	names = f.spread24(m)
	_, gaps = f.lie(t, m, names)
	return f, j, m, names, gaps
}

func table(names []string, wall []float64, ledge string) string {
	var b strings.Builder
	b.WriteString("station,wall,ledge\n")
	for i, n := range names {
		fmt.Fprintf(&b, "%s,%.3f,%s\n", n, wall[i], ledge)
	}
	return b.String()
}

func cause(g *board.GapReport, name string) *board.GapCause {
	for i := range g.Causes {
		if g.Causes[i].Name == name {
			return &g.Causes[i]
		}
	}
	return nil
}

// TestGapsMoveTheLine: a line 1 mm too far right, the right half measured. The
// correction is what to add to the line, and nothing is changed before it is
// accepted.
func TestGapsMoveTheLine(t *testing.T) {
	const e, tol = 1.0, 0.2 // mm
	f, j, m, names, gaps := trial(t, 3, e, 0)
	noted(t, j, table(names, gaps, ""))
	waiting := solveAgain(t, j)
	g := waiting.Gaps
	require.NotNil(t, g)
	require.Empty(t, g.Why)
	assert.Equal(t, 1, g.Cut)
	require.True(t, g.Offset.Known)
	assert.InDelta(t, -e, g.Offset.Value, tol)
	assert.Less(t, g.Offset.U, tol)
	assert.InDelta(t, 0, g.Skew.Value, 0.02)
	assert.False(t, g.Roll.Known, "no ledge gap was noted")
	assert.Contains(t, strings.Join(g.Doubts, "\n"), "roll: ")
	assert.Equal(t, "placement", g.Causes[0].Name)
	assert.Equal(t, board.RestCause, g.Causes[len(g.Causes)-1].Name)
	offset := cause(g, "centre_offset")
	require.NotNil(t, offset)
	assert.True(t, offset.Clear)
	assert.Contains(t, offset.Text, "too far to the right")
	assert.Greater(t, offset.Share+g.Causes[0].Share, 0.9)
	d, err := board.CompareShapes(m.Shape(), waiting.Shape())
	require.NoError(t, err)
	assert.Less(t, d.Greatest, 1e-6, "nothing was accepted")
	assert.Equal(t, "typed", waiting.Used.Source)

	require.NoError(t, j.AcceptCause(1, "centre_offset", true))
	next := solveAgain(t, j)
	assert.Equal(t, "mixed", next.Used.Source)
	assert.InDelta(t, m.Used.Offset-e, next.Used.Offset, tol)
	assert.Equal(t, offset.U, next.Used.OffsetU)
	assert.InDelta(t, m.Figures.Width+2*e, next.Figures.Width, 2*tol, "the made half moves by twice the error")
	p, _ := f.lie(t, next, names)
	assert.InDelta(t, 1.5, p.Least, 0.3)
	assert.InDelta(t, 1.5, p.Largest, 0.3)
	for _, s := range next.Gaps.Stations {
		require.True(t, s.HasNext)
		assert.InDelta(t, 1.5, s.Next.Wall, 0.3, s.ID)
	}
	d, err = board.CompareShapes(m.Shape(), next.Shape())
	require.NoError(t, err)
	assert.InDelta(t, 2*e, d.Greatest, 2*tol)
	for _, s := range d.Stations {
		if !strings.HasSuffix(s.ID, "'") && s.At.X > 20 {
			assert.InDelta(t, 0, s.Edge, 0.1, "the measured half stays: %s", s.ID)
		}
	}
}

// TestTheThirdCutFollowsTheSecond: what was put right stays so.
func TestTheThirdCutFollowsTheSecond(t *testing.T) {
	_, j, _, names, gaps := trial(t, 5, -0.8, 0.08)
	noted(t, j, table(names, gaps, ""))
	require.NoError(t, j.AcceptCause(1, board.FoundCauses, true))
	j, second := cutOf(t, solveAgain(t, j).Job)
	require.Len(t, j.Cuts, 2)
	assert.Equal(t, 3, j.Cut)
	fix := j.Cuts[1].Fix
	require.NotNil(t, fix.Plane)
	assert.NotEmpty(t, fix.Rest)
	assert.Equal(t, "rest", fix.Causes[len(fix.Causes)-1].Name)
	data, err := board.Encode(j)
	require.NoError(t, err)
	j, _, err = board.Decode("a.pane", data)
	require.NoError(t, err)
	third := solveAgain(t, j.Clone())
	assert.Nil(t, third.Gaps, "no gap was noted in the second")
	d, err := board.CompareShapes(second.Shape(), third.Shape())
	require.NoError(t, err)
	assert.Less(t, d.Greatest, 0.02)
	assert.Equal(t, second.Used.Offset, third.Used.Offset)
}

// TestGapsOnTheMadeHalfAlone tell no offset.
func TestGapsOnTheMadeHalfAlone(t *testing.T) {
	_, j, _, names, gaps := trial(t, 3, 1, 0)
	var left []string
	var wall []float64
	for i, n := range names {
		if strings.HasSuffix(n, "'") {
			left, wall = append(left, n), append(wall, gaps[i])
		}
	}
	noted(t, j, table(left, wall, ""))
	g := solveAgain(t, j).Gaps
	assert.False(t, g.Offset.Known)
	assert.Contains(t, strings.Join(g.Doubts, "\n"), "centre_offset: Each wall gap noted is on the mirrored half")
}

// TestAWallTooWideAllRound is a cause, unless the clearance was measured.
func TestAWallTooWideAllRound(t *testing.T) {
	const wide, tol = 0.5, 0.1 // mm
	_, j, m, names, gaps := trial(t, 8, 0, 0)
	for i := range gaps {
		gaps[i] += wide
	}
	noted(t, j, table(names, gaps, ""))
	require.NoError(t, j.AcceptCause(1, "pencil_or_cutter", true))
	next := solveAgain(t, j)
	c := cause(next.Gaps, "pencil_or_cutter")
	require.NotNil(t, c)
	assert.InDelta(t, wide, c.Value, tol)
	assert.InDelta(t, m.Figures.Width-2*wide, next.Figures.Width, 2*tol)
	require.NoError(t, j.SetCut(1, "wall", "2"))
	assert.Nil(t, cause(solveAgain(t, j).Gaps, "pencil_or_cutter"))
}

// TestLedgeGapsLiftTheLedge: the glass stands 0.8 mm off the ledge over a
// stretch of the edge, and is tight elsewhere; the next ledge is higher there.
func TestLedgeGapsLiftTheLedge(t *testing.T) {
	_, j, m, names, gaps := trial(t, 3, 0, 0)
	var b strings.Builder
	b.WriteString("station,wall,ledge\n")
	for i, n := range names {
		ledge := 0.1
		if at := place(t, m, n); at > 300 { // the measured half: no roll of the plane does that
			ledge = 0.9
		}
		fmt.Fprintf(&b, "%s,%.2f,%.2f\n", n, gaps[i], ledge)
	}
	noted(t, j, b.String())
	require.NoError(t, j.AcceptCause(1, board.FoundCauses, true))
	next := solveAgain(t, j)
	for _, s := range next.Gaps.Stations {
		if s.Ledge.Set {
			assert.InDelta(t, 0, s.Next.Ledge, 0.3, "mm, at %s", s.ID)
		}
	}
	d, err := board.CompareShapes(m.Shape(), next.Shape())
	require.NoError(t, err)
	most, least := math.Inf(-1), math.Inf(1)
	for _, s := range d.Stations {
		most, least = math.Max(most, s.Height), math.Min(least, s.Height)
	}
	assert.Greater(t, most-least, 0.15, "mm: the ledge follows what the glass showed beyond a tilt")
}

// place is the x of a station or its twin, glass frame.
func place(t testing.TB, m *board.Model, name string) float64 {
	t.Helper()
	for _, s := range m.Shape().Stations {
		if s.ID == strings.TrimSuffix(name, "'") {
			if strings.HasSuffix(name, "'") {
				return -s.At.X
			}
			return s.At.X
		}
	}
	t.Fatal(name)
	return 0
}

// TestProof: gaps within half a millimetre of the clearance all round prove the
// cut; with ledge gaps the face too; a changed outline is not proved.
func TestProof(t *testing.T) {
	_, j, _, names, gaps := trial(t, 3, 0.1, 0)
	noted(t, j, table(names, gaps, "0.2"))
	m := solveAgain(t, j)
	assert.Equal(t, board.Proof{Cut: 1, Ledge: true}, m.Proof)
	assert.Equal(t, "proved by cut 1", m.Proof.Words())
	for _, c := range []struct {
		name  string
		table string
		edit  func(*board.Job) error
		words string
		says  string
	}{
		{"no ledge gaps", table(names, gaps, ""), nil, "proved by cut 1 (wall gaps only)", "No ledge gaps"},
		{"ledge too low", table(names, gaps, "0.6"), nil, "not proved", "ledge gap"},
		{"few", table(names[:6], gaps, "0.2"), nil, "not proved", "Too few"},
		{"one side", table(names[:12], gaps, "0.2"), nil, "not proved", "Too few"},
		{"one off", table(names, append([]float64{2.2}, gaps[1:]...), "0.2"), nil, "not proved", "at " + names[0]},
		{"rocks", table(names, gaps, "0.2"), func(j *board.Job) error { return j.SetRocks(1, true) }, "not proved", "rocked"},
		{"line moved since", table(names, gaps, "0.2"), func(j *board.Job) error { j.Plane.Offset = j.Typed("20"); return nil }, "not proved", "changed"},
	} {
		k := j.Clone()
		noted(t, k, c.table)
		if c.edit != nil {
			plane := *k.Plane
			k.Plane = &plane
			require.NoError(t, c.edit(k))
		}
		p := solveAgain(t, k).Proof
		assert.Equal(t, c.words, p.Words(), c.name)
		assert.Contains(t, p.Reason, c.says, c.name)
	}
}

// TestGapsThatCannotBe: an unknown station is left out and told; a job whose
// gaps explain nothing is solved all the same.
func TestGapsThatCannotBe(t *testing.T) {
	_, j, _, _, _ := trial(t, 3, 0, 0)
	require.NoError(t, j.SetGap(1, "nowhere", "wall", "1.4"))
	j.Evaluate()
	m := solveAgain(t, j)
	assert.Equal(t, []string{"nowhere"}, m.Gaps.Unknown)
	assert.NotEmpty(t, m.Gaps.Why)
	codes := codesOf(m.Findings, board.Check(j))
	assert.Contains(t, codes, "gaps-unexplained")
	assert.Contains(t, codes, "gap-no-station")
	require.NoError(t, j.SetGap(1, "2", "wall", "wide"))
	require.NoError(t, j.SetGap(1, "3", "wall", "-0.4"))
	assert.NotContains(t, codesOf(board.Check(j)), "gap-far")
	require.NoError(t, j.SetGap(1, "4", "wall", "1.5 in"))
	j.Evaluate()
	codes = codesOf(board.Check(j))
	assert.Contains(t, codes, "unread-cell")
	assert.Contains(t, codes, "gap-below-0")
	assert.Contains(t, codes, "gap-far")
}

func codesOf(lists ...[]board.Finding) (out []string) {
	for _, l := range lists {
		for _, f := range l {
			out = append(out, f.Code)
		}
	}
	return out
}

// TestABulgeOfAWholePane: both halves were read, so no line is corrected; a
// stretch of the wall that stands 0.8 mm too far out is taken in.
func TestABulgeOfAWholePane(t *testing.T) {
	for _, mirror := range []board.Mirror{board.MirrorNone, board.MirrorBoth} {
		rng := rand.New(rand.NewPCG(7, 515))
		p := newMadePane(rng)
		j := p.read(rng, 80, board.MM)
		j.Mirror = mirror
		j, m := cutOf(t, j)
		at := m.Shape().Stations
		worst := at[20].At
		var b strings.Builder
		b.WriteString("station,wall\n")
		for i := 0; i < len(at); i += 2 {
			d := math.Hypot(at[i].At.X-worst.X, at[i].At.Y-worst.Y) / 150
			fmt.Fprintf(&b, "%s,%.2f\n", at[i].ID, 1.5+0.8*math.Exp(-d*d))
		}
		noted(t, j, b.String())
		require.NoError(t, j.AcceptCause(1, board.FoundCauses, true))
		next := solveAgain(t, j)
		g := next.Gaps
		require.Empty(t, g.Why)
		assert.False(t, g.Offset.Known || g.Skew.Known || g.Roll.Known)
		for _, s := range g.Stations {
			assert.InDelta(t, 1.5, s.Next.Wall, 0.35, "mm, at %s", s.ID)
		}
		d, err := board.CompareShapes(m.Shape(), next.Shape())
		require.NoError(t, err)
		for _, s := range d.Stations {
			if s.ID == at[20].ID {
				assert.Less(t, s.Edge, -0.3, "mm: taken in")
			}
		}
		assert.Less(t, d.Greatest, 1.0, "mm")
		assert.Equal(t, m.Used == nil, next.Used == nil)
	}
}

// TestGapsAsPlannedMoveNothing: half a sheet of gaps that are as they should be.
func TestGapsAsPlannedMoveNothing(t *testing.T) {
	_, j, m, names, gaps := trial(t, 3, 0, 0)
	noted(t, j, table(names[:12], gaps, ""))
	require.NoError(t, j.AcceptCause(1, board.FoundCauses, true))
	next := solveAgain(t, j)
	d, err := board.CompareShapes(m.Shape(), next.Shape())
	require.NoError(t, err)
	assert.Less(t, d.Greatest, 0.3, "mm: gaps as planned move next to nothing")
}
