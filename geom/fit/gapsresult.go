package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Cause is one thing found to make the gaps wrong.
type Cause struct {
	Kind     CauseKind
	Index    int     // station: of the reading; joint: of the joint; else -1
	Name     string  // of the station or joint
	Value, U float64 // as CauseKind has it, with its standard uncertainty
	Accepted bool    // larger than twice its uncertainty
	Split    bool    // the gaps ask for it, but another cause would explain them as well: not accepted

	col int // its column; -1 for a station
}

// Share is a part of the sum of squares of the gaps against the plan.
type Share struct {
	Kind  CauseKind
	Name  string // of the station or joint
	Share float64
}

// Doubt is something that these gaps cannot tell.
type Doubt struct {
	Kind CauseKind
	Text string // a sentence in the words of the trade
}

// Gaps is what explains the gaps of a test fit.
type Gaps struct {
	Shift r2.Vec  // how the glass lay in the pocket, mm
	Turn  float64 // rad, about the centre

	// The causes, offset, skew and roll first where they are known, then as
	// they were taken up, single stations last.
	Causes []Cause

	// Explained are the shares of placement, tilt and the accepted causes, each
	// in what those before it left, the largest cause first. LeftOver is the
	// RMS of what no cause explains, smooth rest and noise, mm.
	Explained []Share
	LeftOver  float64

	Doubts []Doubt

	fit   *gapFit
	mixed *mixture
}

// Correction is what to add to the assumed centre line, in its frame: offset
// in mm at the centre's level, skew and roll in radians, with their standard
// uncertainties. A part that the gaps do not tell has the uncertainty +Inf.
type Correction struct{ Offset, OffsetU, Skew, SkewU, Roll, RollU float64 }

// Correction is the correction of the centre line that the gaps ask for,
// accepted or not.
func (g *Gaps) Correction() Correction {
	c := Correction{OffsetU: math.Inf(1), SkewU: math.Inf(1), RollU: math.Inf(1)}
	for _, e := range g.Causes {
		switch e.Kind {
		case CauseOffset:
			c.Offset, c.OffsetU = -e.Value, e.U
		case CauseSkew:
			c.Skew, c.SkewU = -e.Value, e.U
		case CauseRoll:
			c.Roll, c.RollU = -e.Value, e.U
		}
	}
	return c
}

// result gathers what was found.
func (f *gapFit) result() (*Gaps, error) {
	x, err := f.mix(f.set)
	if err != nil {
		return nil, err
	}
	g := &Gaps{fit: f, mixed: x}
	if g.Causes, err = f.causes(x); err != nil {
		return nil, err
	}
	lay := x.parts[x.top()].mean
	g.Shift, g.Turn = r2.Vec{X: lay[0], Y: lay[1]}, lay[2]*f.cols[2].unit
	f.stations(g)
	g.Explained, g.LeftOver = f.shares(g.Causes)
	if err := f.doubt(g); err != nil {
		return nil, err
	}
	return g, nil
}

// average is a mean and a variance over several fits.
type average struct{ sum, mean, square float64 }

func (a *average) add(w, mean, variance float64) {
	a.sum += w
	a.mean += w * mean
	a.square += w * (variance + mean*mean)
}

func (a *average) result() (mean, variance float64) {
	mean = a.mean / a.sum
	return mean, max(0, a.square/a.sum-mean*mean)
}

// taken are the columns to report: those of the centre line that are known, and
// those taken up.
func (f *gapFit) taken() []int {
	return slices.DeleteFunc(slices.Clone(f.set[f.first():]), func(c int) bool { return f.cols[c].centre() && !f.known[c] })
}

// causes are the columns taken up, averaged over the rests and over what else
// might be at work, as likely as the gaps make it.
func (f *gapFit) causes(x *mixture) ([]Cause, error) {
	taken := f.taken()
	found := make([]average, len(taken))
	add := func(y *mixture, odds float64) {
		for t, p := range y.parts {
			for i, c := range taken {
				if w := odds * y.weight[t]; w > 1e-5 && p.at(c) >= 0 {
					m, v := p.value(c)
					found[i].add(w, m, v)
				}
			}
		}
	}
	add(x, 1)
	for _, o := range f.otherwise() {
		y, err := f.mix(o.set)
		if err != nil {
			return nil, err
		}
		add(y, o.odds*math.Exp(min(y.log-x.log, takeUp)))
	}
	var out []Cause
	for i, c := range taken {
		m, v := found[i].result()
		rivals, err := f.rivals(x, c)
		if err != nil {
			return nil, err
		}
		clear := math.Abs(m) > 2*math.Sqrt(v)
		for _, r := range rivals {
			v += r.odds * m * m
		}
		col := &f.cols[c]
		e := Cause{Kind: col.kind, Index: -1, Value: m * col.unit, U: math.Sqrt(v) * col.unit, col: c}
		if col.kind == CauseJoint {
			e.Index, e.Name = col.index, f.model.Joints[col.index].Name
		}
		e.Accepted = math.Abs(e.Value) > 2*e.U
		e.Split = clear && !e.Accepted
		out = append(out, e)
	}
	return out, nil
}

// otherSet is another set of columns, with its odds against the one chosen.
type otherSet struct {
	set  []int
	odds float64
}

// otherwise are the sets with one cause more or less, or another in the place
// of one taken up.
func (f *gapFit) otherwise() (out []otherSet) {
	for _, d := range f.candidates() {
		out = append(out, otherSet{append(slices.Clone(f.set), d), f.cols[d].odds})
	}
	for i, c := range f.set {
		if i < len(f.base) {
			continue
		}
		out = append(out, otherSet{slices.Delete(slices.Clone(f.set), i, i+1), 1 / f.cols[c].odds})
		for _, d := range f.candidates() {
			set := slices.Clone(f.set)
			set[i] = d
			out = append(out, otherSet{set, f.cols[d].odds / f.cols[c].odds})
		}
	}
	return out
}

// rival is a cause that could stand in another's place.
type rival struct {
	col  int
	odds float64 // of its being the true one
}

// rivals are the causes not taken up that would explain what column c does,
// at the likeliest rest.
func (f *gapFit) rivals(x *mixture, c int) (out []rival, err error) {
	t := x.top()
	blocks, now := []*gapBlock{f.wall[t], f.ledge}, x.parts[t].like
	sum := 1.0
	for _, d := range f.candidates() {
		set := slices.Clone(f.set)
		set[slices.Index(set, c)] = d
		p, err := f.posterior(blocks, set)
		if err != nil {
			return nil, err
		}
		odds := min(1, f.cols[d].odds/f.cols[c].odds*math.Exp(min(0, p.like-now)))
		out = append(out, rival{d, odds})
		sum += odds
	}
	for i := range out {
		out[i].odds /= sum
	}
	return out, nil
}

// stations adds the single stations set aside.
func (f *gapFit) stations(g *Gaps) {
	if f.aside() == 0 {
		return
	}
	rows := f.all()
	for i, s := range f.leftOut(g.mixed) {
		r := rows[i]
		if !r.aside {
			continue
		}
		u := math.Sqrt(max(r.v, s.v-loose))
		g.Causes = append(g.Causes, Cause{Kind: CauseStation, col: -1, Index: r.reading, Name: f.readings[r.reading].ID, Value: s.loo, U: u, Accepted: math.Abs(s.loo) > 2*u})
	}
}

// shares splits the plain sum of squares of all gaps against the plan:
// placement, tilt, then the accepted causes, the one that takes most first.
func (f *gapFit) shares(causes []Cause) (out []Share, leftOver float64) {
	rows := f.all()
	y := make([]float64, len(rows))
	for i, r := range rows {
		y[i] = r.y
	}
	total := dot(y, y)
	if total == 0 {
		total = 1
	}
	columns := func(of ...int) (v [][]float64) {
		for _, c := range of {
			x := make([]float64, len(rows))
			for i, r := range rows {
				x[i] = r.x[c]
			}
			v = append(v, x)
		}
		return v
	}
	s := &splitter{y: y}
	out = append(out, Share{Kind: CausePlacement, Share: s.take(columns(0, 1, 2)...) / total})
	if len(f.ledges) > 0 {
		out = append(out, Share{Kind: CauseTilt, Share: s.take(columns(tiltFirst, tiltFirst+1, tiltFirst+2)...) / total})
	}
	type part struct {
		Share
		x []float64
	}
	var rest []part
	for _, e := range causes {
		if !e.Accepted {
			continue
		}
		p := part{Share: Share{Kind: e.Kind, Name: e.Name}}
		if e.col >= 0 {
			p.x = columns(e.col)[0]
		} else {
			p.x = make([]float64, len(rows))
			for i, r := range rows {
				if r.aside && r.reading == e.Index {
					p.x[i] = 1
				}
			}
		}
		rest = append(rest, p)
	}
	for len(rest) > 0 {
		best, most := 0, -1.0
		for i, p := range rest {
			if t := s.worth(p.x); t > most {
				best, most = i, t
			}
		}
		rest[best].Share.Share = s.take(rest[best].x) / total
		out = append(out, rest[best].Share)
		rest = slices.Delete(rest, best, best+1)
	}
	return out, math.Sqrt(dot(s.y, s.y) / float64(len(rows)))
}

// splitter takes columns out of a vector, one after the other.
type splitter struct {
	y     []float64
	taken [][]float64 // of unit length, square to one another
}

// fresh is a column square to those taken, of unit length; nil where nothing
// is left of it.
func (s *splitter) fresh(x []float64) []float64 {
	x = slices.Clone(x)
	size := dot(x, x)
	for range 2 { // twice is enough for full digits
		for _, t := range s.taken {
			d := dot(x, t)
			for i := range x {
				x[i] -= d * t[i]
			}
		}
	}
	left := dot(x, x)
	if !(left > 1e-9*size) {
		return nil
	}
	for i := range x {
		x[i] /= math.Sqrt(left)
	}
	return x
}

// worth is what a column would take of the sum of squares.
func (s *splitter) worth(x []float64) float64 {
	x = s.fresh(x)
	if x == nil {
		return 0
	}
	return square(dot(x, s.y))
}

// take takes columns out and returns what went with them.
func (s *splitter) take(columns ...[]float64) (sum float64) {
	for _, x := range columns {
		if x = s.fresh(x); x == nil {
			continue
		}
		d := dot(x, s.y)
		for i := range x {
			s.y[i] -= d * x[i]
		}
		s.taken = append(s.taken, x)
		sum += d * d
	}
	return sum
}
