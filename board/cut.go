package board

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
	"panewright/geom/fit"
	"panewright/geom/fixture"
)

// Cut is a pocket that was cut: what it was made from, as it was then. Its gaps
// stand in Job.Gaps, the check distances of its tiles in Job.Distances.
type Cut struct {
	Number int    // from 1
	Date   string // ISO, or empty
	Reason string // why it was made
	JobSum string // Sum of the job that it was made from
	Pocket fixture.Spec
	Wall   Cell // the clearance as it was really cut, measured; empty: as planned

	// The centre plane as used: x at the mean of the edge readings, mm, and
	// degrees, with where it came from. Source is none where there is no mirror.
	Offset, Skew, Roll float64
	Source             string

	Shape  *CutShape // never changed
	Fix    CutFix    // by what it differs from what the readings alone say
	Tiles  TileSettings
	Joints []fit.FixtureJoint // of the tiles
	Rocks  bool               // the glass rocked in it

	// Accepted names the causes of its gaps that are put right in the next cut, as
	// GapCause.Name has them, RestCause for the smooth rest, or FoundCauses.
	Accepted []string
}

// CutShape is the pane as it was cut for. All but Frame is in its glass frame.
type CutShape struct {
	Mirror    Mirror     // as resolved: both, left, right or none
	Frame     geom.Frame // board to glass
	Thickness float64
	Profile   geom.Profile
	Plan      *geom.Curve // of the upper arris
	Face      *geom.Face  // upper
	Mean      r3.Vec      // of the edge readings
	Stations  []CutStation
}

// CutStation is a station on the outline of a cut.
type CutStation struct {
	ID string
	At r2.Vec
}

// CutFix is by what a cut differs from what the readings and the typed centre
// line alone say: all that was put right up to it.
type CutFix struct {
	Plane  *geom.Plane // board frame; nil: as the readings or the person have it
	U      [3]float64  // standard uncertainties of its offset (mm), skew and roll (degrees)
	Scale  float64     // part by which the readings are too large
	Shear  float64     // by how much x grows with y
	About  r2.Vec      // board: what scale and shear leave in its place
	Across r2.Vec      // board: direction of x, of unit length
	Pencil float64     // mm by which the edge is taken in all round
	Rest   []RestPoint // round the edge
	Causes []PutRight  // what was put right in this cut, the one before against it
}

// RestPoint is how far the edge is moved beyond all causes at one place.
type RestPoint struct {
	At    r2.Vec  // board
	Wall  float64 // mm outward
	Ledge float64 // mm up, square to the face
}

// PutRight is a cause that was put right, with the value that was found.
type PutRight struct {
	Name  string
	Value float64
	Unit  string
}

// none says whether there is nothing in it.
func (f *CutFix) none() bool {
	return f.Plane == nil && f.Scale == 0 && f.Shear == 0 && f.Pencil == 0 && len(f.Rest) == 0
}

// cutBasis is what a cut of a model is made of.
type cutBasis struct {
	fix      CutFix      // by what the model differs from what the readings alone say
	plan     *geom.Curve // of the upper arris, glass frame
	stations []CutStation
}

// NewCut is the cut that a model gives, with the joints of its tiles where the
// job has a bed. It belongs into the job by AddCut. An error says that there is
// no pane, or is ctx's.
func NewCut(ctx context.Context, m *Model, date, reason string) (Cut, error) {
	if m.Pane == nil {
		return Cut{}, errors.New("board: there is no pane to cut a pocket for")
	}
	sum, err := Sum(m.Job)
	if err != nil {
		return Cut{}, err
	}
	c := Cut{Number: m.Job.Cut, Date: date, Reason: strings.TrimSpace(reason), JobSum: sum, Pocket: m.Job.Pocket, Tiles: m.Job.Tiles,
		Source: "none", Shape: m.Shape(), Fix: m.cut.fix}
	if u := m.Used; u != nil {
		c.Offset, c.Skew, c.Roll, c.Source = u.Offset, u.Skew, u.Roll, u.Source
	}
	if c.Tiles.Bed == (fixture.Bed{}) {
		return c, nil
	}
	t, err := c.tilesOf(ctx, m.Pane)
	var no *fixture.Refusal
	switch {
	case errors.As(err, &no): // said where the pocket is made
		c.Tiles = TileSettings{}
	case err != nil:
		return Cut{}, err
	default:
		c.Joints = tileJoints(t)
	}
	return c, nil
}

// tileJoints are the joint lines of a tiling, named after two of their tiles.
func tileJoints(t *fixture.Tiling) (out []fit.FixtureJoint) {
	for i, l := range t.Lines {
		at, along := r2.Vec{Y: l.At}, r2.Vec{X: 1}
		if l.Upright {
			at, along = r2.Vec{X: l.At}, r2.Vec{Y: 1}
		}
		k := slices.IndexFunc(t.Joints, func(j fixture.Joint) bool { return j.Line == i })
		name := fmt.Sprintf("%d", i+1)
		if k >= 0 {
			name = t.Joints[k].Between[0] + "/" + t.Joints[k].Between[1]
		}
		out = append(out, fit.FixtureJoint{Name: name, At: at, Along: along})
	}
	return out
}

// Shape is the pane as a cut keeps it; nil without one.
func (m *Model) Shape() *CutShape {
	if m.Pane == nil || m.cut.plan == nil {
		return nil
	}
	return &CutShape{Mirror: m.Mirror, Frame: m.BoardToGlass, Thickness: m.Pane.Thickness, Profile: m.Pane.Profile,
		Plan: m.cut.plan, Face: m.Pane.Upper, Mean: m.BoardToGlass.Apply(m.mean), Stations: m.cut.stations}
}

// Pane is the pane of the shape, made anew: about 30 ms.
func (s *CutShape) Pane() (*geom.Pane, error) {
	p, err := geom.NewPane(s.Face, s.Plan, s.Thickness, s.Profile)
	if err != nil {
		return nil, fmt.Errorf("board: the shape of a cut: %w", err)
	}
	return p, nil
}

// side is +1 where the right half was measured and the left made from it, -1
// the other way round, 0 where neither was made.
func (s *CutShape) side() int {
	switch s.Mirror {
	case MirrorLeft:
		return -1
	case MirrorRight:
		return 1
	}
	return 0
}

// onLine is how far from the centre line a station is its own twin, mm.
const onLine = 1.0

// Names are the stations of a gap sheet in their order: those measured, then
// their twins on the half that was made.
func (s *CutShape) Names() (out []string) {
	for _, p := range s.Stations {
		out = append(out, p.ID)
	}
	for _, p := range s.Stations {
		if float64(s.side())*p.At.X > onLine && !slices.Contains(out, p.ID+"'") {
			out = append(out, p.ID+"'")
		}
	}
	return out
}

// place is where a station stands, or its twin, "12'"; false where there is none.
func (s *CutShape) place(name string) (r2.Vec, bool) {
	find := func(id string) int {
		return slices.IndexFunc(s.Stations, func(p CutStation) bool { return p.ID == id })
	}
	if i := find(name); i >= 0 {
		return s.Stations[i].At, true
	}
	id, twin := strings.CutSuffix(name, "'")
	if i := find(id); twin && i >= 0 && s.Mirror != MirrorNone {
		at := s.Stations[i].At
		return r2.Vec{X: -at.X, Y: at.Y}, true
	}
	return r2.Vec{}, false
}

// OnBoard is where a station of the cut, or its twin, stands on the board, mm,
// and the unit way outward there; false where there is no such station.
func (s *CutShape) OnBoard(name string) (at, out r2.Vec, ok bool) {
	p, ok := s.place(name)
	if !ok {
		return r2.Vec{}, r2.Vec{}, false
	}
	u, _ := s.Plan.Nearest(p)
	n, back := s.Plan.Normal(u), s.Frame.Inverse()
	q, way := back.Apply(r3.Vec{X: p.X, Y: p.Y, Z: s.Face.At(p.X, p.Y)}), back.Rotate(r3.Vec{X: n.X, Y: n.Y})
	return r2.Vec{X: q.X, Y: q.Y}, r2.Unit(r2.Vec{X: way.X, Y: way.Y}), true
}

// CutNumber is the cut of a number; nil where the job has none.
func (j *Job) CutNumber(number int) *Cut {
	for i := range j.Cuts {
		if j.Cuts[i].Number == number {
			return &j.Cuts[i]
		}
	}
	return nil
}

// LastCut is the cut made last; nil before the first.
func (j *Job) LastCut() *Cut {
	if len(j.Cuts) == 0 {
		return nil
	}
	return &j.Cuts[len(j.Cuts)-1]
}

// clearance is that of the cut as it was really made, mm.
func (c *Cut) clearance() float64 {
	if c.Wall.Set {
		return c.Wall.MM
	}
	return c.Pocket.Wall
}
