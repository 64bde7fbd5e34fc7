package board

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom/fit"
)

const (
	strayDetour = 30.0 // mm, that a station may add to the way between its neighbours in the list
	mostStrays  = 0.2  // of the stations
	strayMiss   = 3.0  // mm off the outline of the others
	straySD     = 6.0  // the same in standard uncertainties
)

// withoutStrays is an outline for judging by where all stations together made
// none: without those that lie far from the way between their neighbours in the
// list. Those of them that it does not pass by are suspect. It is nil where
// that does not help either.
func (s *solve) withoutStrays() *fit.Outline {
	if len(s.marks) > mostTyped {
		return nil
	}
	live := make([]int, len(s.marks))
	for k := range live {
		live[k] = k
	}
	detour := func(n int) float64 {
		at := func(n int) r2.Vec {
			p := s.marks[live[(n+len(live))%len(live)]].P
			return r2.Vec{X: p.X, Y: p.Y}
		}
		a, p, b := at(n-1), at(n), at(n+1)
		return r2.Norm(r2.Sub(p, a)) + r2.Norm(r2.Sub(b, p)) - r2.Norm(r2.Sub(b, a))
	}
	for range int(mostStrays * float64(len(s.marks))) {
		worst, most := -1, strayDetour
		for n := range live {
			if d := detour(n); d > most {
				worst, most = n, d
			}
		}
		if worst < 0 {
			break
		}
		live = append(live[:worst], live[worst+1:]...)
	}
	if len(live) == len(s.marks) {
		return nil
	}
	var marks []fit.Mark
	for _, k := range live {
		marks = append(marks, s.marks[k])
	}
	o, err := fit.FitOutline(s.ctx, marks, fit.OutlineOptions{})
	if err != nil {
		return nil
	}
	for k, i := range s.edge {
		m := s.marks[k]
		u, d := o.Curve.Nearest(r2.Vec{X: m.P.X, Y: m.P.Y})
		if res := &s.m.Results[i]; math.Abs(d) > max(strayMiss, straySD*math.Hypot(m.SXY, o.SD(u))) {
			res.State, res.Reason = Suspect, "lies off the edge that its neighbours make"
			res.Miss, res.HasMiss = d, true
		}
	}
	return o
}
