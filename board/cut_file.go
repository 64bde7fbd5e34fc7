package board

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
	"panewright/geom/fit"
	"panewright/geom/fixture"
)

// fileCut is a cut as the file holds it. Lengths are mm.
type fileCut struct {
	Number   int         `json:"number"`
	Date     string      `json:"date,omitempty"`
	Reason   string      `json:"reason,omitempty"`
	JobSum   string      `json:"job_sha256"`
	Pocket   filePocket  `json:"pocket"`
	Wall     fileCell    `json:"wall_as_cut,omitzero"`
	Line     fileLine    `json:"centre_line"`
	Accepted []string    `json:"accepted,omitempty"`
	Rocks    bool        `json:"rocks,omitempty"`
	Tiles    *fileTiles  `json:"tiles,omitempty"`
	Joints   []fileJoint `json:"joints,omitempty"`
	Fix      *fileFix    `json:"put_right,omitempty"`
	Shape    *fileShape  `json:"shape"`
}

type fileLine struct {
	Source string  `json:"source"`
	Offset float64 `json:"offset_mm"`
	Skew   float64 `json:"skew_deg"`
	Roll   float64 `json:"roll_deg"`
}

type fileJoint struct {
	Name  string     `json:"name"`
	At    [2]float64 `json:"at"`
	Along [2]float64 `json:"along"`
}

type fileFix struct {
	Plane  *fileFixPlane  `json:"plane,omitempty"`
	Scale  float64        `json:"scale,omitempty"`
	Shear  float64        `json:"shear,omitempty"`
	About  [2]float64     `json:"about,omitzero"`
	Across [2]float64     `json:"across,omitzero"`
	Pencil float64        `json:"pencil_mm,omitempty"`
	Causes []filePutRight `json:"causes,omitempty"`
	Rest   [][4]float64   `json:"rest,omitempty"` // x, y (board), wall, ledge
}

type fileFixPlane struct {
	Point  [3]float64 `json:"point"`
	Normal [3]float64 `json:"normal"`
	U      [3]float64 `json:"u"`
}

type filePutRight struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit,omitempty"`
}

type fileShape struct {
	Mirror    Mirror        `json:"mirror"`
	Frame     [16]float64   `json:"board_to_glass"`
	Thickness float64       `json:"thickness_mm"`
	Profile   fileProfile   `json:"edge"`
	Mean      [3]float64    `json:"mean"`
	Stations  []fileStation `json:"stations"`
	PlanKnots []float64     `json:"edge_knots"`
	PlanCtrl  [][2]float64  `json:"edge_points"`
	FaceX     []float64     `json:"face_x_knots"`
	FaceY     []float64     `json:"face_y_knots"`
	FaceC     []float64     `json:"face_heights"`
}

type fileStation struct {
	ID string     `json:"id"`
	At [2]float64 `json:"at"`
}

type fileGap struct {
	Cut     int         `json:"cut"`
	Station string      `json:"station"`
	Wall    fileGapCell `json:"wall,omitzero"`
	Ledge   fileGapCell `json:"ledge,omitzero"`
	Note    string      `json:"note,omitempty"`
}

// fileGapCell is a gap as typed; what it means follows from the text.
type fileGapCell struct {
	Text  string `json:"text"`
	Unit  string `json:"unit"`
	Comma bool   `json:"decimal_comma,omitempty"`
}

type fileDistance struct {
	Cut    int      `json:"cut"`
	Name   string   `json:"name"`
	Length fileCell `json:"length,omitzero"`
}

func xy(v r2.Vec) [2]float64      { return [2]float64{v.X, v.Y} }
func xyz(v r3.Vec) [3]float64     { return [3]float64{v.X, v.Y, v.Z} }
func fromXY(v [2]float64) r2.Vec  { return r2.Vec{X: v[0], Y: v[1]} }
func fromXYZ(v [3]float64) r3.Vec { return r3.Vec{X: v[0], Y: v[1], Z: v[2]} }

func pocketToFile(p fixture.Spec) filePocket {
	return filePocket{p.Wall, p.Seat, p.Rim, p.Base, p.Felt, p.Cutter, fileTop(p.Top), p.Notches}
}

func (p *filePocket) spec() fixture.Spec {
	return fixture.Spec{Wall: p.Wall, Seat: p.Seat, Rim: p.Rim, Base: p.Base, Felt: p.Felt, Cutter: p.Cutter,
		Top: fixture.Top(p.Top), Notches: p.Notches}
}

func cutToFile(c *Cut) fileCut {
	f := fileCut{Number: c.Number, Date: c.Date, Reason: c.Reason, JobSum: c.JobSum, Pocket: pocketToFile(c.Pocket), Tiles: tilesToFile(&c.Tiles), Wall: c.Wall.toFile(),
		Line: fileLine{c.Source, c.Offset, c.Skew, c.Roll}, Accepted: c.Accepted, Rocks: c.Rocks, Fix: fixToFile(&c.Fix), Shape: shapeToFile(c.Shape)}
	for _, j := range c.Joints {
		f.Joints = append(f.Joints, fileJoint{j.Name, xy(j.At), xy(j.Along)})
	}
	return f
}

func fixToFile(c *CutFix) *fileFix {
	if c.none() && len(c.Causes) == 0 {
		return nil
	}
	f := &fileFix{Scale: c.Scale, Shear: c.Shear, About: xy(c.About), Across: xy(c.Across), Pencil: c.Pencil}
	if c.Plane != nil {
		f.Plane = &fileFixPlane{xyz(c.Plane.Point), xyz(c.Plane.Normal), c.U}
	}
	for _, p := range c.Causes {
		f.Causes = append(f.Causes, filePutRight(p))
	}
	for _, r := range c.Rest {
		f.Rest = append(f.Rest, [4]float64{r.At.X, r.At.Y, r.Wall, r.Ledge})
	}
	return f
}

func shapeToFile(s *CutShape) *fileShape {
	if s == nil {
		return nil
	}
	f := &fileShape{Mirror: s.Mirror, Frame: s.Frame.Matrix(), Thickness: s.Thickness, Profile: fileProfile(s.Profile), Mean: xyz(s.Mean),
		PlanKnots: s.Plan.Knots(), FaceX: s.Face.XKnots(), FaceY: s.Face.YKnots(), FaceC: s.Face.Coeffs(), Stations: []fileStation{}}
	for _, q := range s.Plan.Ctrl() {
		f.PlanCtrl = append(f.PlanCtrl, xy(q))
	}
	for _, q := range s.Stations {
		f.Stations = append(f.Stations, fileStation{q.ID, xy(q.At)})
	}
	return f
}

// cut is the cut that the file holds; without a shape, which Validate refuses,
// where that is none.
func (f *fileCut) cut() Cut {
	c := Cut{Number: f.Number, Date: f.Date, Reason: f.Reason, JobSum: f.JobSum, Pocket: f.Pocket.spec(), Tiles: f.Tiles.tiles(), Wall: f.Wall.cell(),
		Offset: f.Line.Offset, Skew: f.Line.Skew, Roll: f.Line.Roll, Source: f.Line.Source, Accepted: f.Accepted, Rocks: f.Rocks,
		Fix: f.Fix.fix(), Shape: f.Shape.shape()}
	for _, j := range f.Joints {
		c.Joints = append(c.Joints, fit.FixtureJoint{Name: j.Name, At: fromXY(j.At), Along: fromXY(j.Along)})
	}
	return c
}

func (f *fileFix) fix() (c CutFix) {
	if f == nil {
		return c
	}
	c = CutFix{Scale: f.Scale, Shear: f.Shear, About: fromXY(f.About), Across: fromXY(f.Across), Pencil: f.Pencil}
	if f.Plane != nil {
		c.Plane, c.U = &geom.Plane{Point: fromXYZ(f.Plane.Point), Normal: fromXYZ(f.Plane.Normal)}, f.Plane.U
	}
	for _, p := range f.Causes {
		c.Causes = append(c.Causes, PutRight(p))
	}
	for _, r := range f.Rest {
		c.Rest = append(c.Rest, RestPoint{r2.Vec{X: r[0], Y: r[1]}, r[2], r[3]})
	}
	if c.none() {
		return CutFix{Causes: c.Causes}
	}
	return c
}

func (f *fileShape) shape() *CutShape {
	if f == nil {
		return nil
	}
	ctrl := make([]r2.Vec, len(f.PlanCtrl))
	for i, q := range f.PlanCtrl {
		ctrl[i] = fromXY(q)
	}
	plan, err := geom.NewCurve(f.PlanKnots, ctrl)
	if err != nil {
		return nil
	}
	face, err := geom.NewFace(f.FaceX, f.FaceY, f.FaceC)
	if err != nil {
		return nil
	}
	m := f.Frame
	s := &CutShape{Mirror: f.Mirror, Thickness: f.Thickness, Profile: geom.Profile(f.Profile), Mean: fromXYZ(f.Mean), Plan: plan, Face: face,
		Frame: geom.Frame{R: [3][3]float64{{m[0], m[1], m[2]}, {m[4], m[5], m[6]}, {m[8], m[9], m[10]}}, T: r3.Vec{X: m[3], Y: m[7], Z: m[11]}}}
	for _, q := range f.Stations {
		s.Stations = append(s.Stations, CutStation{q.ID, fromXY(q.At)})
	}
	return s
}

func gapToFile(g *GapNote) fileGap {
	return fileGap{g.Cut, g.Station, g.Wall.toFile(), g.Ledge.toFile(), g.Note}
}

func (f *fileGap) gap() GapNote {
	return GapNote{Cut: f.Cut, Station: f.Station, Wall: f.Wall.cell(), Ledge: f.Ledge.cell(), Note: f.Note}
}

func (c *GapCell) toFile() fileGapCell {
	return fileGapCell{Text: c.Text, Unit: c.Unit.String(), Comma: c.Comma}
}

// IsZero says whether the cell is empty, to be left out.
func (f fileGapCell) IsZero() bool {
	return f.Text == "" && !f.Comma && (f.Unit == "" || f.Unit == unitWords[MM])
}

func (f *fileGapCell) cell() GapCell {
	c := fileCell{Text: f.Text, Unit: f.Unit, Comma: f.Comma}
	d := c.cell()
	return GapCell{Text: d.Text, Unit: d.Unit, Comma: d.Comma}
}

func distanceToFile(d *DistanceNote) fileDistance {
	return fileDistance{d.Cut, d.Name, d.Length.toFile()}
}

func (f *fileDistance) distance() DistanceNote {
	return DistanceNote{Cut: f.Cut, Name: f.Name, Length: f.Length.cell()}
}

// sameGap compares gaps as they were typed.
func sameGap(a, b *GapNote) bool {
	same := func(a, b *GapCell) bool { return a.Text == b.Text && a.Unit == b.Unit && a.Comma == b.Comma }
	return a.Cut == b.Cut && a.Station == b.Station && a.Note == b.Note && same(&a.Wall, &b.Wall) && same(&a.Ledge, &b.Ledge)
}

// sameDistance compares distances as they were typed.
func sameDistance(a, b *DistanceNote) bool {
	return a.Cut == b.Cut && a.Name == b.Name && sameCell(&a.Length, &b.Length)
}

// validateCuts checks the cuts with their gaps and distances.
func (j *Job) validateCuts() error {
	if len(j.Cuts) > maxCuts || len(j.Gaps) > maxGaps || len(j.Distances) > maxDistances {
		return fmt.Errorf("board: %d cuts, %d gaps and %d check distances are more than a job holds", len(j.Cuts), len(j.Gaps), len(j.Distances))
	}
	for i := range j.Cuts {
		if err := j.Cuts[i].validate(); err != nil {
			return err
		}
		if i > 0 && j.Cuts[i].Number <= j.Cuts[i-1].Number || j.Cuts[i].Number >= j.Cut {
			return fmt.Errorf("board: cut %d stands out of order", j.Cuts[i].Number)
		}
	}
	for i := range j.Gaps {
		g := &j.Gaps[i]
		if j.CutNumber(g.Cut) == nil {
			return fmt.Errorf("board: gap %d belongs to cut %d, which the job does not have", i+1, g.Cut)
		}
		if err := firstError(checkText("station", g.Station, maxCell), checkText("note", g.Note, maxNote),
			checkText("wall", g.Wall.Text, maxCell), checkText("ledge", g.Ledge.Text, maxCell)); err != nil {
			return fmt.Errorf("%w (gaps row %d)", err, i+1)
		}
		for _, c := range []*GapCell{&g.Wall, &g.Ledge} {
			if c.Unit != MM && c.Unit != Inch {
				return fmt.Errorf("board: gaps row %d: unknown unit %d", i+1, c.Unit)
			}
		}
	}
	for i := range j.Distances {
		d := &j.Distances[i]
		if j.CutNumber(d.Cut) == nil {
			return fmt.Errorf("board: check distance %d belongs to cut %d, which the job does not have", i+1, d.Cut)
		}
		if err := checkText("name", d.Name, maxCell); err != nil {
			return fmt.Errorf("%w (check distances row %d)", err, i+1)
		}
	}
	return j.Tiles.validate()
}
