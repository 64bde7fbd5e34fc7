package step

import "gonum.org/v1/gonum/spatial/r3"

// model is one kind of content: the entity that holds it and the items.
type model struct {
	representation string
	items          []value
}

// document writes the DATA section: units, geometry, then the chain from the
// product to its shape. Where there is content of more than one kind, each is a
// representation of its own, related to a plain one.
func (o *out) document(d Document, bands []band) {
	context := o.context(d.Inch)
	axis := o.add("AXIS2_PLACEMENT_3D", "''", o.place("", r3.Vec{}), o.direction(r3.Vec{Z: 1}), o.direction(r3.Vec{X: 1}))
	shapes := o.models(d, bands)
	var represented []value
	for _, m := range shapes {
		items := append([]value{axis}, m.items...)
		represented = append(represented, o.add(m.representation, "''", list(items...), context))
	}
	whole := represented[0]
	if len(represented) > 1 {
		whole = o.add("SHAPE_REPRESENTATION", text(d.Name), list(axis), context)
		for _, r := range represented {
			o.add("SHAPE_REPRESENTATION_RELATIONSHIP", "''", "''", whole, r)
		}
	}
	o.product(d.Name, whole)
}

// context writes units and uncertainty, and returns the context of all shapes.
func (o *out) context(inch bool) value {
	unit := o.join("LENGTH_UNIT()", "NAMED_UNIT(*)", "SI_UNIT(.MILLI.,.METRE.)")
	if inch {
		factor := o.add("LENGTH_MEASURE_WITH_UNIT", record("LENGTH_MEASURE", real(mmPerInch, 1)), unit)
		exponents := o.add("DIMENSIONAL_EXPONENTS", "1.", "0.", "0.", "0.", "0.", "0.", "0.")
		unit = o.join(record("CONVERSION_BASED_UNIT", "'INCH'", factor), "LENGTH_UNIT()", record("NAMED_UNIT", exponents))
	}
	angle := o.join("NAMED_UNIT(*)", "PLANE_ANGLE_UNIT()", "SI_UNIT($,.RADIAN.)")
	solid := o.join("NAMED_UNIT(*)", "SI_UNIT($,.STERADIAN.)", "SOLID_ANGLE_UNIT()")
	accuracy := o.add("UNCERTAINTY_MEASURE_WITH_UNIT", record("LENGTH_MEASURE", o.length(Uncertainty)), unit,
		"'distance_accuracy_value'", "'places closer than this are one'")
	return o.join(
		"GEOMETRIC_REPRESENTATION_CONTEXT(3)",
		record("GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT", list(accuracy)),
		record("GLOBAL_UNIT_ASSIGNED_CONTEXT", list(unit, angle, solid)),
		"REPRESENTATION_CONTEXT('','3D')",
	)
}

// models writes all geometry and the layers that group it.
func (o *out) models(d Document, bands []band) []model {
	var groups layers
	var solids, sheets, wires []value
	for i, s := range d.Solids {
		solids = append(solids, groups.put(s.Group, o.solid(s, bands[i])))
	}
	for _, s := range d.Sheets {
		sheets = append(sheets, groups.put(s.Group, o.sheet(s)))
	}
	for _, c := range d.Curves {
		wires = append(wires, groups.put(c.Group, o.curve(c)))
	}
	for _, p := range d.Points {
		wires = append(wires, groups.put(p.Group, o.point(p.Name, p.At)))
	}
	if wires != nil {
		wires = []value{o.add("GEOMETRIC_CURVE_SET", "''", list(wires...))}
	}
	for _, g := range groups {
		o.add("PRESENTATION_LAYER_ASSIGNMENT", text(g.name), "''", list(g.items...))
	}
	var shapes []model
	for _, m := range []model{
		{"ADVANCED_BREP_SHAPE_REPRESENTATION", solids},
		{"MANIFOLD_SURFACE_SHAPE_REPRESENTATION", sheets},
		{"GEOMETRICALLY_BOUNDED_WIREFRAME_SHAPE_REPRESENTATION", wires},
	} {
		if m.items != nil {
			shapes = append(shapes, m)
		}
	}
	return shapes
}

// layers are groups of items, in the order met.
type layers []layer

type layer struct {
	name  string
	items []value
}

// put notes that an item belongs to a group, if any, and returns the item.
func (l *layers) put(group string, item value) value {
	if group == "" {
		return item
	}
	for i := range *l {
		if (*l)[i].name == group {
			(*l)[i].items = append((*l)[i].items, item)
			return item
		}
	}
	*l = append(*l, layer{group, []value{item}})
	return item
}

// product writes the part that the shape is of. Without its last entity
// readers find nothing in the file.
func (o *out) product(name string, shape value) {
	app := o.add("APPLICATION_CONTEXT", "'core data for automotive mechanical design processes'")
	o.add("APPLICATION_PROTOCOL_DEFINITION", "'international standard'", "'automotive_design'", "2000", app)
	context := o.add("PRODUCT_CONTEXT", "''", app, "'mechanical'")
	product := o.add("PRODUCT", text(name), text(name), "''", list(context))
	o.add("PRODUCT_RELATED_PRODUCT_CATEGORY", "'part'", unset, list(product))
	formation := o.add("PRODUCT_DEFINITION_FORMATION", "''", "''", product)
	stage := o.add("PRODUCT_DEFINITION_CONTEXT", "'part definition'", app, "'design'")
	definition := o.add("PRODUCT_DEFINITION", "'design'", "''", formation, stage)
	of := o.add("PRODUCT_DEFINITION_SHAPE", "''", "''", definition)
	o.add("SHAPE_DEFINITION_REPRESENTATION", of, shape)
}
