package board

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom/fixture"
)

// FitCheck is how the real pane, as the readings let it be, will go into the
// pocket of the job, before anything is cut. Chances are 0 … 1, each of panes
// that also pass the one before; lengths are mm, places in the glass frame.
type FitCheck struct {
	Wall                       float64 // clearance
	DropsIn, Snug, Sits        float64
	LeastGap, LargestGap       float64 // of the wall: 5 of 100 panes come closer, stand farther off
	LedgeGap, Rock             float64 // 5 of 100 panes stand higher off the ledge, drop more under a pressed corner
	Enough                     float64 // clearance with which 95 of 100 panes would be snug
	BindsAt                    []string
	Stations                   []StationGap
	Contacts                   []fixture.Contact
	LikelyLeast, LikelyLargest float64 // wall gaps of the likeliest pane at its best place
	LikelyDropsIn, LikelyRests bool
}

// StationGap is the wall gap to expect at a station: 5, 50 and 95 of 100.
type StationGap struct {
	ID             string
	At             r2.Vec
	Low, Mid, High float64
}

const (
	fitDraws  = 200 // panes drawn for a fit check
	fitPlaces = 150 // places round the edge at which each is looked at
	fitSeed   = 0x70616e65
)

// fitCheck predicts the fit. What cannot be predicted leaves Fit nil: a pocket
// that cannot be made says so itself.
func (s *solve) fitCheck() error {
	if s.m.Pane == nil {
		return nil
	}
	real := s.m
	if typed := s.m.Used; typed != nil && typed.Source == "typed" {
		if s.m.Found == nil {
			return nil // nothing says where the real line is
		}
		var err error
		if real, err = s.likeliest(); err != nil {
			return s.ctx.Err()
		}
	}
	spec := s.job.Pocket
	like := real.likely(spec)
	p, err := fixture.Predict(s.ctx, s.m.Pane, spec, like, fitDraws)
	if err != nil {
		var no *fixture.Refusal
		if errors.As(err, &no) {
			return nil
		}
		return err
	}
	s.m.Fit = s.named(p, real, like)
	return nil
}

// likeliest is the model with the centre plane that the readings say, where the
// person typed another.
func (s *solve) likeliest() (*Model, error) {
	t, m, j := *s, *s.m, *s.job
	t.m, t.job, t.outline = &m, &j, nil
	j.Plane, m.Pane, m.Used = nil, nil, m.Found
	if err := t.along(m.Found.Plane); err != nil {
		return nil, err
	}
	return &m, t.pane()
}

// likely is the real pane as the readings let it be.
func (m *Model) likely(spec fixture.Spec) fixture.Likely {
	l := fixture.Likely{Pane: m.Pane, Places: fixture.EdgeParams(m.Pane.Outline, fitPlaces)}
	l.Under, l.Read = fixture.UnderPlaces(m.Pane, l.Places, spec)
	u := make([]float64, len(l.Places))
	for i, at := range l.Places {
		u[i] = m.param(m.Pane.Outline.At(at))
	}
	var under []r2.Vec
	for _, p := range slices.Concat(l.Under, l.Read) {
		under = append(under, m.inFit(p))
	}
	var edges, faces [][]float64
	rng := rand.New(rand.NewPCG(fitSeed, 1))
	edge, face := m.doubt.outline.Draws(u, rng.NormFloat64), m.doubt.face.Draws(under, rng.NormFloat64)
	for range fitDraws {
		edges, faces = append(edges, edge()), append(faces, face())
	}
	l.Draw = func(i int) ([]float64, []float64) { return edges[i], faces[i] }
	return l
}

// named puts the names of the stations to a prediction. real is the model of the
// pane that was lowered in.
func (s *solve) named(p *fixture.Prediction, real *Model, like fixture.Likely) *FitCheck {
	f := &FitCheck{Wall: s.job.Pocket.Wall, DropsIn: p.DropsIn, Snug: p.Snug, Sits: p.Sits,
		LeastGap: p.LeastGap, LargestGap: p.LargestGap, LedgeGap: p.LedgeGap, Rock: p.Rock, Enough: p.Enough,
		LikelyLeast: p.NominalPose.Least, LikelyLargest: p.NominalPose.Largest, LikelyDropsIn: p.NominalPose.DropsIn()}
	if p.Nominal != nil {
		f.Contacts, f.LikelyRests = p.Nominal.Contacts, p.Nominal.Sits()
	}
	at := make([]r2.Vec, len(like.Places))
	for i, u := range like.Places {
		at[i] = like.Pane.Outline.At(u)
	}
	names, places := s.stationsOn(real)
	for k, q := range places {
		i := nearestOf(at, q)
		f.Stations = append(f.Stations, StationGap{names[k], q, p.GapLow[i], p.GapMid[i], p.GapHigh[i]})
	}
	for _, i := range p.BindsAt {
		if k := nearestOf(places, at[i]); k >= 0 && !slices.Contains(f.BindsAt, names[k]) {
			f.BindsAt = append(f.BindsAt, names[k])
		}
	}
	return f
}

// stationsOn are the stations on the outline of a model and, where half of it is
// made, their twins: names and places in the glass frame.
func (s *solve) stationsOn(m *Model) (names []string, at []r2.Vec) {
	for k, i := range s.edge {
		if !s.kept(k) {
			continue
		}
		q := m.BoardToGlass.Apply(s.arris[k])
		u, _ := m.Pane.Outline.Nearest(r2.Vec{X: q.X, Y: q.Y})
		p := m.Pane.Outline.At(u)
		names, at = append(names, s.job.Readings[i].ID), append(at, p)
		if m.Mirror == MirrorLeft && p.X < 0 || m.Mirror == MirrorRight && p.X > 0 {
			names, at = append(names, s.job.Readings[i].ID+"'"), append(at, r2.Vec{X: -p.X, Y: p.Y})
		}
	}
	return names, at
}

// nearestOf is the number of the point nearest to q; -1 of none.
func nearestOf(at []r2.Vec, q r2.Vec) int {
	best, least := -1, math.Inf(1)
	for i, p := range at {
		if d := r2.Norm2(r2.Sub(p, q)); d < least {
			best, least = i, d
		}
	}
	return best
}
