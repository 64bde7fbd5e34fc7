package fit

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
)

// curveTolerance is how close the one closed spline follows the fitted edge,
// in mm.
const curveTolerance = 0.004

// What passes for a corner, tried in this order.
var cornerLooks = []sought{
	{25 * math.Pi / 180, 1}, {25 * math.Pi / 180, 0.35}, {40 * math.Pi / 180, 1}, {14 * math.Pi / 180, 1},
}

// clearly is by how much one fit must foretell the marks better than another,
// −2 log likelihood, to be taken without trying further.
const clearly = 6.0

// bestArcs fits chains along a spline fit, with corners found in several ways,
// and returns the one that foretells the marks best; nil where none does it
// better than the spline.
//
// Where a stretch of edge was not read, or only at places far apart, no chain is
// tried: corners that nobody read would make the lone marks look like slips.
func bestArcs(ctx context.Context, spline *loopFit, keepAll bool) (*arcFit, error) {
	if spline.gaping() {
		return nil, nil
	}
	b := bend(spline.curve)
	var tried [][]cornerAt
	var best *arcFit
	least := score(spline.judge(reweighted*spline.scale), spline.off)
	if count(spline.breaks) > 0 {
		least = math.Inf(1) // a spline has no breaks
	}
	for _, look := range cornerLooks {
		at := b.withBreaks(b.corners(look), spline)
		if slices.ContainsFunc(tried, func(t []cornerAt) bool { return alike(t, at) }) {
			continue
		}
		tried = append(tried, at)
		f := arcsFrom(b, at, spline)
		if f == nil {
			continue
		}
		if err := f.fit(ctx, spline.off, keepAll); err != nil {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			continue
		}
		all, err := f.judge()
		if err != nil || f.passesOver(spline.off) {
			continue
		}
		s := score(all, f.off)
		if s < least {
			clear := least-s > clearly
			best, least = f, s
			if clear {
				break
			}
		}
	}
	if best == nil && count(spline.breaks) > 0 { // no chain has these breaks: one without them, then
		plain := *spline
		plain.breaks = make([]bool, len(spline.breaks))
		return bestArcs(ctx, &plain, keepAll)
	}
	return best, nil
}

// passesOver reports whether the chain sets a run of neighbours aside that the
// spline could use: a stretch of edge, then, and no slips.
func (f *arcFit) passesOver(kept []bool) bool {
	const most = 3
	order := make([]int, len(f.p))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(f.feet[a].pos, f.feet[b].pos) })
	run := 0
	for k := range 2 * len(order) {
		if i := order[k%len(order)]; f.off[i] && !kept[i] {
			if run++; run > most {
				return true
			}
		} else if !f.off[i] {
			run = 0
		}
	}
	return false
}

// gaping reports whether the marks leave a great part of the way round unread,
// or whether any of them stands alone.
func (f *loopFit) gaping() bool {
	const (
		openGap = 0.15 // of the way round
		lone    = 5.0  // times the usual distance between neighbours
	)
	var at []float64
	for i, u := range f.foot {
		if !f.off[i] {
			at = append(at, u)
		}
	}
	slices.Sort(at)
	lo, hi := f.curve.Period()
	gap := make([]float64, len(at))
	for i := range at {
		gap[i] = at[(i+1)%len(at)] - at[i]
		if i == len(at)-1 {
			gap[i] += hi - lo
		}
	}
	wide := lone * median(gap)
	for i, g := range gap {
		if g > openGap*(hi-lo) || (g > wide && gap[(i+1)%len(gap)] > wide) {
			return true
		}
	}
	return false
}

// arcsFrom starts a free chain with corners found on a spline; nil where they
// make none.
func arcsFrom(b *bendings, at []cornerAt, spline *loopFit) *arcFit {
	x, ok := b.chain(at)
	if !ok {
		return nil
	}
	return fitting(freeForm(breaksIn(at)), x, spline)
}

// fitting starts the fit of a chain with radii small enough to make one; nil
// where none are.
func fitting(fm *form, x []float64, spline *loopFit) *arcFit {
	for range 10 {
		f, err := newArcFit(fm, x, spline.p, spline.w, spline.told)
		if err == nil {
			return f
		}
		for i := 2; i < len(x); i += perCorner {
			if !fm.breaks[i/perCorner] {
				x[i] *= 0.7
			}
		}
	}
	return nil
}

// outline reports the finished fit; sd is that of a mark as stated, least the
// radius that corners are rounded to.
func (f *arcFit) outline(sd, least float64, reordered bool) (*Outline, error) {
	edge := f.edge(least)
	c, err := geom.FitClosed(edge.at, edge.breaks(), curveTolerance)
	if err != nil {
		return nil, err
	}
	if f.form.twin != nil && !f.strayed {
		if c, err = evened(c); err != nil {
			return nil, err
		}
	}
	all, err := f.judge() // and makes the chain's neighbours, which outwards needs
	if err != nil {
		return nil, err
	}
	o := newOutline(c, f, f.p, all, f.off, f.hyper.scale*sd, reordered)
	o.Corners = f.roundCorners(edge)
	o.Breaks = f.form.breaksOf(f.chain)
	return o, nil
}

// apart is how far two positions lie apart, the shorter way.
func (f *arcFit) apart(a, b float64) float64 {
	d := f.chain.wrap(a - b)
	return min(d, f.chain.length()-d)
}

// evened takes the last rounding out of a curve that mirrors in x = 0 and
// starts there.
func evened(c *geom.Curve) (*geom.Curve, error) {
	u, p := c.Knots(), c.Ctrl()
	n := len(p)
	ctrl := make([]r2.Vec, n)
	for j, q := range p {
		m := p[(n-j)%n]
		ctrl[j] = r2.Vec{X: (q.X - m.X) / 2, Y: (q.Y + m.Y) / 2}
	}
	knots := make([]float64, n+1)
	for i := range knots {
		knots[i] = (u[i] + u[0] + u[n] - u[n-i]) / 2
	}
	return geom.NewCurve(knots, ctrl)
}

// breaks are the places where the curvature of the fitted edge jumps, from the
// origin round to it.
func (e *fittedEdge) breaks() []float64 {
	length := e.chain.length()
	b := []float64{0, length / 2, length}
	for _, s := range e.rounded.start[:len(e.rounded.start)-1] {
		b = append(b, e.rounded.wrap(s-e.rounded.origin)/e.scale)
	}
	slices.Sort(b)
	const near = 0.01 // mm: a corner that begins at the origin
	return slices.CompactFunc(b, func(x, y float64) bool { return math.Abs(y-x) < near })
}

// roundCorners lists the chain's corners.
func (f *arcFit) roundCorners(edge *fittedEdge) []Corner {
	var out []Corner
	np, pair := f.planeSize(), f.twins()
	for i := range f.form.corners {
		pos, half := f.chain.middle(i)
		if f.form.breaks[i] {
			continue
		}
		c := Corner{At: edge.at(pos), Radius: f.chain.rounds[i].r, Param: pos}
		for k, col := range f.form.cols {
			if slices.ContainsFunc(col, func(e entry) bool { return e.param == perCorner*i+2 }) {
				row := make([]float64, f.factor.n)
				row[np+k] = 1
				f.factor.whiten(row)
				c.RadiusSD = math.Sqrt(dot(row, row))
			}
		}
		twin, _ := f.chain.middle(pair[i])
		for m, ft := range f.feet {
			if !f.off[m] && (f.apart(ft.pos, pos) <= half || f.apart(ft.pos, twin) <= half) {
				c.Marks++
			}
		}
		out = append(out, c)
	}
	return out
}

// outwards, reading and spread make the edgeModel.
func (f *arcFit) outwards(u float64) []float64 {
	row, _, _ := f.outwardsAt(u)
	return row
}

func (f *arcFit) outwardsAt(u float64) (row []float64, p, out r2.Vec) {
	pos := f.chain.wrap(u)
	p, out = f.chain.at(pos)
	row = make([]float64, f.factor.n)
	f.outward(row, p, foot{part: f.chain.part(f.chain.wrap(pos + f.chain.origin)), pos: pos, out: out})
	return row, p, out
}

func (f *arcFit) reading(u float64) []float64 {
	row, p, out := f.outwardsAt(u)
	if f.plane != nil {
		for k, v := range f.plane.change(p) {
			row[k] = -r2.Dot(out, v)
		}
	}
	return row
}

func (f *arcFit) spread() (*arrow, float64) { return f.factor, 1 }
