package board

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// asked are settings of a pack that ask for everything.
var asked = PackSettings{
	Body: BodyFiles{Glue: 5, Extend: 40, Flange: 20, PanelGap: 4.5, Sections: 100, Inch: true, Scale: 4, TrueThickness: true, OnBoard: true,
		Car: Car{By: ByPoints, Facing: Left, Rake: 58, At: r3.Vec{X: 1, Y: -2, Z: 3},
			Points: [3]CarPoint{{"1", r3.Vec{X: 1}}, {"20", r3.Vec{Y: -700}}, {"M1", r3.Vec{Z: 3}}}}},
	Paper: Paper{Sheet: "A3", Across: 0.997, Up: 1.002}, Shop: ShopBottom,
}

// TestPackRefused: what nobody can mean.
func TestPackRefused(t *testing.T) {
	nan := math.NaN()
	for _, b := range []BodyFiles{
		{Glue: -1}, {Glue: nan}, {Extend: 51}, {Flange: 1e9}, {PanelGap: math.Inf(1)}, {Sections: 1}, {Sections: -100},
		{Sections: nan}, {Scale: -2}, {Scale: 101}, {Car: Car{By: ByRake, Rake: nan}}, {Car: Car{By: ByRake, At: r3.Vec{Z: 1e6}}},
		{Car: Car{By: ByPoints}}, {Car: Car{By: ByPoints, Points: [3]CarPoint{{ID: "1"}, {ID: "2"}}}},
	} {
		assert.Error(t, (&PackSettings{Body: b}).Check(), fmt.Sprintf("%+v", b))
	}
	for _, q := range []Paper{{Sheet: "quarto"}, {Across: 0.8}, {Up: 1.2}, {Up: -1}, {Across: nan}} {
		assert.Error(t, (&PackSettings{Paper: q}).Check(), fmt.Sprintf("%+v", q))
	}
	assert.NoError(t, (&PackSettings{}).Check())
	assert.NoError(t, asked.Check())
	assert.NoError(t, (&PackSettings{Body: BodyFiles{Extend: 50, Sections: 5, Scale: 100}, Paper: Paper{Sheet: "tabloid"}}).Check())
}

// TestPackCannotBeKept: what a file cannot hold is refused with the job.
func TestPackCannotBeKept(t *testing.T) {
	for _, spoil := range []func(*PackSettings){
		func(p *PackSettings) { p.Body.Glue = math.NaN() },
		func(p *PackSettings) { p.Paper.Up = math.Inf(1) },
		func(p *PackSettings) { p.Shop = 3 },
		func(p *PackSettings) { p.Paper.Sheet = "A\n4" },
		func(p *PackSettings) { p.Body.Car.By = -1 },
		func(p *PackSettings) { p.Body.Car.Facing = 4 },
		func(p *PackSettings) { p.Body.Car.Points[2].At.Y = math.NaN() },
		func(p *PackSettings) { p.Body.Car.Points[0].ID = "\x00" },
	} {
		j := NewJob("demo")
		j.Pack = asked
		spoil(&j.Pack)
		assert.Error(t, j.Validate())
	}
}

// TestPackInTheFile: the settings stand in the file and in the journal under
// words that a person reads, and a job that asks for nothing says nothing.
func TestPackInTheFile(t *testing.T) {
	j := NewJob("demo")
	plain, err := Encode(j)
	require.NoError(t, err)
	assert.NotContains(t, string(plain), `"pack"`)
	k := j.Clone()
	k.Pack = asked
	data, err := Encode(k)
	require.NoError(t, err)
	for _, want := range []string{`"glue_mm": 5`, `"by": "points"`, `"facing": "left"`, `"paper": "A3"`, `"shop": "bottom"`, `"printed_across": 0.997`} {
		assert.Contains(t, string(data), want)
	}
	got, notes, err := Decode("a", data)
	require.NoError(t, err)
	assert.Empty(t, notes)
	assert.Equal(t, asked, got.Pack)

	for _, step := range [][2]*Job{{j, k}, {k, j}} {
		p, err := difference("Change the pack", step[0], step[1])
		require.NoError(t, err)
		assert.Len(t, p.Set, 1)
		again, err := p.apply(step[0])
		require.NoError(t, err)
		assert.Equal(t, step[1].Pack, again.Pack)
	}
}

// TestOtherHandInTheCar: the other-hand pane stands on the other side of the car.
func TestOtherHandInTheCar(t *testing.T) {
	j := NewJob("demo")
	j.Pack = asked
	c := OtherHand(j).Pack.Body.Car
	assert.Equal(t, []any{Right, 58.0, r3.Vec{X: 1, Y: 2, Z: 3}}, []any{c.Facing, c.Rake, c.At})
	assert.Equal(t, r3.Vec{Y: 700}, c.Points[1].At)
	assert.Equal(t, asked.Body.Car, c.otherSide())
}

func TestWordsOfThePack(t *testing.T) {
	for _, o := range []ShopOrigin{NoShop, ShopTop, ShopBottom} {
		got, ok := ParseShopOrigin(o.String())
		assert.True(t, ok)
		assert.Equal(t, o, got)
	}
	_, ok := ParseShopOrigin("left")
	assert.False(t, ok)
	f, ok := ParseFacing("rear")
	assert.True(t, ok)
	assert.Equal(t, Rear, f)
}
