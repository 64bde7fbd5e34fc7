package paint

import "image/color"

// drapeColours is the number of colours of a drape.
const drapeColours = 1024

// Drape is a lattice of values to be laid over triangles in colour: between its
// values it runs straight, along U and along V, so that what it shows is as
// smooth as the lattice is fine, however large the triangles are.
type Drape struct {
	w, h   int
	values []float32
	scale  float32
	shift  float32
	round  bool
	colour [drapeColours]uint32
}

// Lay gives the drape its values, w by h (two by two at least), row by row along
// U; they are not copied. low has the first colour and high the last; round lets
// the colours begin again beyond them.
func (d *Drape) Lay(values []float32, w, h int, low, high float64, round bool) {
	d.w, d.h, d.values, d.round = w, h, values, round
	d.scale = float32(drapeColours / max(high-low, 1e-30))
	d.shift = -float32(low) * d.scale
}

// Colour sets the colours, by the share of the way from low to high.
func (d *Drape) Colour(at func(f float64) color.NRGBA) {
	for i := range d.colour {
		c := at((float64(i) + 0.5) / drapeColours)
		d.colour[i] = pack(c.R, c.G, c.B)
	}
}

// inside moves a corner's place onto the lattice where it lies beyond.
func (d *Drape) inside(v *Vertex) {
	v.U, v.V = min(max(v.U, 0), float64(d.w-1)), min(max(v.V, 0), float64(d.h-1))
}

// at is the colour at a place on the lattice.
func (d *Drape) at(u, v float32) uint32 {
	i, j := max(min(int(u), d.w-2), 0), max(min(int(v), d.h-2), 0)
	s, t := u-float32(i), v-float32(j)
	k := j*d.w + i
	a, b := d.values[k:k+2:k+2], d.values[k+d.w:k+d.w+2:k+d.w+2]
	top, low := a[0]+s*(a[1]-a[0]), b[0]+s*(b[1]-b[0])
	n := (top+t*(low-top))*d.scale + d.shift
	if d.round {
		const turns = 1 << 12 // so that it is a whole number from nought up
		return d.colour[uint(int(n+turns*drapeColours))%drapeColours]
	}
	return d.colour[max(min(int(n), drapeColours-1), 0)]
}

// darker is a sample at a lightness of 256ths, 256 at most.
func darker(p, l uint32) uint32 {
	return (p&0xff00ff)*l>>8&0xff00ff | (p&0xff00)*l>>8&0xff00
}

// drapeSpan is span with the colours of a drape.
func (s *Scene) drapeSpan(i, end int, z, dz, l, dl, u, du, v, dv float32, d *Drape) {
	l, dl = l*256, dl*256 // not above 256, as no corner's is
	depth, pix := s.depth[i:end], s.pix[i:end]
	for i := range depth {
		if z < depth[i] {
			depth[i] = z
			pix[i] = darker(d.at(u, v), uint32(l))
		}
		z += dz
		l += dl
		u += du
		v += dv
	}
}
