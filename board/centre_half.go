package board

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// edgeNode is a point of the edge on the board: where it is touched, seen from
// above, the upper arris over it, and the slopes there.
type edgeNode struct {
	sil   r2.Vec
	arris r3.Vec
	out   r2.Vec // outward normal of the silhouette
	n     r3.Vec // upward normal of the upper face
}

// edgeLoop is the edge as it was read, closed, counter-clockwise.
type edgeLoop struct {
	nodes   []edgeNode
	t       float64
	profile geom.Profile
	side    float64 // of the plane, +1 right, that is mirrored
}

// loopStray is how far the nodes' chords may stray from the edge, mm.
const loopStray = 0.02

// setLoop lays the edge out for Consequence. Of half a pane it is the fit that
// found the plane: the free outline has nothing to go by where nothing was read,
// and is rougher for it. Of a whole one it is the free outline, because there
// the halves are to be held against each other.
func (s *solve) setLoop() {
	m := s.m
	l := edgeLoop{t: s.thick(), profile: s.job.Pane.Profile, side: 1}
	if m.Mirror == MirrorLeft {
		l.side = -1
	}
	if half := m.Mirror == MirrorLeft || m.Mirror == MirrorRight; half && s.found != nil && s.found.Face != nil {
		l.nodes = s.foundNodes(l)
	} else if m.Free != nil {
		l.nodes = s.freeNodes(l)
	}
	m.loop = l
}

// foundNodes are those of the symmetric fit, laid on the board.
func (s *solve) foundNodes(l edgeLoop) []edgeNode {
	c, face, back := s.found.Outline.Curve, s.found.Face.Face, s.toFound.Inverse()
	var nodes []edgeNode
	for _, u := range c.Flatten(loopStray) {
		p, o := c.At(u), c.Normal(u)
		h := face.Eval(p.X, p.Y)
		n := edgeNode{arris: back.Apply(r3.Vec{X: p.X, Y: p.Y, Z: h.Z}), n: back.Rotate(h.Normal())}
		n.out = flat(back.Rotate(r3.Vec{X: o.X, Y: o.Y}))
		n.sil = geom.Silhouette(n.arris, n.out, n.n, l.t, l.profile)
		nodes = append(nodes, n)
	}
	return nodes
}

// freeNodes are those of the free outline.
func (s *solve) freeNodes(l edgeLoop) []edgeNode {
	c := s.m.Free.Curve
	var nodes []edgeNode
	for _, u := range c.Flatten(loopStray) {
		n := edgeNode{sil: c.At(u), out: c.Normal(u), n: r3.Vec{Z: 1}}
		at := n.sil
		if s.m.FreeFace != nil {
			face := s.m.FreeFace.Face
			for range 2 { // the slope is taken at the arris
				n.n = face.Eval(at.X, at.Y).Normal()
				at, _ = geom.Arrises(n.sil, n.out, n.n, l.t, l.profile)
			}
			n.arris.Z = face.At(at.X, at.Y)
		}
		n.arris.X, n.arris.Y = at.X, at.Y
		nodes = append(nodes, n)
	}
	return nodes
}

// flat is the direction of v seen from above.
func flat(v r3.Vec) r2.Vec { return r2.Unit(r2.Vec{X: v.X, Y: v.Y}) }

// mirrored is the node's image in a plane.
func (n *edgeNode) mirrored(p geom.Plane, t float64, profile geom.Profile) edgeNode {
	out := edgeNode{arris: p.Mirror(n.arris), n: p.MirrorDir(n.n)}
	out.out = flat(p.MirrorDir(r3.Vec{X: n.out.X, Y: n.out.Y}))
	out.sil = geom.Silhouette(out.arris, out.out, out.n, t, profile)
	return out
}

// touched is where a tape touches the edge: the silhouette at the arris's height.
func (n *edgeNode) touched() r3.Vec { return r3.Vec{X: n.sil.X, Y: n.sil.Y, Z: n.arris.Z} }

// nodeBetween is a node a share of the way from a to b.
func nodeBetween(a, b *edgeNode, f float64) edgeNode {
	return edgeNode{
		sil:   r2.Add(a.sil, r2.Scale(f, r2.Sub(b.sil, a.sil))),
		arris: r3.Add(a.arris, r3.Scale(f, r3.Sub(b.arris, a.arris))),
		out:   r2.Unit(r2.Add(a.out, r2.Scale(f, r2.Sub(b.out, a.out)))),
		n:     r3.Unit(r3.Add(a.n, r3.Scale(f, r3.Sub(b.n, a.n)))),
	}
}

// cut is the stretch of the edge on one side of a plane (+1 right), from its
// lower crossing to its upper one; ok is false where the edge does not cross the
// plane twice.
func (l *edgeLoop) cut(plane geom.Plane, side float64) (half []edgeNode, ok bool) {
	n := len(l.nodes)
	dist := make([]float64, n)
	for i := range l.nodes {
		dist[i] = side * plane.Dist(l.nodes[i].arris)
	}
	enter, length := -1, 0 // the longest run on that side
	for i := range dist {
		if dist[i] <= 0 || dist[(i+n-1)%n] > 0 {
			continue
		}
		k := 0
		for k < n && dist[(i+k)%n] > 0 {
			k++
		}
		if k > length {
			enter, length = i, k
		}
	}
	if enter < 0 || length < 3 {
		return nil, false
	}
	cross := func(in, out int) edgeNode {
		return nodeBetween(&l.nodes[in], &l.nodes[out], dist[in]/(dist[in]-dist[out]))
	}
	half = make([]edgeNode, 0, length+2)
	half = append(half, cross(enter, (enter+n-1)%n))
	for k := range length {
		half = append(half, l.nodes[(enter+k)%n])
	}
	last := (enter + length - 1) % n
	half = append(half, cross(last, (last+1)%n))
	if half[0].sil.Y > half[len(half)-1].sil.Y {
		for a, b := 0, len(half)-1; a < b; a, b = a+1, b-1 {
			half[a], half[b] = half[b], half[a]
		}
	}
	return half, true
}

// offLine is the distance of p from an open polyline, + on the side that its
// outward normal says.
func offLine(line []edgeNode, p r2.Vec) float64 {
	if len(line) < 2 {
		return 0
	}
	i, f := footOn(line, p)
	w := r2.Sub(p, placeOn(line, i, f).sil)
	return math.Copysign(r2.Norm(w), r2.Dot(w, line[i].out))
}

// footOn is the place of an open polyline that is nearest to p: a share f of the
// way to a node from the one before.
func footOn(line []edgeNode, p r2.Vec) (node int, f float64) {
	best := math.Inf(1)
	node = 1
	for k := 1; k < len(line); k++ {
		a := line[k-1].sil
		d, w := r2.Sub(line[k].sil, a), r2.Sub(p, a)
		g := 0.0
		if l := r2.Norm2(d); l > 0 {
			g = min(1, max(0, r2.Dot(w, d)/l))
		}
		if q := r2.Norm2(r2.Sub(w, r2.Scale(g, d))); q < best {
			best, node, f = q, k, g
		}
	}
	return node, f
}

// placeOn is the node at a place of an open polyline, as footOn has it.
func placeOn(line []edgeNode, i int, f float64) edgeNode {
	return nodeBetween(&line[i-1], &line[i], f)
}
