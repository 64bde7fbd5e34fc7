package geom

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// errNoHomography refuses points that no picture of a plane could show so.
var errNoHomography = errors.New("geom: no homography: three of the points lie on a line, or two of them are crossed over")

// Homography is the map of one plane to another that a pinhole camera makes:
// straight lines stay straight. The zero value maps nothing.
type Homography struct {
	m [3][3]float64 // acts on (x, y, 1); the result is divided by its third part
}

// HomographyThrough is the one homography that takes four points to four others,
// in closed form: the square to one quadrilateral, and back from the other
// (P. Heckbert, Fundamentals of Texture Mapping, 1989, section 2.2.3). It is refused
// where three points of a side lie on a line, or where the map would turn the
// quadrilateral inside out. Exact to rounding.
func HomographyThrough(from, to [4]r2.Vec) (Homography, error) {
	a, err := fromSquare(from)
	if err != nil {
		return Homography{}, err
	}
	b, err := fromSquare(to)
	if err != nil {
		return Homography{}, err
	}
	back, ok := a.Inverse()
	if !ok {
		return Homography{}, errNoHomography
	}
	h := Homography{mul(b.m, back.m)}
	sign := 0.0
	for _, p := range from {
		w := h.m[2][0]*p.X + h.m[2][1]*p.Y + h.m[2][2]
		if sign*w < 0 || w == 0 || math.IsNaN(w) || math.IsInf(w, 0) {
			return Homography{}, errNoHomography
		}
		sign = w
	}
	if sign < 0 {
		for i := range h.m {
			for j := range h.m[i] {
				h.m[i][j] = -h.m[i][j]
			}
		}
	}
	return h, nil
}

// fromSquare takes the corners (0,0), (1,0), (1,1), (0,1) to four points.
func fromSquare(p [4]r2.Vec) (Homography, error) {
	for i := range p {
		a, b, c := p[i], p[(i+1)%4], p[(i+2)%4]
		ab, ac := r2.Sub(b, a), r2.Sub(c, a)
		if !(math.Abs(r2.Cross(ab, ac)) > 1e-9*r2.Norm(ab)*r2.Norm(ac)) {
			return Homography{}, errNoHomography
		}
	}
	d1, d2 := r2.Sub(p[1], p[2]), r2.Sub(p[3], p[2])
	s := r2.Add(r2.Sub(p[0], p[1]), r2.Sub(p[2], p[3]))
	det := r2.Cross(d1, d2)
	g, h := r2.Cross(s, d2)/det, r2.Cross(d1, s)/det
	e1 := r2.Add(r2.Sub(p[1], p[0]), r2.Scale(g, p[1]))
	e2 := r2.Add(r2.Sub(p[3], p[0]), r2.Scale(h, p[3]))
	return Homography{[3][3]float64{{e1.X, e2.X, p[0].X}, {e1.Y, e2.Y, p[0].Y}, {g, h, 1}}}, nil
}

// Apply is where a point goes; false on the horizon, and for the zero value.
func (h Homography) Apply(p r2.Vec) (r2.Vec, bool) {
	part := func(i int) float64 { return h.m[i][0]*p.X + h.m[i][1]*p.Y + h.m[i][2] }
	w := part(2)
	q := r2.Vec{X: part(0) / w, Y: part(1) / w}
	return q, w != 0 && !math.IsInf(q.X, 0) && !math.IsInf(q.Y, 0) && !math.IsNaN(q.X) && !math.IsNaN(q.Y)
}

// Rows are the three rows of the matrix that acts on (x, y, 1). The third part of
// what comes of it is positive on the side of the horizon where the points lie that
// HomographyThrough was given.
func (h Homography) Rows() [3][3]float64 { return h.m }

// Inverse is the map back; false where there is none.
func (h Homography) Inverse() (Homography, bool) {
	m := h.m
	var adj [3][3]float64
	for i := range 3 {
		for j := range 3 {
			a, b, c, d := (j+1)%3, (j+2)%3, (i+1)%3, (i+2)%3
			adj[i][j] = m[a][c]*m[b][d] - m[a][d]*m[b][c]
		}
	}
	det := m[0][0]*adj[0][0] + m[0][1]*adj[1][0] + m[0][2]*adj[2][0]
	if det == 0 || math.IsNaN(det) || math.IsInf(det, 0) {
		return Homography{}, false
	}
	for i := range 3 {
		for j := range 3 {
			adj[i][j] /= det
		}
	}
	return Homography{adj}, true
}

// mul is the matrix product a·b.
func mul(a, b [3][3]float64) (c [3][3]float64) {
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				c[i][j] += a[i][k] * b[k][j]
			}
		}
	}
	return c
}
