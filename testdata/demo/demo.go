// Package demo makes the three demo jobs from invented panes whose true shape
// is known, so that tests can hold what the program finds against the truth.
// The jobs are seeded: the same call gives the same job, byte for byte.
//
// The panes, boards, readings and slips are inventions; no real car, make or
// glass stands behind them.
package demo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/geom"
)

// Demo is a job and the truth behind it.
type Demo struct {
	File  string // name of its job file
	Job   *board.Job
	Truth Truth
}

// Truth is the pane as it really is.
type Truth struct {
	Outline *Outline     // silhouette in the pane's own plan, x across, mm
	Face    geom.Surface // upper face over the same plan
	Board   geom.Frame   // from the pane's own frame to the board
	Plane   *geom.Plane  // true centre plane on the board; nil where the pane has none
	Planted []Slip
}

// Slip is a reading that was typed wrong on purpose.
type Slip struct {
	Kind        board.Kind
	ID, Field   string
	Typed, True string
}

// All are the demos in order: A, B, C.
func All() []Demo { return []Demo{A(), B(), C()} }

// maker builds a job reading by reading.
type maker struct {
	d   Demo
	rng *rand.Rand
	sd  float64 // of a reading in x and y, mm
	sdZ float64
	tip float64 // how far outside the edge the pencil ticks lie, mm
	t   float64
	txt func(mm float64) string
}

// newMaker begins a demo of a given number of noise.
func newMaker(seed uint64, file string, job *board.Job, t Truth, thickness float64, txt func(float64) string) *maker {
	return &maker{d: Demo{File: file, Job: job, Truth: t}, rng: rand.New(rand.NewPCG(seed, 7)), t: thickness, txt: txt}
}

func (m *maker) cell(mm float64) board.Cell { return board.Cell{Text: m.txt(mm), Unit: m.d.Job.Unit} }

// edge reads the station at a true point of the silhouette.
func (m *maker) edge(id string, sil, outward r2.Vec, note string) {
	upper, _, err := geom.EdgeOn(m.d.Truth.Face, sil, outward, m.t, m.d.Job.Pane.Profile)
	if err != nil {
		panic(err)
	}
	tick := r2.Add(sil, r2.Scale(m.tip, outward))
	p := m.d.Truth.Board.Apply(r3.Vec{X: tick.X, Y: tick.Y, Z: upper.Z})
	m.d.Job.Readings = append(m.d.Job.Readings, board.Reading{
		ID: id, Kind: board.Edge, Note: note,
		X: m.cell(p.X + m.sd*m.rng.NormFloat64()), Y: m.cell(p.Y + m.sd*m.rng.NormFloat64()),
		Z: m.cell(p.Z + m.sdZ*m.rng.NormFloat64()),
	})
}

// face reads the height over a crossing of the grid.
func (m *maker) face(id string, x, y float64) {
	back := m.d.Truth.Board.Inverse()
	p := r3.Vec{X: x, Y: y}
	for range 6 {
		q := back.Apply(p)
		q.Z = m.d.Truth.Face.Eval(q.X, q.Y).Z
		p.Z = m.d.Truth.Board.Apply(q).Z
	}
	m.d.Job.Readings = append(m.d.Job.Readings, board.Reading{
		ID: id, Kind: board.Face, X: m.cell(x), Y: m.cell(y), Z: m.cell(p.Z + m.sdZ*m.rng.NormFloat64()),
	})
}

// plant types something else at a reading and remembers it.
func (m *maker) plant(k board.Kind, id, field, typed string) {
	for i := range m.d.Job.Readings {
		r := &m.d.Job.Readings[i]
		if r.Kind != k || r.ID != id {
			continue
		}
		c := map[string]*board.Cell{"x": &r.X, "y": &r.Y, "z": &r.Z}[field]
		m.d.Truth.Planted = append(m.d.Truth.Planted, Slip{k, id, field, typed, c.Text})
		c.Text = typed
		return
	}
	panic("demo: no reading " + id)
}

func (m *maker) reading(k board.Kind, id string) board.Reading {
	for _, r := range m.d.Job.Readings {
		if r.Kind == k && r.ID == id {
			return r
		}
	}
	panic("demo: no reading " + id)
}

func (m *maker) done() Demo {
	m.d.Job.Evaluate()
	if err := m.d.Job.Validate(); err != nil {
		panic(err)
	}
	return m.d
}

// fraction writes mm as inches to the nearest 1/den, as a person would.
func fraction(mm float64, den int) string {
	n := int(math.Round(mm / 25.4 * float64(den)))
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	whole, num := n/den, n%den
	for num > 0 && num%2 == 0 && den%2 == 0 {
		num, den = num/2, den/2
	}
	switch {
	case num == 0:
		return sign + strconv.Itoa(whole)
	case whole == 0:
		return fmt.Sprintf("%s%d/%d", sign, num, den)
	default:
		return fmt.Sprintf("%s%d %d/%d", sign, whole, num, den)
	}
}

// halves writes mm to the nearest half.
func halves(mm float64) string {
	v := math.Round(mm*2) / 2
	if v == 0 {
		return "0"
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// arch is a face that falls from a crown at (x0, y0) along two circles: radius
// r1 across, r2 up the pane; beyond |x| = wrap (0: nowhere) the cross arch
// goes on, tangent, with radius r3. sign +1 lies dome up, -1 bowl up; turned
// by turn about z.
type arch struct {
	crown      r2.Vec
	z0, sign   float64
	r1, r2     float64
	wrap, r3   float64
	cosT, sinT float64
}

func newArch(crown r2.Vec, z0, sign, r1, r2v, turn float64) arch {
	return arch{crown: crown, z0: z0, sign: sign, r1: r1, r2: r2v, cosT: math.Cos(turn), sinT: math.Sin(turn)}
}

// drop is the fall of a circle of radius r at distance d from its crown, with
// its first two derivatives; 0 for r = 0 (straight).
func drop(r, d float64) (f, df, ddf float64) {
	if r == 0 {
		return 0, 0, 0
	}
	w := math.Sqrt(r*r - d*d)
	return r - w, d / w, r * r / (w * w * w)
}

// across is the cross arch with its wrap.
func (a arch) across(u float64) (f, df, ddf float64) {
	if a.wrap == 0 || math.Abs(u) <= a.wrap {
		return drop(a.r1, u)
	}
	s := math.Copysign(1, u)
	f0, d0, _ := drop(a.r1, a.wrap)
	// the tighter circle has the same slope at the wrap: its own distance there
	e0 := a.r3 * d0 / math.Sqrt(1+d0*d0)
	fe, _, _ := drop(a.r3, e0)
	f1, d1, dd1 := drop(a.r3, e0+math.Abs(u)-a.wrap)
	return f0 + f1 - fe, s * d1, dd1
}

// Eval is the height and its derivatives.
func (a arch) Eval(x, y float64) geom.Height {
	x, y = x-a.crown.X, y-a.crown.Y
	u, v := a.cosT*x+a.sinT*y, -a.sinT*x+a.cosT*y
	f, fu, fuu := a.across(u)
	g, gv, gvv := drop(a.r2, v)
	c, s := a.cosT, a.sinT
	return geom.Height{
		Z:   a.z0 - a.sign*(f+g),
		Zx:  -a.sign * (fu*c - gv*s),
		Zy:  -a.sign * (fu*s + gv*c),
		Zxx: -a.sign * (fuu*c*c + gvv*s*s),
		Zxy: -a.sign * (fuu - gvv) * c * s,
		Zyy: -a.sign * (fuu*s*s + gvv*c*c),
	}
}
