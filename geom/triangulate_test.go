package geom

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// checkTriangulation proves that tri is a constrained Delaunay triangulation of
// pts and segs, or says what is wrong. It shares no code with Triangulate but
// the predicates.
func checkTriangulation(tri *Triangulation, pts []PlanPoint, segs [][2]int32) error {
	if !slices.Equal(tri.P, pts) {
		return fmt.Errorf("points changed")
	}
	type edge struct{ v, w int32 }
	at := map[edge]int{}
	var area int64
	used := make([]bool, len(pts))
	for i, t := range tri.T {
		twice := orient(pts[t[0]], pts[t[1]], pts[t[2]])
		if twice <= 0 {
			return fmt.Errorf("triangle %d is not counter-clockwise", i)
		}
		area += twice
		for k, v := range t {
			e := edge{v, t[(k+1)%3]}
			if _, ok := at[e]; ok {
				return fmt.Errorf("edge %v twice", e)
			}
			at[e] = 3*i + k
			used[v] = true
		}
	}
	if i := slices.Index(used, false); i >= 0 {
		return fmt.Errorf("point %d unused", i)
	}
	hull, hullArea := hullSize(pts)
	if area != hullArea {
		return fmt.Errorf("area %d, hull %d", area, hullArea)
	}
	open := 0
	for e, at1 := range at {
		i, k := at1/3, at1%3
		at2, ok := at[edge{e.w, e.v}]
		if !ok {
			open++
			if tri.N[i][k] != -1 {
				return fmt.Errorf("hull edge %v has a neighbour", e)
			}
			continue
		}
		j, l := at2/3, at2%3
		if int(tri.N[i][k]) != j || tri.Fixed[i][k] != tri.Fixed[j][l] {
			return fmt.Errorf("edge %v: neighbours disagree", e)
		}
		apex := tri.T[j][(l+2)%3]
		t := tri.T[i]
		if !tri.Fixed[i][k] && inCircleBig(pts[t[0]], pts[t[1]], pts[t[2]], pts[apex]) > 0 {
			return fmt.Errorf("edge %v is not Delaunay", e)
		}
	}
	if open != hull {
		return fmt.Errorf("%d hull edges, want %d", open, hull)
	}
	// Euler: V - E + F = 1 for a disc.
	if e := (len(at)-open)/2 + open; len(pts)-e+len(tri.T) != 1 {
		return fmt.Errorf("euler: %d - %d + %d", len(pts), e, len(tri.T))
	}
	return checkSegments(tri, segs)
}

// checkSegments makes sure that each segment is a chain of fixed edges and that
// no other edge is fixed.
func checkSegments(tri *Triangulation, segs [][2]int32) error {
	fixed := map[[2]int32]bool{}
	for i, t := range tri.T {
		for k := range t {
			if tri.Fixed[i][k] {
				v, w := t[k], t[(k+1)%3]
				fixed[[2]int32{min(v, w), max(v, w)}] = true
			}
		}
	}
	due := map[[2]int32]bool{}
	for _, s := range segs {
		a, z := tri.P[s[0]], tri.P[s[1]]
		on := []int32{}
		for i, p := range tri.P {
			if orient(a, z, p) == 0 && along(a, z, p) >= 0 && along(z, a, p) >= 0 {
				on = append(on, int32(i))
			}
		}
		slices.SortFunc(on, func(i, j int32) int { return int(along(a, z, tri.P[i]) - along(a, z, tri.P[j])) })
		for k := 1; k < len(on); k++ {
			e := [2]int32{min(on[k-1], on[k]), max(on[k-1], on[k])}
			if !fixed[e] {
				return fmt.Errorf("segment %v lacks its edge %v", s, e)
			}
			due[e] = true
		}
	}
	if len(due) != len(fixed) {
		return fmt.Errorf("%d fixed edges, want %d", len(fixed), len(due))
	}
	return nil
}

// hullSize returns the number of points on the convex hull's boundary and twice
// its area, by Andrew's monotone chain (Inf. Proc. Letters 9, 1979, 216-219).
func hullSize(pts []PlanPoint) (n int, twice int64) {
	p := slices.Clone(pts)
	slices.SortFunc(p, func(a, b PlanPoint) int {
		if a.X != b.X {
			return int(a.X - b.X)
		}
		return int(a.Y - b.Y)
	})
	half := func() []PlanPoint {
		var h []PlanPoint
		for _, q := range p {
			for len(h) >= 2 && orient(h[len(h)-2], h[len(h)-1], q) < 0 {
				h = h[:len(h)-1]
			}
			h = append(h, q)
		}
		return h
	}
	lower := half()
	slices.Reverse(p)
	upper := half()
	hull := append(lower[:len(lower)-1], upper[:len(upper)-1]...)
	for i, q := range hull {
		r := hull[(i+1)%len(hull)]
		twice += q.X*r.Y - q.Y*r.X
	}
	return len(hull), twice
}

// randomPlan returns n different points within ±span µm.
func randomPlan(rng *rand.Rand, n int, span int64) []PlanPoint {
	seen := map[PlanPoint]bool{}
	var pts []PlanPoint
	for len(pts) < n {
		p := PlanPoint{rng.Int64N(2*span+1) - span, rng.Int64N(2*span+1) - span}
		if !seen[p] {
			seen[p] = true
			pts = append(pts, p)
		}
	}
	return pts
}

// ring appends the loop of n points on an ellipse and returns its segments.
func ring(pts []PlanPoint, n int, a, b float64) ([]PlanPoint, [][2]int32) {
	first := int32(len(pts))
	var segs [][2]int32
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		pts = append(pts, PlanPoint{int64(a * c), int64(b * s)})
		segs = append(segs, [2]int32{first + int32(i), first + int32((i+1)%n)})
	}
	return pts, segs
}

func lattice(n int, pitch int64) []PlanPoint {
	var pts []PlanPoint
	for i := range n {
		for j := range n {
			pts = append(pts, PlanPoint{int64(i) * pitch, int64(j) * pitch})
		}
	}
	return pts
}

func TestTriangulatePoints(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	ellipse, _ := ring(nil, 300, 700_000, 350_000)
	for _, c := range []struct {
		name string
		pts  []PlanPoint
	}{
		{"one triangle", []PlanPoint{{0, 0}, {5, 0}, {0, 5}}},
		{"clockwise triangle", []PlanPoint{{0, 0}, {0, 5}, {5, 0}}},
		{"square", []PlanPoint{{0, 0}, {1, 0}, {1, 1}, {0, 1}}},
		{"straight chain and one above", []PlanPoint{{0, 0}, {1, 0}, {2, 0}, {3, 0}, {4, 1}}},
		{"straight chain and one below", []PlanPoint{{0, 0}, {1, 1}, {2, 2}, {3, 3}, {4, 0}}},
		{"upright chain", []PlanPoint{{0, 0}, {0, 1}, {0, 2}, {0, 3}, {1, 1}}},
		{"hull edge run on", []PlanPoint{{0, 0}, {2, 0}, {1, 1}, {4, 0}, {6, 0}}},
		{"lattice, every square on a circle", lattice(20, 1000)},
		{"ellipse, all on the hull", ellipse},
		{"crowded grid", randomPlan(rng, 200, 9)},
		{"4 m", randomPlan(rng, 2000, 4_000_000)},
		{"to the bounds", []PlanPoint{{-MaxMicrons, -MaxMicrons}, {MaxMicrons, -MaxMicrons}, {MaxMicrons, MaxMicrons}, {-MaxMicrons, MaxMicrons}, {1, 0}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			tri, err := Triangulate(c.pts, nil)
			require.NoError(t, err)
			require.NoError(t, checkTriangulation(tri, c.pts, nil))
		})
	}
}

func TestTriangulateSegments(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	square := []PlanPoint{{0, 0}, {10, 0}, {10, 10}, {0, 10}}
	loops, segs := ring(nil, 90, 700_000, 300_000)
	loops, inner := ring(loops, 61, 650_000, 250_000)
	segs = append(segs, inner...)
	loops = append(loops, PlanPoint{0, 0}, PlanPoint{-900_000, -500_000}, PlanPoint{900_000, 500_001})
	crowd := append([]PlanPoint{{-2000, 3}, {2000, -1}}, randomPlan(rng, 400, 1500)...)
	for _, c := range []struct {
		name string
		pts  []PlanPoint
		segs [][2]int32
	}{
		{"hull edges", square, [][2]int32{{0, 1}, {1, 2}, {2, 3}, {3, 0}}},
		{"one diagonal", square, [][2]int32{{0, 2}}},
		{"other diagonal", square, [][2]int32{{3, 1}}},
		{"twice and backwards", square, [][2]int32{{0, 2}, {2, 0}, {0, 2}}},
		{"through a point", append(slices.Clone(square), PlanPoint{5, 5}), [][2]int32{{0, 2}, {1, 3}}},
		{"along the hull past points", []PlanPoint{{0, 0}, {3, 0}, {7, 0}, {9, 0}, {4, 5}}, [][2]int32{{3, 0}}},
		{"against a hull edge at its end", []PlanPoint{{0, 0}, {9, 0}, {4, 1}, {5, 9}}, [][2]int32{{1, 3}, {0, 3}, {3, 0}}},
		{"laid over one another", []PlanPoint{{0, 0}, {3, 0}, {7, 0}, {9, 0}, {4, 5}, {4, -5}}, [][2]int32{{0, 2}, {1, 3}}},
		{"long, through a crowd", crowd, [][2]int32{{0, 1}}},
		{"two loops", loops, segs},
		{"row and diagonal of a lattice", lattice(12, 10), [][2]int32{{0, 11}, {0, 143}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			tri, err := Triangulate(c.pts, c.segs)
			require.NoError(t, err)
			require.NoError(t, checkTriangulation(tri, c.pts, c.segs))
		})
	}
}

// TestTriangulateRandomSegments adds random segments, keeping those that cross
// none before, and expects an error for exactly the others.
func TestTriangulateRandomSegments(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	crosses := func(p []PlanPoint, s, u [2]int32) bool {
		a, b, c, d := p[s[0]], p[s[1]], p[u[0]], p[u[1]]
		o1, o2, o3, o4 := orient(a, b, c), orient(a, b, d), orient(c, d, a), orient(c, d, b)
		if !(o1 > 0 && o2 < 0 || o1 < 0 && o2 > 0) || !(o3 > 0 && o4 < 0 || o3 < 0 && o4 > 0) {
			return false
		}
		// A point of the plan where they cross splits both: no fault.
		return !slices.ContainsFunc(p, func(q PlanPoint) bool { return orient(a, b, q) == 0 && orient(c, d, q) == 0 })
	}
	refused := 0
	for run := range 150 {
		pts := randomPlan(rng, 4+rng.IntN(60), 4<<rng.IntN(18))
		var kept [][2]int32
		for range 30 {
			s := [2]int32{rng.Int32N(int32(len(pts))), rng.Int32N(int32(len(pts)))}
			bad := s[0] == s[1]
			for _, u := range kept {
				bad = bad || crosses(pts, s, u)
			}
			tri, err := Triangulate(pts, append(slices.Clone(kept), s))
			if bad {
				require.Error(t, err, "run %d: segment %v past %v", run, s, kept)
				refused++
				continue
			}
			require.NoError(t, err, "run %d: segment %v past %v", run, s, kept)
			kept = append(kept, s)
			require.NoError(t, checkTriangulation(tri, pts, kept), "run %d", run)
		}
	}
	assert.Positive(t, refused)
}

func TestTriangulateRefuses(t *testing.T) {
	square := []PlanPoint{{0, 0}, {10_000, 0}, {10_000, 10_000}, {0, 10_000}}
	for _, c := range []struct {
		name string
		pts  []PlanPoint
		segs [][2]int32
		want string
	}{
		{"nothing", nil, nil, "three are needed"},
		{"two points", square[:2], nil, "three are needed"},
		{"one line", []PlanPoint{{0, 0}, {1, 2}, {2, 4}, {-3, -6}}, nil, "one line"},
		{"alike", append(slices.Clone(square), PlanPoint{10_000, 0}), nil, "points 1 and 4 are alike"},
		{"off the grid", append(slices.Clone(square), PlanPoint{offGrid, 0}), nil, "not a place"},
		{"crossing", square, [][2]int32{{0, 2}, {1, 3}}, "(5.000, 5.000) mm: two segments cross"},
		{"no length", square, [][2]int32{{2, 2}}, "without length"},
		{"no such point", square, [][2]int32{{0, 4}}, "not there"},
		{"negative point", square, [][2]int32{{-1, 2}}, "not there"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Triangulate(c.pts, c.segs)
			var plan *PlanError
			require.ErrorAs(t, err, &plan)
			assert.ErrorContains(t, err, c.want)
		})
	}
}

// TestCheckTriangulationCatches feeds the checker with broken input.
func TestCheckTriangulationCatches(t *testing.T) {
	pts := []PlanPoint{{0, 0}, {10, 0}, {13, 10}, {0, 10}, {4, 5}}
	segs := [][2]int32{{0, 4}}
	for _, c := range []struct {
		name  string
		spoil func(*Triangulation)
	}{
		{"turned", func(tri *Triangulation) { t := &tri.T[0]; t[0], t[1] = t[1], t[0] }},
		{"missing", func(tri *Triangulation) { tri.T = tri.T[1:] }},
		{"twice", func(tri *Triangulation) { tri.T = append(tri.T, tri.T[0]); tri.N = append(tri.N, tri.N[0]) }},
		{"neighbour", func(tri *Triangulation) { tri.N[1] = [3]int32{} }},
		{"segment forgotten", func(tri *Triangulation) { tri.Fixed = make([][3]bool, len(tri.T)) }},
		{"moved", func(tri *Triangulation) { tri.P[4] = PlanPoint{5, 5} }},
	} {
		t.Run(c.name, func(t *testing.T) {
			tri, err := Triangulate(pts, segs)
			require.NoError(t, err)
			require.NoError(t, checkTriangulation(tri, pts, segs))
			c.spoil(tri)
			assert.Error(t, checkTriangulation(tri, pts, segs))
		})
	}
	t.Run("not Delaunay", func(t *testing.T) {
		flat := []PlanPoint{{0, 0}, {10, -1}, {20, 0}, {10, 1}}
		tri, err := Triangulate(flat, [][2]int32{{0, 2}})
		require.NoError(t, err)
		tri.Fixed = make([][3]bool, len(tri.T))
		assert.ErrorContains(t, checkTriangulation(tri, flat, nil), "not Delaunay")
	})
}

func TestTriangulateIsRepeatable(t *testing.T) {
	pts := randomPlan(rand.New(rand.NewPCG(9, 10)), 500, 1000)
	first, err := Triangulate(pts, nil)
	require.NoError(t, err)
	again, err := Triangulate(pts, nil)
	require.NoError(t, err)
	assert.Equal(t, first, again)
}

func TestRegions(t *testing.T) {
	pts, segs := ring(nil, 40, 9000, 9000)
	pts, inner := ring(pts, 30, 5000, 5000)
	pts = append(pts, PlanPoint{}, PlanPoint{-20_000, -20_000}, PlanPoint{20_000, -20_000}, PlanPoint{0, 30_000})
	tri, err := Triangulate(pts, append(segs, inner...))
	require.NoError(t, err)
	region, n := tri.Regions()
	require.Equal(t, 3, n)
	area := make([]float64, n)
	for i, tt := range tri.T {
		area[region[i]] += float64(orient(pts[tt[0]], pts[tt[1]], pts[tt[2]])) / 2
	}
	slices.Sort(area)
	polygon := func(k int, r float64) float64 { return float64(k) / 2 * r * r * math.Sin(2*math.Pi/float64(k)) }
	disc, hole := polygon(40, 9000), polygon(30, 5000)
	// Points are rounded to the micron: 1 µm times the girth.
	assert.InDelta(t, hole, area[0], 2*math.Pi*5000)
	assert.InDelta(t, disc-hole, area[1], 2*math.Pi*14000)
	assert.InDelta(t, 40_000*50_000/2-disc, area[2], 2*math.Pi*9000)
}

// pocketPlan is a plan as the pocket has it: loops, and a lattice between them.
func pocketPlan(n int) ([]PlanPoint, [][2]int32) {
	pts, segs := ring(nil, n/40, 740_000, 395_000)
	for _, in := range []float64{6000, 11_000, 17_000} {
		var s [][2]int32
		pts, s = ring(pts, n/40, 740_000-in, 395_000-in)
		segs = append(segs, s...)
	}
	rng := rand.New(rand.NewPCG(11, 12))
	pitch := int64(math.Sqrt(1.6e6 * 0.9e6 / float64(n)))
	for x := int64(-800_000); x <= 800_000; x += pitch {
		for y := int64(-450_000); y <= 450_000; y += pitch {
			pts = append(pts, PlanPoint{x + rng.Int64N(pitch/2), y + rng.Int64N(pitch/2)})
		}
	}
	return pts, segs
}

func BenchmarkTriangulate(b *testing.B) {
	ellipse, ellipseSegs := ring(nil, 10_000, 3e6, 1.5e6)
	plan, planSegs := pocketPlan(30_000)
	for _, c := range []struct {
		name string
		pts  []PlanPoint
		segs [][2]int32
	}{
		{"30000 random", randomPlan(rand.New(rand.NewPCG(13, 14)), 30_000, 4_000_000), nil},
		{"30000 lattice", lattice(173, 10_000), nil},
		{"10000 on one ellipse", ellipse, ellipseSegs},
		{"30000 loops and lattice", plan, planSegs},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Triangulate(c.pts, c.segs); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
