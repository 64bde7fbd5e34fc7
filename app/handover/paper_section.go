package handover

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/geom"
)

// boardSection is an upright cut through the pane as it lies on the board: how
// high its two faces stand over a straight line on the board.
type boardSection struct {
	p            *pack
	from, dir    r2.Vec // on the board: where s = 0, and the way s rises
	low, high    float64
	lowLow, lowH float64 // the same for the lower face
}

// onBoard is the plan of a point of the glass frame's direction on the board, of
// unit length.
func (p *pack) onBoard(glass r3.Vec) r2.Vec {
	d := p.m.BoardToGlass.Inverse().Rotate(glass)
	return r2.Unit(r2.Vec{X: d.X, Y: d.Y})
}

// section is the cut along a line of the board; ok is false where the line
// misses the pane.
func (p *pack) section(from, dir r2.Vec) (c boardSection, ok bool) {
	c = boardSection{p: p, from: from, dir: dir}
	var okLow bool
	c.low, c.high, ok = c.across(p.m.Pane.UpperEdge)
	c.lowLow, c.lowH, okLow = c.across(p.m.Pane.LowerEdge)
	return c, ok && okLow && c.high-c.low > 50
}

// across is where an arris crosses the line of the section first and last.
func (c boardSection) across(edge *geom.SpaceCurve) (low, high float64, ok bool) {
	const steps = 4000
	back := c.p.m.BoardToGlass.Inverse()
	lo, hi := edge.Period()
	at := func(u float64) (s, off float64) {
		q := back.Apply(edge.At(u))
		d := r2.Sub(r2.Vec{X: q.X, Y: q.Y}, c.from)
		return r2.Dot(c.dir, d), r2.Cross(c.dir, d)
	}
	low, high = math.Inf(1), math.Inf(-1)
	for i := range steps {
		a, b := lo+(hi-lo)*float64(i)/steps, lo+(hi-lo)*float64(i+1)/steps
		sa, oa := at(a)
		sb, ob := at(b)
		if (oa < 0) == (ob < 0) {
			continue
		}
		s := sa + (sb-sa)*oa/(oa-ob)
		low, high = math.Min(low, s), math.Max(high, s)
	}
	return low, high, high > low
}

// height is how high a face stands over the board at s.
func (c boardSection) height(face *geom.Face, s float64) float64 {
	at := r2.Add(c.from, r2.Scale(s, c.dir))
	toGlass := c.p.m.BoardToGlass
	z := toGlass.Inverse().T.Z
	for range 12 { // the board's upright through the place meets the face
		g := toGlass.Apply(r3.Vec{X: at.X, Y: at.Y, Z: z})
		z += face.At(g.X, g.Y) - g.Z
	}
	return z
}

func (c boardSection) upper(s float64) r2.Vec {
	return r2.Vec{X: s, Y: c.height(c.p.m.Pane.Upper, s)}
}

func (c boardSection) lower(s float64) r2.Vec {
	return r2.Vec{X: s, Y: c.height(c.p.m.Pane.Lower, s)}
}

// span is the least and the greatest height of the section.
func (c boardSection) span() (least, most float64) {
	least, most = math.Inf(1), math.Inf(-1)
	for i := range 101 {
		f := float64(i) / 100
		least = math.Min(least, c.lower(c.lowLow+f*(c.lowH-c.lowLow)).Y)
		most = math.Max(most, c.upper(c.low+f*(c.high-c.low)).Y)
	}
	return least, most
}

// base is the height of a card's base line over the board: the board itself, or
// as many whole packers as leave a card of a handy height.
func base(least float64, u board.Unit) float64 {
	const handy, room = 25.0, 12.0 // mm below the lowest place
	packer := 10.0
	if u == board.Inch {
		packer = inch / 2
	}
	if least >= room && least <= handy {
		return 0
	}
	return packer * math.Floor((least-room)/packer)
}
