package boardview

import (
	"cmp"
	"math"
	"slices"

	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
)

// socket is how the real pane is expected to stand in the pocket: the wall gap
// all round, where it binds or is loose, and where it rests. It is worked out
// once for each model.
type socket struct {
	of        *board.Model
	clearance float64
	round     []gap     // close together, round the outline and back to the first
	mayBind   bool      // most panes drop in: where they bind is only where they may
	stations  []gapSign // every station with its gap
	signs     []gapSign // those to point out
	rests     []rest
}

// gap is the wall gap to expect at a place: 5, 50 and 95 of 100, mm.
type gap struct {
	at, out        r2.Vec // of the outline as modelled, board, mm; the unit normal, outward
	low, mid, high float64
}

// gapSign is a gap with the name of its station.
type gapSign struct {
	gap
	id    string
	binds bool // the pane binds there
	loose bool // it stands off by more than twice the clearance
}

// rest is a place where a rigid pane would rest.
type rest struct {
	at   r2.Vec
	load float64 // share of the weight
}

// newSocket takes the prediction of a model; b is its band.
func newSocket(m *board.Model, b *band) *socket {
	s := &socket{of: m}
	if m == nil || m.Fit == nil || m.Pane == nil || len(b.runs) != 1 || len(m.Fit.Stations) < 3 {
		return s
	}
	s.clearance = m.Fit.Wall
	known := s.known(m)
	run := b.runs[0]
	_, end := m.Pane.Outline.Period()
	for i, u := range run.u {
		g := between(known, u, end)
		g.at, g.out = run.at[i], run.out[i]
		s.round = append(s.round, g)
	}
	s.round = append(s.round, s.round[0])
	for i, st := range m.Fit.Stations {
		k := nearest(run.u, known[i].u)
		g := known[i].gap
		g.at, g.out = run.at[k], run.out[k]
		s.stations = append(s.stations, gapSign{gap: g, id: st.ID})
	}
	s.point(m.Fit)
	back := m.BoardToGlass.Inverse()
	for _, c := range m.Fit.Contacts {
		p := back.Apply(r3.Vec{X: c.At.X, Y: c.At.Y, Z: m.Pane.Upper.At(c.At.X, c.At.Y)})
		s.rests = append(s.rests, rest{r2.Vec{X: p.X, Y: p.Y}, c.Load})
	}
	return s
}

// knownGap is a gap at a parameter of the outline.
type knownGap struct {
	gap
	u float64
}

// known are the gaps at the stations, by the places of the outline nearest to
// them.
func (s *socket) known(m *board.Model) []knownGap {
	out := make([]knownGap, len(m.Fit.Stations))
	for i, st := range m.Fit.Stations {
		out[i].u, _ = m.Pane.Outline.Nearest(st.At)
		out[i].low, out[i].mid, out[i].high = st.Low, st.Mid, st.High
	}
	return out
}

// between is the gap at a parameter of a closed curve, from the stations on
// either side of it. The stations may stand in any order.
func between(known []knownGap, u, period float64) gap {
	before, after := known[0], known[0]
	back, on := math.Inf(1), math.Inf(1)
	for _, k := range known {
		if d := wrapped(u-k.u, period); d < back {
			back, before = d, k
		}
		if d := wrapped(k.u-u, period); d < on {
			on, after = d, k
		}
	}
	f := 0.0
	if back+on > 0 {
		f = back / (back + on)
	}
	mix := func(a, b float64) float64 { return a + f*(b-a) }
	return gap{low: mix(before.low, after.low), mid: mix(before.mid, after.mid), high: mix(before.high, after.high)}
}

// wrapped takes d into the range from 0 to period.
func wrapped(d, period float64) float64 {
	if d = math.Mod(d, period); d < 0 {
		d += period
	}
	return d
}

// nearest is the number of the value nearest to u.
func nearest(values []float64, u float64) int {
	best := 0
	for i, v := range values {
		if math.Abs(v-u) < math.Abs(values[best]-u) {
			best = i
		}
	}
	return best
}

// seldom is the share of panes below which a fault is not pointed out.
const seldom = 0.05

// point chooses what is pointed out: where the pane binds, and the loosest place
// of either half.
func (s *socket) point(f *board.FitCheck) {
	s.mayBind = f.DropsIn >= 0.5
	if f.DropsIn < 1-seldom {
		for _, g := range s.stations {
			if g.binds = slices.Contains(f.BindsAt, g.id); g.binds {
				s.signs = append(s.signs, g)
			}
		}
	}
	if f.Snug >= 1-seldom {
		return
	}
	for _, right := range []bool{false, true} {
		half := slices.DeleteFunc(slices.Clone(s.stations), func(g gapSign) bool {
			return g.out.X > 0 != right || g.high <= 2*s.clearance
		})
		if len(half) > 0 {
			g := slices.MaxFunc(half, func(a, b gapSign) int { return cmp.Compare(a.high, b.high) })
			g.loose = true
			s.signs = append(s.signs, g)
		}
	}
}

// find is the station of that name.
func (s *socket) find(id string) (gapSign, bool) {
	i := slices.IndexFunc(s.stations, func(g gapSign) bool { return g.id == id })
	if i < 0 {
		return gapSign{}, false
	}
	return s.stations[i], true
}

// hit is what is said of the place at a logical position: a station of the made
// half, or a place where the pane rests.
func (s *socket) hit(at r2.Vec, l lens, j *board.Job) []string {
	for _, r := range s.rests {
		if r2.Norm(r2.Sub(l.px(r.at), at)) <= pointReach {
			return []string{lang.L("a rigid pane would rest here with {{.N}} of 100 parts of its weight", map[string]any{"N": math.Round(100 * r.load)}),
				lang.L("a thin one gives, and rests on more")}
		}
	}
	for _, g := range s.stations {
		if r2.Norm(r2.Sub(l.px(g.at), at)) <= pointReach {
			return append([]string{lang.L("at station {{.ID}}", map[string]any{"ID": g.id})}, g.words(j)...)
		}
	}
	return nil
}

// words say what gap is expected at a station.
func (g gapSign) words(j *board.Job) []string {
	places := 2
	if j.Unit == board.Inch {
		places = 3
	}
	show := func(mm float64) string { return decimal(mm/j.Unit.Millimetres(), places, j.Comma) }
	return []string{lang.L("wall gap {{.Mid}} {{.Unit}} predicted, 90 of 100 panes {{.Low}} to {{.High}}", map[string]any{
		"Mid": show(g.mid), "Low": show(g.low), "High": show(g.high), "Unit": j.Unit.String()})}
}
