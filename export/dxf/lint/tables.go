package lint

import (
	"math"
	"slices"
	"strings"
)

// tableOrder lists the tables each version needs, in order.
var tableOrder = map[string][]string{
	R12:   {"LTYPE", "LAYER", "STYLE"},
	R2000: {"VPORT", "LTYPE", "LAYER", "STYLE", "VIEW", "UCS", "APPID", "DIMSTYLE", "BLOCK_RECORD"},
}

// rowMarker is the second subclass marker of a row of each table.
var rowMarker = map[string]string{
	"VPORT": "AcDbViewportTableRecord", "LTYPE": "AcDbLinetypeTableRecord", "LAYER": "AcDbLayerTableRecord",
	"STYLE": "AcDbTextStyleTableRecord", "VIEW": "AcDbViewTableRecord", "UCS": "AcDbUCSTableRecord",
	"APPID": "AcDbRegAppTableRecord", "DIMSTYLE": "AcDbDimStyleTableRecord", "BLOCK_RECORD": "AcDbBlockTableRecord",
}

// tables reads the TABLES section: TABLE, rows, ENDTAB, again and again.
func (c *checker) tables(s section) {
	var names []string
	rows := map[string][]*record{}
	var table *record
	for _, r := range s.records {
		switch {
		case r.name == "TABLE":
			if table != nil {
				c.fault(r.line, RuleTable, "table without ENDTAB before this one")
			}
			table = r
			names = append(names, r.text(2))
		case table == nil:
			c.fault(r.line, RuleTable, "%s outside a table", r.name)
		case r.name == "ENDTAB":
			c.table(table, rows[table.text(2)])
			table = nil
		default:
			rows[table.text(2)] = append(rows[table.text(2)], r)
		}
	}
	if table != nil {
		c.fault(table.line, RuleTable, "table %s without ENDTAB", table.text(2))
	}
	if want := tableOrder[c.report.Version]; !slices.Equal(names, want) {
		c.fault(s.line, RuleTable, "tables %v, want %v", names, want)
	}
	for _, r := range rows["LTYPE"] {
		c.linetype(r)
	}
	for _, r := range rows["LAYER"] {
		c.layer(r)
	}
	if !c.hasLayer("0") {
		c.fault(s.line, RuleLayer, `no layer "0"`)
	}
	if c.r2000() {
		for _, must := range [...]struct{ table, name string }{
			{"VPORT", "*ACTIVE"}, {"LTYPE", "BYBLOCK"}, {"LTYPE", "BYLAYER"}, {"APPID", "ACAD"},
			{"BLOCK_RECORD", "*MODEL_SPACE"}, {"BLOCK_RECORD", "*PAPER_SPACE"},
		} {
			if !slices.ContainsFunc(rows[must.table], func(r *record) bool { return strings.EqualFold(r.text(2), must.name) }) {
				c.fault(s.line, RuleTable, "no %s in table %s", must.name, must.table)
			}
		}
	}
}

// table checks a table's head and what its rows have in common.
func (c *checker) table(t *record, rows []*record) {
	name := t.text(2)
	want := []string{"AcDbSymbolTable"}
	if name == "DIMSTYLE" {
		want = append(want, "AcDbDimStyleTable")
	}
	c.markers(t, want...)
	c.ownedBy(t, "")
	if n := t.number(70); n != float64(len(rows)) {
		c.fault(t.line, RuleCount, "table %s states %v rows and has %d", name, n, len(rows))
	}
	seen := map[string]bool{}
	for _, r := range rows {
		if r.name != name {
			c.fault(r.line, RuleTable, "%s in table %s", r.name, name)
		}
		c.markers(r, "AcDbSymbolTableRecord", rowMarker[name])
		if owner := c.ownedBy(r, "TABLE"); c.r2000() && owner != t {
			c.fault(r.line, RuleOwner, "%s is not owned by its table", r.name)
		}
		key := strings.ToUpper(r.text(2))
		if seen[key] {
			c.fault(r.line, RuleTable, "%s %q defined twice", r.name, r.text(2))
		}
		seen[key] = true
		if !legalName(strings.TrimPrefix(key, "*")) {
			c.fault(r.line, RuleTable, "%s name %q is not legal", r.name, r.text(2))
		}
	}
}

// legalName holds a name in capitals against the rule of R12.
func legalName(s string) bool {
	const letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_$"
	return len(s) >= 1 && len(s) <= 31 && strings.Trim(s, letters) == ""
}

// linetype checks a pattern against its stated count and length.
func (c *checker) linetype(r *record) {
	const tol = 1e-5 // mm, the rounding of a few 6-decimal lengths
	l := Linetype{Name: r.text(2), Pattern: r.numbers(49)}
	if n := r.number(73); n != float64(len(l.Pattern)) {
		c.fault(r.line, RuleCount, "line type %s states %v dashes and has %d", l.Name, n, len(l.Pattern))
	}
	sum := 0.0
	for _, v := range l.Pattern {
		sum += math.Abs(v)
	}
	if !(math.Abs(sum-r.number(40)) <= tol) {
		c.fault(r.line, RuleCount, "line type %s states a length of %v and has %v", l.Name, r.number(40), sum)
	}
	c.report.Linetypes = append(c.report.Linetypes, l)
}

func (c *checker) layer(r *record) {
	l := Layer{Name: r.text(2), Linetype: r.text(6)}
	if n := r.number(62); n >= 1 && n <= 255 {
		l.Colour = int(n)
	} else {
		c.fault(r.line, RuleLayer, "layer %s has colour %v", l.Name, n)
	}
	c.knownLinetype(r)
	c.report.Layers = append(c.report.Layers, l)
}

// knownLinetype checks that the line type a record names is in the table.
func (c *checker) knownLinetype(r *record) {
	name := r.text(6)
	if !slices.ContainsFunc(c.report.Linetypes, func(l Linetype) bool { return strings.EqualFold(l.Name, name) }) {
		c.fault(r.line, RuleLinetype, "line type %q is not defined", name)
	}
}

func (c *checker) hasLayer(name string) bool {
	return slices.ContainsFunc(c.report.Layers, func(l Layer) bool { return strings.EqualFold(l.Name, name) })
}

// blocks checks that each block record has its BLOCK and ENDBLK, and that both
// are empty.
func (c *checker) blocks(s section) {
	for i, r := range s.records {
		want, marker := "BLOCK", "AcDbBlockBegin"
		if i%2 == 1 {
			want, marker = "ENDBLK", "AcDbBlockEnd"
		}
		if r.name != want {
			c.fault(r.line, RuleEntity, "%s where %s is due", r.name, want)
			return
		}
		c.markers(r, "AcDbEntity", marker)
		owner := c.ownedBy(r, "BLOCK_RECORD")
		if want == "BLOCK" && owner != nil && !strings.EqualFold(owner.text(2), r.text(2)) {
			c.fault(r.line, RuleOwner, "block %s is owned by the record of %s", r.text(2), owner.text(2))
		}
	}
	if len(s.records) != 4 {
		c.fault(s.line, RuleCount, "%d block marks, want 4: model and paper space", len(s.records))
	}
}

// objects checks the root dictionary and its entries.
func (c *checker) objects(s section) {
	if len(s.records) == 0 {
		c.fault(s.line, RuleEntity, "no root dictionary")
	}
	for i, r := range s.records {
		if r.name != "DICTIONARY" {
			c.fault(r.line, RuleEntity, "%s among the objects", r.name)
			continue
		}
		c.markers(r, "AcDbDictionary")
		names, entries := r.texts(3), r.texts(350)
		if len(names) != len(entries) {
			c.fault(r.line, RuleCount, "dictionary with %d names and %d entries", len(names), len(entries))
		}
		for _, h := range entries {
			if o := c.handles[h]; o == nil || o.text(330) != r.text(5) {
				c.fault(r.line, RuleOwner, "dictionary entry %s does not exist or is owned by something else", h)
			}
		}
		if i == 0 {
			c.ownedBy(r, "")
			if !slices.Contains(names, "ACAD_GROUP") {
				c.fault(r.line, RuleEntity, "no ACAD_GROUP in the root dictionary")
			}
		} else {
			c.ownedBy(r, "DICTIONARY")
		}
	}
}
