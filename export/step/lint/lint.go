package lint

import (
	"errors"
	"fmt"
	"io"

	"gonum.org/v1/gonum/spatial/r3"
)

// Report is what a file holds. Lengths are mm, whatever the file's unit.
type Report struct {
	Name, Date  string
	Notes       []string
	Product     string
	Unit        string  // "mm" or "inch"
	Uncertainty float64 // as declared
	Solids      []Solid
	Sheets      []Sheet
	Curves      []Curve
	Points      []Point
	Layers      []Layer

	EdgeOff, VertexOff float64 // greatest distance of an edge from its face, of a vertex from its edge's end
}

// Solid is a closed shell. Volume and area are the integrals of what the file
// says, trimmed surface by trimmed surface, good to 1e-8.
type Solid struct {
	Name         string
	Faces, Edges int
	Volume, Area float64
}

// Sheet is an open shell of one face.
type Sheet struct {
	Name  string
	Edges int
	Area  float64
}

// Curve is a curve of a curve set: degree 3 on full knots, or 1 and no knots
// for straight pieces.
type Curve struct {
	Name   string
	Degree int
	Knots  []float64
	Ctrl   []r3.Vec
	Closed bool
}

// Point is a point of a curve set.
type Point struct {
	Name string
	At   r3.Vec
}

// Layer is a group of solids, sheets, curves and points, by their names.
type Layer struct {
	Name  string
	Items []string
}

// Rule names what a fault breaks.
type Rule string

// The rules.
const (
	RuleSyntax      Rule = "syntax"      // the clear text encoding; printable ASCII
	RuleHeader      Rule = "header"      // the three entities of the header
	RuleNumber      Rule = "number"      // entity numbers rise, each given once
	RuleReference   Rule = "reference"   // to an entity that stands before
	RuleType        Rule = "type"        // known entities, the number and kind of their parameters
	RuleUnused      Rule = "unused"      // nothing hangs loose
	RuleProduct     Rule = "product"     // one product, one shape of it
	RuleUnit        Rule = "unit"        // mm or inch, and an uncertainty
	RuleSpline      Rule = "spline"      // knots, multiplicities, weights, control points
	RuleVertex      Rule = "vertex"      // edges end at their vertices
	RuleLoop        Rule = "loop"        // edges follow one another round
	RuleShell       Rule = "shell"       // closed: every edge once each way
	RuleOnFace      Rule = "on face"     // edges lie on their faces
	RuleOrientation Rule = "orientation" // loops run round the face's material, faces look out of the solid
)

// Fault is a broken rule and its place.
type Fault struct {
	Line int // of the file, from 1
	Rule Rule
	Text string
}

func (f *Fault) Error() string {
	return fmt.Sprintf("step: line %d: %s: %s", f.Line, f.Rule, f.Text)
}

// maxFaults is how many faults are gathered.
const maxFaults = 50

// Lint reads a STEP file. The error, where there is one, joins a *Fault for
// each broken rule found; a look that needs what an earlier one found wanting
// is left out. The report holds what could be read. The file is held in memory;
// a windscreen takes about a tenth of a second.
func Lint(r io.Reader) (*Report, error) {
	data, err := io.ReadAll(r)
	if err != nil {
		return nil, fmt.Errorf("step: %w", err)
	}
	c := &checker{report: &Report{}, byID: map[int]*instance{}}
	for _, look := range []func(){
		func() { c.parse(data) },
		c.header, c.types, c.uses, c.units, c.splines, c.edges, c.shells, c.contents,
	} {
		if look(); len(c.faults) > 0 {
			break
		}
	}
	return c.report, errors.Join(c.faults...)
}

// checker gathers the report and the faults.
type checker struct {
	report *Report
	faults []error
	head   []record
	all    []*instance // in the file's order
	byID   map[int]*instance
	mm     float64 // of the file's unit
}

func (c *checker) fault(line int, rule Rule, format string, args ...any) {
	if len(c.faults) < maxFaults {
		c.faults = append(c.faults, &Fault{line, rule, fmt.Sprintf(format, args...)})
	}
}

// of returns the entities of a type, in the file's order.
func (c *checker) of(keyword string) []*instance {
	var list []*instance
	for _, e := range c.all {
		if e.is(keyword) {
			list = append(list, e)
		}
	}
	return list
}

// to returns the entity that a value refers to.
func (c *checker) to(v value) *instance { return c.byID[v.id] }

// each returns the entities that the values of a list refer to.
func (c *checker) each(v value) []*instance {
	list := make([]*instance, len(v.items))
	for i, item := range v.items {
		list[i] = c.to(item)
	}
	return list
}
