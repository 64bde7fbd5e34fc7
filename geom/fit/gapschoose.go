package fit

import (
	"context"
	"math"
	"slices"
)

// A cause is known where its sd is less than knownWithin mm of gap or so, and
// than knownPart of what it may well be without any gap.
const (
	knownWithin = 0.5
	knownPart   = 1.0 / 3
)

// A cause is taken up where the gaps speak for it by more, in logarithms.
const takeUp = 1.1

// run finds the causes: which bounds pull, which columns count.
func (f *gapFit) run(ctx context.Context) error {
	f.layBase()
	if err := f.weigh(ctx); err != nil {
		return err
	}
	if err := f.know(); err != nil {
		return err
	}
	const rounds = 4 // the bounds that pull hang on the causes and these on the bounds
	for range rounds {
		if err := f.choose(ctx); err != nil {
			return err
		}
		moved, err := f.settleBounds(ctx)
		if err != nil {
			return err
		}
		if !moved {
			break
		}
	}
	return nil
}

// plain are the blocks without any rest: what the stations alone can tell.
func (f *gapFit) plain() []*gapBlock { return []*gapBlock{f.wall[len(f.wall)-1], f.ledge} }

// knows reports whether column c is known beside a set.
func (f *gapFit) knows(set []int, c int) (bool, error) {
	p, err := f.posterior(f.plain(), append(slices.Clone(set), c))
	if err != nil {
		return false, err
	}
	_, v := p.value(c)
	return math.Sqrt(v) < min(knownWithin, knownPart*f.cols[c].prior), nil
}

// layBase lists the columns of how the glass lay, and of offset, skew and roll
// wherever they show at all.
func (f *gapFit) layBase() {
	for c := range f.first() {
		f.base = append(f.base, c)
	}
	for c := causeFirst; c < len(f.cols); c++ {
		shows := func(r *gapRow) bool { return r.x[c] != 0 }
		if f.cols[c].centre() && slices.ContainsFunc(f.all(), shows) {
			f.base = append(f.base, c)
		}
	}
}

// know finds out which of offset, skew and roll the stations tell from how the
// glass lay and from one another. Offset and skew stay in the fit where they
// are not known, so that nothing else is thought surer than it is. A roll that
// is not known does not: on the walls it acts as an offset at the height of the
// sides, and is taken as that.
func (f *gapFit) know() error {
	f.known = make([]bool, len(f.cols))
	for _, c := range f.base[f.first():] {
		var err error
		if f.known[c], err = f.knows(slices.DeleteFunc(slices.Clone(f.base), func(d int) bool { return d == c }), c); err != nil {
			return err
		}
	}
	f.base = slices.DeleteFunc(f.base, func(c int) bool { return f.cols[c].kind == CauseRoll && !f.known[c] })
	return nil
}

// first is the number of columns for how the glass lay.
func (f *gapFit) first() int {
	if len(f.ledges) > 0 {
		return causeFirst
	}
	return tiltFirst
}

// mixture is a set's posterior for every rest, with how likely each rest is.
type mixture struct {
	parts  []*gapPosterior
	weight []float64
	log    float64 // log likelihood of the gaps, the rests averaged out
}

// mix finds a set with every rest.
func (f *gapFit) mix(set []int) (*mixture, error) {
	x := &mixture{}
	top := math.Inf(-1)
	for i, h := range f.rests {
		p, err := f.posterior([]*gapBlock{f.wall[i], f.ledge}, set)
		if err != nil {
			return nil, err
		}
		x.parts, x.weight = append(x.parts, p), append(x.weight, p.log+math.Log(h.odds))
		top = math.Max(top, x.weight[i])
	}
	var sum float64
	for i, w := range x.weight {
		x.weight[i] = math.Exp(w - top)
		sum += x.weight[i]
	}
	for i := range x.weight {
		x.weight[i] /= sum
	}
	x.log = top + math.Log(sum)
	return x, nil
}

// top is the likeliest rest.
func (x *mixture) top() int {
	best := 0
	for i, w := range x.weight {
		if w > x.weight[best] {
			best = i
		}
	}
	return best
}

// choose takes causes and single stations up, the strongest first, as long as
// the gaps speak for one.
func (f *gapFit) choose(ctx context.Context) error {
	f.set = slices.Clone(f.base)
	if f.aside() > 0 {
		for _, r := range f.all() {
			r.aside = false
		}
		if err := f.weigh(ctx); err != nil {
			return err
		}
	}
	now, err := f.mix(f.set)
	if err != nil {
		return err
	}
	for {
		gain, cause, next := takeUp, -1, now
		for _, c := range f.candidates() {
			x, err := f.mix(append(slices.Clone(f.set), c))
			if err != nil {
				return err
			}
			if g := x.log - now.log + math.Log(f.cols[c].odds); g > gain {
				gain, cause, next = g, c, x
			}
		}
		single, err := f.single(now, gain)
		if err != nil {
			return err
		}
		switch {
		case single != nil:
			single.aside = true
			if err := f.weigh(ctx); err != nil {
				return err
			}
			if next, err = f.mix(f.set); err != nil {
				return err
			}
		case cause >= 0:
			f.set = append(f.set, cause)
		default:
			return nil
		}
		now = next
	}
}

func (f *gapFit) all() []*gapRow { return append(slices.Clone(f.walls), f.ledges...) }

// others are the columns that are taken up only where the gaps speak for them.
func (f *gapFit) others() (out []int) {
	for c := causeFirst; c < len(f.cols); c++ {
		if !f.cols[c].centre() {
			out = append(out, c)
		}
	}
	return out
}

// candidates are those of them not yet taken up.
func (f *gapFit) candidates() []int {
	return slices.DeleteFunc(f.others(), func(c int) bool { return slices.Contains(f.set, c) })
}

// single is the gap that the others contradict most, where that is worth more
// than gain; nil where none is.
func (f *gapFit) single(x *mixture, gain float64) (worst *gapRow, err error) {
	rows := f.all()
	if f.aside() >= len(rows)/8 {
		return nil, nil
	}
	for i, s := range f.leftOut(x) {
		r := rows[i]
		if r.aside || r.idle {
			continue
		}
		prior := stationPrior * stationPrior
		g := s.loo*s.loo/s.v*prior/(prior+s.v)/2 - math.Log1p(prior/s.v)/2 + math.Log(stationOdds/float64(len(rows)))
		if g > gain {
			gain, worst = g, r
		}
	}
	return worst, nil
}

func (f *gapFit) aside() (n int) {
	for _, r := range f.all() {
		if r.aside {
			n++
		}
	}
	return n
}

// outcome is a gap against what all the others say: the difference, its
// variance, and what the whole fit leaves of it.
type outcome struct{ loo, v, left float64 }

// leftOut compares every gap with the others, at the likeliest rest: with Q =
// K⁻¹ − K⁻¹X·M⁻¹·XᵀK⁻¹ the difference is (Q·y)_i/Q_ii, of variance 1/Q_ii.
func (f *gapFit) leftOut(x *mixture) (out []outcome) {
	t := x.top()
	p := x.parts[t]
	form := make([]float64, len(p.set))
	for _, b := range []*gapBlock{f.wall[t], f.ledge} {
		left := b.left(p)
		e := make([]float64, len(b.rows)) // a column of L⁻¹
		for i, r := range b.rows {
			b.unit(e, i)
			for j, c := range p.set {
				form[j] = dot(e[i:], b.x[c][i:])
			}
			q := dot(e[i:], e[i:]) - p.variance(form)
			if !(q > 1e-12) { // all of the gap's weight goes into a cause of its own
				q = 1e-12
			}
			qy := dot(e[i:], left[i:])
			out = append(out, outcome{qy / q, 1 / q, qy * r.variance()})
		}
	}
	return out
}

// settleBounds lets the bounds pull that the fit breaks and no others, and
// tells whether that changed any.
func (f *gapFit) settleBounds(ctx context.Context) (moved bool, err error) {
	rows := f.all()
	if !slices.ContainsFunc(rows, (*gapRow).open) {
		return false, nil
	}
	const rounds = 8
	for range rounds {
		x, err := f.mix(f.set)
		if err != nil {
			return moved, err
		}
		again := false
		for i, s := range f.leftOut(x) {
			r := rows[i]
			if !r.open() || r.aside {
				continue
			}
			if idle := !r.passed(r.y - s.left); idle != r.idle {
				r.idle, again = idle, true
			}
		}
		if !again {
			return moved, nil
		}
		moved = true
		if err := f.weigh(ctx); err != nil {
			return moved, err
		}
	}
	return moved, nil
}
