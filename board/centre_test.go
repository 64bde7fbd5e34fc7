package board_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/geom"
	"panewright/testdata/demo"
)

// ready are the demo jobs solved; models are never changed.
var ready sync.Map

// solved is a demo job, solved once for all tests here.
func solved(t *testing.T, d demo.Demo) *board.Model {
	t.Helper()
	if m, ok := ready.Load(d.File); ok {
		return m.(*board.Model)
	}
	m := solve(t, d.Job)
	ready.Store(d.File, m)
	return m
}

// changed is a copy of a job in mm with readings changed.
func changed(j *board.Job, change func(j *board.Job, r *board.Reading)) *board.Job {
	j = j.Clone()
	j.Unit = board.MM
	eachReading(j, func(r *board.Reading) { change(j, r) })
	j.Evaluate()
	return j
}

// halfAlone is demo A without its check stations.
func halfAlone() *board.Job {
	j := demo.A().Job.Clone()
	j.Readings = slices.DeleteFunc(j.Readings, func(r board.Reading) bool { return r.Note == "check" })
	j.Evaluate()
	return j
}

// typedLine is a job in mm with a typed centre line.
func typedLine(j *board.Job, offset, skew, roll string) *board.Job {
	j = j.Clone()
	j.Unit = board.MM
	j.Plane = &board.TypedPlane{Offset: j.Typed(offset), Skew: j.Typed(skew), Roll: j.Typed(roll)}
	j.Evaluate()
	return j
}

func link(m *board.Model, code string) (l board.Link, at int) {
	at = slices.IndexFunc(m.Links, func(l board.Link) bool { return l.Code == code })
	if at >= 0 {
		l = m.Links[at]
	}
	return l, at
}

func finding(m *board.Model, code string) *board.Finding {
	for i := range m.Findings {
		if m.Findings[i].Code == code {
			return &m.Findings[i]
		}
	}
	return nil
}

func TestWhatCarriesTheLine(t *testing.T) {
	m := solved(t, demo.A())
	require.Equal(t, "checks", m.Carries[0].Code, "half measured: the check stations say most of the offset")
	require.Greater(t, m.Carries[0].Offset, 0.5)
	require.Len(t, m.Carries[0].Readings, 4, "five were read, one of them with its sign missing")
	require.Contains(t, m.CarriesText, "4 check stations")
	require.Contains(t, m.CarriesText, "pulls most")

	m = solved(t, demo.B())
	sums := [2]float64{}
	for _, c := range m.Carries {
		sums[0], sums[1] = sums[0]+c.Offset, sums[1]+c.Skew
		var own float64
		for i, r := range c.Readings {
			own += r.Offset
			require.NotEmpty(t, r.ID)
			if i > 0 {
				require.LessOrEqual(t, math.Abs(r.Moves), math.Abs(c.Readings[i-1].Moves))
			}
		}
		require.InDelta(t, c.Offset, own, 1e-9)
	}
	require.InDelta(t, 1, sums[0], 1e-9)
	require.InDelta(t, 1, sums[1], 1e-9)
	require.InDelta(t, 0.5, m.Carries[0].Offset, 0.05, "read all round, either half carries half")
	require.Empty(t, solved(t, demo.C()).Carries, "no mirror, no line")
}

// With half and overlap alone there is no number, but what to measure: five check
// stations in words of the board, or where to tape.
func TestHalfAloneSaysWhereToRead(t *testing.T) {
	d := demo.A()
	m := solve(t, halfAlone())
	require.Nil(t, m.Found)
	require.Nil(t, m.Used)
	require.Nil(t, m.Pane)
	require.Empty(t, m.Carries)
	require.Equal(t, "unknown", m.Verdict.Code)
	require.Contains(t, m.WhyNotFound, "five check stations on the left half: three on its side")
	require.Contains(t, m.WhyNotFound, "one at the top")
	require.Contains(t, m.WhyNotFound, "full widths, less sure, from stations ")
	l, at := link(m, "line")
	require.GreaterOrEqual(t, at, 0)
	require.Equal(t, m.WhyNotFound, l.Text)
	require.Len(t, m.Next, 5)
	own := d.Truth.Board.Inverse()
	var lowest, highest float64
	for i, a := range m.Next {
		require.Contains(t, a.Text, "left half, near line ")
		q := own.Apply(a.At)
		require.Less(t, q.X, -150.0, "mm from the true line")
		require.InDelta(t, 0, d.Truth.Outline.Distance(r2.Vec{X: q.X, Y: q.Y}), 15, "mm from the true edge; the guess is that far off")
		if i < 3 {
			require.Less(t, q.X, -450.0, "on the side")
		}
		lowest, highest = min(lowest, q.Y), max(highest, q.Y)
	}
	require.Equal(t, highest, own.Apply(m.Next[3].At).Y, "the fourth is at the top")
	require.Equal(t, lowest, min(own.Apply(m.Next[4].At).Y, 0), "the last at the bottom")

	typed := solve(t, typedLine(halfAlone(), "0", "0", "0"))
	require.NotNil(t, typed.Pane, typed.Why)
	require.Contains(t, finding(typed, "centre-not-determined").Text, "five check stations")
}

// planted are the verdicts on invented panes read all round with one thing wrong.
func TestVerdictOnInventedPanes(t *testing.T) {
	for _, c := range []struct {
		name, code string
		change     func(p *madePane) func(j *board.Job, r *board.Reading)
	}{
		{"as it is", "symmetric", func(*madePane) func(*board.Job, *board.Reading) { return func(*board.Job, *board.Reading) {} }},
		{"grid out of square by 5 mm on a metre", "grid", func(*madePane) func(*board.Job, *board.Reading) {
			return func(j *board.Job, r *board.Reading) { r.X = j.Typed(trim(r.X.MM + 0.005*r.Y.MM)) }
		}},
		{"right side bulged by 4 mm", "asymmetric", func(p *madePane) func(*board.Job, *board.Reading) {
			at := p.onBoard(p.bends[2].at(0.6))
			return func(j *board.Job, r *board.Reading) {
				const reach = 120 // mm
				d := math.Hypot(r.X.MM-at.X, r.Y.MM-at.Y) / reach
				if r.Kind == board.Edge {
					r.X = j.Typed(trim(r.X.MM + 4*math.Exp(-d*d/2)))
				}
			}
		}},
	} {
		for i := range 2 {
			rng := rand.New(rand.NewPCG(77, uint64(i)))
			p := newMadePane(rng)
			m := solve(t, changed(p.read(rng, 72, board.MM), c.change(p)))
			v := m.Verdict
			require.Equal(t, c.code, v.Code, "%s, pane %d: %s", c.name, i, v.Text)
			require.NotEmpty(t, v.Text)
			switch c.code {
			case "symmetric":
				require.InDelta(t, 1, v.Ratio, 0.25)
				require.Nil(t, finding(m, "asymmetric"))
				for _, l := range m.Links {
					require.Equal(t, "pitch", l.Code, "nothing speaks against any link; the pitch is not proved")
					require.Zero(t, l.Weight)
				}
			case "grid":
				require.InDelta(t, 5, v.Shear, 4*v.ShearU, "mm on a metre")
				require.Contains(t, v.Text, "diagonals")
				require.NotNil(t, finding(m, "grid-not-square"))
				_, at := link(m, "square")
				require.Zero(t, at)
			case "asymmetric":
				at := p.onBoard(p.bends[2].at(0.6))
				require.InDelta(t, 0, r2.Norm(r2.Sub(v.At, r2.Vec{X: at.X, Y: at.Y})), 150, "mm from the bulge")
				require.InDelta(t, -4, v.Most, 4*v.MostU+0.5, "the left half lies inside")
				_, at0 := link(m, "pane")
				require.GreaterOrEqual(t, at0, 0)
			}
		}
	}
}

// The board's own diagonals prove the grid square: then it is the pane that leans.
func TestAProvedGridIsNotBlamed(t *testing.T) {
	rng := rand.New(rand.NewPCG(77, 0))
	j := changed(newMadePane(rng).read(rng, 72, board.MM), func(j *board.Job, r *board.Reading) { r.X = j.Typed(trim(r.X.MM + 0.005*r.Y.MM)) })
	for field, mm := range map[string]float64{"base_drawn": 1500, "side_drawn": 900, "base_measured": 1500, "side_measured": 900,
		"diagonal_rising": math.Hypot(1500, 900), "diagonal_falling": math.Hypot(1500, 900)} {
		require.NoError(t, j.SetCheck(field, trim(mm)))
	}
	j.Evaluate()
	require.Equal(t, "asymmetric", solve(t, j).Verdict.Code)
}

// A pane that is no mirrored one is fitted as it is where nobody asked, and
// refused as a mirrored one with the figure where somebody did.
func TestAPaneWithoutAMirror(t *testing.T) {
	j := demo.C().Job.Clone()
	require.Empty(t, solve(t, j).Verdict.Code, "no mirror was asked for")
	j.Mirror = board.MirrorAuto
	m := solve(t, j)
	require.Equal(t, board.MirrorNone, m.Mirror)
	require.NotNil(t, m.Pane, m.Why)
	require.Equal(t, "asymmetric", m.Verdict.Code)
	require.Greater(t, math.Abs(m.Verdict.Most), 20.0, "mm")
	plain := solved(t, demo.C())
	for i := range m.Results {
		require.Equal(t, plain.Results[i].State, m.Results[i].State, "a mirror that is none says nothing of reading %d", i)
	}

	j.Mirror = board.MirrorBoth
	m = solve(t, j)
	f := finding(m, "asymmetric")
	require.NotNil(t, f)
	require.False(t, f.Remark)
	require.Contains(t, f.Text, "choose no mirror")
	require.Contains(t, f.Text, m.Job.Format(math.Abs(m.Verdict.Most))+" mm")
}

// Demo B is 1.2 mm wider at the lower left corner: the verdict says so and where,
// but so little is no finding where a symmetric pane was asked for.
func TestALittleAsymmetry(t *testing.T) {
	j := demo.B().Job.Clone()
	j.Mirror = board.MirrorBoth
	m := solve(t, j)
	require.Equal(t, "asymmetric", m.Verdict.Code)
	require.Nil(t, finding(m, "asymmetric"))
	require.Contains(t, m.Verdict.Text, "comes out wrong by up to half of that")
	own := demo.B().Truth.Board.Inverse().Apply(r3.Vec{X: m.Verdict.At.X, Y: m.Verdict.At.Y})
	require.InDelta(t, 725, own.X, 120, "mm, shown on the right half")
	require.InDelta(t, 90, own.Y, 120)
	require.InDelta(t, 1.2, m.Verdict.Most, 0.6, "mm, the left half lies outside")
}

// TestLinks: what was planted is named, and first where nothing worse is in the
// demo.
func TestLinks(t *testing.T) {
	m := solved(t, demo.A())
	require.Equal(t, "reading", m.Links[0].Code)
	require.Contains(t, m.Links[0].Text, "12, 19 and 42")
	require.Contains(t, m.Links[1].Text, "F43")
	last := m.Links[len(m.Links)-1]
	require.Equal(t, "pitch", last.Code)
	require.Zero(t, last.Weight, "no length was taped")

	m = solve(t, typedLine(demo.A().Job, "3", "0.5", "1"))
	l, _ := link(m, "line")
	require.Contains(t, l.Text, "right of what the readings say")
	l, _ = link(m, "roll")
	require.Greater(t, l.Weight, 20.0)

	const glass = 4.96 // mm, the other face
	m = solve(t, changed(demo.B().Job, func(j *board.Job, r *board.Reading) {
		if r.Kind == board.Face {
			r.Z = j.Typed(trim(r.Z.MM - glass))
		}
	}))
	l, at := link(m, "face")
	require.GreaterOrEqual(t, at, 0)
	require.Contains(t, l.Text, "different faces")

	m = solve(t, changed(demo.B().Job, func(j *board.Job, r *board.Reading) {
		if r.Kind == board.Face {
			r.Z = j.Typed(trim(r.Z.MM + 2))
		}
	}))
	l, at = link(m, "gauge")
	require.GreaterOrEqual(t, at, 0)
	require.Contains(t, l.Text, "above")

	m = solve(t, changed(demo.B().Job, func(j *board.Job, r *board.Reading) {
		r.Z = j.Typed(trim(r.Z.MM + 4*r.X.MM/740*(r.Y.MM-500)/395))
	}))
	l, at = link(m, "board")
	require.GreaterOrEqual(t, at, 0)
	require.Contains(t, l.Text, "twisted")
	for i := 1; i < len(m.Links); i++ {
		require.LessOrEqual(t, m.Links[i].Weight, m.Links[i-1].Weight)
	}
}

// TestFoldOverShows: a plane e to the right moves the left half, folded over, by
// 2e to the right.
func TestFoldOverShows(t *testing.T) {
	m := solved(t, demo.B())
	as := m.FoldOver(m.Found.Plane)
	require.Greater(t, len(as), 100)
	const e = 0.5
	moved := m.Found.Plane
	moved.Point = r3.Add(moved.Point, r3.Scale(e, moved.Normal))
	by := m.FoldOver(moved)
	var left, right, checked int
	for _, p := range as {
		require.Positive(t, p.SD)
		require.Positive(t, moved.Dist(r3.Vec{X: p.At.X, Y: p.At.Y}))
		require.InDelta(t, 0, math.Abs(r2.Norm(p.Out)-1), 1e-9)
		if p.LeftAt != "" {
			left++
		}
		if p.RightAt != "" {
			right++
		}
		q := by[0] // the nearest of the other fold
		for _, o := range by {
			if r2.Norm2(r2.Sub(o.At, p.At)) < r2.Norm2(r2.Sub(q.At, p.At)) {
				q = o
			}
		}
		if p.Out.X > 0.95 { // on the side, where the distance changes slowly along the edge
			checked++
			require.InDelta(t, p.Difference+2*e*p.Out.X, q.Difference, 0.15, "mm")
		}
	}
	require.Greater(t, checked, 20)
	require.Greater(t, left, 20)
	require.Greater(t, right, 20)

	m = solved(t, demo.A())
	half := m.FoldOver(m.Found.Plane)
	require.NotEmpty(t, half)
	for _, p := range half {
		require.NotEmpty(t, p.LeftAt)
		require.Empty(t, p.RightAt)
		require.InDelta(t, 0, p.Difference, 4*p.SD, "station %s", p.LeftAt)
	}
	off := geom.NewPlane(r3.Vec{X: 5000}, 0, 0)
	require.Empty(t, m.FoldOver(off))
	edge, marks := m.FoldMarks(off)
	require.Empty(t, edge)
	require.Empty(t, marks)
}

// The stations of both halves lie about the right half's edge as they scatter, and
// those of the left half move by 2e with the line, those of the right not at all.
func TestFoldMarks(t *testing.T) {
	for _, d := range []demo.Demo{demo.A(), demo.B()} {
		m := solved(t, d)
		n := m.Found.Plane.Normal
		edge, as := m.FoldMarks(m.Found.Plane)
		require.Greater(t, len(edge), 30)
		require.Less(t, edge[0].Y, edge[len(edge)-1].Y)
		const e = 0.5
		moved := m.Found.Plane
		moved.Point = r3.Add(moved.Point, r3.Scale(e, n))
		_, by := m.FoldMarks(moved)
		require.Len(t, by, len(as))
		folded := 0
		for i, k := range as {
			require.Equal(t, k.ID, m.Job.Readings[k.Reading].ID)
			require.InDelta(t, 1, r2.Norm(k.Out), 1e-9)
			require.Positive(t, m.Found.Plane.Dist(r3.Vec{X: k.At.X, Y: k.At.Y})+1, "on the right half")
			require.InDelta(t, 0, k.Off, 2.5, "mm, station %s", k.ID)
			switch {
			case !k.Folded && !by[i].Folded:
				require.InDelta(t, k.Off, by[i].Off, 1e-9)
			case k.Folded && by[i].Folded && k.Out.X > 0.95:
				folded++
				require.InDelta(t, k.Off+2*e*k.Out.X, by[i].Off, 0.1, "mm, station %s", k.ID)
			}
		}
		require.Positive(t, folded)
	}
}

// Folded onto a half that was read on the left, the same stations lie as far off.
func TestFoldMarksOfALeftHalf(t *testing.T) {
	j := changed(demo.A().Job, func(j *board.Job, r *board.Reading) { r.X = j.Typed(trim(-r.X.MM)) })
	j.Mirror = board.MirrorLeft
	m := solve(t, j)
	require.Equal(t, board.MirrorLeft, m.Mirror)
	edge, marks := m.FoldMarks(m.Found.Plane)
	require.NotEmpty(t, edge)
	for _, p := range edge {
		require.Positive(t, m.Found.Plane.Dist(r3.Vec{X: p.X, Y: p.Y})+1)
	}
	points := m.FoldOver(m.Found.Plane)
	require.NotEmpty(t, points)
	for _, p := range points {
		i := slices.IndexFunc(marks, func(k board.FoldMark) bool { return k.ID == p.RightAt })
		require.False(t, marks[i].Folded)
		require.InDelta(t, -p.Difference, marks[i].Off, 1e-9, "right against left is left against right, turned about")
		require.Equal(t, p.At, marks[i].At)
	}
}

// about is the same line with some more of offset, skew and roll.
func about(t *testing.T, m *board.Model, offset, skew, roll float64) board.Consequence {
	t.Helper()
	c, ok := m.Consequence(m.Found.Offset+offset, m.Found.Skew+skew, m.Found.Roll+roll)
	require.True(t, ok)
	return c
}

// TestConsequenceIsExact: pocket width = true − 2·e for the right half measured,
// and the far corners go round the point that the line turned about by 2·a
// (displacement 2·r·sin a).
func TestConsequenceIsExact(t *testing.T) {
	m := solved(t, demo.A())
	as := about(t, m, 0, 0, 0)
	n := m.Found.Plane.Normal
	for _, e := range []float64{-3.175 / 2, 0.5, 3.175 / 2} {
		c := about(t, m, e, 0, 0)
		require.InDelta(t, as.Width-2*e*n.X, c.Width, 1e-9, "mm")
		require.InDelta(t, -2*e*n.X, c.WidthChange, 1e-9, "mm")
		require.InDelta(t, e*n.X, c.Off, 1e-9)
		for _, k := range c.Corners {
			require.InDelta(t, 2*math.Abs(e)*n.X, k.By, 1e-9, "every point moves by 2e")
		}
	}
	pivot := m.Found.Point
	for _, a := range []float64{0.1, -0.25} {
		c := about(t, m, 0, a, 0)
		for i, k := range c.Corners {
			r := math.Hypot(k.At.X-m.Found.Offset, k.At.Y-pivot.Y)
			require.Greater(t, r, 400.0)
			require.InDelta(t, 2*r*math.Sin(math.Abs(a)*math.Pi/180), k.By, 0.01, "mm, corner %d: the line leans by %.2f° too", i, m.Found.Roll)
		}
		require.Negative(t, c.Corners[0].Move.X*c.Corners[1].Move.X, "one goes out and one comes in")
	}
	typed := solve(t, typedLine(demo.A().Job, trim(m.Found.Offset+2), "0", "0"))
	c, ok := typed.Consequence(typed.Found.Offset+2, typed.Found.Skew, typed.Found.Roll)
	require.True(t, ok)
	require.InDelta(t, -4*n.X, c.WidthChange, 1e-6, "mm: against the line found, whatever is in use")
	require.InDelta(t, 4*n.X, c.Corners[0].By, 1e-6)
	require.Less(t, as.Corners[0].At.Y, as.Corners[1].At.Y)
	require.InDelta(t, 0, as.KinkBottom, 1e-4, "degrees: the half that found the line meets itself square")
	require.InDelta(t, 0, as.KinkTop, 1e-4)
}

// TestConsequenceOnTheReadings: stations of the other half, taped widths, the
// step at the join, and the odds.
func TestConsequenceOnTheReadings(t *testing.T) {
	j := demo.A().Job.Clone()
	j.Unit = board.MM
	plain := solved(t, demo.A())
	width := 2*plain.Found.Plane.Dist(result(plain, board.Edge, "25").Foot) + 0.4
	j.Tapes = append(j.Tapes, board.Tape{How: board.Twin, From: "25", Length: j.Typed(trim(width))})
	j.Evaluate()
	m := solve(t, j)
	as, off := about(t, m, 0, 0, 0), about(t, m, 2, 0, 0)
	require.Len(t, as.Widths, 1)
	require.Equal(t, "25", as.Widths[0].Station)
	require.InDelta(t, as.Widths[0].Taped-as.Widths[0].Width, as.Widths[0].Difference, 1e-9)
	require.InDelta(t, as.Widths[0].Width-4*m.Found.Plane.Normal.X, off.Widths[0].Width, 1e-6, "mm")
	require.Greater(t, len(as.Others), 5)
	for _, o := range as.Others {
		require.Less(t, math.Abs(o.Difference), 2.0, "mm, station %s", o.ID)
		require.LessOrEqual(t, math.Abs(o.Difference), math.Abs(as.WidestDifference))
	}
	require.Less(t, as.AsymmetryRMS, 0.8)
	require.Greater(t, off.AsymmetryRMS, 1.5)
	for _, s := range []board.JoinStep{as.StepBottom, as.StepTop} {
		require.True(t, s.Known, "three stations were read past the line at either end")
		require.InDelta(t, 0, s.Out, 0.8)
	}
	require.InDelta(t, 1, as.Chance, 1e-9)
	require.InDelta(t, 2*m.Found.Plane.Normal.X/m.Found.OffsetU, off.Odds, 0.7*off.Odds)
	require.GreaterOrEqual(t, off.Odds, 2*m.Found.Plane.Normal.X/m.Found.OffsetU-1e-9, "skew and roll held, the offset is surer still")
	require.Less(t, off.Chance, 1e-4)

	m = solved(t, demo.B())
	as = about(t, m, 0, 0, 0)
	require.InDelta(t, m.Found.AsymmetryRMS, as.AsymmetryRMS, 0.1*m.Found.AsymmetryRMS+0.02, "mm")
	require.InDelta(t, m.Found.AsymmetryMax, as.AsymmetryMost, 0.2*m.Found.AsymmetryMax)
}

func TestSentencesAreShort(t *testing.T) {
	for _, d := range demo.All() {
		m := solved(t, d)
		for _, l := range m.Links {
			require.True(t, strings.HasSuffix(l.Text, "."), l.Text)
			require.Less(t, len(l.Text), 400, l.Text)
		}
	}
}
