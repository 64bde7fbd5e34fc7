package geom

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/spatial/r2"
)

func TestMicrons(t *testing.T) {
	for _, c := range []struct {
		name string
		mm   r2.Vec
		want PlanPoint
	}{
		{"origin", r2.Vec{}, PlanPoint{}},
		{"rounds to nearest", r2.Vec{X: 1.2344, Y: -1.2346}, PlanPoint{1234, -1235}},
		{"half a micron goes outward", r2.Vec{X: 0.0005, Y: -0.0005}, PlanPoint{1, -1}},
		{"NaN is off the grid", r2.Vec{X: math.NaN()}, PlanPoint{offGrid, 0}},
		{"infinite is off the grid", r2.Vec{Y: math.Inf(-1)}, PlanPoint{0, offGrid}},
		{"too far is off the grid", r2.Vec{X: 1e6}, PlanPoint{offGrid, 0}},
	} {
		t.Run(c.name, func(t *testing.T) { assert.Equal(t, c.want, Microns(c.mm)) })
	}
	p := PlanPoint{-1234567, 7654321}
	assert.Equal(t, p, Microns(p.Vec()), "to mm and back")
}

// inCircleBig is the in-circle determinant in unbounded integers.
func inCircleBig(a, b, c, d PlanPoint) int {
	row := func(p PlanPoint) (x, y, l *big.Int) {
		x, y = big.NewInt(p.X-d.X), big.NewInt(p.Y-d.Y)
		return x, y, new(big.Int).Add(new(big.Int).Mul(x, x), new(big.Int).Mul(y, y))
	}
	ax, ay, al := row(a)
	bx, by, bl := row(b)
	cx, cy, cl := row(c)
	minor := func(px, py, qx, qy *big.Int) *big.Int {
		return new(big.Int).Sub(new(big.Int).Mul(px, qy), new(big.Int).Mul(qx, py))
	}
	det := new(big.Int).Mul(al, minor(bx, by, cx, cy))
	det.Add(det, new(big.Int).Mul(bl, minor(cx, cy, ax, ay)))
	det.Add(det, new(big.Int).Mul(cl, minor(ax, ay, bx, by)))
	return det.Sign()
}

func TestInCircleAgreesWithUnboundedIntegers(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	signs := map[int]int{}
	for _, span := range []int64{3, 50, 4_000_000, MaxMicrons} {
		for range 5000 {
			var p [4]PlanPoint
			for i := range p {
				p[i] = PlanPoint{rng.Int64N(2*span+1) - span, rng.Int64N(2*span+1) - span}
			}
			got := inCircle(p[0], p[1], p[2], p[3])
			if want := inCircleBig(p[0], p[1], p[2], p[3]); got != want {
				t.Fatalf("inCircle%v = %d, want %d", p, got, want)
			}
			signs[got]++
		}
	}
	for _, s := range []int{-1, 0, 1} {
		assert.NotZero(t, signs[s], "sign %d was never tried", s)
	}
}

func TestInCircleAtTheBounds(t *testing.T) {
	const m = MaxMicrons
	a, b, c := PlanPoint{-m, -m}, PlanPoint{m, -m}, PlanPoint{m, m}
	assert.Equal(t, 0, inCircle(a, b, c, PlanPoint{-m, m}), "fourth corner of the square")
	assert.Equal(t, 1, inCircle(a, b, c, PlanPoint{-m + 1, m}), "one micron inside")
	assert.Equal(t, -1, inCircle(a, b, PlanPoint{m, m - 1}, PlanPoint{-m, m}), "one micron outside")
}

func TestOrient(t *testing.T) {
	a, b := PlanPoint{-MaxMicrons, -MaxMicrons}, PlanPoint{MaxMicrons, MaxMicrons}
	assert.Zero(t, orient(a, b, PlanPoint{7, 7}))
	assert.Positive(t, orient(a, b, PlanPoint{7, 8}))
	assert.Negative(t, orient(a, b, PlanPoint{8, 7}))
}
