package lint

import (
	"slices"
	"strings"
	"time"
)

// parameter tells what is wrong with a value, or "".
type parameter func(c *checker, v value) string

func of(k kind) parameter {
	return func(_ *checker, v value) string {
		if v.kind != k {
			return "a " + v.kind.String() + " in place of a " + k.String()
		}
		return ""
	}
}

var (
	text    = of(isString)
	integer = of(isInteger)
	real    = of(isReal)
	unset   = of(isUnset)
	derived = of(isDerived)
	flag    = enum("T", "F")
	plain   = enum("UNSPECIFIED")
	never   = enum("F")
)

// enum is one of several names.
func enum(names ...string) parameter {
	return func(_ *checker, v value) string {
		if v.kind != isEnum || !slices.Contains(names, v.text) {
			return v.kind.String() + " " + v.text + " in place of ." + strings.Join(names, ". or .") + "."
		}
		return ""
	}
}

// says is a string with one text.
func says(s string) parameter {
	return func(_ *checker, v value) string {
		if v.kind != isString || v.text != s {
			return "not '" + s + "'"
		}
		return ""
	}
}

// ref is a reference to an entity of one of several types.
func ref(keywords ...string) parameter {
	return func(c *checker, v value) string {
		if v.kind != isReference {
			return "a " + v.kind.String() + " in place of a reference"
		}
		if e := c.to(v); e == nil || !slices.ContainsFunc(keywords, e.is) {
			return "a reference to what is not " + strings.Join(keywords, " or ")
		}
		return ""
	}
}

// list is one or more of a parameter.
func list(p parameter) parameter {
	return func(c *checker, v value) string {
		if v.kind != isList || len(v.items) == 0 {
			return "not a list with something in it"
		}
		for _, item := range v.items {
			if wrong := p(c, item); wrong != "" {
				return "in a list: " + wrong
			}
		}
		return ""
	}
}

// exactly is a list of as many values.
func exactly(n int, p parameter) parameter {
	return func(c *checker, v value) string {
		if wrong := list(p)(c, v); wrong != "" {
			return wrong
		}
		if len(v.items) != n {
			return "a list of another length"
		}
		return ""
	}
}

// bounds is the outer bound of a face and then those of its holes.
func bounds(c *checker, v value) string {
	if wrong := list(ref("FACE_OUTER_BOUND", "FACE_BOUND"))(c, v); wrong != "" {
		return wrong
	}
	for i, b := range c.each(v) {
		if (i == 0) != b.is("FACE_OUTER_BOUND") {
			return "not one outer bound, at the head of the list"
		}
	}
	return ""
}

// measure is a positive length with its type.
func measure(_ *checker, v value) string {
	if v.kind != isTyped || v.text != "LENGTH_MEASURE" || v.items[0].kind != isReal || !(v.items[0].num > 0) {
		return "not a LENGTH_MEASURE"
	}
	return ""
}

var (
	point   = ref("CARTESIAN_POINT")
	points  = list(point)
	xyz     = exactly(3, real)
	edge    = ref("LINE", "B_SPLINE_CURVE_WITH_KNOTS")
	face    = exactly(1, ref("ADVANCED_FACE"))
	area    = ref("B_SPLINE_SURFACE_WITH_KNOTS")
	axis    = ref("AXIS2_PLACEMENT_3D")
	context = ref("GEOMETRIC_REPRESENTATION_CONTEXT")
	shapes  = []string{"ADVANCED_BREP_SHAPE_REPRESENTATION", "MANIFOLD_SURFACE_SHAPE_REPRESENTATION", "GEOMETRICALLY_BOUNDED_WIREFRAME_SHAPE_REPRESENTATION"}
)

// schema is every simple entity that may occur.
var schema = map[string][]parameter{
	"CARTESIAN_POINT":             {text, xyz},
	"DIRECTION":                   {text, xyz},
	"VECTOR":                      {text, ref("DIRECTION"), real},
	"LINE":                        {text, point, ref("VECTOR")},
	"POLYLINE":                    {text, points},
	"B_SPLINE_CURVE_WITH_KNOTS":   {text, integer, points, plain, flag, never, list(integer), list(real), plain},
	"B_SPLINE_SURFACE_WITH_KNOTS": {text, integer, integer, list(points), plain, never, never, never, list(integer), list(integer), list(real), list(real), plain},
	"AXIS2_PLACEMENT_3D":          {text, point, ref("DIRECTION"), ref("DIRECTION")},

	"VERTEX_POINT":              {text, point},
	"EDGE_CURVE":                {text, ref("VERTEX_POINT"), ref("VERTEX_POINT"), edge, enum("T")},
	"ORIENTED_EDGE":             {text, derived, derived, ref("EDGE_CURVE"), flag},
	"EDGE_LOOP":                 {text, list(ref("ORIENTED_EDGE"))},
	"FACE_OUTER_BOUND":          {text, ref("EDGE_LOOP"), flag},
	"FACE_BOUND":                {text, ref("EDGE_LOOP"), flag},
	"ADVANCED_FACE":             {text, bounds, area, flag},
	"CLOSED_SHELL":              {text, list(ref("ADVANCED_FACE"))},
	"OPEN_SHELL":                {text, face},
	"MANIFOLD_SOLID_BREP":       {text, ref("CLOSED_SHELL")},
	"SHELL_BASED_SURFACE_MODEL": {text, exactly(1, ref("OPEN_SHELL"))},
	"GEOMETRIC_CURVE_SET":       {text, list(ref("CARTESIAN_POINT", "POLYLINE", "B_SPLINE_CURVE_WITH_KNOTS"))},

	"LENGTH_MEASURE_WITH_UNIT":      {measure, ref("SI_UNIT")},
	"DIMENSIONAL_EXPONENTS":         {real, real, real, real, real, real, real},
	"UNCERTAINTY_MEASURE_WITH_UNIT": {measure, ref("LENGTH_UNIT"), says("distance_accuracy_value"), text},

	"SHAPE_REPRESENTATION":                                 {text, exactly(1, axis), context},
	"ADVANCED_BREP_SHAPE_REPRESENTATION":                   {text, list(ref("AXIS2_PLACEMENT_3D", "MANIFOLD_SOLID_BREP")), context},
	"MANIFOLD_SURFACE_SHAPE_REPRESENTATION":                {text, list(ref("AXIS2_PLACEMENT_3D", "SHELL_BASED_SURFACE_MODEL")), context},
	"GEOMETRICALLY_BOUNDED_WIREFRAME_SHAPE_REPRESENTATION": {text, list(ref("AXIS2_PLACEMENT_3D", "GEOMETRIC_CURVE_SET")), context},
	"SHAPE_REPRESENTATION_RELATIONSHIP":                    {text, text, ref("SHAPE_REPRESENTATION"), ref(shapes...)},
	"PRESENTATION_LAYER_ASSIGNMENT":                        {text, text, list(ref("MANIFOLD_SOLID_BREP", "SHELL_BASED_SURFACE_MODEL", "CARTESIAN_POINT", "POLYLINE", "B_SPLINE_CURVE_WITH_KNOTS"))},

	"APPLICATION_CONTEXT":              {says("core data for automotive mechanical design processes")},
	"APPLICATION_PROTOCOL_DEFINITION":  {says("international standard"), says("automotive_design"), integer, ref("APPLICATION_CONTEXT")},
	"PRODUCT_CONTEXT":                  {text, ref("APPLICATION_CONTEXT"), says("mechanical")},
	"PRODUCT":                          {text, text, text, exactly(1, ref("PRODUCT_CONTEXT"))},
	"PRODUCT_RELATED_PRODUCT_CATEGORY": {says("part"), unset, exactly(1, ref("PRODUCT"))},
	"PRODUCT_DEFINITION_FORMATION":     {text, text, ref("PRODUCT")},
	"PRODUCT_DEFINITION_CONTEXT":       {says("part definition"), ref("APPLICATION_CONTEXT"), says("design")},
	"PRODUCT_DEFINITION":               {text, text, ref("PRODUCT_DEFINITION_FORMATION"), ref("PRODUCT_DEFINITION_CONTEXT")},
	"PRODUCT_DEFINITION_SHAPE":         {text, text, ref("PRODUCT_DEFINITION")},
	"SHAPE_DEFINITION_REPRESENTATION":  {ref("PRODUCT_DEFINITION_SHAPE"), ref(append([]string{"SHAPE_REPRESENTATION"}, shapes...)...)},
}

// joined is a record of a complex entity.
type joined struct {
	keyword string
	args    []parameter
}

// complexes is every complex entity that may occur.
var complexes = [][]joined{
	{{"LENGTH_UNIT", nil}, {"NAMED_UNIT", []parameter{derived}}, {"SI_UNIT", []parameter{enum("MILLI"), enum("METRE")}}},
	{{"NAMED_UNIT", []parameter{derived}}, {"PLANE_ANGLE_UNIT", nil}, {"SI_UNIT", []parameter{unset, enum("RADIAN")}}},
	{{"NAMED_UNIT", []parameter{derived}}, {"SI_UNIT", []parameter{unset, enum("STERADIAN")}}, {"SOLID_ANGLE_UNIT", nil}},
	{{"CONVERSION_BASED_UNIT", []parameter{says("INCH"), ref("LENGTH_MEASURE_WITH_UNIT")}}, {"LENGTH_UNIT", nil}, {"NAMED_UNIT", []parameter{ref("DIMENSIONAL_EXPONENTS")}}},
	{
		{"GEOMETRIC_REPRESENTATION_CONTEXT", []parameter{integer}},
		{"GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT", []parameter{exactly(1, ref("UNCERTAINTY_MEASURE_WITH_UNIT"))}},
		{"GLOBAL_UNIT_ASSIGNED_CONTEXT", []parameter{exactly(3, ref("NAMED_UNIT"))}},
		{"REPRESENTATION_CONTEXT", []parameter{text, text}},
	},
	{
		{"BOUNDED_CURVE", nil},
		{"B_SPLINE_CURVE", []parameter{integer, points, plain, flag, never}},
		{"B_SPLINE_CURVE_WITH_KNOTS", []parameter{list(integer), list(real), plain}},
		{"CURVE", nil}, {"GEOMETRIC_REPRESENTATION_ITEM", nil},
		{"RATIONAL_B_SPLINE_CURVE", []parameter{list(real)}},
		{"REPRESENTATION_ITEM", []parameter{text}},
	},
	{
		{"BOUNDED_SURFACE", nil},
		{"B_SPLINE_SURFACE", []parameter{integer, integer, list(points), plain, never, never, never}},
		{"B_SPLINE_SURFACE_WITH_KNOTS", []parameter{list(integer), list(integer), list(real), list(real), plain}},
		{"GEOMETRIC_REPRESENTATION_ITEM", nil},
		{"RATIONAL_B_SPLINE_SURFACE", []parameter{list(list(real))}},
		{"REPRESENTATION_ITEM", []parameter{text}},
		{"SURFACE", nil},
	},
}

// types checks every entity against the schema, references to earlier ones
// first.
func (c *checker) types() {
	for _, e := range c.all {
		for _, r := range e.records {
			c.references(e, r.args)
		}
	}
	if len(c.faults) > 0 {
		return
	}
	for _, e := range c.all {
		want := expected(e)
		if want == nil {
			c.fault(e.line, RuleType, "#%d is of no known type", e.id)
			continue
		}
		for i, r := range e.records {
			c.record(r, want[i])
		}
	}
}

// references checks that what is referred to stands before.
func (c *checker) references(e *instance, args []value) {
	for _, v := range args {
		if target := c.to(v); v.kind == isReference && (target == nil || target.id >= e.id) {
			c.fault(e.line, RuleReference, "#%d refers to #%d, which does not stand before", e.id, v.id)
		}
		c.references(e, v.items)
	}
}

// expected returns the parameters of each record of an entity, or nil.
func expected(e *instance) [][]parameter {
	if !e.complex {
		args, known := schema[e.records[0].keyword]
		if !known {
			return nil
		}
		return [][]parameter{args}
	}
next:
	for _, records := range complexes {
		if len(records) != len(e.records) {
			continue
		}
		var args [][]parameter
		for i, r := range records {
			if r.keyword != e.records[i].keyword {
				continue next
			}
			args = append(args, r.args)
		}
		if si := e.args("SI_UNIT"); si != nil { // three that differ in what they measure alone
			return unitParameters(e)
		}
		return args
	}
	return nil
}

// unitParameters returns the parameters of an SI unit by what it measures.
func unitParameters(e *instance) [][]parameter {
	for _, records := range complexes[:3] {
		var args [][]parameter
		for i, r := range records {
			if r.keyword == e.records[i].keyword {
				args = append(args, r.args)
			}
		}
		if len(args) == len(records) {
			return args
		}
	}
	return nil
}

// record checks the parameters of one type.
func (c *checker) record(r record, want []parameter) {
	if len(r.args) != len(want) {
		c.fault(r.line, RuleType, "%s with %d parameters, want %d", r.keyword, len(r.args), len(want))
		return
	}
	for i, p := range want {
		if wrong := p(c, r.args[i]); wrong != "" {
			c.fault(r.line, RuleType, "%s, parameter %d: %s", r.keyword, i+1, wrong)
		}
	}
}

// header checks the header and reads it.
func (c *checker) header() {
	want := []joined{
		{"FILE_DESCRIPTION", []parameter{list(text), says("2;1")}},
		{"FILE_NAME", []parameter{text, text, list(says("")), list(says("")), says(""), says(""), says("")}},
		{"FILE_SCHEMA", []parameter{exactly(1, says("AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }"))}},
	}
	if len(c.head) != len(want) {
		c.fault(1, RuleHeader, "%d entities, want %d", len(c.head), len(want))
		return
	}
	for i, w := range want {
		if c.head[i].keyword != w.keyword {
			c.fault(c.head[i].line, RuleHeader, "%s in place of %s", c.head[i].keyword, w.keyword)
			return
		}
		c.record(c.head[i], w.args)
	}
	if len(c.faults) > 0 {
		return
	}
	for _, v := range c.head[0].args[0].items {
		c.report.Notes = append(c.report.Notes, v.text)
	}
	c.report.Name, c.report.Date = c.head[1].args[0].text, c.head[1].args[1].text
	if _, err := time.Parse("2006-01-02T15:04:05", c.report.Date); err != nil {
		c.fault(c.head[1].line, RuleHeader, "time stamp %q", c.report.Date)
	}
}
