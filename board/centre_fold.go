package board

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// FoldPoint is a place where the left half, folded over a plane, is held against
// the right one.
type FoldPoint struct {
	At          r2.Vec // board plan, on the right half
	Out         r2.Vec // outward there, length 1
	Right, Left r2.Vec // board plan: the edge on the right, and its twin as it lies on the left
	Difference  float64
	SD          float64 // mm, standard uncertainty of Difference from the readings, the plane taken as it is

	RightAt, LeftAt string // the station read there or next to there, if any; of a check station only its own side
}

// foldStep is the distance between fold points, mm.
const foldStep = 15

// FoldOver folds the pane over a plane of the board. Difference is in mm, + where
// the left half comes to lie outside the right one, so that a picture is drawn
// from At by Difference times any factor along Out. Of a pane read all round
// there is a point every 15 mm up the right half, from the free outline; of half
// a pane one for each station read on the other half. It is empty where the
// outline does not cross the plane twice. Cost: some 3 ms.
func (m *Model) FoldOver(plane geom.Plane) []FoldPoint {
	if len(m.loop.nodes) == 0 || m.Free == nil {
		return nil
	}
	if m.Mirror == MirrorLeft || m.Mirror == MirrorRight {
		return m.foldStations(plane)
	}
	return m.foldOutline(plane)
}

// foldOutline folds the free outline.
func (m *Model) foldOutline(plane geom.Plane) (out []FoldPoint) {
	half, ok := m.loop.cut(plane, 1)
	if !ok {
		return nil
	}
	c := m.Free.Curve
	for _, n := range every(half, foldStep) {
		image := n.mirrored(plane, m.loop.t, m.loop.profile)
		u, d := c.Nearest(image.sil)
		own, _ := c.Nearest(n.sil)
		p := FoldPoint{At: n.sil, Out: n.out, Right: n.sil, Left: c.At(u), Difference: -d}
		p.SD = m.Free.Spread([]float64{own, u}, []float64{1, -1})
		out = append(out, p)
	}
	m.nameFolds(out, plane)
	return out
}

// nameFolds puts every station to the fold point nearest to it on its side.
func (m *Model) nameFolds(all []FoldPoint, plane geom.Plane) {
	right, left := make([]r2.Vec, len(all)), make([]r2.Vec, len(all))
	for i := range all {
		right[i], left[i] = all[i].Right, all[i].Left
	}
	for _, s := range m.touched {
		at, name := left, func(p *FoldPoint) *string { return &p.LeftAt }
		if plane.Dist(s.arris) > 0 {
			at, name = right, func(p *FoldPoint) *string { return &p.RightAt }
		}
		i := nearestOf(at, s.sil)
		if i < 0 || r2.Norm(r2.Sub(at[i], s.sil)) > foldStep {
			continue
		}
		if n := name(&all[i]); *n == "" {
			*n = s.id
		}
	}
}

// foldStations folds the stations of the half that is made onto the other.
func (m *Model) foldStations(plane geom.Plane) (out []FoldPoint) {
	right, left, ok := m.foldHalves(plane)
	if !ok {
		return nil
	}
	sxy, _ := m.Job.sigmas()
	for _, s := range m.touched {
		if m.loop.side*plane.Dist(s.arris) > -overlap {
			continue
		}
		own, made := right, left
		if m.loop.side < 0 {
			own, made = left, right
		}
		i, f := footOn(made, s.sil)
		n := placeOn(right, i, f)
		u, _ := m.Free.Curve.Nearest(placeOn(own, i, f).sil)
		p := FoldPoint{At: n.sil, Out: n.out, Right: n.sil, Left: s.sil, Difference: offLine(made, s.sil), LeftAt: s.id, SD: math.Hypot(sxy, m.Free.SD(u))}
		if m.loop.side < 0 { // read on the right: the left half was measured
			p.Right, p.Left, p.Difference = s.sil, placeOn(left, i, f).sil, -p.Difference
			p.LeftAt, p.RightAt = "", s.id
		}
		out = append(out, p)
	}
	return out
}

// FoldMark is a station laid over the right half: where it is, or of the left half
// where it comes to lie folded over.
type FoldMark struct {
	ID      string
	Reading int // index in Job.Readings
	Folded  bool
	At, Out r2.Vec  // board plan: the nearest place of the edge held against, and outward there, length 1
	Off     float64 // mm, + outside that edge; the pencil taken off
}

// FoldMarks are the right half's edge, board plan, from the lower crossing of a
// plane to the upper, and the stations of both halves against it: an edge that is
// the measured half where one half was measured, the right one of a pane read all
// round. Both are empty where the outline does not cross the plane twice. Cost:
// some 0.2 ms.
func (m *Model) FoldMarks(plane geom.Plane) (edge []r2.Vec, marks []FoldMark) {
	right, left, ok := m.foldHalves(plane)
	if !ok {
		return nil, nil
	}
	for i := range right {
		edge = append(edge, right[i].sil)
	}
	for _, s := range m.touched {
		k := FoldMark{ID: s.id, Reading: s.reading, Folded: plane.Dist(s.arris) < 0}
		own := right
		if k.Folded {
			own = left
		}
		i, f := footOn(own, s.sil)
		n := placeOn(right, i, f)
		k.At, k.Out, k.Off = n.sil, n.out, offLine(own, s.sil)
		marks = append(marks, k)
	}
	return edge, marks
}

// foldHalves are the measured half and its mirror image in a plane, by where they
// lie; their nodes are twins. Of a pane read all round the right half counts as
// the measured one.
func (m *Model) foldHalves(plane geom.Plane) (right, left []edgeNode, ok bool) {
	if len(m.loop.nodes) == 0 {
		return nil, nil, false
	}
	half, ok := m.loop.cut(plane, m.loop.side)
	if !ok {
		return nil, nil, false
	}
	ghost := make([]edgeNode, len(half))
	for i := range half {
		ghost[i] = half[i].mirrored(plane, m.loop.t, m.loop.profile)
	}
	if m.loop.side < 0 {
		return ghost, half, true
	}
	return half, ghost, true
}

// every is the nodes of an open line laid out anew, about step mm apart, half a
// step from its ends.
func every(line []edgeNode, step float64) (out []edgeNode) {
	length := make([]float64, len(line))
	for i := 1; i < len(line); i++ {
		length[i] = length[i-1] + r2.Norm(r2.Sub(line[i].sil, line[i-1].sil))
	}
	whole := length[len(length)-1]
	n := max(1, int(math.Round(whole/step)))
	i := 1
	for k := range n {
		at := whole * (float64(k) + 0.5) / float64(n)
		for i < len(line)-1 && length[i] < at {
			i++
		}
		out = append(out, nodeBetween(&line[i-1], &line[i], (at-length[i-1])/max(length[i]-length[i-1], 1e-9)))
	}
	return out
}

// halfResidual is a station against the other half, mirrored.
type halfResidual struct {
	id   string
	at   r2.Vec
	off  float64 // mm, + outside
	sd   float64 // mm, of off as the readings scatter
	pane r3.Vec  // in the frame of the plane: x square to it
	out  r2.Vec  // outward normal there
}

// againstOther holds the stations against the mirror image of the outline in a
// plane, where the other half was read as closely as elsewhere; scatter is the sd
// of a station, as found. Between stations far apart the free outline is but a
// guess.
func (s *solve) againstOther(plane geom.Plane, scatter float64) (out []halfResidual) {
	m := s.m
	c := m.Free.Curve
	frame, err := s.frameOn(plane)
	if err != nil {
		return nil
	}
	gap := s.gaps()
	const enough = 1000 // of thousands of stations every so many-th tells as much
	for k := 0; k < len(s.edge); k += 1 + len(s.edge)/enough {
		i := s.edge[k]
		if m.Free.Suspect[k] {
			continue
		}
		n := edgeNode{arris: s.arris[k], out: s.outward[k], n: m.FreeFace.Face.Eval(s.arris[k].X, s.arris[k].Y).Normal()}
		image := n.mirrored(plane, s.thick(), s.job.Pane.Profile)
		u, d := c.Nearest(image.sil)
		if gap(u) > farApart {
			continue
		}
		q, o := frame.Apply(n.arris), frame.Rotate(r3.Vec{X: n.out.X, Y: n.out.Y})
		out = append(out, halfResidual{id: s.job.Readings[i].ID, at: r2.Vec{X: s.marks[k].P.X, Y: s.marks[k].P.Y},
			off: d, sd: math.Hypot(scatter, m.Free.SD(u)), pane: q, out: flat(o)})
	}
	return out
}

// farApart is how many times as far apart as usual neighbouring stations may
// stand for the outline between them to count as read.
const farApart = 3.0

// gaps is how far apart the stations stand on either side of a place on the free
// outline, by its parameter, in the usual distance of neighbours.
func (s *solve) gaps() func(u float64) float64 {
	o := s.m.Free
	length := o.Curve.Length()
	var at []float64
	for k, u := range o.Param {
		if !o.Suspect[k] {
			at = append(at, o.Curve.LengthTo(u))
		}
	}
	slices.Sort(at)
	if len(at) == 0 {
		return func(float64) float64 { return math.Inf(1) }
	}
	before := func(i int) float64 { return math.Mod(at[i%len(at)]-at[(i+len(at)-1)%len(at)]+length, length) }
	all := make([]float64, len(at))
	for i := range all {
		all[i] = before(i)
	}
	slices.Sort(all)
	usual := max(all[len(all)/2], 1e-6)
	return func(u float64) float64 {
		i, _ := slices.BinarySearch(at, o.Curve.LengthTo(u))
		return before(i) / usual
	}
}
