package board

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

const (
	reshapeStep  = 5.0   // mm along the edge between the places that are compared
	reshapeReach = 24.0  // mm, of the running mean over them
	reshapeMost  = 10.0  // mm: a cut that lies farther off was made from other readings
	reshapeTol   = 2e-3  // mm
	reshapeRough = 2e-2  // mm, where that cannot be held
	restStep     = 4     // places between two that the job keeps
	ledgeReach   = 150.0 // mm inward over which a change of the ledge fades out
	ledgePitch   = 50.0  // mm, of the changed face's knots
	ledgeIn      = 10.0  // mm from the edge where ledge gaps are read
)

// change is by how much the edge of the final fit is moved at a length along it.
type change struct {
	s, wall, ledge float64
	at             r2.Vec // board
}

// reshape moves the edge of the final fit, before the solid is made of it, to
// where the last cut and its gaps have it, wherever gaps were noted.
func (s *solve) reshape() error {
	n := s.next
	if n == nil || s.outline == nil {
		return nil
	}
	s.m.cut.fix = n.fix
	changes := s.changes()
	most := 0.0
	for _, c := range changes {
		most = max(most, math.Abs(c.wall), math.Abs(c.ledge))
	}
	if most > reshapeMost {
		s.m.Findings = append(s.m.Findings, Finding{List: "job", Field: "cut", Code: "cut-apart",
			Text: fmt.Sprintf("The readings now make a shape up to %s off cut %d with what was accepted of its gaps: the next cut follows the readings alone there. Look for what was changed since.", s.job.length(most), n.cut.Number)})
		return nil
	}
	r := newRunning(changes, s.outline.Curve.Length())
	if err := s.moveEdge(r); err != nil {
		return err
	}
	if n.ledges || n.cut.Fix.ledge() {
		if err := s.moveFace(r); err != nil {
			return err
		}
	}
	for i := 0; i < len(changes); i += restStep {
		c := changes[i]
		wall, ledge := r.at(c.s)
		s.m.cut.fix.Rest = append(s.m.cut.fix.Rest, RestPoint{microns(c.at), micron(wall), micron(ledge)})
	}
	return nil
}

func micron(v float64) float64 { return math.Round(v*1e3) / 1e3 }
func microns(v r2.Vec) r2.Vec  { return r2.Vec{X: micron(v.X), Y: micron(v.Y)} }

// ledge says whether the ledge was ever changed.
func (f *CutFix) ledge() bool {
	for _, r := range f.Rest {
		if r.Ledge != 0 {
			return true
		}
	}
	return false
}

// changes compares the cut, moved as accepted, with the final fit, place by
// place round the edge.
func (s *solve) changes() (out []change) {
	n, shape := s.next, s.next.cut.Shape
	back := shape.Frame.Inverse()
	to := back.Then(s.toGlass)
	length := n.along.Length()
	places := int(math.Ceil(length / reshapeStep))
	plan := func(p r3.Vec) r2.Vec { return r2.Vec{X: p.X, Y: p.Y} }
	for i := range places {
		along := length * float64(i) / float64(places)
		u := n.along.ParamAt(along)
		p, normal := n.along.At(u), n.along.Normal(u)
		spoken := n.spoken(along)
		wall, ledge := n.move(p)
		edge := r2.Add(p, r2.Scale(wall, normal))
		q := to.Apply(r3.Vec{X: edge.X, Y: edge.Y, Z: shape.Face.At(edge.X, edge.Y)})
		v, off := s.outline.Curve.Nearest(plan(q))
		c := change{s: s.outline.Curve.LengthTo(v), wall: spoken * off, at: plan(back.Apply(r3.Vec{X: p.X, Y: p.Y, Z: shape.Face.At(p.X, p.Y)}))}
		in := r2.Sub(edge, r2.Scale(ledgeIn, normal))
		h := shape.Face.Eval(in.X, in.Y)
		seat := to.Apply(r3.Add(r3.Vec{X: in.X, Y: in.Y, Z: h.Z}, r3.Scale(ledge, h.Normal())))
		c.ledge = spoken * (seat.Z - s.faceFit.Face.At(seat.X, seat.Y))
		out = append(out, c)
	}
	return out
}

// moveEdge moves the edge of the final fit.
func (s *solve) moveEdge(r *running) error {
	c := s.outline.Curve
	edge := func(u float64) r2.Vec {
		wall, _ := r.at(c.LengthTo(u))
		return r2.Add(c.At(u), r2.Scale(wall, c.Normal(u)))
	}
	moved, err := geom.FitClosed(edge, c.Knots(), reshapeTol)
	if err != nil {
		moved, err = geom.FitClosed(edge, c.Knots(), reshapeRough)
	}
	if err != nil {
		return fmt.Errorf("board: the edge of the next cut: %w", err)
	}
	o := *s.outline
	o.Curve = moved
	s.outline = &o
	return nil
}

// moveFace lifts the face of the final fit along its edge; that fades out
// inward.
func (s *solve) moveFace(r *running) error {
	c, f := s.outline.Curve, s.faceFit.Face
	_, deep := c.Nearest(c.Centroid())
	reach := min(ledgeReach, 0.9*math.Abs(deep))
	face, err := geom.FaceThrough(surfaceFunc(func(x, y float64) float64 {
		z := f.At(x, y)
		u, d := c.Nearest(r2.Vec{X: x, Y: y})
		if d > -reach {
			_, up := r.at(c.LengthTo(u))
			t := min(1, max(0, (-d-2*ledgeIn)/max(reach-2*ledgeIn, 1)))
			z += up * (1 - t*t*(3-2*t))
		}
		return z
	}), f.Box(), ledgePitch)
	if err != nil {
		return fmt.Errorf("board: the face of the next cut: %w", err)
	}
	g := *s.faceFit
	g.Face = face
	s.faceFit = &g
	return nil
}

// surfaceFunc is a height without derivatives, for an interpolation.
type surfaceFunc func(x, y float64) float64

func (f surfaceFunc) Eval(x, y float64) geom.Height { return geom.Height{Z: f(x, y)} }

// running is a smooth run through changes round a loop.
type running struct {
	cells  [][]change // by the length along the loop
	size   float64
	length float64
}

func newRunning(changes []change, length float64) *running {
	r := &running{cells: make([][]change, max(1, int(length/reshapeReach))), length: length}
	r.size = length / float64(len(r.cells))
	for _, c := range changes {
		k := min(int(c.s/r.size), len(r.cells)-1)
		r.cells[k] = append(r.cells[k], c)
	}
	return r
}

// at is the change at a length along the loop: the mean of those near it, whose
// weights fall to nothing smoothly.
func (r *running) at(s float64) (wall, ledge float64) {
	n := len(r.cells)
	k := int(s / r.size)
	weights := 0.0
	for d := -1; d <= 1; d++ {
		for _, c := range r.cells[((k+d)%n+n)%n] {
			t := math.Remainder(c.s-s, r.length) / reshapeReach
			w := 1 - t*t
			if w <= 0 {
				continue
			}
			w *= w * w // twice continuously differentiable
			weights += w
			wall += w * c.wall
			ledge += w * c.ledge
		}
	}
	if weights < 1e-9 {
		return 0, 0
	}
	return wall / weights, ledge / weights
}
