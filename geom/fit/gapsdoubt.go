package fit

import (
	"fmt"
	"math"
	"slices"
)

// name of a column in the words of the trade.
func (f *gapFit) name(c int) string {
	switch col := &f.cols[c]; col.kind {
	case CauseOffset:
		return "an offset of the centre line"
	case CauseSkew:
		return "a skew of the centre line"
	case CauseRoll:
		return "a roll of the centre plane"
	case CauseUniform:
		return "a pencil, cutter or clearance that is off all round"
	case CauseScale:
		return "a wrong scale"
	case CauseShear:
		return "a grid out of square"
	case CauseJoint:
		return fmt.Sprintf("an opened joint %s", f.model.Joints[col.index].Name)
	default:
		return "the way the glass lay"
	}
}

// doubt says what these gaps cannot tell.
func (f *gapFit) doubt(g *Gaps) error {
	say := func(kind CauseKind, text string, args ...any) {
		g.Doubts = append(g.Doubts, Doubt{kind, capital(fmt.Sprintf(text, args...))})
	}
	f.doubtCentre(say)
	if err := f.doubtOthers(say); err != nil {
		return err
	}
	if err := f.doubtSplit(g, say); err != nil {
		return err
	}
	for _, e := range g.Causes {
		switch {
		case e.Kind == CauseUniform && e.Accepted:
			say(e.Kind, "the gaps do not tell whether the pencil, the cutter or the clearance is off: measure the clearance that was really cut.")
		case e.Kind == CauseStation:
			say(e.Kind, "the gaps do not tell whether the gap at station %s was misread or the pocket is off there alone: read it again.", e.Name)
		}
	}
	return nil
}

func capital(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}

// doubtCentre says why offset, skew or roll is not known.
func (f *gapFit) doubtCentre(say func(CauseKind, string, ...any)) {
	if f.model.Measured == 0 {
		if f.model.Mirrored {
			say(CauseOffset, "both halves were measured: an offset of the centre line moves the whole pocket and shows in no gap.")
			say(CauseSkew, "both halves were measured: a skew of the centre line turns the whole pocket and shows in no gap.")
		}
		return
	}
	for c := causeFirst; c < len(f.cols); c++ {
		kind := f.cols[c].kind
		if !f.cols[c].centre() || f.known[c] {
			continue
		}
		rows, gap := f.walls, "wall gap"
		if kind == CauseRoll {
			rows, gap = f.ledges, "ledge gap"
		}
		made := 0
		for _, r := range rows {
			if r.made {
				made++
			}
		}
		switch made {
		case 0:
			say(kind, "no %s was noted on the mirrored half, where %s would show.", gap, f.name(c))
		case len(rows):
			say(kind, "each %s noted is on the mirrored half: %s cannot be told from the way the glass lay. Note gaps on the measured half too.", gap, f.name(c))
		default:
			say(kind, "these stations do not tell %s from the way the glass lay: note gaps on both sides, at the top and at the bottom.", f.name(c))
		}
	}
}

// doubtOthers says which of the other causes would not be known apart from how
// the glass lay, from the centre line's, or from one another.
func (f *gapFit) doubtOthers(say func(CauseKind, string, ...any)) error {
	lay := f.base[:f.first()]
	for _, c := range f.others() {
		if ok, err := f.knows(lay, c); err != nil {
			return err
		} else if !ok {
			say(f.cols[c].kind, "these stations do not tell %s from the way the glass lay.", f.name(c))
			continue
		}
		for d := causeFirst; d < len(f.cols); d++ {
			inBase := slices.Contains(f.base, d)
			if d == c || (inBase && !f.known[d]) || (!inBase && d > c) {
				continue
			}
			beside := append(slices.Clone(f.base), d)
			if inBase {
				beside = f.base
			}
			alike, err := f.alike(beside, c, d)
			if err != nil {
				return err
			}
			if alike {
				say(f.cols[c].kind, "at these stations %s looks like %s.", f.name(c), f.name(d))
			}
		}
	}
	return nil
}

// alike reports whether columns c and d, one known without the other, are not
// known together beside a set.
func (f *gapFit) alike(set []int, c, d int) (bool, error) {
	without := slices.DeleteFunc(slices.Clone(set), func(e int) bool { return e == d })
	if ok, err := f.knows(without, c); err != nil || !ok {
		return false, err
	}
	if ok, err := f.knows(without, d); err != nil || !ok {
		return false, err
	}
	ok, err := f.knows(append(without, d), c)
	return !ok && err == nil, err
}

// doubtSplit says where the gaps leave open which of several causes is at
// work: a rival of one taken up, or a smooth error of the shape.
func (f *gapFit) doubtSplit(g *Gaps, say func(CauseKind, string, ...any)) error {
	const (
		even    = 0.1 // odds of a rival worth naming
		unclear = 1.5 // how much a smooth rest makes a cause less sure
	)
	for _, e := range g.Causes {
		c := e.col
		if c < 0 {
			continue
		}
		p, err := f.posterior(f.plain(), f.set)
		if err != nil {
			return err
		}
		m, v := p.value(c)
		sure := math.Sqrt(v) * f.cols[c].unit
		if math.Abs(m)*f.cols[c].unit > 2*sure {
			rivals, err := f.rivals(g.mixed, c)
			if err != nil {
				return err
			}
			for _, r := range rivals {
				if r.odds > even {
					say(e.Kind, "%s explains these gaps about as well as %s.", f.name(r.col), f.name(c))
				}
			}
		}
		if e.U > unclear*sure && f.cols[c].centre() {
			say(e.Kind, "an error of the shape along the edge looks much like %s: correct the pocket, but how much of it is which stays uncertain.", f.name(c))
		}
	}
	return nil
}
