package board_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/geom"
	"panewright/testdata/demo"
)

func solve(t testing.TB, j *board.Job) *board.Model {
	t.Helper()
	m, err := board.Solve(context.Background(), j, nil)
	require.NoError(t, err)
	return m
}

// offTruth is the RMS and greatest distance of the finished outline, laid back
// on the board and from there into the pane's own plan, from the true one.
func offTruth(m *board.Model, truth demo.Truth) (rms, most float64) {
	back, own := m.BoardToGlass.Inverse(), truth.Board.Inverse()
	lo, hi := m.Pane.Outline.Period()
	const n = 400
	for i := range n {
		p := m.Pane.Outline.At(lo + (hi-lo)*float64(i)/n)
		q := own.Apply(back.Apply(r3.Vec{X: p.X, Y: p.Y, Z: m.Pane.Upper.At(p.X, p.Y)}))
		d := truth.Outline.Distance(r2.Vec{X: q.X, Y: q.Y})
		rms += d * d / n
		most = max(most, math.Abs(d))
	}
	return math.Sqrt(rms), most
}

// TestDemosAgainstTheirTruth holds what the program finds in the demo jobs, slips
// and all, against the panes that they were made from.
func TestDemosAgainstTheirTruth(t *testing.T) {
	for _, c := range []struct {
		d         demo.Demo
		rms, most float64 // mm
	}{
		{demo.A(), 0.3, 1.2},
		{demo.B(), 0.35, 1.2}, // with the planted 1.2 mm of asymmetry
		{demo.C(), 0.3, 1.0},
	} {
		t.Run(c.d.File, func(t *testing.T) {
			m := solve(t, c.d.Job)
			require.NotNil(t, m.Pane, m.Why)
			rms, most := offTruth(m, c.d.Truth)
			t.Logf("outline off the truth by %.3f mm RMS, %.3f mm at most; face typical miss %.3f mm", rms, most, m.Figures.FaceTypicalMiss)
			require.Less(t, rms, c.rms)
			require.Less(t, most, c.most)
			for _, s := range c.d.Truth.Planted {
				if s.Kind != board.Face {
					continue
				}
				for i, r := range c.d.Job.Readings {
					if r.Kind == s.Kind && r.ID == s.ID {
						require.Equal(t, board.Suspect, m.Results[i].State, "planted %s", s.ID)
					}
				}
			}
		})
	}
}

// TestDemoAFindsTheTrueCentreLine: 1/16 in off and 0.15° skew, half measured
// with check stations; the bars are those of the project's own simulation
// (about three standard deviations).
func TestDemoAFindsTheTrueCentreLine(t *testing.T) {
	d := demo.A()
	m := solve(t, d.Job)
	require.NotNil(t, m.Found, m.WhyNotFound)
	require.Equal(t, "stations", m.Found.Source)
	off := d.Truth.Plane.Dist(m.Found.Point)
	t.Logf("off %.3f mm (u %.3f), skew off %.3f° (u %.3f)", off, m.Found.OffsetU, m.Found.Skew+0.15, m.Found.SkewU)
	require.InDelta(t, 0, off, 0.5)
	require.InDelta(t, -0.15, m.Found.Skew, 0.12)
	require.Less(t, math.Abs(off), 4*m.Found.OffsetU)
	require.Less(t, math.Abs(m.Found.Skew+0.15), 4*m.Found.SkewU)
	for _, id := range []string{"12", "19", "42"} {
		for i, r := range d.Job.Readings {
			if r.Kind == board.Edge && r.ID == id {
				require.Equal(t, board.Suspect, m.Results[i].State, id)
			}
		}
	}
}

// TestGlassFrame holds the finished frame to its definition.
func TestGlassFrame(t *testing.T) {
	for _, d := range demo.All() {
		j := d.Job.Clone()
		if j.Mirror == board.MirrorAuto {
			j.Mirror = board.MirrorBoth // demo B is lopsided, and auto leaves it so
		}
		m := solve(t, j)
		b := m.Pane.Outline.Bounds()
		require.InDelta(t, 0, m.Pane.Upper.At(0, 0), 1e-9, "origin on the upper face")
		if m.Mirror == board.MirrorNone {
			require.InDelta(t, 0, r2.Norm(m.Pane.Outline.Centroid()), 1e-6)
			continue
		}
		require.InDelta(t, 0, b.Min.Y+b.Max.Y, 1e-6, "half-way along the pane")
		require.InDelta(t, 0, b.Min.X+b.Max.X, 1e-5, "symmetric")
		n := m.BoardToGlass.Rotate(m.Used.Plane.Normal)
		require.InDelta(t, 1, n.X, 1e-9, "X square to the centre plane")
		require.InDelta(t, 0, m.BoardToGlass.Apply(m.Used.Point).X, 1e-6)
		var edge []r3.Vec
		length := m.Pane.UpperEdge.Length()
		for i := range 600 { // evenly round the edge
			edge = append(edge, m.Pane.UpperEdge.At(m.Pane.UpperEdge.ParamAt(length*float64(i)/600)))
		}
		_, normal, err := geom.FitPlane(edge)
		require.NoError(t, err)
		require.InDelta(t, 0, normal.Y/normal.Z, 3e-4, "level fore and aft, rad, but for counting the edge in space instead of in plan")
		// one smooth curve, square to the line where it crosses it
		lo, hi := m.Pane.Outline.Period()
		for _, u := range []float64{lo, (lo + hi) / 2} {
			if p := m.Pane.Outline.At(u); math.Abs(p.X) < 1e-6 {
				require.InDelta(t, 0, m.Pane.Outline.Tangent(u).Y, 1e-6)
			}
		}
	}
}

// TestTypedPlaneMakesTwiceTheError: pocket width = true − 2·m·e exactly, m = +1
// where the right half was measured.
func TestTypedPlaneMakesTwiceTheError(t *testing.T) {
	widths := map[string]float64{}
	for _, offset := range []string{"0", "1"} {
		j := demo.A().Job.Clone()
		j.Unit = board.MM
		j.Plane = &board.TypedPlane{Offset: j.Typed(offset), Skew: j.Typed("0"), Roll: j.Typed("0")}
		j.Evaluate()
		m := solve(t, j)
		require.NotNil(t, m.Pane, m.Why)
		require.NotNil(t, m.Found)
		require.Equal(t, "typed", m.Used.Source)
		widths[offset] = m.Figures.Width
	}
	require.InDelta(t, 2, widths["0"]-widths["1"], 0.06, "mm")
}

func TestConsequenceOfTheLine(t *testing.T) {
	m := solve(t, demo.A().Job)
	at, ok := m.Consequence(m.Found.Offset, m.Found.Skew, m.Found.Roll)
	require.True(t, ok)
	require.InDelta(t, 0, at.WidthChange, 1e-9)
	require.InDelta(t, 0, at.Odds, 1e-9)
	right, ok := m.Consequence(m.Found.Offset+1, m.Found.Skew, m.Found.Roll)
	require.True(t, ok)
	require.InDelta(t, -2, right.WidthChange, 0.01, "a line 1 mm to the right makes the pane 2 mm narrower")
	require.InDelta(t, 1, right.Off, 1e-3)
	require.True(t, right.Known)
	require.Greater(t, right.Odds, 3.0)
	turned, ok := m.Consequence(m.Found.Offset, m.Found.Skew+0.5, m.Found.Roll)
	require.True(t, ok)
	require.InDelta(t, 1, math.Abs(turned.KinkTop-at.KinkTop), 0.1, "a skew bends the join by twice itself, but for the edge's own turning between the two crossings")
	_, ok = m.Consequence(5000, 0, 0)
	require.False(t, ok, "a line beside the pane")
}

func TestSolveIsTheSameTwice(t *testing.T) {
	a, b := solve(t, demo.B().Job), solve(t, demo.B().Job)
	require.Equal(t, a.Figures, b.Figures)
	require.Equal(t, a.Pane.Outline.Ctrl(), b.Pane.Outline.Ctrl())
}

func TestSolveStopsWithItsContext(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := board.Solve(ctx, demo.B().Job, nil)
	require.ErrorIs(t, err, context.Canceled)
}

// TestLowerFaceReadings: the same pane read from below gives the same face.
func TestLowerFaceReadings(t *testing.T) {
	d := demo.C()
	j := d.Job.Clone()
	for i := range j.Readings {
		r := &j.Readings[i]
		if r.Kind != board.Face {
			continue
		}
		q := d.Truth.Board.Inverse().Apply(r3.Vec{X: r.X.MM, Y: r.Y.MM})
		low := geom.Offset{Of: d.Truth.Face, D: -3.15}
		r.Z = board.Cell{Text: trim(low.Eval(q.X, q.Y).Z)}
	}
	j.Pane.ReadLower = true
	j.Evaluate()
	m := solve(t, j)
	require.NotNil(t, m.Pane, m.Why)
	require.Less(t, m.Figures.FaceTypicalMiss, 0.35)
	back, own := m.BoardToGlass.Inverse(), d.Truth.Board.Inverse()
	p := own.Apply(back.Apply(r3.Vec{}))
	require.InDelta(t, d.Truth.Face.Eval(p.X, p.Y).Z, p.Z, 0.3, "height of the upper face, mm")
}

func TestTooLittleIsSaidNotGuessed(t *testing.T) {
	whole := demo.C().Job
	for name, change := range map[string]func(*board.Job){
		"no readings":  func(j *board.Job) { j.Readings = nil },
		"one station":  func(j *board.Job) { j.Readings = j.Readings[:1] },
		"no heights":   func(j *board.Job) { eachReading(j, func(r *board.Reading) { r.Z = board.Cell{} }) },
		"on one line":  func(j *board.Job) { eachReading(j, func(r *board.Reading) { r.Y = r.X }) },
		"no thickness": func(j *board.Job) { j.Pane.Thickness = board.Cell{} },
		"all struck":   func(j *board.Job) { eachReading(j, func(r *board.Reading) { r.Struck = true }) },
	} {
		t.Run(name, func(t *testing.T) {
			j := whole.Clone()
			change(j)
			j.Evaluate()
			m := solve(t, j)
			require.Nil(t, m.Pane)
			require.NotEmpty(t, m.Why)
			require.Len(t, m.Results, len(j.Readings))
			_, _ = m.Consequence(0, 0, 0)
		})
	}
}

// TestOrderRoundTheEdge: only the demo with two stations in reversed order is
// told so, and where.
func TestOrderRoundTheEdge(t *testing.T) {
	for _, d := range demo.All() {
		var said []string
		for _, f := range solve(t, d.Job).Findings {
			if f.Code == "order" {
				said = append(said, f.Text)
			}
		}
		if d.File != demo.C().File {
			require.Empty(t, said, d.File)
			continue
		}
		require.Len(t, said, 1)
		require.Contains(t, said[0], "25")
	}
}

// with is demo A with some readings typed anew, in mm.
func with(change func(j *board.Job, r *board.Reading)) *board.Job {
	j := demo.A().Job.Clone()
	j.Unit = board.MM
	eachReading(j, func(r *board.Reading) { change(j, r) })
	j.Evaluate()
	return j
}

func result(m *board.Model, k board.Kind, id string) board.Result {
	for i, r := range m.Job.Readings {
		if r.Kind == k && r.ID == id {
			return m.Results[i]
		}
	}
	return board.Result{}
}

// TestALonelyCheckStationIsJudgedByTheOtherHalf: far from its neighbours, so
// that only the mirrored half can tell.
func TestALonelyCheckStationIsJudgedByTheOtherHalf(t *testing.T) {
	for _, off := range []float64{40, -40} {
		m := solve(t, with(func(j *board.Job, r *board.Reading) {
			if r.ID == "42" { // as it was read, so that three good ones are left
				r.X = j.Typed("-554")
			}
			if r.ID == "41" {
				r.X = j.Typed(trim(r.X.MM + off))
			}
		}))
		require.NotNil(t, m.Found, m.WhyNotFound)
		require.Equal(t, board.Suspect, result(m, board.Edge, "41").State, "%v mm", off)
		require.InDelta(t, 0, demo.A().Truth.Plane.Dist(m.Found.Point), 1, "mm, about three standard uncertainties with four stations left")
	}
}

func TestAHeightSlipAtTheEdgeIsReported(t *testing.T) {
	m := solve(t, with(func(j *board.Job, r *board.Reading) {
		if r.Kind == board.Edge && r.ID == "21" {
			r.Z = j.Typed(trim(r.Z.MM + 25))
		}
	}))
	res := result(m, board.Edge, "21")
	require.True(t, res.BadHeight)
	require.Equal(t, board.Kept, res.State, "its place is good")
	require.InDelta(t, 25, res.HeightMiss, 3)
}

// TestATypedLineSaysWhichHalf: drawn at 800 mm, left half measured, halves not named.
func TestATypedLineSaysWhichHalf(t *testing.T) {
	j := with(func(j *board.Job, r *board.Reading) { r.X = j.Typed(trim(800 - r.X.MM)) })
	j.Mirror = board.MirrorAuto
	j.Plane = &board.TypedPlane{Offset: j.Typed("798.4"), Skew: j.Typed("0.15"), Roll: j.Typed("0")}
	j.Evaluate()
	m := solve(t, j)
	require.NotNil(t, m.Pane, m.Why)
	require.NotEqual(t, board.MirrorRight, m.Mirror)
	require.InDelta(t, 1183, m.Figures.Width, 3)
}

func eachReading(j *board.Job, f func(*board.Reading)) {
	for i := range j.Readings {
		f(&j.Readings[i])
	}
}

func trim(v float64) string { return board.Format(v, board.MM) }

func BenchmarkSolve(b *testing.B) {
	for _, d := range demo.All() {
		b.Run(d.File, func(b *testing.B) {
			for b.Loop() {
				solve(b, d.Job)
			}
		})
	}
}

func BenchmarkConsequence(b *testing.B) {
	m := solve(b, demo.A().Job)
	for b.Loop() {
		m.Consequence(m.Found.Offset+0.5, m.Found.Skew, m.Found.Roll)
	}
}

func BenchmarkFoldOver(b *testing.B) {
	m := solve(b, demo.B().Job)
	for b.Loop() {
		m.FoldOver(m.Found.Plane)
	}
}
