package solidview

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
	"gonum.org/v1/gonum/spatial/r3"
)

// Direction is a standard direction to look from.
type Direction int

// The directions, in the order of their keys.
const (
	ThreeQuarter Direction = iota // from the lower left, above
	Front                         // level, from the lower edge
	Back                          // level, from the upper edge
	Left                          // level
	Right                         // level
	Top                           // straight down, top edge up
	Bottom                        // straight up at the lower face
	Directions                    // how many there are
)

// angles are the turn (counter-clockwise seen from above, from Front) and the
// rise of each direction, degrees.
var angles = [Directions][2]float64{
	ThreeQuarter: {-32, 28},
	Front:        {0, 0},
	Back:         {180, 0},
	Left:         {-90, 0},
	Right:        {90, 0},
	Top:          {0, 90},
	Bottom:       {0, -90},
}

// camera looks at target by parallel lines of sight, as a drawing is made: what
// is equally long is drawn equally long, near or far.
type camera struct {
	turn, rise float64 // radians
	target     r3.Vec
	span       float64 // mm from the lower to the upper side of the picture
}

// look is the camera turned to a direction, the rest as it was.
func (c camera) look(d Direction) camera {
	a := angles[d]
	c.turn, c.rise = a[0]*math.Pi/180, a[1]*math.Pi/180
	return c
}

// direction is the standard direction that is looked from; ok is false where it
// is none.
func (c camera) direction() (d Direction, ok bool) {
	for d := range Directions {
		l := c.look(d)
		if math.Abs(math.Remainder(l.turn-c.turn, 2*math.Pi)) < 1e-9 && math.Abs(l.rise-c.rise) < 1e-9 {
			return d, true
		}
	}
	return 0, false
}

// axes are unit vectors: to the right and up in the picture, and towards the eye.
func (c camera) axes() (right, up, back r3.Vec) {
	st, ct := math.Sincos(c.turn)
	sr, cr := math.Sincos(c.rise)
	return r3.Vec{X: ct, Y: st}, r3.Vec{X: -st * sr, Y: ct * sr, Z: cr}, r3.Vec{X: st * cr, Y: -ct * cr, Z: sr}
}

// fitted is the camera moved so that the box fills a picture of that aspect
// (width by height) but for a margin.
func (c camera) fitted(box r3.Box, aspect float64) camera {
	const fill = 0.92
	c.target = r3.Scale(0.5, r3.Add(box.Min, box.Max))
	right, up, _ := c.axes()
	c.span = 1
	for _, v := range box.Vertices() {
		q := r3.Sub(v, c.target)
		c.span = max(c.span, 2*math.Abs(r3.Dot(q, up))/fill, 2*math.Abs(r3.Dot(q, right))/(fill*max(aspect, 0.1)))
	}
	return c
}

// panned is the camera moved sideways so that what is shown moves by dx, dy
// pixels in a picture h pixels high.
func (c camera) panned(dx, dy, h float64) camera {
	right, up, _ := c.axes()
	mm := c.span / max(h, 1)
	c.target = r3.Add(c.target, r3.Add(r3.Scale(-dx*mm, right), r3.Scale(dy*mm, up)))
	return c
}

// turned is the camera led round the target, radians; it does not go over the top.
func (c camera) turned(turn, rise float64) camera {
	c.turn = math.Remainder(c.turn+turn, 2*math.Pi)
	c.rise = min(max(c.rise+rise, -math.Pi/2), math.Pi/2)
	return c
}

// Spans of the picture, mm.
const (
	leastSpan    = 2.0
	greatestSpan = 5e4
)

// zoomed is the camera with all f times as large; what is dx, dy pixels from the
// middle of a picture h pixels high stays there.
func (c camera) zoomed(f, dx, dy, h float64) camera {
	span := min(max(c.span/f, leastSpan), greatestSpan)
	c = c.panned(-dx, -dy, h)
	c.span = span
	return c.panned(dx, dy, h)
}

// view is a camera made ready for a picture: it says where points are shown.
type view struct {
	m, back mgl64.Mat4
}

// view is the camera's for a picture of w by h pixels. Depth is in mm from the
// target, away from the eye.
func (c camera) view(w, h float64) view {
	right, up, back := c.axes()
	k := h / max(c.span, 1e-9)
	row := func(v r3.Vec, f, at float64) mgl64.Vec4 {
		return mgl64.Vec4{f * v.X, f * v.Y, f * v.Z, at - f*r3.Dot(v, c.target)}
	}
	m := mgl64.Mat4FromRows(row(right, k, w/2), row(up, -k, h/2), row(back, -1, 0), mgl64.Vec4{0, 0, 0, 1})
	return view{m, m.Inv()}
}

// project is where p is shown: pixels, and depth in mm.
func (v *view) project(p r3.Vec) (x, y, z float64) {
	m := &v.m // by columns
	return m[0]*p.X + m[4]*p.Y + m[8]*p.Z + m[12],
		m[1]*p.X + m[5]*p.Y + m[9]*p.Z + m[13],
		m[2]*p.X + m[6]*p.Y + m[10]*p.Z + m[14]
}

// point is what is shown at x, y at a depth.
func (v *view) point(x, y, z float64) r3.Vec {
	p := v.back.Mul4x1(mgl64.Vec4{x, y, z, 1})
	return r3.Vec{X: p[0], Y: p[1], Z: p[2]}
}

// lengthOf is the way in the picture that a direction of 1 mm takes.
func (v *view) lengthOf(d r3.Vec) (dx, dy float64) {
	return v.m[0]*d.X + v.m[4]*d.Y + v.m[8]*d.Z, v.m[1]*d.X + v.m[5]*d.Y + v.m[9]*d.Z
}
