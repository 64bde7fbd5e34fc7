package firstcut

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
)

// Family is a kind of invented outline.
type Family int

// The families.
const (
	Round        Family = iota // bowed sides, corner arcs of 25 to 120 mm
	Soft                       // the same with corners blurred and sides warped
	Superellipse               // no side straight, no corner an arc
	Three                      // three corners, one of 18 to 60 mm, mirrored
	ThreeFree                  // the same without a mirror
)

// String names the family.
func (f Family) String() string {
	return [...]string{"round", "soft", "superellipse", "three", "three, no mirror"}[f]
}

// mirrored tells whether its panes are their own images in x = 0.
func (f Family) mirrored() bool { return f != ThreeFree }

func uniform(rng *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }

// outline invents one of the family, with the radii of its corners where they
// are arcs.
func (f Family) outline(rng *rand.Rand) outline {
	switch f {
	case Superellipse:
		w, h := size(rng)
		return superellipse(w/2, h/2, uniform(rng, 2.5, 6), uniform(rng, 0, 0.15)).fromBottom()
	case Three, ThreeFree:
		return drawn(rng, f.threeCorners)
	case Soft:
		return drawn(rng, fourCorners).softened(uniform(rng, 3, 12)).warped(rng, uniform(rng, 1, 4)).fromBottom()
	}
	return drawn(rng, fourCorners)
}

// drawn draws corners until their arcs find room.
func drawn(rng *rand.Rand, draw func(*rand.Rand) []corner) outline {
	for {
		if o, ok := chain(draw(rng)); ok {
			return o.fromBottom()
		}
	}
}

// size draws width and height, 900 × 450 to 1500 × 900.
func size(rng *rand.Rand) (w, h float64) {
	w = uniform(rng, 900, 1500)
	return w, uniform(rng, 450, math.Min(900, 0.7*w))
}

func fourCorners(rng *rand.Rand) []corner {
	w, h := size(rng)
	top := w * uniform(rng, 0.75, 1)
	low, high, side := uniform(rng, 25, 120), uniform(rng, 25, 120), uniform(rng, 3, 25)
	return []corner{
		{r2.Vec{X: -w / 2}, low, uniform(rng, 5, 60)}, {r2.Vec{X: w / 2}, low, side},
		{r2.Vec{X: top / 2, Y: h}, high, uniform(rng, 5, 60)}, {r2.Vec{X: -top / 2, Y: h}, high, side},
	}
}

// threeCorners has its tight corner at the top, or, without a mirror, in front.
func (f Family) threeCorners(rng *rand.Rand) []corner {
	w := uniform(rng, 400, 900)
	h := w * uniform(rng, 0.5, 0.85)
	tight, low, rear := uniform(rng, 18, 60), uniform(rng, 30, 90), uniform(rng, 30, 90)
	bow := func() float64 { return uniform(rng, 3, 15) }
	if f.mirrored() {
		side := bow()
		return []corner{{r2.Vec{X: -w / 2}, low, bow()}, {r2.Vec{X: w / 2}, low, side}, {r2.Vec{Y: h}, tight, side}}
	}
	x := w * uniform(rng, -0.5, 0)
	return []corner{{r2.Vec{X: -w / 2}, low, bow()}, {r2.Vec{X: w / 2}, tight, bow()}, {r2.Vec{X: x, Y: h}, rear, bow()}}
}
