package board

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// arched is an invented oval pane in its own frame, its crown at the origin:
// 1200 by 600, 5 mm thick, the upper face arched both ways.
type arched struct{}

const archedThick = 5.0

func (arched) Eval(x, y float64) geom.Height {
	return geom.Height{Z: -x*x/6000 - y*y/9000, Zx: -x / 3000, Zy: -y / 4500, Zxx: -1.0 / 3000, Zyy: -1.0 / 4500}
}

// laidDown is a motion from the pane's own frame to the board: over or not, then
// turned, leaned and shifted. Angles in degrees.
func laidDown(over bool, turn, leanX, leanY float64, to r3.Vec) geom.Frame {
	f := geom.Identity()
	about := func(axis r3.Vec, degrees float64) {
		q, g := r3.NewRotation(degrees*math.Pi/180, axis), geom.Identity()
		for i, e := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
			c := q.Rotate(e)
			g.R[0][i], g.R[1][i], g.R[2][i] = c.X, c.Y, c.Z
		}
		f = f.Then(g)
	}
	if over {
		about(r3.Vec{Y: 1}, 180)
	}
	about(r3.Vec{Z: 1}, turn)
	about(r3.Vec{X: 1}, leanX)
	about(r3.Vec{Y: 1}, leanY)
	f.T = to
	return f
}

// station reads the edge at an angle round the pane, the pane lying so: the
// silhouette and the height of the arris that is up.
func (p arched) station(f geom.Frame, over bool, a float64) r3.Vec {
	at := func(a float64) (u, n r3.Vec) {
		x, y := 600*math.Sin(a), -300*math.Cos(a)
		h := p.Eval(x, y)
		u, n = r3.Vec{X: x, Y: y, Z: h.Z}, h.Normal()
		if over {
			u, n = r3.Sub(u, r3.Scale(archedThick, n)), r3.Scale(-1, n)
		}
		return f.Apply(u), f.Rotate(n)
	}
	u, n := at(a)
	before, _ := at(a - 1e-4)
	after, _ := at(a + 1e-4)
	out := r2.Unit(r2.Vec{X: after.Y - before.Y, Y: before.X - after.X})
	if over { // seen from the other side it runs the other way round
		out = r2.Scale(-1, out)
	}
	s := geom.Silhouette(u, out, n, archedThick, geom.SquareEdge)
	return r3.Vec{X: s.X, Y: s.Y, Z: u.Z}
}

// face reads the face that is up over a place of the pane's own plan.
func (p arched) face(f geom.Frame, over bool, x, y float64) r3.Vec {
	h := p.Eval(x, y)
	u := r3.Vec{X: x, Y: y, Z: h.Z}
	if over {
		u = r3.Sub(u, r3.Scale(archedThick, h.Normal()))
	}
	return f.Apply(u)
}

// sheetOf is a job as it is read, with noise of sd in every value.
type sheetOf struct {
	j   *Job
	rng *rand.Rand
	sd  float64
}

func (s *sheetOf) read(kind Kind, id, set string, p r3.Vec) {
	typed := func(v float64) Cell {
		return s.j.Typed(strconv.FormatFloat(v+s.sd*s.rng.NormFloat64(), 'f', 6, 64))
	}
	s.j.Readings = append(s.j.Readings, Reading{Kind: kind, ID: id, Set: set, X: typed(p.X), Y: typed(p.Y), Z: typed(p.Z)})
}

const archedStations = 60

func around(k int) float64 { return 2 * math.Pi * float64(k) / archedStations }

// twoLayings reads stations 1 to 33 and 24 places of the face in the first
// laying, the other stations, six of the first ones again and 24 more places in
// the second.
func twoLayings(rng *rand.Rand, sd float64, first, second geom.Frame, over bool) *Job {
	s := &sheetOf{NewJob("two layings"), rng, sd}
	s.j.Pane.Thickness = s.j.Typed("5")
	s.j.Mirror = MirrorNone
	var p arched
	for k := range 33 {
		s.read(Edge, fmt.Sprint(k+1), "", p.station(first, false, around(k)))
	}
	for k := range 24 {
		s.read(Face, fmt.Sprintf("F%d", k+1), "", p.face(first, false, -350+140*float64(k%6), -150+100*float64(k/6)))
	}
	again := []int{0, 6, 13, 19, 26, 32}
	for k := range archedStations {
		if k >= 33 || slices.Contains(again, k) {
			s.read(Edge, fmt.Sprint(k+1), "evening", p.station(second, over, around(k)))
		}
	}
	for k := range 24 {
		s.read(Face, fmt.Sprintf("G%d", k+1), "evening", p.face(second, over, -280+140*float64(k%6), -120+80*float64(k/6)))
	}
	s.j.Evaluate()
	return s.j
}

// underWay is a solve as far as the layings are joined and placed.
func underWay(t *testing.T, j *Job) *solve {
	t.Helper()
	s := &solve{ctx: context.Background(), job: j, m: &Model{Job: j, Results: make([]Result, len(j.Readings))}}
	s.correct(s.ctx)
	s.locate()
	s.join()
	s.gather()
	require.NoError(t, s.freeOutline())
	require.NoError(t, s.freeFace())
	require.NoError(t, s.secondLook())
	return s
}

var layingsTried = []struct {
	name string
	over bool
	to   geom.Frame
}{
	{"bumped", false, laidDown(false, 0.4, 0, 0, r3.Vec{X: 13, Y: 396, Z: 118})},
	{"re-laid turned and leaning", false, laidDown(false, 170, 2, -1.5, r3.Vec{X: -40, Y: 500, Z: 140})},
	{"turned over", true, laidDown(true, 8, 0.5, -1, r3.Vec{X: 25, Y: 420, Z: 60})},
	{"turned over and leaning", true, laidDown(true, -95, 3, 2, r3.Vec{X: 25, Y: 420, Z: 90})},
}

// TestJoinIsExactWithoutNoise: readings of the second laying stand where they
// would have been read in the first, the face through the glass included.
func TestJoinIsExactWithoutNoise(t *testing.T) {
	const tol = 0.05 // mm
	first := laidDown(false, -3, 0.5, 0.5, r3.Vec{X: 5, Y: 400, Z: 120})
	for _, c := range layingsTried {
		s := underWay(t, twoLayings(rand.New(rand.NewPCG(1, 1)), 0, first, c.to, c.over))
		require.Len(t, s.m.Joins, 1, c.name)
		j := s.m.Joins[0]
		require.True(t, j.Joined, j.Text)
		assert.Equal(t, c.over, j.Turned, c.name)
		assert.Equal(t, 6, j.Repeats)
		assert.Empty(t, j.Aside)
		assert.Less(t, j.RMS, tol, c.name)
		worst, worstFace := 0.0, 0.0
		for i, r := range s.job.Readings {
			if r.Set == "" {
				continue
			}
			n, _ := strconv.Atoi(strings.TrimLeft(r.ID, "FG"))
			at := s.m.Results[i].At
			if r.Kind == Edge {
				worst = max(worst, r3.Norm(r3.Sub(at, arched{}.station(first, false, around(n-1)))))
				continue
			}
			k := n - 1
			worstFace = max(worstFace, r3.Norm(r3.Sub(at, arched{}.face(first, false, -280+140*float64(k%6), -120+80*float64(k/6)))))
		}
		t.Logf("%s: stations off by %.3f mm at most, face by %.3f mm; repeats miss by %.3f mm", c.name, worst, worstFace, j.RMS)
		assert.Less(t, worst, tol, c.name)
		assert.Less(t, worstFace, tol, c.name)
	}
}

// TestJoinedReadingsAreAsUnsureAsStated: the errors of joined readings over their
// stated uncertainty, reading noise and join together. The slopes are those of the
// pane read without noise, so that only the joins are made anew. A little below
// one is right: repeats that scatter more than expected raise the stated
// uncertainty, those that scatter less do not lower it.
func TestJoinedReadingsAreAsUnsureAsStated(t *testing.T) {
	const sd = 0.5
	rng := rand.New(rand.NewPCG(7, 1))
	first := laidDown(false, -3, 0.5, 0.5, r3.Vec{X: 5, Y: 400, Z: 120})
	for _, c := range []int{1, 2} {
		var xy, z, n, plain, rms float64
		const draws = 200
		clean := underWay(t, twoLayings(rng, 0, first, layingsTried[c].to, layingsTried[c].over))
		for range draws {
			j := twoLayings(rng, sd, first, layingsTried[c].to, layingsTried[c].over)
			s := &solve{ctx: context.Background(), job: j, m: &Model{Job: j, Results: make([]Result, len(j.Readings)), Free: clean.m.Free, FreeFace: clean.m.FreeFace}}
			s.correct(s.ctx)
			s.locate()
			s.join()
			require.True(t, s.m.Joins[0].Joined, s.m.Joins[0].Text)
			rms += s.m.Joins[0].RMS / draws
			for i, r := range s.job.Readings {
				if r.Set == "" || r.Kind != Edge {
					continue
				}
				k, _ := strconv.Atoi(r.ID)
				e := r3.Sub(s.m.Results[i].At, arched{}.station(first, false, around(k-1)))
				uxy, uz := s.sds(i)
				xy += (e.X*e.X + e.Y*e.Y) / 2 / (uxy * uxy)
				z += e.Z * e.Z / (uz * uz)
				plain += e.Z * e.Z / (sd * sd)
				n++
			}
		}
		t.Logf("%s: squared error over stated %.2f in plan, %.2f in height (%.2f over the reading's own); repeats miss by %.2f mm", layingsTried[c].name, xy/n, z/n, plain/n, rms)
		assert.InDelta(t, 0.9, xy/n, 0.12)
		assert.InDelta(t, 0.9, z/n, 0.15)
	}
}

// TestJoinedPane: a pane read in two layings comes out as the same pane read
// in one.
func TestJoinedPane(t *testing.T) {
	first := laidDown(false, -3, 0.5, 0.5, r3.Vec{X: 5, Y: 400, Z: 120})
	one := twoLayings(rand.New(rand.NewPCG(1, 1)), 0, first, first, false)
	eachReading(one, func(r *Reading) { r.Set = "" })
	want := solved(t, one)
	for _, c := range layingsTried {
		j := twoLayings(rand.New(rand.NewPCG(1, 1)), 0, first, c.to, c.over)
		m := solved(t, j)
		const tol = 0.1 // mm
		assert.InDelta(t, want.Figures.Width, m.Figures.Width, tol, c.name)
		assert.InDelta(t, want.Figures.Length, m.Figures.Length, tol, c.name)
		assert.InDelta(t, want.Figures.CrossSag, m.Figures.CrossSag, tol, c.name)
		for i, res := range m.Results {
			assert.Equal(t, Kept, res.State, "%s, %s: %s", c.name, j.Readings[i].ID, res.Reason)
		}
		for _, f := range m.Findings {
			assert.Equal(t, "sigma-small", f.Code, f.Text)
		}
	}
}

func eachReading(j *Job, f func(*Reading)) {
	for i := range j.Readings {
		f(&j.Readings[i])
	}
	j.Evaluate()
}

func TestJoinThatCannotBe(t *testing.T) {
	first := laidDown(false, -3, 0.5, 0.5, r3.Vec{X: 5, Y: 400, Z: 120})
	base := func() *Job {
		return twoLayings(rand.New(rand.NewPCG(1, 1)), 0.3, first, layingsTried[1].to, false)
	}
	rename := func(j *Job, keep ...string) {
		eachReading(j, func(r *Reading) {
			if n, err := strconv.Atoi(r.ID); r.Set != "" && err == nil && n <= 33 && !slices.Contains(keep, r.ID) {
				r.ID = "x" + r.ID
			}
		})
	}
	for _, c := range []struct {
		name   string
		change func(j *Job)
		says   string
	}{
		{"three repeats", func(j *Job) { rename(j, "1", "14", "27") }, "it takes 4 to join them"},
		{"none", func(j *Job) { rename(j) }, "has 0 of its places"},
		{"no heights", func(j *Job) {
			eachReading(j, func(r *Reading) {
				if r.Set != "" && r.Kind == Edge {
					r.Z = Cell{}
				}
			})
		}, "lie on one line, or too few have a height"},
		{"other names", func(j *Job) {
			k := 0
			eachReading(j, func(r *Reading) {
				if n, err := strconv.Atoi(r.ID); r.Set != "" && err == nil && n <= 33 {
					r.ID = []string{"14", "1", "20", "33", "7", "27"}[k]
					k++
				}
			})
		}, "Look whether they carry the right names"},
	} {
		j := base()
		c.change(j)
		m, err := Solve(context.Background(), j, nil)
		require.NoError(t, err)
		require.Len(t, m.Joins, 1, c.name)
		assert.False(t, m.Joins[0].Joined, c.name)
		assert.Contains(t, m.Joins[0].Text, c.says, c.name)
		for i, r := range j.Readings {
			if r.Set != "" {
				assert.Equal(t, Unused, m.Results[i].State)
				assert.False(t, m.Results[i].Placed)
				assert.Contains(t, m.Results[i].Reason, "evening")
			}
		}
		assert.Contains(t, fmt.Sprint(m.Findings), m.Joins[0].Text)
	}
}

// TestJoinLeavesOneWrongRepeatOut and says which.
func TestJoinLeavesOneWrongRepeatOut(t *testing.T) {
	first := laidDown(false, -3, 0.5, 0.5, r3.Vec{X: 5, Y: 400, Z: 120})
	for _, over := range []int{1, 2} {
		j := twoLayings(rand.New(rand.NewPCG(3, 1)), 0.3, first, layingsTried[over].to, layingsTried[over].over)
		for i := range j.Readings {
			if r := &j.Readings[i]; r.ID == "20" && r.Set != "" {
				r.X.Text = strconv.FormatFloat(r.X.MM+40, 'f', 3, 64)
			}
		}
		j.Evaluate()
		m, err := Solve(context.Background(), j, nil)
		require.NoError(t, err)
		require.True(t, m.Joins[0].Joined, m.Joins[0].Text)
		assert.Equal(t, []string{"20"}, m.Joins[0].Aside)
		assert.Equal(t, layingsTried[over].over, m.Joins[0].Turned)
		assert.Contains(t, fmt.Sprint(m.Findings), "20 was read in laying evening too")
	}
}

// TestLayingsInAChain: a third laying that shares places with the second only.
func TestLayingsInAChain(t *testing.T) {
	first := laidDown(false, -3, 0.5, 0.5, r3.Vec{X: 5, Y: 400, Z: 120})
	j := twoLayings(rand.New(rand.NewPCG(4, 1)), 0.2, first, layingsTried[1].to, false)
	s := &sheetOf{j, rand.New(rand.NewPCG(5, 1)), 0.2}
	third := laidDown(true, 20, 1, 1, r3.Vec{X: 0, Y: 380, Z: 70})
	for _, k := range []int{35, 42, 48, 55, 58} {
		s.read(Edge, fmt.Sprint(k+1), "third", arched{}.station(third, true, around(k)))
	}
	s.read(Face, "H1", "third", arched{}.face(third, true, 10, 10))
	j.Evaluate()
	m := solved(t, j)
	require.Len(t, m.Joins, 2)
	assert.Equal(t, "third", m.Joins[1].Set)
	assert.True(t, m.Joins[1].Joined && m.Joins[1].Turned, m.Joins[1].Text)
	assert.Greater(t, m.Joins[1].UZ, m.Joins[0].UZ)
	last := len(j.Readings) - 1
	assert.Less(t, r3.Norm(r3.Sub(m.Results[last].At, arched{}.face(first, false, 10, 10))), 1.0, "mm")
}

func TestVeryManyLayings(t *testing.T) {
	j := NewJob("")
	for i := range 30_000 {
		j.Readings = append(j.Readings, Reading{ID: "1", Set: fmt.Sprint(i), X: j.Typed("1"), Y: j.Typed("1")})
	}
	j.Evaluate()
	m, err := Solve(context.Background(), j, nil)
	require.NoError(t, err)
	assert.Len(t, m.Joins, mostSets+1)
	assert.Contains(t, m.Joins[0].Text, "30000 layings")
}

func TestFirstSet(t *testing.T) {
	j := NewJob("")
	assert.Equal(t, "", j.firstSet())
	j.Readings = []Reading{{Set: "b"}, {Set: "a"}}
	assert.Equal(t, "b", j.firstSet())
	assert.Equal(t, []string{"a"}, j.layings())
	j.Readings = append(j.Readings, Reading{})
	assert.Equal(t, "", j.firstSet())
	assert.Equal(t, []string{"b", "a"}, j.layings())
}
