// Package board holds the job as it was measured: the drawn grid, the readings
// as typed beside their values, the taped widths, what is known of the pane and
// of the pocket, the history of edits, the job file, and the solve that turns
// readings into a model.
//
// A Job that has been published (by History, by a file reader) is never changed
// again: edits work on a clone. Lengths are millimetres, angles degrees where a
// person types them; readings are in the board frame of geom.
package board

import (
	"fmt"
	"slices"

	"panewright/geom"
	"panewright/geom/fixture"
)

// Unit is the unit that a job's numbers are typed and shown in.
type Unit int

// The units.
const (
	MM Unit = iota
	Inch
)

// String is the unit's short name: "mm" or "in".
func (u Unit) String() string {
	if u == Inch {
		return "in"
	}
	return "mm"
}

// Millimetres is the size of one unit in millimetres, exactly.
func (u Unit) Millimetres() float64 {
	if u == Inch {
		return 25.4
	}
	return 1
}

// Cell is one typed value: the text as it was typed, the unit and the decimal
// mark that were in force then, and what they mean. Text, Unit and Comma are what
// was measured; MM, Set and Fault follow from them and the grid (Job.Evaluate).
// Angles use MM for degrees. Job.Typed makes one from a text.
type Cell struct {
	Text  string  // as typed, never changed by the program
	Unit  Unit    // the unit in force when it was typed
	Comma bool    // the decimal comma was in force when it was typed
	Set   bool    // a value was typed and understood
	MM    float64 // the value in millimetres; degrees in an angle field; 0 where not Set
	Fault string  // why the text was not understood, in words; empty where it was
}

// Kind says what a reading is.
type Kind int

// The kinds of reading.
const (
	Edge   Kind = iota // a station on the edge: silhouette x, y and height of the upper arris
	Face               // a height on the face
	Centre             // a mark believed to lie on the centre line
	Mark               // hole, bracket, band: carried to the files, not fitted
)

// kindNames are the words of the files, in the order of the kinds.
var kindNames = [...]string{"edge", "face", "centre", "mark"}

// String is the kind's word in files: edge, face, centre or mark.
func (k Kind) String() string {
	if k < 0 || int(k) >= len(kindNames) {
		return fmt.Sprintf("Kind(%d)", int(k))
	}
	return kindNames[k]
}

// ParseKind reads the word of a kind.
func ParseKind(s string) (Kind, bool) {
	k := slices.Index(kindNames[:], s)
	return Kind(k), k >= 0
}

// Reading is one typed measurement on the board.
type Reading struct {
	ID      string // the station's name: "12", "F7", "C1"; the same name twice in one kind and set is a repeat, and Check asks
	Kind    Kind
	X, Y, Z Cell   // board frame; Z may be empty for edge, centre and mark
	SD      Cell   // standard uncertainty where it differs from the job's (centre marks: 1 mm if empty)
	Note    string // free words
	Set     string // which laying of the pane it belongs to; empty: the first
	Struck  bool   // kept but unused
	Reason  string // why it was struck
	Sure    bool   // looked at again and right: never set aside
	Break   bool   // an edge reading where the edge truly breaks: its corner has no radius
}

// How says in which way a width was taped.
type How int

// The ways of taping.
const (
	Twin     How = iota // full width from a station to its mirror twin
	Straight            // straight between two read stations
	Greatest            // greatest width across the pane near a station
)

var howNames = []string{"twin", "straight", "greatest"}

// String is the word of the files: twin, straight or greatest.
func (h How) String() string {
	if h < 0 || int(h) >= len(howNames) {
		return fmt.Sprintf("How(%d)", int(h))
	}
	return howNames[h]
}

// ParseHow reads the word of a way of taping.
func ParseHow(s string) (How, bool) {
	h := slices.Index(howNames, s)
	return How(h), h >= 0
}

// Tape is one taped length, straight through the air.
type Tape struct {
	How      How
	From, To string // station ids; To only where Straight
	Length   Cell
	Struck   bool
	Reason   string
}

// Lay says how the pane lies on the board.
type Lay int

// The lays.
const (
	Dome Lay = iota // upper face is the outer face
	Bowl            // upper face is the inner face
)

// String is the word of the files: dome or bowl.
func (l Lay) String() string {
	if l == Bowl {
		return "bowl"
	}
	return "dome"
}

// Mirror says which halves were measured.
type Mirror int

// The ways of mirroring.
const (
	MirrorAuto  Mirror = iota // both, or the measured half where the other holds under a quarter of the edge readings
	MirrorBoth                // fitted symmetric from both halves
	MirrorLeft                // the left half was measured, the right is made
	MirrorRight               // the right half was measured, the left is made
	MirrorNone                // no symmetry
)

var mirrorNames = []string{"auto", "both", "left", "right", "none"}

// String is the word of the files and flags.
func (m Mirror) String() string {
	if m < 0 || int(m) >= len(mirrorNames) {
		return fmt.Sprintf("Mirror(%d)", int(m))
	}
	return mirrorNames[m]
}

// ParseMirror reads the word of a way of mirroring.
func ParseMirror(s string) (Mirror, bool) {
	m := slices.Index(mirrorNames, s)
	return Mirror(m), m >= 0
}

// Grid is the drawn grid: numbered lines across (x), lettered lines up (y).
// Line 0 is x = 0; line A is y = RowA pitches. Both ends are drawn and labelled.
type Grid struct {
	PitchX, PitchY    Cell // spacing; one is enough: an empty PitchY follows PitchX
	ColFirst, ColLast int  // numbers of the first and last line across
	RowA              int  // y of line A, in pitches
	Rows              int  // number of lettered lines
}

// PaneData is what is known of the pane itself.
type PaneData struct {
	Thickness Cell // empty: not known, no pocket
	Lay       Lay
	ReadLower bool // heights of face readings were taken on the lower face
	Profile   geom.Profile
}

// TypedPlane is a centre plane that the person typed or dragged.
type TypedPlane struct {
	Offset Cell // x of the plane at the mean point of the edge readings; + to the right
	Skew   Cell // degrees, + counter-clockwise seen from above
	Roll   Cell // degrees, + where the plane's normal leans up
}

// Job is one pane of glass and everything measured of it.
type Job struct {
	Name     string // shown and written into every file
	Date     string // ISO date, or empty
	Notes    string
	Unit     Unit // of numbers typed from now on, and of everything shown
	Comma    bool // decimal comma: "1,234" is a number below two, not a thousand
	Grid     Grid
	Pane     PaneData
	Sigma    float64 // standard uncertainty of an edge reading per axis, mm
	SigmaZ   float64 // the same for heights; 0: as Sigma
	Pencil   Cell    // how far outside the edge the ticks lie; taken off square to the edge
	Checks   BoardChecks
	Mirror   Mirror
	Plane    *TypedPlane // nil: none typed, the found plane is used
	Readings []Reading
	Tapes    []Tape
	Pocket   fixture.Spec
	Tiles    TileSettings
	Pack     PackSettings
	Photo    Photo // behind the grid, a check by eye
	Cut      int   // number of the next cut, from 1

	Cuts      []Cut          // made, in order
	Gaps      []GapNote      // noted in them
	Distances []DistanceNote // taped over their tiles
}

// NewJob is an empty job in millimetres with the usual settings.
func NewJob(name string) *Job {
	j := &Job{
		Name:   name,
		Grid:   Grid{PitchX: Cell{Text: "100"}, ColFirst: -9, ColLast: 9, Rows: 12},
		Pane:   PaneData{Thickness: Cell{Text: "4"}},
		Sigma:  0.5,
		Pocket: fixture.DefaultSpec(),
		Cut:    1,
	}
	j.Evaluate()
	return j
}

// Clone is a copy that shares nothing changeable with the job.
func (j *Job) Clone() *Job {
	c := *j
	c.Readings = slices.Clone(j.Readings)
	c.Tapes = slices.Clone(j.Tapes)
	c.Cuts, c.Gaps, c.Distances = slices.Clone(j.Cuts), slices.Clone(j.Gaps), slices.Clone(j.Distances)
	c.Checks = j.Checks.clone()
	if j.Plane != nil {
		p := *j.Plane
		c.Plane = &p
	}
	return &c
}
