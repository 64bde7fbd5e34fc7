package fit

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// Pair is one point of a body, read before and after the body was moved.
type Pair struct {
	From, To r3.Vec  // a NaN z: the height was not read; x and y count
	SXY, SZ  float64 // sd of the difference of the two, in plan and in height
}

// Rigid is the motion of a body found from pairs.
type Rigid struct {
	Motion  geom.Frame // takes From to To
	Over    bool       // the body was turned over
	Miss    []r3.Vec   // To less the moved From, a suspect's too; z is 0 where a height is missing
	Suspect []bool     // does not fit the others and was set aside
	RMS     float64    // mm, of the misses in x, y and z that were kept
	Scatter float64    // RMS of the kept misses over their sd, freedom taken into account: near 1 where the sds are right

	centre r3.Vec        // about which it turns, in the frame of To
	cov    [6][6]float64 // of a shift (mm) and a turn (rad) there
}

// Limits of a rigid fit.
const (
	leastPairs = 4  // that the fit keeps
	pairSlip   = 25 // by how much leaving a pair out must lessen the squares: 5 sd
	mostTried  = 8  // pairs that are tried as the wrong one
	rigidTurns = 50 // rounds of Gauss and Newton
)

// FitRigid finds the rigid motion, a turn in space and a shift and never a
// mirror image, that takes From to To by weighted least squares. over says that
// the body was turned over, so that its plan appears mirrored; otherwise it
// lies as before but for a lean. A pair without a height gives two equations.
//
// Pairs that the others contradict are set aside one by one, as long as four
// are left and at most one in three goes: each time the one without which the
// sum of squares is least, where that lessens it by 25 or more.
//
// It fails on fewer than four pairs, on values that are not numbers, where the
// pairs leave the motion open (all on one line, or with too few heights), and
// where they lead to a body that lies the other way up than over says.
func FitRigid(pairs []Pair, over bool) (*Rigid, error) {
	for _, p := range pairs {
		if !onBoard(p.From.X) || !onBoard(p.From.Y) || !onBoard(p.To.X) || !onBoard(p.To.Y) ||
			p.From.Z == p.From.Z && !onBoard(p.From.Z) || p.To.Z == p.To.Z && !onBoard(p.To.Z) ||
			!(p.SXY > 0) || !finite(p.SXY) || p.flat() == 0 && (!(p.SZ > 0) || !finite(p.SZ)) {
			return nil, errors.New("fit: rigid motion: a pair is not a place on the board, or has no sd")
		}
	}
	f := &rigidFit{pairs: pairs, over: over, off: make([]bool, len(pairs))}
	if len(pairs) < leastPairs {
		return nil, errors.New("fit: rigid motion: it takes four pairs or more")
	}
	if err := f.run(); err != nil {
		return nil, err
	}
	for most := len(pairs) / 3; most > 0 && len(pairs)-f.gone > leastPairs; most-- {
		without, ok := f.withoutWorst()
		if !ok {
			break
		}
		f = without
	}
	if f.motion.R[2][2] < 0 != over {
		return nil, errors.New("fit: rigid motion: the pairs say that the body lies the other way up")
	}
	return f.result(), nil
}

// flat is 1 where a height is missing.
func (p Pair) flat() int {
	if p.From.Z != p.From.Z || p.To.Z != p.To.Z {
		return 1
	}
	return 0
}

// rigidFit is a fit under way.
type rigidFit struct {
	pairs []Pair
	over  bool
	off   []bool
	gone  int // how many are off

	motion geom.Frame
	centre r3.Vec
	size   float64 // mm, by which turns are scaled
	normal *arrow  // factored, of shift and turn·size
	rows   int
	sum    float64 // of the squared misses over their sd
}

// run is the fit of the pairs that are not off.
func (f *rigidFit) run() error {
	f.start()
	for range rigidTurns {
		step, err := f.step()
		if err != nil {
			return errors.New("fit: rigid motion: the pairs lie on one line, or too few have a height")
		}
		f.turn(step)
		if r3.Norm(r3.Vec{X: step[0], Y: step[1], Z: step[2]})+r3.Norm(r3.Vec{X: step[3], Y: step[4], Z: step[5]}) < 1e-9 {
			break
		}
	}
	f.sum = f.squares()
	return nil
}

// start is the motion that fits best in plan, the body lying level.
func (f *rigidFit) start() {
	var from, to r2.Vec
	var zFrom, zTo, n, nz float64
	flip := 1.0
	if f.over {
		flip = -1
	}
	for i, p := range f.pairs {
		if f.off[i] {
			continue
		}
		n++
		from = r2.Add(from, r2.Vec{X: p.From.X, Y: flip * p.From.Y})
		to = r2.Add(to, r2.Vec{X: p.To.X, Y: p.To.Y})
		if p.flat() == 0 {
			nz++
			zFrom, zTo = zFrom+flip*p.From.Z, zTo+p.To.Z
		}
	}
	from, to = r2.Scale(1/n, from), r2.Scale(1/n, to)
	zFrom, zTo = zFrom/max(nz, 1), zTo/max(nz, 1)
	var c, s float64
	f.size = 1
	for i, p := range f.pairs {
		if f.off[i] {
			continue
		}
		a := r2.Sub(r2.Vec{X: p.From.X, Y: flip * p.From.Y}, from)
		b := r2.Sub(r2.Vec{X: p.To.X, Y: p.To.Y}, to)
		c, s = c+r2.Dot(a, b), s+r2.Cross(a, b)
		f.size = max(f.size, r2.Norm(b))
	}
	if l := math.Hypot(c, s); l > 0 {
		c, s = c/l, s/l
	} else {
		c, s = 1, 0
	}
	f.motion = geom.Frame{R: [3][3]float64{{c, -flip * s, 0}, {s, flip * c, 0}, {0, 0, flip}}}
	f.centre = r3.Vec{X: to.X, Y: to.Y, Z: zTo}
	f.motion.T = r3.Vec{X: to.X - (c*from.X - s*from.Y), Y: to.Y - (s*from.X + c*from.Y), Z: zTo - zFrom}
}

// moved is where a pair's From goes. A height that was not read is taken from
// To, or is that of the middle.
func (f *rigidFit) moved(p Pair) r3.Vec {
	if p.From.Z == p.From.Z {
		return f.motion.Apply(p.From)
	}
	to := p.To
	if to.Z != to.Z {
		to.Z = f.centre.Z
	}
	p.From.Z = f.motion.Inverse().Apply(to).Z
	return f.motion.Apply(p.From)
}

// miss is To less the moved From; z is 0 where a height is missing.
func (f *rigidFit) miss(p Pair) r3.Vec {
	d := r3.Sub(p.To, f.moved(p))
	if p.flat() == 1 {
		d.Z = 0
	}
	return d
}

// step is the shift and turn·size that lessen the misses most; it leaves the
// factored normal matrix.
func (f *rigidFit) step() (x [6]float64, err error) {
	f.normal, f.rows = newArrow(6, 5, 0), 0
	add := func(r [6]float64, rhs, sd float64) {
		w := 1 / (sd * sd)
		for i, v := range r {
			x[i] += w * v * rhs
		}
		f.normal.addRow(row{[]int{0, 1, 2, 3, 4, 5}, r[:]}, w)
		f.rows++
	}
	for i, p := range f.pairs {
		if f.off[i] {
			continue
		}
		d := f.miss(p)
		g := f.change(f.moved(p))
		for k := range g { // turns are scaled to lengths
			for l := 3; l < 6; l++ {
				g[k][l] /= f.size
			}
		}
		add(g[0], d.X, p.SXY)
		add(g[1], d.Y, p.SXY)
		if p.flat() == 0 {
			add(g[2], d.Z, p.SZ)
		}
	}
	if err := f.normal.factor(); err != nil {
		return x, err
	}
	f.normal.solve(x[:])
	return x, nil
}

// change is how x, y and z of a moved point q go with a shift and a turn.
func (f *rigidFit) change(q r3.Vec) [3][6]float64 { return rigidChange(f.centre, q) }

func rigidChange(centre, q r3.Vec) [3][6]float64 {
	d := r3.Sub(q, centre)
	return [3][6]float64{
		{1, 0, 0, 0, d.Z, -d.Y},
		{0, 1, 0, -d.Z, 0, d.X},
		{0, 0, 1, d.Y, -d.X, 0},
	}
}

// turn adds a step to the motion.
func (f *rigidFit) turn(x [6]float64) {
	axis := r3.Scale(1/f.size, r3.Vec{X: x[3], Y: x[4], Z: x[5]})
	angle := r3.Norm(axis)
	spin := geom.Identity()
	if angle > 0 {
		q := r3.NewRotation(angle, axis)
		for i, e := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
			c := q.Rotate(e)
			spin.R[0][i], spin.R[1][i], spin.R[2][i] = c.X, c.Y, c.Z
		}
	}
	spin.T = r3.Add(r3.Sub(f.centre, spin.Rotate(f.centre)), r3.Vec{X: x[0], Y: x[1], Z: x[2]})
	f.motion = f.motion.Then(spin)
}

// squares is the sum of the squared misses over their sd.
func (f *rigidFit) squares() (sum float64) {
	for i := range f.pairs {
		if !f.off[i] {
			sum += f.share(i)
		}
	}
	return sum
}

// share is one pair's part of it.
func (f *rigidFit) share(i int) float64 {
	p := f.pairs[i]
	d := f.miss(p)
	s := (d.X*d.X + d.Y*d.Y) / (p.SXY * p.SXY)
	if p.flat() == 0 {
		s += d.Z * d.Z / (p.SZ * p.SZ)
	}
	return s
}

// withoutWorst is the fit without the pair that spoils it most; false where none
// does.
func (f *rigidFit) withoutWorst() (*rigidFit, bool) {
	var by []int
	for i := range f.pairs {
		if !f.off[i] {
			by = append(by, i)
		}
	}
	slices.SortStableFunc(by, func(a, b int) int { return cmp.Compare(f.share(b), f.share(a)) })
	var best *rigidFit
	for _, i := range by[:min(len(by), mostTried)] {
		g := &rigidFit{pairs: f.pairs, over: f.over, off: slices.Clone(f.off), gone: f.gone + 1}
		g.off[i] = true
		if g.run() == nil && (best == nil || g.sum < best.sum) {
			best = g
		}
	}
	return best, best != nil && f.sum-best.sum > pairSlip
}

// result reports the fit.
func (f *rigidFit) result() *Rigid {
	r := &Rigid{Motion: f.motion, Over: f.over, Suspect: f.off, Miss: make([]r3.Vec, len(f.pairs)), centre: f.centre}
	sum := 0.0
	for i, p := range f.pairs {
		r.Miss[i] = f.miss(p)
		if !f.off[i] {
			sum += r3.Norm2(r.Miss[i])
		}
	}
	r.RMS = math.Sqrt(sum / float64(f.rows))
	if free := f.rows - 6; free > 0 {
		r.Scatter = math.Sqrt(f.sum / float64(free))
	}
	scale := max(r.Scatter, 1)
	for a := range 6 {
		var e [6]float64
		e[a] = 1
		f.normal.solve(e[:])
		for b := range 6 {
			v := e[b] * scale * scale
			if a >= 3 {
				v /= f.size
			}
			if b >= 3 {
				v /= f.size
			}
			r.cov[a][b] = v
		}
	}
	return r
}

// SD is the standard uncertainty of where the motion puts a point, in plan (per
// axis) and in height, mm; p is the point after the motion. Pairs that scatter by
// more than their sds say count as they scatter.
func (r *Rigid) SD(p r3.Vec) (xy, z float64) {
	var v [3]float64
	for k, g := range rigidChange(r.centre, p) {
		for a := range g {
			for b := range g {
				v[k] += g[a] * r.cov[a][b] * g[b]
			}
		}
		v[k] = max(v[k], 0)
	}
	return math.Sqrt((v[0] + v[1]) / 2), math.Sqrt(v[2])
}
