package fit

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
)

// Outline is a closed outline fitted to edge marks, in plan.
type Outline struct {
	Curve     *geom.Curve
	Param     []float64 // parameter of each mark's foot on Curve
	Miss      []float64 // mm, mark minus curve, square to it, + outside; suspects too
	Odds      []float64 // how many sd each mark lies from what the others foretell
	Suspect   []bool    // the mark looks like a slip and was set aside
	Sigma     float64   // mm, sd of a kept mark as found from the misses
	Corners   []Corner  // round corners found, in their order round; none where the outline was fitted as one spline
	Breaks    []float64 // parameters of the true breaks that marks were said to be at
	Order     []int     // marks in the order of Param
	Reordered bool      // the marks did not come in order round the edge

	model edgeModel
}

// Corner is a round corner of a fitted outline.
type Corner struct {
	At       r2.Vec  // middle of its arc
	Radius   float64 // mm, of the mean shape
	RadiusSD float64 // mm
	Marks    int     // kept marks on its arc, and on its twin's where the outline mirrors
	Param    float64 // of At on the outline's curve
}

// edgeModel is what an outline was fitted by: a linear Gaussian model about the
// fitted edge. Linear forms are dense, in mm a unit of the unknowns.
type edgeModel interface {
	// outwards is the displacement of the edge square to itself at the curve's
	// parameter u.
	outwards(u float64) []float64
	// reading is the miss of a mark there: the same but where the mark also
	// depends on the place of the centre plane.
	reading(u float64) []float64
	// spread is the unknowns' inverse covariance, factored, times unit².
	spread() (root *arrow, unit float64)
}

// OutlineOptions says how FitOutline treats its marks; the zero value is the
// usual way.
type OutlineOptions struct {
	KeepAll     bool    // set no mark aside, whatever it looks like
	LeastRadius float64 // mm; corners and breaks that turn out tighter are rounded to it
}

// leastMarks is the least number of edge marks that make an outline.
const leastMarks = 6

// FitOutline fits a smooth closed curve to marks read round an edge: bowed
// sides and round corners found from the marks, and what the edge strays from
// them, or one spline where that foretells the marks better. Only x, y and SXY
// are used. The curve is one closed cubic within 5 µm of what was fitted.
//
// The marks may run either way round and start anywhere; a wrong order is
// mended and reported. A mark that the others contradict is set aside: spikes
// in the polygon through the marks, then, one by one, marks that miss what the
// others foretell by more than 4.2 sd and 1.6 mm; one that is Sure never.
// Where a stretch of edge was not read, SD says how unsure the curve is. A mark
// with Break stands at a corner without a radius.
//
// The errors are *MarkError (too few marks, all on a line, not numbers), that
// of ctx, and one that says where the fitted curve crosses itself. On invented
// panes of four bowed sides and round corners, 80 marks read to 0.5 mm, the
// curve lies 0.22 mm from the true edge (median RMS; 95 of 100 below 0.33);
// with soft corners and warped sides 0.31. Cost: about 20 ms for 100 marks and
// 1 s for 20,000.
func FitOutline(ctx context.Context, marks []Mark, o OutlineOptions) (*Outline, error) {
	if err := checkMarks(marks, false); err != nil {
		return nil, err
	}
	if len(marks) < leastMarks {
		return nil, &MarkError{Reason: fmt.Sprintf("an outline needs at least %d stations, here are %d", leastMarks, len(marks))}
	}
	p, w := planOf(marks)
	sd := typicalSD(marks)
	if thin(p) < 4*sd {
		return nil, &MarkError{Reason: "all stations lie on one line"}
	}
	r := newRing(p, sd)
	if o.KeepAll {
		clear(r.aside)
	}
	f, err := r.loopFit(p, w, toldOf(marks))
	if err != nil {
		return nil, err
	}
	if err := f.run(ctx, rounds, roughly); err != nil {
		return nil, outlineError(err)
	}
	if !o.KeepAll {
		if err := f.screen(ctx); err != nil {
			return nil, outlineError(err)
		}
	}
	arcs, err := bestArcs(ctx, f, o.KeepAll)
	if err != nil {
		return nil, outlineError(err)
	}
	var out *Outline
	if arcs != nil {
		out, err = arcs.outline(sd, o.LeastRadius, r.reordered)
		if err != nil || out.Curve.IsSimple() != nil {
			arcs = nil // it crosses itself; the spline may not
		}
	}
	if arcs == nil {
		if err = f.run(ctx, rounds, settled); err == nil {
			out, err = f.outline(sd, r.reordered)
		}
	}
	if err != nil {
		return nil, outlineError(err)
	}
	if err := out.Curve.IsSimple(); err != nil {
		return nil, outlineError(err)
	}
	return out, nil
}

// outline reports the finished spline fit.
func (f *loopFit) outline(sd float64, reordered bool) (*Outline, error) {
	return newOutline(f.curve, f, f.p, f.judge(f.scale), f.off, f.scale*sd, reordered), nil
}

// newOutline reports a finished fit: marks as judged, sd of a mark as found.
func newOutline(c *geom.Curve, m edgeModel, p []r2.Vec, marks []judged, off []bool, sigma float64, reordered bool) *Outline {
	n := len(p)
	o := &Outline{Curve: c, Param: make([]float64, n), Miss: make([]float64, n), Odds: make([]float64, n),
		Suspect: slices.Clone(off), Sigma: sigma, Order: make([]int, n), Reordered: reordered, model: m}
	for i, q := range p {
		o.Param[i], o.Miss[i] = c.Nearest(q)
		loo, u := leftOut(o.Miss[i], marks[i].sd, marks[i].h, off[i])
		o.Odds[i] = math.Abs(loo) / u
		o.Order[i] = i
	}
	slices.SortStableFunc(o.Order, func(i, j int) int { return cmp.Compare(o.Param[i], o.Param[j]) })
	return o
}

// white is a linear form of the model in unknowns that are independent and have
// sd one.
func (o *Outline) white(form []float64) []float64 {
	root, unit := o.model.spread()
	for i := range form {
		form[i] *= unit
	}
	root.whiten(form)
	return form
}

// SD is the standard uncertainty of the curve at u square to itself, in mm.
// It counts the scatter of the marks and how far they let the curve bend
// between them.
func (o *Outline) SD(u float64) float64 {
	w := o.white(o.model.outwards(u))
	return math.Sqrt(dot(w, w))
}

// Spread is the standard uncertainty of a figure that changes by gain[i] for
// every mm by which the curve moves outward at u[i]: of a width with gains of
// one at both ends, of an area with the arc lengths that the places stand for.
// Figures of several places count for more than the sum: what the strengths of
// the fit are wrong by adds up where scatter averages out.
func (o *Outline) Spread(u, gain []float64) float64 {
	var sum []float64
	for i, at := range u {
		f := o.model.outwards(at)
		if sum == nil {
			sum = make([]float64, len(f))
		}
		for k, v := range f {
			sum[k] += gain[i] * v
		}
	}
	sum = o.white(sum)
	return together(len(u)) * math.Sqrt(dot(sum, sum))
}

// together is by how much the true scatter of a figure of n places exceeds the
// stated one, measured on widths and sags of invented panes (TestTable).
func together(n int) float64 {
	if n < 2 {
		return 1
	}
	return 1.15
}

// Draws returns a source of outlines as likely as this one given the readings.
// Each call gives by how many mm the edge lies outside Curve at the parameters
// u. normal must give independent normal numbers of sd one. Cost: that of SD
// for each place once, then a microsecond a place.
func (o *Outline) Draws(u []float64, normal func() float64) func() []float64 {
	root, unit := o.model.spread()
	rows := make([][]float64, len(u))
	for i, at := range u {
		rows[i] = o.model.outwards(at)
	}
	x := make([]float64, root.size())
	return func() []float64 {
		for i := range x {
			x[i] = unit * normal()
		}
		root.colour(x)
		out := make([]float64, len(rows))
		for i, r := range rows {
			out[i] = dot(r, x)
		}
		return out
	}
}

// outlineError names the outline in front of an error that is not ctx's.
func outlineError(err error) error {
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return fmt.Errorf("fit: outline: %w", err)
}

// planOf takes the marks' places in plan and their weights.
func planOf(marks []Mark) (p []r2.Vec, w []float64) {
	for _, m := range marks {
		p, w = append(p, m.plan()), append(w, 1/(m.SXY*m.SXY))
	}
	return p, w
}

// typicalSD is the median sd of the marks in plan.
func typicalSD(marks []Mark) float64 {
	var s []float64
	for _, m := range marks {
		s = append(s, m.SXY)
	}
	return median(s)
}

// thin is the RMS distance of the points from the line that fits them best.
func thin(p []r2.Vec) float64 {
	var c r2.Vec
	for _, q := range p {
		c = r2.Add(c, r2.Scale(1/float64(len(p)), q))
	}
	var xx, xy, yy float64
	for _, q := range p {
		d := r2.Sub(q, c)
		xx, xy, yy = xx+d.X*d.X, xy+d.X*d.Y, yy+d.Y*d.Y
	}
	least := (xx + yy - math.Hypot(xx-yy, 2*xy)) / 2
	return math.Sqrt(max(0, least) / float64(len(p)))
}

// knotsPerCorner is the number of spline spans for each corner of the ring.
const knotsPerCorner = 1.5

// loopFit prepares the fit of a closed curve to the ring's marks.
func (r *ring) loopFit(p []r2.Vec, w []float64, t told) (*loopFit, error) {
	live := r.live()
	pos := make([]float64, len(live)+1)
	for k, i := range live {
		pos[k+1] = pos[k] + r2.Norm(r2.Sub(r.at[live[(k+1)%len(live)]], r.at[i]))
	}
	spans := max(12, int(math.Ceil(knotsPerCorner*float64(len(live)))))
	c, err := newChart(spreadKnots(pos, spans), false)
	if err != nil {
		return nil, outlineError(err)
	}
	foot, off := make([]float64, len(p)), make([]bool, len(p))
	for i, a := range r.aside {
		for _, m := range r.marks[i] {
			off[m] = a && !t.sure[m]
		}
	}
	for k, i := range live {
		for _, m := range r.marks[i] {
			foot[m] = pos[k]
		}
	}
	return newLoopFit(c, p, w, foot, off, t), nil
}
