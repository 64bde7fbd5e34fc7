package solidview

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/geom"
)

// Map is what the face is coloured by.
type Map int

// The maps, in the order of their key.
const (
	Plain      Map = iota
	Heights        // over the plane of the edge
	Misses         // of the readings, where they stand
	Unsure         // twice the standard uncertainty of the height
	MeanBend       // mean curvature, + where the glass is domed
	GaussBend      // Gaussian curvature
	LeastRound     // least radius
	Maps           // how many there are
)

// signed says whether a map has a sign, and so nought in the middle.
func (m Map) signed() bool { return m == Misses || m == MeanBend || m == GaussBend }

// faceSteps is how many steps of the lattice of a face its longer side has:
// about two pixels each.
const faceSteps = 400

// face is a pane's upper face on a lattice. It is not changed once made.
type face struct {
	of     *board.Model
	lat    *geom.Lattice // its layout, and the heights
	at     []geom.Height
	inside []bool // in plan, of the upper arris
	edge   geom.Polygon
	level  float64 // z of the least-squares plane of the edge, which lies level
}

// newFace evaluates the face of a model's pane.
func newFace(ctx context.Context, m *board.Model) (*face, error) {
	f := &face{of: m}
	var rim []r3.Vec
	for _, p := range alongEdge(m.Pane.UpperEdge)[1:] {
		rim = append(rim, p)
		f.edge = append(f.edge, r2.Vec{X: p.X, Y: p.Y})
	}
	centre, _, err := geom.FitPlane(rim)
	if err != nil {
		return nil, err
	}
	f.level = centre.Z
	b := m.Pane.Outline.Bounds()
	if f.lat, err = geom.NewLattice(b, faceSteps); err != nil {
		return nil, err
	}
	f.at, f.inside = make([]geom.Height, len(f.lat.Z)), make([]bool, len(f.lat.Z))
	for j := range f.lat.NY {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		for i := range f.lat.NX {
			p, k := f.lat.Point(i, j), j*f.lat.NX+i
			f.at[k] = m.Pane.Upper.Eval(p.X, p.Y)
			f.lat.Z[k] = f.at[k].Z
			f.inside[k] = f.edge.Contains(p)
		}
	}
	return f, nil
}

// value is what a map shows at a point of the face, in mm, 1/mm or 1/mm²; of the
// least radius its inverse, which grows evenly with the bend.
func (f *face) value(m Map, h geom.Height, p r2.Vec) float64 {
	mean, gauss, k1, k2 := h.Curvature()
	switch m {
	case Heights:
		return h.Z - f.level
	case Unsure:
		return 2 * f.of.FaceSD(p)
	case MeanBend:
		return -mean
	case GaussBend:
		return gauss
	case LeastRound:
		return math.Max(math.Abs(k1), math.Abs(k2))
	}
	return 0
}

// field is a map of a face, ready to be drawn. It is not changed once made.
type field struct {
	of        *board.Model
	kind      Map
	lat       *geom.Lattice
	values    []float32 // on the lattice
	low, high float64   // ends of the scale
	levels    []level
	marks     []mark // of the misses
}

// level is a value that is named: in the legend, and along lines on the face.
type level struct {
	value float64
	text  string
	lines [][2]r3.Vec
	names []r3.Vec // where it may be written, the best first
}

// mark is the miss of one reading.
type mark struct {
	at   r3.Vec
	miss float64 // mm
	used bool
	name string
}

// newField makes a map; it takes some 50 ms, of the uncertainty 200.
func newField(ctx context.Context, f *face, kind Map) (*field, error) {
	d := &field{of: f.of, kind: kind, lat: f.lat}
	if kind == Misses {
		d.readMisses()
		d.name()
		return d, nil
	}
	coarse := &geom.Lattice{Min: f.lat.Min, Step: 2 * f.lat.Step, NX: (f.lat.NX + 1) / 2, NY: (f.lat.NY + 1) / 2}
	coarse.Z = make([]float64, coarse.NX*coarse.NY)
	d.values = make([]float32, len(f.at))
	var all []float64
	for j := range f.lat.NY {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		for i := range f.lat.NX {
			k := j*f.lat.NX + i
			v := f.value(kind, f.at[k], f.lat.Point(i, j))
			d.values[k] = float32(v)
			if f.inside[k] {
				all = append(all, v)
			}
			if i%2 == 0 && j%2 == 0 {
				coarse.Z[j/2*coarse.NX+i/2] = v
			}
		}
	}
	d.low, d.high = ends(all, kind)
	d.name()
	for i := range d.levels {
		d.trace(&d.levels[i], coarse, f)
	}
	return d, ctx.Err()
}

// ends are those of a map's scale. Of bends the outermost hundredths are left
// out: there the edge of what is known shows more than the glass.
func ends(all []float64, kind Map) (low, high float64) {
	if len(all) == 0 {
		return 0, 1
	}
	slices.Sort(all)
	out := 0
	if kind == MeanBend || kind == GaussBend || kind == LeastRound {
		out = len(all) / 100
	}
	low, high = all[out], all[len(all)-1-out]
	if kind.signed() {
		high = math.Max(math.Abs(low), math.Abs(high))
		low = -high
	}
	if !(high-low > 1e-12) {
		low, high = low-1e-9, high+1e-9 // the same everywhere
	}
	return low, high
}

// trace finds the lines of a level on the face and where it may be written.
func (d *field) trace(l *level, lat *geom.Lattice, f *face) {
	upper := d.of.Pane.Upper
	lift := func(p r2.Vec) r3.Vec { return r3.Vec{X: p.X, Y: p.Y, Z: upper.At(p.X, p.Y)} }
	apart := 40 * lat.Step
	for _, s := range lat.LevelLines(l.value) {
		a, b := f.edge.Contains(s[0]), f.edge.Contains(s[1])
		if !a && !b {
			continue
		}
		if a != b {
			in, out := s[0], s[1]
			if b {
				in, out = out, in
			}
			for range 8 { // up to the edge
				if m := r2.Scale(0.5, r2.Add(in, out)); f.edge.Contains(m) {
					in = m
				} else {
					out = m
				}
			}
			if a {
				s[1] = in
			} else {
				s[0] = in
			}
		}
		p, q := lift(s[0]), lift(s[1])
		l.lines = append(l.lines, [2]r3.Vec{p, q})
		if !slices.ContainsFunc(l.names, func(n r3.Vec) bool { return r3.Norm(r3.Sub(n, p)) < apart }) {
			l.names = append(l.names, p)
		}
	}
	inside := func(p r3.Vec) float64 { return f.edge.Distance(r2.Vec{X: p.X, Y: p.Y}) }
	slices.SortStableFunc(l.names, func(a, b r3.Vec) int { return cmp.Compare(inside(b), inside(a)) })
}

// readMisses takes the misses of the readings: of a station square to the
// outline, else of its height.
func (d *field) readMisses() {
	m := d.of
	for i, r := range m.Results {
		if !r.HasMiss && !r.HasHeight {
			continue
		}
		k := mark{miss: r.HeightMiss, used: r.State == board.Kept && !r.BadHeight}
		if m.Job.Readings[i].Kind == board.Edge && r.HasMiss {
			k = mark{miss: r.Miss, used: r.State == board.Kept}
		}
		k.name = m.Job.Readings[i].ID
		k.at = m.BoardToGlass.Apply(r.Foot)
		k.at.Z = m.Pane.Upper.At(k.at.X, k.at.Y) // a station without a height has none
		if k.used {
			d.high = math.Max(d.high, math.Abs(k.miss))
		}
		d.marks = append(d.marks, k)
	}
	d.high = math.Max(d.high, 1e-3)
	d.low = -d.high
}
