package lint

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// Versions of the format, as $ACADVER has them.
const (
	R12   = "AC1009"
	R2000 = "AC1015"
)

// Report is what a file holds. Lengths are in the file's unit.
type Report struct {
	Version        string
	Units          int // $INSUNITS: 4 is mm, 1 the inch; 0 where the file does not say
	Measurement    int // $MEASUREMENT: 1 is metric; 0 where it is not or the file does not say
	ExtMin, ExtMax r3.Vec
	Comments       []string
	Linetypes      []Linetype
	Layers         []Layer
	Entities       []Entity // in the file's order, vertices joined to their polylines
}

// Linetype is a row of the LTYPE table: dashes > 0, gaps < 0, dots 0.
type Linetype struct {
	Name    string
	Pattern []float64
}

// Layer is a row of the LAYER table.
type Layer struct {
	Name     string
	Colour   int
	Linetype string
}

// Entity is one thing drawn. Which fields have a meaning depends on the type:
//
//	LINE                  Points: both ends
//	CIRCLE                Points: the centre; Radius
//	POINT                 Points: the point
//	TEXT                  Points: the insertion point; Text, Height
//	LWPOLYLINE, POLYLINE  Points: the vertices; Closed, InSpace
//	SPLINE                Degree, Knots, Ctrl, Closed, Planar
type Entity struct {
	Type, Layer string
	Line        int    // of the file, where it begins
	Handle      string // R2000
	Points      []r3.Vec
	Text        string // decoded
	Height      float64
	Radius      float64
	Closed      bool // no first point is repeated in a closed polyline
	InSpace     bool // a polyline whose vertices have heights of their own
	Planar      bool
	Degree      int
	Knots       []float64
	Ctrl        []r3.Vec
}

// Rule names what a fault breaks.
type Rule string

// The rules.
const (
	RulePairs    Rule = "pairs"    // group code and value, line by line
	RuleASCII    Rule = "ascii"    // printable 7-bit text only
	RuleNumber   Rule = "number"   // numbers are finite, whole where they must be
	RuleSection  Rule = "section"  // sections complete and in order, EOF last
	RuleHeader   Rule = "header"   // variables
	RuleTable    Rule = "table"    // tables present, in order, counts, names
	RuleMarker   Rule = "marker"   // subclass markers
	RuleHandle   Rule = "handle"   // present, unique, below the seed
	RuleOwner    Rule = "owner"    // what owns an object exists and may own it
	RuleLayer    Rule = "layer"    // layers are defined
	RuleLinetype Rule = "linetype" // line types are defined
	RuleEntity   Rule = "entity"   // known entity with the codes it needs
	RuleCount    Rule = "count"    // stated counts are the real ones
	RuleKnots    Rule = "knots"    // order and multiplicity
	RuleClosed   Rule = "closed"   // ends of closed curves
	RuleExtent   Rule = "extent"   // everything lies in $EXTMIN..$EXTMAX
)

// Fault is a broken rule and its place.
type Fault struct {
	Line int // of the file, from 1
	Rule Rule
	Text string
}

func (f *Fault) Error() string {
	return fmt.Sprintf("dxf: line %d: %s: %s", f.Line, f.Rule, f.Text)
}

// maxFaults is how many faults are gathered before the reader gives up.
const maxFaults = 50

// Lint reads a DXF file. The error, where there is one, joins a *Fault for
// each broken rule found; the report holds what could be read. Cost is linear
// in the size of the file, which is held in memory.
func Lint(r io.Reader) (*Report, error) {
	c := &checker{report: &Report{}}
	c.file(r)
	return c.report, errors.Join(c.faults...)
}

// On returns the entities on a layer, in the file's order.
func (r *Report) On(layer string) []Entity {
	var on []Entity
	for _, e := range r.Entities {
		if strings.EqualFold(e.Layer, layer) {
			on = append(on, e)
		}
	}
	return on
}

// checker gathers the report and the faults.
type checker struct {
	report  *Report
	faults  []error
	handles map[string]*record // R2000
	seed    uint64
}

func (c *checker) fault(line int, rule Rule, format string, args ...any) {
	if len(c.faults) < maxFaults {
		c.faults = append(c.faults, &Fault{line, rule, fmt.Sprintf(format, args...)})
	}
}

func (c *checker) r2000() bool { return c.report.Version == R2000 }
