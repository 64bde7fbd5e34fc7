package stl

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

const (
	headerSize = 80
	facetSize  = 50
)

// Write writes a mesh in mm as binary STL. The header is text of at most 80
// printable ASCII characters that does not begin with "solid", by which readers
// know the other form of STL; it is filled up with blanks. Normals are computed
// from the corners as written; a facet without area, of which there are none in
// a valid mesh, gets the normal 0, which tells readers to find it themselves.
//
// It returns an error, before the first byte, for a header that is not allowed,
// a mesh without facets, a corner that is not there or not finite in 32 bits,
// and a facet whose corners fall together in 32 bits, which would leave a hole;
// otherwise w's first error. Whether the mesh is closed is not looked at: see
// geom.Mesh.Validate. A million facets take about 0.1 s.
func Write(w io.Writer, m *geom.Mesh, header string) error {
	if err := checkHeader(header); err != nil {
		return err
	}
	corners, err := round(m)
	if err != nil {
		return err
	}
	b := bufio.NewWriterSize(w, 1<<16) // remembers the first error of w
	fmt.Fprintf(b, "%-*s", headerSize, header)
	var facet [facetSize]byte
	binary.LittleEndian.PutUint32(facet[:], uint32(len(m.T)))
	b.Write(facet[:4])
	for _, t := range m.T {
		p, q, r := corners[t[0]], corners[t[1]], corners[t[2]]
		out := facet[:0]
		for _, v := range [...]point{normal(p, q, r), p, q, r} {
			for _, x := range v {
				out = binary.LittleEndian.AppendUint32(out, math.Float32bits(x))
			}
		}
		b.Write(append(out, 0, 0))
	}
	if err := b.Flush(); err != nil {
		return fmt.Errorf("stl: %w", err)
	}
	return nil
}

func checkHeader(s string) error {
	switch {
	case len(s) > headerSize:
		return fmt.Errorf("stl: header of %d bytes, at most %d allowed", len(s), headerSize)
	case strings.ContainsFunc(s, func(r rune) bool { return r < ' ' || r > '~' }):
		return fmt.Errorf("stl: header %q is not printable ASCII", s)
	case strings.HasPrefix(strings.ToLower(strings.TrimSpace(s)), "solid"):
		return fmt.Errorf(`stl: header %q begins with "solid"`, s)
	}
	return nil
}

// point is a place as the file holds it.
type point [3]float32

func (p point) vec() r3.Vec { return r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])} }

// round returns the mesh's points in 32 bits, minus zero as zero, and checks
// that the facets can be written with them.
func round(m *geom.Mesh) ([]point, error) {
	if len(m.T) == 0 {
		return nil, fmt.Errorf("stl: mesh without facets")
	}
	if uint64(len(m.T)) > math.MaxUint32 {
		return nil, fmt.Errorf("stl: %d facets are more than the format can count", len(m.T))
	}
	pts := make([]point, len(m.V))
	for i, v := range m.V {
		p := point{float32(v.X) + 0, float32(v.Y) + 0, float32(v.Z) + 0}
		for _, x := range p {
			if math.IsNaN(float64(x)) || math.IsInf(float64(x), 0) {
				return nil, fmt.Errorf("stl: point %d is not finite: %v", i, v)
			}
		}
		pts[i] = p
	}
	for i, t := range m.T {
		for _, v := range t {
			if v < 0 || int(v) >= len(pts) {
				return nil, fmt.Errorf("stl: facet %d names point %d of %d", i, v, len(pts))
			}
		}
		if p, q, r := pts[t[0]], pts[t[1]], pts[t[2]]; p == q || q == r || r == p {
			return nil, fmt.Errorf("stl: corners of facet %d fall together at %v", i, p)
		}
	}
	return pts, nil
}

// normal returns the unit normal of a facet, or 0 where it has no area.
func normal(p, q, r point) point {
	n := r3.Cross(r3.Sub(q.vec(), p.vec()), r3.Sub(r.vec(), p.vec()))
	size := r3.Norm(n)
	if size == 0 {
		return point{}
	}
	n = r3.Scale(1/size, n)
	return point{float32(n.X) + 0, float32(n.Y) + 0, float32(n.Z) + 0}
}
