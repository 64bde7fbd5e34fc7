package fit

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

func fitOutline(t testing.TB, marks []Mark) *Outline {
	t.Helper()
	o, err := FitOutline(context.Background(), marks, OutlineOptions{})
	require.NoError(t, err)
	return o
}

// ellipse is m exact marks on an ellipse, counter-clockwise.
func ellipse(m int, a, b float64) []Mark {
	var out []Mark
	for i := range m {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(m))
		out = append(out, Mark{P: r3.Vec{X: a * c, Y: b * s, Z: math.NaN()}, SXY: 0.5})
	}
	return out
}

// The accuracy that the documentation states, in mm at sigma 0.5 and 80 marks.
func TestOutlineMeasured(t *testing.T) {
	for _, k := range kinds {
		var rms, most, sigma, honest stat
		clean, alarms := 0, 0
		for i := range *panes {
			rng := source(7, i)
			p := newPane(rng, k.maker)
			o := fitOutline(t, p.edgeMarks(rng, 80, 0.5))
			d, z := p.missesOf(o, geom.Identity(), 3)
			rms, most, honest = append(rms, d.rms()), append(most, d.greatest()), append(honest, z.rms())
			sigma = append(sigma, o.Sigma)
			for _, s := range o.Suspect {
				clean++
				if s {
					alarms++
				}
			}
		}
		t.Logf("%-27s RMS median %.3f p95 %.3f, greatest median %.2f, sigma found %.2f, true over stated sd %.2f, false alarms %d of %d",
			k.name, rms.quantile(0.5), rms.quantile(0.95), most.quantile(0.5), sigma.quantile(0.5), honest.rms(), alarms, clean)
		require.Less(t, rms.quantile(0.5), 0.41, k.name)
		require.Less(t, rms.quantile(0.95), 0.49, k.name)
		require.InDelta(t, 0.5, sigma.quantile(0.5), 0.05, k.name)
		require.InDelta(t, 1, honest.rms(), 0.15, "%s: the stated sd is not honest", k.name)
		require.LessOrEqual(t, float64(alarms), 1.5*float64(clean)/1000, k.name)
	}
}

// Three slips a pane, 5 to 100 mm any way, among 80 marks.
func TestOutlineSlipsMeasured(t *testing.T) {
	var slips, found, gross, foundGross, clean, alarms int
	var rms stat
	for i := range 3 * *panes {
		rng := source(8, i)
		p := newPane(rng, kinds[i%3].maker)
		marks := p.edgeMarks(rng, 80, 0.5)
		bad := map[int]bool{}
		for range 3 {
			k := rng.IntN(len(marks))
			a, d := uniform(rng, 0, 2*math.Pi), math.Exp(uniform(rng, math.Log(5), math.Log(100)))
			marks[k].P.X += d * math.Cos(a)
			marks[k].P.Y += d * math.Sin(a)
			bad[k] = true
		}
		o := fitOutline(t, marks)
		d, _ := p.missesOf(o, geom.Identity(), 3)
		rms = append(rms, d.rms())
		for k, s := range o.Suspect {
			off := 0.0
			if bad[k] {
				off = p.fromRim(marks[k])
			}
			switch {
			case !bad[k]:
				clean++
				if s {
					alarms++
				}
			case off > 3:
				slips++
				if s {
					found++
					require.Greater(t, math.Abs(o.Miss[k]), off/2, "the miss of a slip is still told")
				}
				if off > 12 {
					gross++
					if s {
						foundGross++
					}
				}
			}
		}
	}
	t.Logf("slips over 3 mm: %d of %d found; over 12 mm: %d of %d; false alarms %d of %d; RMS median %.3f",
		found, slips, foundGross, gross, alarms, clean, rms.quantile(0.5))
	require.GreaterOrEqual(t, float64(found), 0.90*float64(slips))
	require.GreaterOrEqual(t, float64(foundGross), 0.95*float64(gross))
	require.LessOrEqual(t, float64(alarms), 1.5*float64(clean)/1000)
}

func TestOutlineExactReadings(t *testing.T) {
	o := fitOutline(t, ellipse(60, 600, 350))
	for i := range 500 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 500)
		_, d := o.Curve.Nearest(r2.Vec{X: 600 * c, Y: 350 * s})
		require.InDelta(t, 0, d, 0.02, "mm off an ellipse that was read without noise")
	}
	require.Empty(t, suspects(o.Suspect))
}

func suspects(s []bool) (index []int) {
	for i, b := range s {
		if b {
			index = append(index, i)
		}
	}
	return index
}

// apart is the greatest distance between two curves, both ways.
func apart(a, b *geom.Curve) float64 {
	var most float64
	for _, c := range [][2]*geom.Curve{{a, b}, {b, a}} {
		lo, hi := c[0].Period()
		for k := range 400 {
			_, d := c[1].Nearest(c[0].At(lo + (hi-lo)*float64(k)/400))
			most = math.Max(most, math.Abs(d))
		}
	}
	return most
}

func TestOutlineOrder(t *testing.T) {
	rng := source(9, 0)
	p := newPane(rng, maker{})
	marks := p.edgeMarks(rng, 80, 0.5)
	want := fitOutline(t, marks)
	require.False(t, want.Reordered)
	require.True(t, slices.IsSortedFunc(want.Order, func(i, j int) int { return int(math.Copysign(1, want.Param[i]-want.Param[j])) }))

	backwards := slices.Clone(marks)
	slices.Reverse(backwards)
	o := fitOutline(t, backwards)
	require.False(t, o.Reordered, "clockwise is an order too")
	require.Positive(t, o.Curve.Area())
	require.Less(t, apart(want.Curve, o.Curve), 0.2)

	swapped := slices.Clone(marks)
	swapped[20], swapped[21] = swapped[21], swapped[20]
	o = fitOutline(t, swapped)
	require.True(t, o.Reordered)
	require.Empty(t, suspects(o.Suspect), "a wrong order is no slip")
	require.Less(t, apart(want.Curve, o.Curve), 0.2)

	shuffled := slices.Clone(marks)
	rng.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
	o = fitOutline(t, shuffled)
	require.True(t, o.Reordered)
	require.Less(t, apart(want.Curve, o.Curve), 0.2)
}

// A closing reading and a repeat: two marks a fraction of a mm from others.
func TestOutlineRepeats(t *testing.T) {
	rng := source(9, 1)
	p := newPane(rng, maker{})
	marks := p.edgeMarks(rng, 80, 0.5)
	want := fitOutline(t, marks)
	same := func(i int) Mark {
		m := marks[i]
		m.P.X, m.P.Y = m.P.X+0.3, m.P.Y-0.2
		return m
	}
	o := fitOutline(t, append(slices.Clone(marks), same(40), same(0), marks[0]))
	require.Len(t, o.Miss, 83)
	require.False(t, o.Reordered)
	require.Empty(t, suspects(o.Suspect))
	require.Less(t, apart(want.Curve, o.Curve), 0.6)
}

// Half a pane and five check stations: the gap is carried and its doubt told.
func TestOutlineGap(t *testing.T) {
	rng := source(9, 2)
	p := newPane(rng, maker{level: true})
	marks := p.halfMarks(rng, 80, 0.5)
	read := len(marks)
	marks = append(marks, p.checkMarks(rng, 0.5)...)
	o := fitOutline(t, marks)
	require.NoError(t, o.Curve.IsSimple())
	var near stat
	for i := 3; i < read-3; i++ {
		near = append(near, o.SD(o.Param[i]))
	}
	corner := (o.Param[read] + o.Param[read+4]) / 2 // between the side and the top
	require.Greater(t, o.SD(corner), 5*near.rms())
	require.Less(t, p.fromCurve(o.Curve, func(q r2.Vec) bool { return q.X > 0 }), 2.5, "mm, the half that was read")
	require.Empty(t, suspects(o.Suspect), "nothing can judge a check station")
	for i := read; i < len(marks); i++ {
		require.InDelta(t, 0, o.Miss[i], 1, "mm off a check station")
	}
}

// Moving and turning the board moves and turns the outline and nothing else.
func TestOutlineRigidMotion(t *testing.T) {
	rng := source(9, 3)
	p := newPane(rng, soft)
	marks := p.edgeMarks(rng, 60, 0.5)
	a := fitOutline(t, marks)
	s, c := math.Sincos(0.7)
	move := func(q r2.Vec) r2.Vec { return r2.Vec{X: c*q.X - s*q.Y + 800, Y: s*q.X + c*q.Y - 300} }
	moved := slices.Clone(marks)
	for i := range moved {
		q := move(moved[i].plan())
		moved[i].P.X, moved[i].P.Y = q.X, q.Y
	}
	b := fitOutline(t, moved)
	want, err := a.Curve.Transform(move)
	require.NoError(t, err)
	require.Less(t, apart(want, b.Curve), 0.02, "mm")
	require.Equal(t, a.Suspect, b.Suspect)
}

func TestOutlineWeights(t *testing.T) {
	rng := source(9, 4)
	p := newPane(rng, maker{})
	marks := p.edgeMarks(rng, 80, 0.5)
	marks[30].P.Y += 1.2
	sharp, blunt := slices.Clone(marks), slices.Clone(marks)
	sharp[30].SXY, blunt[30].SXY = 0.1, 2
	a, b := fitOutline(t, sharp), fitOutline(t, blunt)
	require.Less(t, math.Abs(a.Miss[30]), math.Abs(b.Miss[30]), "a surer mark pulls harder")
}

func TestOutlineRefuses(t *testing.T) {
	line := func(m int) (out []Mark) {
		for i := range m {
			out = append(out, Mark{P: r3.Vec{X: float64(10 * i), Y: 0.3 * float64(i%2)}, SXY: 0.5, SZ: 0.5})
		}
		return out
	}
	nan := ellipse(12, 300, 200)
	nan[3].P.X, nan[7].P.Y, nan[8].P.Y = math.NaN(), math.Inf(1), 1e200
	blind := ellipse(12, 300, 200)
	blind[5].SXY = 0
	for name, c := range map[string]struct {
		marks []Mark
		index []int
	}{
		"none":          {nil, nil},
		"five":          {ellipse(5, 300, 200), nil},
		"on a line":     {line(20), nil},
		"one point":     {slices.Repeat(line(1), 10), nil},
		"not a number":  {nan, []int{3, 7, 8}},
		"without an sd": {blind, []int{5}},
	} {
		_, err := FitOutline(context.Background(), c.marks, OutlineOptions{})
		var e *MarkError
		require.ErrorAs(t, err, &e, name)
		require.Equal(t, c.index, e.Index, name)
		require.NotEmpty(t, err.Error())
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := FitOutline(ctx, ellipse(12, 300, 200), OutlineOptions{})
	require.ErrorIs(t, err, context.Canceled)
}

func TestOutlineFewMarks(t *testing.T) {
	for _, m := range []int{6, 7, 9, 12, 20} {
		o := fitOutline(t, ellipse(m, 500, 300))
		require.NoError(t, o.Curve.IsSimple())
		require.InEpsilon(t, math.Pi*500*300, o.Curve.Area(), 0.06, "%d marks", m)
	}
}

func TestOutlineKeepAll(t *testing.T) {
	marks := ellipse(60, 600, 350)
	marks[10].P.Y += 30
	o, err := FitOutline(context.Background(), marks, OutlineOptions{KeepAll: true})
	require.NoError(t, err)
	require.Empty(t, suspects(o.Suspect))
	o = fitOutline(t, marks)
	require.Equal(t, []int{10}, suspects(o.Suspect))
	require.Greater(t, o.Miss[10], 12.0, "outside")
}

func TestOutlineDeterministic(t *testing.T) {
	rng := source(9, 5)
	p := newPane(rng, soft)
	marks := p.edgeMarks(rng, 80, 0.5)
	marks[4].P.X += 40
	a, b := fitOutline(t, marks), fitOutline(t, marks)
	require.Equal(t, a.Curve.Ctrl(), b.Curve.Ctrl())
	require.Equal(t, a.Miss, b.Miss)
}

// Whatever is typed, the fit answers with a curve or an error, never a NaN.
func FuzzFitOutline(f *testing.F) {
	f.Add([]byte("\x00\x10\x20\x30\x40\x50\x60\x70\x80\x90\xa0\xb0\xc0\xd0\xe0\xf0"))
	f.Add([]byte("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefgh"))
	f.Fuzz(func(t *testing.T, b []byte) {
		var marks []Mark
		for i := 0; i+1 < min(len(b), 120); i += 2 {
			marks = append(marks, Mark{P: r3.Vec{X: 5 * float64(b[i]), Y: 5 * float64(b[i+1])}, SXY: 0.5, SZ: 0.5})
		}
		o, err := FitOutline(context.Background(), marks, OutlineOptions{})
		if err != nil {
			return
		}
		require.NoError(t, o.Curve.IsSimple())
		for i, d := range o.Miss {
			require.True(t, finite(d) && finite(o.Param[i]) && finite(o.SD(o.Param[i])))
		}
	})
}

func TestOutlineErrorNamesItself(t *testing.T) {
	require.ErrorIs(t, outlineError(context.DeadlineExceeded), context.DeadlineExceeded)
	inner := errors.New("crosses")
	require.ErrorIs(t, outlineError(inner), inner)
	require.ErrorContains(t, outlineError(inner), "outline")
}

func BenchmarkFitOutline100(b *testing.B) {
	rng := source(10, 0)
	marks := newPane(rng, maker{}).edgeMarks(rng, 100, 0.5)
	for b.Loop() {
		fitOutline(b, marks)
	}
}

func BenchmarkFitOutline20000(b *testing.B) {
	rng := source(10, 1)
	marks := newPane(rng, maker{}).probeMarks(rng, 20000, 0.05)
	for b.Loop() {
		fitOutline(b, marks)
	}
}
