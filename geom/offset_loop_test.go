package geom

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// sharp returns the points at which a polygon turns by more than 0.35.
func sharp(p Polygon) []r2.Vec {
	var out []r2.Vec
	for i := range p {
		a, b := p.edge(i)
		_, c := p.edge((i + 1) % len(p))
		u, v := r2.Sub(b, a), r2.Sub(c, b)
		if math.Abs(math.Atan2(r2.Cross(u, v), r2.Dot(u, v))) > 0.35 {
			out = append(out, b)
		}
	}
	return out
}

// TestOffsetLoopSharpCorners: inward beyond the corners' radius, a rounded
// rectangle leaves a rectangle with sharp corners: the branches are straight,
// so where they cross is known.
func TestOffsetLoopSharpCorners(t *testing.T) {
	f, breaks := filleted(rectangle(400, 250), []float64{8, 8, 12, 12})
	c, err := FitClosed(f, breaks, 1e-7)
	require.NoError(t, err)
	for _, d := range []float64{12.5, 20, 40, 110} {
		line, err := c.OffsetLoop(-d, 0.01)
		require.NoError(t, err)
		corners := sharp(line)
		require.Len(t, corners, 4)
		for _, p := range corners {
			assert.InDelta(t, 200-d, math.Abs(p.X), 1e-6)
			assert.InDelta(t, 125-d, math.Abs(p.Y), 1e-6)
		}
		assert.InEpsilon(t, (400-2*d)*(250-2*d), line.Area(), 1e-6)
		assert.Equal(t, r2.Vec{X: 0, Y: -125 + d}, roundTo(line[0], 1e-6), "starts with the curve")
	}
}

func roundTo(p r2.Vec, unit float64) r2.Vec {
	return r2.Vec{X: math.Round(p.X/unit)*unit + 0, Y: math.Round(p.Y/unit) * unit}
}

// TestOffsetLoopJustTooTight: where a corner's radius and the distance all but
// agree, the loops are very small, several to a corner because the radius
// wavers, and cut away all the same.
func TestOffsetLoopJustTooTight(t *testing.T) {
	c := screen(t)
	least, _ := c.LeastRadius()
	for _, more := range []float64{-1e-3, -1e-9, 0, 1e-9, 1e-6, 1e-4, 1e-3, 0.01, 0.1, 0.5, 1, 2, 3} {
		_, err := c.OffsetLoop(-least-more, 0.01)
		require.NoError(t, err, "%g mm more", more)
	}
	for d := 29.9; d < 30.4; d += 0.023 {
		for _, sag := range []float64{0.1, 0.01, 0.002} {
			_, err := c.OffsetLoop(-d, sag)
			require.NoError(t, err, "%g mm, sag %g", d, sag)
		}
	}
}

// TestVerifyLoop: the check of a finished loop finds what is wrong with it.
func TestVerifyLoop(t *testing.T) {
	p := parallel{roundCurve(t, 300), -20}
	good := regular(600, 280)
	require.NoError(t, p.verifyLoop(good, 0.01))
	pushed := append(Polygon(nil), good...)
	pushed[7] = r2.Scale(1.0001, pushed[7])
	for says, line := range map[string]Polygon{
		"nothing is left":   good[:2],
		"misses":            pushed,
		"crosses itself":    append(append(Polygon(nil), good...), good...),
		"its distance by 4": regular(600, 320),
	} {
		var no *OffsetError
		require.ErrorAs(t, p.verifyLoop(line, 0.01), &no)
		assert.Contains(t, no.Reason, says)
	}
	backwards := append(Polygon(nil), good...)
	slices.Reverse(backwards)
	assert.ErrorContains(t, p.verifyLoop(backwards, 0.01), "nothing is left")
}

// TestOffsetLoopHollow: outward into a slot wider than twice the distance, the
// corners at its bottom turn sharp.
func TestOffsetLoopHollow(t *testing.T) {
	line, err := notched(t, 80).OffsetLoop(20, 0.01)
	require.NoError(t, err)
	corners := sharp(line)
	require.Len(t, corners, 2)
	for _, p := range corners {
		assert.InDelta(t, 20, math.Abs(p.X), 1e-6)
		assert.InDelta(t, 70, p.Y, 1e-6)
	}
}

// TestOffsetLoopClosesSlot: outward over a slot narrower than twice the
// distance, the arcs about the corners of its mouth meet: their centres are
// (±25, 190), their radii 10 + 20.
func TestOffsetLoopClosesSlot(t *testing.T) {
	line, err := notched(t, 30).OffsetLoop(20, 0.01)
	require.NoError(t, err)
	corners := sharp(line)
	require.Len(t, corners, 1)
	assertVec(t, r2.Vec{X: 0, Y: 190 + math.Sqrt(30*30-25*25)}, corners[0], 1e-5)
}

// TestOffsetLoopKeepsOneLobe: a square with an arm too narrow for the offset
// keeps the square alone. What is left bulges towards the arm, between arcs of
// radius 55 about (-30, ±50), and has four corners of radius 10.
func TestOffsetLoopKeepsOneLobe(t *testing.T) {
	c := fitted(t, []r2.Vec{
		{X: -50, Y: -30}, {X: 350, Y: -30}, {X: 350, Y: 30},
		{X: -50, Y: 30}, {X: -50, Y: 150}, {X: -350, Y: 150}, {X: -350, Y: -150}, {X: -50, Y: -150},
	}, 20, 12, 12, 20, 45, 45, 45, 45)
	const sag = 0.01
	line, err := c.OffsetLoop(-35, sag)
	require.NoError(t, err)
	tip := math.Sqrt(55*55 - 50*50)
	corners := sharp(line)
	require.Len(t, corners, 1)
	assertVec(t, r2.Vec{X: -30 - tip, Y: 0}, corners[0], 0.02)
	bulge := 2*55*50 - (50*tip + 55*55*math.Asin(50./55))
	assert.InDelta(t, 230*230+bulge-(4-math.Pi)*10*10, line.Area(), (sag+0.005)*line.Perimeter())
}

func TestOffsetLoopRefuses(t *testing.T) {
	var no *OffsetError
	_, err := dumbbell(t).OffsetLoop(-40, 0.01)
	require.ErrorAs(t, err, &no)
	assert.Contains(t, no.Reason, "several pieces")
	assert.Less(t, math.Abs(no.At.X), 90.0, "by the neck")

	_, err = fitted(t, rectangle(400, 100), 20).OffsetLoop(-60, 0.01)
	require.ErrorAs(t, err, &no)
	assert.Contains(t, no.Reason, "nothing is left")
}

func TestOffsetLoopOfNought(t *testing.T) {
	c := screen(t)
	line, err := c.OffsetLoop(0, 0.01)
	require.NoError(t, err)
	assert.InDelta(t, c.Area(), line.Area(), 0.01*c.Length())
	for _, p := range line {
		_, d := c.Nearest(p)
		assert.InDelta(t, 0, d, 1e-9)
	}
}

// TestTrimmedLoop: of points that all but coincide one is left, a corner
// rather than a sample, over the end of the list too.
func TestTrimmedLoop(t *testing.T) {
	l := trimmedLoop{merge: 0.1}
	at := func(x, y float64) r2.Vec { return r2.Vec{X: x, Y: y} }
	l.add(at(0, 0), false)
	l.add(at(0.05, 0), false) // dropped
	l.add(at(10, 0), false)   // gives way to the corner
	l.add(at(10.01, 0), true)
	l.add(at(10.02, 0.01), false) // dropped
	l.add(at(10, 10), false)
	l.add(at(0.01, 0.01), true) // the first point gives way
	assert.Equal(t, Polygon{at(10.01, 0), at(10, 10), at(0.01, 0.01)}, l.closed())
}

func BenchmarkOffsetLoop(b *testing.B) {
	for name, d := range map[string]float64{"out 20": 20, "in 16": -16, "in 40": -40} {
		b.Run(name, func(b *testing.B) {
			c := screen(b)
			for b.Loop() {
				if _, err := c.OffsetLoop(d, 0.01); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
