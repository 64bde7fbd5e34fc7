package handover

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/geom/fixture"
)

// Summary is what a program or a person wants to know of a solved job at a
// glance: the content of summary.json. Lengths are millimetres, angles degrees,
// uncertainties standard ones; null means not determined. Keys are fixed:
// further ones may be added, none renamed.
type Summary struct {
	Job        string   `json:"job"`
	JobSHA256  string   `json:"job_sha256"`
	Cut        int      `json:"cut"`
	Sigma      float64  `json:"sigma_mm"`
	SigmaFound *float64 `json:"sigma_found_mm"`

	Readings        Counts         `json:"readings"`
	Suspects        []Suspect      `json:"suspects"`
	CentreLine      CentreLine     `json:"centre_line"`
	CentreLineFound *CentreLine    `json:"centre_line_found"` // null where no plane was typed, or none found
	Evidence        *Evidence      `json:"evidence"`          // which readings carry it; null where none was found
	Symmetry        *Symmetry      `json:"symmetry"`          // null where no mirror is asked for
	Links           []Link         `json:"links"`             // what may be wrong in the chain of measuring, the likeliest first
	Outline         *Outline       `json:"outline"`
	Face            *Face          `json:"face"`
	Crossbow        []Bow          `json:"crossbow"`     // level by level, rising; empty without a pane
	ForeAftBow      *Bow           `json:"fore_aft_bow"` // down the middle
	Frame           *Frame         `json:"frame"`
	Marks           []Mark         `json:"marks"` // holes, brackets, bands; empty without a pane
	FitCheck        *FitCheck      `json:"fit_check"`
	MeasureNext     []Advice       `json:"measure_next"` // where one more reading would tell the most
	Correction      *GapCorrection `json:"correction"`   // null where no gaps were noted
	Proved          Proved         `json:"proved"`

	Corrections []Correction `json:"corrections"` // of all readings: found, and applied or not
	Layings     []Laying     `json:"layings"`     // beside the first

	Stock          []float64       `json:"stock_mm"`
	Tiles          []Tile          `json:"tiles"`
	Shop           *Shop           `json:"shop"` // null where nothing is written in the machine's frame
	CheckDistances []CheckDistance `json:"check_distances"`
	Assembly       *Assembly       `json:"assembly"` // null where no check distances were typed
	Files          []string        `json:"files"`
	Warnings       []Warning       `json:"warnings"`
}

// Counts are the numbers of readings that are not struck, by kind, and of
// those that are.
type Counts struct {
	Edge   int `json:"edge"`
	Face   int `json:"face"`
	Centre int `json:"centre"`
	Mark   int `json:"mark"`
	Struck int `json:"struck"`
}

// CentreLine is a centre plane in the board frame.
type CentreLine struct {
	Source        string    `json:"source"`
	Point         []float64 `json:"point_mm"`
	Skew          *float64  `json:"skew_deg"`
	Roll          *float64  `json:"roll_deg"`
	OffsetU       *float64  `json:"offset_u_mm"`
	SkewU         *float64  `json:"skew_u_deg"`
	RollU         *float64  `json:"roll_u_deg"`
	AsymmetryRMS  *float64  `json:"asymmetry_rms_mm"`
	AsymmetryMost *float64  `json:"asymmetry_max_mm"`
}

// Outline sums up the outline in plan, glass frame.
type Outline struct {
	Girth       float64 `json:"girth_mm"`
	Area        float64 `json:"area_mm2"`
	Width       float64 `json:"width_mm"`
	Length      float64 `json:"length_mm"`
	TypicalMiss float64 `json:"typical_miss_mm"`
	LargestMiss float64 `json:"largest_miss_mm"`
	LeastRadius float64 `json:"least_radius_mm"`
}

// Face sums up the upper face.
type Face struct {
	TypicalMiss float64 `json:"typical_miss_mm"`
	LargestMiss float64 `json:"largest_miss_mm"`
	CrossSag    float64 `json:"cross_sag_mm"`
	ForeAftSag  float64 `json:"fore_aft_sag_mm"`
	LeastRadius float64 `json:"least_radius_mm"`
	Area        float64 `json:"area_mm2"`
	Mass        float64 `json:"mass_kg"`
}

// Frame is the rigid motion from the board to the glass frame, row-major,
// column vectors.
type Frame struct {
	BoardToGlass [16]float64  `json:"board_to_glass"`
	GlassToCar   *[16]float64 `json:"glass_to_car"` // null where the car frame was not asked for
}

// Correction is what was found to correct in all readings. Value and U are in
// Unit; null where nothing was measured to tell them.
type Correction struct {
	Name    string   `json:"name"`
	On      bool     `json:"on"`
	Applied bool     `json:"applied"`
	Value   *float64 `json:"value"`
	U       *float64 `json:"u"`
	Unit    string   `json:"unit"`
	Text    string   `json:"text"`
}

// Laying is a further laying of the pane and how it was joined to the first.
type Laying struct {
	Set        string   `json:"set"`
	Joined     bool     `json:"joined"`
	TurnedOver bool     `json:"turned_over"`
	Repeats    int      `json:"repeats"`
	LeftOut    []string `json:"left_out"`
	Misfit     *float64 `json:"misfit_mm"`
	WorstAt    *string  `json:"worst_at"`
	Worst      *float64 `json:"worst_mm"`
	UXY        *float64 `json:"u_xy_mm"`
	UZ         *float64 `json:"u_z_mm"`
	Text       string   `json:"text"`
}

// Warning is a remark with a code that scripts may rely on.
type Warning struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

// Summarise sums up a model. pocket may be nil; refusal says why there is none.
func Summarise(m *board.Model, pocket *fixture.Pocket, refusal *fixture.Refusal) (*Summary, error) {
	sum, err := jobSum(m.Job)
	if err != nil {
		return nil, err
	}
	s := &Summary{
		Job: m.Job.Name, JobSHA256: sum, Cut: m.Job.Cut,
		Sigma: clean(m.Job.Sigma), SigmaFound: known(m.Figures.SigmaFound),
		Suspects: suspects(m), CentreLine: CentreLine{Source: "none"},
		Corrections: []Correction{}, Layings: []Laying{}, Crossbow: []Bow{}, Tiles: []Tile{}, CheckDistances: []CheckDistance{}, Files: []string{}, Warnings: []Warning{},
	}
	s.count(m)
	s.FitCheck, s.MeasureNext = fitOf(m, pocket), adviceOf(m)
	s.Evidence, s.Symmetry, s.Links = evidenceOf(m), symmetryOf(m), linksOf(m)
	s.Correction, s.Proved = correctionOf(m), provedOf(m)
	s.corrections(m)
	s.centre(m)
	s.shape(m)
	s.bows(m)
	s.Marks = marksOf(m)
	for _, f := range m.Findings {
		s.Warnings = append(s.Warnings, Warning{f.Code, f.Text})
	}
	if refusal != nil {
		s.Warnings = append(s.Warnings, Warning{"no-pocket", refusal.Reason})
	}
	if pocket != nil {
		b := pocket.Stock
		s.Stock = []float64{clean(b.Max.X - b.Min.X), clean(b.Max.Y - b.Min.Y), clean(pocket.Top - pocket.Bottom)}
		for _, w := range pocket.Warnings {
			s.Warnings = append(s.Warnings, Warning{w.Code, w.Text})
		}
	}
	return s, nil
}

// jobSum is the checksum of a job's file.
func jobSum(j *board.Job) (string, error) {
	data, err := board.Encode(j)
	if err != nil {
		return "", err
	}
	hash := sha256.Sum256(data)
	return hex.EncodeToString(hash[:]), nil
}

func (s *Summary) count(m *board.Model) {
	for _, r := range m.Job.Readings {
		if r.Struck {
			s.Readings.Struck++
			continue
		}
		switch r.Kind {
		case board.Edge:
			s.Readings.Edge++
		case board.Face:
			s.Readings.Face++
		case board.Centre:
			s.Readings.Centre++
		case board.Mark:
			s.Readings.Mark++
		}
	}
}

func (s *Summary) corrections(m *board.Model) {
	for _, c := range m.Corrections {
		out := Correction{Name: c.Name, On: c.On, Applied: c.Applied, Unit: c.Unit, Text: c.Text}
		if c.Known {
			out.Value, out.U = number(c.Value), known(c.U)
		}
		s.Corrections = append(s.Corrections, out)
	}
	for _, j := range m.Joins {
		out := Laying{Set: j.Set, Joined: j.Joined, TurnedOver: j.Turned, Repeats: j.Repeats, LeftOut: append([]string{}, j.Aside...), Text: j.Text}
		if j.Worst != "" {
			out.Misfit, out.Worst, out.WorstAt = number(j.RMS), number(j.WorstMiss), &j.Worst
		}
		if j.Joined {
			out.UXY, out.UZ = number(j.UXY), number(j.UZ)
		}
		s.Layings = append(s.Layings, out)
	}
}

func (s *Summary) centre(m *board.Model) {
	line := func(c *board.CentreLine) *CentreLine {
		out := &CentreLine{Source: c.Source, Point: vec(c.Point), Skew: number(c.Skew), Roll: number(c.Roll)}
		if c.Source != "typed" {
			out.OffsetU, out.SkewU, out.RollU = number(c.OffsetU), number(c.SkewU), number(c.RollU)
		}
		if c.AsymmetryMax > 0 {
			out.AsymmetryRMS, out.AsymmetryMost = number(c.AsymmetryRMS), number(c.AsymmetryMax)
		}
		return out
	}
	if m.Used != nil {
		s.CentreLine = *line(m.Used)
	}
	if m.Used != nil && m.Used != m.Found && m.Found != nil {
		s.CentreLineFound = line(m.Found)
	}
}

func (s *Summary) shape(m *board.Model) {
	if m.Pane == nil {
		return
	}
	f := m.Figures
	s.Outline = &Outline{clean(f.Girth), clean(f.Area), clean(f.Width), clean(f.Length), clean(f.TypicalMiss), clean(f.LargestMiss), clean(f.LeastRadius)}
	s.Face = &Face{clean(f.FaceTypicalMiss), clean(f.FaceLargestMiss), clean(f.CrossSag), clean(f.ForeAftSag), clean(f.FaceLeastRadius), clean(f.FaceArea), clean(f.Mass)}
	s.Frame = &Frame{BoardToGlass: m.BoardToGlass.Matrix()}
}

// Line is the summary as one line of JSON.
func (s *Summary) Line() ([]byte, error) { return json.Marshal(s) }

// Indented is the summary as summary.json holds it.
func (s *Summary) Indented() ([]byte, error) {
	data, err := json.MarshalIndent(s, "", "  ")
	return append(data, '\n'), err
}

// clean rounds to a nanometre (or its like in other units), so that files do
// not show the noise of the last bits.
func clean(v float64) float64 {
	const grain = 1e6
	if r := math.Round(v*grain) / grain; r != 0 && !math.IsInf(r, 0) {
		return r
	}
	return 0
}

func number(v float64) *float64 {
	v = clean(v)
	return &v
}

// known is a number that is null where it is not positive: not determined.
func known(v float64) *float64 {
	if v <= 0 {
		return nil
	}
	return number(v)
}

func vec(v r3.Vec) []float64 { return []float64{clean(v.X), clean(v.Y), clean(v.Z)} }
