package board

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// gridChecked is a grid check with the lengths of a grid drawn so.
func gridChecked(j *Job, base, side float64, lengths [4]float64) {
	typed := func(v float64) Cell { return j.Typed(strconv.FormatFloat(v, 'f', 9, 64)) }
	j.Checks.Grid = GridCheck{Base: Stretch{typed(base), typed(lengths[0])}, Side: Stretch{typed(side), typed(lengths[1])},
		Rising: typed(lengths[2]), Falling: typed(lengths[3])}
	j.Evaluate()
}

func TestDiagonalsOfAShearedRectangle(t *testing.T) {
	// 1500 by 900 sheared by 1 and 2 mm: the diagonals differ by 1.714986 and
	// 3.429971 mm (computed: √(1501²+900²) − √(1499²+900²) and its like)
	for shear, differ := range map[float64]float64{1: 1.714986, 2: 3.429971} {
		g := gridFix{b: math.Hypot(shear, 900)/900 - 1, shear: math.Atan2(shear, 900)}
		l := g.lengths(1500, 900)
		assert.InDelta(t, differ, l[2]-l[3], 5e-7, "mm")
		j := NewJob("")
		gridChecked(j, 1500, 900, l)
		f, ok, err := fitGrid(&j.Checks.Grid)
		require.NoError(t, err)
		require.True(t, ok)
		assert.InDelta(t, 0, f.a, 1e-11)
		assert.InDelta(t, g.b, f.b, 1e-11)
		assert.InDelta(t, g.shear, f.shear, 1e-11)
		assert.InDelta(t, 0, f.misfit, 1e-6)
	}
}

func TestGridCheckTakesWhatItGets(t *testing.T) {
	true1 := gridFix{a: 0.002, b: -0.001, shear: 0.003}
	for name, c := range map[string]struct {
		leave []string
		known [3]bool // a, b, shear
	}{
		"all":               {nil, [3]bool{true, true, true}},
		"one diagonal":      {[]string{"diagonal_rising"}, [3]bool{true, true, true}},
		"no diagonals":      {[]string{"diagonal_rising", "diagonal_falling"}, [3]bool{true, true, false}},
		"base alone":        {[]string{"diagonal_rising", "diagonal_falling", "side_measured"}, [3]bool{true, false, false}},
		"a diagonal alone":  {[]string{"base_measured", "side_measured", "diagonal_rising"}, [3]bool{}},
		"nothing drawn":     {[]string{"base_drawn", "side_drawn"}, [3]bool{}},
		"base not measured": {[]string{"base_measured", "diagonal_rising", "diagonal_falling"}, [3]bool{false, true, false}},
	} {
		j := NewJob("")
		gridChecked(j, 1600, 1000, true1.lengths(1600, 1000))
		for _, f := range c.leave {
			require.NoError(t, j.SetCheck(f, ""))
		}
		j.Evaluate()
		f, ok, err := fitGrid(&j.Checks.Grid)
		require.NoError(t, err)
		assert.Equal(t, c.known != [3]bool{}, ok, name)
		for k, v := range [3][3]float64{{f.a, true1.a, f.ua}, {f.b, true1.b, f.ub}, {f.shear, true1.shear, f.uShear}} {
			if c.known[k] {
				assert.InDelta(t, v[1], v[0], 1e-9, "%s, %d", name, k)
				assert.Positive(t, v[2], "%s, %d", name, k)
			} else {
				assert.Zero(t, v[2], "%s, %d", name, k)
			}
		}
	}
}

// TestGridCheckStatesItsUncertainty: over many draws of noisy lengths the squared
// errors are what the stated uncertainties say.
func TestGridCheckStatesItsUncertainty(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	const draws = 1000
	var sum [3]float64
	g := gridFix{a: 0.001, b: 0.002, shear: -0.002}
	for range draws {
		l := g.lengths(1500, 900)
		for i := range l {
			l[i] += 0.5 * rng.NormFloat64()
		}
		j := NewJob("")
		gridChecked(j, 1500, 900, l)
		f, _, err := fitGrid(&j.Checks.Grid)
		require.NoError(t, err)
		for k, v := range [3][2]float64{{f.a - g.a, f.ua}, {f.b - g.b, f.ub}, {f.shear - g.shear, f.uShear}} {
			sum[k] += v[0] * v[0] / (v[1] * v[1]) / draws
		}
	}
	t.Logf("squared error over stated variance: %.2f", sum)
	for _, v := range sum {
		assert.InDelta(t, 1, v, 0.15)
	}
}

func TestGridIsMappedBack(t *testing.T) {
	g := gridFix{a: 0.002, b: -0.001, shear: 0.003}
	f := fixes{grid: g, scale: 1.01}
	p := f.plan(r2.Vec{X: 100, Y: 200})
	s, c := math.Sincos(0.003)
	assert.InDelta(t, 1.01*(100*1.002+200*0.999*s), p.X, 1e-12)
	assert.InDelta(t, 1.01*200*0.999*c, p.Y, 1e-12)
}

func TestZeroMapSurfaces(t *testing.T) {
	read := func(n int, z func(x, y float64) float64) *ZeroMap {
		m := &ZeroMap{}
		for i := range n {
			for k := range n {
				x, y := -800+1600*float64(i)/float64(n-1), 1000*float64(k)/float64(n-1)
				cell := func(v float64) Cell { return Cell{Set: true, MM: v} }
				m.Points = append(m.Points, ZeroPoint{cell(x), cell(y), cell(z(x, y))})
			}
		}
		return m
	}
	bent := func(x, y float64) float64 { return 0.8 - 1e-6*x*x - 5e-7*(y-500)*(y-500) }
	f := fitZero(context.Background(), read(5, bent))
	assert.Equal(t, "a smooth surface", f.how)
	for _, p := range []r2.Vec{{}, {X: 300, Y: 700}, {X: -650, Y: 120}} {
		assert.InDelta(t, bent(p.X, p.Y), f.at(p), 0.01, "mm")
	}
	assert.InDelta(t, f.at(r2.Vec{X: 800, Y: 500}), f.at(r2.Vec{X: 5000, Y: 500}), 1e-12, "outside it goes on level")
	tilted := func(x, y float64) float64 { return 0.3 + x/2000 - y/4000 }
	f = fitZero(context.Background(), read(2, tilted))
	assert.Equal(t, "a plane", f.how)
	assert.InDelta(t, tilted(100, 300), f.at(r2.Vec{X: 100, Y: 300}), 1e-9)
	line := read(2, tilted)
	line.Points = line.Points[:2]
	f = fitZero(context.Background(), line)
	assert.Equal(t, "their mean", f.how)
	assert.InDelta(t, 0.3-0.4-0.125, f.at(r2.Vec{X: 400, Y: 900}), 1e-9)
	assert.False(t, fitZero(context.Background(), &ZeroMap{}).surface)
}

// oval is a job read of an oval pane, arched across, without noise: 1200 by 600,
// 60 stations and 24 face heights.
func oval() *Job {
	j := NewJob("oval")
	z := func(x, y float64) float64 { return 120 - x*x/6000 - (y-400)*(y-400)/12000 }
	cells := func(kind Kind, id string, x, y float64) {
		typed := func(v float64) Cell { return j.Typed(strconv.FormatFloat(v, 'f', 6, 64)) }
		j.Readings = append(j.Readings, Reading{Kind: kind, ID: id, X: typed(x), Y: typed(y), Z: typed(z(x, y))})
	}
	for i := range 60 {
		a := 2 * math.Pi * float64(i) / 60
		cells(Edge, fmt.Sprint(i+1), 600*math.Sin(a), 400-300*math.Cos(a))
	}
	for i := range 24 {
		cells(Face, fmt.Sprintf("F%d", i+1), -250+100*float64(i%6), 310+60*float64(i/6))
	}
	j.Evaluate()
	return j
}

func solved(t *testing.T, j *Job) *Model {
	t.Helper()
	j.Evaluate()
	require.NoError(t, j.Validate())
	m, err := Solve(context.Background(), j, nil)
	require.NoError(t, err)
	require.NotNil(t, m.Pane, m.Why)
	return m
}

func corrected(m *Model, name string) *Correction {
	for i := range m.Corrections {
		if m.Corrections[i].Name == name {
			return &m.Corrections[i]
		}
	}
	return nil
}

// eachNumber changes the values of the readings as a faulty board or tool would.
func eachNumber(j *Job, f func(i int, r *Reading) (x, y, z float64)) {
	for i := range j.Readings {
		r := &j.Readings[i]
		x, y, z := f(i, r)
		for c, v := range map[*Cell]float64{&r.X: x, &r.Y: y, &r.Z: z} {
			c.Text = strconv.FormatFloat(v, 'f', 6, 64)
		}
	}
	j.Evaluate()
}

// TestCorrectionsUndoTheBoard: a grid drawn with a wrong pitch and out of square,
// a hollow board and a gauge block are taken off again, and each is left in when
// it is switched off.
func TestCorrectionsUndoTheBoard(t *testing.T) {
	const tol = 0.05 // mm
	want := solved(t, oval())
	g := gridFix{a: 0.002, b: -0.001, shear: 0.004}
	hollow := func(x, y float64) float64 { return 0.8 - 1e-6*(x*x+(y-500)*(y-500)) }
	spoil := func() *Job {
		j := oval()
		sin, cos := math.Sincos(g.shear)
		eachNumber(j, func(_ int, r *Reading) (x, y, z float64) {
			y = r.Y.MM / cos / (1 + g.b) // as read on the grid as drawn
			x = (r.X.MM - y*(1+g.b)*sin) / (1 + g.a)
			z = r.Z.MM + hollow(x, y) + 25
			if r.Kind == Face {
				z += 10
			}
			return x, y, z
		})
		gridChecked(j, 1500, 900, g.lengths(1500, 900))
		require.NoError(t, j.SetCheck("gauge", "25"))
		require.NoError(t, j.SetCheck("gauge_face", "35"))
		for k := range 25 {
			require.NoError(t, j.InsertZero(k))
			x, y := -800+400*float64(k%5), 250*float64(k/5)
			for f, v := range map[string]float64{"x": x, "y": y, "z": hollow(x, y)} {
				require.NoError(t, j.SetZero(k, f, strconv.FormatFloat(v, 'f', 6, 64)))
			}
		}
		return j
	}
	m := solved(t, spoil())
	assert.InDelta(t, want.Figures.Width, m.Figures.Width, tol)
	assert.InDelta(t, want.Figures.Length, m.Figures.Length, tol)
	assert.InDelta(t, want.Figures.CrossSag, m.Figures.CrossSag, tol)
	assert.InDelta(t, want.Figures.AsymmetryMax, m.Figures.AsymmetryMax, tol)
	for _, f := range m.Findings {
		assert.Equal(t, "sigma-small", f.Code, "nothing but that the readings agree")
	}
	for i := range m.Results {
		require.InDelta(t, want.Results[i].At.X, m.Results[i].At.X, 1e-4)
		require.InDelta(t, want.Results[i].At.Y, m.Results[i].At.Y, 1e-4)
		require.InDelta(t, want.Results[i].At.Z, m.Results[i].At.Z, 0.02)
	}
	for name, v := range map[string]float64{"pitch_x": 2, "pitch_y": -1, "squareness": 0.004 * 180 / math.Pi, "gauge": 25, "gauge_face": 35} {
		c := corrected(m, name)
		require.NotNil(t, c, name)
		assert.InDelta(t, v, c.Value, 1e-4, name)
		assert.True(t, c.On && c.Applied && c.Known, name)
	}
	assert.InDelta(t, 0.8, corrected(m, "zero_map").Value, 0.03)
	for name, off := range map[string]func(*Model) float64{
		CorrectGrid:  func(m *Model) float64 { return m.Figures.Width - want.Figures.Width },
		CorrectGauge: func(m *Model) float64 { return m.Results[70].At.Z - want.Results[70].At.Z },
		CorrectZero:  func(m *Model) float64 { return m.Figures.CrossSag - want.Figures.CrossSag },
	} {
		j := spoil()
		require.NoError(t, j.Correct(name, false))
		assert.False(t, j.Corrects(name))
		m := solved(t, j)
		assert.Greater(t, math.Abs(off(m)), 5*tol, "%s left in", name)
		for _, c := range m.Corrections {
			assert.Equal(t, c.Switch != name && c.Switch != CorrectDrift && c.Switch != CorrectScale, c.Applied, c.Name)
		}
	}
}

// TestDriftIsShownAndTakenOffWhenAsked: the board sinks and slides evenly while
// the edge is read; three stations are read again at the end.
func TestDriftIsShownAndTakenOffWhenAsked(t *testing.T) {
	drifting := func(on bool, size float64) *Job {
		j := oval()
		for _, k := range []int{40, 20, 0} {
			again := j.Readings[k]
			require.NoError(t, j.Insert(60, again))
		}
		eachNumber(j, func(i int, r *Reading) (x, y, z float64) {
			if r.Kind == Face {
				return r.X.MM, r.Y.MM, r.Z.MM
			}
			f := size * float64(i) / 62
			return r.X.MM + f, r.Y.MM, r.Z.MM - f
		})
		require.NoError(t, j.Correct(CorrectDrift, on))
		return j
	}
	for _, on := range []bool{false, true} {
		m := solved(t, drifting(on, 2.5))
		c := corrected(m, "drift_x")
		require.NotNil(t, c)
		assert.InDelta(t, 2.5, c.Value, 1e-6)
		// three repeats, each with u = √2 × 0.5 mm over its own stretch of the list
		n := [3]float64{60, 41, 22}
		assert.InDelta(t, math.Sqrt2*0.5*62/math.Sqrt(n[0]*n[0]+n[1]*n[1]+n[2]*n[2]), c.U, 0.05)
		assert.Equal(t, on, c.On)
		assert.Equal(t, on, c.Applied)
		assert.InDelta(t, 0, corrected(m, "drift_y").Value, 1e-6)
		assert.False(t, corrected(m, "drift_y").Applied, "nothing to take off")
		off := m.Results[59].At.X - m.Job.Readings[59].X.MM
		if on {
			assert.InDelta(t, -2.5*59/62, off, 1e-6)
		} else {
			assert.Zero(t, off)
		}
	}
	m := solved(t, drifting(true, 0.6))
	assert.False(t, corrected(m, "drift_x").Applied, "not beyond what readings repeat to")
}

func TestReadAgain(t *testing.T) {
	for id, want := range map[string]string{"5": "5", "5b": "5", "E12'": "E12", "A": "A", "left": "left", "": ""} {
		assert.Equal(t, want, readAgain(id), id)
	}
}

func TestScaleByTapes(t *testing.T) {
	const pitch = 1.003 // the glass is larger than read
	taped := func(tapes ...Tape) *Job {
		j := oval()
		j.Tapes = tapes
		return j
	}
	straight := func(from, to string, factor float64) Tape {
		j := oval()
		var p [2]Reading
		for _, r := range j.Readings {
			for k, id := range []string{from, to} {
				if r.Kind == Edge && r.ID == id {
					p[k] = r
				}
			}
		}
		l := math.Hypot(factor*math.Hypot(p[0].X.MM-p[1].X.MM, p[0].Y.MM-p[1].Y.MM), p[0].Z.MM-p[1].Z.MM)
		return Tape{How: Straight, From: from, To: to, Length: j.Typed(strconv.FormatFloat(l, 'f', 6, 64))}
	}
	m := solved(t, taped())
	c := corrected(m, "scale")
	require.NotNil(t, c)
	assert.False(t, c.Known)
	assert.Contains(t, c.Text, "A wrong pitch of the grid cannot be seen in the readings: tape one long distance on the glass.")

	j := taped(straight("16", "46", pitch), straight("8", "38", pitch))
	m = solved(t, j)
	c = corrected(m, "scale")
	assert.InDelta(t, 3, c.Value, 0.05)
	assert.False(t, c.Applied)
	assert.Contains(t, fmt.Sprint(m.Findings), "look at the grid's pitch")
	width := m.Figures.Width
	require.NoError(t, j.Correct(CorrectScale, true))
	m = solved(t, j)
	assert.True(t, corrected(m, "scale").Applied)
	assert.InDelta(t, pitch*width, m.Figures.Width, 0.1)

	// right lengths, and a width straight across
	j = taped(straight("16", "46", 1), Tape{How: Twin, From: "10", Length: j.Typed(fmt.Sprint(2 * 600 * math.Sin(2*math.Pi*9/60)))})
	m = solved(t, j)
	assert.InDelta(t, 0, corrected(m, "scale").Value, 0.1)
	assert.NotContains(t, fmt.Sprint(m.Findings), "grid's pitch")
	// one of three misread: the others count
	j = taped(straight("16", "46", 1), straight("8", "38", 1), straight("12", "42", 1.02))
	assert.InDelta(t, 0, corrected(solved(t, j), "scale").Value, 0.1)
}

func TestBoardChecksAreKept(t *testing.T) {
	j := oval()
	j.Unit = Inch
	gridChecked(j, 60, 36, [4]float64{60, 36, 70, 70})
	require.NoError(t, j.SetCheck("gauge", "1 1/8"))
	require.NoError(t, j.InsertZero(0))
	require.NoError(t, j.SetZero(0, "x", "7+3/8"))
	require.NoError(t, j.SetZero(0, "z", "1/32"))
	require.NoError(t, j.Correct(CorrectZero, false))
	require.NoError(t, j.Correct(CorrectScale, true))
	j.Evaluate()
	data, err := Encode(j)
	require.NoError(t, err)
	assert.Contains(t, string(data), `"board_checks": {`)
	got, notes, err := Decode("a.pane", data)
	require.NoError(t, err)
	assert.Empty(t, notes)
	assert.True(t, got.Equal(j))
	assert.Equal(t, "7+3/8", got.Checks.Zero.Points[0].X.Text)
	plain, err := Encode(oval())
	require.NoError(t, err)
	assert.NotContains(t, string(plain), "board_checks", "a job without them has no such member")

	assert.Error(t, j.SetCheck("colour", "1"))
	assert.Error(t, j.SetCheck("gauge", "\x00"))
	assert.Error(t, j.SetZero(0, "sd", "1"))
	assert.Error(t, j.SetZero(1, "x", "1"))
	assert.Error(t, j.SetZero(0, "x", "\x00"))
	assert.Error(t, j.InsertZero(2))
	assert.Error(t, j.DeleteZero(1))
	assert.Error(t, j.Correct("colour", true))
	require.NoError(t, j.DeleteZero(0))
	assert.Empty(t, j.Checks.Zero.Points)
}

func TestBoardChecksAreReplayed(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.pane")
	h := NewHistory(oval())
	jn, err := Store{}.OpenJournal(path, h.Job())
	require.NoError(t, err)
	edit := func(name string, f func(*Job) error) {
		before := h.Job()
		after, err := h.Edit(name, f)
		require.NoError(t, err)
		require.NotSame(t, before, after, name)
		require.NoError(t, jn.Append(name, after))
	}
	edit("Gauge", func(j *Job) error { return j.SetCheck("gauge", "25") })
	edit("Zero map", func(j *Job) error { return j.InsertZero(0) })
	edit("Zero map", func(j *Job) error { return j.SetZero(0, "z", "0.4") })
	edit("Grid off", func(j *Job) error { return j.Correct(CorrectGrid, false) })
	marked := h.Job()
	edit("Name", func(j *Job) error { j.Name = "b"; return nil })
	assert.Same(t, &marked.Checks.Zero.Points[0], &h.Job().Checks.Zero.Points[0], "lists that an edit did not touch are shared")
	edit("Grid on", func(j *Job) error { return j.Correct(CorrectGrid, true) })
	edit("Gauge", func(j *Job) error { return j.SetCheck("gauge", "") })
	edit("Zero map", func(j *Job) error { return j.DeleteZero(0) })
	require.True(t, h.Job().Checks.equal(&BoardChecks{}))
	steps, notes, err := Store{}.Replay(path, oval())
	require.NoError(t, err)
	assert.Empty(t, notes)
	require.Len(t, steps, 8)
	assert.True(t, steps[3].Job.Equal(marked))
	assert.True(t, steps[7].Job.Equal(h.Job()))
	require.NoError(t, jn.Close())
}

func TestCheckLooksAtTheBoard(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(j *Job)
		code   string
		at     Place
	}{
		{"not said how drawn", func(j *Job) { j.SetCheck("base_measured", "1500") }, "grid-check", Place{"job", 0, "base_drawn"}},
		{"far off", func(j *Job) { j.SetCheck("base_measured", "1500"); j.SetCheck("base_drawn", "1400") }, "grid-check", Place{"job", 0, "base_measured"}},
		{"a diagonal, nothing drawn", func(j *Job) { j.SetCheck("diagonal_rising", "1500") }, "grid-check", Place{"job", 0, "diagonal_rising"}},
		{"one diagonal", func(j *Job) {
			j.SetCheck("diagonal_rising", "1749")
			j.SetCheck("base_drawn", "1500")
			j.SetCheck("side_drawn", "900")
		}, "grid-check", Place{"job", 0, "diagonal_falling"}},
		{"lengths that do not go together", func(j *Job) {
			gridChecked(j, 1500, 900, [4]float64{1500, 900, 1749.3, 1759.3})
			j.SetCheck("diagonal_rising", "1760")
		}, "grid-check", Place{"job", 0, "diagonal_rising"}},
		{"not understood", func(j *Job) { j.SetCheck("gauge", "x") }, "unread-cell", Place{"job", 0, "gauge"}},
		{"a point without height", func(j *Job) { j.InsertZero(0); j.SetZero(0, "x", "1"); j.SetZero(0, "y", "1") }, "zero-point", Place{"zero", 1, "z"}},
		{"a point not understood", func(j *Job) { j.InsertZero(0); j.SetZero(0, "x", "no") }, "unread-cell", Place{"zero", 1, "x"}},
	} {
		j := oval()
		c.change(j)
		j.Evaluate()
		found := false
		for _, f := range Check(j) {
			found = found || f.Code == c.code && f.Place() == c.at
			assert.NotContains(t, f.Text, "%!", c.name)
		}
		assert.True(t, found, "%s: %v", c.name, Check(j))
	}
}

// TestOffersReckonWithTheCorrections: heights read over a block, on a grid drawn
// too wide; digits swapped in a height and in an x are offered as they would be
// typed.
func TestOffersReckonWithTheCorrections(t *testing.T) {
	j := oval()
	rng := rand.New(rand.NewPCG(9, 1))
	eachNumber(j, func(_ int, r *Reading) (x, y, z float64) {
		return r.X.MM/1.004 + 0.3*rng.NormFloat64(), r.Y.MM/1.004 + 0.3*rng.NormFloat64(), r.Z.MM + 25 + 0.3*rng.NormFloat64()
	})
	for i := range j.Readings { // as a person types them
		for _, c := range []*Cell{&j.Readings[i].X, &j.Readings[i].Y, &j.Readings[i].Z} {
			c.Text = strconv.FormatFloat(math.Round(2*c.MM)/2, 'f', -1, 64)
		}
	}
	gridChecked(j, 1500, 900, [4]float64{1506, 903.6, 1.004 * math.Hypot(1500, 900), 1.004 * math.Hypot(1500, 900)})
	require.NoError(t, j.SetCheck("gauge", "25"))
	swap := func(text string) string { return text[1:2] + text[:1] + text[2:] }
	var want [2]string
	for i := range j.Readings {
		switch r := &j.Readings[i]; {
		case r.Kind == Face && r.ID == "F9":
			want[0], r.Z.Text = r.Z.Text, swap(r.Z.Text)
		case r.Kind == Edge && r.ID == "12":
			want[1], r.X.Text = r.X.Text, swap(r.X.Text)
		}
	}
	m := solved(t, j)
	seen := 0
	for i, r := range j.Readings {
		switch o := m.Results[i].Offer; {
		case r.ID == "F9":
			require.NotNil(t, o, "%+v", m.Results[i])
			assert.Equal(t, want[0], o.Instead)
			seen++
		case r.Kind == Edge && r.ID == "12":
			require.NotNil(t, o, "%+v", m.Results[i])
			assert.Equal(t, want[1], o.Instead)
			seen++
		default:
			assert.Nil(t, o, r.ID)
		}
	}
	assert.Equal(t, 2, seen)
}
