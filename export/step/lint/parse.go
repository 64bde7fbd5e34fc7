package lint

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// kind tells what a value is.
type kind byte

const (
	isReal kind = iota + 1
	isInteger
	isString
	isEnum
	isReference
	isList
	isTyped   // a type's name and one value in parentheses
	isUnset   // $
	isDerived // *
)

func (k kind) String() string {
	return [...]string{"nothing", "real", "integer", "string", "enumeration", "reference", "list", "typed value", "$", "*"}[k]
}

// value is one parameter.
type value struct {
	kind  kind
	num   float64
	id    int     // of a reference; an integer
	text  string  // decoded string, name of an enumeration or type
	items []value // of a list; the one of a typed value
}

// record is a type's name with its parameters.
type record struct {
	keyword string
	args    []value
	line    int
}

// instance is a numbered entity: one record, or several of a complex one.
type instance struct {
	id, line int
	records  []record
	complex  bool
	used     bool

	*curve   // what it stands for, where it is a curve
	*surface // or a surface
}

// is tells whether an entity is of a type.
func (e *instance) is(keyword string) bool {
	for _, r := range e.records {
		if r.keyword == keyword {
			return true
		}
	}
	return false
}

// arg returns a parameter of a simple entity.
func (e *instance) arg(i int) value { return e.records[0].args[i] }

// name returns what a geometric item is called.
func (e *instance) name() string {
	if e.complex {
		return e.args("REPRESENTATION_ITEM")[0].text
	}
	return e.arg(0).text
}

// args returns the parameters that an entity has of a type, or nil.
func (e *instance) args(keyword string) []value {
	for _, r := range e.records {
		if r.keyword == keyword {
			return r.args
		}
	}
	return nil
}

// parser reads the clear text; the first fault ends it.
type parser struct {
	data []byte
	at   int
	line int
}

// bad is what a parser panics with inside this file.
type bad struct{ text string }

func (p *parser) fail(format string, args ...any) { panic(bad{fmt.Sprintf(format, args...)}) }

// parse reads the whole file into header records and instances.
func (c *checker) parse(data []byte) {
	p := &parser{data: data, line: 1}
	defer func() {
		switch r := recover().(type) {
		case nil:
		case bad:
			c.fault(p.line, RuleSyntax, "%s", r.text)
		default:
			panic(r)
		}
	}()
	for _, word := range []string{"ISO-10303-21;", "\n", "HEADER;"} {
		p.exactly(word)
	}
	for p.space(); !p.has("ENDSEC;"); p.space() {
		c.head = append(c.head, p.record())
		p.exactly(";")
	}
	p.exactly("\n")
	p.exactly("DATA;")
	for p.space(); !p.has("ENDSEC;"); p.space() {
		c.take(p.instance())
	}
	p.exactly("\n")
	p.exactly("END-ISO-10303-21;")
	p.exactly("\n")
	if p.at != len(data) {
		p.fail("more behind the end")
	}
}

// take notes an instance.
func (c *checker) take(e *instance) {
	if n := len(c.all); n > 0 && e.id <= c.all[n-1].id {
		c.fault(e.line, RuleNumber, "#%d stands behind #%d", e.id, c.all[n-1].id)
	}
	c.all = append(c.all, e)
	c.byID[e.id] = e
}

func (p *parser) peek() byte {
	if p.at >= len(p.data) {
		p.fail("the file ends too soon")
	}
	b := p.data[p.at]
	if b != '\n' && (b < ' ' || b > '~') {
		p.fail("byte 0x%02X is not printable ASCII", b)
	}
	return b
}

func (p *parser) next() byte {
	b := p.peek()
	p.at++
	if b == '\n' {
		p.line++
	}
	return b
}

// space skips line ends and blanks between tokens.
func (p *parser) space() {
	for b := p.peek(); b == ' ' || b == '\n'; b = p.peek() {
		p.next()
	}
}

// has takes a word if it stands here.
func (p *parser) has(word string) bool {
	if !strings.HasPrefix(string(p.data[p.at:min(len(p.data), p.at+len(word))]), word) {
		return false
	}
	for range len(word) {
		p.next()
	}
	return true
}

func (p *parser) exactly(word string) {
	if !p.has(word) {
		p.peek()
		p.fail("%q expected", word)
	}
}

// while takes the bytes that a test accepts.
func (p *parser) while(good func(b byte) bool) string {
	from := p.at
	for p.at < len(p.data) && good(p.data[p.at]) {
		p.at++
	}
	return string(p.data[from:p.at])
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }
func isUpper(b byte) bool { return b >= 'A' && b <= 'Z' || b == '_' }
func isName(b byte) bool  { return isUpper(b) || isDigit(b) }

func (p *parser) instance() *instance {
	e := &instance{line: p.line}
	p.exactly("#")
	e.id = p.number()
	p.exactly("=")
	if p.peek() == '(' {
		p.next()
		e.complex = true
		for !p.has(")") {
			e.records = append(e.records, p.record())
		}
	} else {
		e.records = []record{p.record()}
	}
	p.exactly(";")
	if len(e.records) == 0 {
		p.fail("an entity of no type")
	}
	return e
}

// number takes the digits of an entity's number.
func (p *parser) number() int {
	digits := p.while(isDigit)
	n, err := strconv.ParseInt(digits, 10, 32)
	if err != nil || digits[0] == '0' {
		p.fail("%q is no entity number", digits)
	}
	return int(n)
}

func (p *parser) record() record {
	p.space()
	r := record{line: p.line, keyword: p.while(isName)}
	if r.keyword == "" || !isUpper(r.keyword[0]) {
		p.fail("the name of a type expected")
	}
	r.args = p.list(0)
	return r
}

// list takes values in parentheses.
func (p *parser) list(depth int) []value {
	const deepest = 8
	if depth > deepest {
		p.fail("lists in lists too deep")
	}
	p.exactly("(")
	var v []value
	if p.has(")") {
		return v
	}
	for {
		p.space()
		v = append(v, p.value(depth))
		p.space()
		if p.has(")") {
			return v
		}
		p.exactly(",")
	}
}

func (p *parser) value(depth int) value {
	switch b := p.peek(); {
	case p.has("$"):
		return value{kind: isUnset}
	case p.has("*"):
		return value{kind: isDerived}
	case p.has("#"):
		return value{kind: isReference, id: p.number()}
	case b == '\'':
		return value{kind: isString, text: p.quoted()}
	case b == '(':
		return value{kind: isList, items: p.list(depth + 1)}
	case p.has("."):
		name := p.while(isName)
		p.exactly(".")
		if name == "" {
			p.fail("an enumeration without a name")
		}
		return value{kind: isEnum, text: name}
	case isUpper(b):
		name := p.while(isName)
		items := p.list(depth + 1)
		if len(items) != 1 {
			p.fail("%s of %d values", name, len(items))
		}
		return value{kind: isTyped, text: name, items: items}
	default:
		return p.numeral()
	}
}

// numeral takes an integer, or a real, which has a decimal point behind a
// digit and may have an exponent with a capital E.
func (p *parser) numeral() value {
	const most = 1e9
	from := p.at
	if !p.has("-") {
		p.has("+")
	}
	if p.while(isDigit) == "" {
		p.fail("a value expected at %q", p.peek())
	}
	v := value{kind: isInteger}
	if p.has(".") {
		v.kind = isReal
		p.while(isDigit)
		if p.has("E") {
			if !p.has("-") {
				p.has("+")
			}
			if p.while(isDigit) == "" {
				p.fail("an exponent without digits")
			}
		}
	}
	s := string(p.data[from:p.at])
	var err error
	if v.num, err = strconv.ParseFloat(s, 64); err != nil || !(math.Abs(v.num) <= most) {
		p.fail("number %s", s)
	}
	if v.num == 0 && s[0] == '-' {
		p.fail("minus zero")
	}
	v.id = int(v.num)
	return v
}

// quoted takes a string and returns what it says.
func (p *parser) quoted() string {
	p.exactly("'")
	var b strings.Builder
	for {
		switch ch := p.next(); {
		case ch == '\n':
			p.fail("a line ends in a string")
		case ch == '\'' && !p.has("'"):
			return b.String()
		case ch == '\\' && p.has("X2\\"):
			p.letters(&b, 4)
		case ch == '\\' && p.has("X4\\"):
			p.letters(&b, 8)
		case ch == '\\' && !p.has("\\"):
			p.fail("a backslash alone")
		default:
			b.WriteByte(ch)
		}
	}
}

// letters takes letters of so many hexadecimal digits each, up to \X0\.
func (p *parser) letters(b *strings.Builder, digits int) {
	for n := 0; !p.has(`\X0\`); n++ {
		from := p.at
		for range digits {
			if !strings.ContainsRune("0123456789ABCDEF", rune(p.next())) {
				p.fail("a letter is not of %d hexadecimal digits", digits)
			}
		}
		r, err := strconv.ParseUint(string(p.data[from:p.at]), 16, 32)
		if err != nil || r > 0x10ffff || r >= 0xd800 && r < 0xe000 || (r > 0xffff) != (digits == 8) {
			p.fail("%s is no letter", p.data[from:p.at])
		}
		b.WriteRune(rune(r))
	}
}
