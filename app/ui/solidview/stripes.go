package solidview

import (
	"image/color"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/ui/look"
	"panewright/app/ui/paint"
)

// Stripes are what a wall of strip lights would look like in the glass: parallel
// lights at a great distance, that stand still while the pane is turned. Where
// the curvature changes at once a stripe has a kink; where the slope does, it is
// broken.
type Stripes struct {
	On    bool
	Angle float64 // degrees, of the lights in the picture: 0 level, 90 upright
	Count int     // lights all round
	Share float64 // of a light in the distance from light to light
}

// Limits of the stripes, and their steps by key.
const (
	fewest, most     = 8, 200
	thinnest, widest = 0.1, 0.9
	stripeTurn       = 15.0
	stripeShare      = 0.1
)

// within are stripes with their figures inside the limits.
func (s Stripes) within() Stripes {
	s.Angle = math.Mod(math.Mod(s.Angle, 180)+180, 180)
	s.Count = min(max(s.Count, fewest), most)
	s.Share = min(max(s.Share, thinnest), widest)
	return s
}

// across is the direction in space square to the lights, seen by a camera.
func (s Stripes) across(c camera) r3.Vec {
	right, up, _ := c.axes()
	sin, cos := math.Sincos(s.Angle * math.Pi / 180)
	return r3.Add(r3.Scale(-sin, right), r3.Scale(cos, up))
}

// normals are the unit normals of a face on its lattice, its heights stretched.
type normals struct {
	of      *face
	stretch float64
	n       [][3]float32
}

func (n *normals) take(f *face, stretch float64) {
	if n.of == f && n.stretch == stretch {
		return
	}
	n.of, n.stretch = f, stretch
	if len(n.n) != len(f.at) {
		n.n = make([][3]float32, len(f.at))
	}
	for i, h := range f.at {
		h.Zx, h.Zy = h.Zx*stretch, h.Zy*stretch
		v := h.Normal()
		n.n[i] = [3]float32{float32(v.X), float32(v.Y), float32(v.Z)}
	}
}

// lay puts the stripes onto a drape; values is room for them, which is returned.
// A ray from the eye that meets the glass where its normal leans by θ sees what
// is 2θ aside: the lights follow one another in steps of sin θ.
func (s Stripes) lay(d *paint.Drape, f *face, n *normals, c camera, stretch float64, values []float32, col look.Colours) []float32 {
	n.take(f, stretch)
	if len(values) != len(n.n) {
		values = make([]float32, len(n.n))
	}
	a := s.across(c)
	x, y, z := float32(a.X), float32(a.Y), float32(a.Z)
	for i := range n.n {
		v := &n.n[i]
		values[i] = v[0]*x + v[1]*y + v[2]*z
	}
	d.Lay(values, f.lat.NX, f.lat.NY, 0, 2/float64(s.Count), true)
	light, dark := col.StripeLight, col.StripeDark
	const soft = 0.02 // of the distance from light to light
	d.Colour(func(t float64) color.NRGBA {
		from := math.Abs(t - 0.5) // of the light's middle
		return paint.Mix(dark, light, min(max((s.Share/2-from)/soft+0.5, 0), 1))
	})
	return values
}
