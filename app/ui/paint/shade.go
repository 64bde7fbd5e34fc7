package paint

import (
	"encoding/binary"
	"image"
	"image/color"
	"math"
)

// Vertex is a corner of a shaded triangle or an end of a line in space, after
// projection.
type Vertex struct {
	X, Y float64 // pixels of the finished picture
	Z    float64 // depth, growing away from the eye
	L    float64 // lightness: 1 is the colour itself, 0 black, 2 white
	U, V float64 // place on a drape, in its steps; only looked at where there is one
}

// Scene is a picture of shaded triangles and lines that hide one another by
// depth. It is painted finer than it is shown, which smooths the edges. Meant to
// be kept and painted again. Not safe for concurrent use.
type Scene struct {
	w, h, fine int // fine: samples across one pixel of the finished picture
	pix        []uint32
	depth      []float32
	ramp       [rampSteps]uint32 // the colour of base at each lightness
	base       color.NRGBA
}

// rampSteps is the number of steps of lightness from 0 to 2.
const rampSteps = 512

// pack is a colour as one number.
func pack(r, g, b uint8) uint32 { return uint32(r) | uint32(g)<<8 | uint32(b)<<16 }

func unpack(p uint32) (r, g, b uint8) { return uint8(p), uint8(p >> 8), uint8(p >> 16) }

// Resize makes the scene w by h pixels with fine by fine samples a pixel
// (fine 1 to 16); what was painted is lost where anything changes.
func (s *Scene) Resize(w, h, fine int) {
	w, h, fine = max(w, 1), max(h, 1), min(max(fine, 1), 16)
	if s.w == w && s.h == h && s.fine == fine {
		return
	}
	s.w, s.h, s.fine = w, h, fine
	s.pix = make([]uint32, w*h*fine*fine)
	s.depth = make([]float32, w*h*fine*fine)
}

// Clear paints the background, running evenly from top to bottom, and sets every
// depth to infinitely far.
func (s *Scene) Clear(top, bottom color.NRGBA) {
	row, rows := s.w*s.fine, s.h*s.fine
	for y := range rows {
		m := Mix(top, bottom, (float64(y)+0.5)/float64(rows))
		repeat(s.pix[y*row:(y+1)*row], pack(m.R, m.G, m.B))
	}
	repeat(s.depth, float32(math.Inf(1)))
}

func repeat[T any](a []T, v T) {
	a[0] = v
	for n := 1; n < len(a); n *= 2 {
		copy(a[n:], a[:n])
	}
}

// shades makes the ramp that of the colour.
func (s *Scene) shades(col color.NRGBA) {
	col.A = 255 // so that a scene without a ramp has none of these
	if col == s.base {
		return
	}
	s.base = col
	for i := range s.ramp {
		l := float32(i) * 2 / rampSteps
		s.ramp[i] = pack(lit(col.R, l), lit(col.G, l), lit(col.B, l))
	}
}

// lit is one channel of a colour at lightness l.
func lit(c uint8, l float32) uint8 {
	v := float32(c) * l
	if l > 1 {
		v = float32(c) + (255-float32(c))*(l-1)
	}
	return uint8(min(max(v, 0), 255))
}

// Triangle paints a triangle, both sides alike; depth and lightness run evenly
// between the corners.
func (s *Scene) Triangle(a, b, c Vertex, col color.NRGBA) {
	s.shades(col)
	s.raster(a, b, c, nil)
}

// Draped paints a triangle in the colours of a drape, darkened to the lightness
// where that is below 1.
func (s *Scene) Draped(a, b, c Vertex, d *Drape) {
	for _, v := range []*Vertex{&a, &b, &c} {
		d.inside(v)
		v.L = min(max(v.L, 0), 1)
	}
	s.raster(a, b, c, d)
}

// raster paints a triangle row by row, in the shades of the base colour or in a
// drape's colours.
func (s *Scene) raster(a, b, c Vertex, d *Drape) {
	k := float64(s.fine)
	for _, v := range []*Vertex{&a, &b, &c} {
		v.X, v.Y = v.X*k, v.Y*k
	}
	area := (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
	if !(math.Abs(area) > 1e-9) || math.IsInf(area, 0) {
		return
	}
	slope := func(fa, fb, fc float64) (dx, dy float64) {
		return ((fb-fa)*(c.Y-a.Y) - (fc-fa)*(b.Y-a.Y)) / area, ((fc-fa)*(b.X-a.X) - (fb-fa)*(c.X-a.X)) / area
	}
	zx, zy := slope(a.Z, b.Z, c.Z)
	lx, ly := slope(a.L, b.L, c.L)
	var ux, uy, vx, vy float64
	if d != nil {
		ux, uy = slope(a.U, b.U, c.U)
		vx, vy = slope(a.V, b.V, c.V)
	}
	w, h := s.w*s.fine, s.h*s.fine
	y0, y1 := sampleRange(min(a.Y, b.Y, c.Y), max(a.Y, b.Y, c.Y), h)
	for y := y0; y < y1; y++ {
		py := float64(y) + 0.5
		lo, hi := math.Inf(1), math.Inf(-1)
		reach(a, b, py, &lo, &hi)
		reach(b, c, py, &lo, &hi)
		reach(c, a, py, &lo, &hi)
		x0, x1 := sampleRange(lo, hi, w)
		if x0 >= x1 {
			continue
		}
		dx, dy := float64(x0)+0.5-a.X, py-a.Y
		z := float32(a.Z + dx*zx + dy*zy)
		l := float32(a.L + dx*lx + dy*ly)
		if d == nil {
			s.span(y*w+x0, y*w+x1, z, float32(zx), l, float32(lx))
			continue
		}
		u, v := float32(a.U+dx*ux+dy*uy), float32(a.V+dx*vx+dy*vy)
		s.drapeSpan(y*w+x0, y*w+x1, z, float32(zx), l, float32(lx), u, float32(ux), v, float32(vx), d)
	}
}

// span paints the samples from i to end of one row where they are nearer than
// what is there.
func (s *Scene) span(i, end int, z, dz, l, dl float32) {
	l, dl = l*rampSteps/2, dl*rampSteps/2
	depth, pix := s.depth[i:end], s.pix[i:end]
	for i := range depth {
		if z < depth[i] {
			depth[i] = z
			pix[i] = s.ramp[min(max(int(l), 0), rampSteps-1)]
		}
		z += dz
		l += dl
	}
}

// reach widens lo..hi by where the side a, b crosses the level y.
func reach(a, b Vertex, y float64, lo, hi *float64) {
	if (a.Y <= y) == (b.Y <= y) {
		return
	}
	x := a.X + (y-a.Y)/(b.Y-a.Y)*(b.X-a.X)
	*lo, *hi = min(*lo, x), max(*hi, x)
}

// sampleRange is the samples of 0..n whose middles lie in lo <= x < hi.
func sampleRange(lo, hi float64, n int) (from, to int) {
	if !(hi > 0 && lo < float64(n)) {
		return 0, 0
	}
	return int(math.Ceil(max(lo-0.5, 0))), min(int(math.Ceil(min(hi-0.5, float64(n)))), n)
}

// Line paints a straight line width pixels wide where it is no farther than
// what is there plus bias, so that a line lying on a face is not eaten by it.
// Where it is hidden it has the colour behind, which may be transparent.
// Lightness is not used.
func (s *Scene) Line(a, b Vertex, width, bias float64, col, behind color.NRGBA) {
	k := float64(s.fine)
	ax, ay, bx, by := a.X*k, a.Y*k, b.X*k, b.Y*k
	w, h := s.w*s.fine, s.h*s.fine
	half := max(width*k/2, 0.5)
	dx, dy := bx-ax, by-ay
	l2 := dx*dx + dy*dy
	if !(l2 > 1e-9) || math.IsInf(l2, 1) {
		return
	}
	y0, y1 := sampleRange(min(ay, by)-half, max(ay, by)+half, h)
	for y := y0; y < y1; y++ {
		py := float64(y) + 0.5 - ay
		lo, hi := min(ax, bx)-half, max(ax, bx)+half
		if math.Abs(dy) > 1e-9 {
			side := half * math.Sqrt(l2) / math.Abs(dy)
			m := ax + py*dx/dy
			lo, hi = max(lo, m-side), min(hi, m+side)
		}
		x0, x1 := sampleRange(lo, hi, w)
		for x := x0; x < x1; x++ {
			px := float64(x) + 0.5 - ax
			along := (px*dx + py*dy) / l2
			t := min(max(along, 0), 1)
			ex, ey := px-t*dx, py-t*dy
			if ex*ex+ey*ey > half*half {
				continue
			}
			i := y*w + x
			if float32(a.Z+t*(b.Z-a.Z)-bias) <= s.depth[i] {
				s.pix[i] = over(s.pix[i], col)
			} else if behind.A > 0 && t == along { // ends are left out: where pieces meet they would be laid on twice
				s.pix[i] = over(s.pix[i], behind)
			}
		}
	}
}

// Depth is the depth at a pixel of the finished picture; ok is false where
// nothing is painted there.
func (s *Scene) Depth(x, y float64) (z float64, ok bool) {
	x, y = x*float64(s.fine), y*float64(s.fine)
	if !(x >= 0 && y >= 0 && x < float64(s.w*s.fine) && y < float64(s.h*s.fine)) {
		return 0, false
	}
	z = float64(s.depth[int(y)*s.w*s.fine+int(x)])
	return z, !math.IsInf(z, 1)
}

// Hidden says whether something nearer is painted at a point, or the point lies
// outside the picture.
func (s *Scene) Hidden(v Vertex) bool {
	if !(v.X >= 0 && v.Y >= 0 && v.X < float64(s.w) && v.Y < float64(s.h)) {
		return true
	}
	z, ok := s.Depth(v.X, v.Y)
	return ok && z < v.Z
}

// over is a sample with col laid over it.
func over(p uint32, col color.NRGBA) uint32 {
	r, g, b := unpack(p)
	m := Mix(color.NRGBA{r, g, b, 255}, col, float64(col.A)/255)
	return pack(m.R, m.G, m.B)
}

// Resolve writes the finished picture: each pixel the mean of its samples. dst
// must be at least as large as the scene and start at (0, 0).
func (s *Scene) Resolve(dst *image.RGBA) {
	for y := range s.h {
		out := dst.Pix[y*dst.Stride : y*dst.Stride+4*s.w]
		switch s.fine {
		case 1:
			copyRow(s.pix[y*s.w:(y+1)*s.w], out)
		case 2:
			s.halveRow(y, out)
		default:
			s.meanRow(y, out)
		}
	}
}

// copyRow is meanRow for one sample: two pixels at a time.
func copyRow(p []uint32, out []uint8) {
	for len(p) >= 2 && len(out) >= 8 {
		binary.LittleEndian.PutUint64(out, uint64(p[0])|uint64(p[1])<<32|0xff000000ff000000)
		p, out = p[2:], out[8:]
	}
	if len(p) > 0 {
		binary.LittleEndian.PutUint32(out, p[0]|0xff000000)
	}
}

// halveRow is meanRow for two by two samples, the usual case.
func (s *Scene) halveRow(y int, out []uint8) {
	row := 2 * s.w
	p, q := s.pix[2*y*row:(2*y+1)*row], s.pix[(2*y+1)*row:(2*y+2)*row]
	for x := range s.w {
		a, b, c, d := p[2*x], p[2*x+1], q[2*x], q[2*x+1]
		rb := (a&0xff00ff + b&0xff00ff + c&0xff00ff + d&0xff00ff + 0x20002) >> 2 & 0xff00ff
		g := (a&0xff00 + b&0xff00 + c&0xff00 + d&0xff00 + 0x200) >> 2 & 0xff00
		binary.LittleEndian.PutUint32(out[4*x:], rb|g|0xff000000)
	}
}

// meanRow writes one row of the finished picture.
func (s *Scene) meanRow(y int, out []uint8) {
	n, row := s.fine, s.w*s.fine
	div := uint32(n * n)
	for x := range s.w {
		var rb, g uint32 // red and blue are summed in the two halves of one number
		for j := range n {
			at := (y*n+j)*row + x*n
			for _, p := range s.pix[at : at+n] {
				rb += p & 0xff00ff
				g += p >> 8 & 0xff
			}
		}
		o := out[4*x : 4*x+4 : 4*x+4]
		o[0], o[1], o[2], o[3] = uint8((rb&0xffff+div/2)/div), uint8((g+div/2)/div), uint8((rb>>16+div/2)/div), 255
	}
}
