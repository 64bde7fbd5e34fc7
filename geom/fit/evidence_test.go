package fit

import (
	"cmp"
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// helped are half panes with every kind of help, and one read all round.
func helped(i int) map[string]SymmetricInput {
	rng := source(110, i)
	p := newPane(rng, kinds[i%2].maker)
	out := map[string]SymmetricInput{"all round": p.allRound(rng)}
	check := p.halfRead(rng)
	check.Edge = append(check.Edge, p.checkMarks(rng, 0.5)...)
	out["check stations"] = check
	out["widths"] = p.tapes(rng, p.halfRead(rng), 4)
	out["widths and centre marks"] = p.centreMarks(rng, p.tapes(rng, p.halfRead(rng), 2))
	return out
}

// The shares of all readings add up to one but for what is assumed of the shape;
// with both halves read the places carry all of it.
func TestEvidenceAddsUp(t *testing.T) {
	for i := range 4 {
		for name, in := range helped(i) {
			s := fitSymmetric(t, in)
			var offset, skew float64
			kinds := map[EvidenceKind]float64{}
			for _, e := range s.Evidence() {
				require.GreaterOrEqual(t, e.Offset, 0.0)
				require.GreaterOrEqual(t, e.Skew, 0.0)
				offset, skew = offset+e.Offset, skew+e.Skew
				kinds[e.Kind] += e.Offset
			}
			t.Logf("%-24s offset %.3f skew %.3f: place %.2f height %.2f width %.2f centre %.2f", name, offset, skew, kinds[EdgePlace], kinds[HeightRead], kinds[WidthTaped], kinds[CentreSeen])
			for _, sum := range []float64{offset, skew} {
				require.LessOrEqual(t, sum, 1+1e-6, name)
				require.Greater(t, sum, 0.8, name)
			}
			require.Equal(t, len(in.Widths) > 0, kinds[WidthTaped] > 0.1, name)
			require.Equal(t, len(in.Centre) > 0, kinds[CentreSeen] > 0.1, name)
		}
	}
}

// Where nothing says where the plane is, nothing carries it.
func TestNoEvidenceWithoutAPlane(t *testing.T) {
	p := newPane(source(110, 9), maker{})
	in := p.halfRead(source(110, 9))
	s := fitSymmetric(t, in)
	require.Empty(t, s.Evidence())
	_, sd := s.Shear()
	require.True(t, math.IsInf(sd, 1))
	_, sd = s.Twist(500, 300)
	require.True(t, math.IsInf(sd, 1))
	in.Fixed = true
	require.Empty(t, fitSymmetric(t, in).Evidence())
}

// without is the input without a piece of evidence.
func without(in SymmetricInput, e Evidence) SymmetricInput {
	switch e.Kind {
	case EdgePlace:
		in.Edge = slices.Clone(in.Edge)
		in.Edge[e.Index].SXY = 1000
	case HeightRead:
		in.Edge, in.Face = slices.Clone(in.Edge), slices.Clone(in.Face)
		if k := e.Index - len(in.Edge); k >= 0 {
			in.Face = slices.Delete(in.Face, k, k+1)
		} else {
			in.Edge[e.Index].P.Z = math.NaN()
		}
	case WidthTaped:
		in.Widths = slices.Delete(slices.Clone(in.Widths), e.Index, e.Index+1)
	case CentreSeen:
		in.Centre = slices.Delete(slices.Clone(in.Centre), e.Index, e.Index+1)
	}
	return in
}

// The plane moves by what is said when a reading is left out, as far as the
// strengths of the fit stay the same: with widths they change a good deal.
func TestPullIsWhatLeavingOutDoes(t *testing.T) {
	for i := range 3 {
		for name, in := range helped(i) {
			s := fitSymmetric(t, in)
			mean := meanOf(in.Edge)
			all := s.Evidence()
			slices.SortStableFunc(all, func(a, b Evidence) int { return cmp.Compare(math.Abs(b.Pull), math.Abs(a.Pull)) })
			for _, e := range all[:3] {
				r := fitSymmetric(t, without(in, e))
				if !r.Determined {
					continue
				}
				did := s.Plane().Dist(mean) - r.Plane().Dist(mean)
				t.Logf("%-24s kind %d %3d: said %.3f, did %.3f", name, e.Kind, e.Index, e.Pull, did)
				if len(in.Widths) == 0 {
					require.InDelta(t, did, e.Pull, 0.005+0.1*math.Abs(did), "mm, %s", name)
				} else if math.Abs(e.Pull) > 0.1 {
					require.Positive(t, did*e.Pull, name)
				}
			}
		}
	}
}

// With both halves read evenly no mark says more than a few of a hundred.
func TestEvidenceIsSpreadAllRound(t *testing.T) {
	rng := source(112, 0)
	for _, e := range fitSymmetric(t, newPane(rng, maker{}).allRound(rng)).Evidence() {
		require.Less(t, e.Offset, 0.06)
	}
}

func meanOf(marks []Mark) (c r3.Vec) {
	for _, m := range marks {
		c = r3.Add(c, r3.Scale(1/float64(len(marks)), m.P))
	}
	return c
}

// sheared is the readings as a grid out of square makes them.
func sheared(in SymmetricInput, g float64) SymmetricInput {
	move := func(marks []Mark) []Mark {
		marks = slices.Clone(marks)
		for k := range marks {
			marks[k].P.X += g * marks[k].P.Y
		}
		return marks
	}
	in.Edge, in.Face = move(in.Edge), move(in.Face)
	return in
}

// A shear of the grid, a twist of the heights and a step between heights are
// found for what they are, and their uncertainty is true. One planted makes the
// readings scatter more about a fit that knows nothing of it, so that it is said
// to be less sure than it is.
func TestPatternsMeasured(t *testing.T) {
	const rise, up = 2.0, 3.0 // mm
	for _, g := range []float64{0, 0.4, 1} {
		var shear, twist, step stat
		for i := range min(*panes, 12) {
			rng := source(111, i)
			p := newPane(rng, kinds[i%2].maker)
			in := p.allRound(rng)
			v, sd := fitSymmetric(t, sheared(in, 0.005*g)).Shear()
			shear = append(shear, (v-0.005*g)/sd)

			twisted := in
			twisted.Edge, twisted.Face = slices.Clone(in.Edge), slices.Clone(in.Face)
			for _, set := range [][]Mark{twisted.Edge, twisted.Face} {
				for k := range set {
					q := p.motion().frame().Apply(set[k].P)
					set[k].P.Z += rise * g * q.X * q.Y / (p.w * p.h / 4)
				}
			}
			v, sd = fitSymmetric(t, twisted).Twist(p.w/2, p.h/2)
			twist = append(twist, (v-rise*g)/sd)

			all := slices.Concat(in.Edge, in.Face)
			apart := make([]bool, len(all))
			for k := len(in.Edge); k < len(all); k++ {
				all[k].P.Z += up * g
				apart[k] = true
			}
			f, err := FitFace(context.Background(), all, boxOf(all, 60), FaceOptions{KeepAll: true})
			require.NoError(t, err)
			v, sd = f.Step(apart)
			step = append(step, (v-up*g)/sd)
		}
		t.Logf("%g of all: error over stated sd: shear %.2f, twist %.2f, step %.2f", g, shear.rms(), twist.rms(), step.rms())
		for _, z := range []stat{shear, twist, step} {
			require.Less(t, z.rms(), 1.6)
			if g == 0 {
				require.Greater(t, z.rms(), 0.5)
			}
		}
	}
}

// The face of a cylinder of radius R, rolled by rho, is highest R·rho to the side
// (z = x²/(2·2900) read with a roll of 1/1000: 2.9 mm), so heights alone take a
// roll for a shift.
func TestRidgeOfARolledCylinder(t *testing.T) {
	const r, rho = 2900.0, 0.001
	frame := motion{0, 0, -rho}.frame()
	var marks []Mark
	for y := -300.0; y <= 300; y += 100 {
		for x := -600.0; x <= 600; x += 60 {
			marks = append(marks, Mark{P: frame.Apply(vec3(x, y, math.Sqrt(r*r-x*x)-r)), SXY: 0.1, SZ: 0.1})
		}
	}
	f, err := FitFace(context.Background(), marks, boxOf(marks, 20), FaceOptions{})
	require.NoError(t, err)
	ridge := 0.0
	for range 20 {
		h := f.Face.Eval(ridge, 0)
		ridge -= h.Zx / h.Zxx
	}
	require.InDelta(t, r*rho, math.Abs(ridge), 0.02, "mm")
}

// Folded over, an ellipse meets itself about its own line.
func TestFold(t *testing.T) {
	away := motion{12, 1.5 * degree, 0}
	marks := ellipse(80, 600, 350)
	for i := range marks {
		marks[i].P = away.frame().Inverse().Apply(vec3(marks[i].P.X, marks[i].P.Y, 0))
	}
	p := Fold(fitOutline(t, marks).Curve, motion{}.plane())
	require.InDelta(t, 0, p.Dist(away.plane().Point), 0.05, "mm")
	require.InDelta(t, away[1], p.Skew(), 0.02*degree)
}
