package board

import (
	"math"
	"math/rand"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

func TestGridLabels(t *testing.T) {
	g := gridOf("100", MM)
	assert.Equal(t, "-3", g.ColLabel(-3))
	assert.Equal(t, "12", g.ColLabel(12))
	for i, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 27: "AB", 51: "AZ", 52: "BA", 701: "ZZ", 702: "", -1: ""} {
		assert.Equal(t, want, g.RowLabel(i), "row %d", i)
	}
}

// Every label is read back as the line it names, in mm, inch and one-inch grids.
func TestGridLabelsAreReadBack(t *testing.T) {
	for _, g := range []Grid{gridOf("100", MM), gridOf("2", Inch), gridOf("1", Inch), gridOf("25", MM)} {
		g.RowA, g.Rows = -2, 60
		px, py := g.Pitch()
		for i := g.ColFirst; i <= g.ColLast; i++ {
			mm, _, err := Parse(g.ColLabel(i)+"+0", AxisX, MM, false, g)
			require.NoError(t, err)
			require.Equal(t, float64(i)*px, mm)
		}
		for i := range g.Rows {
			mm, _, err := Parse(g.RowLabel(i), AxisY, MM, false, g)
			require.NoError(t, err)
			require.Equal(t, float64(g.RowA+i)*py, mm)
		}
	}
}

func TestGridPitch(t *testing.T) {
	g := gridOf("2", Inch)
	x, y := g.Pitch()
	assert.Equal(t, [2]float64{50.8, 50.8}, [2]float64{x, y}, "an empty second pitch follows the first")
	g.PitchY = cellOf("100mm", Inch)
	x, y = g.Pitch()
	assert.Equal(t, [2]float64{50.8, 100}, [2]float64{x, y})
	g.PitchY = cellOf("abc", Inch)
	_, y = g.Pitch()
	assert.Zero(t, y, "a pitch that is not understood is not known")
	_, ok := g.Bounds()
	assert.False(t, ok)
}

func TestGridDescribe(t *testing.T) {
	two, hundred, one := gridOf("2", Inch), gridOf("100", MM), gridOf("1", Inch)
	two.RowA = 1
	in := func(x, y float64) r2.Vec { return r2.Vec{X: x * 25.4, Y: y * 25.4} }
	for _, c := range []struct {
		g    Grid
		p    r2.Vec
		u    Unit
		text string
	}{
		{two, in(14.375, 7.25), Inch, "line 7 + 3/8, line D less 3/4"},
		{two, in(-14, 2), Inch, "line -7, line A"},
		{two, in(13.875, 2.015625), Inch, "line 7 less 1/8, line A + 1/64"},
		{one, in(3.5, 4.25), Inch, "line 4 less 1/2, line E + 1/4"},
		{hundred, r2.Vec{X: 712.54, Y: 190}, MM, "line 7 + 12.5, line C less 10"},
		{hundred, r2.Vec{X: 3000, Y: -50}, MM, "line 20 + 1000, line A less 50"},
		{Grid{}, r2.Vec{X: 12.5, Y: 40}, MM, "x 12.5, y 40"},
		{hundred, r2.Vec{X: math.NaN(), Y: 40}, MM, "x –, y 40"},
		{hundred, r2.Vec{X: 1e300, Y: 0}, MM, "line 20 + 1" + strings.Repeat("0", 300) + ", line A"},
	} {
		got := c.g.Describe(c.p, c.u)
		if len(c.text) > 100 {
			assert.Contains(t, got, "line 20 + 1") // only that nothing breaks
			continue
		}
		assert.Equal(t, c.text, got)
	}
}

// A place described in words and typed again is the place, to the rule's rounding.
func TestGridDescribeIsReadBack(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for _, c := range []struct {
		g   Grid
		u   Unit
		tol float64 // mm, half of what the words are rounded to
	}{
		{gridOf("2", Inch), Inch, 25.4 / 128},
		{gridOf("1", Inch), Inch, 25.4 / 128},
		{gridOf("100", MM), MM, 0.05},
		{gridOf("25", MM), MM, 0.05},
	} {
		c.g.RowA = -3
		for range 500 {
			p := r2.Vec{X: rng.Float64()*3000 - 1500, Y: rng.Float64()*1500 - 300}
			x, y, ok := strings.Cut(c.g.Describe(p, c.u), ", ")
			require.True(t, ok)
			for axis, text := range []string{x, y} {
				text = strings.TrimPrefix(text, "line ")
				if axis == 0 && !strings.ContainsAny(text, "+l") {
					text += "+0"
				}
				mm, _, err := Parse(text, Axis(axis), c.u, false, c.g)
				require.NoError(t, err, text)
				assert.InDelta(t, [2]float64{p.X, p.Y}[axis], mm, c.tol+1e-9, text)
			}
		}
	}
}
