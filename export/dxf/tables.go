package dxf

import "gonum.org/v1/gonum/spatial/r3"

// table writes a table of n records; rows, nil where there are none, writes
// them, given the table's handle, which owns them.
func (o *out) table(name string, n int, rows func(owner handle)) {
	o.tag(0, "TABLE")
	o.tag(2, name)
	var h handle
	if o.r2000 {
		h = o.next()
		o.tag(5, h.String())
		o.tag(330, "0")
		o.tag(100, "AcDbSymbolTable")
	}
	o.int(70, n)
	if name == "DIMSTYLE" {
		o.subclass("AcDbDimStyleTable")
	}
	if rows != nil {
		rows(h)
	}
	o.tag(0, "ENDTAB")
}

// record begins a row of a table.
func (o *out) record(kind, class, name string, owner handle) {
	if o.r2000 {
		code := 5
		if kind == "DIMSTYLE" {
			code = 105
		}
		o.named(kind, code, o.next(), owner)
	} else {
		o.tag(0, kind)
	}
	o.recordBody(class, name)
}

func (o *out) recordBody(class, name string) {
	o.subclass("AcDbSymbolTableRecord")
	o.subclass(class)
	o.tag(2, name)
}

// tables writes the TABLES section. R12 needs only the tables that something
// refers to; R2000 wants all nine, in this order.
func (o *out) tables(d *Drawing) {
	o.begin("TABLES")
	if o.r2000 {
		o.table("VPORT", 1, func(t handle) { o.viewport(d, t) })
	}
	o.linetypes()
	o.table("LAYER", len(d.layers), func(t handle) {
		for _, l := range d.layers {
			o.record("LAYER", "AcDbLayerTableRecord", l.name, t)
			o.int(70, 0)
			o.int(62, l.colour)
			o.tag(6, l.linetype)
		}
	})
	o.table("STYLE", 1, o.textStyle)
	if o.r2000 {
		o.table("VIEW", 0, nil)
		o.table("UCS", 0, nil)
		o.table("APPID", 1, func(t handle) {
			o.record("APPID", "AcDbRegAppTableRecord", "ACAD", t)
			o.int(70, 0)
		})
		o.table("DIMSTYLE", 1, func(t handle) {
			o.record("DIMSTYLE", "AcDbDimStyleTableRecord", "STANDARD", t)
			o.int(70, 0)
		})
		o.table("BLOCK_RECORD", 2, func(t handle) {
			o.named("BLOCK_RECORD", 5, o.model, t)
			o.recordBody("AcDbBlockTableRecord", modelSpace)
			o.named("BLOCK_RECORD", 5, o.paper, t)
			o.recordBody("AcDbBlockTableRecord", paperSpace)
		})
	}
	o.end()
}

func (o *out) linetypes() {
	rows := linetypes
	if o.r2000 {
		rows = append([]linetype{{name: "ByBlock"}, {name: "ByLayer"}}, linetypes...)
	}
	o.table("LTYPE", len(rows), func(t handle) {
		for _, l := range rows {
			o.record("LTYPE", "AcDbLinetypeTableRecord", l.name, t)
			o.int(70, 0)
			o.tag(3, l.about)
			o.int(72, 65) // alignment "A", the only one there is
			o.int(73, len(l.dashes))
			o.mm(40, l.length())
			for _, v := range l.dashes {
				o.mm(49, v)
				if o.r2000 {
					o.int(74, 0) // no shape or text in the dash
				}
			}
		}
	})
}

func (o *out) textStyle(t handle) {
	o.record("STYLE", "AcDbTextStyleTableRecord", "STANDARD", t)
	o.int(70, 0)
	o.mm(40, 0)    // height: each text has its own
	o.ratio(41, 1) // width factor
	o.ratio(50, 0) // slant
	o.int(71, 0)
	o.mm(42, 2.5) // last height used
	o.tag(3, "txt")
	o.tag(4, "")
}

// viewport writes the view that a program opens the file with: all of the
// drawing, seen from above.
func (o *out) viewport(d *Drawing, t handle) {
	size, mid := r3.Sub(d.box.Max, d.box.Min), r3.Scale(0.5, r3.Add(d.box.Min, d.box.Max))
	const aspect = 1.5 // width to height of the window, a guess
	o.record("VPORT", "AcDbViewportTableRecord", "*ACTIVE", t)
	o.int(70, 0)
	o.plane(10, 0, 0) // lower left and upper right of the window
	o.plane(11, 1, 1)
	o.plane(12, mid.X, mid.Y)
	o.plane(13, 0, 0) // snap base and spacing
	o.plane(14, 10, 10)
	o.plane(15, 100, 100)                       // grid spacing
	o.up(16)                                    // view direction
	o.point(17, r3.Vec{})                       // view target
	o.mm(40, 1.1*max(size.Y, size.X/aspect, 1)) // height of the view
	o.ratio(41, aspect)
	o.ratio(42, 50) // lens
	o.mm(43, 0)     // clipping planes
	o.mm(44, 0)
	o.ratio(50, 0) // snap and view angles
	o.ratio(51, 0)
	o.int(71, 0)   // view mode
	o.int(72, 100) // circle sides
	o.int(73, 1)   // fast zoom
	o.int(74, 3)   // UCS icon
	o.int(75, 0)   // snap and grid off
	o.int(76, 0)
	o.int(77, 0)
	o.int(78, 0)
}
