package board

import (
	"fmt"
	"slices"
	"strings"
)

// BoardChecks is what was measured of the board, its grid and the tools, and
// which corrections of the readings follow from it. Cells are as typed.
type BoardChecks struct {
	Grid     GridCheck
	Zero     ZeroMap
	Gauge    Gauge
	UseDrift bool // take off the drift that stations read again show
	UseScale bool // stretch the readings to what was taped on the glass
}

// GridCheck is the drawn grid, or the largest rectangle of it, gone over with a
// tape: its base line (across), one side (up) and both diagonals.
type GridCheck struct {
	Base, Side Stretch
	Rising     Cell // diagonal from lower left to upper right
	Falling    Cell // diagonal from upper left to lower right
	SD         Cell // standard uncertainty of these lengths; empty: 0.5 mm
	Off        bool // shown, and not applied
}

// Stretch is a length as it was meant to be drawn and as it is.
type Stretch struct {
	Drawn, Measured Cell
}

// ZeroMap is how the empty board reads: a straight-edge or bridge laid over it
// and read with the tool of the heights. What it reads is taken off every height.
type ZeroMap struct {
	Points []ZeroPoint
	Off    bool // shown, and not applied
}

// ZeroPoint is one reading of the empty board, + where the board lies low, as
// heights read too much there.
type ZeroPoint struct {
	X, Y, Z Cell
}

// set says whether the point is whole.
func (p *ZeroPoint) set() bool { return p.X.Set && p.Y.Set && p.Z.Set }

// Gauge is the block, foot or bridge that heights were read over.
type Gauge struct {
	Height Cell // taken off every height
	Face   Cell // taken off those on the face instead; empty: as Height
	Off    bool // shown, and not applied
}

// Names of the corrections that can be switched, as Job.Correct takes them.
const (
	CorrectGrid  = "grid"
	CorrectZero  = "zero_map"
	CorrectGauge = "gauge"
	CorrectDrift = "drift"
	CorrectScale = "scale"
)

// clone is a copy that shares nothing changeable.
func (b BoardChecks) clone() BoardChecks {
	b.Zero.Points = slices.Clone(b.Zero.Points)
	return b
}

// equal compares what was typed and switched, values and faults included.
func (b *BoardChecks) equal(o *BoardChecks) bool {
	return b.Grid == o.Grid && b.Gauge == o.Gauge && b.Zero.Off == o.Zero.Off &&
		b.UseDrift == o.UseDrift && b.UseScale == o.UseScale && slices.Equal(b.Zero.Points, o.Zero.Points)
}

// checkCells are the cells of the board's checks that stand in no list.
var checkCells = []struct {
	name  string
	sense sense
	cell  func(*BoardChecks) *Cell
}{
	{"base_drawn", positive, func(b *BoardChecks) *Cell { return &b.Grid.Base.Drawn }},
	{"base_measured", positive, func(b *BoardChecks) *Cell { return &b.Grid.Base.Measured }},
	{"side_drawn", positive, func(b *BoardChecks) *Cell { return &b.Grid.Side.Drawn }},
	{"side_measured", positive, func(b *BoardChecks) *Cell { return &b.Grid.Side.Measured }},
	{"diagonal_rising", positive, func(b *BoardChecks) *Cell { return &b.Grid.Rising }},
	{"diagonal_falling", positive, func(b *BoardChecks) *Cell { return &b.Grid.Falling }},
	{"grid_sd", positive, func(b *BoardChecks) *Cell { return &b.Grid.SD }},
	{"gauge", anyValue, func(b *BoardChecks) *Cell { return &b.Gauge.Height }},
	{"gauge_face", anyValue, func(b *BoardChecks) *Cell { return &b.Gauge.Face }},
}

// zeroCells are the cells of a point of the zero map.
var zeroCells = []struct {
	name string
	axis Axis
	cell func(*ZeroPoint) *Cell
}{
	{"x", AxisX, func(p *ZeroPoint) *Cell { return &p.X }},
	{"y", AxisY, func(p *ZeroPoint) *Cell { return &p.Y }},
	{"z", AxisZ, func(p *ZeroPoint) *Cell { return &p.Z }},
}

// each visits the cells of the board's checks with their places.
func (b *BoardChecks) each(visit func(c *Cell, at Place, a Axis, s sense)) {
	for _, f := range checkCells {
		visit(f.cell(b), Place{List: "job", Field: f.name}, AxisLength, f.sense)
	}
	for i := range b.Zero.Points {
		for _, f := range zeroCells {
			visit(f.cell(&b.Zero.Points[i]), Place{List: "zero", Row: i + 1, Field: f.name}, f.axis, anyValue)
		}
	}
}

// SetCheck types a text into a field of the board's checks: base_drawn,
// base_measured, side_drawn, side_measured, diagonal_rising, diagonal_falling,
// grid_sd, gauge or gauge_face. A number that is not understood is kept with its
// fault.
func (j *Job) SetCheck(field, text string) error {
	if err := checkText(field, text, maxCell); err != nil {
		return err
	}
	for _, f := range checkCells {
		if f.name == field {
			*f.cell(&j.Checks) = j.Typed(text)
			return nil
		}
	}
	return fmt.Errorf("board: the board's checks have no field %q", field)
}

// InsertZero puts an empty point into the zero map before row at; at = its
// length appends.
func (j *Job) InsertZero(at int) error {
	p := &j.Checks.Zero.Points
	if at < 0 || at > len(*p) {
		return errNoRow
	}
	*p = slices.Insert(*p, at, ZeroPoint{})
	return nil
}

// DeleteZero takes point i out of the zero map.
func (j *Job) DeleteZero(i int) error {
	p := &j.Checks.Zero.Points
	if i < 0 || i >= len(*p) {
		return errNoRow
	}
	*p = slices.Delete(*p, i, i+1)
	return nil
}

// SetZero types a text into field x, y or z of point i of the zero map.
func (j *Job) SetZero(i int, field, text string) error {
	if i < 0 || i >= len(j.Checks.Zero.Points) {
		return errNoRow
	}
	if err := checkText(field, text, maxCell); err != nil {
		return err
	}
	for _, f := range zeroCells {
		if f.name == field {
			*f.cell(&j.Checks.Zero.Points[i]) = j.Typed(text)
			return nil
		}
	}
	return fmt.Errorf("board: a point of the zero map has no field %q", field)
}

// Correct switches a correction on or off: CorrectGrid, CorrectZero,
// CorrectGauge (on until switched off, because they are measured to be used),
// CorrectDrift and CorrectScale (off until switched on).
func (j *Job) Correct(name string, on bool) error {
	switch strings.TrimSpace(name) {
	case CorrectGrid:
		j.Checks.Grid.Off = !on
	case CorrectZero:
		j.Checks.Zero.Off = !on
	case CorrectGauge:
		j.Checks.Gauge.Off = !on
	case CorrectDrift:
		j.Checks.UseDrift = on
	case CorrectScale:
		j.Checks.UseScale = on
	default:
		return fmt.Errorf("board: %q is no correction: grid, zero_map, gauge, drift or scale", name)
	}
	return nil
}

// Corrects says whether a correction is switched on.
func (j *Job) Corrects(name string) bool {
	b := &j.Checks
	return map[string]bool{CorrectGrid: !b.Grid.Off, CorrectZero: !b.Zero.Off, CorrectGauge: !b.Gauge.Off,
		CorrectDrift: b.UseDrift, CorrectScale: b.UseScale}[name]
}
