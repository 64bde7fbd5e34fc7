package board

import (
	"fmt"
	"slices"

	"panewright/geom"
	"panewright/geom/fixture"
)

// fileJob is a job as the file holds it.
type fileJob struct {
	fileHead
	Readings []fileReading `json:"readings"`
	Tapes    []fileTape    `json:"tapes"`

	Cuts      []fileCut      `json:"cuts,omitempty"`
	Gaps      []fileGap      `json:"gaps,omitempty"`
	Distances []fileDistance `json:"check_distances,omitempty"`
}

// fileHead is everything of a job but its lists.
type fileHead struct {
	Name    string     `json:"name"`
	Date    string     `json:"date"`
	Notes   string     `json:"notes"`
	Unit    fileUnit   `json:"unit"`
	Comma   bool       `json:"decimal_comma"`
	Grid    fileGrid   `json:"grid"`
	Pane    filePane   `json:"pane"`
	Sigma   float64    `json:"sigma_mm"`
	SigmaZ  float64    `json:"sigma_z_mm"`
	Pencil  fileCell   `json:"pencil"`
	Mirror  Mirror     `json:"mirror"`
	Plane   *filePlane `json:"typed_plane"`
	Pocket  filePocket `json:"pocket"`
	CutFrom int        `json:"cut"`

	Checks *fileChecks `json:"board_checks,omitempty"`
	Tiles  *fileTiles  `json:"tiles,omitempty"`
	Pack   *filePack   `json:"pack,omitempty"`
	Photo  *filePhoto  `json:"photo,omitempty"`
}

type fileGrid struct {
	PitchX   fileCell `json:"pitch_x"`
	PitchY   fileCell `json:"pitch_y"`
	ColFirst int      `json:"first_line_across"`
	ColLast  int      `json:"last_line_across"`
	RowA     int      `json:"line_a_at_pitches"`
	Rows     int      `json:"lettered_lines"`
}

type filePane struct {
	Thickness fileCell    `json:"thickness"`
	Lay       Lay         `json:"lay"`
	Face      faceSide    `json:"heights_read_on"`
	Profile   fileProfile `json:"edge"`
}

type filePlane struct {
	Offset fileCell `json:"offset"`
	Skew   fileCell `json:"skew"`
	Roll   fileCell `json:"roll"`
}

type filePocket struct {
	Wall    float64 `json:"wall_mm"`
	Seat    float64 `json:"seat_mm"`
	Rim     float64 `json:"rim_mm"`
	Base    float64 `json:"base_mm"`
	Felt    float64 `json:"felt_mm"`
	Cutter  float64 `json:"cutter_mm"`
	Top     fileTop `json:"top"`
	Notches int     `json:"notches"`
}

type fileReading struct {
	Kind   Kind     `json:"kind"`
	ID     string   `json:"id"`
	X      fileCell `json:"x,omitzero"`
	Y      fileCell `json:"y,omitzero"`
	Z      fileCell `json:"z,omitzero"`
	SD     fileCell `json:"sd,omitzero"`
	Set    string   `json:"set,omitempty"`
	Note   string   `json:"note,omitempty"`
	Struck bool     `json:"struck,omitempty"`
	Reason string   `json:"reason,omitempty"`
	Sure   bool     `json:"sure,omitempty"`
	Break  bool     `json:"break,omitempty"`
}

type fileTape struct {
	How    How      `json:"how"`
	From   string   `json:"from"`
	To     string   `json:"to,omitempty"`
	Length fileCell `json:"length,omitzero"`
	Struck bool     `json:"struck,omitempty"`
	Reason string   `json:"reason,omitempty"`
}

// toFile is the job as the file holds it.
func toFile(j *Job) fileJob {
	f := fileJob{fileHead: headToFile(j), Readings: make([]fileReading, len(j.Readings)), Tapes: make([]fileTape, len(j.Tapes))}
	for i := range j.Readings {
		f.Readings[i] = readingToFile(&j.Readings[i])
	}
	for i := range j.Tapes {
		f.Tapes[i] = tapeToFile(&j.Tapes[i])
	}
	f.Cuts, f.Gaps, f.Distances = each(j.Cuts, cutToFile), each(j.Gaps, gapToFile), each(j.Distances, distanceToFile)
	return f
}

// each makes a list of another; nil of an empty one.
func each[T, F any](list []T, make func(*T) F) (out []F) {
	for i := range list {
		out = append(out, make(&list[i]))
	}
	return out
}

// headToFile is everything but the lists.
func headToFile(j *Job) fileHead {
	g := &j.Grid
	h := fileHead{
		Name: j.Name, Date: j.Date, Notes: j.Notes, Unit: fileUnit(j.Unit), Comma: j.Comma,
		Grid:  fileGrid{g.PitchX.toFile(), g.PitchY.toFile(), g.ColFirst, g.ColLast, g.RowA, g.Rows},
		Pane:  filePane{j.Pane.Thickness.toFile(), j.Pane.Lay, faceSide(j.Pane.ReadLower), fileProfile(j.Pane.Profile)},
		Sigma: j.Sigma, SigmaZ: j.SigmaZ, Pencil: j.Pencil.toFile(), Mirror: j.Mirror,
		Pocket:  pocketToFile(j.Pocket),
		CutFrom: j.Cut, Checks: checksToFile(&j.Checks), Tiles: tilesToFile(&j.Tiles), Pack: packToFile(&j.Pack),
		Photo: photoToFile(&j.Photo),
	}
	if j.Plane != nil {
		h.Plane = &filePlane{j.Plane.Offset.toFile(), j.Plane.Skew.toFile(), j.Plane.Roll.toFile()}
	}
	return h
}

func readingToFile(r *Reading) fileReading {
	return fileReading{r.Kind, r.ID, r.X.toFile(), r.Y.toFile(), r.Z.toFile(), r.SD.toFile(), r.Set, r.Note, r.Struck, r.Reason, r.Sure, r.Break}
}

func tapeToFile(t *Tape) fileTape {
	return fileTape{t.How, t.From, t.To, t.Length.toFile(), t.Struck, t.Reason}
}

func (f *fileReading) reading() Reading {
	return Reading{ID: f.ID, Kind: f.Kind, X: f.X.cell(), Y: f.Y.cell(), Z: f.Z.cell(), SD: f.SD.cell(),
		Note: f.Note, Set: f.Set, Struck: f.Struck, Reason: f.Reason, Sure: f.Sure, Break: f.Break}
}

func (f *fileTape) tape() Tape {
	return Tape{How: f.How, From: f.From, To: f.To, Length: f.Length.cell(), Struck: f.Struck, Reason: f.Reason}
}

// job is the job that the file holds, its cells not evaluated yet.
func (f *fileJob) job() (*Job, error) {
	if len(f.Readings) > maxReadings || len(f.Tapes) > maxTapes {
		return nil, fmt.Errorf("board: %d readings and %d taped widths are more than a job holds", len(f.Readings), len(f.Tapes))
	}
	j := f.fileHead.job()
	j.Readings = make([]Reading, 0, len(f.Readings))
	for i := range f.Readings {
		j.Readings = append(j.Readings, f.Readings[i].reading())
	}
	for i := range f.Tapes {
		j.Tapes = append(j.Tapes, f.Tapes[i].tape())
	}
	j.Cuts, j.Gaps, j.Distances = each(f.Cuts, (*fileCut).cut), each(f.Gaps, (*fileGap).gap), each(f.Distances, (*fileDistance).distance)
	return j, nil
}

// job is a job without lists.
func (h *fileHead) job() *Job {
	g := &h.Grid
	j := &Job{
		Name: h.Name, Date: h.Date, Notes: h.Notes, Unit: Unit(h.Unit), Comma: h.Comma,
		Grid: Grid{PitchX: g.PitchX.cell(), PitchY: g.PitchY.cell(), ColFirst: g.ColFirst, ColLast: g.ColLast,
			RowA: g.RowA, Rows: g.Rows},
		Pane:  PaneData{Thickness: h.Pane.Thickness.cell(), Lay: h.Pane.Lay, ReadLower: bool(h.Pane.Face), Profile: geom.Profile(h.Pane.Profile)},
		Sigma: h.Sigma, SigmaZ: h.SigmaZ, Pencil: h.Pencil.cell(), Mirror: h.Mirror, Cut: h.CutFrom,
		Pocket: h.Pocket.spec(), Tiles: h.Tiles.tiles(), Pack: h.Pack.pack(), Photo: h.Photo.photo(),
		Checks: h.Checks.checks(),
	}
	if h.Plane != nil {
		j.Plane = &TypedPlane{Offset: h.Plane.Offset.cell(), Skew: h.Plane.Skew.cell(), Roll: h.Plane.Roll.cell()}
	}
	return j
}

// fileCell is a typed value in the file. Value is missing where the text was not
// understood; degrees in an angle field. The fault is not stored: it follows from
// the text.
type fileCell struct {
	Text  string   `json:"text"`
	Unit  string   `json:"unit"`
	Comma bool     `json:"decimal_comma,omitempty"`
	Value *float64 `json:"value,omitempty"`
}

// toFile is the cell as the file holds it.
func (c *Cell) toFile() fileCell {
	f := fileCell{Text: c.Text, Unit: c.Unit.String(), Comma: c.Comma}
	if c.Set {
		f.Value = &c.MM
	}
	return f
}

// IsZero says whether the cell is empty, to be left out of a row.
func (f fileCell) IsZero() bool {
	return f.Text == "" && f.Value == nil && !f.Comma && (f.Unit == "" || f.Unit == unitWords[MM])
}

// cell is the cell that the file holds, with its value as stored. A unit that is
// not known becomes one that Validate refuses.
func (f *fileCell) cell() Cell {
	c := Cell{Text: f.Text, Comma: f.Comma}
	if f.Unit != "" {
		c.Unit = Unit(slices.Index(unitWords, f.Unit))
	}
	if f.Value != nil {
		c.MM, c.Set = *f.Value, true
	}
	return c
}

// Words of the file for what has none of its own, in the order of the constants.
var (
	unitWords    = []string{"mm", "in"}
	layWords     = []string{"dome", "bowl"}
	profileWords = []string{"square", "round"}
	topWords     = []string{"follow", "flat"}
	faceWords    = []string{"upper", "lower"}
)

type (
	fileUnit    Unit
	fileProfile geom.Profile
	fileTop     fixture.Top
	faceSide    bool
)

func (u fileUnit) MarshalText() ([]byte, error)     { return word(unitWords, int(u)) }
func (u *fileUnit) UnmarshalText(b []byte) error    { return setWord(u, unitWords, "unit", b) }
func (p fileProfile) MarshalText() ([]byte, error)  { return word(profileWords, int(p)) }
func (p *fileProfile) UnmarshalText(b []byte) error { return setWord(p, profileWords, "edge", b) }
func (t fileTop) MarshalText() ([]byte, error)      { return word(topWords, int(t)) }
func (t *fileTop) UnmarshalText(b []byte) error     { return setWord(t, topWords, "top", b) }

func (s faceSide) MarshalText() ([]byte, error) {
	if s {
		return word(faceWords, 1)
	}
	return word(faceWords, 0)
}

func (s *faceSide) UnmarshalText(b []byte) error {
	var n Kind
	err := setWord(&n, faceWords, "face", b)
	*s = n == 1
	return err
}

// MarshalText writes the kind's word.
func (k Kind) MarshalText() ([]byte, error) { return word(kindNames[:], int(k)) }

// UnmarshalText reads the kind's word.
func (k *Kind) UnmarshalText(b []byte) error { return setWord(k, kindNames[:], "kind of reading", b) }

// MarshalText writes the word of the way of taping.
func (h How) MarshalText() ([]byte, error) { return word(howNames, int(h)) }

// UnmarshalText reads the word of a way of taping.
func (h *How) UnmarshalText(b []byte) error { return setWord(h, howNames, "way of taping", b) }

// MarshalText writes the lay's word.
func (l Lay) MarshalText() ([]byte, error) { return word(layWords, int(l)) }

// UnmarshalText reads the lay's word.
func (l *Lay) UnmarshalText(b []byte) error { return setWord(l, layWords, "lay", b) }

// MarshalText writes the word of the way of mirroring.
func (m Mirror) MarshalText() ([]byte, error) { return word(mirrorNames, int(m)) }

// UnmarshalText reads the word of a way of mirroring.
func (m *Mirror) UnmarshalText(b []byte) error { return setWord(m, mirrorNames, "way of mirroring", b) }

// word is the word of a constant.
func word(words []string, i int) ([]byte, error) {
	if i < 0 || i >= len(words) {
		return nil, fmt.Errorf("board: no word for %d", i)
	}
	return []byte(words[i]), nil
}

// setWord sets a constant by its word.
func setWord[T ~int](v *T, words []string, what string, b []byte) error {
	i := slices.Index(words, string(b))
	if i < 0 {
		return fmt.Errorf("unknown %s %q: one of %v", what, b, words)
	}
	*v = T(i)
	return nil
}
