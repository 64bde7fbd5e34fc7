package lint

import "math"

// loose are the types that nothing refers to.
var loose = []string{
	"APPLICATION_PROTOCOL_DEFINITION", "PRODUCT_RELATED_PRODUCT_CATEGORY",
	"SHAPE_DEFINITION_REPRESENTATION", "SHAPE_REPRESENTATION_RELATIONSHIP", "PRESENTATION_LAYER_ASSIGNMENT",
}

// uses checks that everything belongs to something, and that there is one
// product with one shape. A layer only groups what something else holds.
func (c *checker) uses() {
	for _, e := range c.all {
		if !e.is("PRESENTATION_LAYER_ASSIGNMENT") {
			for _, r := range e.records {
				c.use(r.args)
			}
		}
	}
	for _, keyword := range loose {
		for _, e := range c.of(keyword) {
			e.used = true
		}
	}
	for _, e := range c.all {
		if !e.used {
			c.fault(e.line, RuleUnused, "nothing refers to #%d, %s", e.id, e.records[0].keyword)
		}
	}
	for _, keyword := range []string{
		"SHAPE_DEFINITION_REPRESENTATION", "PRODUCT_DEFINITION_SHAPE", "PRODUCT", "PRODUCT_RELATED_PRODUCT_CATEGORY",
		"APPLICATION_PROTOCOL_DEFINITION", "APPLICATION_CONTEXT", "GEOMETRIC_REPRESENTATION_CONTEXT",
		"UNCERTAINTY_MEASURE_WITH_UNIT", "AXIS2_PLACEMENT_3D",
	} {
		if n := len(c.of(keyword)); n != 1 {
			c.fault(1, RuleProduct, "%d of %s, want 1", n, keyword)
		}
	}
	if len(c.faults) == 0 {
		c.product()
	}
}

func (c *checker) use(args []value) {
	for _, v := range args {
		if v.kind == isReference {
			c.to(v).used = true
		}
		c.use(v.items)
	}
}

// product checks that the axis stands at the origin, and that each kind of
// content is represented once and related to the product's shape.
func (c *checker) product() {
	c.report.Product = c.of("PRODUCT")[0].arg(0).text
	axis := c.of("AXIS2_PLACEMENT_3D")[0]
	for i, want := range [][3]float64{{}, {0, 0, 1}, {1, 0, 0}} {
		for k, v := range c.to(axis.arg(i + 1)).arg(1).items {
			if v.num != want[k] {
				c.fault(axis.line, RuleProduct, "the axes do not stand at the origin")
			}
		}
	}
	related := map[*instance]int{}
	for _, e := range c.of("SHAPE_REPRESENTATION_RELATIONSHIP") {
		related[c.to(e.arg(3))]++
	}
	related[c.to(c.of("SHAPE_DEFINITION_REPRESENTATION")[0].arg(1))]++
	for _, keyword := range append([]string{"SHAPE_REPRESENTATION"}, shapes...) {
		all := c.of(keyword)
		if len(all) > 1 {
			c.fault(all[1].line, RuleProduct, "a second %s", keyword)
		}
		for _, e := range all {
			if related[e] != 1 {
				c.fault(e.line, RuleProduct, "%s is the product's shape %d times", keyword, related[e])
			}
			if c.to(e.arg(1).items[0]) != axis {
				c.fault(e.line, RuleProduct, "%s does not begin with the axes", keyword)
			}
			for _, v := range e.arg(1).items[1:] {
				if c.to(v) == axis {
					c.fault(e.line, RuleProduct, "%s has the axes twice", keyword)
				}
			}
		}
	}
}

// units reads the unit of length and the uncertainty.
func (c *checker) units() {
	const widest = 0.01 // mm, of an uncertainty that still means something
	e := c.of("GEOMETRIC_REPRESENTATION_CONTEXT")[0]
	if e.args("GEOMETRIC_REPRESENTATION_CONTEXT")[0].id != 3 {
		c.fault(e.line, RuleUnit, "not a space of 3 dimensions")
	}
	units := c.each(e.args("GLOBAL_UNIT_ASSIGNED_CONTEXT")[0])
	for i, keyword := range []string{"LENGTH_UNIT", "PLANE_ANGLE_UNIT", "SOLID_ANGLE_UNIT"} {
		if !units[i].is(keyword) {
			c.fault(e.line, RuleUnit, "unit %d is not of %s", i+1, keyword)
			return
		}
	}
	c.mm, c.report.Unit = 1, "mm"
	if inch := units[0].args("CONVERSION_BASED_UNIT"); inch != nil {
		factor := c.to(inch[1])
		c.mm, c.report.Unit = factor.arg(0).items[0].num, "inch"
		if c.mm != 25.4 || !c.to(factor.arg(1)).is("LENGTH_UNIT") {
			c.fault(factor.line, RuleUnit, "an inch of %g", c.mm)
		}
		for i, v := range c.to(units[0].args("NAMED_UNIT")[0]).records[0].args {
			if (i == 0) != (v.num == 1) || i > 0 && v.num != 0 {
				c.fault(factor.line, RuleUnit, "an inch that is not a length")
			}
		}
	}
	u := c.of("UNCERTAINTY_MEASURE_WITH_UNIT")[0]
	c.report.Uncertainty = u.arg(0).items[0].num * c.mm
	if c.to(u.arg(1)) != units[0] || !(c.report.Uncertainty <= widest) || math.IsNaN(c.report.Uncertainty) {
		c.fault(u.line, RuleUnit, "an uncertainty of %g mm, in another unit or too wide", c.report.Uncertainty)
	}
}
