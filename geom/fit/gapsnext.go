package fit

import "math"

// Forecast is a gap of the next cut, with its standard uncertainty.
type Forecast struct {
	Wall, WallU   float64 // mm
	Ledge, LedgeU float64 // square to the face, mm
}

// takes says which causes are taken: as the person chose, by the order of
// Causes, or those accepted where choice is nil.
func (g *Gaps) takes(choice []bool, i int) bool {
	if choice == nil {
		return g.Causes[i].Accepted
	}
	return i < len(choice) && choice[i]
}

// Move is how the pocket must change at a place for the next cut, mm: the wall
// outward, square to the outline, and the ledge up, square to the face. choice
// says which of Causes to put right (nil: those accepted), rest whether to take
// out the smooth rest too, and with it the causes that the gaps ask for but
// cannot tell from others (Split): whatever they are, the pocket is off by
// them. A single station moves nothing: it is a reading to take again. Of the
// reading only the place is used.
func (g *Gaps) Move(at GapReading, choice []bool, rest bool) (wall, ledge float64) {
	f := g.fit
	for i, q := range []gapPlace{f.wallPlace(&at), f.ledgePlace(&at)} {
		off := 0.0
		for k, e := range g.Causes {
			if e.col >= 0 && (g.takes(choice, k) || (rest && e.Split)) {
				off += f.cols[e.col].at(&q) * e.Value / f.cols[e.col].unit
			}
		}
		if rest {
			off += g.rest(&q)
		}
		if i == 0 {
			wall = -off
		} else {
			ledge = off
		}
	}
	return wall, ledge
}

// Rest is the smooth rest at a station: how far the wall is out, and the ledge
// low, beyond what the causes say, mm. It is nought far from every gap.
func (g *Gaps) Rest(at GapReading) (wall, ledge float64) {
	w, l := g.fit.wallPlace(&at), g.fit.ledgePlace(&at)
	return g.rest(&w), g.rest(&l)
}

// rest is the smooth rest at a place, averaged over the rests.
func (g *Gaps) rest(q *gapPlace) (h float64) {
	for t, w := range g.mixed.weight {
		b := g.fit.block(q, t)
		if w > 1e-3 && b.rest.amp > 0 {
			h += w * dot(g.fit.reaching(b, q), b.left(g.mixed.parts[t]))
		}
	}
	return h
}

// block is the rows that tell of a place, with rest t.
func (f *gapFit) block(q *gapPlace, t int) *gapBlock {
	if q.ledge {
		return f.ledge
	}
	return f.wall[t]
}

// reaching is the whitened covariance of the rest at a place with the rows.
func (f *gapFit) reaching(b *gapBlock, q *gapPlace) []float64 {
	a2 := b.rest.amp * b.rest.amp
	return b.whiten(func(r *gapRow) float64 { return a2 * b.rest.correlation(&r.gapPlace, q, f.model.Girth) })
}

// Next forecasts the gaps of the next cut at places, all round: the pocket
// moved as Move says, with a clearance, the glass laid nearest the middle by
// least squares, in plan and on the ledge. The uncertainty is that of what was
// found, not of the next cutting or reading. Order as the places. Cost: as the
// places times the square of their number and that of the gaps.
func (g *Gaps) Next(at []GapReading, clearance float64, choice []bool, rest bool) []Forecast {
	f := g.fit
	all := make([]bool, len(g.Causes))
	for i := range all {
		all[i] = true
	}
	walls, ledges := &spread{}, &spread{}
	for i := range at {
		wallAll, ledgeAll := g.Move(at[i], all, true)
		wall, ledge := g.Move(at[i], choice, rest)
		w, l := f.wallPlace(&at[i]), f.ledgePlace(&at[i])
		walls.add(w, wall-wallAll, f.columnsAt(&w)[:tiltFirst])
		ledges.add(l, ledgeAll-ledge, f.columnsAt(&l)[tiltFirst:causeFirst])
	}
	out := make([]Forecast, len(at))
	wallU, ledgeU := walls.lay(g), ledges.lay(g)
	for i := range at {
		out[i] = Forecast{clearance + walls.off[i], wallU[i], f.model.Felt + ledges.off[i], ledgeU[i]}
	}
	return out
}

// spread is places on the wall or on the ledge, how far off they are, and how
// that changes as the glass is moved.
type spread struct {
	at  []gapPlace
	off []float64
	x   [][]float64
}

func (s *spread) add(q gapPlace, off float64, x []float64) {
	s.at, s.off, s.x = append(s.at, q), append(s.off, off), append(s.x, x)
}

// lay moves the glass so that the sum of squares is least, takes that from the
// places, and returns the sd of what is left at each.
func (s *spread) lay(g *Gaps) []float64 {
	const k = 3
	m := make([]float64, k*k)
	for _, x := range s.x {
		for i := range k {
			m[i*k+i] += 1e-9 // places that do not hold the glass leave it where it is
			for j := range k {
				m[i*k+j] += x[i] * x[j]
			}
		}
	}
	u := make([]float64, len(s.at))
	if len(s.at) == 0 || cholesky(m, k) != nil {
		return u
	}
	by := make([][]float64, len(s.at)) // motion for an error of 1 mm at each place
	motion := make([]float64, k)
	for i, x := range s.x {
		by[i] = append([]float64(nil), x...)
		denseSolve(m, k, by[i])
		for j := range k {
			motion[j] += by[i][j] * s.off[i]
		}
	}
	cov := g.covariance(s.at)
	n := len(s.at)
	var both [k][k]float64 // covariance of the motion
	with := make([][k]float64, n)
	for i := range n {
		for j := range n {
			for a := range k {
				with[i][a] += cov[i*n+j] * by[j][a]
			}
		}
		for a := range k {
			for b := range k {
				both[a][b] += by[i][a] * with[i][b]
			}
		}
	}
	for i, x := range s.x {
		s.off[i] -= dot(x, motion)
		v := cov[i*n+i]
		for a := range k {
			v -= 2 * x[a] * with[i][a]
			for b := range k {
				v += x[a] * x[b] * both[a][b]
			}
		}
		u[i] = math.Sqrt(max(0, v))
	}
	return u
}

// covariance of the errors of the pocket at places of one kind, the causes and
// the rest together, at the likeliest rest.
func (g *Gaps) covariance(at []gapPlace) []float64 {
	f, n := g.fit, len(at)
	t := g.mixed.top()
	p := g.mixed.parts[t]
	first := f.first()
	a, form := make([][]float64, n), make([][]float64, n)
	for i := range at {
		q := &at[i]
		b := f.block(q, t)
		a[i] = f.reaching(b, q)
		raw := make([]float64, len(p.set))
		for j, c := range p.set {
			if j >= first {
				raw[j] = f.cols[c].at(q)
			}
			raw[j] -= dot(b.x[c], a[i])
		}
		form[i] = p.whiten(raw)
	}
	cov := make([]float64, n*n)
	for i := range at {
		h := f.block(&at[i], t).rest
		for j := 0; j <= i; j++ {
			v := h.amp*h.amp*h.correlation(&at[i], &at[j], f.model.Girth) - dot(a[i], a[j]) + dot(form[i], form[j])
			cov[i*n+j], cov[j*n+i] = v, v
		}
	}
	return cov
}
