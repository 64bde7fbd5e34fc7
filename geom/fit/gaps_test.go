package fit_test

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom/fit"
)

// firstOrder is how far gaps of errors below 1 mm are from the sum of their
// causes, mm: the corners of the pane here are of some 60 mm.
const firstOrder = 0.02

func explain(t testing.TB, r []fit.GapReading, m fit.GapModel) *fit.Gaps {
	t.Helper()
	g, err := fit.FitGaps(context.Background(), r, m)
	require.NoError(t, err)
	return g
}

// kinds of the causes that are found without any gap being read.
func centreOnly(g *fit.Gaps) bool {
	for _, c := range g.Causes {
		if c.Kind != fit.CauseOffset && c.Kind != fit.CauseSkew && c.Kind != fit.CauseRoll {
			return false
		}
	}
	return true
}

// One cause at a time, in a pocket laid out as a polygon: each is found with
// its sign and its size, and no other is.
func TestGapsSingleCause(t *testing.T) {
	for _, c := range []struct {
		name     string
		measured int
		wrong    func(*trial)
		kind     fit.CauseKind
		want     float64
		within   float64
	}{
		{"nothing", 1, func(*trial) {}, fit.CausePlacement, 0, 0},
		{"offset, right half measured", 1, func(f *trial) { f.e = 0.8 }, fit.CauseOffset, 0.8, firstOrder},
		{"offset, left half measured", -1, func(f *trial) { f.e = 0.8 }, fit.CauseOffset, 0.8, firstOrder},
		{"skew, right half measured", 1, func(f *trial) { f.alpha = 0.08 * degree }, fit.CauseSkew, 0.08 * degree, 2e-3 * degree},
		{"skew, left half measured", -1, func(f *trial) { f.alpha = -0.08 * degree }, fit.CauseSkew, -0.08 * degree, 2e-3 * degree},
		{"wall too far out", 1, func(f *trial) { f.uniform = 0.7 }, fit.CauseUniform, 0.7, firstOrder},
		{"wall too far in, both halves measured", 0, func(f *trial) { f.uniform = -0.6 }, fit.CauseUniform, -0.6, firstOrder},
		{"scale, both halves measured", 0, func(f *trial) { f.scale = -0.002 }, fit.CauseScale, -0.002, 5e-5},
		{"shear", 1, func(f *trial) { f.shear = 0.003 }, fit.CauseShear, 0.003, 1e-4},
		{"shear, both halves measured", 0, func(f *trial) { f.shear = 0.003 }, fit.CauseShear, 0.003, 1e-4},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := &trial{pane: roundCorners(source("gaps", 1), true), measured: c.measured, clear: 1.5}
			f.x, f.y, f.w = 0.3, -0.2, 0.02*degree
			c.wrong(f)
			f.build(t, 32)
			g := explain(t, f.gaps(nil, 0.05), f.in())
			if c.kind == fit.CausePlacement {
				assert.InDelta(t, 0.3, g.Shift.X, firstOrder, "mm")
				assert.InDelta(t, -0.2, g.Shift.Y, firstOrder, "mm")
				assert.InDelta(t, 0.02*degree, g.Turn, 2e-3*degree)
				assert.InDelta(t, 1, shareOf(g, fit.CausePlacement), 1e-3)
				assert.True(t, centreOnly(g))
				return
			}
			v, u, accepted := found(g, c.kind)
			assert.InDelta(t, c.want, v, c.within)
			assert.True(t, accepted, "%g ± %g", v, u)
			for _, e := range g.Causes {
				if e.Kind != c.kind {
					assert.Less(t, math.Abs(e.Value), 2*e.U, "%v", e.Kind)
				}
			}
			assert.InDelta(t, 1, shareOf(g, fit.CausePlacement)+shareOf(g, c.kind), 0.01)
			assert.Less(t, g.LeftOver, 0.03, "mm")
		})
	}
}

// The width of the pocket tells the offset in closed form, however the glass
// lies: m·e = (2c − left − right)/2; and a correction is what to add.
func TestGapsOffsetClosedForm(t *testing.T) {
	for _, m := range []int{1, -1} {
		f := &trial{pane: roundCorners(source("gaps", 2), true), measured: m, clear: 1.5, e: 0.6, x: 0.4}
		f.build(t, 24)
		level := func(side float64) (s float64) { // of the outline on a side
			for u := range 4000 {
				at := f.model.Length() * float64(u) / 4000
				if p := f.model.At(f.model.ParamAt(at)); p.X*side > 0 && math.Abs(p.Y) < 3 {
					return at
				}
			}
			return 0
		}
		f.stationAt = append(f.stationAt, level(-1), level(1))
		r := f.gaps(nil, 0.05)
		left, right := r[24].Wall.Lo, r[25].Wall.Lo
		// sides that lean by a few degrees
		assert.InDelta(t, float64(m)*f.e, (2*f.clear-left-right)/2, 0.01, "mm")
		g := explain(t, r, f.in())
		c := g.Correction()
		assert.InDelta(t, -f.e, c.Offset, firstOrder)
		assert.True(t, math.IsInf(c.RollU, 1), "no ledge gap was noted")
	}
}

// A wrong scale of a half that was mirrored looks much like an offset and a
// wall that is off all round: the pocket is put right, the split left open.
func TestGapsScaleOrOffset(t *testing.T) {
	f := &trial{pane: roundCorners(source("gaps", 1), true), measured: 1, clear: 1.5, scale: 0.002}
	f.build(t, 32)
	r := f.gaps(nil, 0.05)
	g := explain(t, r, f.in())
	for _, c := range g.Causes {
		assert.False(t, c.Accepted, "%v %g ± %g", c.Kind, c.Value, c.U)
	}
	assert.Contains(t, doubts(g), "wrong scale explains these gaps about as well as")
	for _, n := range g.Next(r, 1.5, nil, true) {
		assert.InDelta(t, 1.5, n.Wall, 0.3, "mm; an error of 1.4 mm before")
	}
}

func TestGapsJointAndStation(t *testing.T) {
	f := &trial{pane: roundCorners(source("gaps", 1), true), measured: 0, clear: 1, x: 0.2}
	f.build(t, 32)
	in := f.in()
	in.Joints = []fit.FixtureJoint{{Name: "2", At: r2.Vec{X: 230}, Along: r2.Vec{Y: 1}}}
	r := f.gaps(nil, 0.1)
	for i := range r { // all that lies right of joint 2 moves 0.5 mm to the right
		if r[i].At.X > 230 {
			r[i].Wall = fit.GapOf(r[i].Wall.Lo+0.5*r[i].Normal.X, 0.1)
		}
	}
	g := explain(t, r, in)
	require.Len(t, g.Causes, 1)
	assert.Equal(t, fit.CauseJoint, g.Causes[0].Kind)
	assert.Equal(t, "2", g.Causes[0].Name)
	assert.InDelta(t, 0.5, g.Causes[0].Value, 0.02, "mm")
	assert.True(t, g.Causes[0].Accepted)

	r[5].Wall = fit.GapOf(r[5].Wall.Lo+2, 0.1)
	g = explain(t, r, in)
	require.Len(t, g.Causes, 2)
	assert.Equal(t, fit.CauseStation, g.Causes[1].Kind)
	assert.Equal(t, 5, g.Causes[1].Index)
	assert.Equal(t, r[5].ID, g.Causes[1].Name)
	assert.InDelta(t, 2, g.Causes[1].Value, 0.03, "mm")
	assert.InDelta(t, 0.5, g.Causes[0].Value, 0.02, "mm")
	assert.Contains(t, doubts(g), "read it again")
	wall, _ := g.Move(r[5], make([]bool, 2), true)
	assert.InDelta(t, 0, wall, 0.02, "mm: a single station makes no dent")

	// walls do not tell which of two joints gapes: between them the edge runs along
	in.Joints = append(in.Joints, fit.FixtureJoint{Name: "1", At: r2.Vec{X: -200}, Along: r2.Vec{Y: 1}})
	g = explain(t, r, in)
	assert.True(t, g.Causes[0].Split)
	assert.Contains(t, doubts(g), "joint: An opened joint 1 explains these gaps about as well as an opened joint 2")
}

func doubts(g *fit.Gaps) string {
	var all []string
	for _, d := range g.Doubts {
		all = append(all, d.Kind.String()+": "+d.Text)
	}
	return strings.Join(all, "\n")
}

// only keeps the readings that count.
func only(r []fit.GapReading, counts func(fit.GapReading) bool) (out []fit.GapReading) {
	for _, q := range r {
		if counts(q) {
			out = append(out, q)
		}
	}
	return out
}

// What the stations cannot tell is said and not claimed.
func TestGapsNotIdentifiable(t *testing.T) {
	f := &trial{pane: roundCorners(source("gaps", 1), true), measured: 1, clear: 1.5, e: 0.7, alpha: 0.05 * degree, x: 0.2}
	f.build(t, 40)
	all := f.gaps(nil, 0.1)
	for _, c := range []struct {
		name   string
		r      []fit.GapReading
		known  []fit.CauseKind
		hidden []fit.CauseKind
		says   []string
	}{
		{"all round", all, []fit.CauseKind{fit.CauseOffset, fit.CauseSkew}, []fit.CauseKind{fit.CauseRoll}, []string{"roll: "}},
		{"made half alone", only(all, func(r fit.GapReading) bool { return r.Made }),
			nil, []fit.CauseKind{fit.CauseOffset, fit.CauseSkew},
			[]string{"centre_offset: Each wall gap noted is on the mirrored half", "centre_skew: Each wall gap"}},
		{"measured half alone", only(all, func(r fit.GapReading) bool { return !r.Made }),
			nil, []fit.CauseKind{fit.CauseOffset, fit.CauseSkew},
			[]string{"centre_offset: No wall gap was noted on the mirrored half"}},
		{"sides alone, which lean", only(all, func(r fit.GapReading) bool { return math.Abs(r.Normal.X) > 0.95 }),
			nil, []fit.CauseKind{fit.CauseOffset, fit.CauseSkew},
			[]string{"centre_offset: These stations do not tell an offset of the centre line from the way the glass lay: note gaps on both sides, at the top and at the bottom."}},
		{"top and bottom alone", only(all, func(r fit.GapReading) bool { return math.Abs(r.Normal.X) < 0.1 }),
			[]fit.CauseKind{fit.CauseSkew}, []fit.CauseKind{fit.CauseOffset}, []string{"centre_offset: These stations do not tell an offset"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := explain(t, c.r, f.in())
			for _, k := range c.known {
				_, u, _ := found(g, k)
				assert.NotZero(t, u, "%v", k)
			}
			for _, k := range c.hidden {
				_, u, _ := found(g, k)
				assert.Zero(t, u, "%v", k)
			}
			for _, s := range c.says {
				assert.Contains(t, doubts(g), s)
			}
		})
	}
}

// A wall too tight all round and an offset look the same where no gap was
// noted at the bottom: neither is claimed, and both are named.
func TestGapsNoBottom(t *testing.T) {
	f := &trial{pane: roundCorners(source("gaps", 1), true), measured: 1, clear: 1.5, e: 0.5}
	f.build(t, 40)
	g := explain(t, only(f.gaps(nil, 0.1), func(r fit.GapReading) bool { return r.Normal.Y > -0.5 }), f.in())
	_, _, accepted := found(g, fit.CauseOffset)
	assert.False(t, accepted)
	assert.Contains(t, doubts(g), "pencil_or_cutter: At these stations a pencil, cutter or clearance that is off all round looks like an offset of the centre line")
}

// A joint on the centre line opens as an offset does.
func TestGapsJointOnCentreLine(t *testing.T) {
	f := &trial{pane: roundCorners(source("gaps", 1), true), measured: 1, clear: 1.5, e: 0.5}
	f.build(t, 40)
	in := f.in()
	in.Joints = []fit.FixtureJoint{{Name: "1", Along: r2.Vec{Y: 1}}}
	g := explain(t, f.gaps(nil, 0.1), in)
	assert.Contains(t, doubts(g), "joint: At these stations an opened joint 1 looks like an offset of the centre line.")
	_, u, _ := found(g, fit.CauseOffset)
	assert.Greater(t, u, 0.15, "mm: the split is not known")
}

// Tight gaps and strips that go or do not bound the gap; a bound that is kept
// does not pull.
func TestGapsBounds(t *testing.T) {
	f := &trial{pane: roundCorners(source("gaps", 1), true), measured: 1, clear: 1.5, e: 0.9, x: -0.4}
	f.build(t, 32)
	r := f.gaps(nil, 0.1)
	tight := 0
	for i := range r {
		v := r[i].Wall.Lo
		switch {
		case v < 0.3: // pressed in: the glass would overlap, and is noted as tight
			r[i].Wall = fit.TightGap()
			tight++
		default:
			r[i].Wall = fit.GapBetween(math.Floor(v*10)/10, math.Floor(v*10)/10+0.1)
		}
	}
	require.Greater(t, tight, 3)
	g := explain(t, r, f.in())
	v, u, accepted := found(g, fit.CauseOffset)
	assert.InDelta(t, 0.9, v, 3*u)
	assert.InDelta(t, 0.9, v, 0.1, "mm")
	assert.True(t, accepted)

	r[0].Wall = fit.Gap{Lo: 0.2, Hi: math.Inf(1), SD: fit.BetweenSD} // goes; nothing thicker was tried
	h := explain(t, r, f.in())
	w, _, _ := found(h, fit.CauseOffset)
	assert.InDelta(t, v, w, 0.05, "mm")
}

// The forecast of the next cut is the plan where all is put right, and the
// gaps as they were where nothing is.
func TestGapsNext(t *testing.T) {
	f := &trial{pane: roundCorners(source("gaps", 1), true), measured: 1, clear: 1.5, e: 0.8}
	f.build(t, 32)
	r := f.gaps(nil, 0.1)
	g := explain(t, r, f.in())
	least, most := math.Inf(1), math.Inf(-1)
	for _, n := range g.Next(r, 1.2, nil, true) {
		assert.InDelta(t, 1.2, n.Wall, 0.05, "mm")
		assert.Less(t, n.WallU, 0.2, "mm")
		assert.Greater(t, n.WallU, 0.0)
	}
	none := make([]bool, len(g.Causes))
	for _, n := range g.Next(r, 1.5, none, false) {
		least, most = math.Min(least, n.Wall), math.Max(most, n.Wall)
	}
	assert.InDelta(t, 1.5-0.8, least, 0.1, "mm: both sides share what is missing")
	for i := range r {
		wall, _ := g.Move(r[i], nil, false)
		want := 0.0
		if r[i].Made { // the wall is 2e to the right: it must go back
			want = -2 * 0.8 * r[i].Normal.X
		}
		assert.InDelta(t, want, wall, 0.05, "mm")
	}
	far := r[0]
	far.S += f.model.Length() / 2
	w, l := g.Rest(far)
	assert.InDelta(t, 0, w, 0.05)
	assert.Zero(t, l)
}

// Several causes at once, and one gap misread.
func TestGapsMixed(t *testing.T) {
	f := &trial{pane: roundCorners(source("gaps", 1), true), measured: -1, clear: 1.5,
		e: -0.6, alpha: 0.06 * degree, uniform: 0.5, x: -0.3, y: 0.3, w: -0.02 * degree}
	f.build(t, 40)
	r := f.gaps(source("gaps mixed", 1), 0.05)
	r[17].Wall = fit.GapOf(r[17].Wall.Lo+1.5, 0.05)
	g := explain(t, r, f.in())
	for _, c := range []struct {
		kind fit.CauseKind
		want float64
	}{{fit.CauseOffset, f.e}, {fit.CauseSkew, f.alpha}, {fit.CauseUniform, 0.5}, {fit.CauseStation, 1.5}} {
		v, u, _ := found(g, c.kind)
		assert.InDelta(t, c.want, v, 3*u, "%v", c.kind)
		assert.Positive(t, u, "%v", c.kind)
	}
	assert.Equal(t, fit.CausePlacement, g.Explained[0].Kind)
	assert.Less(t, g.LeftOver, 0.08, "mm")
	for i, n := range g.Next(r, 1.5, nil, true) {
		assert.InDelta(t, 1.5, n.Wall, 0.12, "mm at %s", r[i].ID)
	}
}

// Ledge gaps tell the roll of the centre plane, however the glass is lifted and
// tilted, beside offset and skew, which move the ledge too.
func TestGapsLedge(t *testing.T) {
	for _, m := range []int{1, -1} {
		f := &trial{pane: roundCorners(source("gaps", 3), true), measured: m, clear: 1.5, e: 0.5, alpha: 0.05 * degree, roll: 0.08 * degree, x: 0.3, y: 0.2}
		f.build(t, 36)
		r := f.gaps(nil, 0.1)
		for i := range r {
			r[i].Ledge = fit.GapOf(f.ledgeGap(r[i], 0.6, 4e-4, -3e-4), 0.1)
		}
		g := explain(t, r, f.in())
		for _, c := range []struct {
			kind         fit.CauseKind
			want, within float64
		}{{fit.CauseOffset, f.e, 0.03}, {fit.CauseSkew, f.alpha, 0.003 * degree}, {fit.CauseRoll, f.roll, 0.003 * degree}} {
			v, u, accepted := found(g, c.kind)
			assert.InDelta(t, c.want, v, c.within, "%v, %d", c.kind, m)
			assert.True(t, accepted, "%v: %g ± %g", c.kind, v, u)
		}
		assert.InDelta(t, -f.roll, g.Correction().Roll, 0.003*degree)
		assert.Positive(t, shareOf(g, fit.CauseTilt))
		assert.Less(t, g.LeftOver, 0.05, "mm")
		for i, n := range g.Next(r, 1.5, nil, true) {
			assert.InDelta(t, 1.5, n.Wall, 0.06, "mm at %s", r[i].ID)
			assert.InDelta(t, 0, n.Ledge, 0.06, "mm at %s", r[i].ID)
		}
	}
}

// A roll shows in no ledge gap of one half.
func TestGapsLedgeOneHalf(t *testing.T) {
	f := &trial{pane: roundCorners(source("gaps", 3), true), measured: 1, clear: 1.5, roll: 0.08 * degree}
	f.build(t, 36)
	r := f.gaps(nil, 0.1)
	for i := range r {
		if r[i].Made {
			r[i].Ledge = fit.GapOf(f.ledgeGap(r[i], 0.6, 0, 0), 0.1)
		}
	}
	g := explain(t, r, f.in())
	_, u, _ := found(g, fit.CauseRoll)
	assert.Zero(t, u)
	assert.Contains(t, doubts(g), "roll: Each ledge gap noted is on the mirrored half")
}

func TestGapsRefuses(t *testing.T) {
	good := fit.GapReading{At: r2.Vec{X: 500}, Normal: r2.Vec{X: 1}, Wall: fit.GapOf(1, 0.1)}
	in := fit.GapModel{Clearance: 1.5, Girth: 3000, Measured: 1}
	for _, c := range []struct {
		name  string
		spoil func(*fit.GapReading, *fit.GapModel)
		index []int
		says  string
	}{
		{"nothing noted", func(r *fit.GapReading, _ *fit.GapModel) { r.Wall = fit.Gap{} }, nil, "no gap was noted"},
		{"no number", func(r *fit.GapReading, _ *fit.GapModel) { r.Wall.Lo = math.NaN() }, []int{0}, "a gap is a number"},
		{"no bound", func(r *fit.GapReading, _ *fit.GapModel) { r.Wall.Lo, r.Wall.Hi = math.Inf(-1), math.Inf(1) }, []int{0}, "a gap is a number"},
		{"huge", func(r *fit.GapReading, _ *fit.GapModel) { r.Ledge = fit.GapOf(1e300, 0.1) }, []int{0}, "a gap is a number"},
		{"the wrong way round", func(r *fit.GapReading, _ *fit.GapModel) { r.Wall = fit.GapBetween(0.7, 0.6) }, []int{0}, "thicker"},
		{"negative sd", func(r *fit.GapReading, _ *fit.GapModel) { r.Wall.SD = -1 }, []int{0}, "standard deviation"},
		{"no place", func(r *fit.GapReading, _ *fit.GapModel) { r.At.Y = math.Inf(1) }, []int{0}, "not a place"},
		{"no normal", func(r *fit.GapReading, _ *fit.GapModel) { r.Normal = r2.Vec{} }, []int{0}, "not a place"},
		{"no girth", func(_ *fit.GapReading, m *fit.GapModel) { m.Girth = 0 }, nil, "the outline"},
		{"no clearance", func(_ *fit.GapReading, m *fit.GapModel) { m.Clearance = math.NaN() }, nil, "clearance"},
		{"no joint", func(_ *fit.GapReading, m *fit.GapModel) { m.Joints = make([]fit.FixtureJoint, 1) }, nil, "a joint"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, m := good, in
			c.spoil(&r, &m)
			_, err := fit.FitGaps(context.Background(), []fit.GapReading{r}, m)
			var e *fit.GapError
			require.ErrorAs(t, err, &e)
			assert.Equal(t, c.index, e.Index)
			assert.ErrorContains(t, err, c.says)
			assert.True(t, strings.HasPrefix(err.Error(), "fit: "))
		})
	}
	_, err := fit.FitGaps(context.Background(), make([]fit.GapReading, 401), in)
	assert.ErrorContains(t, err, "more than 400")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = fit.FitGaps(ctx, []fit.GapReading{good}, in)
	assert.True(t, errors.Is(err, context.Canceled))
}

// One gap is enough for an answer, and the answer claims nothing.
func TestGapsOne(t *testing.T) {
	r := fit.GapReading{ID: "1", At: r2.Vec{X: 500}, Normal: r2.Vec{X: 1}, Wall: fit.GapOf(0.4, 0.1)}
	g := explain(t, []fit.GapReading{r}, fit.GapModel{Clearance: 1.5, Girth: 3000, Measured: 1})
	assert.Empty(t, g.Causes)
	assert.InDelta(t, 1, shareOf(g, fit.CausePlacement), 1e-9)
	assert.InDelta(t, 1.1, g.Shift.X, 0.01, "mm")
}

func BenchmarkGaps(b *testing.B) {
	f := &trial{pane: roundCorners(source("gaps", 1), true), measured: 1, clear: 1.5, e: 0.5, alpha: 0.03 * degree, x: 0.3, y: -0.2, w: 0.02 * degree}
	f.build(b, 40)
	rng := source("noise", 1)
	r := f.gaps(rng, 0.15)
	for i := range r {
		r[i].Ledge = fit.GapOf(0.1*rng.NormFloat64(), 0.15)
	}
	r[3].Wall, r[7].Wall = fit.TightGap(), fit.GapBetween(0.6, 0.7)
	for b.Loop() {
		if _, err := fit.FitGaps(context.Background(), r, f.in()); err != nil {
			b.Fatal(err)
		}
	}
}
