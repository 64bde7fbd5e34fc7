package firstcut

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
	"panewright/geom/fixture"
)

// Verdict is how a true pane goes into a pocket.
type Verdict struct {
	DropsIn, Snug, Sits bool // each only where the one before holds
	Least, Largest      float64
	LeastAt, LargestAt  int // places of the edge
	Gaps                []float64
	// Ledge is the largest gap over the ledge, square to it, 8 to 12 mm in from the
	// edge, at LedgeAt in the pane's own frame; Through is how far the ledge reaches into the glass,
	// which is the error of having brought it to rest.
	Ledge, Through float64
	LedgeAt        r3.Vec
	Rest           geom.Frame // from the pane's own frame to the pocket
	Trouble        string     // why it could not be brought to rest
}

const (
	sitsWithin = 1.0 // mm, no ledge gap above it
	readFrom   = 8.0 // mm in from the edge, where ledge gaps are read
	readTo     = 12.0
	coarse     = 400 // places of the edge that placing works on
	judged     = 2   // every so many places of the edge are judged
)

// Judge lays the pane into the pocket from where from (own frame to glass frame)
// has it. The wall gaps are those round the silhouette in the best placement,
// with the pane let straight down on the ledge there; the ledge gaps are those
// when it has slid as low as the wall lets it.
func Judge(p *Pane, k *Pocket, from geom.Frame, clearance float64) (*Verdict, error) {
	socket, err := fixture.NewSocket(k.Wall.Line)
	if err != nil {
		return nil, err
	}
	glass, err := fixture.GlassOf(p.Solid, 150, 6.5, 9, 11.5, 14)
	if err != nil {
		return nil, err
	}
	v := &Verdict{Rest: from}
	const rounds = 3 // its tilt changes its silhouette a little
	for range rounds {
		if v.Rest, err = placed(p, socket, v.Rest); err != nil {
			return nil, err
		}
		if !v.settle(p, k, glass, nil) {
			break
		}
	}
	v.atWall(p, k.Wall)
	for range rounds { // anew on what it touched
		if v.Trouble != "" || !v.settle(p, k, glass, socket) {
			break
		}
		touch := v.overLedge(p, k)
		if v.Through < 0.01 {
			break
		}
		glass.Under = append(glass.Under, touch...)
	}
	v.DropsIn = v.Least >= -0.001 // mm, more than the wall's chords and the placing are off
	v.Snug = v.DropsIn && v.Largest <= 2*clearance
	v.Sits = v.Snug && v.Trouble == "" && v.Ledge <= sitsWithin
	return v, nil
}

// settle lets the pane down on the ledge, straight down where no wall is given.
func (v *Verdict) settle(p *Pane, k *Pocket, glass fixture.Glass, wall *fixture.Socket) bool {
	s, err := fixture.Settle(p.moved(glass, v.Rest), fixture.Pose{}, k.Ledge, wall)
	if err != nil {
		v.Trouble = err.Error()
		return false
	}
	v.Rest = v.Rest.Then(s.Motion)
	return true
}

// placed is f with the pane shifted and turned to where the least gap at the
// wall is greatest.
func placed(p *Pane, socket *fixture.Socket, f geom.Frame) (geom.Frame, error) {
	var edge []r2.Vec
	for _, i := range p.places(coarse) {
		edge = append(edge, p.silhouette(f, i))
	}
	at, err := socket.Place(edge)
	if err != nil {
		return f, fmt.Errorf("firstcut: %w", err)
	}
	return f.Then(level(at.Pose)), nil
}

// level is a pose as a motion in space.
func level(at fixture.Pose) geom.Frame {
	f := turned(2, at.Turn)
	f.T = r3.Vec{X: at.DX, Y: at.DY}
	return f
}

// moved is the pane's glass laid by f, with the silhouette that it has there.
func (p *Pane) moved(g fixture.Glass, f geom.Frame) fixture.Glass {
	out := fixture.Glass{Mass: f.Apply(g.Mass)}
	for _, q := range g.Under {
		out.Under = append(out.Under, f.Apply(q))
	}
	for _, i := range p.places(len(g.Edge)) {
		s := p.silhouette(f, i)
		e := p.edge[i]
		middle := f.Apply(r3.Scale(0.5, r3.Add(e.upper, e.lower)))
		out.Edge = append(out.Edge, r3.Vec{X: s.X, Y: s.Y, Z: middle.Z})
	}
	return out
}

// atWall takes the gaps all round.
func (v *Verdict) atWall(p *Pane, w *Wall) {
	v.Least, v.Largest = math.Inf(1), math.Inf(-1)
	for i := 0; i < len(p.edge); i += judged {
		g := w.Gap(p.silhouette(v.Rest, i))
		v.Gaps = append(v.Gaps, g)
		if g < v.Least {
			v.Least, v.LeastAt = g, i
		}
		if g > v.Largest {
			v.Largest, v.LargestAt = g, i
		}
	}
}

// overLedge takes the gaps over the ledge under the glass, and returns the places of the lower face, own frame, that touch it or
// nearly do.
func (v *Verdict) overLedge(p *Pane, k *Pocket) (touch []r3.Vec) {
	const nearly = 0.05 // mm
	v.Ledge, v.Through = 0, 0
	var under geom.Polygon
	for i := 0; i < len(p.edge); i += 8 {
		under = append(under, planOf(p.edge[i].lower))
	}
	back := v.Rest.Inverse()
	for _, q := range k.Ledge.points {
		at := back.Apply(q)
		if !under.Contains(planOf(at)) {
			continue
		}
		h := p.Solid.Lower.Eval(at.X, at.Y)
		gap := (h.Z - at.Z) * h.Normal().Z
		v.Through = math.Max(v.Through, -gap)
		if gap < nearly {
			touch = append(touch, r3.Vec{X: at.X, Y: at.Y, Z: h.Z})
		}
		if _, out := p.Solid.Outline.Nearest(planOf(at)); gap > v.Ledge && -out >= readFrom && -out <= readTo {
			v.Ledge, v.LedgeAt = gap, at
		}
	}
	return touch
}
