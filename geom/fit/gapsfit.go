package fit

import (
	"context"
	"math"
)

// gapRow is one gap in the fit.
type gapRow struct {
	gapPlace
	reading int
	gap     Gap
	y, v    float64 // gap minus what was planned, its variance
	idle    bool    // a bound that the fit keeps to: does not pull
	aside   bool    // a single bad station: does not pull
	x       []float64
}

// loose is the variance of a row that does not pull, mm²: of no weight, and
// small enough for the arithmetic.
const loose = 1e4

func (r *gapRow) variance() float64 {
	if r.idle || r.aside {
		return r.v + loose
	}
	return r.v
}

// open reports whether the gap is bounded on one side only.
func (r *gapRow) open() bool { return math.IsInf(r.gap.Lo, 0) || math.IsInf(r.gap.Hi, 0) }

// passed reports whether a true gap v beyond the plan breaks a bound.
func (r *gapRow) passed(v float64) bool {
	if math.IsInf(r.gap.Lo, 0) {
		return v > r.y
	}
	return v < r.y
}

// gapRest says what the smooth rest may be like: a Gaussian process along the
// edge of sd amp and length long, mm; twin: the same on both halves.
type gapRest struct {
	amp, long float64
	twin      bool
	odds      float64
}

// The rests averaged over. The shortest is as good as scatter of its own at
// each station.
var (
	restAmps  = []float64{0.15, 0.3, 0.6, 1}
	restLongs = []float64{40, 120, 300}
)

const (
	restOdds = 0.2 // of there being a rest at all
	restSize = 0.3 // mm; rests much larger than that are rare
)

// layRests lists the possible rests with the odds of each, which sum to one.
func (f *gapFit) layRests() {
	var sum float64
	for _, long := range restLongs {
		for _, twin := range []bool{false, true} {
			if twin && (f.model.Measured == 0 || long == restLongs[0]) {
				continue
			}
			for _, amp := range restAmps {
				odds := math.Exp(-amp / restSize)
				f.rests = append(f.rests, gapRest{amp, long, twin, odds})
				sum += odds
			}
		}
	}
	for i := range f.rests {
		f.rests[i].odds *= restOdds / sum
	}
	f.rests = append(f.rests, gapRest{odds: 1 - restOdds, long: restLongs[0]})
}

// matern is the Matérn 5/2 correlation at a distance.
func matern(d, long float64) float64 {
	t := math.Sqrt(5) * math.Abs(d) / long
	return (1 + t + t*t/3) * math.Exp(-t)
}

// correlation of the rest at two places, but for its amp².
func (h gapRest) correlation(a, b *gapPlace, girth float64) float64 {
	if a.ledge != b.ledge {
		return 0
	}
	chord := func(s float64) float64 { return girth / math.Pi * math.Sin(math.Pi*s/girth) }
	k := matern(chord(a.s-b.s), h.long)
	if h.twin {
		k += matern(chord(a.s+b.s), h.long)
	}
	return k
}

// gapBlock is rows with their covariance, whitened.
type gapBlock struct {
	rows   []*gapRow
	rest   gapRest
	l      []float64   // Cholesky factor of the covariance
	x      [][]float64 // whitened, by column
	y      []float64   // whitened
	m, v   []float64   // XᵀK⁻¹X, XᵀK⁻¹y
	yy     float64
	logDet float64
}

// newBlock weighs rows with a rest whose correlations, without the amplitude,
// are corr.
func (f *gapFit) newBlock(rows []*gapRow, rest gapRest, corr []float64) (*gapBlock, error) {
	n, p := len(rows), len(f.cols)
	b := &gapBlock{rows: rows, rest: rest, l: make([]float64, n*n), m: make([]float64, p*p), v: make([]float64, p)}
	a2 := rest.amp * rest.amp
	for i, r := range rows {
		for j := 0; j <= i; j++ {
			b.l[i*n+j] = a2 * corr[i*n+j]
		}
		b.l[i*n+i] += r.variance()
	}
	if err := cholesky(b.l, n); err != nil {
		return nil, err
	}
	for i := range n {
		b.logDet += 2 * math.Log(b.l[i*n+i])
	}
	b.y = b.whiten(func(r *gapRow) float64 { return r.y })
	b.yy = dot(b.y, b.y)
	b.x = make([][]float64, p)
	for c := range p {
		b.x[c] = b.whiten(func(r *gapRow) float64 { return r.x[c] })
		b.v[c] = dot(b.x[c], b.y)
		for d := 0; d <= c; d++ {
			b.m[c*p+d] = dot(b.x[c], b.x[d])
			b.m[d*p+c] = b.m[c*p+d]
		}
	}
	return b, nil
}

// whiten is L⁻¹ of a number taken from every row.
func (b *gapBlock) whiten(of func(*gapRow) float64) []float64 {
	n := len(b.rows)
	w := make([]float64, n)
	for i, r := range b.rows {
		w[i] = (of(r) - dot(b.l[i*n:i*n+i], w[:i])) / b.l[i*n+i]
	}
	return w
}

// unit makes e column i of L⁻¹, which is nought above i.
func (b *gapBlock) unit(e []float64, i int) {
	n := len(b.rows)
	e[i] = 1 / b.l[i*n+i]
	for k := i + 1; k < n; k++ {
		e[k] = -dot(b.l[k*n+i:k*n+k], e[i:k]) / b.l[k*n+k]
	}
}

// left is the whitened rows without the columns of p.
func (b *gapBlock) left(p *gapPosterior) []float64 {
	y := append([]float64(nil), b.y...)
	for j, c := range p.set {
		for i, x := range b.x[c] {
			y[i] -= x * p.mean[j]
		}
	}
	return y
}

// correlations of a rest among rows, without the amplitude.
func (f *gapFit) correlations(rows []*gapRow, rest gapRest) []float64 {
	n := len(rows)
	c := make([]float64, n*n)
	for i := range rows {
		for j := 0; j <= i; j++ {
			c[i*n+j] = rest.correlation(&rows[i].gapPlace, &rows[j].gapPlace, f.model.Girth)
		}
	}
	return c
}

// gapFit is the fit on its way.
type gapFit struct {
	model    *GapModel
	readings []GapReading
	reach    float64 // half the pane's size
	level    float64 // mean height of the stations
	cols     []gapColumn
	walls    []*gapRow
	ledges   []*gapRow
	rests    []gapRest
	corr     [][]float64 // of the walls, for each rest
	wall     []*gapBlock // for each rest
	ledge    *gapBlock
	base     []int  // the columns always there
	set      []int  // and those taken up, in order
	known    []bool // columns of the centre line that the stations can tell
}

func newGapFit(readings []GapReading, m *GapModel) *gapFit {
	f := &gapFit{model: m, readings: readings, reach: 1}
	for _, r := range readings {
		f.level += r.Height / float64(len(readings))
		f.reach = math.Max(f.reach, math.Hypot(r.At.X-m.Centre.X, r.At.Y-m.Centre.Y))
	}
	f.layColumns()
	f.layRests()
	for i := range readings {
		r := &readings[i]
		if r.Wall.Read() {
			f.walls = append(f.walls, f.newRow(i, f.wallPlace(r), r.Wall, m.Clearance))
		}
		if r.Ledge.Read() {
			f.ledges = append(f.ledges, f.newRow(i, f.ledgePlace(r), r.Ledge, m.Felt))
		}
	}
	f.corr = make([][]float64, len(f.rests))
	for i, h := range f.rests {
		if i > 0 && h.long == f.rests[i-1].long && h.twin == f.rests[i-1].twin {
			f.corr[i] = f.corr[i-1]
			continue
		}
		f.corr[i] = f.correlations(f.walls, h)
	}
	return f
}

func (f *gapFit) newRow(i int, q gapPlace, g Gap, plan float64) *gapRow {
	r := &gapRow{gapPlace: q, reading: i, gap: g, x: f.columnsAt(&q)}
	r.y, r.v = g.middle()
	r.y -= plan
	return r
}

// columnsAt is every column's element for a place.
func (f *gapFit) columnsAt(q *gapPlace) []float64 {
	x := make([]float64, len(f.cols))
	for c := range f.cols {
		x[c] = f.cols[c].at(q)
	}
	return x
}

// ledgeLong is the length of the rest of the ledge, mm.
const ledgeLong = 300.0

// weigh sums the rows up for every rest. The ledge has one rest, the likeliest
// where tilt and the centre plane alone explain it.
func (f *gapFit) weigh(ctx context.Context) error {
	corr := f.correlations(f.ledges, gapRest{long: ledgeLong})
	best := math.Inf(-1)
	for _, amp := range append([]float64{0}, restAmps...) {
		b, err := f.newBlock(f.ledges, gapRest{amp: amp, long: ledgeLong}, corr)
		if err != nil {
			return err
		}
		p, err := f.posterior([]*gapBlock{b}, f.base)
		if err != nil {
			return err
		}
		if log := p.log - amp/restSize; log > best {
			best, f.ledge = log, b
		}
	}
	f.wall = make([]*gapBlock, len(f.rests))
	for i, h := range f.rests {
		if err := ctx.Err(); err != nil {
			return err
		}
		var err error
		if f.wall[i], err = f.newBlock(f.walls, h, f.corr[i]); err != nil {
			return err
		}
	}
	return nil
}

// gapPosterior is what some columns are found to be with one rest, in mm.
type gapPosterior struct {
	set  []int
	mean []float64
	l    []float64 // Cholesky factor of the normal matrix
	log  float64   // log likelihood of the gaps, the columns averaged out
	like float64   // log likelihood at the mean, but for what all columns share
}

// posterior finds the columns of a set.
func (f *gapFit) posterior(blocks []*gapBlock, set []int) (*gapPosterior, error) {
	k, p := len(set), len(f.cols)
	m, v := make([]float64, k*k), make([]float64, k)
	var yy, logs float64
	for _, b := range blocks {
		yy += b.yy
		logs += b.logDet
		for i, c := range set {
			v[i] += b.v[c]
			for j, d := range set[:i+1] {
				m[i*k+j] += b.m[c*p+d]
			}
		}
	}
	for i, c := range set {
		prior := f.cols[c].prior
		m[i*k+i] += 1 / (prior * prior)
		logs += 2 * math.Log(prior)
	}
	if err := cholesky(m, k); err != nil {
		return nil, err
	}
	for i := range k {
		logs += 2 * math.Log(m[i*k+i])
	}
	r := &gapPosterior{set: set, mean: append([]float64(nil), v...)}
	denseSolve(m, k, r.mean)
	r.like = (dot(r.mean, v) - yy) / 2
	r.log = r.like - logs/2
	r.l = m
	return r, nil
}

// at is where column c stands in the set, or -1.
func (r *gapPosterior) at(c int) int {
	for i, d := range r.set {
		if d == c {
			return i
		}
	}
	return -1
}

// whiten makes vectors of linear forms of the set's columns, whose scalar
// products are the covariances.
func (r *gapPosterior) whiten(form []float64) []float64 {
	k := len(r.set)
	w := make([]float64, k)
	for i := range k {
		w[i] = (form[i] - dot(r.l[i*k:i*k+i], w[:i])) / r.l[i*k+i]
	}
	return w
}

// variance of a linear form of the set's columns.
func (r *gapPosterior) variance(form []float64) float64 {
	w := r.whiten(form)
	return dot(w, w)
}

// value of column c and its variance.
func (r *gapPosterior) value(c int) (mean, variance float64) {
	i := r.at(c)
	form := make([]float64, len(r.set))
	form[i] = 1
	return r.mean[i], r.variance(form)
}
