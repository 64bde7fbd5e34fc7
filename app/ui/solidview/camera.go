package solidview

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
	"gonum.org/v1/gonum/spatial/r3"
)

// Direction is a standard direction to look from.
type Direction int

// The directions.
const (
	ThreeQuarter Direction = iota // from the lower left, above
	Top                           // straight down, top edge up
	Front                         // level, from the lower edge
	Side                          // level, from the right
	Below                         // straight up at the lower face
)

// angles are the turn (counter-clockwise seen from above, from Front) and the
// rise of each direction, degrees.
var angles = map[Direction][2]float64{
	ThreeQuarter: {-32, 28},
	Top:          {0, 90},
	Front:        {0, 0},
	Side:         {90, 0},
	Below:        {0, -90},
}

// opening is the camera's angle from the middle of the picture to its upper
// side, radians: narrow, so that straight things look straight.
const opening = 11 * math.Pi / 180

// camera looks at target from a distance.
type camera struct {
	turn, rise float64 // radians
	target     r3.Vec
	distance   float64 // mm
}

// look is the camera turned to a direction, the rest as it was.
func (c camera) look(d Direction) camera {
	a := angles[d]
	c.turn, c.rise = a[0]*math.Pi/180, a[1]*math.Pi/180
	return c
}

// axes are unit vectors: to the right and up in the picture, and towards the eye.
func (c camera) axes() (right, up, back r3.Vec) {
	st, ct := math.Sincos(c.turn)
	sr, cr := math.Sincos(c.rise)
	return r3.Vec{X: ct, Y: st}, r3.Vec{X: -st * sr, Y: ct * sr, Z: cr}, r3.Vec{X: st * cr, Y: -ct * cr, Z: sr}
}

// eye is where the camera stands.
func (c camera) eye() r3.Vec {
	_, _, back := c.axes()
	return r3.Add(c.target, r3.Scale(c.distance, back))
}

// fitted is the camera moved so that the box fills a picture of that aspect
// (width by height) but for a margin.
func (c camera) fitted(box r3.Box, aspect float64) camera {
	const fill = 0.92
	c.target = r3.Scale(0.5, r3.Add(box.Min, box.Max))
	right, up, back := c.axes()
	tall := math.Tan(opening) * fill
	wide := tall * max(aspect, 0.1)
	c.distance = 1
	for _, v := range box.Vertices() {
		q := r3.Sub(v, c.target)
		z := r3.Dot(q, back)
		c.distance = max(c.distance, z+math.Abs(r3.Dot(q, up))/tall, z+math.Abs(r3.Dot(q, right))/wide)
	}
	return c
}

// panned is the camera moved sideways so that what is shown moves by dx, dy
// pixels in a picture h pixels high.
func (c camera) panned(dx, dy, h float64) camera {
	right, up, _ := c.axes()
	mm := 2 * c.distance * math.Tan(opening) / max(h, 1)
	c.target = r3.Add(c.target, r3.Add(r3.Scale(-dx*mm, right), r3.Scale(dy*mm, up)))
	return c
}

// turned is the camera led round the target, radians; it does not go over the top.
func (c camera) turned(turn, rise float64) camera {
	c.turn = math.Remainder(c.turn+turn, 2*math.Pi)
	c.rise = min(max(c.rise+rise, -math.Pi/2), math.Pi/2)
	return c
}

// zoomed is the camera f times as near.
func (c camera) zoomed(f float64) camera {
	c.distance = min(max(c.distance/f, 20), 1e5)
	return c
}

// view is a camera made ready for a picture: it says where points are shown.
type view struct {
	m    mgl64.Mat4
	w, h float64
}

// view is the camera's for a picture of w by h pixels of things within reach mm
// of the target.
func (c camera) view(w, h, reach float64) view {
	_, up, _ := c.axes()
	e, t := c.eye(), c.target
	look := mgl64.LookAtV(mgl64.Vec3{e.X, e.Y, e.Z}, mgl64.Vec3{t.X, t.Y, t.Z}, mgl64.Vec3{up.X, up.Y, up.Z})
	near, far := max(c.distance-reach, c.distance/50), c.distance+reach
	return view{mgl64.Perspective(2*opening, w/h, near, far).Mul4(look), w, h}
}

// project is where p is shown: pixels and depth, which grows evenly over a
// plane in space; false where p lies behind the eye.
func (v view) project(p r3.Vec) (x, y, z float64, ok bool) {
	q := v.m.Mul4x1(mgl64.Vec4{p.X, p.Y, p.Z, 1})
	if !(q[3] > 1e-6) {
		return 0, 0, 0, false
	}
	return (1 + q[0]/q[3]) / 2 * v.w, (1 - q[1]/q[3]) / 2 * v.h, q[2] / q[3], true
}
