package board

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
)

// BenchmarkOffers times all offers of a job alone: 64 stations, 36 heights, five
// suspects. The bar is 5 ms.
func BenchmarkOffers(b *testing.B) {
	j := benchJob()
	s := &solve{ctx: context.Background(), job: j, m: &Model{Job: j, Results: make([]Result, len(j.Readings))}}
	s.gather()
	for _, step := range []func() error{s.freeOutline, s.freeFace, s.centre, s.pane} {
		if err := step(); err != nil {
			b.Fatal(err)
		}
	}
	s.results()
	s.figures()
	suspects := 0
	for _, r := range s.m.Results {
		if r.State == Suspect || r.BadHeight {
			suspects++
		}
	}
	if suspects != 5 {
		b.Fatalf("%d suspects", suspects)
	}
	kept := append([]Result(nil), s.m.Results...)
	for b.Loop() {
		copy(s.m.Results, kept)
		s.offers()
	}
}

// benchJob is a rounded pane on an arched face with five slips.
func benchJob() *Job {
	j := NewJob("bench")
	rng := rand.New(rand.NewPCG(1, 1))
	put := func(k Kind, x, y float64) {
		z := 150 - x*x/4000 - y*y/9000
		n := func(v float64) Cell { return j.Typed(decimals(v+0.3*rng.NormFloat64(), 1)) }
		j.Readings = append(j.Readings, Reading{ID: j.NextID(k), Kind: k, X: n(x), Y: n(y + 500), Z: n(z)})
	}
	for i := range 64 {
		x, y := superellipse(float64(i) / 64)
		put(Edge, 600*x, 350*y)
	}
	for i := range 36 {
		put(Face, float64(i%6-3)*150+75, float64(i/6-3)*80+40)
	}
	j.Mirror = MirrorNone
	slip := func(i int, field, text string) { j.Readings[i].cell(field).Text = text }
	slip(5, "x", "105.2")
	slip(20, "y", "940.1")
	slip(40, "x", "300.4")
	slip(70, "z", "13.1")
	slip(80, "z", "188.8")
	j.Evaluate()
	return j
}

// superellipse is a rounded rectangle of half sides 1, a share f of the way round.
func superellipse(f float64) (x, y float64) {
	s, c := math.Sincos(2 * math.Pi * f)
	r := math.Pow(math.Pow(math.Abs(c), 5)+math.Pow(math.Abs(s), 5), -0.2)
	return r * c, r * s
}
