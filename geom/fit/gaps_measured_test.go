package fit_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom/fit"
)

// roughness is a smooth error of the wall: waves along the edge.
type roughness struct {
	name string
	size float64 // mm RMS
	even bool    // the same on both halves
}

func (h roughness) draw(rng *rand.Rand) func(s, girth float64) float64 {
	const waves = 9
	var a, b [waves]float64
	var sum float64
	share := func(k int) float64 { return math.Exp(-float64(k+1) / 3) }
	for k := range waves {
		a[k], b[k] = rng.NormFloat64(), rng.NormFloat64()
		if h.even {
			a[k], b[k] = a[k]*math.Sqrt2, 0
		}
		sum += share(k)
	}
	return func(s, girth float64) (v float64) {
		for k := range waves {
			sin, cos := math.Sincos(2 * math.Pi * float64(k+2) * s / girth)
			v += h.size * math.Sqrt(share(k)/sum) * (a[k]*cos + b[k]*sin)
		}
		return v
	}
}

// Bars of 24 stations whose gaps are read to 0.15 mm (one sigma), where the
// shape has no error of its own.
const (
	offsetBar = 0.07           // mm RMS
	skewBar   = 0.018 * degree // RMS
)

// tally gathers what 24 stations tell of many invented panes.
type tally struct {
	offset, skew          []float64
	offsetHeld, skewHeld  share // by their 95 % intervals
	before, first, second share // pockets that are snug: as cut, with offset and skew put right, with the rest too
	more                  int   // panes where a cause was taken up that was not there
}

// Offset and skew from the gaps of 24 stations, and how many pockets are snug
// at the second cut, put right by what the gaps of the first told: the centre
// line alone, and with the smooth rest.
func TestGapsMeasured(t *testing.T) {
	const laid = 5 // every so many is cut again and tried
	for _, h := range []roughness{{name: "no error of the shape"}, {"shape off by 0.3 mm, both halves alike", 0.3, true}, {"shape off by 0.3 mm", 0.3, false}} {
		var c tally
		n := 200
		if h.size > 0 {
			n = 100
		}
		for i := range n {
			rng := source("gaps measured "+h.name, i)
			f := &trial{pane: roundCorners(rng, true), measured: 1 - 2*(i%2), clear: clearance,
				e: rng.NormFloat64(), alpha: 0.1 * degree * rng.NormFloat64(),
				x: 0.3 * rng.NormFloat64(), y: 0.3 * rng.NormFloat64(), w: 0.03 * degree * rng.NormFloat64()}
			if h.size > 0 {
				f.rough = h.draw(rng)
			}
			f.build(t, 24)
			g := c.take(t, f, f.gaps(rng, 0.15))
			if i%laid == 0 {
				c.cutAgain(t, f, g)
			}
		}
		t.Logf("%s: offset %.3f mm RMS, 95 %% intervals hold %.1f %%; skew %.4f°, %.1f %%; %d of %d with one cause too many; snug at the first cut %.1f %%, at the second with offset and skew put right %.1f %%, with the rest too %.1f %%",
			h.name, rms(c.offset), c.offsetHeld.percent(), rms(c.skew)/degree, c.skewHeld.percent(), c.more, n, c.before.percent(), c.first.percent(), c.second.percent())
		if h.size > 0 {
			continue
		}
		require.LessOrEqual(t, rms(c.offset), offsetBar, "mm")
		require.LessOrEqual(t, rms(c.skew), skewBar)
		for _, held := range []share{c.offsetHeld, c.skewHeld} {
			require.GreaterOrEqual(t, held.percent(), 92.0)
			require.LessOrEqual(t, held.percent(), 98.0)
		}
		require.GreaterOrEqual(t, c.second.percent(), 97.0)
	}
}

// The same where ledge gaps tell a roll too, and where wall gaps were tried with
// strips a tenth of a mm apart, or noted as tight: a pocket too narrow by more
// than its clearance, into which the glass was pressed.
func TestGapsMeasuredNotes(t *testing.T) {
	const n = 120
	var c tally
	var roll []float64
	var rollHeld share
	tight := 0
	for i := range n {
		rng := source("gaps measured notes", i)
		f := &trial{pane: roundCorners(rng, true), measured: 1 - 2*(i%2), clear: clearance,
			e: 0.8 * rng.NormFloat64(), alpha: 0.05 * degree * rng.NormFloat64(), roll: 0.05 * degree * rng.NormFloat64(),
			x: 0.3 * rng.NormFloat64(), y: 0.3 * rng.NormFloat64(), w: 0.02 * degree * rng.NormFloat64()}
		f.x += float64(f.measured) * f.e
		f.build(t, 24)
		r := f.gaps(nil, 0.15)
		for k := range r {
			r[k].Ledge = fit.GapOf(f.ledgeGap(r[k], 0.6, 4e-4, -3e-4)+0.15*rng.NormFloat64(), 0.15)
			strip := math.Floor(10*(r[k].Wall.Lo+0.05*rng.NormFloat64())) / 10
			r[k].Wall = fit.GapBetween(strip, strip+0.1)
			if strip <= 0 {
				r[k].Wall = fit.TightGap()
				tight++
			}
		}
		g := c.take(t, f, r)
		v, u, _ := found(g, fit.CauseRoll)
		roll = append(roll, v-f.roll)
		rollHeld.count(math.Abs(v-f.roll) <= 1.96*u)
	}
	t.Logf("%d gaps of %d tight: offset %.3f mm RMS, %.1f %%; skew %.4f°, %.1f %%; roll %.4f°, %.1f %%", tight, 24*n,
		rms(c.offset), c.offsetHeld.percent(), rms(c.skew)/degree, c.skewHeld.percent(), rms(roll)/degree, rollHeld.percent())
	for _, held := range []share{c.offsetHeld, c.skewHeld, rollHeld} {
		require.GreaterOrEqual(t, held.percent(), 92.0)
	}
}

// take explains the gaps and counts how near the truth that is.
func (c *tally) take(t *testing.T, f *trial, r []fit.GapReading) *fit.Gaps {
	g := explain(t, r, f.in())
	v, u, _ := found(g, fit.CauseOffset)
	c.offset = append(c.offset, v-f.e)
	c.offsetHeld.count(math.Abs(v-f.e) <= 1.96*u)
	v, u, _ = found(g, fit.CauseSkew)
	c.skew = append(c.skew, v-f.alpha)
	c.skewHeld.count(math.Abs(v-f.alpha) <= 1.96*u)
	if !centreOnly(g) {
		c.more++
	}
	return g
}

// cutAgain tries the glass in the pocket as it is and put right.
func (c *tally) cutAgain(t *testing.T, f *trial, g *fit.Gaps) {
	c.before.count(f.snug(t, func(fit.GapReading) float64 { return 0 }))
	for _, rest := range []bool{false, true} {
		ok := f.snug(t, func(r fit.GapReading) float64 { w, _ := g.Move(r, nil, rest); return w })
		if rest {
			c.second.count(ok)
		} else {
			c.first.count(ok)
		}
	}
}

// snug tells whether the glass drops in and has no gap above twice the
// clearance, the wall moved outward as told.
func (f *trial) snug(t *testing.T, move func(fit.GapReading) float64) bool {
	var wall []r2.Vec
	lo, hi := f.wall.Period()
	const points = 700
	for k := range points {
		q := f.wall.At(lo + (hi-lo)*float64(k)/points)
		u, _ := f.model.Nearest(q)
		p := f.model.At(u)
		r := fit.GapReading{At: p, Normal: f.model.Normal(u), S: f.model.LengthTo(u), Made: f.measured != 0 && p.X*float64(f.measured) < 0}
		wall = append(wall, r2.Add(q, r2.Scale(move(r), r.Normal)))
	}
	var edge []r2.Vec
	for i := 0; i < len(f.glass); i += len(f.glass) / 400 {
		edge = append(edge, f.glass[i])
	}
	least, most := place(through(t, wall), edge)
	return least >= 0 && most <= slack
}

// FuzzGaps holds that any gaps give an explanation without a number that is
// not one, or a typed error.
func FuzzGaps(f *testing.F) {
	f.Add([]byte{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12}, 1.5, 2500.0, 1)
	f.Add([]byte{0, 0, 0, 0, 0, 0}, 0.0, 1.0, -1)
	f.Add([]byte{255, 9, 255, 1, 255, 0, 13, 77, 200, 4, 3, 9, 200, 4, 3, 9}, -3.0, 4000.0, 0)
	f.Fuzz(func(t *testing.T, b []byte, clear, girth float64, measured int) {
		if len(b) > 200 {
			return
		}
		var r []fit.GapReading
		for i := 0; i+5 < len(b); i += 6 {
			sin, cos := math.Sincos(float64(b[i]) / 256 * 2 * math.Pi)
			q := fit.GapReading{At: r2.Vec{X: float64(b[i+1]) * 5 * cos, Y: float64(b[i+1]) * 3 * sin}, Normal: r2.Vec{X: cos, Y: sin},
				S: float64(b[i]) / 256 * girth, Made: b[i+2]&1 == 1, Height: float64(b[i+2]), Gradient: r2.Vec{X: float64(b[i+3]) / 64, Y: -0.2}}
			gaps := []fit.Gap{{}, fit.TightGap(), fit.GapOf(float64(b[i+4])/20-4, 0.15), fit.GapBetween(float64(b[i+4])/40, float64(b[i+5])/40),
				{Lo: float64(b[i+5]) / 30, Hi: math.Inf(1), SD: fit.BetweenSD}, fit.GapOf(float64(b[i+5]), 1e-6)}
			q.Wall, q.Ledge = gaps[int(b[i+2]>>1)%len(gaps)], gaps[int(b[i+2]>>4)%len(gaps)]
			r = append(r, q)
		}
		m := fit.GapModel{Clearance: clear, Girth: girth, Measured: measured, Joints: []fit.FixtureJoint{{At: r2.Vec{X: 30}, Along: r2.Vec{Y: 1}}}}
		g, err := fit.FitGaps(t.Context(), r, m)
		if err != nil {
			var e *fit.GapError
			require.ErrorAs(t, err, &e)
			return
		}
		number := func(v ...float64) {
			for _, x := range v {
				require.False(t, math.IsNaN(x) || math.IsInf(x, 0))
			}
		}
		number(g.Shift.X, g.Shift.Y, g.Turn, g.LeftOver)
		for _, c := range g.Causes {
			number(c.Value, c.U)
		}
		var sum float64
		for _, s := range g.Explained {
			number(s.Share)
			sum += s.Share
		}
		require.LessOrEqual(t, sum, 1+1e-9)
		for _, n := range g.Next(r, 1.5, nil, true) {
			number(n.Wall, n.WallU, n.Ledge, n.LedgeU)
		}
	})
}
