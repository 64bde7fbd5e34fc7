package board

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
	"panewright/geom/fit"
)

// State says what the solve did with a reading.
type State int

// The states.
const (
	Kept      State = iota // used
	Suspect                // set aside until the person decides
	StruckOut              // struck by the person
	Unused                 // not fitted: a mark, a reading with a missing or unread value, one outside the measured half
)

var stateNames = []string{"kept", "suspect", "struck", "unused"}

// String is the word of the files.
func (s State) String() string { return stateNames[s] }

// Result is what became of one reading.
type Result struct {
	State      State
	Reason     string  // why it is not kept, in words
	Miss       float64 // mm, signed, square to the outline, + outside; edge readings with HasMiss
	HeightMiss float64 // mm, reading minus fitted face, along z; with HasHeight
	BadHeight  bool    // the height is set aside; an edge reading's x and y may be kept
	HasMiss    bool
	HasHeight  bool
	At         r3.Vec // board frame: where it stands after the corrections and the joining of layings; z is 0 where no height was read
	Placed     bool   // At is known: x and y were read, in a laying that is joined
	Foot       r3.Vec // board frame: the point of the fitted shape that the misses are taken from

	Odds   float64 // suspects: one good reading in so many lies this far off, at most MostOdds
	Offer  *Offer  // the correction to offer; nil where none leads clearly. On a kept reading: of a block that begins there
	Offers []Offer // corrections that fit, the likeliest first
}

// CentreLine is a centre plane in the board frame with its uncertainties.
type CentreLine struct {
	Plane  geom.Plane
	Point  r3.Vec  // mean of all unstruck edge readings, moved square onto the plane
	Offset float64 // mm: x of the plane at the mean of the unstruck edge readings
	Skew   float64 // degrees, + counter-clockwise seen from above
	Roll   float64 // degrees, + where the normal leans up

	OffsetU, SkewU, RollU float64 // standard uncertainties: mm square to the plane at Point, degrees; 0 where typed
	Source                string  // outline, tapes, stations, marks, mixed, typed

	AsymmetryRMS, AsymmetryMax float64 // mm, free outline against its mirror image in the plane; 0 where not both halves were read

	info [3][3]float64 // inverse covariance of offset, skew and roll in mm and degrees; nought where typed
}

// Figures are the sizes that a person checks with a tape; mm, mm² and kg.
type Figures struct {
	Girth, Area, Width, Length float64 // of the outline in plan, glass frame
	LeastRadius                float64 // tightest corner of the outline: least mean radius over 4 mm of it
	TypicalMiss, LargestMiss   float64 // edge readings kept, square to the outline

	FaceTypicalMiss, FaceLargestMiss float64 // heights kept
	CrossSag, ForeAftSag             float64 // greatest over the sections of the upper face
	FaceLeastRadius                  float64
	FaceArea, Mass                   float64 // true area of the upper face; mass at 2500 kg/m3, 0 where the thickness is not known

	// Standard uncertainties of the figures above, from the readings; 0 where
	// not known.
	GirthU, AreaU, WidthU, LengthU, LeastRadiusU, CrossSagU, ForeAftSagU float64

	AsymmetryRMS, AsymmetryMax float64 // free outline against its own mirror image; 0 without a plane
	SigmaFound                 float64 // standard uncertainty of an edge reading as its misses show it
}

// Model is the solved job. It belongs to exactly one Job and is never changed.
type Model struct {
	Job     *Job
	Results []Result // by index of Job.Readings

	Corrections []Correction // of all readings, found and applied or not
	Joins       []Join       // of further layings of the pane, in the order they were joined
	mean        r3.Vec       // of the unstruck edge readings, board frame

	Gaps  *GapReport // what explains the gaps of the last cut; nil where none was noted
	Proof Proof      // whether a cut proves this model
	cut   cutBasis

	Mirror      Mirror // as resolved: both, left, right or none
	Found, Used *CentreLine
	// Lopsided and LopsidedMost are how far the halves of the outline, left
	// different because the readings say so, lie from each other's image, RMS
	// and at most, mm; 0 where the pane is symmetric.
	Lopsided, LopsidedMost float64
	WhyNotFound            string // where a plane is needed and not determined: one sentence, what to measure

	Carries     []Carry // which readings carry Found, the kind that says most of its offset first
	CarriesText string  // the same in words; empty without Found
	Verdict     Verdict // whether the pane is symmetric
	Links       []Link  // what may be wrong in the chain of measuring, the likeliest first

	BoardToGlass geom.Frame
	Pane         *geom.Pane // glass frame; nil where Why says so
	Why          string     // why there is no pane, in words

	Free     *fit.Outline // board frame: a free closed curve through what was measured
	FreeFace *fit.Face    // board frame; nil where too few heights
	doubt    *doubt       // what uncertainties are taken from; nil without a pane

	// For drawing, board plan: the finished outline as measured and, with a
	// mirror, the half that was made; open polylines that share their ends.
	// Without a made half MeasuredHalf is the whole loop, first point repeated.
	MeasuredHalf, MadeHalf []r2.Vec

	// what Consequence works from
	loop     edgeLoop
	touched  []placedStation
	taped    []tapedAt
	refWidth float64 // its width at the reference; 0 where there is none

	Figures  Figures
	Fit      *FitCheck // how the real pane will go into the pocket; nil without a pane or a pocket's wall
	Next     []Advice  // where one more reading would tell the most, best first
	Findings []Finding
}

// Advice is a place where one more reading would make the finished pane surer.
type Advice struct {
	Kind Kind    // Edge or Face
	At   r3.Vec  // board frame, on the fitted upper face
	Text string  // where that is, in words of the board
	Gain float64 // share by which the typical uncertainty of the edge or of the face falls, with those before it
}

// Stages of a solve, as handed to its progress function.
const (
	StageOutline = "outline"
	StageFace    = "face"
	StageCentre  = "centre line"
	StagePane    = "pane"
	StageFit     = "fit check"
)

// length is a length with its unit, for sentences.
func (j *Job) length(mm float64) string { return j.Format(mm) + " " + j.Unit.String() }
