package board

import (
	"context"
	"errors"
	"fmt"
	"math"
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

// AddCut keeps a cut; the next one gets the number after it.
func (j *Job) AddCut(c Cut) error {
	if last := j.LastCut(); last != nil && c.Number <= last.Number {
		return fmt.Errorf("board: cut %d was made already", c.Number)
	}
	if len(j.Cuts) >= maxCuts {
		return fmt.Errorf("board: a job holds %d cuts", maxCuts)
	}
	j.Cuts = append(j.Cuts, c)
	j.Cut = c.Number + 1
	return nil
}

// DeleteCut takes out the cut made last, with its gaps and distances.
func (j *Job) DeleteCut() error {
	last := j.LastCut()
	if last == nil {
		return errNoCut
	}
	n := last.Number
	j.Cuts = j.Cuts[:len(j.Cuts)-1]
	j.Gaps = slices.DeleteFunc(j.Gaps, func(g GapNote) bool { return g.Cut == n })
	j.Distances = slices.DeleteFunc(j.Distances, func(d DistanceNote) bool { return d.Cut == n })
	j.Cut = n
	return nil
}

// SetCut types a text into a field of a cut: date, reason or wall (the clearance
// as it was really cut).
func (j *Job) SetCut(number int, field, text string) error {
	c := j.CutNumber(number)
	if c == nil {
		return errNoCut
	}
	limit := maxCell
	if field == "reason" {
		limit = maxNote
	}
	if err := checkText(field, text, limit); err != nil {
		return err
	}
	switch field {
	case "date":
		c.Date = strings.TrimSpace(text)
	case "reason":
		c.Reason = strings.TrimSpace(text)
	case "wall":
		c.Wall = j.Typed(text)
	default:
		return fmt.Errorf("board: a cut has no field %q", field)
	}
	return nil
}

// SetRocks notes whether the glass rocked in a cut.
func (j *Job) SetRocks(number int, rocks bool) error {
	c := j.CutNumber(number)
	if c == nil {
		return errNoCut
	}
	c.Rocks = rocks
	return nil
}

// Names that Cut.Accepted knows beside those of the causes.
const (
	RestCause   = "rest"  // the smooth rest along the edge
	FoundCauses = "found" // every cause larger than twice its uncertainty, and the rest
)

// AcceptCause says whether a cause of a cut's gaps, by its GapCause.Name, the
// smooth rest (RestCause) or all that is found (FoundCauses) is put right in the
// next cut.
func (j *Job) AcceptCause(number int, name string, on bool) error {
	c := j.CutNumber(number)
	if c == nil {
		return errNoCut
	}
	if err := checkText("cause", name, maxCell); err != nil {
		return err
	}
	names := slices.DeleteFunc(slices.Clone(c.Accepted), func(n string) bool { return n == name })
	if on {
		names = append(names, name)
		slices.Sort(names)
	}
	c.Accepted = names
	return nil
}

// clearance is that of the cut as it was really made, mm.
func (c *Cut) clearance() float64 {
	if c.Wall.Set {
		return c.Wall.MM
	}
	return c.Pocket.Wall
}

// equal compares two cuts.
func (c *Cut) equal(o *Cut) bool {
	return c.Number == o.Number && c.Date == o.Date && c.Reason == o.Reason && c.JobSum == o.JobSum &&
		c.Pocket == o.Pocket && c.Tiles == o.Tiles && c.Wall == o.Wall && c.Offset == o.Offset && c.Skew == o.Skew && c.Roll == o.Roll &&
		c.Source == o.Source && c.Rocks == o.Rocks && slices.Equal(c.Accepted, o.Accepted) && slices.Equal(c.Joints, o.Joints) &&
		c.Shape.equal(o.Shape) && c.Fix.equal(&o.Fix)
}

func (f *CutFix) equal(o *CutFix) bool {
	plane := f.Plane == o.Plane || f.Plane != nil && o.Plane != nil && *f.Plane == *o.Plane
	return plane && f.U == o.U && f.Scale == o.Scale && f.Shear == o.Shear && f.About == o.About && f.Across == o.Across &&
		f.Pencil == o.Pencil && slices.Equal(f.Rest, o.Rest) && slices.Equal(f.Causes, o.Causes)
}

func (s *CutShape) equal(o *CutShape) bool {
	if s == o || s == nil || o == nil {
		return s == o
	}
	return s.Mirror == o.Mirror && s.Frame == o.Frame && s.Thickness == o.Thickness && s.Profile == o.Profile && s.Mean == o.Mean &&
		slices.Equal(s.Stations, o.Stations) && samePlan(s.Plan, o.Plan) && sameFace(s.Face, o.Face)
}

func samePlan(a, b *geom.Curve) bool {
	return a == b || a != nil && b != nil && slices.Equal(a.Knots(), b.Knots()) && slices.Equal(a.Ctrl(), b.Ctrl())
}

func sameFace(a, b *geom.Face) bool {
	return a == b || a != nil && b != nil && slices.Equal(a.XKnots(), b.XKnots()) && slices.Equal(a.YKnots(), b.YKnots()) && slices.Equal(a.Coeffs(), b.Coeffs())
}

// sameCut compares cuts as they were typed and made.
func sameCut(a, b *Cut) bool {
	wall := sameCell(&a.Wall, &b.Wall)
	c := *a
	c.Wall = b.Wall
	return wall && c.equal(b)
}

// validate says what of a cut cannot be kept.
func (c *Cut) validate() error {
	if c.Number < 1 || c.Number > maxCut {
		return fmt.Errorf("board: cut %d: cuts are counted from 1", c.Number)
	}
	if c.Shape == nil || c.Shape.Plan == nil || c.Shape.Face == nil || c.Shape.Mirror <= MirrorAuto || c.Shape.Mirror > MirrorNone {
		return fmt.Errorf("board: cut %d has no shape", c.Number)
	}
	if len(c.Shape.Stations) > maxReadings || len(c.Fix.Rest) > maxReadings || len(c.Joints) > maxLines || len(c.Accepted) > maxLines {
		return fmt.Errorf("board: cut %d holds more than a cut can", c.Number)
	}
	if err := c.numbers(); err != nil {
		return err
	}
	for _, n := range c.Accepted {
		if err := checkText("cause", n, maxCell); err != nil {
			return err
		}
	}
	return firstError(c.Tiles.validate(), checkText("date", c.Date, maxCell), checkText("reason", c.Reason, maxNote), checkText("sum", c.JobSum, maxCell),
		checkText("source", c.Source, maxCell))
}

// numbers checks that the numbers of a cut are such.
func (c *Cut) numbers() error {
	s, f, p := c.Shape, &c.Fix, &c.Pocket
	all := []float64{c.Offset, c.Skew, c.Roll, s.Thickness, s.Mean.X, s.Mean.Y, s.Mean.Z, s.Frame.T.X, s.Frame.T.Y, s.Frame.T.Z,
		f.U[0], f.U[1], f.U[2], f.Scale, f.Shear, f.About.X, f.About.Y, f.Across.X, f.Across.Y, f.Pencil,
		p.Wall, p.Seat, p.Rim, p.Base, p.Felt, p.Cutter}
	if f.Plane != nil {
		n := f.Plane.Normal
		if math.Abs(r3.Norm(n)-1) > 1e-9 {
			return fmt.Errorf("board: cut %d: its centre plane has no direction", c.Number)
		}
		all = append(all, f.Plane.Point.X, f.Plane.Point.Y, f.Plane.Point.Z)
	}
	for _, q := range s.Stations {
		all = append(all, q.At.X, q.At.Y)
	}
	for _, q := range f.Rest {
		all = append(all, q.At.X, q.At.Y, q.Wall, q.Ledge)
	}
	for _, q := range f.Causes {
		all = append(all, q.Value)
	}
	for _, q := range c.Joints {
		all = append(all, q.At.X, q.At.Y, q.Along.X, q.Along.Y)
	}
	for _, v := range all {
		if !between(v, -longest, longest) {
			return fmt.Errorf("board: cut %d holds a number that cannot be", c.Number)
		}
	}
	for i := range s.Frame.R {
		for k := range s.Frame.R {
			want, dot := 0.0, 0.0
			if i == k {
				want = 1
			}
			for l := range s.Frame.R {
				dot += s.Frame.R[i][l] * s.Frame.R[k][l]
			}
			if !(math.Abs(dot-want) < 1e-9) {
				return fmt.Errorf("board: cut %d: its frame is none", c.Number)
			}
		}
	}
	return nil
}
