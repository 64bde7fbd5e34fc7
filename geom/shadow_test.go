package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// The outline of level spheres and cylinders is a circle or an ellipse: every
// point of it, not only its reach, within 5 µm.
func TestOutlineClosedForm(t *testing.T) {
	const (
		a, thick = 400.0, 4.0
		r        = 1500.0
	)
	for _, c := range []struct {
		name   string
		b      body
		p      Profile
		rx, ry float64
	}{
		{"sphere dome square", ballBody("", r, a, 1, 0), SquareEdge, a, a},
		{"sphere bowl square", ballBody("", r, a, -1, 0), SquareEdge, a * (1 + thick/r), a * (1 + thick/r)},
		{"sphere dome round", ballBody("", r, a, 1, 0), RoundEdge, a*(1-thick/2/r) + thick/2, 0},
		{"sphere bowl round", ballBody("", r, a, -1, 0), RoundEdge, a*(1+thick/2/r) + thick/2, 0},
		{"cylinder dome square", rollBody("", r, a, 1, 0, 0), SquareEdge, a, a},
		{"cylinder bowl square", rollBody("", r, a, -1, 0, 0), SquareEdge, a * (1 + thick/r), a},
		{"plane square", discBody("", a, 0, 0), SquareEdge, a, a},
		{"plane round", discBody("", a, 0, 0), RoundEdge, a + thick/2, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			pane := paneOf(t, c.b, thick, c.p)
			at := planOf(c.b.motion.T)
			for i := range 400 {
				lo, hi := pane.Outline.Period()
				q := r2.Sub(pane.Outline.At(lo+(hi-lo)*float64(i)/400), at)
				ry := c.ry
				if ry == 0 {
					ry = c.rx
				}
				// The distance to first order, for axes so nearly alike.
				f := math.Hypot(q.X/c.rx, q.Y/ry)
				assert.InDelta(t, 0, (f-1)*c.rx, 5e-3, "mm off the shadow at %v", q)
			}
		})
	}
}

// The pane levelled into the glass frame, in closed form: from the silhouette
// on the board to the arrises, through MirrorFrame, to the silhouette in the
// glass frame. The body's own frame is the levelled one: its mean edge point
// becomes the origin.
func TestShadowAfterLevelling(t *testing.T) {
	const (
		tol   = 1e-9 // mm
		thick = 4.0
		deg   = math.Pi / 180
	)
	for _, b := range []body{
		ballBody("sphere, dome", 1500, 500, 1, 0),
		ballBody("sphere, bowl", 1500, 500, -1, 0),
		rollBody("cylinder, dome", 1850, 400, 1, 0, 0),
		rollBody("cylinder, bowl", 1850, 400, -1, 0, 0),
		discBody("plane", 300, 0, 0),
	} {
		for _, p := range []Profile{SquareEdge, RoundEdge} {
			t.Run(b.name+", "+p.String(), func(t *testing.T) {
				own := b
				own.motion = Identity()
				lain := b
				lain.motion = turned(r3.Unit(r3.Vec{X: 1, Y: 0.3, Z: 0.2}), 7*deg, r3.Vec{X: 700, Y: 400, Z: 300})
				back := lain.motion.Inverse()
				// The body's face as it lies, by the inverse motion of a closed form.
				var atRest Surface
				switch f := b.face.(type) {
				case ball:
					atRest = ball{c: lain.motion.T, r: f.r, up: f.up}
				case roll:
					atRest = leaning{f: roll{r: f.r, up: f.up}, m: lain.motion, back: back}
				default:
					n := lain.motion.Rotate(r3.Vec{Z: 1})
					gx, gy := -n.X/n.Z, -n.Y/n.Z
					o := lain.motion.T
					atRest = quadric{o.Z - gx*o.X - gy*o.Y, gx, gy}
				}
				const marks = 80
				angle := func(i int) float64 { return math.Pi/2 + 2*math.Pi*(float64(i)+0.5)/marks }
				var edge []r3.Vec
				var mean r3.Vec
				for i := range marks {
					q := lain.at(angle(i), thick, p)
					u, _, err := EdgeOn(atRest, q.silhouette, q.out, thick, p)
					require.NoError(t, err)
					near(t, q.upper, u, tol)
					edge = append(edge, u)
					mean = r3.Add(mean, r3.Scale(1./marks, own.upper(angle(i))))
				}
				plane := Plane{Point: lain.motion.T, Normal: lain.motion.Rotate(r3.Vec{X: 1})}
				f, err := MirrorFrame(plane, edge)
				require.NoError(t, err)
				for i := range marks {
					want := own.at(angle(i), thick, p)
					want.upper, want.lower = r3.Sub(want.upper, mean), r3.Sub(want.lower, mean)
					got := f.Apply(edge[i])
					near(t, want.upper, got, tol, "levelled upper arris")
					n := f.Rotate(lain.at(angle(i), thick, p).n)
					near(t, want.n, n, tol)
					near(t, want.lower, r3.Sub(got, r3.Scale(thick, n)), tol, "levelled lower arris")
					near2(t, r2.Sub(want.silhouette, planOf(mean)), Silhouette(got, want.out, n, thick, p), tol, "shadow along Z")
				}
			})
		}
	}
}

// leaning is a cylinder moved by m: its height by Newton's method down the
// board's z on the exact distance from its axis, its derivatives from the exact
// normal and by differences of it.
type leaning struct {
	f       roll
	m, back Frame
}

func (s leaning) Eval(x, y float64) Height {
	gradient := func(x, y float64) (z, zx, zy float64) {
		z = s.m.T.Z + s.f.up*s.f.r
		for range 60 {
			q := s.back.Apply(r3.Vec{X: x, Y: y, Z: z})
			n := s.m.Rotate(r3.Unit(r3.Vec{X: q.X, Z: q.Z}))
			step := (math.Hypot(q.X, q.Z) - s.f.r) / n.Z
			z -= step
			zx, zy = -n.X/n.Z, -n.Y/n.Z
		}
		return z, zx, zy
	}
	const h = 0.01
	z, zx, zy := gradient(x, y)
	_, a, _ := gradient(x-h, y)
	_, b, _ := gradient(x+h, y)
	_, _, c := gradient(x, y-h)
	_, _, d := gradient(x, y+h)
	_, e, _ := gradient(x, y+h)
	_, g, _ := gradient(x, y-h)
	return Height{Z: z, Zx: zx, Zy: zy, Zxx: (b - a) / (2 * h), Zyy: (d - c) / (2 * h), Zxy: (e - g) / (2 * h)}
}

// A flat tilted pane is its upper face swept down its normal, so its shadow is
// that plan swept along t·n; with a hollow side too. Just inside the outline a
// point is in the sweep, just outside it is not.
func TestOutlineOfTiltedHollowPane(t *testing.T) {
	const (
		thick = 6.0
		close = 5e-3 // mm
	)
	plan := kidneyPlan(t, 200)
	var poly Polygon
	for _, u := range plan.Flatten(5e-4) {
		poly = append(poly, plan.At(u))
	}
	for _, tilt := range []r2.Vec{{X: 0.3, Y: 0.1}, {X: -0.35}, {Y: 0.3}} {
		face := faceOver(t, quadric{0, tilt.X, tilt.Y}, plan, 40)
		pane, err := NewPane(face, plan, thick, SquareEdge)
		require.NoError(t, err)
		n := planOf(face.Eval(0, 0).Normal())
		inSweep := func(q r2.Vec) bool {
			for k := range 81 {
				if poly.Contains(r2.Add(q, r2.Scale(thick*float64(k)/80, n))) {
					return true
				}
			}
			return false
		}
		lo, hi := pane.Outline.Period()
		for i := range 300 {
			u := lo + (hi-lo)*float64(i)/300
			q, nu := pane.Outline.At(u), pane.Outline.Normal(u)
			assert.True(t, inSweep(r2.Sub(q, r2.Scale(close, nu))), "shadow goes further in than the outline at %v", q)
			assert.False(t, inSweep(r2.Add(q, r2.Scale(close, nu))), "shadow goes further out than the outline at %v", q)
		}
	}
}

// Where the silhouette passes from one arris to the other the outline bends no
// more sharply than the arrises do: no kink.
func TestOutlineIsSmoothAtTheSwitch(t *testing.T) {
	pane := paneOf(t, discBody("", 300, 20*math.Pi/180, 0.4), 4, SquareEdge)
	sharpest := 0.0
	for _, u := range pane.plan.Flatten(1e-3) {
		sharpest = max(sharpest, pane.plan.Curvature(u))
	}
	for _, u := range pane.Outline.Flatten(1e-5) {
		k := pane.Outline.Curvature(u)
		assert.Less(t, k, 1.3*sharpest)
		assert.Greater(t, k, -0.3*sharpest)
	}
}
