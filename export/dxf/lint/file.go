package lint

import (
	"io"
	"slices"
	"strconv"
	"strings"
)

// section is a part of the file.
type section struct {
	name    string
	line    int
	head    []tag     // pairs before the first record: the variables of HEADER
	records []*record // without ENDSEC
}

// order of the sections in each version.
var order = map[string][]string{
	R12:   {"HEADER", "TABLES", "ENTITIES"},
	R2000: {"HEADER", "CLASSES", "TABLES", "BLOCKS", "ENTITIES", "OBJECTS"},
}

func (c *checker) file(r io.Reader) {
	tags := c.tags(r)
	for len(tags) > 0 && tags[0].code == 999 {
		c.report.Comments = append(c.report.Comments, decode(tags[0].value))
		tags = tags[1:]
	}
	for _, t := range tags {
		if t.code == 999 {
			c.fault(t.line, RuleSection, "comment inside a section")
		}
	}
	sections := c.sections(tags)
	if len(sections) == 0 || sections[0].name != "HEADER" {
		c.fault(1, RuleSection, "no HEADER")
		return
	}
	c.header(sections[0])
	want, known := order[c.report.Version]
	if !known {
		c.fault(sections[0].line, RuleHeader, "version %q", c.report.Version)
		return
	}
	var got []string
	for _, s := range sections {
		got = append(got, s.name)
	}
	if !slices.Equal(got, want) {
		c.fault(sections[0].line, RuleSection, "sections %v, want %v", got, want)
		return
	}
	c.gatherHandles(sections)
	for _, s := range sections[1:] {
		switch s.name {
		case "CLASSES":
			for _, r := range s.records {
				c.fault(r.line, RuleSection, "class defined")
			}
		case "TABLES":
			c.tables(s)
		case "BLOCKS":
			c.blocks(s)
		case "ENTITIES":
			c.entities(s)
		case "OBJECTS":
			c.objects(s)
		}
	}
}

// sections splits the file. It stops at the first fault of its structure.
func (c *checker) sections(tags []tag) []section {
	var all []section
	for i := 0; ; {
		switch {
		case i == len(tags):
			c.fault(2*len(tags)+1, RuleSection, "no EOF")
			return all
		case tags[i].code == 0 && tags[i].value == "EOF":
			if i+1 < len(tags) {
				c.fault(tags[i+1].line, RuleSection, "text after EOF")
			}
			return all
		case tags[i].code != 0 || tags[i].value != "SECTION" || i+1 == len(tags) || tags[i+1].code != 2:
			c.fault(tags[i].line, RuleSection, "section or EOF expected")
			return all
		}
		s := section{name: tags[i+1].value, line: tags[i].line}
		end := slices.IndexFunc(tags[i:], func(t tag) bool { return t.code == 0 && t.value == "ENDSEC" })
		if end < 0 {
			c.fault(s.line, RuleSection, "%s without ENDSEC", s.name)
			return all
		}
		body := tags[i+2 : i+end]
		start := max(0, slices.IndexFunc(body, func(t tag) bool { return t.code == 0 }))
		if s.name == "HEADER" {
			start = len(body)
		}
		s.head, s.records = body[:start], c.records(body[start:])
		all = append(all, s)
		i += end + 1
	}
}

// header reads the variables.
func (c *checker) header(s section) {
	vars := map[string]*record{}
	var v *record
	for _, t := range s.head {
		switch {
		case t.code == 0:
			c.fault(t.line, RuleHeader, "record in the header")
		case t.code == 9:
			if vars[t.value] != nil {
				c.fault(t.line, RuleHeader, "%s set twice", t.value)
			}
			v = &record{name: t.value, line: t.line}
			vars[t.value] = v
		case v == nil:
			c.fault(t.line, RuleHeader, "value without a variable")
		default:
			v.tags = append(v.tags, t)
		}
	}
	get := func(name string) *record {
		if vars[name] != nil {
			return vars[name]
		}
		return &record{name: name, line: s.line}
	}
	c.report.Version = get("$ACADVER").text(1)
	c.report.ExtMin, c.report.ExtMax = c.point(get("$EXTMIN"), 10), c.point(get("$EXTMAX"), 10)
	units, measurement := vars["$INSUNITS"], vars["$MEASUREMENT"]
	if !c.r2000() {
		if units != nil || measurement != nil || vars["$HANDSEED"] != nil {
			c.fault(s.line, RuleHeader, "variable that R12 does not have")
		}
		return
	}
	if units == nil || measurement == nil {
		c.fault(s.line, RuleHeader, "unit of length not stated")
		return
	}
	c.report.Units, c.report.Measurement = int(units.number(70)), int(measurement.number(70))
	switch [2]int{c.report.Units, c.report.Measurement} {
	case [2]int{4, 1}, [2]int{1, 0}:
	default:
		c.fault(units.line, RuleHeader, "unit %d, measurement %d: neither millimetres nor inches", c.report.Units, c.report.Measurement)
	}
	seed, err := strconv.ParseUint(get("$HANDSEED").text(5), 16, 64)
	if err != nil {
		c.fault(s.line, RuleHeader, "$HANDSEED missing")
	}
	c.seed = seed
}

// gatherHandles checks that R2000 objects have handles of their own, below the
// seed, and that R12 ones have none.
func (c *checker) gatherHandles(sections []section) {
	c.handles = map[string]*record{}
	for _, s := range sections[1:] {
		for _, r := range s.records {
			if r.name == "ENDTAB" {
				continue
			}
			code := 5
			if r.name == "DIMSTYLE" {
				code = 105
			}
			h := r.texts(code)
			switch {
			case !c.r2000() && len(h) > 0:
				c.fault(r.line, RuleHandle, "%s with a handle in R12", r.name)
			case !c.r2000():
			case len(h) != 1:
				c.fault(r.line, RuleHandle, "%s has %d handles", r.name, len(h))
			default:
				c.handle(r, h[0])
			}
		}
	}
}

func (c *checker) handle(r *record, h string) {
	n, err := strconv.ParseUint(h, 16, 64)
	switch {
	case err != nil: // reported with the pair
	case n == 0 || n >= c.seed:
		c.fault(r.line, RuleHandle, "handle %s of %s not below the seed %X", h, r.name, c.seed)
	case c.handles[h] != nil:
		c.fault(r.line, RuleHandle, "handle %s of %s is that of line %d too", h, r.name, c.handles[h].line)
	default:
		c.handles[h] = r
	}
}

// ownedBy checks the owner of an R2000 object: one of the named kind, or
// nothing where kind is empty. It returns the owner.
func (c *checker) ownedBy(r *record, kind string) *record {
	if !c.r2000() {
		return nil
	}
	owner := r.text(330)
	o := c.handles[owner]
	switch {
	case kind == "" && owner != "0":
		c.fault(r.line, RuleOwner, "%s is owned by %q, not by nothing", r.name, owner)
	case kind != "" && (o == nil || o.name != kind):
		c.fault(r.line, RuleOwner, "%s is owned by %q, which is no %s", r.name, owner, kind)
	}
	return o
}

// markers checks the subclass markers of a record.
func (c *checker) markers(r *record, want ...string) {
	if !c.r2000() {
		want = nil
	}
	if got := r.texts(100); !slices.Equal(got, want) {
		c.fault(r.line, RuleMarker, "%s has the markers %v, want %v", r.name, got, want)
	}
}

// decode turns the escapes of a string value into the letters they stand for.
func decode(s string) string {
	var b strings.Builder
	for s != "" {
		switch {
		case len(s) >= 7 && strings.HasPrefix(s, `\U+`):
			if n, err := strconv.ParseUint(s[3:7], 16, 16); err == nil {
				b.WriteRune(rune(n))
				s = s[7:]
				continue
			}
		case strings.HasPrefix(s, "^ "):
			b.WriteByte('^')
			s = s[2:]
			continue
		}
		b.WriteByte(s[0])
		s = s[1:]
	}
	return b.String()
}
