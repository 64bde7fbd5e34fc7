package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// regular returns a regular polygon of n points and circumradius r.
func regular(n int, r float64) Polygon {
	p := make(Polygon, n)
	for i := range p {
		a := 2 * math.Pi * float64(i) / float64(n)
		p[i] = r2.Vec{X: r * math.Cos(a), Y: r * math.Sin(a)}
	}
	return p
}

// TestPolygonMeasures: the shoelace formula and its fellows on figures whose
// values are known in closed form.
func TestPolygonMeasures(t *testing.T) {
	for name, tc := range map[string]struct {
		p               Polygon
		area, perimeter float64
		centroid        r2.Vec
	}{
		"triangle 3-4-5": {Polygon{{X: 0}, {X: 4}, {X: 4, Y: 3}}, 6, 12, r2.Vec{X: 8. / 3, Y: 1}},
		"clockwise":      {Polygon{{X: 0}, {X: 4, Y: 3}, {X: 4}}, -6, 12, r2.Vec{X: 8. / 3, Y: 1}},
		"rectangle":      {rectangle(1480, 740), 1480 * 740, 2 * (1480 + 740), r2.Vec{}},
		"L": {Polygon{{}, {X: 3}, {X: 3, Y: 1}, {X: 1, Y: 1}, {X: 1, Y: 3}, {Y: 3}}, 5, 12,
			r2.Vec{X: 1.1, Y: 1.1}},
		"hexagon":   {regular(6, 10), 150 * math.Sqrt(3), 60, r2.Vec{}},
		"flat":      {Polygon{{X: 1}, {X: 2}, {X: 3}}, 0, 4, r2.Vec{X: 2}},
		"one point": {Polygon{{X: 7, Y: 8}}, 0, 0, r2.Vec{X: 7, Y: 8}},
		"none":      {nil, 0, 0, r2.Vec{}},
	} {
		assert.InDelta(t, tc.area, tc.p.Area(), 1e-9, name)
		assert.InDelta(t, tc.perimeter, tc.p.Perimeter(), 1e-9, name)
		assertVec(t, tc.centroid, tc.p.Centroid(), 1e-9, name)
	}
}

// TestPolygonFarAway: rounding does not grow with the square of the distance
// from the origin.
func TestPolygonFarAway(t *testing.T) {
	p := regular(100, 300)
	far := make(Polygon, len(p))
	for i := range p {
		far[i] = r2.Add(p[i], r2.Vec{X: 1e7, Y: 1e7})
	}
	assert.InEpsilon(t, p.Area(), far.Area(), 1e-9)
	assertVec(t, r2.Vec{X: 1e7, Y: 1e7}, far.Centroid(), 1e-6)
}

func TestPolygonContains(t *testing.T) {
	l := Polygon{{}, {X: 3}, {X: 3, Y: 1}, {X: 1, Y: 1}, {X: 1, Y: 3}, {Y: 3}}
	for _, tc := range []struct {
		q    r2.Vec
		want bool
	}{
		{r2.Vec{X: 0.5, Y: 0.5}, true}, {r2.Vec{X: 2, Y: 0.5}, true}, {r2.Vec{X: 0.5, Y: 2}, true},
		{r2.Vec{X: 2, Y: 2}, false}, {r2.Vec{X: -1, Y: 1}, false}, {r2.Vec{X: 4, Y: 0.5}, false},
		{r2.Vec{X: 0.5, Y: 1}, true}, {r2.Vec{X: -1, Y: 3}, false}, // level with points
		{r2.Vec{X: 2, Y: 1.5}, false}, {r2.Vec{X: math.NaN()}, false},
	} {
		assert.Equal(t, tc.want, l.Contains(tc.q), "%v", tc.q)
	}
	assert.False(t, Polygon(nil).Contains(r2.Vec{}))
}

// TestPolygonContainsTurned: turning the whole changes nothing.
func TestPolygonContainsTurned(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 1))
	p := Polygon{{}, {X: 30}, {X: 30, Y: 10}, {X: 10, Y: 10}, {X: 10, Y: 30}, {Y: 30}}
	for range 500 {
		q, a := r2.Vec{X: 40*rng.Float64() - 5, Y: 40*rng.Float64() - 5}, 2*math.Pi*rng.Float64()
		turned := make(Polygon, len(p))
		for i := range p {
			turned[i] = r2.Rotate(p[i], a, r2.Vec{})
		}
		if p.Distance(q) > 1e-9 {
			assert.Equal(t, p.Contains(q), turned.Contains(r2.Rotate(q, a, r2.Vec{})))
		}
	}
}

func TestPolygonDistance(t *testing.T) {
	p := Polygon(rectangle(4, 2))
	for _, tc := range []struct {
		q    r2.Vec
		want float64
	}{
		{r2.Vec{}, 1}, {r2.Vec{X: 2}, 0}, {r2.Vec{X: 5, Y: 5}, 5}, {r2.Vec{X: 1.5, Y: 0}, 0.5}, {r2.Vec{Y: -4}, 3},
	} {
		assert.InDelta(t, tc.want, p.Distance(tc.q), 1e-12)
	}
	assert.True(t, math.IsInf(Polygon(nil).Distance(r2.Vec{}), 1))
	assert.InDelta(t, 5, Polygon{{X: 3, Y: 4}}.Distance(r2.Vec{}), 1e-12)
}

func TestPolygonIsSimple(t *testing.T) {
	square := func(more ...r2.Vec) Polygon { return append(Polygon{{}, {X: 10}, {X: 10, Y: 10}, {Y: 10}}, more...) }
	for name, tc := range map[string]struct {
		p    Polygon
		at   r2.Vec // of the crossing
		says string // of another fault
	}{
		"square":         {p: square()},
		"straight angle": {p: square(r2.Vec{Y: 5})},
		"triangle":       {p: Polygon{{}, {X: 1}, {Y: 1}}},
		"bow tie":        {p: Polygon{{}, {X: 10, Y: 10}, {X: 10}, {Y: 10}}, at: r2.Vec{X: 5, Y: 5}},
		"touches edge":   {p: square(r2.Vec{X: 10, Y: 5}), at: r2.Vec{X: 10, Y: 5}},
		"touches point":  {p: Polygon{{}, {X: 5, Y: 5}, {X: 10}, {X: 10, Y: 10}, {X: 5, Y: 5}, {Y: 10}}, at: r2.Vec{X: 5, Y: 5}},
		"doubles back":   {p: Polygon{{}, {X: 10}, {X: 5}, {X: 5, Y: 5}}, at: r2.Vec{X: 10}},
		"back at start":  {p: Polygon{{X: 5}, {X: 5, Y: 5}, {}, {X: 10}}, at: r2.Vec{X: 10}},
		"back at first":  {p: Polygon{{X: 10}, {X: 5}, {X: 5, Y: 5}, {}}, at: r2.Vec{X: 10}},
		"flat":           {p: Polygon{{}, {X: 1}, {X: 2}}, at: r2.Vec{}},
		"point twice":    {p: square(r2.Vec{Y: 10}), says: "twice"},
		"closed again":   {p: square(r2.Vec{}), says: "twice"},
		"no number":      {p: square(r2.Vec{X: math.NaN()}), says: "not finite"},
		"two points":     {p: Polygon{{}, {X: 1}}, says: "2 points"},
		"none":           {says: "0 points"},
	} {
		err := tc.p.IsSimple()
		var crossing *CrossingError
		switch {
		case tc.says != "":
			assert.ErrorContains(t, err, tc.says, name)
		case name == "flat":
			assert.ErrorAs(t, err, &crossing, name)
		case tc.at != r2.Vec{}:
			require.ErrorAs(t, err, &crossing, name)
			assertVec(t, tc.at, crossing.At, 1e-12, name)
			assert.Contains(t, err.Error(), "crosses itself")
		default:
			assert.NoError(t, err, name)
		}
	}
}

// TestPolygonIsSimpleAgainstAllPairs: the tree forgets no pair of edges.
func TestPolygonIsSimpleAgainstAllPairs(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 2))
	simple := 0
	for range 3000 {
		n := 3 + rng.IntN(20)
		p, spread := regular(n, 100), 40*rng.Float64()
		for i := range p {
			p[i] = r2.Add(p[i], r2.Vec{X: spread * rng.NormFloat64(), Y: spread * rng.NormFloat64()})
		}
		want := true
		for i := range p {
			for j := i + 1; j < n; j++ {
				if _, meet := p.edgesMeet(i, j); meet {
					want = false
				}
			}
		}
		assert.Equal(t, want, p.IsSimple() == nil)
		if want {
			simple++
		}
	}
	assert.Greater(t, simple, 500)
	assert.Less(t, simple, 2500)
}

// TestBoxTreePairs: every touching pair once, in order.
func TestBoxTreePairs(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 3))
	for n := 1; n < 40; n++ {
		boxes := make([]r2.Box, n)
		for i := range boxes {
			a := r2.Vec{X: 10 * rng.Float64(), Y: 10 * rng.Float64()}
			boxes[i] = segmentBox(a, r2.Add(a, r2.Vec{X: 3 * rng.NormFloat64(), Y: 3 * rng.NormFloat64()}))
		}
		got := map[[2]int]int{}
		newBoxTree(n, func(i int) r2.Box { return boxes[i] }).overlaps(func(i, j int) bool {
			got[[2]int{i, j}]++
			return true
		})
		for i := range boxes {
			for j := range boxes {
				want := 0
				if i < j && touch(&boxes[i], &boxes[j]) {
					want = 1
				}
				assert.Equal(t, want, got[[2]int{i, j}])
			}
		}
	}
}

func BenchmarkPolygonIsSimple(b *testing.B) {
	for name, p := range map[string]Polygon{"circle": regular(5000, 700), "sides": sides(5000)} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if err := p.IsSimple(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// sides returns a square with n points spread over its sides.
func sides(n int) Polygon {
	var p Polygon
	corners := rectangle(1000, 1000)
	for i, a := range corners {
		b := corners[(i+1)%4]
		for k := range n / 4 {
			p = append(p, r2.Add(a, r2.Scale(float64(k)/float64(n/4), r2.Sub(b, a))))
		}
	}
	return p
}
