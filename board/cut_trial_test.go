package board_test

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/geom"
	"panewright/geom/fixture"
)

var trialPanes = flag.Int("trials", 2, "panes in TestTrialFits; from 50 on the bars hold for all of them together")

// trialFit is an invented pane, the job of it with a centre line typed wrong,
// and what came of its cuts.
type trialFit struct {
	pane *madePane
	job  *board.Job
	true geom.Plane // board

	e, alpha float64 // what the typed line is off by: mm at the mean of the edge readings, degrees
	edge     []r3.Vec
	station  map[string]r3.Vec // on the glass, as it lay on the board
}

// newTrialFit reads the right half of a pane, 60 mm past the line, and types a
// line that is off.
func newTrialFit(rng *rand.Rand, sigma, e, alpha float64) *trialFit {
	return readTrialFit(rng, sigma, e, alpha, false)
}

// readTrialFit is newTrialFit, or with checks the same pane with five check
// stations on the other half and no line typed.
func readTrialFit(rng *rand.Rand, sigma, e, alpha float64, checks bool) *trialFit {
	p := newMadePane(rng)
	turn := 0.06 * (rng.Float64() - 0.5)
	s, c := math.Sincos(turn)
	t := p.frame.T
	p.frame = geom.Frame{R: [3][3]float64{{c, -s, 0}, {s, c, 0}, {0, 0, 1}}, T: t}
	f := &trialFit{pane: p, e: e, alpha: alpha, station: map[string]r3.Vec{},
		true: geom.Plane{Point: t, Normal: p.frame.Rotate(r3.Vec{X: 1})}}
	j := p.read(rng, 80, board.MM)
	j.Mirror, j.Name = board.MirrorRight, "trial"
	back := p.frame.Inverse()
	number := func(v, sd float64) board.Cell {
		return j.Typed(strconv.FormatFloat(v+sd*rng.NormFloat64(), 'f', 4, 64))
	}
	var kept []board.Reading
	mean, n := r3.Vec{}, 0.0
	marks := p.marks(rng, 80)
	left := 0
	for _, q := range marks {
		if back.Apply(q).X < -60 {
			left++
		}
	}
	past := 0
	for _, q := range marks {
		if back.Apply(q).X < -60 {
			if past++; !checks || past%(left/5) != left/10 {
				continue
			}
		}
		id := strconv.Itoa(len(kept) + 1)
		kept = append(kept, board.Reading{ID: id, X: number(q.X, sigma), Y: number(q.Y, sigma), Z: number(q.Z, sigma)})
		f.station[id], f.station[id+"'"] = q, f.true.Mirror(q)
	}
	for _, r := range j.Readings {
		if r.Kind == board.Face {
			x, y := r.X.MM, r.Y.MM
			q := r3.Vec{X: x, Y: y}
			for range 5 {
				o := back.Apply(q)
				q.Z = p.frame.Apply(r3.Vec{X: o.X, Y: o.Y, Z: p.Eval(o.X, o.Y).Z}).Z
			}
			kept = append(kept, board.Reading{ID: r.ID, Kind: board.Face, X: r.X, Y: r.Y, Z: number(q.Z, sigma)})
		}
	}
	j.Readings = kept
	j.Evaluate()
	for _, r := range j.Readings {
		if r.Kind == board.Edge {
			mean, n = r3.Add(mean, r3.Vec{X: r.X.MM, Y: r.Y.MM, Z: r.Z.MM}), n+1
		}
	}
	mean = r3.Scale(1/n, mean)
	j.Plane = &board.TypedPlane{Offset: number(f.true.XAt(mean.Y, mean.Z)+e, 0), Skew: number(f.true.Skew()*180/math.Pi+alpha, 0), Roll: number(0, 0)}
	if checks {
		j.Plane = nil
	}
	j.Evaluate()
	f.job = j
	for _, b := range p.bends {
		for k := range 30 {
			f.edge = append(f.edge, p.onBoard(b.at((float64(k)+0.5)/30)))
		}
	}
	return f
}

// lie lowers the true glass into the pocket of a model. names are stations whose
// gaps are returned.
func (f *trialFit) lie(t testing.TB, m *board.Model, names []string) (fixture.Placement, []float64) {
	t.Helper()
	wall, err := m.Pane.Outline.Offset(m.Job.Pocket.Wall, 0.002)
	require.NoError(t, err)
	socket, err := fixture.SocketOf(wall)
	require.NoError(t, err)
	plan := func(q r3.Vec) r2.Vec { g := m.BoardToGlass.Apply(q); return r2.Vec{X: g.X, Y: g.Y} }
	var at []r2.Vec
	for _, n := range names {
		at = append(at, plan(f.station[n]))
	}
	for _, q := range f.edge {
		at = append(at, plan(q))
	}
	p, err := socket.Place(at)
	require.NoError(t, err)
	return p, p.Gaps[:len(names)]
}

// spread24 are 24 stations round the edge, twelve of the measured half and their
// twins.
func (f *trialFit) spread24(m *board.Model) (names []string) {
	var right []string
	for _, r := range m.Job.Readings {
		if at := m.BoardToGlass.Apply(r3.Vec{X: r.X.MM, Y: r.Y.MM, Z: r.Z.MM}); r.Kind == board.Edge && at.X > 30 {
			right = append(right, r.ID)
		}
	}
	for k := range 12 {
		id := right[(2*k+1)*len(right)/24]
		names = append(names, id, id+"'")
	}
	return names
}

// note writes gaps down as a table, with noise.
func note(names []string, gaps []float64, rng *rand.Rand, sd float64) string {
	var b strings.Builder
	b.WriteString("station,wall,ledge,note\n")
	for i, n := range names {
		g := gaps[i] + sd*rng.NormFloat64()
		text := strconv.FormatFloat(g, 'f', 2, 64)
		if g < 0.005 {
			text = "tight"
		}
		fmt.Fprintf(&b, "%s,%s,,\n", n, text)
	}
	return b.String()
}

// next keeps the cut that a model gives, notes gaps in it, accepts what is found
// and solves for the next one, as the program without a window does.
func nextCut(t testing.TB, m *board.Model, table string) *board.Model {
	t.Helper()
	cut, err := board.NewCut(context.Background(), m, "", "trial")
	require.NoError(t, err)
	j := m.Job.Clone()
	require.NoError(t, j.AddCut(cut))
	j.Gaps, err = board.ReadGaps(strings.NewReader(table), "gaps.csv", j)
	require.NoError(t, err)
	require.NoError(t, j.AcceptCause(cut.Number, board.FoundCauses, true))
	j.Evaluate()
	require.NoError(t, j.Validate())
	next, err := board.Solve(context.Background(), j, nil)
	require.NoError(t, err)
	require.NotNil(t, next.Pane, next.Why)
	return next
}

func rms(v []float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x * x
	}
	return math.Sqrt(s / float64(max(1, len(v))))
}

// TestTrialFits: a half measured about a line that is off by up to a millimetre
// and 0.1 degrees, gaps at 24 stations read to 0.15 mm, and the second cut. The
// bars are for exact readings (offset and skew) and readings of 0.5 mm (fit).
// go test ./board -run TrialFits -trials 200 -v
func TestTrialFits(t *testing.T) {
	for _, c := range []struct {
		name       string
		sigma      float64
		checks     bool
		barE, barA float64 // mm, degrees: RMS of offset and skew
	}{
		{"exact", 0, false, 0.07, 0.018},
		{"rough", 0.5, false, 0.5, 0.1}, // the bars of offset and skew: our own, what shape and line share
		{"line found", 0.5, true, 0.5, 0.1},
	} {
		t.Run(c.name, func(t *testing.T) {
			var e, alpha, change []float64
			first, second, least, none := 0, 0, 0, 0
			for k := range *trialPanes {
				rng := rand.New(rand.NewPCG(uint64(k), 515))
				f := readTrialFit(rng, c.sigma, 2*rng.Float64()-1, 0.2*rng.Float64()-0.1, c.checks)
				m, err := board.Solve(context.Background(), f.job, nil)
				require.NoError(t, err)
				if m.Pane == nil { // there is no first cut to try
					none++
					t.Logf("pane %d: %s", k, m.Why)
					continue
				}
				if c.checks {
					f.e = m.Used.Offset - f.true.XAt(m.Used.Point.Y, m.Used.Point.Z)
					f.alpha = m.Used.Skew - f.true.Skew()*180/math.Pi
				}
				names := f.spread24(m)
				p, gaps := f.lie(t, m, names)
				if p.Snug(m.Job.Pocket.Wall) {
					first++
				}
				next := nextCut(t, m, note(names, gaps, rng, 0.15))
				g := next.Gaps
				require.Empty(t, g.Why)
				require.True(t, g.Offset.Known && g.Skew.Known)
				e, alpha = append(e, g.Offset.Value+f.e), append(alpha, g.Skew.Value+f.alpha)
				q, _ := f.lie(t, next, names)
				if q.Snug(m.Job.Pocket.Wall) {
					second++
				} else {
					t.Logf("pane %d: first %.2f..%.2f second %.2f..%.2f, e %.2f found %.2f alpha %.3f found %.3f", k, p.Least, p.Largest, q.Least, q.Largest, f.e, -g.Offset.Value, f.alpha, -g.Skew.Value)
				}
				if q.DropsIn() {
					least++
				}
				d, err := board.CompareShapes(m.Shape(), next.Shape())
				require.NoError(t, err)
				change = append(change, d.Greatest)
			}
			n := float64(*trialPanes - none)
			require.LessOrEqual(t, float64(none), 0.02*float64(*trialPanes), "panes that cannot be cut at all")
			t.Logf("%d panes: offset RMS %.3f mm, skew RMS %.4f deg; snug %.1f %% at the first cut, %.1f %% at the second (drops in %.1f %%); changed by %.2f mm",
				*trialPanes, rms(e), rms(alpha), 100*float64(first)/n, 100*float64(second)/n, 100*float64(least)/n, rms(change))
			const few, single = 50, 3 // one pane may lie three times as far off as they do together
			if *trialPanes < few {
				c.barE, c.barA = single*c.barE, single*c.barA
			}
			require.LessOrEqual(t, rms(e), c.barE)
			require.LessOrEqual(t, rms(alpha), c.barA)
			const most = 0.005 // of the panes may not be snug in the second cut
			require.LessOrEqual(t, int(n)-second, int(math.Round(most*float64(*trialPanes))))
		})
	}
}

// A face so stiff that its normal equations drown in rounding is no reason to
// refuse the readings: this half pane has all its heights.
func TestStiffFaceIsNoRefusal(t *testing.T) {
	rng := rand.New(rand.NewPCG(66, 515))
	f := readTrialFit(rng, 0.5, 2*rng.Float64()-1, 0.2*rng.Float64()-0.1, false)
	m, err := board.Solve(context.Background(), f.job, nil)
	require.NoError(t, err)
	require.NotNil(t, m.Pane, m.Why)
}
