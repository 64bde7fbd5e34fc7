package step

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// point writes a point of the geometry where the document has it moved to.
func (o *out) point(name string, p r3.Vec) value { return o.place(name, o.moved(p)) }

// place writes a point as it is.
func (o *out) place(name string, p r3.Vec) value {
	return o.add("CARTESIAN_POINT", text(name), o.vec(p))
}

// written is where a point of the document is in the file, rounded as it is there.
func (o *out) written(p r3.Vec) r3.Vec {
	p = o.moved(p)
	grain := math.Pow10(o.decimals) / o.mm
	round := func(x float64) float64 { return math.Round(x*grain) / grain }
	return r3.Vec{X: round(p.X), Y: round(p.Y), Z: round(p.Z)}
}

// moved is where a point of the document goes.
func (o *out) moved(p r3.Vec) r3.Vec { return r3.Scale(o.scale, o.frame.Apply(p)) }

func (o *out) direction(d r3.Vec) value {
	return o.add("DIRECTION", "''", list(real(d.X, ratioDecimals), real(d.Y, ratioDecimals), real(d.Z, ratioDecimals)))
}

func (o *out) points(pts []r3.Vec) value {
	refs := make([]value, len(pts))
	for i, p := range pts {
		refs[i] = o.point("", p)
	}
	return list(refs...)
}

// knots returns multiplicities and distinct knots of clamped knots of a
// degree.
func knots(clamped []float64, degree int, spell func(float64) value) (mults, distinct value) {
	inner := clamped[degree : len(clamped)-degree]
	m, d := make([]value, len(inner)), make([]value, len(inner))
	for i, u := range inner {
		m[i], d[i] = "1", spell(u)
	}
	m[0], m[len(m)-1] = whole(degree+1), whole(degree+1)
	return list(m...), list(d...)
}

func parameter(u float64) value { return real(u, knotDecimals) }

// curve writes a curve that bounds nothing.
func (o *out) curve(c Curve) value {
	if c.Knots == nil {
		return o.add("POLYLINE", text(c.Name), o.points(c.Ctrl))
	}
	return o.spline(c.Name, c.Spline)
}

func (o *out) spline(name string, s Spline) value {
	closed := flag(s.Ctrl[0] == s.Ctrl[len(s.Ctrl)-1])
	pts := o.points(s.Ctrl)
	m, u := knots(s.Knots, 3, parameter)
	return o.add("B_SPLINE_CURVE_WITH_KNOTS", text(name), "3", pts, ".UNSPECIFIED.", closed, ".F.", m, u, ".UNSPECIFIED.")
}

// faceSurface writes the whole of a face. Its parameters are the face's x and y,
// as large as the file has them.
func (o *out) faceSurface(f *geom.Face) value {
	kx, ky, c := f.XKnots(), f.YKnots(), f.Coeffs()
	gx, gy := geom.Greville(kx), geom.Greville(ky)
	rows := make([]value, len(gx))
	for i, x := range gx {
		row := make([]r3.Vec, len(gy))
		for j, y := range gy {
			row[j] = r3.Vec{X: x, Y: y, Z: c[i*len(gy)+j]}
		}
		rows[i] = o.points(row)
	}
	spell := func(x float64) value { return real(x*o.scale/o.mm, knotDecimals) }
	mu, u := knots(kx, 3, spell)
	mv, v := knots(ky, 3, spell)
	return o.add("B_SPLINE_SURFACE_WITH_KNOTS", "''", "3", "3", list(rows...), ".UNSPECIFIED.", ".F.", ".F.", ".F.",
		mu, mv, u, v, ".UNSPECIFIED.")
}

// corner is a vertex and where it is.
type corner struct {
	ref value
	at  r3.Vec
}

func (o *out) corner(p r3.Vec) corner {
	return corner{o.add("VERTEX_POINT", "''", o.point("", p)), p}
}

// edge writes an edge along a curve from one vertex to another.
func (o *out) edge(from, to corner, curve value) value {
	return o.add("EDGE_CURVE", "''", from.ref, to.ref, curve, ".T.")
}

// splineEdge writes an edge along a whole spline.
func (o *out) splineEdge(from, to corner, s Spline) value {
	return o.edge(from, to, o.spline("", s))
}

// straightEdge writes a straight edge, between the vertices as they are written:
// one that misses its vertex by the rounding of a coordinate crosses the next edge
// before its end, in the eyes of programs that count in tenths of a micron.
func (o *out) straightEdge(from, to corner) value {
	d := r3.Sub(o.written(to.at), o.written(from.at))
	size := r3.Norm(d)
	start := o.point("", from.at)
	along := o.add("VECTOR", "''", o.direction(r3.Scale(1/size, d)), real(size/o.mm, knotDecimals))
	return o.edge(from, to, o.add("LINE", "''", start, along))
}

// side is an edge as a loop runs along it.
type side struct {
	edge    value
	forward bool
}

func forward(edges ...value) []side {
	s := make([]side, len(edges))
	for i, e := range edges {
		s[i] = side{e, true}
	}
	return s
}

// backward returns the loop the other way round.
func backward(loop []side) []side {
	back := make([]side, len(loop))
	for i, s := range loop {
		back[len(loop)-1-i] = side{s.edge, !s.forward}
	}
	return back
}

// face writes a face: the part of the surface to the left of its loops, the
// outer one first, seen from the front, which is where the surface's normal
// points unless it is turned.
func (o *out) face(name string, surface value, turned bool, loops ...[]side) value {
	var bounds []value
	for i, loop := range loops {
		oriented := make([]value, len(loop))
		for k, s := range loop {
			oriented[k] = o.add("ORIENTED_EDGE", "''", derived, derived, s.edge, flag(s.forward))
		}
		kind := "FACE_BOUND"
		if i == 0 {
			kind = "FACE_OUTER_BOUND"
		}
		bounds = append(bounds, o.add(kind, "''", o.add("EDGE_LOOP", "''", list(oriented...)), ".T."))
	}
	return o.add("ADVANCED_FACE", text(name), list(bounds...), surface, flag(!turned))
}

// ring writes the edges of splines that follow one another round.
func (o *out) ring(parts []Spline) []value {
	corners := o.corners(parts)
	edges := make([]value, len(parts))
	for i, s := range parts {
		edges[i] = o.splineEdge(corners[i], corners[(i+1)%len(parts)], s)
	}
	return edges
}

// corners writes the vertices where splines that follow one another begin.
func (o *out) corners(parts []Spline) []corner {
	c := make([]corner, len(parts))
	for i, s := range parts {
		c[i] = o.corner(s.Ctrl[0])
	}
	return c
}

// cut returns the four runs of a closed curve.
func cut(c *geom.SpaceCurve, runs [4][]float64) [4]Spline {
	var parts [4]Spline
	for i, run := range runs {
		parts[i] = stretch(c, run)
	}
	return parts
}
